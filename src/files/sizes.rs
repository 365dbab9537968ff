//! Sizes of a slipper as JSON for other programs. Lengths in mm, ease as a share of the foot.

use serde::Serialize;

use super::feet::FootAsked;
use super::plan::rounded;
use crate::fabric::{Ease, Graded, Grading, ShoeSizes, Slipper};

#[derive(Serialize)]
struct SizesText<'a> {
    format: u32,
    proven: ProvenText<'a>,
    sizes: Vec<SizeText<'a>>,
}

#[derive(Serialize)]
struct ProvenText<'a> {
    name: &'a str,
    /// Of the foot that it fits, given or estimated.
    foot_length_mm: f64,
    foot_around_mm: f64,
    ease: EaseText,
    instep_share: f64,
}

#[derive(Serialize)]
struct EaseText {
    around: f64,
    along: f64,
}

#[derive(Serialize)]
struct SizeText<'a> {
    name: &'a str,
    foot_length_mm: f64,
    foot_around_mm: f64,
    around_estimated: bool,
    toe: &'a [u32],
    even_rounds: usize,
    flat_stitches: u32,
    flat_rows: u32,
    length_mm: f64,
    around_mm: f64,
    ease: EaseText,
    shoes_about: ShoesText,
}

#[derive(Serialize)]
struct ShoesText {
    eu: f64,
    uk: f64,
    us: f64,
    us_women: Option<f64>,
    uk_child_scale: bool,
}

/// The text of the sizes, ended by a line end.
///
/// # Errors
/// Never for finite figures.
pub fn sizes_json(
    proven: &Slipper,
    grading: &Grading,
    sizes: &[(FootAsked, Graded)],
) -> Result<String, serde_json::Error> {
    let foot = grading.foot();
    let text = SizesText {
        format: 1,
        proven: ProvenText {
            name: &proven.name,
            foot_length_mm: rounded(foot.length_mm),
            foot_around_mm: rounded(foot.around_mm),
            ease: EaseText::new(grading.ease()),
            instep_share: rounded(grading.instep_share()),
        },
        sizes: sizes.iter().map(size).collect(),
    };
    Ok(serde_json::to_string_pretty(&text)? + "\n")
}

fn size((asked, graded): &(FootAsked, Graded)) -> SizeText<'_> {
    let shell = &graded.shell;
    let near = ShoeSizes::of(asked.foot.length_mm);
    SizeText {
        name: &asked.name,
        foot_length_mm: rounded(asked.foot.length_mm),
        foot_around_mm: rounded(asked.foot.around_mm),
        around_estimated: asked.estimated,
        toe: &shell.counts()[..shell.toe_rounds()],
        even_rounds: shell.counts().len() - shell.toe_rounds(),
        flat_stitches: shell.flat_stitches(),
        flat_rows: graded.flat_rows,
        length_mm: rounded(graded.length_mm()),
        around_mm: rounded(graded.around_mm()),
        ease: EaseText::new(graded.ease()),
        shoes_about: ShoesText {
            eu: near.eu,
            uk: near.uk,
            us: near.us,
            us_women: near.us_women,
            uk_child_scale: near.child_scale,
        },
    }
}

impl EaseText {
    fn new(ease: Ease) -> Self {
        Self {
            around: rounded(ease.around),
            along: rounded(ease.along),
        }
    }
}
