//! Strands held together by choice.

use std::path::Path;

use instep::files::bundled::FACES;
use instep::files::read_slipper;
use instep::units::Ruler;
use instep::weave::Job;

use super::planned::{face, plan, slippers};

fn with_held(job: &Job, held: u32) -> Job {
    let mut job = job.clone();
    job.slipper.yarn.held = held;
    job
}

/// What the makers of the example slippers hold together, chosen by hand: two of bulky, two of
/// worsted at a loose gauge, two of sport, three of a thinner yarn on either.
#[test]
fn left_to_the_plan_it_holds_what_a_maker_would() {
    let mut asked = 0;
    for (slipper, thread, by_hand) in [
        ("adult", "dark", 2),
        ("adult", "glow", 3),
        ("child", "dark", 2),
        ("child", "glow", 3),
        ("toddler", "light", 2),
    ] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join(format!("examples/marrow-lane/{slipper}.toml"));
        let file = read_slipper(&path).unwrap_or_else(|faults| panic!("{faults}"));
        let text = format!(
            "width = 100\nheight = 60\n[threads.{thread}]\n[[feature]]\nname = \"bar\"\n\
             path = \"M-20,10 L20,10 L20,40 L-20,40 Z\"\ndirection = 0"
        );
        let mut job = file.with_face(face(&text), Ruler::Metric);
        let stock = job
            .threads
            .get_mut(thread)
            .expect("a thread of the slipper");
        assert_eq!(stock.yarn.held, by_hand);
        stock.yarn.held = 1;
        stock.auto_held = true;
        let planned = plan(&job);
        assert_eq!(planned.threads[0].held, by_hand, "{slipper} {thread}");
        asked += 1;
    }
    assert_eq!(asked, 5);
}

/// The number chosen has the best score of one to three strands, area for area, in whole plans.
#[test]
fn the_number_chosen_scores_best() {
    let smile = FACES.iter().find(|face| face.name == "lantern-smile");
    let smile = face(smile.expect("a bundled face").text);
    for (name, chosen) in [
        ("bulky, right, spiral", 2),
        ("worsted, right, joined, hole limit 1", 1),
        ("sport, right, spiral, baby", 2),
    ] {
        let (_, mut job) = slippers()
            .into_iter()
            .find(|(of, _)| *of == name)
            .expect("a slipper");
        job.face = smile.clone();
        job.settings.seat = false;
        job.settings.hole_limit = 2;
        let mut auto = job.clone();
        auto.threads.insert(
            "dark".to_owned(),
            instep::weave::ThreadStock {
                yarn: job.slipper.yarn,
                auto_held: true,
                colour: None,
            },
        );
        assert_eq!(plan(&auto).threads[0].held, chosen, "{name}");
        let score = |held: u32| {
            let planned = plan(&with_held(&job, held));
            let score: f64 = planned.features.iter().map(|f| f.measure.score_mm2).sum();
            let area: f64 = planned.features.iter().map(|f| f.measure.outline_mm2).sum();
            score / area
        };
        let scores = [1, 2, 3].map(score);
        let best = scores.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        assert!(
            scores[chosen as usize - 1] >= best - 0.01,
            "{name}: {scores:?}"
        );
    }
}
