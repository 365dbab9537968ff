//! The true-size sheet: a paper pattern of the fabric lying unworn, to be printed, laid on the
//! slipper and pricked through, and the steps after it.
//!
//! Where the pattern is larger than the paper it is cut into tiles that overlap.

mod paper;
mod pattern;
mod pattern_page;
mod printer_check;
mod steps_pages;
mod tile_marks;
mod tiles;

pub use paper::Paper;
pub use tiles::{Tile, Tiles};

use pattern_page::PatternPages;

use super::{DrawSettings, Scene};
use crate::weave::Plan;

/// The pages of the sheet: the pattern, then the text of the steps.
#[must_use]
pub fn true_size(plan: &Plan, settings: &DrawSettings, paper: Paper, steps: &str) -> Vec<Scene> {
    let pattern = PatternPages::new(plan, settings, paper);
    let (tiles, texts) = (pattern.tiles(), steps_pages::laid_out(steps, paper));
    let pages = tiles.len() + texts.len();
    let number = |at: usize| format!("page {} of {pages}", at + 1);
    let mut scenes = Vec::new();
    for tile in tiles {
        let number = number(scenes.len());
        scenes.push(pattern.page(&tile, &number));
    }
    for text in texts {
        let number = number(scenes.len());
        scenes.push(steps_pages::page(plan, paper, &text, &number));
    }
    scenes
}
