//! Areas and evenness against an independent geometry library, and the score against the formula
//! written out again.

use approx::assert_abs_diff_eq;
use instep::fabric::{RowPart, Spot};
use instep::face::Side;
use instep::weave::{FeaturePlan, Figures, Footprint, Plan, StrandPlan};
use kurbo::Point;

use super::overlay::{Region, corners};
use super::planned::{GALLERY, face, plan, slippers};

/// A stadium of length 20 and width 2.5: a rectangle of 17.5 by 2.5 and a disc of 2.5 across.
#[test]
fn a_footprint_has_the_area_of_a_stadium() {
    for (length, width) in [(20.0, 2.5), (4.0, 2.5), (25.0, 0.9), (2.5, 2.5)] {
        let (a, b) = (
            Point::new(-3.0, 7.0),
            Point::new(-3.0, 7.0) + kurbo::Vec2::from_angle(0.6) * length,
        );
        let bar = Footprint::new(a, b, width);
        let stadium = (length - width) * width + std::f64::consts::PI * width * width / 4.0;
        assert_abs_diff_eq!(bar.area(), stadium, epsilon = 1e-9);
        let drawn = kurbo::Shape::area(&bar.path(1e-4)).abs();
        assert_abs_diff_eq!(drawn, stadium, epsilon = 1e-3 * stadium);
        let laid = Region::strands(&[(a, b)], width);
        assert_abs_diff_eq!(laid.area(), stadium, epsilon = 1e-3 * stadium);
        let outline = Region::outline(&bar.path(1e-4));
        assert_abs_diff_eq!(outline.share(&laid), 1.0, epsilon = 5e-3);
    }
}

/// Width of a French knot: one turn is two widths of yarn across, each further turn half a width
/// more (common practice, no source).
fn knot_mm(feature: &FeaturePlan) -> f64 {
    feature.strand_mm * (1.5 + 0.5 * f64::from(feature.wraps))
}

fn ends(feature: &FeaturePlan) -> Vec<(Point, Point)> {
    let strands = feature.strands.iter();
    strands
        .map(|strand| (strand.up.at, strand.down.at))
        .collect()
}

/// What a feature covers.
pub(crate) fn sewn(feature: &FeaturePlan) -> Region {
    let ends = ends(feature);
    if feature.wraps > 0 {
        let centres: Vec<Point> = ends.iter().map(|(up, down)| up.midpoint(*down)).collect();
        Region::discs(&centres, knot_mm(feature))
    } else {
        Region::strands(&ends, feature.strand_mm)
    }
}

/// What it should cover, its outline (or path, or place) as corners.
fn wanted_of(feature: &FeaturePlan, outline: &kurbo::BezPath) -> Region {
    if feature.is_fill() {
        Region::outline(outline)
    } else if feature.wraps > 0 {
        Region::discs(&[corners(outline)[0][0]], knot_mm(feature))
    } else {
        Region::drawn(outline, feature.strand_mm)
    }
}

/// All bars one by one, what lies double counted twice.
fn laid_mm2(feature: &FeaturePlan) -> f64 {
    let width = feature.strand_mm;
    let disc = std::f64::consts::PI / 4.0;
    let one = |strand: &StrandPlan| {
        let length = strand.up.at.distance(strand.down.at);
        (length - width) * width + disc * width * width
    };
    if feature.wraps > 0 {
        disc * knot_mm(feature).powi(2) * feature.strands.len() as f64
    } else {
        feature.strands.iter().map(one).sum()
    }
}

/// Areas are right to 1 %, or 0.05 mm2 where that is more.
fn near(what: &str, found: f64, expected: f64) {
    let off = (found - expected).abs();
    assert!(
        off <= (0.01 * expected).max(0.05),
        "{what}: {found:.4}, by the overlay {expected:.4}"
    );
}

#[test]
fn areas_agree_with_an_overlay_of_polygons() {
    let mut compared = 0;
    for planned in GALLERY.iter() {
        for feature in &planned.plan.features {
            let what = format!("{} {} {:?}", planned.name, feature.name, feature.side);
            let (sewn, wanted) = (sewn(feature), wanted_of(feature, &feature.outline));
            let covered = sewn.area();
            let inside = sewn.and(&wanted).area();
            let measure = feature.measure;
            near(
                &format!("{what} outline"),
                measure.outline_mm2,
                wanted.area(),
            );
            near(
                &format!("{what} bare"),
                measure.bare_mm2,
                wanted.area() - inside,
            );
            near(
                &format!("{what} spill"),
                measure.spill_mm2,
                covered - inside,
            );
            near(
                &format!("{what} doubled"),
                measure.doubled_mm2,
                laid_mm2(feature) - covered,
            );
            let match_share = inside / sewn.or(&wanted).area();
            assert_abs_diff_eq!(measure.match_share, match_share, epsilon = 0.005);
            compared += 1;
        }
    }
    assert!(compared >= 100, "{compared} features");
}

