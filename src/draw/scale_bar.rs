//! The scale bar and the arrow to the toe.

use kurbo::{Circle, Point, Rect, Vec2};

use super::scene::{polygon, segment};
use super::{Anchor, Colour, Font, Group, Lettering, Pen};
use crate::units::{self, Ruler};

/// A banded bar of round lengths as worn, with the factor printed.
#[must_use]
pub fn scale_bar(at: Point, enlarged: f64, ruler: Ruler) -> Group {
    let mut group = Group::new("scale-bar");
    let (step, unit) = match ruler {
        Ruler::Metric => (units::centimetres(1.0), "cm"),
        Ruler::Inch => (units::inches(0.5), "in"),
    };
    let steps = if enlarged > 1.3 { 3_u32 } else { 5 };
    let step_mm = step * enlarged;
    for index in 0..steps {
        let x = at.x + f64::from(index) * step_mm;
        let colour = if index % 2 == 0 {
            Colour::INK
        } else {
            Colour::WHITE
        };
        group.fill(&Rect::new(x, at.y, x + step_mm, at.y + 1.4), colour);
    }
    let end = at.x + f64::from(steps) * step_mm;
    group.line(
        &Rect::new(at.x, at.y, end, at.y + 1.4),
        Pen::new(Colour::INK, 0.25).square(),
    );
    for index in 0..=steps {
        let x = at.x + f64::from(index) * step_mm;
        let text = match ruler {
            Ruler::Metric => index.to_string(),
            Ruler::Inch => super::frame::halves(f64::from(index) / 2.0),
        };
        group.text(
            Lettering::new(text, Font::Sans, 2.2).at(Point::new(x, at.y + 4.0), Anchor::Middle),
            Colour::INK,
        );
    }
    let words = format!("{unit} as worn");
    let place = Point::new(end + 2.2, at.y + 4.0);
    group.text(
        Lettering::new(words, Font::Sans, 2.2).at(place, Anchor::Start),
        Colour::INK,
    );
    let place = Point::new(end + 2.2, at.y + 1.3);
    let factor = Lettering::new(factor(enlarged), Font::SerifBold, 2.6);
    group.text(factor.at(place, Anchor::Start), Colour::INK);
    group
}

/// The scale in words: `true to size`, `1½ times as large`.
fn factor(enlarged: f64) -> String {
    if (enlarged - 1.0).abs() < 1e-9 {
        "true to size".to_owned()
    } else {
        let text = format!("{enlarged:.2}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        format!("{text} : 1")
    }
}

/// An arrow that points down the page, to the toe.
#[must_use]
pub fn toe_arrow(at: Point) -> Group {
    let mut group = Group::new("toe-arrow");
    let (up, across) = (Vec2::new(0.0, 1.0), Vec2::new(1.0, 0.0));
    group.line(&Circle::new(at, 3.4), Pen::new(Colour::INK, 0.2));
    group.line(
        &segment(at - 4.6 * across, at + 4.6 * across),
        Pen::new(Colour::INK, 0.2),
    );
    let tip = at + 6.4 * up;
    let (left, right, tail) = (at - 1.3 * across, at + 1.3 * across, at - 5.0 * up);
    group.fill(&polygon([tip, right, tail, left]), Colour::WHITE);
    group.fill(&polygon([tip, at, tail, left]), Colour::INK);
    group.line(
        &polygon([tip, right, tail, left]),
        Pen::new(Colour::INK, 0.22),
    );
    let toe = Lettering::new("toe", Font::SerifItalic, 2.8);
    group.text(
        toe.at(tip + Vec2::new(-2.0, -0.2), Anchor::End),
        Colour::INK,
    );
    group
}
