//! The frame round a map of the fabric: a banded border, each band a row or a stitch, with their
//! numbers. Rounds from the toe stand on the left, rows below the edge on the right with the place
//! of the basting thread, stitches from the thread along the top and the bottom.

use kurbo::{BezPath, Point, Rect};

use super::lines::{Foot, feet_at};
use super::scene::segment;
use super::view::View;
use super::{Anchor, Colour, Font, Group, Lettering, Pen};
use crate::fabric::{Instep, RowPart};

/// Width of the banded border, mm.
const BAND_MM: f64 = 1.4;

/// Size of the numbers, mm.
const SIZE_MM: f64 = 2.3;

/// Room the frame takes round the window, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// To the left: rounds.
    pub left: f64,
    /// Above and below: stitches.
    pub above: f64,
    /// To the right: rows and basting.
    pub right: f64,
}

/// Room for the frame.
pub const ROOM: Room = Room {
    left: 9.0,
    above: 9.0,
    right: 23.0,
};

/// The frame of a view.
#[must_use]
pub fn frame(instep: &Instep, view: &View) -> Group {
    let mut group = Group::new("frame");
    let window = view.on_sheet();
    let outer = window.inflate(BAND_MM, BAND_MM);
    group.line(
        &window.inflate(BAND_MM / 2.0, BAND_MM / 2.0),
        Pen::new(Colour::WHITE, BAND_MM).square(),
    );
    rows(&mut group, instep, view, window);
    stitches(&mut group, instep, view, window);
    group.line(&window, Pen::new(Colour::INK, 0.25).square());
    group.line(&outer, Pen::new(Colour::INK, 0.25).square());
    group.line(
        &outer.inflate(0.7, 0.7),
        Pen::new(Colour::INK, 0.5).square(),
    );
    group
}

/// One row seen along a side of the frame, mm of the sheet.
struct Band {
    foot: Foot,
    top: f64,
    bottom: f64,
}

/// The rows along a side; where the fabric does not reach it, as over the cap, as they cross the
/// centre line. `beyond` tells whether a row is farther down than the lowest that reaches it.
fn bands(instep: &Instep, view: &View, x: f64, beyond: impl Fn(&Foot, &Foot) -> bool) -> Vec<Band> {
    let mut feet = feet_at(instep, x);
    let lowest = feet.last().copied();
    let centre = feet_at(instep, 0.0).into_iter();
    feet.extend(centre.filter(|foot| lowest.is_none_or(|last| beyond(foot, &last))));
    let window = view.on_sheet();
    let mut above = None;
    let mut bands = Vec::new();
    for foot in feet {
        let top = above.unwrap_or(foot.y - instep.row_mm());
        above = Some(foot.y);
        let [top, bottom] = [top, foot.y].map(|y| (view.to_sheet() * Point::new(x, y)).y);
        if bottom > window.y0 + 0.5 && top < window.y1 - 0.5 {
            bands.push(Band {
                foot,
                top: top.max(window.y0),
                bottom: bottom.min(window.y1),
            });
        }
    }
    bands
}

fn rows(group: &mut Group, instep: &Instep, view: &View, window: Rect) {
    let mut dark = BezPath::new();
    let left = bands(instep, view, view.window.x0, |foot, last| {
        foot.round < last.round
    });
    for band in &left {
        if band.foot.round.is_multiple_of(2) {
            add_rect(
                &mut dark,
                Rect::new(window.x0 - BAND_MM, band.top, window.x0, band.bottom),
            );
        }
    }
    let right = bands(instep, view, view.window.x1, |foot, last| {
        foot.below > last.below
    });
    for band in &right {
        if band.foot.below.is_multiple_of(2) {
            add_rect(
                &mut dark,
                Rect::new(window.x1, band.top, window.x1 + BAND_MM, band.bottom),
            );
        }
    }
    group.fill(&dark, Colour::INK);
    for band in left
        .iter()
        .filter(|band| band.bottom - band.top > 0.8 * SIZE_MM)
    {
        let at = Point::new(window.x0 - BAND_MM - 1.4, baseline(band));
        number(group, &band.foot.round.to_string(), at, Anchor::End);
    }
    for band in right
        .iter()
        .filter(|band| band.bottom - band.top > 0.8 * SIZE_MM)
    {
        let x = window.x1 + BAND_MM;
        number(
            group,
            &band.foot.below.to_string(),
            Point::new(x + 4.6, baseline(band)),
            Anchor::End,
        );
        if let Some(row) = instep.rows().get(band.foot.below as usize - 1) {
            let baste = format!("{} : {}", row.baste.round, halves(row.baste.stitch()));
            let at = Point::new(x + 7.2, baseline(band));
            let lettering = Lettering::new(baste, Font::Sans, SIZE_MM).at(at, Anchor::Start);
            group.text(lettering, Colour::BASTING);
        }
    }
    heads(group, window);
}