/// Ends at whole stitches half-way up a row, or between two at its base, pierce yarn.
fn pierced(strand: &StrandPlan) -> f64 {
    let pierces = |end: instep::fabric::NeedlePoint| {
        let whole = end.stitch().fract() == 0.0;
        whole == (end.row == RowPart::Middle)
    };
    f64::from(u8::from(pierces(strand.up.point))) + f64::from(u8::from(pierces(strand.down.point)))
}

/// Angle of a strand off its feature's direction, degrees: in a mirrored feature the strands of
/// the left half follow the mirrored direction, in a bent one each the direction stated with it.
pub(crate) fn askew_deg(feature: &FeaturePlan, strand: &StrandPlan) -> f64 {
    let run = strand.down.at - strand.up.at;
    let lies = (-run.y).atan2(run.x).to_degrees();
    let stated = feature.direction_deg.unwrap_or(lies);
    let left = strand.up.at.midpoint(strand.down.at).x < 0.0;
    let wanted = if feature.bent.is_some() {
        strand.direction_deg.unwrap_or(lies)
    } else if feature.mirrored && left {
        -stated
    } else {
        stated
    };
    let off = (lies - wanted).rem_euclid(180.0);
    off.min(180.0 - off)
}

/// The score of the strands of a fill:
/// `in - out - 0.35 doubled - sum (0.50 t^2 + 0.10 t^2 p + 0.25 S (delta / spread)^2)`.
#[test]
fn the_score_is_the_formula() {
    let (mut compared, mut bent) = (0, 0);
    for planned in GALLERY.iter() {
        for feature in planned.plan.features.iter().filter(|f| f.is_fill()) {
            let (sewn, wanted) = (sewn(feature), wanted_of(feature, &feature.outline));
            let inside = sewn.and(&wanted).area();
            let outside = sewn.area() - inside;
            let doubled = laid_mm2(feature) - sewn.area();
            let t = feature.strand_mm;
            let prices: f64 = feature
                .strands
                .iter()
                .map(|strand| {
                    let area = (strand.length_mm - t) * t + std::f64::consts::PI * t * t / 4.0;
                    let askew = askew_deg(feature, strand) / planned.job.settings.spread_deg;
                    t * t * (0.50 + 0.10 * pierced(strand)) + 0.25 * area * askew * askew
                })
                .sum();
            let score = inside - outside - 0.35 * doubled - prices;
            let loose = 0.005 * (inside + outside + 0.35 * doubled) + 0.05;
            assert_abs_diff_eq!(feature.measure.score_mm2, score, epsilon = loose);
            bent += usize::from(feature.bent.is_some());
            compared += 1;
        }
    }
    assert!(
        compared >= 50 && bent >= 10,
        "{compared} fills, {bent} bent"
    );
}

/// The sides of a pair, left first, or the two halves of a centred feature: each as a region, with
/// the whole.
struct Sides {
    left: Region,
    right: Region,
    pair: bool,
}

impl Sides {
    fn new(regions: Vec<Region>) -> Self {
        let pair = regions.len() == 2;
        let mut regions = regions.into_iter();
        let first = regions.next().expect("a side");
        match regions.next() {
            Some(right) => Self {
                left: first,
                right,
                pair,
            },
            None => Self {
                left: first.mirrored().right_half().mirrored(),
                right: first.right_half(),
                pair,
            },
        }
    }

    fn whole(&self) -> Region {
        self.left.or(&self.right)
    }

    /// Compares with what the plan says; 1 % of overlap, 0.05 mm of place. Where one half is
    /// empty there is no difference in height.
    fn agree(&self, what: &str, figures: &Figures, row_mm: f64) {
        let (left, right) = (self.left.centroid(), self.right.centroid());
        let (whole, areas) = (self.whole(), [self.left.area(), self.right.area()]);
        let mirror_match = if self.pair {
            self.left.mirrored().share(&self.right)
        } else {
            whole.share(&whole.mirrored())
        };
        let offset = if self.pair {
            right.x + left.x
        } else {
            whole.centroid().x
        };
        let level = if areas[0] > 0.0 && areas[1] > 0.0 {
            right.y - left.y
        } else {
            0.0
        };
        for (figure, found, expected, loose) in [
            ("mirror match", figures.mirror_match, mirror_match, 0.01),
            ("level", figures.level_mm, level, 0.05),
            ("rows", figures.level_rows, level / row_mm, 0.01),
            ("offset", figures.offset_mm, offset, 0.05),
            (
                "size",
                figures.size_ratio,
                areas[0].min(areas[1]) / areas[0].max(areas[1]),
                0.01,
            ),
        ] {
            assert!(
                (found - expected).abs() <= loose,
                "{what} {figure}: {found:.4}, by the overlay {expected:.4}"
            );
        }
        if self.pair {
            let tilt = (right.y - left.y).atan2(right.x - left.x).to_degrees();
            assert_abs_diff_eq!(figures.tilt_deg, tilt, epsilon = 0.15);
        }
    }
}

