//! Basting the centre line: one place a row, from the opening edge toward the toe.

use super::super::page::Page;
use super::super::words::{Words, halves};
use super::deepest_row;
use crate::fabric::{NeedlePoint, Rounds, Row, Shell, Spot};
use crate::weave::Plan;

pub(super) fn baste(page: &mut Page, plan: &Plan, words: Words) {
    how(page, plan);
    page.gap();
    for place in places(plan, words) {
        page.line(&format!(
            "  row {:<3} round {:<3} {:27} {}",
            place.row, place.round, place.at, place.from_above
        ));
    }
    page.gap();
    how_far(page, plan, words);
}

/// Where the thread goes in one row.
#[derive(Debug)]
pub(in crate::files) struct BastePlace {
    /// The row, 1 at the opening edge.
    pub(in crate::files) row: u32,
    /// Its round there.
    pub(in crate::files) round: u32,
    /// The place in that round: `the hook hole of stitch 4`.
    pub(in crate::files) at: String,
    /// The same seen from the place above it: `then ½ right`; empty in the first row.
    pub(in crate::files) from_above: String,
}

/// The places of the thread, from the opening edge to a row below the face.
pub(in crate::files) fn places(plan: &Plan, words: Words) -> Vec<BastePlace> {
    let rows: Vec<&Row> = plan
        .instep
        .rows()
        .iter()
        .filter(|row| row.below <= last_row(plan))
        .collect();
    let step_to = |at: usize| step(plan.instep.shell(), rows[at - 1], rows[at]);
    rows.iter()
        .enumerate()
        .map(|(at, row)| BastePlace {
            row: row.below,
            round: row.baste.round,
            at: words.in_the_round(row.baste),
            from_above: if at > 0 { step_to(at) } else { String::new() },
        })
        .collect()
}

/// The row below the face.
fn last_row(plan: &Plan) -> u32 {
    deepest_row(plan) + 1
}

/// How to baste, before the list of places.
pub(in crate::files) fn how(page: &mut Page, plan: &Plan) {
    let shell = plan.instep.shell();
    page.heading("Baste the centre line");
    page.paragraph(&middle_of_the_edge(shell));
    page.paragraph(&format!(
        "Baste from the edge toward the toe with the contrast thread, through one place in each \
         row as listed: the foot of the row, where its stitches stand. Stitch numbers count in \
         the direction of working from the start of the round{}. The last words of a line say \
         the same without counting: where the place lies seen from the one above it, if you \
         follow the stitch down to the stitch it stands on.",
        match shell.rounds() {
            Rounds::Spiral => "",
            Rounds::Joined => ", which is at the seam",
        }
    ));
}

/// What to look at when it is basted, after the list of places.
pub(in crate::files) fn how_far(page: &mut Page, plan: &Plan, words: Words) {
    page.paragraph(
        "The face goes no deeper. Lay the slipper flat: the thread runs straight from the middle \
         of the edge toward the tip of the toe, never more than a quarter stitch to either side.",
    );
    if let Some(warning) = where_a_column_leads(plan, words, last_row(plan)) {
        page.paragraph(&warning);
    }
}

fn middle_of_the_edge(shell: &Shell) -> String {
    let centre = shell.centre_stitch();
    let middle = if centre.fract() == 0.0 {
        format!("the top of stitch {centre:.0}")
    } else if (2.0 * centre).fract() == 0.0 {
        format!(
            "between the tops of stitches {:.0} and {:.0}",
            centre.floor(),
            centre.ceil()
        )
    } else {
        format!("at stitch {centre:.2}")
    };
    format!(
        "{} stitches of the last round stay open; they are the opening edge. Count them from the \
         start of the round: its middle is {middle} of round {}. Mark it.",
        shell.open_stitches(),
        shell.last_round()
    )
}

/// Where a baste point lies from the one in the row above it, followed down the column; empty
/// where the rounds differ in stitches and a column cannot be followed.
fn step(shell: &Shell, above: &Row, row: &Row) -> String {
    let count = shell.count(above.baste.round);
    if shell.count(row.baste.round) != count {
        return "count afresh: this round has fewer stitches".to_owned();
    }
    let turned = worked(shell, row.baste) - worked(shell, above.baste) + f64::from(count);
    let right = match shell.rounds() {
        Rounds::Spiral => turned,
        // A joined round starts anew: only the place within the round counts.
        Rounds::Joined => turned - f64::from(count) * (turned / f64::from(count)).round(),
    } * shell.hand().sign();
    if right == 0.0 {
        "straight down".to_owned()
    } else {
        format!(
            "then {} {}",
            halves(right.abs()),
            if right < 0.0 { "left" } else { "right" }
        )
    }
}

/// Stitches worked from the ring to a place.
fn worked(shell: &Shell, point: NeedlePoint) -> f64 {
    let before: u32 = (1..point.round).map(|round| shell.count(round)).sum();
    f64::from(before) + point.stitch()
}

fn where_a_column_leads(plan: &Plan, words: Words, last: u32) -> Option<String> {
    let instep = &plan.instep;
    let shell = instep.shell();
    let round = (shell.last_round() + 1).checked_sub(last)?.max(1);
    let off_mm = instep
        .unfold(Spot {
            round,
            stitch: shell.centre_stitch(),
            row: 0.0,
        })
        .x;
    let stitches = off_mm / instep.stitch_mm();
    (stitches.abs() >= 0.5).then(|| {
        format!(
            "Do not follow one column of stitches down from the middle instead: the columns lean, \
             and in round {round} it would have led you {} to the {}, {:.1} stitches.",
            words.ruler.small(off_mm.abs()),
            if off_mm < 0.0 { "left" } else { "right" },
            stitches.abs()
        )
    })
}
