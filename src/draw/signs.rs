//! The signs of a map and what they stand for.

use kurbo::{BezPath, Circle, Ellipse, Point, Rect, Vec2};

use super::fabric;
use super::legend::BESIDE_SIGN_MM;
use super::panel::{HEADING_MM, LEADING_MM, Panel};
use super::scene::{dot, polyline, segment};
use super::view::Tints;
use super::{Anchor, Colour, Group, Pen, strands};

/// Length of a sign that is a line, mm.
const LONG_MM: f64 = 8.0;

/// Least width of a sign with its meaning, mm.
const COLUMN_MM: f64 = 37.0;

/// One sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// Where the needle comes up.
    Up,
    /// Where it goes down.
    Down,
    /// Where a new length of yarn begins.
    Start,
    /// The outline of a feature.
    Shape,
    /// The basted centre line.
    Basting,
    /// Where the rounds start.
    RoundStart,
    /// The opening edge.
    Edge,
    /// Where the cap begins.
    Cap,
    /// Hook holes and, smaller, gaps.
    OpenPoints,
    /// Where a column leads.
    Column,
    /// Where the fabric turns away.
    TurnedAway,
}

/// Signs of a chart.
pub const OF_A_CHART: [Sign; 9] = [
    Sign::Up,
    Sign::Down,
    Sign::Start,
    Sign::Shape,
    Sign::Basting,
    Sign::RoundStart,
    Sign::Edge,
    Sign::Cap,
    Sign::OpenPoints,
];

/// Signs of a map without a face.
pub const OF_A_MAP: [Sign; 7] = [
    Sign::Basting,
    Sign::RoundStart,
    Sign::Column,
    Sign::TurnedAway,
    Sign::Edge,
    Sign::Cap,
    Sign::OpenPoints,
];

/// Room above a line of signs, mm.
const SPACE_MM: f64 = 0.5;

/// Signs in columns under a heading, with their top left corner at a place of the sheet.
#[must_use]
pub fn signs(signs: &[Sign], corner: Point, width_mm: f64, tints: Tints) -> Panel {
    let columns = columns(width_mm);
    let pitch = width_mm / columns as f64;
    let mut panel = Panel::new("signs", corner, width_mm);
    panel.heading("Signs");
    for line in signs.chunks(columns) {
        panel.space(SPACE_MM);
        let lefts = (0..columns).map(|column| column as f64 * pitch);
        let placed: Vec<(f64, Sign)> = lefts.zip(line.iter().copied()).collect();
        let texts: Vec<(f64, Anchor, &str)> = placed
            .iter()
            .map(|(left, sign)| (left + BESIDE_SIGN_MM, Anchor::Start, sign.meaning()))
            .collect();
        panel.row(&texts, Colour::INK);
        for (left, sign) in placed {
            panel.sign(left, |group, at| sign.draw(group, at, tints));
        }
    }
    panel
}

fn columns(width_mm: f64) -> usize {
    if width_mm < 3.0 * COLUMN_MM { 2 } else { 3 }
}

/// Height of [`signs`], mm.
#[must_use]
pub fn height_mm(signs: &[Sign], width_mm: f64) -> f64 {
    let lines = signs.len().div_ceil(columns(width_mm));
    HEADING_MM + lines as f64 * (SPACE_MM + LEADING_MM)
}

