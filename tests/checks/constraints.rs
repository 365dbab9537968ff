//! What every plan must keep, whatever it was planned for: the rules of the weave written out
//! again and held against each strand of the shared plans.

use std::collections::BTreeMap;

use instep::fabric::{NeedlePoint, RowPart};
use instep::face::{Facing, Side};
use instep::files::{Words, steps};
use instep::terms::Terms;
use instep::units::Ruler;
use instep::weave::{FeaturePlan, Plan, PointsAllowed, StrandPlan};
use kurbo::{Affine, Point};

use super::areas::{askew_deg, sewn};
use super::overlay::corners;
use super::planned::{GALLERY, Planned, face, plan, slippers};

/// Each feature of the shared plans with its plan, and what to call it.
fn features() -> impl Iterator<Item = (String, &'static Planned, &'static FeaturePlan)> {
    GALLERY.iter().flat_map(|planned| {
        planned.plan.features.iter().map(move |feature| {
            let what = format!("{}: {} {:?}", planned.name, feature.name, feature.side);
            (what, planned, feature)
        })
    })
}

/// Strands of a thread in working order, each with its feature's place in the list.
fn worked(planned: &Planned, thread: &str) -> Vec<(usize, StrandPlan)> {
    let mut worked: Vec<(usize, StrandPlan)> = planned
        .plan
        .features
        .iter()
        .enumerate()
        .filter(|(_, feature)| feature.thread == thread)
        .flat_map(|(at, feature)| feature.strands.iter().map(move |strand| (at, *strand)))
        .collect();
    worked.sort_by_key(|(_, strand)| strand.order);
    worked
}

#[test]
fn the_shared_plans_have_work_in_them() {
    let strands: usize = GALLERY.iter().map(|p| p.plan.strands().count()).sum();
    assert!(strands > 700, "{strands} strands");
    let methods: std::collections::BTreeSet<&str> = features()
        .map(|(_, _, feature)| feature.method.as_str())
        .collect();
    assert_eq!(
        Vec::from_iter(methods),
        [
            "backstitch",
            "chain stitch",
            "french knot",
            "satin",
            "stem stitch",
            "surface satin"
        ]
    );
}

/// A strand is at least one and a half times as long as its thread is wide, and no longer than
/// the longest; a knot's lies between neighbours.
#[test]
fn no_strand_is_too_short_or_too_long() {
    for (what, planned, feature) in features() {
        let shortest = if feature.wraps > 0 {
            0.0
        } else {
            1.5 * feature.strand_mm
        };
        for strand in &feature.strands {
            let length = strand.up.at.distance(strand.down.at);
            assert!((strand.length_mm - length).abs() < 1e-9, "{what}");
            assert!(length > shortest - 1e-9, "{what}: {length} of {shortest}");
            assert!(
                length < planned.job.settings.longest_mm + 1e-9,
                "{what}: {length}"
            );
        }
    }
}

/// The strands of a fill keep to its direction; in a mirrored feature those of the left half to
/// the mirrored one. A pair's sides have mirrored directions.
#[test]
fn no_strand_leaves_the_direction_by_more_than_the_spread() {
    for (what, planned, feature) in features() {
        if !feature.is_fill() {
            continue;
        }
        for strand in &feature.strands {
            let off = askew_deg(feature, strand);
            assert!(
                off <= planned.job.settings.spread_deg + 1e-6,
                "{what}: {off}"
            );
        }
    }
    let mut mirrored = 0;
    for pair in GALLERY.iter().flat_map(|p| p.plan.features.windows(2)) {
        if let [(left, Some(l)), (right, Some(r))] =
            [&pair[0], &pair[1]].map(|side| (side, side.direction_deg))
            && left.name == right.name
        {
            let turn = (l + r).rem_euclid(180.0);
            assert!(turn.min(180.0 - turn) < 1e-9, "{}: {l} and {r}", left.name);
            mirrored += 1;
        }
    }
    assert!(mirrored >= 10, "{mirrored} pairs");
}

