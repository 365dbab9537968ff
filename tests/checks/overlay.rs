//! Areas by an independent geometry library (overlays of polygons, `i_overlay`): regions of finely
//! flattened bars and outlines, mm of the instep frame. Nothing here uses the footprints or the
//! sample grids of the weave.

use std::f64::consts::PI;

use i_overlay::core::fill_rule::FillRule::{EvenOdd, NonZero};
use i_overlay::core::overlay_rule::OverlayRule::{Difference, Intersect, Union};
use i_overlay::float::simplify::SimplifyShape;
use i_overlay::float::single::SingleFloatOverlay;
use kurbo::{BezPath, PathEl, Point, Vec2};

type Contour = Vec<[f64; 2]>;

/// Polygons, each with its holes.
#[derive(Debug, Clone)]
pub(crate) struct Region(Vec<Vec<Contour>>);

/// Corners to a half circle: the polygon is within 0.02 % of the disc.
const CORNERS: u32 = 96;

/// A pen of a width drawn from one place to another, round ends standing out.
fn stroke(a: Point, b: Point, width: f64) -> Contour {
    let angle = (b - a).atan2();
    let half_circle = |centre: Point, from: f64| {
        (0..=CORNERS).map(move |corner| {
            let turn = from + PI * f64::from(corner) / f64::from(CORNERS);
            let at = centre + Vec2::from_angle(turn) * (width / 2.0);
            [at.x, at.y]
        })
    };
    half_circle(b, angle - PI / 2.0)
        .chain(half_circle(a, angle + PI / 2.0))
        .collect()
}

/// A strand between two needle points: a rounded bar as long as they are apart.
fn bar(a: Point, b: Point, width: f64) -> Contour {
    let along = (b - a).normalize() * (width / 2.0);
    stroke(a + along, b - along, width)
}

/// The corners of a path, curves laid out to 5 thousandths of a mm.
pub(crate) fn corners(path: &BezPath) -> Vec<Vec<Point>> {
    let mut subpaths: Vec<Vec<Point>> = Vec::new();
    kurbo::flatten(path.elements().iter().copied(), 0.005, |element| {
        match (element, subpaths.last_mut()) {
            (PathEl::MoveTo(p), _) => subpaths.push(vec![p]),
            (PathEl::LineTo(p), Some(subpath)) => subpath.push(p),
            _ => {}
        }
    });
    subpaths
}

impl Region {
    /// All that strands cover.
    pub(crate) fn strands(ends: &[(Point, Point)], width: f64) -> Self {
        Self::union(ends.iter().map(|&(a, b)| bar(a, b, width)).collect())
    }

    /// Discs about places.
    pub(crate) fn discs(centres: &[Point], width: f64) -> Self {
        Self::union(centres.iter().map(|&c| stroke(c, c, width)).collect())
    }

    /// An open path drawn with a pen of a width.
    pub(crate) fn drawn(path: &BezPath, width: f64) -> Self {
        let strokes = corners(path)
            .iter()
            .flat_map(|line| line.windows(2))
            .map(|ends| stroke(ends[0], ends[1], width))
            .collect();
        Self::union(strokes)
    }

    /// A closed outline, even-odd.
    pub(crate) fn outline(path: &BezPath) -> Self {
        Self::polygons(&corners(path))
    }

    /// Closed polygons, even-odd.
    pub(crate) fn polygons(polygons: &[Vec<Point>]) -> Self {
        let contours: Vec<Contour> = polygons
            .iter()
            .map(|polygon| polygon.iter().map(|p| [p.x, p.y]).collect())
            .collect();
        Self(contours.simplify_shape(EvenOdd))
    }

    fn union(contours: Vec<Contour>) -> Self {
        Self(contours.simplify_shape(NonZero))
    }

    /// What two regions share.
    pub(crate) fn and(&self, other: &Self) -> Self {
        Self(self.0.overlay(&other.0, Intersect, NonZero))
    }

