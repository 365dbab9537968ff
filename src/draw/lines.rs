//! Lines a maker looks for on the fabric: the basted centre line, the start of the rounds, the
//! cap, the feet of the rows.

use kurbo::{BezPath, Point};

use super::scene::{dot, polyline, segment};
use super::view::View;
use super::{Colour, Group, Pen, signs};
use crate::fabric::{Instep, NeedlePoint, RowPart, Spot};

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

/// Where the start of the rounds runs.
#[must_use]
pub fn round_start(instep: &Instep, view: &View) -> Group {
    let mut group = Group::new("round-start");
    for piece in round_start_pieces(instep, view) {
        let path = polyline(piece);
        group.line(&path, Pen::new(Colour::WHITE, 0.9));
        group.line(&path, signs::round_start_pen());
    }
    group
}

/// Where the start of the round runs, on the sheet: pieces without a break.
fn round_start_pieces(instep: &Instep, view: &View) -> Vec<Vec<Point>> {
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
            let named = instep.find(NeedlePoint {
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
