//! `steps.txt`: the written pattern, to be sewn from without the chart.

mod after;
mod baste;
mod before;
mod lengths;
mod work;

pub(super) use after::{cautions, check, other_slipper};
pub(super) use baste::{how as how_to_baste, how_far as how_far_to_baste, places as baste_places};
pub(super) use before::{how_a_place_is_called, how_it_is_worked, what_you_need, when};
pub(super) use lengths::{Piece, in_working_order};
pub(super) use work::{
    FASTEN_OFF, called, carry, cut, cut_length, length_name, manner, moves, wind,
};

use super::page::Page;
use super::words::{Words, row_number};
use crate::face::Facing;
use crate::weave::Plan;

/// The text of `steps.txt`.
#[must_use]
pub fn steps(plan: &Plan, words: &Words) -> String {
    let mut page = Page::default();
    title(&mut page, plan, *words);
    what_you_need(&mut page, plan, *words);
    when(&mut page, plan, *words);
    how_a_place_is_called(&mut page, plan, *words);
    baste::baste(&mut page, plan, *words);
    how_it_is_worked(&mut page, plan, *words, true);
    work::work(&mut page, plan, *words);
    check(&mut page, plan, *words);
    other_slipper(&mut page, plan);
    cautions(&mut page, plan, *words);
    page.finish()
}

fn title(page: &mut Page, plan: &Plan, words: Words) {
    page.line(&plan.face_name.to_uppercase());
    page.line(&format!(
        "An embroidered face for the instep of: {}",
        plan.slipper_name
    ));
    page.gap();
    let ruler = words.ruler;
    page.paragraph(&format!(
        "The face is {} wide and {} high on the foot. It begins {} below the opening edge and \
         reaches down to row {}. {}",
        ruler.tape(plan.width_mm),
        ruler.tape(plan.height_mm),
        ruler.tape(plan.below_edge_mm),
        deepest_row(plan),
        match plan.facing {
            Facing::Onlooker => "Someone facing the wearer sees it upright.",
            Facing::Wearer => "The wearer, looking down, sees it upright.",
        }
    ));
}

/// The row farthest from the opening edge that a strand reaches.
fn deepest_row(plan: &Plan) -> u32 {
    plan.strands()
        .flat_map(|strand| [strand.up, strand.down])
        .map(|end| row_number(end.along))
        .max()
        .unwrap_or(0)
}
