//! The lists of the page: places to baste, strands in working order.

use std::fmt::Write as _;

use super::super::steps::{self, FASTEN_OFF, Piece};
use super::super::words::{Words, sentence};
use super::html::escaped;
use crate::weave::{FeaturePlan, Plan, StrandPlan};

/// The places of the basting thread, rows of a table, each with a box to tick.
pub(super) fn places(plan: &Plan, words: Words) -> String {
    let mut out = String::new();
    for place in steps::baste_places(plan, words) {
        let row = place.row;
        let _ = writeln!(
            out,
            "<tr><th scope=\"row\"><label><input type=\"checkbox\" name=\"row-{row}\"> \
             row {row}</label></th><td>round {}, {}</td><td>{}</td></tr>",
            place.round,
            escaped(&place.at),
            escaped(&place.from_above)
        );
    }
    out
}

/// The strands of all threads, items of a list. Each says what is to be done before it, at it and
/// after it, and how much yarn is left when it begins.
pub(super) fn strands(plan: &Plan, words: Words) -> String {
    let pieces = steps::in_working_order(plan);
    let mut out = String::new();
    for (at, piece) in pieces.iter().enumerate() {
        for index in 0..piece.strands.len() {
            let strand = Strand {
                plan,
                words,
                piece,
                index,
            };
            strand.write(&mut out, &left(plan, words, &pieces[at..], index));
        }
    }
    out
}

/// Yarn still to be used when so many strands of the first of these lengths are worked:
/// `dark 1.2 m, light 0.4 m`.
fn left(plan: &Plan, words: Words, pieces: &[Piece<'_>], worked: usize) -> String {
    let mut parts = Vec::new();
    for thread in &plan.threads {
        let lengths = pieces.iter().enumerate();
        let of_thread = lengths.filter(|(_, piece)| piece.thread.name == thread.name);
        let left_mm: f64 = of_thread
            .map(|(at, piece)| match (at, worked) {
                (0, 1..) => piece.left_mm(worked, plan.tail_mm),
                _ => piece.cut_mm,
            })
            .sum();
        if left_mm > 0.0 {
            parts.push(format!("{} {}", thread.name, words.ruler.yarn(left_mm)));
        }
    }
    parts.join(", ")
}

/// One strand within its length of yarn.
struct Strand<'a> {
    plan: &'a Plan,
    words: Words,
    piece: &'a Piece<'a>,
    index: usize,
}

impl Strand<'_> {
    fn write(&self, out: &mut String, left: &str) {
        let (feature, strand) = self.piece.strands[self.index];
        let _ = writeln!(
            out,
            "<li{} data-strand=\"{}\" data-part=\"{}\">",
            if self.begins_a_feature() {
                " class=\"first\""
            } else {
                ""
            },
            self.plan.strand_name(feature, strand),
            escaped(&steps::called(feature))
        );
        if let Some(before) = self.before(strand) {
            let _ = writeln!(out, "<p class=\"note\">{}</p>", escaped(&before));
        }
        let _ = writeln!(
            out,
            "<h3><span class=\"number\"><span class=\"hidden\">Strand </span>{}</span> \
             <span class=\"part\">{}</span></h3>\n<p class=\"manner\">{}</p>",
            strand.order,
            escaped(&steps::called(feature)),
            escaped(&sentence(&steps::manner(feature, self.words)))
        );
        self.ends(out, feature, strand);
        if self.index + 1 == self.piece.strands.len() {
            let _ = writeln!(out, "<p class=\"note after\">{FASTEN_OFF}</p>");
        }
        let _ = writeln!(out, "<p class=\"yarn\">{}</p>", self.yarn(left));
        out.push_str("</li>\n");
    }

    /// A new length, or yarn to carry on the inside.
    fn before(&self, strand: &StrandPlan) -> Option<String> {
        if self.index > 0 {
            return steps::carry(strand, self.words);
        }
        Some(format!(
            "{} yarn. {} Leave a tail of {} on the inside.",
            sentence(&self.piece.thread.name),
            steps::cut(self.plan, self.piece, self.words),
            steps::cut_length(self.words, self.plan.tail_mm)
        ))
    }

    fn begins_a_feature(&self) -> bool {
        let (feature, _) = self.piece.strands[self.index];
        let before = self.index.checked_sub(1);
        before.is_none_or(|before| !std::ptr::eq(self.piece.strands[before].0, feature))
    }

    fn ends(&self, out: &mut String, feature: &FeaturePlan, strand: &StrandPlan) {
        let (first, second) = steps::moves(feature);
        out.push_str("<dl class=\"places\">");
        for (class, word, end) in [("up", first, strand.up), ("down", second, strand.down)] {
            let _ = write!(
                out,
                "<div class=\"{class}\"><dt>{word}</dt><dd>{} <small>round {}</small></dd></div>",
                escaped(&self.words.whereabouts(&end)),
                end.point.round
            );
            if let (Some(wind), "up") = (steps::wind(feature), class) {
                let _ = write!(
                    out,
                    "<div class=\"wind\"><dt>then</dt><dd>{wind}</dd></div>"
                );
            }
        }
        out.push_str("</dl>\n");
    }

    /// The thread to use: a patch of its colour, its name, and where in the length this is.
    fn yarn(&self, left: &str) -> String {
        let thread = self.piece.thread;
        let [red, green, blue] = thread.colour;
        let held = match thread.held {
            1 => String::new(),
            held => format!(", {held} strands held together"),
        };
        format!(
            "<svg class=\"patch\" aria-hidden=\"true\"><rect \
             fill=\"#{red:02x}{green:02x}{blue:02x}\"/></svg> {} yarn{held} <small>{}, strand {} \
             of {} on it · yarn left: {}</small>",
            escaped(&sentence(&thread.name)),
            steps::length_name(self.piece),
            self.index + 1,
            self.piece.strands.len(),
            escaped(left)
        )
    }
}