impl Sign {
    /// What it stands for.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Up => "needle comes up",
            Self::Down => "needle goes down",
            Self::Start => "new length of yarn",
            Self::Shape => "shape as drawn",
            Self::Basting => "basting thread",
            Self::RoundStart => "start of the rounds",
            Self::Edge => "opening edge",
            Self::Cap => "the cap begins",
            Self::OpenPoints => "hook holes, gaps",
            Self::Column => "column from the middle",
            Self::TurnedAway => "turns away from view",
        }
    }

    /// Draws it to the right of a place of the sheet.
    fn draw(self, group: &mut Group, at: Point, tints: Tints) {
        let off = |x: f64, y: f64| at + Vec2::new(x, y);
        let line = segment(at, off(LONG_MM, 0.0));
        match self {
            Self::Up => strands::up_mark(group, off(LONG_MM / 2.0, 0.0), 0.9),
            Self::Down => strands::down_mark(group, off(LONG_MM / 2.0, 0.0), 1.0),
            Self::Start => strands::start_mark(group, off(3.0, 1.4), 0.7),
            Self::Shape => {
                let angle = polyline([at, off(4.0, -0.8), off(LONG_MM, 0.6)]);
                group.line(&angle, Pen::new(Colour::INK, 0.24));
            }
            Self::Basting => {
                let thread = segment(off(1.0, 0.0), off(LONG_MM - 1.0, 0.0));
                group.line(&thread, Pen::new(Colour::BASTING, 0.85));
                for x in [1.0, LONG_MM - 1.0] {
                    group.fill(&Circle::new(off(x, 0.0), 0.6), Colour::BASTING);
                }
            }
            Self::RoundStart => group.line(&line, round_start_pen()),
            Self::Column => group.line(&line, column_pen()),
            Self::TurnedAway => group.line(&line, turned_away_pen()),
            Self::Edge => edge(group, at, tints),
            Self::Cap => {
                group.line(&line, Pen::new(Colour::INK, 0.35));
                for x in [1.0, 3.0, 5.0, 7.0] {
                    let hachure = segment(off(x, 0.0), off(x, 1.2));
                    group.line(&hachure, Pen::new(Colour::INK, 0.22));
                }
            }
            Self::OpenPoints => points(group, at, tints),
        }
    }
}

/// How the start of the rounds is drawn.
#[must_use]
pub fn round_start_pen() -> Pen {
    Pen::new(Colour::INK, 0.32).dashed(&[2.6, 1.0, 0.01, 1.0, 0.01, 1.0])
}

/// How a column that is followed is drawn.
#[must_use]
pub fn column_pen() -> Pen {
    Pen::new(Colour::INK, 0.45).dashed(&[0.9, 1.1])
}

/// How the bounds of what is seen well from above are drawn.
#[must_use]
pub fn turned_away_pen() -> Pen {
    Pen::new(Colour::FADED, 0.3).dashed(&[0.01, 1.0])
}

fn edge(group: &mut Group, at: Point, tints: Tints) {
    let line = segment(at, at + Vec2::new(LONG_MM, 0.0));
    group.line(&line, Pen::new(Colour::INK, 1.1));
    for x in [2.0, 6.0] {
        let link = Ellipse::new(at + Vec2::new(x, -0.1), (1.9, 0.6), 0.0);
        group.line(&link, Pen::new(Colour::INK, 0.5));
        group.fill(&link, tints.stitch);
    }
}

fn points(group: &mut Group, at: Point, tints: Tints) {
    let patch = Rect::from_center_size(at + Vec2::new(LONG_MM / 2.0, 0.0), (LONG_MM, 2.6));
    group.fill(&patch, tints.stitch);
    for (xs, width) in [
        ([1.0, 2.5, 4.0], fabric::HOOK_HOLE_MM),
        ([5.2, 6.3, 7.4], fabric::GAP_MM),
    ] {
        let mut dots = BezPath::new();
        for x in xs {
            dot(&mut dots, at + Vec2::new(x, 0.0));
        }
        group.line(&dots, Pen::new(tints.shade, width));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn they_are_as_high_as_stated() {
        let tints = Tints::washed(Colour::PAPER);
        for (width, all) in [(74.0, &OF_A_CHART[..]), (120.0, &OF_A_MAP[..])] {
            let drawn = signs(all, Point::new(3.0, 7.0), width, tints);
            assert_abs_diff_eq!(drawn.bottom(), 7.0 + height_mm(all, width), epsilon = 1e-9);
        }
    }
}
