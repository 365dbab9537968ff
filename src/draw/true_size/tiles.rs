//! A drawing larger than the paper, cut into tiles that overlap.

use kurbo::{Point, Rect, Size, Vec2};

/// Width of the band that two neighbours share, mm: room for tape and for crosses that can be laid
/// over one another.
pub(super) const OVERLAP_MM: f64 = 15.0;

/// A drawing cut into tiles, all of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tiles {
    /// Tiles side by side, at least 1.
    pub columns: usize,
    /// Tiles one below the other, at least 1.
    pub rows: usize,
    /// Size of the drawing, mm.
    pub drawing: Size,
    /// Size of a tile, mm.
    size: Size,
    /// Where a tile lies on its page, mm.
    place: Rect,
}

/// One tile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tile {
    /// 0 at the top.
    pub row: usize,
    /// 0 at the left.
    pub column: usize,
    /// What of the drawing it shows, mm of the drawing.
    pub part: Rect,
    /// Where that lies on the page, mm.
    pub place: Rect,
}

impl Tiles {
    /// As few tiles as the room on a page allows, all alike; in the middle of the room and at its
    /// top.
    #[must_use]
    pub fn new(drawing: Size, room: Rect) -> Self {
        let (columns, width) = divided(drawing.width, room.width());
        let (rows, height) = divided(drawing.height, room.height());
        let size = Size::new(width, height);
        let corner = Point::new(room.center().x - width / 2.0, room.y0);
        Self {
            columns,
            rows,
            drawing,
            size,
            place: Rect::from_origin_size(corner, size),
        }
    }

    /// All tiles, row by row.
    #[must_use]
    pub fn all(&self) -> Vec<Tile> {
        let places = (0..self.rows).flat_map(|row| (0..self.columns).map(move |c| (row, c)));
        places.map(|(row, column)| self.tile(row, column)).collect()
    }

    fn tile(&self, row: usize, column: usize) -> Tile {
        let step = self.size - Size::new(OVERLAP_MM, OVERLAP_MM);
        let corner = Point::new(column as f64 * step.width, row as f64 * step.height);
        Tile {
            row,
            column,
            part: Rect::from_origin_size(corner, self.size),
            place: self.place,
        }
    }

    /// Places where the crosses of the overlaps stand, mm of the drawing: two on each seam of two
    /// tiles.
    #[must_use]
    pub fn crosses(&self) -> Vec<Point> {
        let mut crosses = Vec::new();
        for tile in self.all() {
            let (part, half) = (tile.part, OVERLAP_MM / 2.0);
            for share in [0.25, 0.75] {
                if tile.column + 1 < self.columns {
                    let y = part.y0 + share * part.height();
                    crosses.push(Point::new(part.x1 - half, y));
                }
                if tile.row + 1 < self.rows {
                    let x = part.x0 + share * part.width();
                    crosses.push(Point::new(x, part.y1 - half));
                }
            }
        }
        crosses
    }
}

/// Into how many tiles a length is cut, and how long each is, mm.
fn divided(length: f64, room: f64) -> (usize, f64) {
    let step = room - OVERLAP_MM;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at least 1; a drawing is some metres long at most"
    )]
    let count = ((length - OVERLAP_MM) / step - 1e-9).ceil().max(1.0) as usize;
    let overlaps = (count - 1) as f64 * OVERLAP_MM;
    (count, (length + overlaps) / count as f64)
}

impl Tile {
    /// Row and column: `A1`, `B3`; rows past Z have two letters.
    #[must_use]
    pub fn name(&self) -> String {
        name(self.row, self.column)
    }

    /// From the drawing to the page, mm.
    #[must_use]
    pub fn shift(&self) -> Vec2 {
        self.place.origin() - self.part.origin()
    }
}

/// A tile's name from its row and column, counted from 0.
#[must_use]
pub(super) fn name(row: usize, column: usize) -> String {
    let letter = |at: usize| ('A'..='Z').nth(at % 26).unwrap_or('Z');
    let first = (row >= 26).then(|| letter(row / 26 - 1));
    let letters: String = first.into_iter().chain([letter(row)]).collect();
    format!("{letters}{}", column + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    const ROOM: Rect = Rect::new(10.0, 30.0, 200.0, 225.0);

    #[test]
    fn what_fits_is_one_tile_in_the_middle() {
        let tiles = Tiles::new(Size::new(100.0, 90.0), ROOM);
        let all = tiles.all();
        assert_eq!(all.len(), 1);
        assert_eq!(all[0].part, Rect::new(0.0, 0.0, 100.0, 90.0));
        assert_eq!(all[0].place, Rect::new(55.0, 30.0, 155.0, 120.0));
        assert!(tiles.crosses().is_empty());
    }

    #[test]
    fn tiles_cover_the_drawing_fit_the_room_and_overlap_by_15_mm() {
        for width in [190.0, 190.1, 365.0, 365.1, 1000.0] {
            let tiles = Tiles::new(Size::new(width, 250.0), ROOM);
            let all = tiles.all();
            let last = all[all.len() - 1];
            assert_abs_diff_eq!(last.part.x1, width, epsilon = 1e-9);
            assert_abs_diff_eq!(last.part.y1, 250.0, epsilon = 1e-9);
            assert!(all[0].part.width() <= 190.0 + 1e-9);
            for pair in all.windows(2).filter(|pair| pair[0].row == pair[1].row) {
                let shared = pair[0].part.x1 - pair[1].part.x0;
                assert_abs_diff_eq!(shared, OVERLAP_MM, epsilon = 1e-9);
            }
        }
        // 190 is one tile of the room; 190 + 175 are two; a hair more is one more.
        let columns = [190.0, 190.1, 365.0, 365.1].map(|width| {
            let tiles = Tiles::new(Size::new(width, 250.0), ROOM);
            assert_eq!(tiles.rows, 2);
            tiles.columns
        });
        assert_eq!(columns, [1, 2, 2, 3]);
    }

    #[test]
    fn every_cross_lies_on_two_tiles() {
        let tiles = Tiles::new(Size::new(400.0, 300.0), ROOM);
        for cross in tiles.crosses() {
            let on = tiles
                .all()
                .iter()
                .filter(|t| t.part.contains(cross))
                .count();
            assert!(on >= 2, "{cross:?} on {on}");
        }
    }

    #[test]
    fn tiles_are_named_by_row_and_column() {
        let names = [(0, 0), (1, 2), (25, 0), (26, 0), (52, 11)];
        let names = names.map(|(row, column)| name(row, column));
        assert_eq!(names, ["A1", "B3", "Z1", "AA1", "BA12"]);
    }
}
