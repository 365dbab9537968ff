#!/usr/bin/env python3
"""The best filling of a feature, by integer programming: what the search of instep is held to.

Written from the model alone (README.md, DEVELOPERS.md "Formulas"), not from the program: needle
points, allowed strands, footprints, score and evenness are worked out here again. Needs the
packages of requirements.txt (HiGHS solves, GEOS measures); the program itself needs none of them.

    python3 -m venv /tmp/exact && /tmp/exact/bin/pip install -r tests/reference/requirements.txt
    /tmp/exact/bin/python tests/reference/exact.py plan SLIPPER.toml PLAN.json
    /tmp/exact/bin/python tests/reference/exact.py faces
    /tmp/exact/bin/python tests/reference/exact.py table

`plan` looks at each fill of a plan; needle points that other features use count as taken, so its
optimum is the one given the others. `faces` cuts the bundled faces into faces of one fill
(tests/reference/faces). Fills whose direction bends (`along`, `fan`) are not known here: `plan`
leaves them out and says so, `faces` leaves the file as it was cut when the direction was straight.
`table` plans each on each slipper of tests/reference/slippers with
`--exact` and writes tests/reference/proven.csv.

How it is solved. Areas are counted on a square lattice of samples turned against the strands, a
sample for CELL mm2, those that the same strands cover merged. With x_s = 1 for a strand sewn and
y_c = 1 for a cell covered (one y for each side or half of a folded page, z for their difference):

    most  sum w_c y_c - 0.4 sum a_c z_c - sum_s (0.35 area(S_s) + price_s) x_s
    w_c = 1.35 a_c inside the outline, y_c <= sum of x_s that cover c, y_c <= 1
    w_c = -0.65 a_c outside,           y_c >= x_s of each that covers c

which is the score, for the area covered again is sum of area(S) less area(U).

What can never help is left out, and each time an optimum stays: a strand taken away frees its
needle points, so one that wins nothing even where all its spill is covered already is dropped
(a fresh sample inside wins at most 1.35, or 1.75 where it also evens), and of two strands of which
one wins nothing once the other is sewn only one is (`x_i + x_j <= 1`, joined to cliques, which
also bind the cells outside: `y_c >=` the sum over a clique). A strand whose reduced cost in the
relaxation exceeds what the best filling known lacks to the bound cannot be in a better one, and
is left out of what follows; so a few relaxations leave a small program.

What it may miss. Middling features are first relaxed on rough samples (5, then 12 across a strand)
and lose their hopeless strands there, with a margin of 2 %, then 1 % of the filling, or of ten
strand widths squared if that is more (the rows of the bulky slipper were made with half of
that, of the filling alone; `table --slipper bulky --again all` makes them anew). `proven` means that the last program, on samples of CELL
mm2, was solved to the end: it is right but for that margin and for the fine samples, which differ
from exact polygons by under 0.2 % of all but the smallest fillings (column `sampling`, a share of
the filling; no proven one is off by over 0.5 %). `best_mm2`, `plan_mm2` and `own_score` are
measured on polygons, circles as 128 corners. The bound is that of the samples, shifted by their
difference at the best filling; where the relaxation was not solved in time it is only the area of
the outline less the least that covering it costs. Where the program was not solved, the best
filling known is bettered by solving neighbourhoods of it until none wins: it may be short of the
best. The time limit is of the clock, so a busy machine proves less; `table` goes on where it ended.

Columns of the table: `candidates` are the strands that may win something, `plan_mm2` the plan's
objective by this script's measure and `ratio` its share of the best found, both when the table was
made; `program_score` and `own_score` the plan's score (without evenness) by the program and by
this script; `strange` counts strands of the plan that are not allowed here; `strands` is the best
filling, side (R the right or only one, L) and round:stitch:row of both ends.
"""
import argparse
import csv
import json
import math
import re
import subprocess
import sys
import tempfile
import time
import tomllib
from dataclasses import dataclass
from pathlib import Path

import highspy
import numpy as np
import scipy.sparse as sp
import shapely
from shapely.geometry import LineString, Polygon

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent

# The score's prices.
DOUBLED, STRAND, PIERCED, ASKEW, UNEVEN = 0.35, 0.50, 0.10, 0.25, 0.4


# ---------------------------------------------------------------------------- the fabric