/// Ends of the whole face in one needle point, lines and knots counted.
#[test]
fn no_needle_point_takes_more_ends_than_the_limit() {
    for planned in GALLERY.iter() {
        let mut ends: BTreeMap<NeedlePoint, u32> = BTreeMap::new();
        for strand in planned.plan.strands() {
            for end in [strand.up.point, strand.down.point] {
                *ends.entry(end).or_default() += 1;
            }
        }
        for (point, count) in ends {
            let limit = planned.job.settings.hole_limit;
            assert!(count <= limit, "{}: {count} in {point:?}", planned.name);
        }
    }
}

/// Shapes that lie beside each other, farther apart than half a thread, are filled side by side: the
/// one that finds a needle point taken is filled anew.
#[test]
fn shapes_beside_each_other_leave_each_other_room() {
    let (mut both, mut tried) = (0, 0);
    for (slipper, mut job) in slippers() {
        job.settings.hole_limit = 1;
        for gap in [6, 10, 14] {
            let bar = |name: &str, from: i32, to: i32| {
                format!(
                    "[[feature]]\nname = \"{name}\"\ndirection = 0\npath = \"M{from},0 L{to},0 L{to},40 L{from},40 Z\"\n"
                )
            };
            let head = "name = \"Bars\"\nwidth = 100\nheight = 40\n[threads.dark]\n";
            let bars = [bar("one", -50, -gap / 2), bar("other", gap / 2, 50)].concat();
            job.face = face(&format!("{head}{bars}"));
            let planned = plan(&job);
            for (point, count) in planned.ends_by_point() {
                assert!(count <= 1, "{slipper}, {gap}: {count} in {point:?}");
            }
            both += usize::from(planned.features.iter().all(|f| f.strands.len() >= 3));
            tried += 1;
        }
    }
    assert!(2 * both > tried, "{both} of {tried} filled");
}

/// Open points are hook holes (whole stitches at the base) and gaps (between two, half-way up).
#[test]
fn only_allowed_needle_points_are_used() {
    let mut asked = 0;
    for planned in GALLERY.iter() {
        let open = planned.job.settings.points == PointsAllowed::Open;
        for end in planned.plan.strands().flat_map(|s| [s.up, s.down]) {
            assert_eq!(planned.plan.instep.find(end.point), Some(&end));
            let whole = end.point.half_stitches.is_multiple_of(2);
            assert!(
                !open || whole == (end.point.row == RowPart::Base),
                "{}",
                planned.name
            );
            asked += usize::from(open);
        }
    }
    assert!(asked > 100, "{asked} ends with open points");
}

/// A needle that goes down and up in one needle point pulls its stitch out again; only a chain is
/// caught by its next link.
#[test]
fn the_needle_never_comes_up_where_it_went_down() {
    for planned in GALLERY.iter() {
        for strand in planned.plan.strands() {
            assert_ne!(strand.up.point, strand.down.point, "{}", planned.name);
        }
        for thread in &planned.plan.threads {
            for pair in worked(planned, &thread.name).windows(2) {
                let [(of_last, last), (of_next, next)] = [pair[0], pair[1]];
                let link =
                    of_last == of_next && planned.plan.features[of_next].method == "chain stitch";
                let pulls = last.down.point == next.up.point && !next.start && !link;
                assert!(!pulls, "{}: {} {:?}", planned.name, thread.name, next);
            }
        }
    }
}

/// Travel is the straight way from the last end to the next; longer than the carry, the thread
/// ends; longer than the float limit (10 mm at most for a baby), it is caught as often as needed
/// and no oftener.
#[test]
fn floats_are_caught_and_no_thread_is_carried_too_far() {
    let (mut caught, mut ended) = (0, 0);
    for planned in GALLERY.iter() {
        let settings = &planned.job.settings;
        let limit = if planned.job.slipper.for_baby {
            settings.float_limit_mm.min(10.0)
        } else {
            settings.float_limit_mm
        };
        for thread in &planned.plan.threads {
            let worked = worked(planned, &thread.name);
            let mut longest: f64 = 0.0;
            for (at, (_, strand)) in worked.iter().enumerate() {
                let what = format!("{} {} {}", planned.name, thread.name, strand.order);
                let Some((_, last)) = at.checked_sub(1).map(|before| worked[before]) else {
                    assert!(strand.start && strand.travel_mm == 0.0, "{what}");
                    continue;
                };
                let way = last.down.at.distance(strand.up.at);
                if strand.start && strand.travel_mm == 0.0 {
                    ended += usize::from(way > settings.carry_mm);
                } else {
                    assert!((strand.travel_mm - way).abs() < 1e-9, "{what}");
                    assert!(way <= settings.carry_mm + 1e-9, "{what}: {way}");
                }
                let stretch = strand.travel_mm / f64::from(strand.caught + 1);
                assert!(stretch <= limit + 1e-9, "{what}: {stretch}");
                if strand.caught > 0 {
                    assert!(
                        strand.travel_mm / f64::from(strand.caught) > limit,
                        "{what}"
                    );
                    caught += 1;
                }
                longest = longest.max(stretch);
            }
            assert!(
                thread.longest_float_mm >= longest - 1e-9,
                "{}",
                planned.name
            );
            assert!(thread.longest_float_mm <= limit + 1e-9, "{}", planned.name);
        }
    }
    assert!(caught >= 5 && ended >= 1, "{caught} caught, {ended} ended");
}

