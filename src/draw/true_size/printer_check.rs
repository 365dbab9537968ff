//! What shows whether the printer kept the size: a square and a bar to measure.

use kurbo::{Point, Rect};

use super::super::panel::Panel;
use super::super::scene::segment;
use super::super::{Anchor, Colour, Font, Group, Lettering, Pen};
use crate::units::Ruler;

/// Side of the square that checks the printer, mm.
pub(super) const SQUARE_MM: f64 = 50.0;

/// Length of the bar that checks the printer, mm.
const BAR_MM: f64 = 100.0;

/// A square whose outer edges are 50 mm long.
pub(super) fn check_square(group: &mut Group, square: Rect, ruler: Ruler) {
    group.fill(&square, Colour::INK);
    group.fill(&square.inset(-0.4), Colour::WHITE);
    let inches = |mm: f64| match ruler {
        Ruler::Metric => String::new(),
        Ruler::Inch => format!(" ({})", ruler.small(mm)),
    };
    let corner = Point::new(square.x0 + 4.0, square.y0 + 7.0);
    let mut panel = Panel::new("check", corner, SQUARE_MM - 8.0);
    let said = format!(
        "Measure this square before you prick anything: both sides must be {SQUARE_MM:.0} mm{}, the \
         bar {BAR_MM:.0} mm{}. If they are not, the printer has changed the size: set it to \
         100 % and print again.",
        inches(SQUARE_MM),
        inches(BAR_MM)
    );
    panel.sentence(&said, 0.0, Colour::INK);
    group.group(panel.finish());
}

/// A bar of exactly 100 mm with a mark at each 10 mm.
pub(super) fn check_bar(group: &mut Group, corner: Point) {
    let bar = Rect::from_origin_size(corner, (BAR_MM, 1.2));
    group.fill(&bar, Colour::INK);
    for step in 0..=10 {
        let x = corner.x + BAR_MM / 10.0 * f64::from(step);
        // The outer marks end with the bar.
        let inside = x.clamp(corner.x + 0.125, bar.x1 - 0.125);
        let mark = segment((inside, bar.y1), (inside, bar.y1 + 1.4));
        group.line(&mark, Pen::new(Colour::INK, 0.25).square());
        let text = format!("{:.0}", BAR_MM / 10.0 * f64::from(step));
        let text = if step == 10 {
            format!("{text} mm")
        } else {
            text
        };
        let lettering = Lettering::new(text, Font::Sans, 2.2);
        let anchor = if step == 0 {
            Anchor::Start
        } else {
            Anchor::Middle
        };
        group.text(
            lettering.at(Point::new(x, bar.y1 + 3.8), anchor),
            Colour::INK,
        );
    }
}