class Fabric:
    """Needle points of a slipper in the instep frame, mm, from the counts of a plan."""

    def __init__(self, slipper):
        self.counts = slipper["counts"]
        self.spiral = slipper["rounds"] == "spiral"
        self.lean = slipper["lean"]
        self.row = slipper["row_mm"]
        self.wide = slipper["stitch_mm"] * slipper["stretch"]
        self.sign = -1.0 if slipper["hand"] == "right" else 1.0
        first_top = 1.5 if self.spiral else 1.0
        self.tops = first_top + np.arange(len(self.counts))
        last = len(self.counts)
        self.edge_tau = self.tau(last, slipper["centre_stitch"], 1.0)
        self.edge_turn = self.turn(last, slipper["centre_stitch"], 1.0)

    def tau(self, r, k, f):
        climb = (k - 0.5) / self.counts[r - 1] if self.spiral else 0.0
        return r - 1 + f + climb

    def around(self, tau):
        return float(np.interp(tau, self.tops, self.counts))

    def lean_turn(self, tau):
        """Integral of lean / N from 0 to tau, N linear between the tops and constant outside."""
        knots = [0.0, *[t for t in self.tops if t < tau], tau]
        total = 0.0
        for a, b in zip(knots, knots[1:]):
            n, m = self.around(a), self.around(b)
            total += (b - a) / n if abs(n - m) < 1e-9 else (b - a) * math.log(m / n) / (m - n)
        return self.lean * total

    def turn(self, r, k, f):
        return (k - 0.5) / self.counts[r - 1] - self.lean_turn(self.tau(r, k, f))

    def below(self, r, k):
        """The row of a needle point: 1 at the edge; less is the sole, beyond the edge."""
        if not self.spiral:
            return len(self.counts) - r + 1
        base = self.tau(r, k, 0.0)
        climbed = base - self.lean_turn(base)
        return math.floor(self.edge_tau - self.lean_turn(self.edge_tau) - climbed + 0.5)

    def points(self, open_only):
        """{(round, stitch, row): (x, y, pierces)}; half a turn to either side."""
        found = {}
        for r, count in enumerate(self.counts, 1):
            for k2 in range(1, 2 * count + 1):
                k = k2 / 2
                if self.below(r, k) < 1:
                    continue
                for f, row in ((0.0, "base"), (0.5, "middle")):
                    pierces = (k2 % 2 == 0) == (row == "middle")
                    if open_only and pierces:
                        continue
                    tau = self.tau(r, k, f)
                    turn = self.turn(r, k, f) - self.edge_turn
                    turn -= math.ceil(turn - 0.5)
                    x = self.sign * self.wide * self.around(tau) * turn
                    found[r, k, row] = (x, self.row * (self.edge_tau - tau), pierces)
        return found


# ---------------------------------------------------------------------------- what is filled

