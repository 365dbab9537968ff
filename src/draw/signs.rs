//! The signs of the chart and what they stand for.

use kurbo::{Circle, Point, Rect, Vec2};

use super::fabric::{Tints, dot};
use super::legend::BESIDE_SIGN_MM;
use super::panel::Panel;
use super::scene::{polyline, segment};
use super::{Anchor, Colour, Group, Pen, strands};

/// The signs of the map in columns, with their top left corner at a place of the sheet.
#[must_use]
pub fn signs(corner: Point, width_mm: f64, tints: Tints) -> Panel {
    type Draw = fn(&mut Group, Point, Tints);
    const SIGNS: [(&str, Draw); 10] = [
        ("needle comes up", |g, at, _| {
            strands::up_mark(g, at + Vec2::new(4.0, 0.0), 0.9);
        }),
        ("needle goes down", |g, at, _| {
            strands::down_mark(g, at + Vec2::new(4.0, 0.0), 0.9);
        }),
        ("new length of yarn", |g, at, _| {
            strands::start_mark(g, at + Vec2::new(3.0, 1.4), 0.7);
        }),
        ("shape as drawn", |g, at, _| {
            let wave = polyline([at, at + Vec2::new(4.0, -0.8), at + Vec2::new(8.0, 0.6)]);
            g.line(&wave, Pen::new(Colour::INK, 0.24));
        }),
        ("basting thread", |g, at, _| {
            let thread = segment(at + Vec2::new(1.0, 0.0), at + Vec2::new(7.0, 0.0));
            g.line(&thread, Pen::new(Colour::BASTING, 0.85));
            for x in [1.0, 7.0] {
                g.fill(&Circle::new(at + Vec2::new(x, 0.0), 0.6), Colour::BASTING);
            }
        }),
        ("start of the rounds", |g, at, _| {
            g.line(&segment(at, at + Vec2::new(8.0, 0.0)), round_start_pen());
        }),
        ("opening edge", |g, at, tints| edge_sign(g, at, tints)),
        ("the cap begins", |g, at, _| {
            g.line(
                &segment(at, at + Vec2::new(8.0, 0.0)),
                Pen::new(Colour::INK, 0.35),
            );
            for x in [1.0, 3.0, 5.0, 7.0] {
                let line = segment(at + Vec2::new(x, 0.0), at + Vec2::new(x, 1.2));
                g.line(&line, Pen::new(Colour::INK, 0.22));
            }
        }),
        ("hook holes", |g, at, tints| points_sign(g, at, tints, 0.62)),
        ("gaps", |g, at, tints| points_sign(g, at, tints, 0.4)),
    ];
    const COLUMNS: usize = 2;
    let pitch = width_mm / COLUMNS as f64;
    let mut panel = Panel::new("signs", corner, width_mm);
    panel.heading("Signs");
    for line in SIGNS.chunks(COLUMNS) {
        panel.space(0.5);
        let texts: Vec<(f64, Anchor, &str)> = line
            .iter()
            .enumerate()
            .map(|(index, sign)| (index as f64 * pitch + BESIDE_SIGN_MM, Anchor::Start, sign.0))
            .collect();
        panel.row(&texts, Colour::INK);
        for (index, sign) in line.iter().enumerate() {
            panel.sign(index as f64 * pitch, |group, at| sign.1(group, at, tints));
        }
    }
    panel
}

/// How the start of the rounds is drawn.
#[must_use]
pub fn round_start_pen() -> Pen {
    Pen::new(Colour::INK, 0.32).dashed(&[2.6, 1.0, 0.01, 1.0, 0.01, 1.0])
}

fn edge_sign(group: &mut Group, at: Point, tints: Tints) {
    group.line(
        &segment(at, at + Vec2::new(8.0, 0.0)),
        Pen::new(Colour::INK, 1.1),
    );
    for x in [2.0, 6.0] {
        let link = kurbo::Ellipse::new(at + Vec2::new(x, -0.1), (1.9, 0.6), 0.0);
        group.line(&link, Pen::new(Colour::INK, 0.5));
        group.fill(&link, tints.stitch);
    }
}

fn points_sign(group: &mut Group, at: Point, tints: Tints, width: f64) {
    let patch = Rect::from_center_size(at + Vec2::new(4.0, 0.0), (8.0, 2.6));
    group.fill(&patch, tints.stitch);
    let mut dots = kurbo::BezPath::new();
    for x in [1.5, 4.0, 6.5] {
        dot(&mut dots, at + Vec2::new(x, 0.0));
    }
    group.line(&dots, Pen::new(tints.shade, width));
}
