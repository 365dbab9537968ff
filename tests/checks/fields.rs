//! Directions that follow the shape, on shapes whose run is known from geometry: a bar's axis, a
//! circle's tangent, an ellipse's axes, the point where the sides of a triangle meet. Then what
//! plans make of them.

use instep::face::{Run, Side};
use instep::files::{Words, plan_json, steps, strands_csv};
use instep::terms::Terms;
use instep::units::Ruler;
use instep::weave::{Bent, FeaturePlan, Plan, Settings};
use kurbo::{Affine, BezPath, Point, Shape, Vec2};

use super::planned::{BENT, GALLERY, Planned, face, plan, slippers};

fn path(text: &str) -> BezPath {
    BezPath::from_svg(text).expect("path data")
}

/// The angle between two directions, degrees.
fn between(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(180.0);
    turn.min(180.0 - turn)
}

/// A direction of a vector on the page, whose y runs down.
fn direction(along: Vec2) -> f64 {
    (-along.y).atan2(along.x).to_degrees()
}

/// Places on a square lattice inside an outline.
fn inside(outline: &BezPath, apart: f64) -> Vec<Point> {
    let bounds = outline.bounding_box();
    let steps = |length: f64| super::slippers::whole((length / apart).floor());
    let mut places = Vec::new();
    for row in 0..steps(bounds.height()) {
        for column in 0..steps(bounds.width()) {
            let off = Vec2::new(f64::from(column) + 0.37, f64::from(row) + 0.61);
            let place = bounds.origin() + apart * off;
            if outline.contains(place) {
                places.push(place);
            }
        }
    }
    places
}

/// The run of a bar three times as long as wide, or longer, is its axis, all over it.
#[test]
fn a_bar_runs_along_its_axis_at_any_angle() {
    for (length, width) in [(60.0, 20.0), (60.0, 12.0), (90.0, 7.0)] {
        let bar = kurbo::Rect::new(-length / 2.0, -width / 2.0, length / 2.0, width / 2.0);
        for step in 0..20 {
            let degrees = 9.0 * f64::from(step);
            let turn = Affine::rotate(-degrees.to_radians());
            let outline = Affine::translate((31.0, 17.0)) * turn * bar.to_path(0.1);
            let run = Run::new(&outline, false);
            assert!(
                run.straightness() > 0.99,
                "{length} {width} {degrees} {}",
                run.straightness()
            );
            assert!(between(run.mean_deg(), degrees) < 0.5, "{degrees}");
            for place in inside(&outline, 2.0) {
                let off = between(run.at(place), degrees);
                assert!(
                    off < 6.0,
                    "{length} by {width} at {degrees}: {off} at {place}"
                );
            }
            // Two rows of strands lie as far apart in level as they do on the page.
            let across = turn * Point::new(0.0, 1.0);
            let at = |far: f64| Point::new(31.0, 17.0) + far * across.to_vec2();
            let levels = (run.level(at(width / 3.0)) - run.level(at(-width / 3.0))).abs();
            assert!((levels - width / 1.5).abs() < 0.03 * width, "{levels}");
        }
    }
}

/// A band between two circles about the origin, from one angle to another (degrees, y down).
fn band(inner: f64, outer: f64, from: f64, to: f64) -> BezPath {
    let arc = |radius: f64, from: f64, to: f64| {
        kurbo::Arc::new(
            Point::ZERO,
            (radius, radius),
            from.to_radians(),
            (to - from).to_radians(),
            0.0,
        )
    };
    let mut outline = arc(outer, from, to).to_path(1e-3);
    let back = arc(inner, to, from).to_path(1e-3);
    let start = back.elements()[0].end_point().unwrap_or_default();
    outline.line_to(start);
    outline.extend(back.elements()[1..].iter().copied());
    outline.close_path();
    outline
}

