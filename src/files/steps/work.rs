//! The strands, one a line, in working order.

use super::super::page::Page;
use super::super::words::{Words, counted, sentence};
use super::before::MARGIN;
use super::lengths::{Piece, in_working_order};
use crate::face::Side;
use crate::units::{MM_PER_INCH, Ruler};
use crate::weave::{Bent, FeaturePlan, Plan, StrandPlan};

/// Strands between two empty lines: as many as a finger keeps.
const TOGETHER: usize = 5;

pub(super) fn work(page: &mut Page, plan: &Plan, words: Words) {
    let all = in_working_order(plan);
    for (at, piece) in all.iter().enumerate() {
        let name = &piece.thread.name;
        let goes_on = at > 0 && all[at - 1].thread.name == *name;
        if goes_on {
            page.gap();
        } else {
            let again = if piece.number > 1 { " again" } else { "" };
            let letter = plan.letter(name);
            let letter = letter.map(|letter| format!(" ({letter} on the chart)"));
            let letter = letter.unwrap_or_default();
            page.heading(&format!("{} yarn{again}{letter}", sentence(name)));
        }
        page.paragraph(&cut(plan, piece, words));
        strands(page, piece, words);
        page.gap();
        page.line(&format!("      {FASTEN_OFF}"));
    }
}

/// What ends a length.
pub(in crate::files) const FASTEN_OFF: &str = "Fasten off on the inside.";

/// A length to cut, rounded up to 5 cm or to a whole inch.
pub(in crate::files) fn cut_length(words: Words, mm: f64) -> String {
    match words.ruler {
        Ruler::Metric => format!("{:.0} cm", 5.0 * (mm / 50.0).ceil()),
        Ruler::Inch => format!("{:.0} in", (mm / MM_PER_INCH).ceil()),
    }
}

/// What to cut for a length of yarn.
pub(in crate::files) fn cut(plan: &Plan, piece: &Piece<'_>, words: Words) -> String {
    let tails = 2.0 * plan.tail_mm;
    let wanted = (piece.cut_mm - tails) * (1.0 + MARGIN) + tails;
    let length = cut_length(words, wanted);
    let held = match piece.thread.held {
        1 => String::new(),
        held => format!(" of each of {held} strands"),
    };
    format!("{}: cut {length}{held}.", length_name(piece))
}

/// `Length 2 of 3`.
pub(in crate::files) fn length_name(piece: &Piece<'_>) -> String {
    match piece.of {
        1 => "One length".to_owned(),
        of => format!("Length {} of {of}", piece.number),
    }
}

fn strands(page: &mut Page, piece: &Piece<'_>, words: Words) {
    let column = piece
        .strands
        .iter()
        .filter(|(feature, _)| feature.wraps == 0)
        .map(|(feature, strand)| up_text(feature, strand, words).chars().count())
        .max()
        .unwrap_or(0);
    let mut since_gap = 0;
    for (at, &(feature, strand)) in piece.strands.iter().enumerate() {
        let before = at.checked_sub(1).map(|before| piece.strands[before]);
        let new_feature = before.is_none_or(|(other, _)| !same(other, feature));
        if let Some(carry) = before.and_then(|_| carry(strand, words)) {
            page.line(&format!("      {carry}"));
        }
        let tie = strand.ties.is_some();
        let first_tie = tie && before.is_none_or(|(_, last)| last.ties.is_none());
        if new_feature || first_tie {
            page.gap();
            page.line(&if tie {
                format!("{}: ties", called(feature))
            } else {
                feature_line(feature, words)
            });
            since_gap = 0;
        } else if since_gap == TOGETHER {
            page.gap();
            since_gap = 0;
        }
        page.line(&strand_line(feature, strand, column, words));
        since_gap += 1;
    }
}

fn same(a: &FeaturePlan, b: &FeaturePlan) -> bool {
    std::ptr::eq(a, b)
}

