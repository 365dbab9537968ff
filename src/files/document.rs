//! A text as a TOML table, or faults that say where it is none.

use toml::Spanned;
use toml::de::{DeTable, Error};

use super::report::{At, Fault, Faults};

/// The kinds of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FileKind {
    Slipper,
    Face,
    Set,
    Feet,
}

impl FileKind {
    const ALL: [Self; 4] = [Self::Slipper, Self::Face, Self::Set, Self::Feet];

    fn word(self) -> &'static str {
        match self {
            Self::Slipper => "a slipper",
            Self::Face => "a face",
            Self::Set => "a set",
            Self::Feet => "a list of feet",
        }
    }

    /// Keys that stand in this kind of file alone.
    fn marks(self) -> &'static [&'static str] {
        match self {
            Self::Slipper => &["gauge", "shell", "yarn"],
            Self::Face => &["feature"],
            Self::Set => &["slippers", "faces"],
            Self::Feet => &["foot"],
        }
    }

    /// How one tells it.
    fn tip(self) -> &'static str {
        match self {
            Self::Slipper | Self::Face => {
                "a slipper file has `[gauge]`, a face file `[[feature]]`; the slipper is named first"
            }
            Self::Set => "a set file has `slippers = [..]` and `faces = [..]`",
            Self::Feet => "a list of feet has `[[foot]]` and, below it, `length_mm = 240`",
        }
    }

    /// What writes one to begin with.
    fn beginning(self) -> &'static str {
        match self {
            Self::Slipper | Self::Face => {
                "`instep start` writes a slipper and a face to begin with"
            }
            Self::Set => "the smallest set is `slippers = [..]` and `faces = [..]`",
            Self::Feet => "each foot is `[[foot]]` and, below it, `length_mm = 240`",
        }
    }
}

/// Reads TOML. Nothing is made of the content yet.
///
/// # Errors
/// Every line that is not TOML; a text with nothing in it; another format by its first letter;
/// a face where a slipper is wanted, and the other way round.
pub(super) fn parse<'t>(
    wanted: FileKind,
    file: &str,
    text: &'t str,
) -> Result<Spanned<DeTable<'t>>, Faults> {
    if let Some(found) = another_format(text) {
        return Err(Faults::whole_file(
            file,
            format!("expected {} in TOML, found {found}", wanted.word()),
            wanted.beginning(),
        ));
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        return Err(Faults::new(syntax_faults(file, text, errors)));
    }
    match mark_of_other_kind(wanted, table.get_ref()) {
        None => Ok(table),
        Some((other, mark, byte)) => Err(Faults::new(vec![Fault {
            file: file.into(),
            at: Some(At::of_byte(text, byte)),
            key: mark.into(),
            message: format!("expected {}, found {}", wanted.word(), other.word()),
            tip: wanted.tip().into(),
        }])),
    }
}

/// A key that stands in another kind of file alone, where none of this kind is there.
fn mark_of_other_kind(
    wanted: FileKind,
    table: &DeTable<'_>,
) -> Option<(FileKind, &'static str, usize)> {
    let mark = |kind: FileKind| {
        kind.marks().iter().find_map(|mark| {
            let (key, _) = table.get_key_value(*mark)?;
            Some((kind, *mark, key.span().start))
        })
    };
    match mark(wanted) {
        Some(_) => None,
        None => FileKind::ALL.into_iter().find_map(mark),
    }
}

fn another_format(text: &str) -> Option<&'static str> {
    let says_something =
        |line: &str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
    let first = text
        .trim_start_matches('\u{feff}')
        .lines()
        .find(|line| says_something(line));
    match first.map(|line| line.trim_start().chars().next()) {
        None => Some("an empty file"),
        Some(Some('{')) => Some("what looks like JSON"),
        Some(Some('<')) => Some("what looks like SVG or XML"),
        _ => None,
    }
}

/// One fault a line, in order; none after a bracket or quote that is never closed, since all that
/// follows is read wrongly then.
fn syntax_faults(file: &str, text: &str, mut errors: Vec<Error>) -> Vec<Fault> {
    errors.sort_by_key(start);
    let mut faults: Vec<Fault> = Vec::new();
    for error in errors {
        let at = At::of_byte(text, start(&error));
        if faults
            .last()
            .is_some_and(|last| last.at.map(|at| at.line) == Some(at.line))
        {
            continue;
        }
        faults.push(Fault {
            file: file.into(),
            at: Some(at),
            key: String::new(),
            message: format!("not TOML: {}", error.message()),
            tip: tip(text, start(&error), error.message()).into(),
        });
        if ["unclosed", "between array"]
            .iter()
            .any(|word| error.message().contains(word))
        {
            break;
        }
    }
    faults
}

fn start(error: &Error) -> usize {
    error.span().map_or(0, |span| span.start)
}

/// What to do about the usual slips.
fn tip(text: &str, byte: usize, message: &str) -> &'static str {
    let rest = text.get(byte..).unwrap_or_default();
    let before = text.get(..byte).unwrap_or_default();
    if message.contains("duplicate") {
        "each key and each `[table]` stands once; features are `[[feature]]` with two brackets"
    } else if message.contains("must be quoted") && rest.starts_with(|c: char| c.is_ascii_digit()) {
        "a number stands alone, without its unit"
    } else if message.contains("must be quoted") {
        "words stand between straight quotes: `hand = \"right\"`"
    } else if rest.starts_with(',') && before.ends_with(|c: char| c.is_ascii_digit()) {
        "a decimal is written with a point: `0.25`"
    } else if message.contains("string") {
        "close the text with the quote it began with"
    } else if message.contains("array") {
        "a list stands in brackets with commas between: `[8, 16, 24]`"
    } else if message.contains("no value") || message.contains("key-value") {
        "a line is `key = value`; a remark begins with `#`"
    } else {
        ""
    }
}