/// A band bent round a circle runs along the circle's tangent, which is square to the radius; its
/// levels are radii. Nearer to an end than the band is wide it may turn a little more, and what
/// it does at the very end is left open.
#[test]
fn a_band_round_a_circle_runs_along_the_tangent() {
    for (inner, outer, to) in [
        (30.0, 40.0, 150.0),
        (20.0, 34.0, 190.0),
        (18.0, 24.0, 260.0),
    ] {
        let outline = band(inner, outer, 10.0, to);
        let run = Run::new(&outline, false);
        let mut ahead = 0.0;
        for place in inside(&outline, 1.5) {
            let tangent = direction(place.to_vec2().turn_90());
            let off = between(run.at(place), tangent);
            let angle = place.to_vec2().atan2().to_degrees().rem_euclid(360.0);
            let ends = (angle - 10.0).min(to - angle).to_radians() * place.to_vec2().hypot();
            let wide = outer - inner;
            let most = if ends > wide { 5.0 } else { 15.0 };
            assert!(
                off < most || ends < wide / 2.0,
                "{inner} {outer}: {off} at {place}"
            );
            if ends < wide / 2.0 {
                continue;
            }
            // One way all along, also where the band has turned right round.
            let on = run.ahead(place).dot(place.to_vec2().turn_90().normalize());
            assert!(on * ahead >= 0.0 && on.abs() > 0.9, "{on} at {place}");
            ahead = on;
        }
        let middle = (10.0 + to) / 2.0;
        let at =
            |radius: f64, angle: f64| (Vec2::from_angle(angle.to_radians()) * radius).to_point();
        let (low, high) = (0.8 * inner + 0.2 * outer, 0.2 * inner + 0.8 * outer);
        for angle in [35.0, middle, to - 25.0] {
            let rise = (run.level(at(high, angle)) - run.level(at(low, angle))).abs();
            assert!((rise / (high - low) - 1.0).abs() < 0.05, "{rise}");
            let row = run.level(at(low, angle)) - run.level(at(low, middle));
            assert!(row.abs() < 0.12 * (outer - inner), "{row} along a row");
        }
    }
}

/// On its axes an ellipse runs along the longer one, by symmetry; so does its mean.
#[test]
fn an_ellipse_runs_along_its_longer_axis() {
    for degrees in [0.0, 27.0, 90.0, 154.0_f64] {
        let turn = Affine::rotate(-degrees.to_radians());
        let ellipse = kurbo::Ellipse::new(Point::ZERO, (30.0, 14.0), 0.0);
        let run = Run::new(&(turn * ellipse.to_path(1e-3)), false);
        assert!(between(run.mean_deg(), degrees) < 0.5, "{}", run.mean_deg());
        for share in [-0.9, -0.5, 0.0, 0.4, 0.8] {
            for place in [Point::new(30.0 * share, 0.0), Point::new(0.0, 14.0 * share)] {
                let off = between(run.at(turn * place), degrees);
                assert!(off < 1.0, "{degrees}: {off} at {place}");
            }
        }
    }
}

/// Near the rim of a disc all goes round; all ways are alike in the middle, and everywhere there
/// is a direction.
#[test]
fn a_disc_has_no_run_of_its_own() {
    let disc = kurbo::Circle::new(Point::new(4.0, 9.0), 20.0).to_path(1e-3);
    let run = Run::new(&disc, false);
    assert!(run.straightness() < 0.05, "{}", run.straightness());
    for place in inside(&disc, 1.0) {
        let out = place - Point::new(4.0, 9.0);
        let here = run.at(place);
        assert!((0.0..180.0).contains(&here), "{here}");
        if out.hypot() > 6.0 {
            assert!(between(here, direction(out.turn_90())) < 6.0, "{place}");
        }
    }
    let square = Run::new(&path("M0,0 H10 V10 H0 Z"), false);
    assert!((0.0..180.0).contains(&square.at(Point::new(5.0, 5.0))));
}

/// A shape turned, enlarged and moved has its run turned with it; a mirror image the mirror image.
#[test]
fn the_run_goes_with_the_shape() {
    let outline = path("M-50,4 Q0,52 50,4 L46,26 Q10,80 -46,26 Z");
    let run = Run::new(&outline, false);
    let turned = Affine::translate((12.0, -3.0)) * Affine::rotate(-0.6) * Affine::scale(0.7);
    let mirror = Affine::scale_non_uniform(-1.0, 1.0);
    let (other, seen) = (
        Run::new(&(turned * &outline), false),
        Run::new(&(mirror * &outline), false),
    );
    for place in inside(&outline, 3.0) {
        let here = run.at(place);
        let off = between(other.at(turned * place), here + 0.6_f64.to_degrees());
        assert!(off < 6.0, "{off} at {place}"); // in the tips by the other grid
        let off = between(seen.at(mirror * place), 180.0 - here);
        assert!(off < 1e-6, "{off} at {place}"); // the grid is mirrored too
    }
    // A centred shape is even to the last bit of its directions, drawn evenly or not.
    let even = Run::new(&outline, true);
    for place in inside(&outline, 3.0) {
        let off = between(even.at(mirror * place), 180.0 - even.at(place));
        assert!(off < 1e-6, "{off} at {place}");
    }
}

