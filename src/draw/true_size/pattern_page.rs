//! A page of the pattern: its heading, a tile of the pattern, and at the foot what checks the
//! printer, what the signs mean, and how tiles are joined.

use kurbo::{Point, Rect, Vec2};

use super::super::panel::Panel;
use super::super::signs::{self, Sign};
use super::super::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Scene};
use super::printer_check::{SQUARE_MM, check_bar, check_square};
use super::tile_marks::{bands, joints, key};
use super::{Paper, Tile, Tiles, pattern};
use crate::fabric::Hand;
use crate::units::Ruler;
use crate::weave::Plan;

/// Room for the heading, mm.
const HEAD_MM: f64 = 21.0;

/// From the pattern to the foot of the page, mm.
const GAP_MM: f64 = 4.0;

/// Signs of a pattern.
const SIGNS: [Sign; 9] = [
    Sign::Up,
    Sign::Down,
    Sign::Start,
    Sign::Shape,
    Sign::Basting,
    Sign::Edge,
    Sign::RoundStart,
    Sign::Cap,
    Sign::OpenPoints,
];

/// Room for the pattern on a page, mm.
pub(super) fn room(paper: Paper) -> Rect {
    let printed = paper.printed();
    Rect::new(
        printed.x0,
        printed.y0 + HEAD_MM,
        printed.x1,
        printed.y1 - SQUARE_MM - GAP_MM,
    )
}

/// What all pages of a pattern share.
pub(super) struct PatternPages {
    /// The plan on the unworn fabric.
    flat: Plan,
    /// How far the foot stretches that fabric sideways, at least 1.
    stretch: f64,
    paper: Paper,
    ruler: Ruler,
    tiles: Tiles,
}

impl PatternPages {
    pub(super) fn new(plan: &Plan, settings: &DrawSettings, paper: Paper) -> Self {
        let flat = pattern::unworn(plan);
        let tiles = Tiles::new(pattern::size(&flat), room(paper));
        Self {
            flat,
            stretch: plan.instep.stretch(),
            paper,
            ruler: settings.ruler,
            tiles,
        }
    }

    pub(super) fn tiles(&self) -> Vec<Tile> {
        self.tiles.all()
    }

    fn tiled(&self) -> bool {
        self.tiles.rows * self.tiles.columns > 1
    }

    /// The page of one tile; `number` as in `page 1 of 5`.
    pub(super) fn page(&self, tile: &Tile, number: &str) -> Scene {
        let (flat, size) = (&self.flat, self.paper.size());
        let mut layers = vec![self.heading(tile, number)];
        if self.tiled() {
            layers.push(bands(tile, &self.tiles));
        }
        layers.push(pattern::pattern(flat, tile.shift(), tile.place));
        if self.tiled() {
            layers.push(joints(tile, &self.tiles));
        }
        layers.push(self.foot());
        Scene {
            width_mm: size.width,
            height_mm: size.height,
            title: format!("{}, true size, {number}", flat.face_name),
            description: format!(
                "Pattern of {} for {}, true to size on the unworn fabric.",
                flat.face_name, flat.slipper_name
            ),
            paper: Colour::WHITE,
            layers,
        }
    }

    fn heading(&self, tile: &Tile, number: &str) -> Group {
        let mut group = Group::new("heading");
        let (plan, printed) = (&self.flat, self.paper.printed());
        let baseline = printed.y0 + 5.6;
        let remark = if self.tiled() {
            format!("true-size pattern, tile {}, {number}", tile.name())
        } else {
            format!("true-size pattern, {number}")
        };
        let remark = Lettering::new(remark, Font::SerifItalic, 3.2);
        let room = printed.width() - remark.length_mm() - 6.0;
        let width = Font::SerifBold.width_mm(&plan.face_name, 6.4);
        let size = 6.4 * (room / width.max(1.0)).min(1.0);
        let hand = match plan.instep.shell().hand() {
            Hand::Right => "right-handed",
            Hand::Left => "left-handed",
        };
        let lies = format!(
            "for {}, {hand}; you look at the outside, the toe down",
            plan.slipper_name
        );
        let lies = Font::Sans.cut(&lies, 2.7, printed.width());
        let print = "Print at 100 % (actual size). Do not fit to the page.";
        let left = |below: f64| Point::new(printed.x0, baseline + below);
        for (text, font, size, below) in [
            (plan.face_name.as_str(), Font::SerifBold, size, 0.0),
            (&lies, Font::Sans, 2.7, 4.9),
            (print, Font::SerifBold, 3.2, 10.2),
        ] {
            let lettering = Lettering::new(text, font, size);
            group.text(lettering.at(left(below), Anchor::Start), Colour::INK);
        }
        let at = Point::new(printed.x1, baseline);
        group.text(remark.at(at, Anchor::End), Colour::INK);
        if self.tiled() {
            let high = printed.y0 + HEAD_MM - 1.5 - (baseline + 2.4);
            key(
                &mut group,
                &self.tiles,
                tile,
                at + Vec2::new(0.0, 2.4),
                high,
            );
        }
        group
    }

    fn foot(&self) -> Group {
        let mut group = Group::new("foot");
        let printed = self.paper.printed();
        let corner = Point::new(printed.x0, printed.y1 - SQUARE_MM);
        let square = Rect::from_origin_size(corner, (SQUARE_MM, SQUARE_MM));
        check_square(&mut group, square, self.ruler);
        let left = square.x1 + 6.0;
        check_bar(&mut group, Point::new(left, square.y0));
        let width = printed.x1 - left;
        let mut panel = Panel::new("how-to", Point::new(left, square.y0 + 5.6), width);
        for line in self.how_to() {
            panel.sentence(&line, 0.0, Colour::INK);
        }
        let at = Point::new(left, panel.bottom() + 0.8);
        group.group(panel.finish());
        let signs = signs::signs(&SIGNS, at, width, pattern::ON_PAPER);
        group.group(signs.finish());
        group
    }

    fn how_to(&self) -> Vec<String> {
        let mut lines = vec![
            "Lay the paper on the outside, the blue line on the basting thread, the dark chain on \
             the opening edge, and pin it. Prick through each point and mark it; or sew through \
             thin paper and tear it away. Take out every pin before anyone wears the slipper."
                .to_owned(),
        ];
        if self.stretch > 1.0 {
            lines.push(format!(
                "Drawn for the slipper lying flat; the foot stretches it to {:.2} times the width.",
                self.stretch
            ));
        }
        if self.tiled() {
            lines.push(
                "Tiles: cut one of two neighbours along its dashed line, lay cross on cross, tape."
                    .to_owned(),
            );
        }
        lines
    }
}
