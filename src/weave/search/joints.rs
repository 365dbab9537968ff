//! Joints: a strand that would be too long is sewn as two, end to end. Where such ends lie one
//! beside the other in neighbouring rows they show as a seam, so they are laid as bricks are.

use kurbo::{BezPath, ParamCurveNearest, Point, Shape, Vec2};

use crate::weave::candidate::Pairing;
use crate::weave::field::Field;

/// How deep inside the outline an end must lie to be a joint, in widths: an end nearer the edge is
/// part of the edge.
const DEEP: f64 = 1.5;
/// How far apart across the direction the rows of two ends may lie, in widths: nearer, they are
/// the two ends of one joint; farther, another row lies between.
const ROWS: std::ops::Range<f64> = 0.3..1.5;
/// How near along the direction two ends must lie to look like one line, in widths.
const NEAR: f64 = 0.75;

/// The joints that strands can make: the ends of each that lie deep inside the outline.
#[derive(Debug)]
pub(in crate::weave) struct Joints {
    ends: Vec<Ends>,
    width: f64,
}

/// The deep ends of a strand, and its layer.
#[derive(Debug, Clone, Copy)]
struct Ends {
    deep: [Option<End>; 2],
    layer: usize,
}

#[derive(Debug, Clone, Copy)]
struct End {
    at: Point,
    /// Which way strands are wanted there.
    ahead: Vec2,
    /// Where that is across the direction, mm.
    level: f64,
}

impl Joints {
    pub(in crate::weave) fn new(
        pairings: &[Pairing],
        outline: &BezPath,
        field: &Field,
        width: f64,
    ) -> Self {
        let end = |at: Point| {
            is_deep(outline, at, DEEP * width).then(|| End {
                at,
                ahead: field.ahead(at),
                level: field.level(at),
            })
        };
        let ends = pairings.iter().map(|pairing| Ends {
            deep: pairing.at.map(end),
            layer: pairing.layer,
        });
        Self {
            ends: ends.collect(),
            width,
        }
    }

    /// Ends of a strand that lie in line with those of others.
    pub(super) fn in_line_with<'s>(
        &self,
        strand: u32,
        others: impl Iterator<Item = &'s u32>,
    ) -> u32 {
        let deep = self.ends[strand as usize].deep;
        if deep.iter().all(Option::is_none) {
            return 0;
        }
        others.map(|&other| self.in_line(strand, other)).sum()
    }

    /// Ends of two strands that lie in line.
    fn in_line(&self, a: u32, b: u32) -> u32 {
        let [a, b] = [a, b].map(|strand| &self.ends[strand as usize]);
        if a.layer != b.layer {
            return 0;
        }
        let (nearest, farthest) = (ROWS.start * self.width, ROWS.end * self.width);
        let mut found = 0;
        for one in a.deep.iter().flatten() {
            for other in b.deep.iter().flatten() {
                // Few are, so this is asked first.
                let across = (other.level - one.level).abs();
                if !(nearest..farthest).contains(&across) {
                    continue;
                }
                // Beyond the point of a fan the rays run the other way, at the same levels.
                if one.ahead.dot(other.ahead) <= 0.0 {
                    continue;
                }
                // The same seen from either end, or a search could win for ever by going round.
                let ahead = one.ahead + other.ahead;
                let along = (other.at - one.at).dot(ahead).abs() / (ahead.hypot() * self.width);
                found += u32::from(along < NEAR);
            }
        }
        found
    }

    /// Ends in line among all strands.
    pub(in crate::weave) fn all_in_line(&self) -> u32 {
        let count = u32::try_from(self.ends.len()).unwrap_or(u32::MAX);
        let pairs = (0..count).flat_map(|a| (0..a).map(move |b| (a, b)));
        pairs.map(|(a, b)| self.in_line(a, b)).sum()
    }
}

fn is_deep(outline: &BezPath, at: Point, depth: f64) -> bool {
    outline.contains(at)
        && outline
            .segments()
            .all(|edge| edge.nearest(at, 1e-3).distance_sq >= depth * depth)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::face::Run;
    use crate::weave::field::Fan;

    /// Ends beyond the point of a fan have rays of the same levels, that run the other way: they
    /// lie far apart, and in no line.
    #[test]
    fn ends_on_either_side_of_a_fans_point_are_in_no_line() {
        let joints = |turned_deg: f64| {
            let strand = |at: Point| {
                let out = at.to_vec2().normalize();
                Pairing {
                    ends: [0, 1],
                    at: [at, at + 12.0 * out],
                    layer: 0,
                    direction_deg: 0.0,
                    pierced: 0,
                }
            };
            let place = |degrees: f64| {
                let (sin, cos) = degrees.to_radians().sin_cos();
                Point::new(20.0 * cos, 20.0 * sin)
            };
            let strands = [strand(place(0.0)), strand(place(turned_deg))];
            let disc = kurbo::Circle::new((0.0, 0.0), 60.0).to_path(0.01);
            let fan = Fan::new(&Run::new(&disc, false), Some(Point::ORIGIN));
            Joints::new(&strands, &disc, &Field::Fan(fan), 2.5).all_in_line()
        };
        // A row on along the same circle both ends are in line.
        assert_eq!(joints(4.0), 2);
        for off_deg in [2.0, 3.0, 4.0, 5.0] {
            assert_eq!(joints(180.0 + off_deg), 0, "{off_deg}");
        }
    }
}
