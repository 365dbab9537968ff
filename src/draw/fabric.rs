//! The fabric as it is worked: every stitch where it really lies, leaning and rising, and the
//! lines a maker looks for on it.

use kurbo::{Affine, BezPath, Point, Rect};

use super::scene::{polyline, segment};
use super::{Colour, Group, Pen};
use crate::fabric::{Instep, PointKind, RowPart, Spot};

/// A window on the instep and where it lies on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// What is shown, mm of the instep frame.
    pub window: Rect,
    /// Top left corner of the window on the sheet, mm.
    pub corner: Point,
    /// Times larger on the sheet than as worn.
    pub enlarged: f64,
}

impl View {
    /// From the instep frame to the sheet, mm to mm.
    #[must_use]
    pub fn to_sheet(&self) -> Affine {
        Affine::translate(self.corner.to_vec2())
            * Affine::scale(self.enlarged)
            * Affine::translate(-self.window.origin().to_vec2())
    }

    /// The window on the sheet, mm.
    #[must_use]
    pub fn on_sheet(&self) -> Rect {
        self.to_sheet().transform_rect_bbox(self.window)
    }

    /// True for a place in the window or no farther than `margin` mm outside it.
    #[must_use]
    pub fn shows(&self, at: Point, margin: f64) -> bool {
        self.window.inflate(margin, margin).contains(at)
    }
}

/// The yarn of the fabric in three depths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tints {
    /// Between the stitches.
    pub ground: Colour,
    /// The stitches.
    pub stitch: Colour,
    /// Needle points and the line between two rows.
    pub shade: Colour,
}

impl Tints {
    /// Luminance of the ground of a washed fabric, or more: so light that ink and dark yarn keep
    /// a contrast of 3, so dark that white marks can be made out.
    pub const WASHED_GROUND: f64 = 0.54;

    /// Thinned like a washed map, so that strands of any colour stand out.
    #[must_use]
    pub fn washed(yarn: Colour) -> Self {
        Self {
            ground: yarn.thinned(Self::WASHED_GROUND),
            stitch: yarn.thinned(0.68),
            shade: yarn.deepened(0.16),
        }
    }

    /// In the yarn's own colour, with light and shade.
    #[must_use]
    pub fn full(yarn: Colour) -> Self {
        Self {
            ground: yarn.mix(Colour([0, 0, 0]), 0.28),
            stitch: yarn,
            shade: yarn.mix(Colour([0, 0, 0]), 0.6),
        }
    }
}

/// All stitches in view, with the line at the foot of every row.
#[must_use]
pub fn stitches(instep: &Instep, view: &View, tints: Tints) -> Group {
    let shell = instep.shell();
    let (mut ground, mut legs, mut feet) = (BezPath::new(), BezPath::new(), BezPath::new());
    for round in 1..=shell.last_round() {
        for stitch in 1..=shell.count(round) {
            if let Some(cell) = Cell::new(instep, view, round, f64::from(stitch), 0.0) {
                cell.add_ground(&mut ground);
                cell.add_legs(&mut legs);
                feet.move_to(cell.at(-0.5, 0.0));
                feet.line_to(cell.at(0.5, 0.0));
            }
        }
    }
    let mut group = Group::new("stitches");
    group.fill(&ground, tints.ground);
    group.fill(&legs, tints.stitch);
    group.line(&feet, Pen::new(tints.ground.mix(tints.shade, 0.35), 0.14));
    group
}

