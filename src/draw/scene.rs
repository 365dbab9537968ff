//! A picture before it is written: shapes and lettering in mm of the sheet, y down.
//!
//! Everything is decided here; a writer only translates.

use std::collections::BTreeMap;

use kurbo::{BezPath, Point, Rect, Shape};

use super::{Colour, Font, Lettering};

/// A sheet with what is drawn on it, first things first.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Width of the sheet, mm.
    pub width_mm: f64,
    /// Height of the sheet, mm.
    pub height_mm: f64,
    /// What it shows, in a few words.
    pub title: String,
    /// What it shows, in a sentence or two, for those who cannot see it.
    pub description: String,
    /// Colour of the sheet.
    pub paper: Colour,
    /// What is drawn, the lowest first.
    pub layers: Vec<Group>,
}

impl Scene {
    /// Every letter drawn: its font and glyph, and what it stands for.
    #[must_use]
    pub fn letters(&self) -> BTreeMap<(Font, u32), char> {
        let mut letters = BTreeMap::new();
        for layer in &self.layers {
            layer.add_letters(&mut letters);
        }
        letters
    }
}

/// Things that belong together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// Its name, one word of plain letters; an empty name shows nowhere.
    pub name: String,
    /// The strand of the plan that it draws, or a part of it; empty for all else.
    pub strand: String,
    /// Only what lies inside is shown.
    pub window: Option<Rect>,
    /// Many small shapes over each other within its window: as pixels they are painted large and
    /// sharp, then averaged, which takes less time than to smooth each.
    pub crowded: bool,
    /// Other pictures show the very same within the window: as pixels it is painted once, see
    /// [`Painted`](super::Painted).
    pub recurs: bool,
    /// What is in it, the lowest first.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// An area.
    Area(BezPath, Colour, Overlap),
    /// A line along a path.
    Line(BezPath, Pen),
    /// Lettering.
    Text(Lettering, Colour),
    /// A group within the group.
    Group(Group),
}

/// What an area is where it overlaps itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Overlap {
    /// Covered, for pieces laid over each other the same way round.
    Covered,
    /// Inside and outside by turns (even-odd), as the outlines of a face are meant.
    ByTurns,
}

/// How a line is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Pen {
    /// Its colour.
    pub colour: Colour,
    /// Its width, mm.
    pub width_mm: f64,
    /// Round ends and corners, else square ones.
    pub round: bool,
    /// Dash, gap, dash, gap, mm; empty for an unbroken line.
    pub dashes: Vec<f64>,
}

impl Pen {
    /// An unbroken line with round ends.
    #[must_use]
    pub fn new(colour: Colour, width_mm: f64) -> Self {
        Self {
            colour,
            width_mm,
            round: true,
            dashes: Vec::new(),
        }
    }

    /// Breaks the line: dash, gap, dash, gap, mm.
    #[must_use]
    pub fn dashed(mut self, dashes: &[f64]) -> Self {
        self.dashes = dashes.to_vec();
        self
    }

    /// Ends the line squarely.
    #[must_use]
    pub fn square(mut self) -> Self {
        self.round = false;
        self
    }
}

impl Group {
    /// An empty group.
    #[must_use]
    pub fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            ..Self::default()
        }
    }

    /// An empty group for a strand of the plan.
    #[must_use]
    pub fn of_strand(strand: String) -> Self {
        Self {
            strand,
            ..Self::default()
        }
    }

    /// An empty group of many small shapes that shows within a window.
    #[must_use]
    pub fn crowded(window: Rect) -> Self {
        Self {
            crowded: true,
            window: Some(window),
            ..Self::default()
        }
    }

    /// Fills a shape; what overlaps stays covered.
    pub fn fill(&mut self, shape: &impl Shape, colour: Colour) {
        let path = shape.to_path(FINE_MM);
        self.items.push(Item::Area(path, colour, Overlap::Covered));
    }

    /// Fills an outline of a face, whose subpaths are inside and outside by turns.
    pub fn fill_outline(&mut self, outline: &BezPath, colour: Colour) {
        let path = outline.clone();
        self.items.push(Item::Area(path, colour, Overlap::ByTurns));
    }

    /// Draws along a shape.
    pub fn line(&mut self, shape: &impl Shape, pen: Pen) {
        self.items.push(Item::Line(shape.to_path(FINE_MM), pen));
    }

    /// Letters.
    pub fn text(&mut self, lettering: Lettering, colour: Colour) {
        self.items.push(Item::Text(lettering, colour));
    }

    /// The smallest rectangle round its shapes and lines, mm; letters and inner groups left out.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        let bounds = |item: &Item| match item {
            Item::Area(path, ..) => Some(path.bounding_box()),
            Item::Line(path, pen) => {
                let half = pen.width_mm / 2.0;
                Some(path.bounding_box().inflate(half, half))
            }
            Item::Text(..) | Item::Group(_) => None,
        };
        let bounds = self.items.iter().filter_map(bounds);
        bounds.reduce(|a, b| a.union(b)).unwrap_or_default()
    }

    fn add_letters(&self, letters: &mut BTreeMap<(Font, u32), char>) {
        for item in &self.items {
            match item {
                Item::Text(lettering, _) => {
                    let glyphs = lettering.glyphs().iter().map(|&(glyph, _)| glyph);
                    let said = glyphs.zip(lettering.text().chars());
                    letters.extend(said.map(|(glyph, letter)| ((lettering.font(), glyph), letter)));
                }
                Item::Group(inner) => inner.add_letters(letters),
                Item::Area(..) | Item::Line(..) => {}
            }
        }
    }

    /// Adds a group on top.
    pub fn group(&mut self, group: Self) {
        self.items.push(Item::Group(group));
    }
}

/// How far a circle or rounded corner may be off, mm: a tenth of a pixel at 200 dpi.
const FINE_MM: f64 = 0.01;

/// A straight line.
#[must_use]
pub fn segment(a: impl Into<Point>, b: impl Into<Point>) -> BezPath {
    polyline([a.into(), b.into()])
}

/// An open line through points; empty for fewer than two.
#[must_use]
pub fn polyline(points: impl IntoIterator<Item = Point>) -> BezPath {
    let mut path = BezPath::new();
    for point in points {
        if path.elements().is_empty() {
            path.move_to(point);
        } else {
            path.line_to(point);
        }
    }
    path
}

/// A closed shape through points.
#[must_use]
pub fn polygon(points: impl IntoIterator<Item = Point>) -> BezPath {
    let mut path = polyline(points);
    if !path.elements().is_empty() {
        path.close_path();
    }
    path
}

/// A closed shape with the way round that all such have: where two lap over each other in one
/// path, they would cancel out if they went opposite ways.
#[must_use]
pub fn one_way_round(shape: BezPath) -> BezPath {
    if shape.area() < 0.0 {
        shape.reverse_subpaths()
    } else {
        shape
    }
}

/// Adds a dot: a line too short to see, for a pen with round ends.
pub fn dot(path: &mut BezPath, at: Point) {
    path.move_to(at);
    path.line_to((at.x + 0.01, at.y));
}