#[test]
fn strands_of_a_thread_are_numbered_from_one_on() {
    for planned in GALLERY.iter() {
        for thread in &planned.plan.threads {
            let worked = worked(planned, &thread.name);
            assert_eq!(worked.len(), thread.strands, "{}", planned.name);
            let orders: Vec<usize> = worked.iter().map(|(_, strand)| strand.order).collect();
            let numbers: Vec<usize> = (1..=worked.len()).collect();
            assert_eq!(orders, numbers, "{} {}", planned.name, thread.name);
            let starts = worked.iter().filter(|(_, strand)| strand.start).count();
            assert!(starts <= thread.starts, "{} {}", planned.name, thread.name);
        }
        let of_threads: usize = planned.plan.threads.iter().map(|t| t.strands).sum();
        assert_eq!(of_threads, planned.plan.strands().count());
        for feature in &planned.plan.features {
            let mut last = 0;
            for strand in &feature.strands {
                assert!(strand.order > last, "{}: {}", planned.name, feature.name);
                last = strand.order;
            }
        }
    }
}

/// Features lie on others by more than what rounding may call a touch, mm2.
const LIES_ON_MM2: f64 = 0.5;

/// For each feature of a plan those before it in the face that it lies on.
fn underneath(planned: &Planned) -> Vec<Vec<usize>> {
    let features = &planned.plan.features;
    let regions: Vec<_> = features.iter().map(sewn).collect();
    let same = |a: usize, b: usize| features[a].name == features[b].name;
    (0..features.len())
        .map(|later| {
            (0..later)
                .filter(|&earlier| !same(earlier, later))
                .filter(|&earlier| regions[later].and(&regions[earlier]).area() > LIES_ON_MM2)
                .collect()
        })
        .collect()
}

/// A stage is sewn in one thread, and each thread's orders go through the stages. What lies on top
/// is sewn in a later stage than what lies underneath, in the plan and on the page of steps.
#[test]
fn what_lies_on_top_is_sewn_later() {
    let mut laid = 0;
    for planned in GALLERY.iter() {
        let features = &planned.plan.features;
        let mut threads: BTreeMap<usize, &str> = BTreeMap::new();
        for feature in features {
            for strand in &feature.strands {
                let thread = threads.entry(strand.stage).or_insert(&feature.thread);
                assert_eq!(*thread, feature.thread, "{}", planned.name);
            }
        }
        let stages: Vec<usize> = threads.keys().copied().collect();
        assert_eq!(
            stages,
            Vec::from_iter(1..=threads.len()),
            "{}",
            planned.name
        );
        for thread in &planned.plan.threads {
            let worked = worked(planned, &thread.name);
            assert!(
                worked.is_sorted_by_key(|(_, strand)| strand.stage),
                "{}",
                planned.name
            );
        }
        let text = steps(&planned.plan, &WORDS);
        let line_of = |strand: &StrandPlan, thread: &str| place_in(&text, strand, thread);
        for (later, below) in underneath(planned).into_iter().enumerate() {
            for earlier in below {
                let what = format!("{}: {}", planned.name, features[later].name);
                if let Some((top, under)) = pairs(&features[later], &features[earlier]) {
                    let same = features[later].thread == features[earlier].thread;
                    let after = (under.stage, under.order) < (top.stage, top.order);
                    assert!(after && (same || under.stage < top.stage), "{what}");
                    let lines = [
                        line_of(under, &features[earlier].thread),
                        line_of(top, &features[later].thread),
                    ];
                    assert!(lines.is_sorted(), "{what}: {lines:?} of the steps");
                }
                laid += 1;
            }
        }
    }
    assert!(laid >= 10, "{laid} features on others");
}