def polygon(path, pieces=64):
    """Closed path data of a plan (M L H V Q C Z, absolute) as an even-odd region."""
    tokens = re.findall(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?", path)
    rings, ring, at, letter = [], [], 0, None

    def numbers(count):
        nonlocal at
        values = [float(t) for t in tokens[at:at + count]]
        at += count
        return values

    while at < len(tokens):
        if tokens[at].isalpha():
            letter = tokens[at]
            at += 1
        if letter == "Z":
            rings.append(ring)
            ring = []
        elif letter == "M":
            ring = [tuple(numbers(2))]
            letter = "L"
        elif letter == "L":
            ring.append(tuple(numbers(2)))
        elif letter == "H":
            ring.append((numbers(1)[0], ring[-1][1]))
        elif letter == "V":
            ring.append((ring[-1][0], numbers(1)[0]))
        elif letter in "QC":
            degree = {"Q": 2, "C": 3}[letter]
            given = numbers(2 * degree)
            control = np.array([ring[-1], *zip(given[::2], given[1::2])])
            for i in range(1, pieces + 1):
                share = i / pieces
                weights = [math.comb(degree, j) * share**j * (1 - share)**(degree - j)
                           for j in range(degree + 1)]
                ring.append(tuple(np.array(weights) @ control))
        else:
            raise ValueError(f"{letter} in {path}")
    region = Polygon()
    for ring in rings:
        region = region.symmetric_difference(Polygon(ring).buffer(0))
    return region


def mirrored(shape):
    return shapely.transform(shape, lambda xy: xy * [-1.0, 1.0])


def bar(a, b, t):
    """Footprint: a rounded bar of total length |ab|, its ends within the needle points."""
    a, b = np.array(a), np.array(b)
    inset = (b - a) / np.hypot(*(b - a)) * t / 2
    return LineString([a + inset, b - inset]).buffer(t / 2, quad_segs=32)


@dataclass
class Strand:
    ends: tuple          # names of its needle points
    at: tuple            # where they lie
    side: int            # of a pair: 0 right, 1 left
    area: float
    price: float

    @property
    def cost(self):
        return DOUBLED * self.area + self.price


@dataclass
class Task:
    """One feature, pair or centred feature, and what may be sewn in it."""
    name: str
    kind: str            # single | pair | centred
    direction: float     # of the right side or half, degrees
    outlines: list       # of the right side first
    t: float
    strands: list
    room: dict           # free ends of each needle point
    sewn: list           # indices of the plan's own strands
    plan_score: float    # by the program
    strange: list        # strands of the plan that are not allowed here


# Figures of a plan have four decimals: a strand exactly as long as allowed (3.5 stitches of 14 to
# 10 cm are 25 mm) must not fall out by them.
ROUNDED = 1e-3


def allowed(points, room, outline, t, weave, direction, chevron, side):
    """All strands with 1.5 t <= L <= longest within the spread, whose footprint meets the
    outline."""
    longest, spread = weave["longest"], weave["spread"]
    x0, y0, x1, y1 = outline.buffer(longest).bounds
    names = [name for name, (x, y, _) in points.items()
             if room[name] > 0 and x0 <= x <= x1 and y0 <= y <= y1]
    x, y, pierces = np.array([points[name] for name in names]).T
    i, j = np.triu_indices(len(names), 1)
    length = np.hypot(x[i] - x[j], y[i] - y[j])
    near = (length >= 1.5 * t - ROUNDED) & (length <= longest + ROUNDED)
    i, j, length = i[near], j[near], length[near]
    middle = (x[i] + x[j]) / 2
    # The direction is that of the right side or half; on the left strands lie mirrored.
    flip = np.where((middle < 0) & chevron | (side == 1), -1.0, 1.0)
    lies = np.degrees(np.arctan2(-(y[j] - y[i]), flip * (x[j] - x[i])))
    off = (lies - direction) % 180.0
    off = np.minimum(off, 180.0 - off)
    keep = off <= spread + ROUNDED
    if chevron:      # a slanting strand across the very middle lies in neither half
        keep &= (np.abs(middle) >= 1e-3) | (off < 1e-6)
    i, j, length, off = i[keep], j[keep], length[keep], off[keep]
    lines = shapely.linestrings(np.stack([np.stack([x[i], y[i]], -1), np.stack([x[j], y[j]], -1)],
                                         axis=1))
    shapely.prepare(outline)
    meets = shapely.dwithin(outline, lines, t / 2)
    strands = []
    for a, b, long, turn in zip(i[meets], j[meets], length[meets], off[meets]):
        area = (long - t) * t + math.pi * t * t / 4
        price = t * t * (STRAND + PIERCED * (pierces[a] + pierces[b]))
        price += ASKEW * area * (turn / spread) ** 2 if turn > 0 else 0.0
        strands.append(Strand((names[a], names[b]), ((x[a], y[a]), (x[b], y[b])), side,
                              float(area), float(price)))
    return strands


WEAVE = {"longest": 25.0, "spread": 20.0, "hole_limit": 2, "points": "all"}


def tasks(plan, slipper):
    """What a plan fills, with the room that its other features leave."""
    weave = WEAVE | slipper.get("weave", {})
    points = Fabric(plan["slipper"]).points(weave["points"] == "open")
    key = lambda end: (end["round"], end["stitch"], end["row"])
    misplaced = 0.0
    used = {}
    for feature in plan["features"]:
        for strand in feature["strands"]:
            for end in (strand["up"], strand["down"]):
                used[key(end)] = used.get(key(end), 0) + 1
                x, y, _ = points[key(end)]
                misplaced = max(misplaced, math.hypot(end["x_mm"] - x, end["y_mm"] - y))
    if misplaced > 0.02:
        raise SystemExit(f"a needle point lies {misplaced:.3f} mm off: the models differ")
    fills = [f for f in plan["features"] if f["direction_deg"] is not None]
    for f in plan["features"]:
        if "direction" in f:
            told = f"{f['name']}: its direction is `{f['direction']}`; only straight ones are known"
            print(told + " here, so it is left out", file=sys.stderr)
    at = 0
    while at < len(fills):
        feature = fills[at]
        outline = polygon(feature["outline_mm"])
        unlike = outline.symmetric_difference(mirrored(outline)).area / outline.area
        group, kind = [feature], "centred" if unlike < 0.04 else "single"
        if at + 1 < len(fills) and fills[at + 1]["name"] == feature["name"]:
            other = polygon(fills[at + 1]["outline_mm"])
            if other.symmetric_difference(mirrored(outline)).area < 1e-3 * outline.area:
                group, kind = [fills[at + 1], feature], "pair"
        at += len(group)
        room = {name: weave["hole_limit"] - used.get(name, 0) for name in points}
        for f in group:
            for strand in f["strands"]:
                for end in (strand["up"], strand["down"]):
                    room[key(end)] += 1
        t, direction = group[0]["strand_mm"], group[0]["direction_deg"]
        outlines = [polygon(f["outline_mm"]) for f in group]
        strands = [s for side, outline in enumerate(outlines)
                   for s in allowed(points, room, outline, t, weave, direction,
                                    group[0]["mirrored"], side)]
        places = {(frozenset(s.ends), s.side): i for i, s in enumerate(strands)}
        sewn, strange = [], []
        for side, f in enumerate(group):
            for strand in f["strands"]:
                name = frozenset((key(strand["up"]), key(strand["down"]))), side
                (sewn if name in places else strange).append(places.get(name, name))
        score = sum(f["score_mm2"] for f in group)
        yield Task(feature["name"], kind, direction, outlines, t, strands, room, sewn, score,
                   strange)


def measured(task, chosen):
    """(score, joint objective) of some strands on exact polygons."""
    score, unions = 0.0, []
    for side, outline in enumerate(task.outlines):
        own = [task.strands[i] for i in chosen if task.strands[i].side == side]
        union = shapely.union_all([bar(*s.at, task.t) for s in own]) if own else Polygon()
        inside = union.intersection(outline).area
        score += inside - (union.area - inside)
        score -= sum(s.cost for s in own) - DOUBLED * union.area
        unions.append(union)
    uneven = 0.0
    if task.kind == "pair":
        uneven = UNEVEN * unions[0].symmetric_difference(mirrored(unions[1])).area
    if task.kind == "centred":
        uneven = UNEVEN / 2 * unions[0].symmetric_difference(mirrored(unions[0])).area
    return score, score - uneven


# ---------------------------------------------------------------------------- samples and cells

class Samples:
    """A square lattice, turned against the strands; pair and centred feature folded."""

    def __init__(self, task, cell, among=None):
        self.task, self.cell = task, cell
        self.pitch = math.sqrt(cell)
        self.layers = 1 if task.kind == "single" else 2
        self.most = (1 + DOUBLED) + (UNEVEN if self.layers == 2 else 0.0)
        turn = math.radians(38.0 - task.direction)
        self.axes = np.array([[math.cos(turn), math.sin(turn)],
                              [-math.sin(turn), math.cos(turn)]])
        corners = task.outlines[0].buffer(60).envelope.exterior.coords
        corners = np.array(corners) @ self.axes.T / self.pitch
        self.low = np.floor(corners.min(axis=0)).astype(int)
        self.shape = np.ceil(corners.max(axis=0)).astype(int) - self.low + 1
        i, j = np.meshgrid(*(np.arange(n) for n in self.shape), indexing="ij")
        xy = np.stack([i + self.low[0], j + self.low[1]], -1).reshape(-1, 2) * self.pitch
        xy = xy @ self.axes
        self.right = xy[:, 0] > 0
        self.inside = shapely.contains_xy(task.outlines[0], xy[:, 0], xy[:, 1])
        self.pieces = {}
        among = range(len(task.strands)) if among is None else among
        for s in among:
            self.pieces[s] = self.strand(task.strands[s])
        # Only samples that some strand covers are kept.
        covered = np.zeros(len(xy), bool)
        for layers in self.pieces.values():
            for piece in layers:
                covered[piece] = True
        number = np.cumsum(covered) - 1
        self.count = int(covered.sum())
        self.inside = self.inside[covered]
        self.pieces = {s: [number[p] for p in layers] for s, layers in self.pieces.items()}

    def covered(self, a, b):
        """Places in the lattice of the samples under a bar."""
        t = self.task.t
        a, b = np.array(a), np.array(b)
        inset = (b - a) / np.hypot(*(b - a)) * t / 2
        a = (self.axes @ (a + inset)) / self.pitch - self.low
        b = (self.axes @ (b - inset)) / self.pitch - self.low
        reach = t / 2 / self.pitch
        first = np.maximum(np.ceil(np.minimum(a, b) - reach).astype(int), 0)
        last = np.minimum(np.floor(np.maximum(a, b) + reach).astype(int), self.shape - 1)
        i = np.arange(first[0], last[0] + 1)[:, None]
        j = np.arange(first[1], last[1] + 1)[None, :]
        run = b - a
        share = ((i - a[0]) * run[0] + (j - a[1]) * run[1]) / max(run @ run, 1e-12)
        share = np.clip(share, 0, 1)
        far2 = (i - a[0] - share * run[0]) ** 2 + (j - a[1] - share * run[1]) ** 2
        under = (i * self.shape[1] + j)[far2 <= reach * reach]
        return under[self.right[under]] if self.task.kind == "centred" else under

    def strand(self, strand):
        """Samples covered on layer 0 (right) and layer 1 (left, mirrored)."""
        none = np.array([], dtype=int)
        mirror = [(-x, y) for x, y in strand.at]
        if self.task.kind == "single":
            return [self.covered(*strand.at)]
        if self.task.kind == "pair":
            here = self.covered(*(mirror if strand.side else strand.at))
            return [none, here] if strand.side else [here, none]
        return [self.covered(*strand.at), self.covered(*mirror)]

    def worth(self):
        """Strands that may win something at all."""
        return [s for s, layers in self.pieces.items()
                if self.most * self.cell * sum(np.count_nonzero(self.inside[p]) for p in layers)
                > self.task.strands[s].cost]

    def matrices(self, chosen):
        """Strands by samples, a matrix for each layer."""
        found = []
        for layer in range(self.layers):
            pieces = [self.pieces[s][layer] for s in chosen]
            rows = np.repeat(np.arange(len(chosen)), [len(p) for p in pieces])
            columns = np.concatenate(pieces) if pieces else np.array([], int)
            data = np.ones(len(rows), dtype=np.float64)
            found.append(sp.csr_matrix((data, (rows, columns)), (len(chosen), self.count)))
        return found

    def objective(self, chosen):
        """The joint objective of some strands, in samples."""
        covers = []
        for layer in range(self.layers):
            cover = np.zeros(self.count, bool)
            for s in chosen:
                cover[self.pieces[s][layer]] = True
            covers.append(cover)
        total = -sum(self.task.strands[s].cost for s in chosen)
        for cover in covers:
            inside = np.count_nonzero(cover & self.inside)
            outside = np.count_nonzero(cover) - inside
            total += self.cell * ((1 + DOUBLED) * inside - (1 - DOUBLED) * outside)
        if self.layers == 2:
            total -= self.cell * UNEVEN * np.count_nonzero(covers[0] ^ covers[1])
        return total


# ---------------------------------------------------------------------------- the program

class Program:
    """The integer program over some strands, others sewn for good."""

    def __init__(self, samples, free, fixed=()):
        self.samples, self.task = samples, samples.task
        self.free, self.fixed = list(free), list(fixed)
        self.columns, self.low, self.high, self.obj = 0, [], [], []
        self.rows = []
        for s in self.free:
            self.column(-self.task.strands[s].cost, 0, 1)
        self.offset = -sum(self.task.strands[s].cost for s in self.fixed)
        self.holes()
        self.conflicts()
        self.cells()

    def column(self, obj, low, high):
        self.obj.append(obj)
        self.low.append(low)
        self.high.append(high)
        self.columns += 1
        return self.columns - 1

    def holes(self):
        ends = {}
        room = dict(self.task.room)
        for s in self.fixed:
            for end in self.task.strands[s].ends:
                room[end] -= 1
        for x, s in enumerate(self.free):
            for end in self.task.strands[s].ends:
                ends.setdefault(end, []).append(x)
        for end, there in ends.items():
            if len(there) > room[end]:
                self.rows.append((-np.inf, room[end], there, [1.0] * len(there)))

    def conflicts(self):
        """Cliques of strands of which one at most is sewn; each pair is in one of them."""
        samples, count = self.samples, len(self.free)
        shared = 0
        for m in samples.matrices(self.free):
            m = m[:, samples.inside]
            shared = shared + m @ m.T
        own = shared.diagonal()
        cost = np.array([self.task.strands[s].cost for s in self.free])
        shared = shared.tocoo()
        useless = (samples.most * samples.cell * (own[shared.row] - shared.data)
                   <= cost[shared.row]) & (shared.row != shared.col)
        self.near = [0] * count
        pairs = set()
        for i, j in zip(shared.row[useless].tolist(), shared.col[useless].tolist()):
            self.near[i] |= 1 << j
            self.near[j] |= 1 << i
            pairs.add((min(i, j), max(i, j)))
        self.order = sorted(range(count), key=lambda i: (-self.near[i].bit_count(), i))
        self.rank = {i: at for at, i in enumerate(self.order)}
        for i, j in sorted(pairs):
            if (i, j) not in pairs:
                continue
            clique, rest = [i, j], self.near[i] & self.near[j]
            while rest:
                k = (rest & -rest).bit_length() - 1
                clique.append(k)
                rest &= self.near[k]
            clique.sort()
            for at, a in enumerate(clique):
                pairs.difference_update((a, b) for b in clique[at + 1:])
            self.rows.append((-np.inf, 1.0, clique, [1.0] * len(clique)))

    def cells(self):
        """Samples that the same strands cover, on each layer, and the differences of layers."""
        samples, layers = self.samples, self.samples.layers
        matrices = [m.T.tocsr() for m in samples.matrices(self.free)]
        # A sample's strands by the sum of a random number of each: 0 none, 1 already sewn there.
        marks = np.random.default_rng(1).integers(2, 2**63, len(self.free), dtype=np.uint64)
        hashes = [samples.inside.astype(np.uint64)]
        for layer in range(layers):
            m = matrices[layer]
            own = np.zeros(samples.count, np.uint64)
            rows = np.repeat(np.arange(samples.count), np.diff(m.indptr))
            np.add.at(own, rows, marks[m.indices])
            for s in self.fixed:
                own[samples.pieces[s][layer]] = 1
            hashes.append(own)
        names, first, sums = np.unique(np.stack(hashes, 1), axis=0, return_index=True,
                                       return_counts=True)
        ys = {}
        for name, c, many in zip(names.tolist(), first.tolist(), sums.tolist()):
            area, inside = many * samples.cell, name[0] == 1
            weight = area * ((1 + DOUBLED) if inside else -(1 - DOUBLED))
            both = []
            for layer in range(layers):
                key = (inside, layer, name[1 + layer])
                if key[2] == 1:
                    self.offset += weight
                    both.append(1)
                    continue
                if key[2] == 0:
                    both.append(0)
                    continue
                if key not in ys:
                    m = matrices[layer]
                    ys[key] = self.cell(inside, m.indices[m.indptr[c]:m.indptr[c + 1]].tolist())
                self.obj[ys[key]] += weight
                both.append((ys[key],))
            if layers == 2:
                self.uneven(area * UNEVEN, *both)

    def cell(self, inside, there):
        if len(there) == 1:
            return there[0]
        y = self.column(0.0, 0, 1)
        if inside:
            self.rows.append((-np.inf, 0.0, [y, *there], [1.0] + [-1.0] * len(there)))
            return y
        cliques = []
        for s in sorted(there, key=self.rank.get):
            for at, (mask, members) in enumerate(cliques):
                if mask & self.near[s] == mask:
                    cliques[at] = (mask | 1 << s, members + [s])
                    break
            else:
                cliques.append((1 << s, [s]))
        for _, members in cliques:
            self.rows.append((-np.inf, 0.0, [y, *members], [-1.0] + [1.0] * len(members)))
        return y

    def uneven(self, price, a, b):
        if a == b:
            return
        constant = [side for side in (a, b) if not isinstance(side, tuple)]
        if len(constant) == 2:
            self.offset -= price
        elif constant:
            y = (b if not isinstance(a, tuple) else a)[0]
            if constant[0] == 0:
                self.obj[y] -= price
            else:
                self.offset -= price
                self.obj[y] += price
        else:
            z = self.column(-price, 0, 1)
            self.rows.append((-np.inf, 0.0, [a[0], b[0], z], [1.0, -1.0, -1.0]))
            self.rows.append((-np.inf, 0.0, [b[0], a[0], z], [1.0, -1.0, -1.0]))

    def solver(self, integer, seconds):
        h = highspy.Highs()
        h.setOptionValue("output_flag", VERBOSE)
        h.setOptionValue("threads", 1)
        h.setOptionValue("time_limit", seconds)
        h.setOptionValue("mip_rel_gap", 1e-6)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = self.columns, len(self.rows)
        lp.sense_ = highspy.ObjSense.kMaximize
        lp.offset_ = self.offset
        lp.col_cost_ = np.array(self.obj, dtype=float)
        lp.col_lower_ = np.array(self.low, dtype=float)
        lp.col_upper_ = np.array(self.high, dtype=float)
        lp.row_lower_ = np.array([r[0] for r in self.rows], dtype=float)
        lp.row_upper_ = np.array([r[1] for r in self.rows], dtype=float)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.cumsum([0] + [len(r[2]) for r in self.rows])
        lp.a_matrix_.index_ = np.concatenate([r[2] for r in self.rows] or [[]]).astype(int)
        lp.a_matrix_.value_ = np.concatenate([r[3] for r in self.rows] or [[]])
        if integer:
            kinds = [highspy.HighsVarType.kContinuous] * self.columns
            kinds[:len(self.free)] = [highspy.HighsVarType.kInteger] * len(self.free)
            lp.integrality_ = kinds
        h.passModel(lp)
        return h

    def values(self, chosen):
        """All columns for some strands: a start for the solver."""
        solution = highspy.HighsSolution()
        x = np.zeros(self.columns)
        chosen = set(chosen)
        x[:len(self.free)] = [s in chosen for s in self.free]
        for low, high, columns, values in self.rows:
            if columns[0] >= len(self.free) and values[0] == 1.0:       # y inside
                x[columns[0]] = min(1.0, sum(x[c] for c in columns[1:]))
            elif columns[0] >= len(self.free) and values[0] == -1.0:    # y outside
                x[columns[0]] = max([x[columns[0]], *[x[c] for c in columns[1:]]])
        for low, high, columns, values in self.rows:
            if len(columns) == 3 and values == [1.0, -1.0, -1.0] and columns[2] > columns[0]:
                x[columns[2]] = max(x[columns[2]], x[columns[0]] - x[columns[1]])
        solution.col_value = x.tolist()
        return solution

    def solve(self, seconds, start=None):
        """(chosen of the free strands, value, bound, solved to the end)."""
        h = self.solver(True, seconds)
        if start is not None:
            h.setSolution(self.values(start))
        h.run()
        info = h.getInfo()
        optimal = h.getModelStatus() == highspy.HighsModelStatus.kOptimal
        x = np.array(h.getSolution().col_value)
        if info.primal_solution_status != 2 or len(x) == 0:
            return None, -math.inf, info.mip_dual_bound, False
        chosen = [s for s, value in zip(self.free, x) if value > 0.5]
        return chosen, info.objective_function_value, info.mip_dual_bound, optimal

    def relaxed(self, seconds):
        """(bound, reduced cost of each strand: what the bound falls by when it is sewn)."""
        h = self.solver(False, seconds)
        h.setOptionValue("solver", "choose")
        h.run()
        if h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        solution = h.getSolution()
        return (h.getInfo().objective_function_value,
                np.array(solution.col_dual)[:len(self.free)],
                np.array(solution.col_value)[:len(self.free)])


VERBOSE = False


# ---------------------------------------------------------------------------- solving

def fits(task, chosen):
    used = {}
    for s in chosen:
        for end in task.strands[s].ends:
            used[end] = used.get(end, 0) + 1
            if used[end] > task.room[end]:
                return False
    return True


def distance(task, a, b):
    """Between the middles of two strands, folded."""
    def middle(s):
        (x0, y0), (x1, y1) = s.at
        x = (x0 + x1) / 2
        return (abs(x) if task.kind != "single" else x), (y0 + y1) / 2
    (ax, ay), (bx, by) = middle(task.strands[a]), middle(task.strands[b])
    return math.hypot(ax - bx, ay - by)


def bettered(samples, falls, start, until):
    """Neighbourhoods of a filling solved, again and again, until none wins: the strands sewn next
    to each strand, and the candidates there that the relaxation likes best."""
    task, best, value = samples.task, list(start), samples.objective(start)
    stale, at = 0, 0
    while best and stale < len(best) and time.time() < until:
        centre = best[at % len(best)]
        at += 1
        sewn = sorted(best, key=lambda s: (distance(task, s, centre), s))[:UNPICKED]
        reach = max(distance(task, s, centre) for s in sewn) + 1e-9
        near = [s for s in falls if distance(task, s, centre) <= reach]
        near = sorted(near, key=lambda s: (-falls[s], s))[:NEAR]
        free = sorted(set(near) | set(sewn))
        fixed = [s for s in best if s not in set(free)]
        inner = [s for s in best if s in set(free)]
        program = Program(samples, free, fixed)
        chosen, _, _, _ = program.solve(min(10.0, max(0.5, until - time.time())), inner)
        stale += 1
        if chosen is not None and fits(task, fixed + chosen):
            found = samples.objective(fixed + chosen)
            if found > value + 1e-6:
                best, value, stale = fixed + chosen, found, 0
    return best


class Attempt:
    """The fillings known of one task, and the bound."""

    def __init__(self, task, cell, seconds, log):
        self.task, self.cell = task, cell
        self.began, self.seconds = time.time(), seconds
        self.log = lambda *words: log(*words, f"{self.spent():.0f} s")
        self.plan = measured(task, task.sewn)
        self.known = [(self.plan[1], sorted(task.sewn))]
        self.bound, self.proven = math.inf, False

    def spent(self):
        return time.time() - self.began

    def left(self):
        return max(1.0, self.seconds - self.spent())

    def best(self):
        return max(self.known)[1]

    def consider(self, chosen):
        if chosen is not None:
            self.known.append((measured(self.task, chosen)[1], sorted(chosen)))

    def run(self):
        """Level by level, from rough samples to fine ones, with fewer strands each time."""
        free = sorted(set(Samples(self.task, (self.task.t / 12) ** 2).worth()) | set(self.best()))
        self.candidates = len(free)
        self.bound = self.cheapest(free)
        before = None
        for rough, least, most, margin in LEVELS:
            if len(free) < least:
                continue
            if len(free) > most or self.spent() > self.seconds:
                break
            cell = max(self.cell, (self.task.t / rough) ** 2) if rough else self.cell
            samples = Samples(self.task, cell, free)
            free = self.level(samples, free, margin)
            if free is None:
                return
            before = samples, free, margin
        if before and self.spent() < self.seconds:
            self.finish(*before)

    def cheapest(self, free):
        """A bound for all: what is covered takes at least as much strand as it has area, and that
        costs at least as much as the strand that is cheapest for its area."""
        strands = [self.task.strands[s] for s in free]
        least = min((s.price / s.area for s in strands), default=1.0)
        return sum(outline.area for outline in self.task.outlines) * (1 - min(least, 1.0))

    def level(self, samples, free, margin):
        """The strands left after the relaxation; `None` when nothing is left to do."""
        while True:
            program = Program(samples, free)
            value = samples.objective(self.best())
            relaxed = program.relaxed(self.left())
            if relaxed is None:
                self.log(f"  {len(free)} strands, {len(program.rows)} rows: not relaxed")
                return None
            top, falls, x = relaxed
            loose = self.loose(margin, value)
            self.bound = min(self.bound, max(top, value) + loose + self.shift(samples))
            if margin and top > value + loose:
                self.seek(samples, free, dict(zip(free, falls)), x)
                value = samples.objective(self.best())
            sewn = set(self.best())
            fewer = [s for s, fall in zip(free, falls)
                     if top + fall >= value - loose - 1e-6 or s in sewn]
            self.log(f"  {len(free)} strands, {len(program.rows)} rows, {samples.count} samples: "
                     f"relaxed {top:.2f} of {value:.2f}, {len(fewer)} left")
            if margin:
                return fewer
            if len(fewer) > 0.7 * len(free):
                self.finish(samples, fewer, 0.0)
                return None
            free = fewer

    def shift(self, samples):
        """Polygons less samples, at the best filling."""
        joint, chosen = max(self.known)
        return joint - samples.objective(chosen)

    def loose(self, margin, value):
        """What rough samples may miss, mm2: a share of the filling, or of a strand if that is
        more."""
        return margin * max(abs(value), 10 * self.task.t ** 2)

    def seek(self, samples, free, falls, x):
        """Better fillings: of what the relaxation likes best, then neighbourhood by
        neighbourhood."""
        ranked = sorted(range(len(free)), key=lambda i: (-x[i], -falls[free[i]]))
        few = sorted({free[i] for i in ranked[:FEW]} | set(self.best()))
        chosen, *_ = Program(samples, few).solve(0.15 * self.left(), self.best())
        for start in {tuple(sorted(chosen or [])), tuple(self.best())}:
            self.consider(bettered(samples, falls, start, time.time() + 0.25 * self.left()))
        self.consider(chosen)

    def finish(self, samples, free, margin):
        """The integer program over what is left."""
        program = Program(samples, free)
        chosen, _, dual, optimal = program.solve(self.left(), self.best())
        self.consider(chosen)
        value = samples.objective(self.best())
        loose = self.loose(margin, value)
        self.bound = min(self.bound, max(dual, value) + loose + self.shift(samples))
        self.proven = optimal and not margin
        self.log(f"  solved: {len(free)} strands, {len(program.rows)} rows, bound {dual:.2f} of "
                 f"{value:.2f}, {'to the end' if optimal else 'not to the end'}")


def written(strand):
    """A strand as the table has it: the side, and round:stitch:row of both ends."""
    ends = (f"{r}:{k:g}:{row}" for r, k, row in strand.ends)
    return f"{'RL'[strand.side]}:" + "-".join(ends)


def solve(task, cell, seconds, log=lambda *_: None, known=()):
    """A row of the table; `known` is a filling found before."""
    attempt = Attempt(task, cell, seconds, log)
    attempt.consider(list(known))
    attempt.log(f"{task.name}: {len(task.strands)} strands")
    attempt.run()
    joint, chosen = max(attempt.known)
    shift = joint - Samples(task, cell, chosen).objective(chosen) if chosen else 0.0
    bound = max(joint, attempt.bound)
    attempt.log(f"  best {joint:.2f}, plan {attempt.plan[1]:.2f}, bound {bound:.2f}, "
                f"{'proven' if attempt.proven else 'open'}")
    return {
        "kind": task.kind, "direction": f"{task.direction:g}", "candidates": attempt.candidates,
        "outline_mm2": f"{sum(o.area for o in task.outlines):.2f}",
        "plan_mm2": f"{attempt.plan[1]:.2f}", "best_mm2": f"{joint:.2f}",
        "bound_mm2": f"{bound:.2f}",
        "proven": "yes" if attempt.proven else "no",
        "ratio": f"{attempt.plan[1] / joint:.4f}" if joint > 0 else "",
        "program_score": f"{task.plan_score:.2f}", "own_score": f"{attempt.plan[0]:.2f}",
        "sampling": f"{abs(shift) / max(abs(joint), 1e-9):.4f}",
        "strange": len(task.strange), "seconds": f"{attempt.spent():.0f}",
        "strands": " ".join(sorted(written(task.strands[s]) for s in chosen)),
    }


# Samples across a strand (none: as fine as asked), least and most strands that are looked at so,
# and the share of the best filling that the samples may miss. Without the rough looks first the
# relaxation of a middling feature takes minutes.
LEVELS = [(5, 350, 4500, 0.02), (12, 120, 700, 0.01), (None, 0, 260, 0.0)]
# Strands of the first integer program; strands unpicked in a neighbourhood, candidates there.
FEW, UNPICKED, NEAR = 90, 5, 120


# ---------------------------------------------------------------------------- the table

SLIPPERS = ["bulky", "worsted", "sport"]
COLUMNS = ["slipper", "face", "feature", "kind", "direction", "candidates", "outline_mm2", "best_mm2",
           "bound_mm2", "proven", "plan_mm2", "ratio", "program_score", "own_score", "sampling",
           "strange", "seconds", "strands"]


def cut_faces():
    """Each fill of each bundled face as a face of its own."""
    out = HERE / "faces"
    out.mkdir(exist_ok=True)
    for path in sorted((ROOT / "faces").glob("*.toml")):
        face = tomllib.loads(path.read_text())
        for feature in face["feature"]:
            if "line" in feature or "knot" in feature:
                continue
            direction = feature["direction"]
            if isinstance(direction, dict):
                straight = "mirrored" in direction
                direction = f"{{ mirrored = {direction.get('mirrored')} }}"
            else:
                straight = not isinstance(direction, str)
            if not straight:
                print(f"{path.stem} {feature['name']}: its direction bends; its file stays as it is",
                      file=sys.stderr)
                continue
            lines = [
                f"# One fill of faces/{path.name}, written by tests/reference/exact.py.",
                f'name = "{face["name"]}, {feature["name"]}"',
                f"width = {face['width']}", f"height = {face['height']}", "",
                f"[threads.{feature['thread']}]",
                f'colour = "{face["threads"][feature["thread"]]["colour"]}"', "",
                "[[feature]]", f'name = "{feature["name"]}"',
                *(["pair = true"] if feature.get("pair") else []),
                f'path = "{" ".join(feature["path"].split())}"',
                f"direction = {direction}", f'thread = "{feature["thread"]}"',
            ]
            name = f"{path.stem}-{feature['name'].replace(' ', '-')}.toml"
            (out / name).write_text("\n".join(lines) + "\n")


def planned(program, slipper, face):
    """The plan of a face that stays exactly where it is drawn."""
    with tempfile.TemporaryDirectory() as out:
        told = subprocess.run([program, "plan", slipper, face, "--exact", "--json", "--out", out],
                              capture_output=True, text=True, check=False)
        if told.returncode == 2:
            raise SystemExit(told.stderr)
        return json.loads(told.stdout)


def table(asked, log):
    """Each reference face on each reference slipper; rows that are there already stay unless
    they are to be tried again for longer."""
    path = asked.out
    rows = {}
    if path.exists():
        with path.open() as text:
            rows = {(r["slipper"], r["face"]): r for r in csv.DictReader(text)}
    for slipper in asked.slipper or SLIPPERS:
        stated = HERE / "slippers" / f"{slipper}.toml"
        todo = []
        for face in sorted((HERE / "faces").glob("*.toml")):
            if asked.face and face.stem not in asked.face:
                continue
            old = rows.get((slipper, face.stem))
            if old and asked.again != "all" and (old["proven"] == "yes" or not asked.again):
                continue
            (task,) = tasks(planned(asked.program, stated, face), tomllib.loads(stated.read_text()))
            todo.append((len(task.strands), face.stem, task))
        for _, face, task in sorted(todo, key=lambda t: t[:2]):
            old = rows.get((slipper, face))
            known = []
            if old:
                places = {written(s): i for i, s in enumerate(task.strands)}
                known = [places[s] for s in old["strands"].split()]
            row = {"slipper": slipper, "face": face, "feature": task.name}
            row |= solve(task, asked.cell, asked.seconds, log, known)
            if old:
                row["bound_mm2"] = min(old["bound_mm2"], row["bound_mm2"], key=float)
            rows[slipper, face] = row
            with path.open("w", newline="") as text:
                out = csv.DictWriter(text, COLUMNS, lineterminator="\n")
                out.writeheader()
                out.writerows(rows[key] for key in sorted(rows))
    report(rows.values())


def report(rows):
    """What loses more than half a per cent of the best found."""
    rows = list(rows)
    print(f"{len(rows)} entries, {sum(r['proven'] == 'yes' for r in rows)} proven")
    for r in sorted(rows, key=lambda r: float(r["ratio"] or 1)):
        if float(r["ratio"] or 1) < 0.995:
            print(f"{r['slipper']:8} {r['face']:24} {r['kind']:8} {r['candidates']:>5} strands, plan "
                  f"{r['plan_mm2']:>8} best {r['best_mm2']:>8} bound {r['bound_mm2']:>8} "
                  f"{'proven' if r['proven'] == 'yes' else 'open  '} {float(r['ratio']):.4f}")
    for r in rows:
        own, theirs = float(r["own_score"]), float(r["program_score"])
        if abs(own - theirs) > 0.01 * float(r["outline_mm2"]) or int(r["strange"]):
            print(f"differs: {r['slipper']} {r['face']}: score {theirs} by the program, {own} here; "
                  f"{r['strange']} strands not allowed here")


def main():
    global VERBOSE
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    what = parser.add_subparsers(dest="what", required=True)
    one = what.add_parser("plan", help="the fills of one plan")
    one.add_argument("slipper", type=Path)
    one.add_argument("plan", type=Path)
    one.add_argument("--feature", help="this one only")
    what.add_parser("faces", help="write tests/reference/faces")
    many = what.add_parser("table", help="write tests/reference/proven.csv")
    many.add_argument("--program", default=str(ROOT / "target/release/instep"))
    many.add_argument("--out", type=Path, default=HERE / "proven.csv")
    many.add_argument("--slipper", action="append", help="these only")
    many.add_argument("--again", choices=["open", "all"], help="what is there already once more")
    many.add_argument("--face", action="append", help="these only")
    what.add_parser("report", help="what the table says is lost")
    for command in (one, many):
        command.add_argument("--seconds", type=float, default=60.0, help="for one feature")
        command.add_argument("--cell", type=float, default=0.02, help="mm2 a sample")
        command.add_argument("--verbose", action="store_true")
    asked = parser.parse_args()
    log = lambda *words: print(*words, file=sys.stderr, flush=True)
    if asked.what == "faces":
        return cut_faces()
    if asked.what == "report":
        with (HERE / "proven.csv").open() as text:
            return report(csv.DictReader(text))
    VERBOSE = asked.verbose
    if asked.what == "table":
        return table(asked, log)
    slipper = tomllib.loads(asked.slipper.read_text())
    rows = []
    for task in tasks(json.loads(asked.plan.read_text()), slipper):
        if asked.feature in (None, task.name):
            row = {"slipper": "", "face": "", "feature": task.name}
            rows.append(row | solve(task, asked.cell, asked.seconds, log))
            print(json.dumps({k: v for k, v in rows[-1].items() if v != ""}), flush=True)
    report([r | {"face": r["feature"]} for r in rows])


if __name__ == "__main__":
    main()
