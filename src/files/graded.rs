//! The file of a size: the proven slipper's file with other counts.

use std::fmt::Write as _;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::document::{self, FileKind};
use super::feet::FootAsked;
use super::report::Faults;
use super::value::number;
use super::{SlipperFile, parse_slipper};
use crate::fabric::Graded;
use crate::units::MM_PER_CM;

/// Longest name of a slipper, characters.
const LONGEST_NAME: usize = 60;

/// Narrowest face, stitches, with a little to spare for rounding.
const NARROWEST: f64 = 3.05;

/// Writes the file of a size: gauge, yarn, threads and settings as they stand in the proven
/// slipper's text, counts, foot and place of the size. What is written reads back.
///
/// # Errors
/// All mistakes of the proven text, or of the counts for a size far beyond any foot.
pub fn graded_slipper(
    proven_text: &str,
    asked: &FootAsked,
    graded: &Graded,
) -> Result<String, Faults> {
    let proven = parse_slipper("the proven slipper", proven_text)?;
    let document = document::parse(FileKind::Slipper, "the proven slipper", proven_text)?;
    let source = Source {
        text: proven_text,
        top: document.get_ref(),
    };
    let name = size_name(&proven.slipper.name, &asked.name);
    let mut text = format!(
        "# For a foot {} mm long, {} mm around{}. Graded from: {}.\n# {} rounds from the ring to \
         the instep, then {} rows of the strip to the heel seam.\n\n",
        tenths(asked.foot.length_mm),
        tenths(asked.foot.around_mm),
        if asked.estimated { " (estimated)" } else { "" },
        proven.slipper.name,
        graded.shell.last_round(),
        graded.flat_rows,
    );
    let _ = writeln!(text, "name = {}", quoted(&name));
    for key in ["hand", "rounds", "for_baby"] {
        if let Some(value) = source.top.get(key) {
            let _ = writeln!(text, "{key} = {}", source.written(value));
        }
    }
    source.table(&mut text, "yarn");
    source.table(&mut text, "gauge");
    text.push_str(&shell(graded));
    let around_cm = asked.foot.around_mm / MM_PER_CM;
    let _ = write!(text, "\n[worn]\naround_cm = {}\n", hundredths(around_cm));
    source.threads(&mut text);
    source.table(&mut text, "weave");
    text.push_str(&place(&source, &proven, graded));
    parse_slipper(&name, &text)?;
    Ok(text)
}

/// The proven slipper's name and the size, cut where it is too long for a name.
#[must_use]
pub fn size_name(proven: &str, size: &str) -> String {
    let room = LONGEST_NAME - 1 - size.chars().count().min(LONGEST_NAME / 2);
    let head: String = proven.chars().take(room).collect();
    format!("{} {size}", head.trim_end())
}

fn shell(graded: &Graded) -> String {
    let shell = &graded.shell;
    let counts: Vec<String> = shell.counts()[..shell.toe_rounds()]
        .iter()
        .map(u32::to_string)
        .collect();
    let mut text = format!(
        "\n[shell]\ntoe = [{}]\neven_rounds = {}\nflat_stitches = {}\n",
        counts.join(", "),
        shell.counts().len() - shell.toe_rounds(),
        shell.flat_stitches()
    );
    if shell.extra_before_turn() > 0 {
        let _ = writeln!(text, "extra_before_turn = {}", shell.extra_before_turn());
    }
    if let Some(centre) = graded.centre_stitch {
        let _ = writeln!(text, "centre_stitch = {centre}");
    }
    text
}

/// The place of the face, grown as the slipper has.
fn place(source: &Source<'_, '_>, proven: &SlipperFile, graded: &Graded) -> String {
    let Some(table) = source.top.get("place").and_then(|v| v.get_ref().as_table()) else {
        return String::new();
    };
    let own = &proven.slipper;
    let stitch_mm = graded.shell.gauge().stitch_mm;
    let worn_mm = graded.foot.around_mm.max(graded.around_mm());
    let wider = worn_mm / (own.stretch() * own.tube_around_mm());
    let longer = f64::from(graded.shell.last_round()) / f64::from(own.shell.last_round());
    let narrowest_cm = NARROWEST * stitch_mm * worn_mm / graded.around_mm() / MM_PER_CM;
    let mut text = "\n[place]\n".to_owned();
    for (key, value) in in_order(table) {
        let cm = |factor: f64| number(value.get_ref()).map(|cm| factor * cm);
        let written = match key {
            "width_cm" => cm(wider).map(|cm| tenths(cm.max(narrowest_cm))),
            "below_cm" => cm(longer).map(tenths),
            _ => None,
        };
        let written = written.unwrap_or_else(|| source.written(value));
        let _ = writeln!(text, "{key} = {written}");
    }
    text
}

/// The proven text and what was read from it.
struct Source<'s, 't> {
    text: &'s str,
    top: &'s DeTable<'t>,
}

impl Source<'_, '_> {
    /// A table under its heading, each value as it was written.
    fn table(&self, text: &mut String, key: &str) {
        if let Some(table) = self.top.get(key).and_then(|v| v.get_ref().as_table()) {
            self.lines(text, key, table);
        }
    }

    fn threads(&self, text: &mut String) {
        let Some(threads) = self.top.get("threads").and_then(|v| v.get_ref().as_table()) else {
            return;
        };
        for (role, value) in in_order(threads) {
            if let Some(table) = value.get_ref().as_table() {
                self.lines(text, &format!("threads.{}", quoted_key(role)), table);
            }
        }
    }

    fn lines(&self, text: &mut String, heading: &str, table: &DeTable<'_>) {
        let _ = write!(text, "\n[{heading}]\n");
        for (key, value) in in_order(table) {
            let _ = writeln!(text, "{key} = {}", self.written(value));
        }
    }

    /// A value as it was written; a table in one line.
    fn written(&self, value: &Spanned<DeValue<'_>>) -> String {
        match value.get_ref() {
            DeValue::Table(table) => {
                let entries: Vec<String> = in_order(table)
                    .into_iter()
                    .map(|(key, value)| format!("{key} = {}", self.written(value)))
                    .collect();
                format!("{{ {} }}", entries.join(", "))
            }
            _ => self.text.get(value.span()).unwrap_or_default().to_owned(),
        }
    }
}

/// Keys and values in the order of the text.
fn in_order<'s, 't>(table: &'s DeTable<'t>) -> Vec<(&'s str, &'s Spanned<DeValue<'t>>)> {
    let mut entries: Vec<_> = table.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    entries
        .into_iter()
        .map(|(key, value)| (key.get_ref().as_ref(), value))
        .collect()
}

/// A text as TOML; names hold no control characters.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// A key as TOML.
fn quoted_key(key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    match key.chars().all(bare) {
        true => key.to_owned(),
        false => quoted(key),
    }
}

fn tenths(value: f64) -> String {
    format!("{}", (10.0 * value).round() / 10.0)
}

fn hundredths(value: f64) -> String {
    format!("{}", (100.0 * value).round() / 100.0)
}