/// The first strand on top with the last one underneath.
fn pairs<'a>(
    later: &'a FeaturePlan,
    earlier: &'a FeaturePlan,
) -> Option<(&'a StrandPlan, &'a StrandPlan)> {
    let first = later.strands.iter().min_by_key(|s| s.order)?;
    Some((first, earlier.strands.iter().max_by_key(|s| s.order)?))
}

const WORDS: Words = Words {
    terms: Terms::Us,
    ruler: Ruler::Metric,
};

/// Line of the steps on which a strand stands: under a heading of its thread, with its number.
fn place_in(text: &str, strand: &StrandPlan, thread: &str) -> usize {
    let number = format!("{:>4}  ", strand.order);
    let heading = format!("{thread} yarn");
    let mut under = false;
    for (at, line) in text.lines().enumerate() {
        let low = line.to_lowercase();
        // `Dark yarn again (A on the chart)`.
        let called = low.split(" (").next().unwrap_or_default();
        if called.ends_with(" yarn") || called.ends_with(" yarn again") {
            under = called.starts_with(&heading);
        }
        if under && line.starts_with(&number) {
            return at;
        }
    }
    panic!("no line of {heading} {number} in:\n{text}");
}

/// Where a shape lies before it is seated: its corners scaled to the width asked for, below the
/// edge, turned for the wearer, mirrored for the other side.
fn drawn_mm(planned: &Planned, feature: &FeaturePlan) -> Vec<Vec<Point>> {
    let (plan, face) = (&planned.plan, &planned.job.face);
    let drawn = face
        .features
        .iter()
        .find(|drawn| drawn.name == feature.name)
        .expect("a feature of the face");
    let scale = plan.width_mm / face.width;
    let on_page = |p: Point| match planned.job.place.facing {
        Facing::Onlooker => Point::new(scale * p.x, scale * p.y + plan.below_edge_mm),
        Facing::Wearer => Point::new(
            -scale * p.x,
            scale * (face.height - p.y) + plan.below_edge_mm,
        ),
    };
    let bounds = drawn.outline.bounds();
    let right = on_page(bounds.center()).x > 0.0;
    let other = drawn.pair && right != (feature.side == Side::Right);
    corners(&(Affine::scale(scale) * drawn.outline.path()))
        .into_iter()
        .map(|line| {
            line.into_iter()
                .map(|p| on_page((p.to_vec2() / scale).to_point()))
                .map(|p| if other { Point::new(-p.x, p.y) } else { p })
                .collect()
        })
        .collect()
}

/// A seat is at most a quarter stitch and a quarter row; a pair moves as mirror images, a centred
/// feature up or down only, nothing where it is forbidden or is no fill.
#[test]
fn a_seat_is_small_and_even() {
    let mut moved = 0;
    for (what, planned, feature) in features() {
        let instep = &planned.plan.instep;
        let by = feature.moved_mm;
        assert!(
            by.x.abs() <= instep.stitch_mm() / 4.0 + 1e-9,
            "{what}: {by:?}"
        );
        assert!(by.y.abs() <= instep.row_mm() / 4.0 + 1e-9, "{what}: {by:?}");
        let may = planned.job.settings.seat && feature.is_fill();
        assert!(may || by == kurbo::Vec2::ZERO, "{what}: {by:?}");
        let even = planned
            .plan
            .symmetry
            .iter()
            .any(|even| even.feature == feature.name);
        if even && feature.side == Side::Centre {
            assert!(by.x == 0.0, "{what}: {by:?}");
        }
        let there = corners(&feature.outline);
        let drawn = drawn_mm(planned, feature);
        // Straight outlines have the same corners; curves may be laid out by others.
        let same =
            there.len() == drawn.len() && there.iter().zip(&drawn).all(|(a, b)| a.len() == b.len());
        if same {
            for (a, b) in there.iter().flatten().zip(drawn.iter().flatten()) {
                // Curves are laid out anew where they were moved to: to a thousandth of a mm.
                assert!(
                    (*a - by).distance(*b) < 1e-3,
                    "{what}: {a} from {b} by {by:?}"
                );
            }
        }
        moved += usize::from(by != kurbo::Vec2::ZERO);
    }
    for pair in GALLERY.iter().flat_map(|p| p.plan.features.windows(2)) {
        if pair[0].name == pair[1].name {
            assert_eq!([pair[0].side, pair[1].side], [Side::Left, Side::Right]);
            let (left, right) = (pair[0].moved_mm, pair[1].moved_mm);
            assert!(
                left == kurbo::Vec2::new(-right.x, right.y),
                "{left:?} {right:?}"
            );
        }
    }
    assert!(moved >= 10, "{moved} seated");
}