fn sides<'a>(plan: &'a Plan, name: &str) -> Vec<&'a FeaturePlan> {
    plan.features.iter().filter(|f| f.name == name).collect()
}

#[test]
fn evenness_agrees_with_an_overlay_of_polygons() {
    let (mut pairs, mut centred) = (0, 0);
    for planned in GALLERY.iter() {
        for even in &planned.plan.symmetry {
            let sides = sides(&planned.plan, &even.feature);
            if sides.iter().any(|side| side.strands.is_empty()) {
                continue;
            }
            assert_eq!(sides.len(), if even.pair { 2 } else { 1 });
            let what = format!("{} {}", planned.name, even.feature);
            let row_mm = planned.plan.instep.row_mm();
            let sewn = sides.iter().map(|side| sewn(side)).collect();
            Sides::new(sewn).agree(&what, &even.planned, row_mm);
            *if even.pair { &mut pairs } else { &mut centred } += 1;
        }
    }
    assert!(
        pairs >= 20 && centred >= 10,
        "{pairs} pairs, {centred} centred"
    );
}

/// The outline counted naively: each point of it carried from `(x, y)` to the fabric point
/// `r - 1 + f = R - y / h`, `k = k_c + s x / (e w)`.
#[test]
fn evenness_of_naive_counting_agrees_with_an_overlay_of_polygons() {
    let mut compared = 0;
    for planned in GALLERY.iter() {
        let instep = &planned.plan.instep;
        let shell = instep.shell();
        let counted = |p: Point| {
            let level = f64::from(shell.last_round()) - p.y / instep.row_mm();
            instep.unfold(Spot {
                round: super::slippers::whole(level.floor() + 1.0),
                stitch: shell.centre_stitch() + shell.hand().sign() * p.x / instep.stitch_mm(),
                row: level - level.floor(),
            })
        };
        for even in &planned.plan.symmetry {
            let sides = sides(&planned.plan, &even.feature);
            // Long edges bend: they are carried in pieces. Outlines are taken as drawn, not as
            // seated.
            let fills = sides.iter().all(|side| side.is_fill());
            if !fills {
                continue;
            }
            let carried = sides.iter().map(|side| {
                let unmoved = kurbo::Affine::translate(-side.moved_mm) * &side.outline;
                let polygons: Vec<Vec<Point>> = corners(&unmoved)
                    .iter()
                    .map(|polygon| in_pieces(polygon).into_iter().map(counted).collect())
                    .collect();
                Region::polygons(&polygons)
            });
            let sides = Sides::new(carried.collect());
            let what = format!("{} {} naively", planned.name, even.feature);
            sides.agree(&what, &even.naive, instep.row_mm());
            compared += 1;
        }
    }
    assert!(compared >= 20, "{compared} features");
}

/// A closed polygon with corners at most a quarter mm apart.
fn in_pieces(polygon: &[Point]) -> Vec<Point> {
    let next = polygon.iter().cycle().skip(1);
    polygon
        .iter()
        .zip(next)
        .flat_map(|(&a, &b)| {
            let pieces = super::slippers::whole((a.distance(b) / 0.25).ceil()).max(1);
            (0..pieces).map(move |piece| a.lerp(b, f64::from(piece) / f64::from(pieces)))
        })
        .collect()
}

/// Each pair has a left and a right side, and every feature its side, as the page shows it.
#[test]
fn sides_are_named_as_the_page_shows_them() {
    for planned in GALLERY.iter() {
        for feature in &planned.plan.features {
            let x = wanted_of(feature, &feature.outline).centroid().x;
            match feature.side {
                Side::Left => assert!(x < 0.0, "{} {}", planned.name, feature.name),
                Side::Right => assert!(x > 0.0, "{} {}", planned.name, feature.name),
                Side::Centre => {}
            }
        }
    }
}

/// The grid that pairs and halves are compared on once grew with the square of how thin a shape is.
#[test]
fn a_hair_thin_shape_is_compared_as_quickly_as_any() {
    let text = "name = \"Hair\"\nwidth = 100\nheight = 80\n[threads.dark]\n[[feature]]\n\
                name = \"bar\"\nthread = \"dark\"\npath = \"M-44,30 L44,30 L44,30.01 L-44,30.01 Z\"\n";
    let (_, mut job) = slippers().remove(0);
    job.face = face(text);
    assert_eq!(plan(&job).symmetry.len(), 1);
}