/// The first row of the flat strip, where the rounds go on to the heel: faint.
#[must_use]
pub fn strip(instep: &Instep, view: &View, tints: Tints) -> Group {
    let shell = instep.shell();
    let (mut ground, mut legs) = (BezPath::new(), BezPath::new());
    for stitch in 1..=shell.last_count() {
        if !open(instep).contains(&stitch) {
            for row in [1.0, 2.0, 3.0] {
                let round = shell.last_round();
                if let Some(cell) = Cell::new(instep, view, round, f64::from(stitch), row) {
                    cell.add_ground(&mut ground);
                    cell.add_legs(&mut legs);
                }
            }
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

/// The centre line: straight and fine, and upon it the basting thread from point to point.
#[must_use]
pub fn centre_line(instep: &Instep, view: &View) -> Group {
    let to_sheet = view.to_sheet();
    let mut group = Group::new("centre-line");
    let ends = [0.0, instep.centre_line_mm()].map(|y| to_sheet * Point::new(0.0, y));
    let straight = segment(ends[0], ends[1]);
    group.line(
        &straight,
        Pen::new(Colour::BASTING, 0.18).dashed(&[2.4, 0.9, 0.01, 0.9]),
    );
    let points: Vec<Point> = instep
        .rows()
        .iter()
        .filter_map(|row| instep.find(row.baste))
        .map(|placed| to_sheet * placed.at)
        .collect();
    let mut thread = BezPath::new();
    for pair in points.chunks_exact(2) {
        thread.move_to(pair[0]);
        thread.line_to(pair[1]);
    }
    group.line(&thread, Pen::new(Colour::WHITE, 1.5));
    group.line(&thread, Pen::new(Colour::BASTING, 0.85));
    let mut dots = BezPath::new();
    for &point in &points {
        dot(&mut dots, point);
    }
    group.line(&dots, Pen::new(Colour::WHITE, 1.7));
    group.line(&dots, Pen::new(Colour::BASTING, 1.15));
    group
}

/// Where the start of the round runs, on the sheet: pieces without a break.
#[must_use]
pub fn round_start(instep: &Instep, view: &View) -> Vec<Vec<Point>> {
    let last = instep.shell().last_round();
    let feet = (1..=last).map(|round| (round, 0.0));
    let places = feet.chain([(last, 1.0)]).map(|(round, row)| {
        instep.unfold(Spot {
            round,
            stitch: 0.5,
            row,
        })
    });
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut before: Option<Point> = None;
    for place in places {
        let reach = 2.0 * instep.row_mm().max(instep.stitch_mm());
        let shown = view.shows(place, 2.0 * reach);
        let joins = before.is_some_and(|b| b.distance(place) < reach);
        if shown && (!joins || pieces.is_empty()) {
            pieces.push(Vec::new());
        }
        if let (true, Some(piece)) = (shown, pieces.last_mut()) {
            piece.push(view.to_sheet() * place);
        }
        before = shown.then_some(place);
    }
    pieces
}

/// Where the cap begins: a line with the ground falling away beyond it.
#[must_use]
pub fn cap(instep: &Instep, view: &View) -> Option<Group> {
    let y = instep.cap_mm();
    if !(view.window.y0..view.window.y1).contains(&y) {
        return None;
    }
    let half = instep.around_mm_at(y) / 2.0;
    let to_sheet = view.to_sheet();
    let (left, right) = (
        to_sheet * Point::new(view.window.x0.max(-half), y),
        to_sheet * Point::new(view.window.x1.min(half), y),
    );
    let mut hachures = BezPath::new();
    let mut x = left.x + 1.0;
    while x < right.x {
        hachures.move_to((x, left.y));
        hachures.line_to((x, left.y + 1.6));
        x += 2.0;
    }
    let mut group = Group::new("cap");
    group.line(&segment(left, right), Pen::new(Colour::WHITE, 0.9));
    group.line(&segment(left, right), Pen::new(Colour::INK, 0.35));
    group.line(&hachures, Pen::new(Colour::INK, 0.22));
    Some(group)
}

/// Foot of a row where it crosses an upright line of the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Foot {
    /// Round, from the toe.
    pub round: u32,
    /// Row below the opening edge.
    pub below: u32,
    /// Height of the page, mm of the instep frame.
    pub y: f64,
}

/// Feet of all rows along the upright line at `x` mm, from the edge to the toe.
#[must_use]
pub fn feet_at(instep: &Instep, x: f64) -> Vec<Foot> {
    let mut feet = Vec::new();
    for round in (1..=instep.shell().last_round()).rev() {
        for half_stitches in 1..=2 * instep.shell().count(round) {
            let place = |halves: u32| {
                instep.unfold(Spot {
                    round,
                    stitch: f64::from(halves) / 2.0,
                    row: 0.0,
                })
            };
            let (a, b) = (place(half_stitches), place(half_stitches + 1));
            let (low, high) = (a.x.min(b.x), a.x.max(b.x));
            let named = instep.find(crate::fabric::NeedlePoint {
                round,
                half_stitches,
                row: RowPart::Base,
            });
            if let (true, Some(named)) = (
                low <= x && x < high && high - low < 2.0 * instep.stitch_mm(),
                named,
            ) {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "the base of a row has a whole number of at least 1"
                )]
                let below = named.along.below as u32;
                let y = a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
                feet.push(Foot { round, below, y });
            }
        }
    }
    feet
}

/// The open stitches of the last round.
fn open(instep: &Instep) -> std::ops::RangeInclusive<u32> {
    let shell = instep.shell();
    let extra = shell.extra_before_turn();
    extra + 1..=(extra + shell.open_stitches()).min(shell.last_count())
}

/// Adds a dot: a line too short to see, for a pen with round ends.
pub(super) fn dot(path: &mut BezPath, at: Point) {
    path.move_to(at);
    path.line_to((at.x + 0.01, at.y));
}

/// One stitch on the sheet: corners at its foot and top.
struct Cell {
    foot: [Point; 2],
    top: [Point; 2],
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
    fn at(&self, across: f64, up: f64) -> Point {
        let share = across + 0.5;
        let foot = self.foot[0].lerp(self.foot[1], share);
        foot.lerp(self.top[0].lerp(self.top[1], share), up)
    }

    fn add_ground(&self, path: &mut BezPath) {
        path.move_to(self.foot[0]);
        path.line_to(self.foot[1]);
        path.line_to(self.top[1]);
        path.line_to(self.top[0]);
        path.close_path();
    }

    /// The two legs of a single crochet stitch, rising apart from its foot; both the same way
    /// round, so that legs of neighbours may touch.
    fn add_legs(&self, path: &mut BezPath) {
        for side in [-1.0, 1.0] {
            let at = |across: f64, up: f64| self.at(side * across, up);
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
