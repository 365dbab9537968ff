//! The slipper itself: cap, stretch, gauge, and who wears it.

use super::advice;
use crate::units;
use crate::weave::plan::Finding;
use crate::weave::settings::Job;

/// A round that grows faster than a flat disc by more than this share ruffles.
const RUFFLES: f64 = 1.15;
/// Stretch above which crochet gapes (common practice, no source).
const MUCH_STRETCH: f64 = 1.25;

/// Rounds of the toe that ruffle.
pub(super) fn cap(job: &Job) -> Option<Finding> {
    let shell = &job.slipper.shell;
    let flat = shell.gauge().flat_increase();
    let ruffled: Vec<String> = shell
        .counts()
        .windows(2)
        .zip(2..)
        .filter(|(pair, _)| f64::from(pair[1]) - f64::from(pair[0]) > RUFFLES * flat)
        .map(|(_, round): (_, u32)| round.to_string())
        .collect();
    (!ruffled.is_empty()).then(|| {
        advice(
            "cap-ruffles",
            "",
            format!(
                "round {} of the toe grows by more than the {flat:.1} stitches that lie flat at \
                 this gauge, and will ruffle; spread the increases over more rounds.",
                ruffled.join(", ")
            ),
        )
    })
}

/// A slipper looser than the foot, or far tighter.
pub(super) fn stretch(job: &Job) -> Option<Finding> {
    let foot = job.slipper.foot_around_mm?;
    let tube = job.slipper.tube_around_mm();
    let (found, change) = if foot < tube {
        let stitches = (tube - foot) / job.slipper.shell.gauge().stitch_mm;
        (
            format!(
                "the slipper is {} around and the foot {}: it is not stretched and may slip",
                job.ruler.tape(tube),
                job.ruler.tape(foot)
            ),
            format!("{:.0} stitches fewer fit the foot", stitches.ceil()),
        )
    } else if foot > MUCH_STRETCH * tube {
        let stitches = (foot / MUCH_STRETCH - tube) / job.slipper.shell.gauge().stitch_mm;
        (
            format!(
                "the foot stretches the slipper by {:.0} %, so that stitches gape and strands \
                 spread",
                100.0 * (foot / tube - 1.0)
            ),
            format!("{:.0} stitches more ease it", stitches.ceil()),
        )
    } else {
        return None;
    };
    Some(advice("fit", "", format!("{found}; {change}.")))
}

/// A gauge outside the published table for the yarn's weight.
pub(super) fn gauge(job: &Job) -> Option<Finding> {
    let weight = job.slipper.yarn.weight?;
    let (fewest, most) = weight.stitches_in_4_in()?;
    let found = units::inches(4.0) / job.slipper.shell.gauge().stitch_mm;
    // The table counts whole stitches.
    (found.round() < fewest || found.round() > most).then(|| {
        advice(
            "gauge-off-table",
            "",
            format!(
                "{found:.1} stitches in 4 in; {} yarn (weight {}) usually gives {fewest:.0} to \
                 {most:.0}. Measure the swatch again, or let the fabric be {} on purpose.",
                weight.name(),
                weight.number(),
                if found < fewest { "loose" } else { "firm" }
            ),
        )
    })
}

/// Cautions for small feet.
pub(super) fn small_child(job: &Job) -> Option<Finding> {
    job.slipper.for_baby.then(|| {
        advice(
            "small-child",
            "",
            "for a baby: no loop or float inside that a toe can enter, line the toe, weave every \
             end in twice, no knots that can come off, no buttons or beads; look inside before \
             each wearing, and at the toes if the child cries. Local rules come first."
                .to_owned(),
        )
    })
}
