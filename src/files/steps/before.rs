//! Before the first strand: what to have at hand, when to begin, how to read the steps.

use super::super::page::Page;
use super::super::words::{Words, counted, sentence};
use super::lengths::pieces;
use super::work::cut_length;
use crate::fabric::{PointKind, Rounds};
use crate::units::MM_PER_INCH;
use crate::weave::Plan;

/// Share of yarn added to what was worked out: take-up and thickness differ from hand to hand.
pub(super) const MARGIN: f64 = 0.1;

pub(in crate::files) fn what_you_need(page: &mut Page, plan: &Plan, words: Words) {
    page.heading("What you need");
    for thread in &plan.threads {
        let held = match thread.held {
            1 => String::new(),
            held => format!(", {held} strands held together in the needle"),
        };
        let wraps = MM_PER_INCH * f64::from(thread.held).sqrt() / thread.width_mm;
        page.item(&format!(
            "{} yarn, about {wraps:.0} wraps to the inch{held}: {} worked out ({:.1} g), in {}. \
             Have {} at hand; hands differ.",
            thread.name,
            words.ruler.yarn(thread.length_mm),
            thread.grams,
            counted(pieces(plan, thread).len(), "length"),
            words.ruler.yarn(thread.length_mm * (1.0 + MARGIN)),
        ));
    }
    let pierced: usize = plan.threads.iter().map(|thread| thread.pierced_ends).sum();
    page.item(&match pierced {
        0 => "A tapestry needle with a blunt tip and an eye that takes the yarn.".to_owned(),
        _ => format!(
            "A tapestry needle with an eye that takes the yarn, and with a sharp tip: {pierced} \
             ends of strands go through yarn, the others through open holes."
        ),
    });
    page.item(&format!(
        "{} of smooth thread in a contrast colour, to baste the centre line; it comes out again.",
        cut_length(words, plan.reach_mm() + 150.0)
    ));
    page.item("Scissors.");
}

pub(in crate::files) fn when(page: &mut Page, plan: &Plan, words: Words) {
    let shell = plan.instep.shell();
    let gauge = shell.gauge();
    let turn = match shell.rounds() {
        Rounds::Spiral => "worked round and round without a join",
        Rounds::Joined => "worked in joined rounds",
    };
    page.heading("When in the making");
    page.paragraph(&format!(
        "The slipper is {turn} in {}, toe first, {} to the instep. At your {} a stitch is {} wide \
         and a row {} high.",
        words.single_crochet(),
        counted(shell.counts().len(), "round"),
        words.gauge(),
        words.ruler.small(gauge.stitch_mm),
        words.ruler.small(gauge.row_mm),
    ));
    page.paragraph(&format!(
        "Turn and work the first flat row, over {} of the {} stitches, so that you can see where \
         the top of the foot is. Then put the hook down and make the face: hand and needle reach \
         the inside now, before the heel seam. Go on with the strip when the face is done.",
        shell.flat_stitches(),
        shell.last_count(),
    ));
}

