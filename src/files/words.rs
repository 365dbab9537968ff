//! The words shown: trade terms of two countries, the maker's ruler, and how a needle point is
//! said. Every word a maker reads comes through here.

use crate::fabric::{Along, NeedlePoint, Placed, PointKind, RowPart};
use crate::terms::Terms;
use crate::units::Ruler;

/// The terms and the ruler of one reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Words {
    /// Crochet terms.
    pub terms: Terms,
    /// Centimetres or inches.
    pub ruler: Ruler,
}

/// US terms of the trade that are other words in Britain; longer ones first.
///
/// Source: published term tables (sc = dc, gauge = tension); skip = miss is common practice.
const UK_FOR_US: [(&str, &str); 7] = [
    ("single crochet", "double crochet"),
    ("skipping", "missing"),
    ("skipped", "missed"),
    ("skips", "misses"),
    ("gauge", "tension"),
    ("skip", "miss"),
    ("sc", "dc"),
];

impl Words {
    /// The stitch of the slipper: single crochet, in British terms double crochet.
    #[must_use]
    pub fn single_crochet(self) -> &'static str {
        self.terms.single_crochet()
    }

    /// Stitches and rows over a length: gauge, in British terms tension.
    #[must_use]
    pub fn gauge(self) -> &'static str {
        self.terms.gauge()
    }

    /// To leave a stitch out: skip, in British terms miss.
    #[must_use]
    pub fn skip(self) -> &'static str {
        self.terms.skip()
    }

    /// A sentence written in US terms put into this reader's: whole words are exchanged.
    #[must_use]
    pub fn put(self, us: &str) -> String {
        let mut text = us.to_owned();
        if self.terms == Terms::Uk {
            for (from, to) in UK_FOR_US {
                text = exchange(&text, from, to);
            }
        }
        text
    }

    /// What the needle meets at a point.
    #[must_use]
    pub fn kind(self, kind: PointKind) -> &'static str {
        match kind {
            PointKind::HookHole => "hook hole",
            PointKind::Gap => "gap",
            PointKind::BetweenTops => "between tops",
            PointKind::Post => "post",
        }
    }

    /// How a feature is worked, from the word of the plan.
    #[must_use]
    pub fn method(self, method: &str) -> String {
        method.replace("french", "French")
    }

    /// A needle point as a finger finds it: `row 4, gap 2½ left`.
    #[must_use]
    pub fn whereabouts(self, at: &Placed) -> String {
        format!(
            "row {}, {} {}",
            row_number(at.along),
            self.kind(at.point.kind()),
            self.across(at.along.across)
        )
    }

    /// Stitches from the basting thread: `2½ left`, `at thread`.
    #[must_use]
    pub fn across(self, stitches: f64) -> String {
        if stitches == 0.0 {
            return "at thread".to_owned();
        }
        let side = if stitches < 0.0 { "left" } else { "right" };
        format!("{} {side}", halves(stitches.abs()))
    }

    /// A place counted along its round: `the hook hole of stitch 4`, `between stitches 4 and 5`.
    #[must_use]
    pub fn in_the_round(self, point: NeedlePoint) -> String {
        let before = point.half_stitches / 2;
        match (point.half_stitches.is_multiple_of(2), point.row) {
            (true, RowPart::Base) => format!("the hook hole of stitch {before}"),
            (true, RowPart::Middle) => format!("the middle of stitch {before}"),
            (false, _) if before == 0 => "just before stitch 1".to_owned(),
            (false, _) => format!("between stitches {before} and {}", before + 1),
        }
    }
}

/// Number of the row a needle point belongs to, 1 at the opening edge.
#[must_use]
pub fn row_number(along: Along) -> u32 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "rows below the edge, a small number from 1"
    )]
    let row = along.below.ceil() as u32;
    row
}

/// A multiple of one half as makers write it: `3`, `2½`, `½`.
#[must_use]
pub fn halves(value: f64) -> String {
    let twice = (2.0 * value).round();
    let whole = (twice / 2.0).trunc();
    match (whole == 0.0, twice.rem_euclid(2.0) == 0.0) {
        (_, true) => format!("{whole:.0}"),
        (true, false) if twice < 0.0 => "-½".to_owned(),
        (true, false) => "½".to_owned(),
        (false, false) => format!("{whole:.0}½"),
    }
}

/// A number and its noun: `1 row`, `3 rows`.
#[must_use]
pub fn counted(count: usize, noun: &str) -> String {
    match (count, noun) {
        (1, _) => format!("1 {noun}"),
        (_, "stitch") => format!("{count} stitches"),
        _ => format!("{count} {noun}s"),
    }
}

/// The first letter made a capital.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Exchanges whole words; a capital first letter stays one.
fn exchange(text: &str, from: &str, to: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = find_word(rest, from, out.chars().next_back()) {
        let found = &rest[at..at + from.len()];
        out.push_str(&rest[..at]);
        if found.starts_with(char::is_uppercase) {
            out.push_str(&sentence(to));
        } else {
            out.push_str(to);
        }
        rest = &rest[at + from.len()..];
    }
    out + rest
}

/// Where a whole word begins; `before` is the letter in front of the text.
fn find_word(text: &str, word: &str, before: Option<char>) -> Option<usize> {
    let joins = |c: char| c.is_alphanumeric() || c == '_';
    text.char_indices().map(|(at, _)| at).find(|&at| {
        let left = text[..at].chars().next_back().or(before);
        text.get(at..at + word.len())
            .is_some_and(|found| found.eq_ignore_ascii_case(word))
            && !left.is_some_and(joins)
            && !text[at + word.len()..].starts_with(joins)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const UK: Words = Words {
        terms: Terms::Uk,
        ruler: Ruler::Metric,
    };

    #[test]
    fn halves_are_written_as_makers_write_them() {
        assert_eq!(halves(2.5), "2½");
        assert_eq!(halves(0.5), "½");
        assert_eq!(halves(0.0), "0");
        assert_eq!(halves(-0.5), "-½");
        assert_eq!(halves(12.0), "12");
    }

    #[test]
    fn only_whole_words_are_exchanged() {
        assert_eq!(
            UK.put("Gauge: 14 sc, skip none; the scale is skipped"),
            "Tension: 14 dc, miss none; the scale is missed"
        );
        assert_eq!(
            UK.put("escape in single crochet"),
            "escape in double crochet"
        );
        assert_eq!(UK.put("½sc sc"), "½sc dc");
    }
}
