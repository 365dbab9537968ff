//! Footprint of a strand: the place that a straight length of yarn covers on the fabric.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

/// A rounded bar of total length `L` and width `t`, its ends within the two needle points.
///
/// # Guarantees
/// At least as long as it is wide: a shorter strand is shown as a disc of the strand's width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footprint {
    /// Centre of the first round end, mm.
    from: Point,
    /// Centre of the other, mm.
    to: Point,
    /// Half the width, mm.
    radius: f64,
}

impl Footprint {
    /// The bar between two needle points, all in mm of the instep frame.
    #[must_use]
    pub fn new(a: Point, b: Point, width: f64) -> Self {
        let radius = width / 2.0;
        let length = a.distance(b);
        let inset = if length > width { radius / length } else { 0.5 };
        Self {
            from: a.lerp(b, inset),
            to: b.lerp(a, inset),
            radius,
        }
    }

    /// A stroke of a pen of `width` from one place to another, round ends standing out.
    #[must_use]
    pub fn stroke(from: Point, to: Point, width: f64) -> Self {
        Self {
            from,
            to,
            radius: width / 2.0,
        }
    }

    /// A disc, for a knot.
    #[must_use]
    pub fn disc(centre: Point, width: f64) -> Self {
        Self {
            from: centre,
            to: centre,
            radius: width / 2.0,
        }
    }

    /// Area, mm2: `(L - t) t + pi t^2 / 4`.
    #[must_use]
    pub fn area(&self) -> f64 {
        let straight = self.from.distance(self.to);
        straight * 2.0 * self.radius + std::f64::consts::PI * self.radius * self.radius
    }

    /// The mirror image across the centre line, x to -x.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let mirror = |p: Point| Point::new(-p.x, p.y);
        Self {
            from: mirror(self.from),
            to: mirror(self.to),
            radius: self.radius,
        }
    }

    /// The bar after a map that turns, shifts and scales by `scale`.
    #[must_use]
    pub(super) fn transformed(&self, map: Affine, scale: f64) -> Self {
        Self {
            from: map * self.from,
            to: map * self.to,
            radius: self.radius * scale,
        }
    }

    /// The bar made ready for the question which stretch of a horizontal line it covers.
    #[must_use]
    pub(super) fn spans(&self) -> Spans {
        let (top, bottom) = if self.from.y <= self.to.y {
            (self.from, self.to)
        } else {
            (self.to, self.from)
        };
        let along = bottom - top;
        let length = along.hypot();
        // Out to the left of someone who sees the top end above the bottom end.
        let left = if length > 0.0 {
            along.turn_90() * (self.radius / length)
        } else {
            Vec2::ZERO
        };
        Spans {
            top,
            bottom,
            radius2: self.radius * self.radius,
            left,
            slope: along.x / along.y,
        }
    }

    /// Least and greatest y, mm.
    #[must_use]
    pub(super) fn y_range(&self) -> (f64, f64) {
        (
            self.from.y.min(self.to.y) - self.radius,
            self.from.y.max(self.to.y) + self.radius,
        )
    }

    /// The smallest rectangle round it, mm.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        Rect::from_points(self.from, self.to).inflate(self.radius, self.radius)
    }

    /// Its edge as a path, for drawing and for checks.
    #[must_use]
    pub fn path(&self, tolerance: f64) -> BezPath {
        let angle = (self.to - self.from).atan2();
        let length = self.from.distance(self.to);
        let bar = kurbo::RoundedRect::new(
            -self.radius,
            -self.radius,
            length + self.radius,
            self.radius,
            self.radius,
        );
        Affine::translate(self.from.to_vec2()) * Affine::rotate(angle) * bar.to_path(tolerance)
    }
}

/// A bar as stretches of horizontal lines: see [`Footprint::spans`].
#[derive(Debug, Clone, Copy)]
pub(super) struct Spans {
    /// Centre of the upper end, least y.
    top: Point,
    /// Centre of the lower end.
    bottom: Point,
    radius2: f64,
    /// From the middle line to the left side.
    left: Vec2,
    /// Run of the sides in x for 1 in y; not used where the bar is level.
    slope: f64,
}

impl Spans {
    /// The stretch of the line at `y` that the bar covers, least x first; empty where it does not
    /// reach the line.
    #[must_use]
    pub(super) fn at(&self, y: f64) -> (f64, f64) {
        // Each side is straight between the two round ends.
        let edge = |out: Vec2, sign: f64| {
            let end = if y <= self.top.y + out.y {
                self.top
            } else if y >= self.bottom.y + out.y {
                self.bottom
            } else {
                let start = self.top + out;
                return start.x + (y - start.y) * self.slope;
            };
            // Beyond the ends both sides meet: the stretch is empty.
            let rest = self.radius2 - (y - end.y) * (y - end.y);
            end.x + sign * rest.max(0.0).sqrt()
        };
        (edge(self.left, -1.0), edge(-self.left, 1.0))
    }
}
