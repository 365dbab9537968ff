//! What the eye can tell apart: the face's threads from the slipper's yarn.

use kurbo::Shape;

use super::advice;
use crate::fabric::colour::{LEAST_CONTRAST, Rgb, contrast, hex, mix};
use crate::weave::plan::{Finding, Plan};
use crate::weave::settings::Job;

/// Threads that hardly stand out from the slipper, where both colours are stated. What lies wholly
/// on yarn of another thread has that for its ground and is left out.
pub(super) fn low_contrast(job: &Job, plan: &Plan) -> Vec<Finding> {
    let Some(ground) = plan.slipper_colour else {
        return Vec::new();
    };
    let on_fabric = |thread: &str| {
        let mut features = plan.features.iter().enumerate();
        features.any(|(at, feature)| feature.thread == thread && !lies_on_yarn(plan, at))
    };
    let mut findings = Vec::new();
    for thread in &plan.threads {
        let stated = job.stated_colour(&thread.name);
        let Some(colour) = stated.filter(|_| on_fabric(&thread.name)) else {
            continue;
        };
        // Not rounded before it is judged (W3C, Understanding 1.4.11).
        let ratio = contrast(colour, ground);
        if ratio >= LEAST_CONTRAST {
            continue;
        }
        let text = format!(
            "the {} thread ({}) on the slipper's yarn ({}) has a contrast of {:.1} : 1, and under \
             {LEAST_CONTRAST:.0} : 1 a shape is hard to make out; take a thread {}.",
            thread.name,
            hex(colour),
            hex(ground),
            // Cut, so that 2.96 is not told as 3.0.
            (10.0 * ratio).floor() / 10.0,
            enough(colour, ground),
        );
        findings.push(advice("low-contrast", "", text));
    }
    findings
}

/// How light or how dark the thread would have to be: its own colour, thinned or deepened.
fn enough(colour: Rgb, ground: Rgb) -> String {
    let toward = |end: Rgb, word: &str| {
        (0..=100)
            .map(|percent| mix(colour, end, f64::from(percent) / 100.0))
            .find(|&mixed| contrast(mixed, ground) >= LEAST_CONTRAST)
            .map(|mixed| format!("as {word} as {}", hex(mixed)))
    };
    let ways: Vec<String> = [toward([255; 3], "light"), toward([0; 3], "dark")]
        .into_iter()
        .flatten()
        .collect();
    ways.join(" or ")
}

/// True for a feature all of whose strands end within earlier fills of other threads.
fn lies_on_yarn(plan: &Plan, at: usize) -> bool {
    let feature = &plan.features[at];
    let below = |end| {
        plan.features[..at].iter().any(|lower| {
            lower.thread != feature.thread && lower.is_fill() && lower.outline.contains(end)
        })
    };
    let mut ends = feature.strands.iter().flat_map(|s| [s.up.at, s.down.at]);
    !feature.strands.is_empty() && ends.all(below)
}