    /// What either region covers.
    pub(crate) fn or(&self, other: &Self) -> Self {
        Self(self.0.overlay(&other.0, Union, NonZero))
    }

    /// The part that another region does not cover.
    pub(crate) fn without(&self, other: &Self) -> Self {
        Self(self.0.overlay(&other.0, Difference, NonZero))
    }

    /// The part right of the centre line.
    pub(crate) fn right_half(&self) -> Self {
        const FAR: f64 = 1000.0;
        let half = [(0.0, -FAR), (FAR, -FAR), (FAR, FAR), (0.0, FAR)];
        self.and(&Self::polygons(&[half.map(Point::from).to_vec()]))
    }

    /// The mirror image across the centre line.
    pub(crate) fn mirrored(&self) -> Self {
        let mirror = |contour: &Contour| contour.iter().rev().map(|p| [-p[0], p[1]]).collect();
        let shape = |shape: &Vec<Contour>| shape.iter().map(mirror).collect();
        Self(self.0.iter().map(shape).collect())
    }

    /// Overlap over union with another region.
    pub(crate) fn share(&self, other: &Self) -> f64 {
        self.and(other).area() / self.or(other).area()
    }

    /// Area, mm2.
    pub(crate) fn area(&self) -> f64 {
        self.sum(|_, _| 1.0)
    }

    /// Centroid (Green's theorem: over a triangle from the origin the mean of x is a third of the
    /// sum of its corners).
    pub(crate) fn centroid(&self) -> Point {
        let area = self.area();
        Point::new(
            self.sum(|a, b| (a[0] + b[0]) / 3.0) / area,
            self.sum(|a, b| (a[1] + b[1]) / 3.0) / area,
        )
    }

    /// Sums a mean over the signed triangles between the origin and each edge, outer borders
    /// positive and holes negative whichever way they run.
    fn sum(&self, mean: impl Fn([f64; 2], [f64; 2]) -> f64) -> f64 {
        let mut total = 0.0;
        for shape in &self.0 {
            for (index, contour) in shape.iter().enumerate() {
                let (mut twice_area, mut twice_sum) = (0.0, 0.0);
                for (i, &a) in contour.iter().enumerate() {
                    let b = contour[(i + 1) % contour.len()];
                    let cross = a[0] * b[1] - a[1] * b[0];
                    twice_area += cross;
                    twice_sum += cross * mean(a, b);
                }
                let outer = if index == 0 { 0.5 } else { -0.5 };
                total += outer * twice_sum * twice_area.signum();
            }
        }
        total
    }
}

/// The tool itself: a square of 4 with a hole of 1, and a bar of 10 by 2, on paper.
#[test]
fn the_overlay_measures_what_paper_says() {
    let square = |x: f64, y: f64, side: f64| {
        [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
            .map(Point::from)
            .to_vec()
    };
    let frame = Region::polygons(&[square(1.0, 1.0, 4.0), square(3.0, 3.0, 1.0)]);
    approx::assert_abs_diff_eq!(frame.area(), 15.0, epsilon = 1e-6);
    // (16 * 3 - 1 * 3.5) / 15
    let centroid = frame.centroid();
    approx::assert_abs_diff_eq!(centroid.x, 44.5 / 15.0, epsilon = 1e-6);
    approx::assert_abs_diff_eq!(frame.mirrored().centroid().x, -44.5 / 15.0, epsilon = 1e-6);
    approx::assert_abs_diff_eq!(frame.right_half().area(), 15.0, epsilon = 1e-6);
    let ends = [(Point::new(-5.0, 0.0), Point::new(5.0, 0.0))];
    let bar = Region::strands(&ends, 2.0);
    approx::assert_abs_diff_eq!(bar.area(), 16.0 + PI, epsilon = 2e-3);
    approx::assert_abs_diff_eq!(bar.right_half().area(), 8.0 + PI / 2.0, epsilon = 1e-3);
    approx::assert_abs_diff_eq!(bar.share(&bar.mirrored()), 1.0, epsilon = 1e-6);
}
