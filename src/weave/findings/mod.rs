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

impl Finding {
    /// What is the matter, in a few words; the whole text for a code without any.
    #[must_use]
    pub fn in_short(&self) -> &str {
        match self.code {
            "off-the-instep" => "reaches beyond the instep",
            "too-small" => "small or fine for these stitches",
            "not-sewn" => "takes no strand",
            "not-level" => "one side lower than the other",
            "unlike-sides" => "left and right come out unlike",
            "too-deep" => "deep inside, hard to reach by hand",
            "over-the-cap" => "lies over the rounding of the toe",
            "turned-away" => "turns from view at the side of the foot",
            "across-the-seam" => "lies across the seam of the rounds",
            "crowded" => "more yarn in a needle point than may go through",
            "pierced" => "strands pierce yarn: take a sharp needle",
            "long-strands" => "long strands can catch",
            "long-travel" => "catch the yarn inside under the loops",
            "thread-thin" => "a thin thread leaves shapes bare",
            "thread-thick" => "a thick thread lies double",
            "low-contrast" => "a thread is hard to make out on this yarn",
            "cap-ruffles" => "increases of the toe will ruffle",
            "fit" => "slipper and foot differ around",
            "gauge-off-table" => "stitches unusual for this yarn, measure again",
            "small-child" => "for a baby: no loose loops, line the toe",
            _ => &self.text,
        }
    }
}
