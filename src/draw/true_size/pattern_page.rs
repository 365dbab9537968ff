//! A page of the pattern: its heading, a tile of the pattern, and at the foot what checks the
//! printer, what the signs mean, and how tiles are joined.

use kurbo::{Point, Rect, Vec2};

use super::super::panel::Panel;
use super::super::scene::segment;
use super::super::signs::{self, Sign};
use super::super::{Anchor, Colour, DrawSettings, Font, Group, Lettering, Pen, Scene};
use super::tiles::{OVERLAP_MM, name};
use super::{Paper, Tile, Tiles, pattern};
use crate::fabric::Hand;
use crate::units::Ruler;
use crate::weave::Plan;

/// Room for the heading, mm.
const HEAD_MM: f64 = 21.0;

/// Side of the square that checks the printer, mm.
const SQUARE_MM: f64 = 50.0;

/// Length of the bar that checks the printer, mm.
const BAR_MM: f64 = 100.0;

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

/// The bands that a tile shares with its neighbours, grey below the pattern, with their limits and
/// the neighbours' names.
fn bands(tile: &Tile, tiles: &Tiles) -> Group {
    let mut group = Group::new("overlap");
    let shared = shared(tile, tiles);
    for (band, _) in &shared {
        group.fill(band, Colour([0xee, 0xee, 0xee]));
    }
    for (band, neighbour) in shared {
        let upright = band.height() > band.width();
        let line = Pen::new(Colour::FADED, 0.2).dashed(&[2.0, 1.5]);
        group.line(&band, line.square());
        let lettering = Lettering::new(format!("tile {neighbour} overlaps here"), Font::Sans, 2.6);
        let turn = if upright { -90.0 } else { 0.0 };
        group.text(lettering.centred(band.center(), turn), Colour::INK);
    }
    group
}

/// The bands on the page, each with the name of the neighbour.
fn shared(tile: &Tile, tiles: &Tiles) -> Vec<(Rect, String)> {
    let Rect { x0, y0, x1, y1 } = tile.place;
    let (row, column) = (tile.row, tile.column);
    let mut bands = Vec::new();
    if column > 0 {
        bands.push((
            Rect::new(x0, y0, x0 + OVERLAP_MM, y1),
            name(row, column - 1),
        ));
    }
    if column + 1 < tiles.columns {
        bands.push((
            Rect::new(x1 - OVERLAP_MM, y0, x1, y1),
            name(row, column + 1),
        ));
    }
    if row > 0 {
        bands.push((
            Rect::new(x0, y0, x1, y0 + OVERLAP_MM),
            name(row - 1, column),
        ));
    }
    if row + 1 < tiles.rows {
        bands.push((
            Rect::new(x0, y1 - OVERLAP_MM, x1, y1),
            name(row + 1, column),
        ));
    }
    bands
}

/// Edge of the tile, and the crosses: thin, so that they hide no needle point.
fn joints(tile: &Tile, tiles: &Tiles) -> Group {
    let mut group = Group::new("joints");
    group.line(&tile.place, Pen::new(Colour::INK, 0.2).square());
    for cross in tiles.crosses() {
        let at = cross + tile.shift();
        if tile.place.contains(at) {
            for arm in [Vec2::new(4.0, 0.0), Vec2::new(0.0, 4.0)] {
                let line = segment(at - arm, at + arm);
                group.line(&line, Pen::new(Colour::INK, 0.2).square());
            }
        }
    }
    group
}

/// A square whose outer edges are 50 mm long.
fn check_square(group: &mut Group, square: Rect, ruler: Ruler) {
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
fn check_bar(group: &mut Group, corner: Point) {
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

/// A small key of all tiles, this one filled, with its top right corner at a place.
fn key(group: &mut Group, tiles: &Tiles, tile: &Tile, right: Point, high: f64) {
    let side = (high / tiles.rows as f64).min(6.0);
    let left = right.x - side * tiles.columns as f64;
    for other in tiles.all() {
        let corner = Point::new(
            left + side * other.column as f64,
            right.y + side * other.row as f64,
        );
        let cell = Rect::from_origin_size(corner, (side, side));
        let own = (other.row, other.column) == (tile.row, tile.column);
        group.fill(&cell, if own { Colour::INK } else { Colour::WHITE });
        group.line(&cell, Pen::new(Colour::INK, 0.2).square());
        if side > 4.0 {
            let colour = if own { Colour::WHITE } else { Colour::INK };
            let lettering = Lettering::new(other.name(), Font::Sans, 0.42 * side);
            group.text(lettering.centred(cell.center(), 0.0), colour);
        }
    }
}
