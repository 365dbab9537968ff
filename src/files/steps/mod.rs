//! `steps.txt`: the written pattern, to be sewn from without the chart.

mod after;
mod baste;
mod before;
mod lengths;
mod work;

use super::page::Page;
use super::words::{Words, row_number};
use crate::face::Facing;
use crate::weave::Plan;

/// The text of `steps.txt`.
#[must_use]
pub fn steps(plan: &Plan, words: &Words) -> String {
    let mut page = Page::default();
    title(&mut page, plan, *words);
    before::what_you_need(&mut page, plan, *words);
    before::when(&mut page, plan, *words);
    before::how_a_place_is_called(&mut page, plan, *words);
    baste::baste(&mut page, plan, *words);
    before::how_it_is_worked(&mut page, plan, *words);
    work::work(&mut page, plan, *words);
    after::check(&mut page, plan, *words);
    after::other_slipper(&mut page, plan);
    after::cautions(&mut page, plan, *words);
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