/// Where two straight sides meet, by their lines; parallel sides meet nowhere.
#[test]
fn a_fan_opens_where_the_long_sides_meet() {
    for (text, meet) in [
        ("M-10,40 L10,40 L0,0 Z", Point::new(0.0, 0.0)),
        ("M-10,40 L10,40 L4,0 L-4,0 Z", Point::new(0.0, -80.0 / 3.0)),
        ("M20,10 L20,22 L60,20 L60,12 Z", Point::new(140.0, 16.0)),
    ] {
        let outline = path(text);
        let found = Run::new(&outline, false).fan_point();
        // Rays from it run within 4 degrees of those from where the sides meet.
        for place in inside(&outline, 3.0) {
            if place.distance(meet) > 8.0 {
                let off = between(direction(place - found), direction(place - meet));
                assert!(off < 4.0, "{text}: {found} for {meet}, {off} at {place}");
            }
        }
    }
    // A fat ear that is even about its own axis fans out evenly, from the axis.
    for text in ["M14,34 Q14,8 30,0 Q46,8 46,34 Z", "M20,0 L40,0 L30,17 Z"] {
        let ear = Run::new(&path(text), false).fan_point();
        assert!((ear.x - 30.0).abs() < 1e-6, "{text}: {ear}");
    }
    let bar = Run::new(&path("M0,0 H60 V12 H0 Z"), false).fan_point();
    assert!(bar.x.abs() > 300.0 && (bar.y - 6.0).abs() < 20.0, "{bar}");
    let centred = Run::new(&path("M-10,40 L10,40 L1,0 L-1,0 Z"), true).fan_point();
    assert!(centred.x == 0.0, "{centred}");
}

fn bent(planned: &Planned) -> impl Iterator<Item = &FeaturePlan> {
    planned.plan.features.iter().filter(|f| f.bent.is_some())
}

/// The direction stated with a strand is that of the field at its middle, worked out anew from
/// what the plan says: of the right side or half, mirrored on the left.
#[test]
fn strands_state_the_field_where_they_lie() {
    let (mut seen, mut left) = (0, 0);
    for planned in GALLERY.iter() {
        for feature in bent(planned) {
            let what = format!("{} {} {:?}", planned.name, feature.name, feature.side);
            assert!(
                feature.direction_deg.is_none() && !feature.mirrored,
                "{what}"
            );
            let even = planned
                .plan
                .symmetry
                .iter()
                .find(|e| e.feature == feature.name);
            let centred = even.is_some_and(|even| !even.pair);
            let pair_left = even.is_some_and(|even| even.pair) && feature.side == Side::Left;
            let mirror = Affine::scale_non_uniform(-1.0, 1.0);
            let right = if pair_left { mirror } else { Affine::IDENTITY };
            let run = Run::new(&(right * &feature.outline), centred);
            for strand in &feature.strands {
                let middle = strand.up.at.midpoint(strand.down.at);
                let on_left = pair_left || (centred && middle.x < 0.0);
                let there = if on_left { mirror * middle } else { middle };
                let asked = match feature.bent {
                    Some(Bent::Fan(from)) => {
                        let from = if pair_left { mirror * from } else { from };
                        direction(there - from)
                    }
                    _ => run.at(there),
                };
                let asked = if on_left { 180.0 - asked } else { asked };
                let stated = strand.direction_deg.expect("a direction of its own");
                // The plan's field was moved with the shape's seat, not worked out anew.
                let off = between(stated, asked);
                assert!(off < 0.1, "{what}: {stated} for {asked}");
                seen += 1;
                left += usize::from(on_left);
            }
        }
    }
    assert!(
        seen >= 100 && left >= 20,
        "{seen} strands, {left} on the left"
    );
    let straight = GALLERY.iter().flat_map(|p| &p.plan.features);
    let straight = straight
        .filter(|f| f.bent.is_none())
        .flat_map(|f| &f.strands);
    assert!(straight.clone().count() > 100);
    assert!(straight.into_iter().all(|s| s.direction_deg.is_none()));
}

