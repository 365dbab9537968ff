//! The fabric as it is worked: every stitch where it really lies, leaning and rising, and its
//! open needle points.

use kurbo::{BezPath, Point};

use super::scene::{dot, one_way_round, polygon, polyline};
use super::view::{Tints, View};
use super::{Colour, Group, Pen};
use crate::fabric::{Instep, PointKind, Spot};

/// All stitches in view, with the line at the foot of every row.
#[must_use]
pub fn stitches(instep: &Instep, view: &View, tints: Tints) -> Group {
    let shell = instep.shell();
    let (mut ground, mut legs, mut feet) = (BezPath::new(), BezPath::new(), BezPath::new());
    for round in 1..=shell.last_round() {
        let stitches = shell.hand().left_to_right(shell.count(round));
        let cells = row_of_cells(instep, view, (round, 0.0), stitches);
        for band in cells.chunk_by(Cell::joins) {
            add_band(&mut ground, band, 0.5, (0.0, 1.0));
            feet.move_to(band[0].at(-0.5, 0.0));
            for cell in band {
                feet.line_to(cell.at(0.5, 0.0));
            }
        }
        for cell in cells {
            cell.add_legs(&mut legs, 1.0);
        }
    }
    let mut group = Group::new("stitches");
    group.fill(&ground, tints.ground);
    group.fill(&legs, tints.stitch);
    group.line(&feet, Pen::new(tints.ground.mix(tints.shade, 0.35), 0.14));
    group
}

/// The cells in view of some stitches of a round, or of a row of the strip above it.
fn row_of_cells(
    instep: &Instep,
    view: &View,
    (round, row): (u32, f64),
    stitches: impl Iterator<Item = u32>,
) -> Vec<Cell> {
    let cell = |stitch| Cell::new(instep, view, round, f64::from(stitch), row);
    stitches.filter_map(cell).collect()
}

/// The first row of the flat strip, where the rounds go on to the heel: faint.
#[must_use]
pub fn strip(instep: &Instep, view: &View, tints: Tints) -> Group {
    let shell = instep.shell();
    let round = shell.last_round();
    let (mut ground, mut legs) = (BezPath::new(), BezPath::new());
    for row in [1.0, 2.0, 3.0] {
        let all = shell.hand().left_to_right(shell.last_count());
        let worked = all.filter(|stitch| !open(instep).contains(stitch));
        let cells = row_of_cells(instep, view, (round, row), worked);
        for band in cells.chunk_by(Cell::joins) {
            add_band(&mut ground, band, 0.5, (0.0, 1.0));
        }
        for cell in cells {
            cell.add_legs(&mut legs, 1.0);
        }
    }
    let mut group = Group::new("strip");
    let faint = tints.ground.mix(Colour::PAPER, 0.55);
    group.fill(&ground, faint);
    group.fill(&legs, tints.stitch.mix(Colour::PAPER, 0.55));
    group
}

/// The opening edge: the tops of the open stitches, a chain along the last round.
#[must_use]
pub fn opening_edge(instep: &Instep, view: &View, tints: Tints) -> Group {
    let round = instep.shell().last_round();
    let mut chain = BezPath::new();
    let mut line = Vec::new();
    for stitch in open(instep) {
        if let Some(cell) = Cell::new(instep, view, round, f64::from(stitch), 0.0) {
            let (a, b) = (cell.at(-0.5, 1.0), cell.at(0.5, 1.0));
            chain.move_to(a);
            chain.quad_to(cell.at(0.0, 1.24), b);
            chain.quad_to(cell.at(0.0, 0.82), a);
            chain.close_path();
            line.extend([a, b]);
        }
    }
    let mut group = Group::new("opening-edge");
    group.line(&polyline(line), Pen::new(Colour::INK, 1.1));
    group.line(&chain, Pen::new(Colour::INK, 0.5));
    group.fill(&chain, tints.stitch);
    group
}

/// Width of the dot of a hook hole, mm of the sheet.
pub const HOOK_HOLE_MM: f64 = 0.62;

/// Width of the dot of a gap, mm of the sheet.
pub const GAP_MM: f64 = 0.4;

/// Needle points in view that are open: hook holes larger, gaps smaller. At the back, where the
/// page tears the fabric, they are left out with the torn stitches.
#[must_use]
pub fn open_points(instep: &Instep, view: &View, tints: Tints) -> Group {
    let (mut holes, mut gaps) = (BezPath::new(), BezPath::new());
    for placed in instep.points() {
        let torn = instep.turn_deg(placed.at).abs() > 168.0;
        if view.shows(placed.at, 1.0) && !torn {
            let at = view.to_sheet() * placed.at;
            match placed.point.kind() {
                PointKind::HookHole => dot(&mut holes, at),
                PointKind::Gap => dot(&mut gaps, at),
                PointKind::BetweenTops | PointKind::Post => {}
            }
        }
    }
    let mut group = Group::new("needle-points");
    group.line(&holes, Pen::new(tints.shade, HOOK_HOLE_MM));
    group.line(&gaps, Pen::new(tints.shade, GAP_MM));
    group
}