fn heads(group: &mut Group, window: Rect) {
    let mut head = |text: &str, x: f64, anchor: Anchor, colour: Colour| {
        let at = Point::new(x, window.y0 - 2.6);
        group.text(
            Lettering::new(text, Font::SerifItalic, 2.5).at(at, anchor),
            colour,
        );
    };
    head("round", window.x0 - BAND_MM - 1.2, Anchor::End, Colour::INK);
    head("row", window.x1 + BAND_MM + 1.2, Anchor::Start, Colour::INK);
    head(
        "thread at",
        window.x1 + BAND_MM + 7.2,
        Anchor::Start,
        Colour::BASTING,
    );
}

fn stitches(group: &mut Group, instep: &Instep, view: &View, window: Rect) {
    let left = feet_at(instep, view.window.x0);
    let mut reached = left.iter().filter(|foot| foot.y < view.window.y1);
    let lowest = reached.next_back().map_or(1, |foot| foot.below);
    let whole = instep
        .rows()
        .get(lowest as usize)
        .is_none_or(|row| instep.y_of_climbed(row.climbed) > view.window.y1 - instep.row_mm());
    // At the bottom only where the fabric still fills the window there.
    let sides: &[(u32, bool)] = if whole {
        &[(1, true), (lowest, false)]
    } else {
        &[(1, true)]
    };
    for &(below, top) in sides {
        let (y, out) = if top {
            (window.y0, -1.0)
        } else {
            (window.y1, 1.0)
        };
        let mut dark = BezPath::new();
        let places = stitch_places(instep, view, below);
        for pair in places.windows(2) {
            let (a, b) = (pair[0].1.max(window.x0), pair[1].1.min(window.x1));
            if b > a && pair[0].0.rem_euclid(2) == 0 {
                add_rect(&mut dark, Rect::new(a, y, b, y + out * BAND_MM).abs());
            }
        }
        group.fill(&dark, Colour::INK);
        let step = if instep.stitch_mm() * view.enlarged < 4.0 {
            5
        } else {
            1
        };
        for &(across, x) in places.iter().filter(|place| place.0 % step == 0) {
            if (window.x0..=window.x1).contains(&x) {
                let line = segment((x, y + out * BAND_MM), (x, y + out * (BAND_MM + 1.0)));
                group.line(&line, Pen::new(Colour::INK, 0.2));
                let drop = if top { -1.6 } else { 1.6 + 0.73 * SIZE_MM };
                let at = Point::new(x, y + out * BAND_MM + drop);
                number(group, &across.abs().to_string(), at, Anchor::Middle);
            }
        }
    }
}

/// Whole stitches from the basting thread along the foot of a row, with their place across the
/// sheet, left to right.
fn stitch_places(instep: &Instep, view: &View, below: u32) -> Vec<(i32, f64)> {
    let mut places: Vec<(i32, f64)> = instep
        .points()
        .iter()
        .filter(|placed| placed.point.row == RowPart::Base)
        .filter(|placed| (placed.along.below - f64::from(below)).abs() < 0.25)
        .filter(|placed| placed.along.across.fract().abs() < 0.25)
        .filter(|placed| view.shows(placed.at, 2.0 * instep.stitch_mm()))
        .map(|placed| {
            #[expect(
                clippy::cast_possible_truncation,
                reason = "a whole number of stitches"
            )]
            let across = placed.along.across.round() as i32;
            (across, (view.to_sheet() * placed.at).x)
        })
        .collect();
    places.sort_by_key(|place| place.0);
    places
}

fn number(group: &mut Group, text: &str, at: Point, anchor: Anchor) {
    group.text(
        Lettering::new(text, Font::Sans, SIZE_MM).at(at, anchor),
        Colour::INK,
    );
}

fn baseline(band: &Band) -> f64 {
    f64::midpoint(band.top, band.bottom) + 0.36 * SIZE_MM
}

fn add_rect(path: &mut BezPath, rect: Rect) {
    path.move_to((rect.x0, rect.y0));
    path.line_to((rect.x1, rect.y0));
    path.line_to((rect.x1, rect.y1));
    path.line_to((rect.x0, rect.y1));
    path.close_path();
}

/// A stitch position as a maker reads it: `5`, `5½`.
#[must_use]
pub fn halves(stitch: f64) -> String {
    let whole = stitch.floor();
    match (stitch - whole > 0.25, whole > 0.0) {
        (false, _) => format!("{whole:.0}"),
        (true, true) => format!("{whole:.0}½"),
        (true, false) => "½".to_owned(),
    }
}