/// A face of one smile.
fn smile(direction: &str) -> String {
    format!(
        "width = 100\nheight = 60\n[threads.dark]\n[[feature]]\nname = 'mouth'\n\
         path = 'M-50,4 Q0,52 50,4 L46,26 Q0,80 -46,26 Z'\ndirection = {direction}\n"
    )
}

fn planned(text: &str, on: &str) -> Plan {
    let slipper = slippers().into_iter().find(|(name, _)| *name == on);
    let (_, mut job) = slipper.expect("a slipper of that name");
    job.settings = Settings::default();
    job.face = face(text);
    plan(&job)
}

/// A curved band along its run is worth more than in any of every 15 degrees, at worsted gauge, and
/// matches its shape as well as in the one that matches best, to a fiftieth; so that is what the
/// plan chooses by itself. A straight bar it leaves straight.
#[test]
fn a_smile_along_its_curve_beats_every_straight_direction() {
    let on = "worsted, right, spiral, points open";
    let mouth = |direction: &str| planned(&smile(direction), on).features.remove(0);
    let along = mouth("'along'");
    let upright = (0..12).map(|step| mouth(&(15 * step).to_string()));
    let (mut best_match, mut best_score) = (0.0_f64, 0.0_f64);
    for straight in upright {
        best_match = best_match.max(straight.measure.match_share);
        best_score = best_score.max(straight.measure.score_mm2);
    }
    let found = along.measure;
    assert!(
        found.match_share > best_match - 0.02 && found.score_mm2 > best_score,
        "{:.3} and {:.0} mm2 for {best_match:.3} and {best_score:.0}",
        found.match_share,
        found.score_mm2
    );
    assert_eq!(mouth("'auto'").bent, Some(Bent::Along));
    let bar = "width = 100\nheight = 60\n[threads.dark]\n[[feature]]\nname = 'bar'\n\
               path = 'M-40,20 L40,30 L40,50 L-40,40 Z'\n";
    assert!(planned(bar, on).features[0].direction_deg.is_some());
}

/// With ties, and the same with satin's way of sewing: strands come up at one end of the run.
#[test]
fn bent_fills_are_tied_down_and_sewn_one_way() {
    let (_, mut job) = slippers().swap_remove(0);
    job.settings.longest_mm = 14.0;
    job.settings.tie_down = true;
    job.face = face(&smile("'along'\nfill = 'satin'"));
    let mouth = plan(&job).features.remove(0);
    let ties = mouth.strands.iter().filter(|s| s.ties.is_some());
    assert!(ties.clone().count() >= 3);
    assert!(ties.into_iter().all(|tie| tie.direction_deg.is_none()));
    let laid: Vec<_> = mouth.strands.iter().filter(|s| s.ties.is_none()).collect();
    assert!(laid.iter().all(|s| s.direction_deg.is_some()));
    assert!(laid.iter().all(|s| mouth.free_mm(s) <= 14.0 + 1e-9));
    let right = laid.iter().filter(|s| s.down.at.x > s.up.at.x).count();
    assert!(
        right == 0 || right == laid.len(),
        "{right} of {}",
        laid.len()
    );
}

/// What the files say of a bent direction.
#[test]
fn the_files_tell_of_bent_directions() {
    let words = Words {
        terms: Terms::Us,
        ruler: Ruler::Metric,
    };
    let planned = planned(BENT, "worsted, left, joined");
    let text = plan_json(&planned, &words).expect("a plan as text");
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    for (feature, written) in planned
        .features
        .iter()
        .zip(value["features"].as_array().into_iter().flatten())
    {
        assert!(written["direction_deg"].is_null());
        let word = if feature.bent == Some(Bent::Along) {
            "along"
        } else {
            "fan"
        };
        assert_eq!(written["direction"], word);
        assert_eq!(written["fan_from_mm"].is_array(), word == "fan");
        for strand in written["strands"].as_array().into_iter().flatten() {
            assert!(strand["direction_deg"].is_number());
        }
    }
    let steps = steps(&planned, &words);
    for told in [
        "Smile: surface satin, strands along its own curve",
        "Left ear: surface satin, strands fanned out from one point",
        "Nose: satin, strands fanned out from one point",
    ] {
        assert!(steps.contains(told), "{told} in\n{steps}");
    }
    let table = strands_csv(&planned, &words);
    assert!(
        table.lines().skip(1).all(|line| !line.ends_with(",,")),
        "{table}"
    );
}
