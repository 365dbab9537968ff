//! What to beware of: each finding says what was found, and what to change and by how much.
//!
//! To add one: a function in the file of its theme that returns findings, and a line in
//! [`find`]. Codes are stable names for programs.

mod colour;
mod evenness;
mod place;
mod slipper;
mod yarn;

use super::plan::{Finding, Level, Plan};
use super::settings::Job;

/// All findings of a plan, problems first, else in the order of the themes.
pub(super) fn find(job: &Job, plan: &Plan) -> Vec<Finding> {
    let mut findings = Vec::new();
    findings.extend(place::off_the_instep(job, plan));
    findings.extend(evenness::too_small(job, plan));
    findings.extend(evenness::not_sewn(job, plan));
    findings.extend(evenness::not_level(job, plan));
    findings.extend(evenness::unlike(job, plan));
    findings.extend(place::too_deep(job, plan));
    findings.extend(place::over_the_cap(job, plan));
    findings.extend(place::turned_away(job, plan));
    findings.extend(place::across_the_seam(plan));
    findings.extend(yarn::crowded(plan));
    findings.extend(yarn::pierced(plan));
    findings.extend(yarn::long_strands(job, plan));
    findings.extend(yarn::long_travel(job, plan));
    findings.extend(yarn::thickness(job, plan));
    findings.extend(colour::low_contrast(job, plan));
    findings.extend(slipper::cap(job));
    findings.extend(slipper::stretch(job));
    findings.extend(slipper::gauge(job));
    findings.extend(slipper::small_child(job));
    findings.sort_by_key(|finding| finding.level);
    findings
}

fn problem(code: &'static str, feature: &str, text: String) -> Finding {
    Finding {
        level: Level::Problem,
        code,
        feature: feature.to_owned(),
        text,
    }
}

fn advice(code: &'static str, feature: &str, text: String) -> Finding {
    Finding {
        level: Level::Advice,
        ..problem(code, feature, text)
    }
}
