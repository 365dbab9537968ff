//! `companion.html`: the plan on the screen beside the work, strand by strand, in one file.
//!
//! The page is a whole document without its script: the chart, the places to baste, every strand
//! in a list. Its script only shows one strand at a time, large, and remembers the place. All
//! words of the craft are written here, none in the script; nothing is fetched, and a policy in
//! the page forbids it.

mod html;
mod list;

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest as _, Sha256};

use self::html::{escaped, filled, of_page};
use super::page::Page;
use super::steps::{self, steps};
use super::words::Words;
use crate::weave::{Level, Plan};

const FRAME: &str = include_str!("page.html");
const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// The text of `companion.html` around a finished picture: the map, an SVG element whose groups
/// tell which strand they draw.
#[must_use]
pub fn companion(plan: &Plan, words: &Words, map_svg: &str) -> String {
    let words = *words;
    let page = |write: &dyn Fn(&mut Page)| {
        let mut page = Page::default();
        write(&mut page);
        of_page(&page)
    };
    let name = escaped(&plan.face_name);
    let slipper = escaped(&plan.slipper_name);
    filled(FRAME, |key| match key {
        "face" => name.clone(),
        "slipper" => slipper.clone(),
        "policy" => policy(),
        "style" => STYLE.to_owned(),
        "script" => SCRIPT.to_owned(),
        "plan" => fingerprint(plan),
        "map" => map_svg.to_owned(),
        "problems" => problems(plan, words),
        "need" => page(&|page| {
            steps::what_you_need(page, plan, words);
            steps::when(page, plan, words);
        }),
        "how to baste" => page(&|page| steps::how_to_baste(page, plan)),
        "places" => list::places(plan, words),
        "basted" => page(&|page| steps::how_far_to_baste(page, plan, words)),
        "explained" => page(&|page| {
            steps::how_a_place_is_called(page, plan, words);
            steps::how_it_is_worked(page, plan, words, false);
        }),
        "strands" => list::strands(plan, words),
        "after" => page(&|page| {
            steps::check(page, plan, words);
            steps::other_slipper(page, plan);
            steps::cautions(page, plan, words);
        }),
        other => unreachable!("page.html asks for `{other}`"),
    })
}

/// What will not come out, to be read before anything is begun.
fn problems(plan: &Plan, words: Words) -> String {
    let findings = plan.findings.iter();
    let problems = findings.filter(|finding| finding.level == Level::Problem);
    let notes = problems.map(|finding| {
        let text = escaped(&words.put(&finding.text));
        format!("<p class=\"note\">Problem: {text}</p>\n")
    });
    notes.collect()
}

/// What the page may do (W3C Content Security Policy Level 3): its own style and script, known by
/// their hashes, and nothing from anywhere.
fn policy() -> String {
    let hash = |text: &str| BASE64_STANDARD.encode(Sha256::digest(text));
    format!(
        "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'; base-uri 'none'; \
         form-action 'none'",
        hash(STYLE),
        hash(SCRIPT)
    )
}

/// Names the plan by what it says, so that the place kept on a device belongs to this plan alone,
/// in whatever words it is shown.
fn fingerprint(plan: &Plan) -> String {
    let digest = Sha256::digest(steps(plan, &Words::default()));
    let first = digest.iter().take(8);
    first.map(|byte| format!("{byte:02x}")).collect()
}