/// A shape that may change its size does so by at most the share allowed, both sides of a pair
/// alike, about the middle of its box, and covers a larger share of itself for it; `--exact`
/// forbids that too.
#[test]
fn a_seat_changes_size_only_as_allowed() {
    let mut sized = 0;
    for (name, mut job) in slippers() {
        if !["bulky, right, spiral", "worsted, left, joined"].contains(&name) {
            continue;
        }
        job.face = face(super::planned::FILLS);
        let plain = plan(&job);
        job.settings.seat_scale = 0.03;
        let planned = plan(&job);
        let drawn = Planned {
            name: name.to_owned(),
            plan: planned.clone(),
            job: job.clone(),
        };
        for (feature, unsized_) in planned.features.iter().zip(&plain.features) {
            let what = format!("{name} {}", feature.name);
            let off = feature.scale - 1.0;
            assert!(off.abs() <= 0.03 + 1e-12, "{what}: {}", feature.scale);
            assert!(drawn_size(unsized_), "{what}");
            let there = corners(&feature.outline);
            let here = drawn_mm(&drawn, feature);
            let middle = |lines: &[Vec<Point>]| bounds(lines).center();
            for (a, b) in there.iter().flatten().zip(here.iter().flatten()) {
                let from = middle(&here);
                let expected = middle(&there) + (*b - from) * feature.scale;
                assert!(a.distance(expected) < 1e-3, "{what}: {a} for {expected}");
            }
            let shift = middle(&there) - middle(&here) - feature.moved_mm;
            assert!(shift.hypot() < 1e-3, "{what}: {shift:?}");
            sized += usize::from(!drawn_size(feature));
        }
        for pair in planned.features.windows(2) {
            assert!(
                pair[0].name != pair[1].name || pair[0].scale.total_cmp(&pair[1].scale).is_eq(),
                "{name} {}",
                pair[0].name
            );
        }
        // The first feature made has the same needle points to choose from either way.
        let share =
            |plan: &Plan| plan.features[0].measure.score_mm2 / plan.features[0].measure.outline_mm2;
        if !drawn_size(&planned.features[0]) {
            assert!(share(&planned) > share(&plain), "{name}");
        }
        job.settings.seat = false;
        let exact = plan(&job);
        assert!(exact.features.iter().all(drawn_size), "{name}");
    }
    assert!(sized >= 3, "{sized} in another size");
}

/// True for a shape in the very size in which it is drawn.
fn drawn_size(feature: &FeaturePlan) -> bool {
    feature.scale.total_cmp(&1.0).is_eq()
}

/// The box of some corners.
fn bounds(lines: &[Vec<Point>]) -> kurbo::Rect {
    let mut corners = lines.iter().flatten();
    let first = *corners.next().expect("a corner");
    corners.fold(kurbo::Rect::from_points(first, first), |all, &p| {
        all.union_pt(p)
    })
}

/// What cannot be sewn at all is told.
#[test]
fn no_feature_without_a_strand_goes_untold() {
    for (what, planned, feature) in features() {
        let told = planned
            .plan
            .findings
            .iter()
            .any(|f| f.feature == feature.name && ["too-small", "not-sewn"].contains(&f.code));
        assert!(
            told || !feature.strands.is_empty(),
            "{what}: no strand and no word"
        );
    }
}