/// `Left eye: surface satin, the strands along the rows`.
fn feature_line(feature: &FeaturePlan, words: Words) -> String {
    format!("{}: {}", called(feature), manner(feature, words))
}

/// How a feature is worked: `surface satin, strands along the rows`.
pub(in crate::files) fn manner(feature: &FeaturePlan, words: Words) -> String {
    let lie = match (feature.bent, feature.direction_deg) {
        (Some(Bent::Along), _) => ", strands along its own curve".to_owned(),
        (Some(Bent::Fan(_)), _) => ", strands fanned out from one point".to_owned(),
        (None, Some(degrees)) => format!(", {}", lie(degrees, feature.mirrored)),
        (None, None) => String::new(),
    };
    format!("{}{lie}", words.method(&feature.method))
}

/// `Left eye`, `Mouth`.
pub(in crate::files) fn called(feature: &FeaturePlan) -> String {
    match feature.side {
        Side::Centre => sentence(&feature.name),
        side => format!("{} {}", sentence(side.word()), feature.name),
    }
}

/// How the strands lie; degrees counter-clockwise from the row, the opening edge up.
fn lie(degrees: f64, mirrored: bool) -> String {
    let slant = |degrees: f64| {
        let steep = degrees.rem_euclid(180.0);
        if !(0.5..179.5).contains(&steep) {
            "along the rows".to_owned()
        } else if (steep - 90.0).abs() < 0.5 {
            "straight toward the toe".to_owned()
        } else if steep < 90.0 {
            format!("{steep:.0}° off the rows, right end nearer the edge")
        } else {
            format!(
                "{:.0}° off the rows, left end nearer the edge",
                180.0 - steep
            )
        }
    };
    if mirrored {
        format!(
            "right of the thread {}, left of it mirrored",
            slant(degrees)
        )
    } else {
        format!("strands {}", slant(degrees))
    }
}

/// One line: the place up, padded to a column, the place down, both rounds.
fn strand_line(feature: &FeaturePlan, strand: &StrandPlan, column: usize, words: Words) -> String {
    let (first, second) = moves(feature);
    let over = strand.ties.map(|order| format!(" over strand {order}"));
    format!(
        "{:>4}  {first} {:<column$} {second} {}{}  [{}, {}]",
        strand.order,
        up_text(feature, strand, words),
        words.whereabouts(&strand.down),
        over.unwrap_or_default(),
        strand.up.point.round,
        strand.down.point.round
    )
}

/// What is done at the first and at the second place of a strand.
pub(in crate::files) fn moves(feature: &FeaturePlan) -> (&'static str, &'static str) {
    match feature.method.as_str() {
        "chain stitch" => ("from", "to"),
        _ => ("up", "down"),
    }
}

fn up_text(feature: &FeaturePlan, strand: &StrandPlan, words: Words) -> String {
    let wind = wind(feature).map_or_else(String::new, |wind| format!("; {wind}"));
    format!("{}{wind};", words.whereabouts(&strand.up))
}

/// How often a knot winds the yarn round the needle; nothing for all else.
pub(in crate::files) fn wind(feature: &FeaturePlan) -> Option<String> {
    let wraps = feature.wraps as usize;
    (wraps > 0).then(|| format!("wind {}", counted(wraps, "time")))
}

/// What to do on the inside on the way to a strand; nothing for a short step.
pub(in crate::files) fn carry(strand: &StrandPlan, words: Words) -> Option<String> {
    let ruler = words.ruler;
    let often = match strand.caught {
        0 => return None,
        1 => "once, half-way".to_owned(),
        times => {
            let apart = strand.travel_mm / f64::from(times + 1);
            let times = match times {
                2 => "twice".to_owned(),
                _ => format!("{times} times"),
            };
            format!("{times}, every {}", ruler.small(apart))
        }
    };
    Some(format!(
        "On the inside carry the yarn {} and catch it {often}.",
        ruler.small(strand.travel_mm)
    ))
}
