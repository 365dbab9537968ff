//! How the tiles of a pattern are laid together: the bands they share, crosses, a key.

use kurbo::{Point, Rect, Vec2};

use super::super::scene::segment;
use super::super::{Colour, Font, Group, Lettering, Pen};
use super::tiles::{OVERLAP_MM, name};
use super::{Tile, Tiles};

/// The bands that a tile shares with its neighbours, grey below the pattern, with their limits and
/// the neighbours' names.
pub(super) fn bands(tile: &Tile, tiles: &Tiles) -> Group {
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
pub(super) fn joints(tile: &Tile, tiles: &Tiles) -> Group {
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

/// A small key of all tiles, this one filled, with its top right corner at a place.
pub(super) fn key(group: &mut Group, tiles: &Tiles, tile: &Tile, right: Point, high: f64) {
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
