//! Faces as they are drawn, not on a slipper: each on a card, the cards on a sheet.

use kurbo::{Affine, BezPath, Circle, PathEl, Point, Rect};

use super::{Anchor, Colour, Font, Group, Lettering, Pen, Scene};
use crate::face::{Face, Feature, ThreadLook, Work};

/// Size of a card, mm.
const CARD_MM: (f64, f64) = (58.0, 56.0);

/// Room for the name at the foot of a card, mm.
const NAME_MM: f64 = 9.0;

/// From card to card and to the edge of the sheet, mm.
const GAP_MM: f64 = 4.0;

/// Cards side by side.
const ACROSS: usize = 3;

/// Width of a line, and half that of a knot, in a face 100 units wide.
const LINE_UNITS: f64 = 3.0;

/// Faces on cards, row by row in the order given.
#[must_use]
pub fn gallery(faces: &[&Face]) -> Scene {
    let across = faces.len().clamp(1, ACROSS);
    let down = faces.len().div_ceil(ACROSS).max(1);
    let side = |cards: usize, card: f64| cards as f64 * (card + GAP_MM) + GAP_MM;
    let names: Vec<&str> = faces.iter().map(|face| face.name.as_str()).collect();
    let layers = faces.iter().enumerate().map(|(index, face)| {
        let (column, row) = (index % ACROSS, index / ACROSS);
        let corner = Point::new(side(column, CARD_MM.0), side(row, CARD_MM.1));
        card(face, corner)
    });
    Scene {
        width_mm: side(across, CARD_MM.0),
        height_mm: side(down, CARD_MM.1),
        title: names.join(", "),
        description: format!("Shapes of {}.", names.join(", ")),
        paper: Colour::PAPER,
        layers: layers.collect(),
    }
}

fn card(face: &Face, corner: Point) -> Group {
    let mut group = Group::new("card");
    let card = Rect::from_origin_size(corner, CARD_MM);
    group.fill(
        &card.to_rounded_rect(2.0),
        Colour::PAPER.mix(Colour::WHITE, 0.6),
    );
    group.line(&card.to_rounded_rect(2.0), Pen::new(Colour::INK, 0.3));
    group.line(
        &card.inset(-1.0).to_rounded_rect(1.4),
        Pen::new(Colour::RULE, 0.2),
    );
    let room = Rect::new(card.x0, card.y0, card.x1, card.y1 - NAME_MM).inset(-5.0);
    let scale = (room.width() / face.width).min(room.height() / face.height);
    let top = Point::new(room.center().x, room.center().y - scale * face.height / 2.0);
    let to_card = Affine::translate(top.to_vec2()) * Affine::scale(scale);
    for feature in &face.features {
        let look = face.threads.get(&feature.thread);
        let stated = look.and_then(|look| look.colour);
        let colour = Colour(stated.unwrap_or(ThreadLook::UNSTATED));
        shape(
            &mut group,
            feature,
            colour,
            to_card,
            scale * face.width / 100.0,
        );
        if feature.pair {
            let mirrored = to_card * Affine::scale_non_uniform(-1.0, 1.0);
            shape(
                &mut group,
                feature,
                colour,
                mirrored,
                scale * face.width / 100.0,
            );
        }
    }
    let size = name_size(&face.name);
    let name = Lettering::new(&face.name, Font::SerifItalic, size);
    let at = Point::new(card.center().x, card.y1 - 4.2);
    group.text(name.at(at, Anchor::Middle), Colour::INK);
    group
}

/// A feature on the card; a light one gets an edge.
fn shape(group: &mut Group, feature: &Feature, colour: Colour, to_card: Affine, unit: f64) {
    let path: BezPath = to_card * feature.outline.path().clone();
    let pale = colour.contrast(Colour::PAPER) < 2.0;
    let edge = Pen::new(Colour::INK, 0.25);
    match feature.work {
        Work::Fill { .. } => {
            group.fill_outline(&path, colour);
            if pale {
                group.line(&path, edge);
            }
        }
        Work::Line(_) => {
            if pale {
                group.line(&path, Pen::new(Colour::INK, LINE_UNITS * unit + 0.5));
            }
            group.line(&path, Pen::new(colour, LINE_UNITS * unit));
        }
        Work::Knot { .. } => {
            if let Some(PathEl::MoveTo(at)) = path.elements().first() {
                let disc = Circle::new(*at, LINE_UNITS * unit);
                group.fill(&disc, colour);
                if pale {
                    group.line(&disc, edge);
                }
            }
        }
    }
}

/// The largest size up to 4 mm at which a name fits on its card.
fn name_size(name: &str) -> f64 {
    let width = Font::SerifItalic.width_mm(name, 4.0);
    4.0 * ((CARD_MM.0 - 6.0) / width.max(1.0)).min(1.0)
}
