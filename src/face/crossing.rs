//! Where the edges of closed shapes cross or lie on each other.
//!
//! Touching at a point is no fault: inside and outside stay clear. Crossing is one, even though
//! the even-odd rule would give it an inside: it is nearly always a slip of the pen.

use kurbo::{BezPath, PathEl, Point, Vec2, flatten};

/// Curves are laid out as straight pieces that leave them by at most this share of the larger
/// side of the box. A crossing of curves must go deeper than that to count, so that two curves
/// that only touch are not taken to cross; a crossing whose piece happens to end so close behind
/// the other edge would be missed, hence the second layout with other ends.
const FLATNESS: [f64; 2] = [1e-4, 1.3e-5];

/// Points closer than this share of the box are one point: rounding of relative commands.
const SAME: f64 = 1e-9;

/// Curved branches that leave a shared point closer than this, in radians, count as touching:
/// above the angle between a piece and its curve.
const SAME_WAY: f64 = 0.05;

/// What is wrong with the edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Clash {
    /// One passes through the other here.
    Cross(Point),
    /// They run along each other here.
    Overlap(Point),
}

/// The first clash of the edges of closed subpaths, from the left; `size` is the larger side of
/// the box.
pub(super) fn first_clash(path: &BezPath, size: f64) -> Option<Clash> {
    FLATNESS
        .iter()
        .find_map(|share| Edges::new(path, size, share * size).first_clash())
}

/// A straight piece of a ring.
#[derive(Debug, Clone, Copy)]
struct Edge {
    from: Point,
    to: Point,
    /// Where the edge before begins and the edge after ends.
    before: Point,
    after: Point,
    ring: usize,
    index: usize,
    /// Number of edges of the ring.
    count: usize,
    curved: bool,
}

struct Edges {
    edges: Vec<Edge>,
    same: f64,
    depth: f64,
}

impl Edges {
    fn new(path: &BezPath, size: f64, flatness: f64) -> Self {
        let same = SAME * size;
        let mut edges = Vec::new();
        for (ring, corners) in rings(path, flatness, same).iter().enumerate() {
            let count = corners.len();
            let corner = |index: usize| corners[index % count].0;
            edges.extend((0..count).map(|index| Edge {
                from: corner(index),
                to: corner(index + 1),
                before: corner(index + count - 1),
                after: corner(index + 2),
                ring,
                index,
                count,
                curved: corners[(index + 1) % count].1,
            }));
        }
        edges.sort_by(|a, b| a.left().total_cmp(&b.left()));
        Self {
            edges,
            same,
            depth: flatness,
        }
    }

    /// Compares each edge with those that begin, from the left, before it ends.
    fn first_clash(&self) -> Option<Clash> {
        for (index, a) in self.edges.iter().enumerate() {
            for b in &self.edges[index + 1..] {
                if b.left() > a.right() + self.same {
                    break;
                }
                if let Some(clash) = self.clash(a, b) {
                    return Some(clash);
                }
            }
        }
        None
    }

    fn clash(&self, a: &Edge, b: &Edge) -> Option<Clash> {
        if a.top() > b.bottom() + self.same || b.top() > a.bottom() + self.same {
            return None;
        }
        if a.is_next(b) {
            return self.folds_back(a, b);
        }
        if b.is_next(a) {
            return self.folds_back(b, a);
        }
        let (b_from, b_to) = (a.side(b.from), a.side(b.to));
        let (a_from, a_to) = (b.side(a.from), b.side(a.to));
        let on = |side: f64| side.abs() <= self.same;
        if on(b_from) && on(b_to) && on(a_from) && on(a_to) {
            return self.overlap(a, b);
        }
        let depth = if a.curved || b.curved {
            self.depth
        } else {
            self.same
        };
        let through =
            |one: f64, other: f64| one * other < 0.0 && one.abs().min(other.abs()) > depth;
        if through(b_from, b_to) && through(a_from, a_to) {
            let share = a_from / (a_from - a_to);
            return Some(Clash::Cross(a.from.lerp(a.to, share)));
        }
        let touch = |edge: &Edge, point: Point| edge.distance(point) <= self.same;
        [(a, b.from), (a, b.to), (b, a.from), (b, a.to)]
            .into_iter()
            .find(|&(edge, point)| touch(edge, point))
            .filter(|&(_, point)| self.passes_through(a, b, point))
            .map(|(_, point)| Clash::Cross(point))
    }

    /// The path turns back on itself at the end of `a`.
    fn folds_back(&self, a: &Edge, b: &Edge) -> Option<Clash> {
        let back = (a.from - a.to).dot(b.to - b.from) > 0.0;
        let along = a.side(b.to).abs() <= self.same && b.side(a.from).abs() <= self.same;
        (back && along).then_some(Clash::Overlap(a.to))
    }

