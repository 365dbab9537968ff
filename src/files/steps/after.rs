//! After the last strand: is it even, the other slipper, cautions.

use super::super::page::Page;
use super::super::words::{Words, counted, row_number, sentence};
use super::work::called;
use crate::weave::{FeaturePlan, Level, Plan, SymmetryPlan};

pub(in crate::files) fn check(page: &mut Page, plan: &Plan, words: Words) {
    page.heading("Check it");
    page.paragraph(
        "While the basting thread is still in, look at the face from half an arm's length and \
         count:",
    );
    for feature in &plan.features {
        if let Some(span) = span(feature, words) {
            page.item(&format!("{}: {span}.", called(feature)));
        }
    }
    for symmetry in &plan.symmetry {
        page.item(&evenness(symmetry, words));
    }
    page.item(&format!(
        "Inside: no float longer than {}, every tail run in two ways, nothing that catches a \
         fingertip drawn across it.",
        words.ruler.small(plan.float_limit_mm)
    ));
    for finding in &plan.findings {
        if finding.level == Level::Problem {
            page.item(&format!(
                "Known before a stitch was made: {}",
                words.put(&finding.text)
            ));
        }
    }
    page.gap();
    page.paragraph(
        "A strand that lies loose: ease the slack on to the next ones with the needle's point \
         rather than pulling. Then draw out the basting thread and go on with the strip.",
    );
}

/// Rows and stitches that a feature spans, as a finger counts them.
fn span(feature: &FeaturePlan, words: Words) -> Option<String> {
    let ends = || {
        feature
            .strands
            .iter()
            .flat_map(|strand| [strand.up.along, strand.down.along])
    };
    let rows = ends().map(row_number);
    let (first, last) = (rows.clone().min()?, rows.max()?);
    let leftmost = ends().map(|end| end.across).min_by(f64::total_cmp)?;
    let rightmost = ends().map(|end| end.across).max_by(f64::total_cmp)?;
    let rows = if first == last {
        format!("row {first}")
    } else {
        format!("rows {first} to {last}")
    };
    let ties = feature.strands.iter().filter(|s| s.ties.is_some()).count();
    let strands = counted(feature.strands.len() - ties, "strand");
    let ties = match ties {
        0 => String::new(),
        ties => format!(" and {}", counted(ties, "tie")),
    };
    Some(format!(
        "{rows}, from {} to {}, {strands}{ties}",
        words.across(leftmost),
        words.across(rightmost),
    ))
}

fn evenness(symmetry: &SymmetryPlan, words: Words) -> String {
    let planned = &symmetry.planned;
    let name = sentence(&symmetry.feature);
    if symmetry.pair {
        let level = if planned.level_rows.abs() < 0.05 {
            "the two sides are level".to_owned()
        } else {
            format!(
                "the {} side lies {} lower, {:.1} of a row",
                if planned.level_mm > 0.0 {
                    "right"
                } else {
                    "left"
                },
                words.ruler.small(planned.level_mm.abs()),
                planned.level_rows.abs()
            )
        };
        let offset = if planned.offset_mm.abs() < 0.5 {
            "equally far from the thread".to_owned()
        } else {
            format!(
                "the {} one {} farther from the thread",
                if planned.offset_mm > 0.0 {
                    "right"
                } else {
                    "left"
                },
                words.ruler.small(planned.offset_mm.abs())
            )
        };
        format!("{name}, left and right: {level}, {offset}; that is as planned.")
    } else if planned.offset_mm.abs() < 0.5 {
        format!("{name}: its middle is on the thread.")
    } else {
        format!(
            "{name}: its middle lies {} {} of the thread; that is as planned.",
            words.ruler.small(planned.offset_mm.abs()),
            if planned.offset_mm > 0.0 {
                "right"
            } else {
                "left"
            }
        )
    }
}

pub(in crate::files) fn other_slipper(page: &mut Page, plan: &Plan) {
    page.heading("The other slipper");
    page.paragraph(&format!(
        "Both slippers of a pair are worked alike, so the same steps serve for the other: nothing \
         is mirrored. It needs the same counts, the same turn and the same first flat row. These \
         steps are for a slipper crocheted with the {} hand; one crocheted with the other hand \
         needs steps of its own, since its rounds run the other way. The hand that holds the \
         tapestry needle makes no difference.",
        plan.instep.shell().hand().word()
    ));
}

pub(in crate::files) fn cautions(page: &mut Page, plan: &Plan, words: Words) {
    page.heading("Cautions");
    for caution in CAUTIONS {
        page.item(caution);
    }
    if plan.for_baby {
        page.item(&format!(
            "For a baby: no float on the inside longer than {}, no loop that a toe could slip \
             into; line the toe with a soft patch if you can. Look at the inside, turned out, \
             before every wearing, and look at the toes when a baby cries for no clear reason: a \
             loose thread can tie off a toe, and a slipper hides it.",
            words.ruler.small(plan.float_limit_mm)
        ));
        page.item(
            "For a baby: nothing that the mouth can work loose. Tug at every strand before it is \
             given away.",
        );
    }
    page.paragraph(
        "These are cautions, not a certificate. Where you live or sell there may be rules for \
         children's wear and toys: they come first.",
    );
}

const CAUTIONS: [&str; 4] = [
    "Yarn soles are slippery on wood, tile, vinyl and stairs. Give them a grip before anyone walks \
     in them: a suede or rubber sole, or dots of silicone, well cured.",
    "Leave no loose yarn on the inside: it catches toes, small ones most of all. Check small feet \
     after the first wearing.",
    "Small parts come off and are swallowed. Embroider what a child under three will wear: no \
     buttons, beads or glued eyes.",
    "On a lantern walk keep well clear of open flame, and light the lanterns with batteries. Yarn \
     can catch fire and some fibres melt.",
];