pub(in crate::files) fn how_a_place_is_called(page: &mut Page, plan: &Plan, words: Words) {
    page.heading("How a place is called");
    page.paragraph(
        "Hold the slipper with the outside toward you, the opening edge up and the toe down. Left \
         and right are as you see them then, all the time.",
    );
    page.item(
        "Rows are counted from the opening edge down to the toe. Row 1 is the row whose tops make \
         the edge.",
    );
    page.item(
        "Stitches are counted along the row from the basting thread, to the left or to the right. \
         From a hook hole, 1 left is the next hook hole and ½ left is half-way to it; from a \
         place between two stitches, ½ left is the middle of the first stitch.",
    );
    let mut kinds: Vec<PointKind> = Vec::new();
    let ends = plan
        .strands()
        .flat_map(|strand| [strand.up.point, strand.down.point]);
    let thread = plan.instep.rows().iter().map(|row| row.baste);
    for kind in ends.chain(thread).map(crate::fabric::NeedlePoint::kind) {
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    page.gap();
    for kind in [
        PointKind::HookHole,
        PointKind::Gap,
        PointKind::BetweenTops,
        PointKind::Post,
    ] {
        if kinds.contains(&kind) {
            page.term(words.kind(kind), 12, meaning(kind));
        }
    }
    page.gap();
    page.paragraph(&format!(
        "Example: \"row 4, gap 2½ left\" is half-way up the fourth row from the edge, {}.",
        "two and a half stitches to the left of the basting thread"
    ));
}

fn meaning(kind: PointKind) -> &'static str {
    match kind {
        PointKind::HookHole => {
            "the open hole at the foot of a stitch, where the hook went in to make it"
        }
        PointKind::Gap => "the open space between two neighbouring stitches, half-way up the row",
        PointKind::BetweenTops => {
            "at the foot of the row, between two stitches: the needle goes through the tops of \
             the row on the toe side; part the yarn, do not cut through it"
        }
        PointKind::Post => {
            "through the middle of a stitch, half-way up: the needle splits its yarn; go slowly"
        }
    }
}

/// How the strands are worked; `in_lines` where they follow as lines of text.
pub(in crate::files) fn how_it_is_worked(
    page: &mut Page,
    plan: &Plan,
    words: Words,
    in_lines: bool,
) {
    page.heading("How the strands are worked");
    page.paragraph(&format!(
        "Each {} is one strand: bring the needle up from the inside at the first place, lay the \
         yarn straight across the outside, take it down at the second place. Lay the strands side \
         by side without pulling the fabric together. Never go down where you just came up: the \
         strand would pull out.{}",
        if in_lines { "numbered line" } else { "number" },
        if in_lines {
            " Tick each line when it is done."
        } else {
            ""
        },
    ));
    if in_lines {
        page.paragraph("The last two numbers of a line are the rounds of the two places.");
    }
    for (method, how) in METHODS {
        if plan.features.iter().any(|f| f.method == method) {
            page.item(&format!("{}: {how}", sentence(method)));
        }
    }
    if plan.strands().any(|strand| strand.ties.is_some()) {
        page.item(
            "Ties: when a shape is filled, hold its long strands down. Come up close beside the \
             strand, go down close by on its other side, and draw the stitch just tight enough to \
             lie flat.",
        );
    }
    page.item(&format!(
        "On the inside the yarn lies in floats, never longer than {}{}. A line that says \"catch \
         it\" carries it farther: slide the needle under an inside loop of the fabric as often as \
         it says, evenly spaced, then go on. Catch under loops only, so that nothing shows outside.",
        words.ruler.small(plan.float_limit_mm),
        if plan.for_baby { ", for a baby's toes" } else { "" },
    ));
    page.item(&format!(
        "To begin a length, leave a tail of {} on the inside. To fasten off, run the tail under \
         inside loops behind the face, turn back and run it under others the opposite way. Do the \
         same with the first tail. No knots.",
        cut_length(words, plan.tail_mm)
    ));
}

/// How each method goes, by its name in the plan.
const METHODS: [(&str, &str); 6] = [
    (
        "surface satin",
        "from where a strand went down, come up at the nearest end of the next one. Almost all \
         the yarn stays outside, and the inside lies flat.",
    ),
    (
        "satin",
        "go back on the inside and come up beside the last strand's beginning. It takes about \
         twice the yarn and stands a little higher.",
    ),
    (
        "backstitch",
        "come up one step ahead and go down at the end of the stitch before.",
    ),
    (
        "stem stitch",
        "come up half-way along the stitch before, always on the same side of it.",
    ),
    (
        "chain stitch",
        "come up at the first place of the line, lay a loop, go down beside where you came up, \
         and come up at the second place inside the loop; the next loop holds it. Tack the last \
         loop down with a short stitch over its end.",
    ),
    (
        "french knot",
        "come up, wind the yarn round the needle as often as the line says, hold it snug and go \
         down at the second place, close by but not in the same hole.",
    ),
];