    /// Both on one line: do they share more than a point?
    fn overlap(&self, a: &Edge, b: &Edge) -> Option<Clash> {
        let way = a.way();
        let along = |point: Point| (point - a.from).dot(way);
        let (low, high) = (
            along(b.from).min(along(b.to)).max(0.0),
            along(b.from).max(along(b.to)).min(along(a.to)),
        );
        (high - low > self.same).then(|| Clash::Overlap(a.from + way * ((low + high) / 2.0)))
    }

    /// At a point of both edges: do the four branches alternate, so that one path passes through
    /// the other?
    fn passes_through(&self, a: &Edge, b: &Edge, point: Point) -> bool {
        let [a_in, a_out] = self.branches(a, point);
        let [b_in, b_out] = self.branches(b, point);
        let same_way = if a.curved || b.curved { SAME_WAY } else { SAME };
        let turn_out = turn(a_in, a_out);
        let within = |way: Vec2| {
            let angle = turn(a_in, way);
            let clear = [0.0, turn_out, std::f64::consts::TAU]
                .iter()
                .all(|edge| (angle - edge).abs() > same_way);
            clear.then_some(angle < turn_out)
        };
        match (within(b_in), within(b_out)) {
            (Some(one), Some(other)) => one != other,
            _ => false,
        }
    }

    /// The ways in which a path leaves one of its points, backward and forward.
    fn branches(&self, edge: &Edge, point: Point) -> [Vec2; 2] {
        let near = |corner: Point| corner.distance(point) <= self.same;
        let (back, on) = if near(edge.from) {
            (edge.before, edge.to)
        } else if near(edge.to) {
            (edge.from, edge.after)
        } else {
            (edge.from, edge.to)
        };
        [back - point, on - point]
    }
}

impl Edge {
    fn left(&self) -> f64 {
        self.from.x.min(self.to.x)
    }
    fn right(&self) -> f64 {
        self.from.x.max(self.to.x)
    }
    fn top(&self) -> f64 {
        self.from.y.min(self.to.y)
    }
    fn bottom(&self) -> f64 {
        self.from.y.max(self.to.y)
    }
    /// Unit vector along the edge.
    fn way(&self) -> Vec2 {
        (self.to - self.from).normalize()
    }
    /// Distance of a point from the edge's line, + on one side, - on the other.
    fn side(&self, point: Point) -> f64 {
        self.way().cross(point - self.from)
    }
    /// Distance of a point from the edge itself.
    fn distance(&self, point: Point) -> f64 {
        let along = (point - self.from).dot(self.way());
        let length = self.from.distance(self.to);
        point.distance(self.from + self.way() * along.clamp(0.0, length))
    }
    /// `next` follows this edge in the same ring.
    fn is_next(&self, next: &Self) -> bool {
        self.ring == next.ring && (self.index + 1) % self.count == next.index
    }
}

/// Angle from one way to another, 0 to a full turn.
fn turn(from: Vec2, to: Vec2) -> f64 {
    (to.atan2() - from.atan2()).rem_euclid(std::f64::consts::TAU)
}

/// The corners of each closed subpath, and whether the edge that leads there is of a curve.
/// Corners that coincide are one; rings of under three corners have no area and are left out.
fn rings(path: &BezPath, flatness: f64, same: f64) -> Vec<Vec<(Point, bool)>> {
    let mut rings: Vec<Vec<(Point, bool)>> = Vec::new();
    let mut at = Point::ORIGIN;
    for element in path.elements() {
        match (*element, rings.last_mut()) {
            (PathEl::MoveTo(start), _) => {
                rings.push(vec![(start, false)]);
                at = start;
            }
            (PathEl::ClosePath, _) | (_, None) => {}
            (PathEl::LineTo(to), Some(ring)) => {
                ring.push((to, false));
                at = to;
            }
            (curve @ (PathEl::QuadTo(..) | PathEl::CurveTo(..)), Some(ring)) => {
                flatten([PathEl::MoveTo(at), curve], flatness, |piece| {
                    if let PathEl::LineTo(to) = piece {
                        ring.push((to, true));
                    }
                });
                at = curve.end_point().unwrap_or(at);
            }
        }
    }
    for ring in &mut rings {
        ring.dedup_by(|next, corner| next.0.distance(corner.0) <= same);
        while ring.len() > 1 && ring[0].0.distance(ring[ring.len() - 1].0) <= same {
            // The edge that closes the ring is the one that led to the corner taken away.
            ring[0].1 = ring[ring.len() - 1].1;
            ring.pop();
        }
    }
    rings.retain(|ring| ring.len() > 2);
    rings
}