/// The open stitches of the last round.
fn open(instep: &Instep) -> std::ops::RangeInclusive<u32> {
    let shell = instep.shell();
    let extra = shell.extra_before_turn();
    extra + 1..=(extra + shell.open_stitches()).min(shell.last_count())
}

/// How far apart corners of neighbours may lie, mm: a third of a pixel.
const MEET_MM: f64 = 0.05;

/// Adds cells that stand side by side, left to right, as one shape. It goes from `-aside` in the
/// first to `aside` in the last, and from one height to another; past 1/2, 0 and 1 it laps over
/// its neighbours. All shapes are the same way round, so that they may overlap.
pub(super) fn add_band(path: &mut BezPath, band: &[Cell], aside: f64, (low, high): (f64, f64)) {
    let last = band.len() - 1;
    let side = |up: f64| {
        let left = band[0].at(-aside, up);
        let right = band.iter().enumerate();
        let right =
            right.map(move |(index, cell)| cell.at(if index == last { aside } else { 0.5 }, up));
        std::iter::once(left).chain(right).collect::<Vec<Point>>()
    };
    let shape = polygon(side(low).into_iter().chain(side(high).into_iter().rev()));
    path.extend(one_way_round(shape));
}

/// One stitch on the sheet: corners at its foot and top, left and right.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    pub(super) foot: [Point; 2],
    pub(super) top: [Point; 2],
}

impl Cell {
    /// `None` out of view, and where the cell is torn by the back of the page.
    fn new(instep: &Instep, view: &View, round: u32, stitch: f64, row: f64) -> Option<Self> {
        let corner = |side: f64, up: f64| {
            instep.unfold(Spot {
                round,
                stitch: stitch + side,
                row: row + up,
            })
        };
        let middle = corner(0.0, 0.5);
        let reach = instep.stitch_mm() + instep.row_mm();
        if !view.shows(middle, reach) {
            return None;
        }
        let right = 0.5 * instep.shell().hand().sign();
        let left = -right;
        let cell = [
            corner(left, 0.0),
            corner(right, 0.0),
            corner(left, 1.0),
            corner(right, 1.0),
        ];
        let torn = instep.around_mm_at(middle.y) / 2.0;
        if cell.iter().any(|c| (c.x - middle.x).abs() > torn) {
            return None;
        }
        let [a, b, c, d] = cell.map(|corner| view.to_sheet() * corner);
        Some(Self {
            foot: [a, b],
            top: [c, d],
        })
    }

    /// A place in the cell: `across` -1/2 left to 1/2 right, `up` 0 at the foot to 1 at the top.
    pub(super) fn at(&self, across: f64, up: f64) -> Point {
        let share = across + 0.5;
        let foot = self.foot[0].lerp(self.foot[1], share);
        foot.lerp(self.top[0].lerp(self.top[1], share), up)
    }

    /// True where its right side is the left side of another, and both show the same face.
    pub(super) fn joins(&self, other: &Self) -> bool {
        let meet = |a: [Point; 2], b: [Point; 2]| a[1].distance(b[0]) < MEET_MM;
        let face = |cell: &Self| {
            let [foot, top] = [cell.foot, cell.top];
            (foot[1] - foot[0]).cross(top[0] - foot[0]).signum()
        };
        meet(self.foot, other.foot)
            && meet(self.top, other.top)
            && face(self).total_cmp(&face(other)).is_eq()
    }

    /// The two legs of a single crochet stitch, rising apart from its foot; both the same way
    /// round, so that legs of neighbours may touch. `swell` 1 is the yarn, less a slimmer and
    /// shorter leg in the middle of it.
    pub(super) fn add_legs(&self, path: &mut BezPath, swell: f64) {
        for side in [-1.0, 1.0] {
            let at = |across: f64, up: f64| {
                // From the middle line of the leg, which leans outward, and from its mid-height.
                let middle = 0.17 + 0.19 * up;
                let up = 0.55 + (up - 0.55) * (0.4 + 0.6 * swell);
                let middle_there = 0.17 + 0.19 * up;
                self.at(side * (middle_there + (across - middle) * swell), up)
            };
            let foot = at(0.05, 0.02);
            let (outer, inner) = (at(0.455, 0.86), at(0.235, 0.94));
            let outside = [at(0.36, 0.05), at(0.50, 0.48)];
            let inside = [at(0.15, 0.78), at(0.03, 0.46)];
            let over = [at(0.44, 1.04), at(0.29, 1.10)];
            path.move_to(foot);
            if side < 0.0 {
                path.curve_to(outside[0], outside[1], outer);
                path.curve_to(over[0], over[1], inner);
                path.curve_to(inside[0], inside[1], foot);
            } else {
                path.curve_to(inside[1], inside[0], inner);
                path.curve_to(over[1], over[0], outer);
                path.curve_to(outside[1], outside[0], foot);
            }
            path.close_path();
        }
    }
}
