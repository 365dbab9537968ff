//! Two small pictures for the corner of a chart: where the face lies on the instep, and how it
//! will look.

use std::f64::consts::TAU;

use kurbo::{Affine, BezPath, Point, Rect, Size};

use super::scene::{polygon, segment};
use super::view::View;
use super::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, portrait, strands};
use crate::fabric::colour::LEAST_CONTRAST;
use crate::weave::Plan;

/// Least height in which the two pictures can be made out, mm.
pub const LEAST_MM: f64 = 40.0;

/// Height beyond which they gain nothing, mm.
pub const MOST_MM: f64 = 66.0;

/// Room for the line of text under a picture, mm.
const CAPTION_MM: f64 = 4.5;

/// Both pictures side by side in a box of the sheet.
#[must_use]
pub fn corner(plan: &Plan, settings: &DrawSettings, place: Rect) -> Group {
    let mut group = Group::new("corner");
    let pictures = Rect::new(place.x0, place.y0, place.x1, place.y1 - CAPTION_MM);
    let split = place.x0 + 0.36 * place.width();
    let left = Rect::new(place.x0, pictures.y0, split - 2.0, pictures.y1);
    let right = Rect::new(split + 2.0, pictures.y0, place.x1, pictures.y1);
    let left = whereabouts(&mut group, plan, settings, left);
    let right = likeness(&mut group, plan, settings, right);
    for (text, picture) in [("where it lies", left), ("how it will look", right)] {
        let at = Point::new(picture.center().x, picture.y1 + CAPTION_MM - 0.9);
        let lettering = Lettering::new(text, Font::SerifItalic, 2.7);
        group.text(lettering.at(at, Anchor::Middle), Colour::INK);
    }
    group
}

/// The instep as far as it is seen from above, a quarter turn to each side.
fn whereabouts(group: &mut Group, plan: &Plan, settings: &DrawSettings, room: Rect) -> Rect {
    let instep = &plan.instep;
    let down = instep.centre_line_mm();
    let size = Size::new(instep.around_mm() / 2.0, down);
    let scale = (room.width() / size.width).min(room.height() / size.height);
    let top = Point::new(room.center().x, room.y1 - scale * down);
    let to_sheet = Affine::translate(top.to_vec2()) * Affine::scale(scale);
    let steps: Vec<f64> = (0..=60).map(|step| f64::from(step) / 60.0 * down).collect();
    let side = |sign: f64| {
        // The page keeps the ring of round 1 at its length; in the hand it closes to a point.
        let ring = instep.around_mm_at(down) / TAU;
        let half = move |y: f64| {
            let closed = ((down - y) / ring).min(1.0);
            Point::new(sign * instep.around_mm_at(y) / 4.0 * closed.sqrt(), y)
        };
        steps.iter().map(move |&y| half(y))
    };
    let shape = polygon(side(-1.0).chain(side(1.0).rev()).map(|p| to_sheet * p));
    let yarn = Colour(settings.fabric).thinned(0.6);
    group.fill(&shape, yarn);
    let cap = instep.cap_mm();
    let half = instep.around_mm_at(cap) / 4.0;
    let line = |x0: f64, y0: f64, x1: f64, y1: f64| {
        segment(to_sheet * Point::new(x0, y0), to_sheet * Point::new(x1, y1))
    };
    group.line(&line(-half, cap, half, cap), Pen::new(Colour::INK, 0.16));
    group.line(
        &line(0.0, 0.0, 0.0, down),
        Pen::new(Colour::BASTING, 0.3).dashed(&[1.0, 0.8]),
    );
    for (outline, width, colour) in strands::silhouettes(plan) {
        let path: BezPath = to_sheet * outline;
        match width {
            Some(width) => group.line(&path, Pen::new(colour, (width * scale).max(0.25))),
            None => {
                group.fill_outline(&path, colour);
                if colour.contrast(yarn) < LEAST_CONTRAST {
                    group.line(&path, Pen::new(Colour::INK, 0.18));
                }
            }
        }
    }
    group.line(&shape, Pen::new(Colour::INK, 0.25));
    let open = f64::from(instep.shell().open_stitches()) / 2.0 * instep.stitch_mm();
    group.line(&line(-open, 0.0, open, 0.0), Pen::new(Colour::INK, 0.9));
    let toe = Point::new(top.x + 4.0, room.y1 - 0.4);
    let lettering = Lettering::new("toe", Font::SerifItalic, 2.2);
    group.text(lettering.at(toe, Anchor::Start), Colour::INK);
    room
}

fn likeness(group: &mut Group, plan: &Plan, settings: &DrawSettings, room: Rect) -> Rect {
    let window = portrait::window(plan);
    let enlarged = (room.width() / window.width()).min(room.height() / window.height());
    let size = window.size() * enlarged;
    let corner = Point::new(room.center().x - size.width / 2.0, room.y1 - size.height);
    let view = View {
        window,
        corner,
        enlarged,
    };
    group.group(portrait::yarn_on_fabric(plan, settings, &view));
    let frame = view.on_sheet();
    group.line(&frame, Pen::new(Colour::INK, 0.25).square());
    group.line(
        &frame.inflate(0.7, 0.7),
        Pen::new(Colour::INK, 0.5).square(),
    );
    frame
}
