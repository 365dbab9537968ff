//! Footprint of a strand: the place that a straight length of yarn covers on the fabric.

use kurbo::{Affine, BezPath, Point, Rect, Shape};

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

    /// The stretch of the horizontal line at `y` that the bar covers, least x first.
    #[must_use]
    pub(super) fn span_at(&self, y: f64) -> Option<(f64, f64)> {
        let mut span: Option<(f64, f64)> = None;
        let mut widen = |low: f64, high: f64| {
            span = Some(span.map_or((low, high), |(a, b)| (a.min(low), b.max(high))));
        };
        for end in [self.from, self.to] {
            let rest = self.radius * self.radius - (y - end.y) * (y - end.y);
            if rest >= 0.0 {
                widen(end.x - rest.sqrt(), end.x + rest.sqrt());
            }
        }
        // The sides: where the line meets the rectangle between the round ends.
        let along = self.to - self.from;
        let length = along.hypot();
        if length > 0.0 {
            let out = along.turn_90() * (self.radius / length);
            let corners = [
                self.from + out,
                self.to + out,
                self.to - out,
                self.from - out,
            ];
            for i in 0..4 {
                let (a, b) = (corners[i], corners[(i + 1) % 4]);
                if (a.y <= y) != (b.y <= y) {
                    let x = a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x);
                    widen(x, x);
                }
            }
        }
        span
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
