//! What may stand after an equals sign: how it is read, and how it is called in a message.

use toml::de::DeValue;

/// A kind of value.
pub(super) trait Kind {
    /// What it is read as.
    type Value;

    /// What was expected: `a number from 1 to 60`.
    fn words(&self) -> String;

    /// Reads it, or says what to do, which may be nothing.
    fn read(&self, value: &DeValue<'_>) -> Result<Self::Value, String>;
}

/// A number in a range, ends included.
#[derive(Debug, Clone, Copy)]
pub(super) struct Number(pub(super) f64, pub(super) f64);

/// A whole number in a range, ends included.
#[derive(Debug, Clone, Copy)]
pub(super) struct Count(pub(super) u32, pub(super) u32);

/// A place or a way on the face, `[x, y]`, with what to do about a wrong one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Both(pub(super) &'static str);

/// A list of whole numbers, each in a range.
#[derive(Debug, Clone, Copy)]
pub(super) struct Counts {
    /// Most entries; at least one is asked for.
    pub(super) most: usize,
    /// Range of each.
    pub(super) each: Count,
}

/// Strands held together in the needle: a whole number from 1 to 8, or `"auto"`, read as `None`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held;

/// Yes or no.
#[derive(Debug, Clone, Copy)]
pub(super) struct Flag;

/// A short text in one line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Name;

/// A name that is also typed on the command line and stands in the names of files.
#[derive(Debug, Clone, Copy)]
pub(super) struct Label;

/// Any text.
#[derive(Debug, Clone, Copy)]
pub(super) struct Text;

/// A colour, `"#rrggbb"`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Colour;

/// One of several words.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice<'c, T>(pub(super) &'c [(&'static str, T)]);

/// Longest name, characters.
const LONGEST_NAME: usize = 60;

/// Longest label, characters.
const LONGEST_LABEL: usize = 30;

impl Kind for Number {
    type Value = f64;

    fn words(&self) -> String {
        format!("a number from {} to {}", self.0, self.1)
    }

    fn read(&self, value: &DeValue<'_>) -> Result<f64, String> {
        let number = number(value).ok_or_else(|| unquote(value))?;
        // A number that is none (`nan`) lies in no range.
        let in_range = (self.0..=self.1).contains(&number);
        in_range.then_some(number).ok_or_else(String::new)
    }
}

impl Kind for Count {
    type Value = u32;

    fn words(&self) -> String {
        format!("a whole number from {} to {}", self.0, self.1)
    }

    fn read(&self, value: &DeValue<'_>) -> Result<u32, String> {
        let count = whole(value).ok_or_else(|| unquote(value))?;
        let count = u32::try_from(count).map_err(|_| String::new())?;
        let in_range = (self.0..=self.1).contains(&count);
        in_range.then_some(count).ok_or_else(String::new)
    }
}

impl Kind for Held {
    type Value = Option<u32>;

    fn words(&self) -> String {
        format!("{} or `\"auto\"`", Count(1, 8).words())
    }

    fn read(&self, value: &DeValue<'_>) -> Result<Option<u32>, String> {
        let Some(text) = value.as_str() else {
            return Count(1, 8).read(value).map(Some);
        };
        if text.parse::<u32>().is_ok() {
            return Err(unquote(value));
        }
        Choice(&[("auto", None)]).read(value)
    }
}

impl Kind for Counts {
    type Value = Vec<u32>;

    fn words(&self) -> String {
        format!(
            "a list of 1 to {} whole numbers, each from {} to {}",
            self.most, self.each.0, self.each.1
        )
    }

    fn read(&self, value: &DeValue<'_>) -> Result<Vec<u32>, String> {
        let list = value
            .as_array()
            .filter(|list| !list.is_empty() && list.len() <= self.most)
            .ok_or_else(|| "write it as `[8, 16, 24]`".to_owned())?;
        let read = |(index, entry): (usize, &toml::Spanned<DeValue<'_>>)| {
            self.each
                .read(entry.get_ref())
                .map_err(|_| format!("entry {} is {}", index + 1, found(entry.get_ref())))
        };
        list.iter().enumerate().map(read).collect()
    }
}

impl Kind for Both {
    type Value = (f64, f64);

    fn words(&self) -> String {
        "`[x, y]`, each from -10000 to 10000 face units".into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<(f64, f64), String> {
        let tip = || self.0.to_owned();
        let side = |value: &toml::Spanned<DeValue<'_>>| {
            number(value.get_ref()).filter(|side| side.abs() <= 1e4)
        };
        match value.as_array().map(|list| list.as_ref()) {
            Some([x, y]) => side(x).zip(side(y)).ok_or_else(tip),
            _ => Err(tip()),
        }
    }
}

impl Kind for Flag {
    type Value = bool;

    fn words(&self) -> String {
        "`true` or `false`".into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<bool, String> {
        value.as_bool().ok_or_else(|| unquote(value))
    }
}

impl Kind for Name {
    type Value = String;

    fn words(&self) -> String {
        format!("a text of 1 to {LONGEST_NAME} characters in one line")
    }

    fn read(&self, value: &DeValue<'_>) -> Result<String, String> {
        let name = value.as_str().map(str::trim).ok_or_else(|| quote(value))?;
        let one_line = !name.chars().any(char::is_control);
        let short = (1..=LONGEST_NAME).contains(&name.chars().count());
        (one_line && short)
            .then(|| name.to_owned())
            .ok_or_else(String::new)
    }
}

impl Kind for Label {
    type Value = String;

    fn words(&self) -> String {
        format!("1 to {LONGEST_LABEL} letters, digits, spaces or hyphens")
    }

    fn read(&self, value: &DeValue<'_>) -> Result<String, String> {
        let label = value.as_str().map(str::trim).ok_or_else(|| quote(value))?;
        let short = label.chars().count() <= LONGEST_LABEL;
        let plain = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '-');
        (label.starts_with(char::is_alphanumeric) && short && label.chars().all(plain))
            .then(|| label.to_owned())
            .ok_or_else(String::new)
    }
}

impl Kind for Text {
    type Value = String;

    fn words(&self) -> String {
        "a text".into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<String, String> {
        value
            .as_str()
            .map(str::to_owned)
            .ok_or_else(|| quote(value))
    }
}

impl Kind for Colour {
    type Value = [u8; 3];

    fn words(&self) -> String {
        "a colour as `\"#rrggbb\"`".into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<[u8; 3], String> {
        let tip = || "two hexadecimal digits each of red, green and blue: `\"#2b2430\"`".to_owned();
        let digits = value
            .as_str()
            .and_then(|text| text.strip_prefix('#'))
            .filter(|digits| digits.len() == 6 && digits.bytes().all(|b| b.is_ascii_hexdigit()))
            .ok_or_else(tip)?;
        let part = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).map_err(|_| tip());
        Ok([part(0)?, part(2)?, part(4)?])
    }
}

impl<T: Copy> Kind for Choice<'_, T> {
    type Value = T;

    fn words(&self) -> String {
        let words: Vec<String> = self
            .0
            .iter()
            .map(|(word, _)| format!("`{word:?}`"))
            .collect();
        match words.as_slice() {
            [only] => only.clone(),
            [all @ .., last] => format!("{} or {last}", all.join(", ")),
            [] => String::new(),
        }
    }

    fn read(&self, value: &DeValue<'_>) -> Result<T, String> {
        let text = value.as_str().ok_or_else(|| quote(value))?;
        let found = self.0.iter().find(|(word, _)| *word == text);
        found.map(|&(_, meaning)| meaning).ok_or_else(|| {
            nearest(text, self.0.iter().map(|&(word, _)| word))
                .map(|word| format!("did you mean `{word:?}`?"))
                .unwrap_or_default()
        })
    }
}

/// Any number as written; infinite where it is too large to be held.
pub(super) fn number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Float(float) => float.as_str().parse().ok(),
        #[expect(clippy::cast_precision_loss, reason = "ranges end long before 2^53")]
        DeValue::Integer(_) => whole(value).map(|whole| whole as f64),
        _ => None,
    }
}

/// A whole number as written; a far too large one as the largest.
fn whole(value: &DeValue<'_>) -> Option<i64> {
    let integer = value.as_integer()?;
    Some(i64::from_str_radix(integer.as_str(), integer.radix()).unwrap_or(i64::MAX))
}

/// What was found, as it may stand in a message.
pub(super) fn found(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => {
            let short: String = text.chars().take(40).collect();
            let dots = if text.chars().nth(40).is_some() {
                ".."
            } else {
                ""
            };
            format!("`{short:?}{dots}`")
        }
        DeValue::Integer(number) => format!("`{number}`"),
        DeValue::Float(number) => format!("`{number}`"),
        DeValue::Boolean(flag) => format!("`{flag}`"),
        DeValue::Datetime(_) => "a date or time".into(),
        DeValue::Array(list) if list.iter().all(|entry| entry.get_ref().is_table()) => {
            format!("a list of {} tables", list.len())
        }
        DeValue::Array(list) => format!("a list of {}", list.len()),
        DeValue::Table(table) => match table.iter().next() {
            Some((key, value)) if table.len() == 1 => {
                format!(
                    "a table with {} as `{}`",
                    found(value.get_ref()),
                    key.get_ref()
                )
            }
            _ => "a table".into(),
        },
    }
}

/// The nearest of some words, when it is near enough to be meant, or the one that begins so.
pub(super) fn nearest<'w>(word: &str, words: impl Iterator<Item = &'w str>) -> Option<&'w str> {
    let word = word.to_lowercase();
    let limit = (word.chars().count() / 3).max(2);
    let distance = |known: &str| {
        if word.len() > 2 && known.starts_with(&word) {
            1
        } else {
            strsim::damerau_levenshtein(&word, known)
        }
    };
    words
        .map(|known| (distance(known), known))
        .filter(|&(distance, known)| distance <= limit && distance < known.chars().count())
        .min()
        .map(|(_, known)| known)
}

pub(super) fn unquote(value: &DeValue<'_>) -> String {
    if value.is_str() {
        "write it without quotes".into()
    } else {
        String::new()
    }
}

fn quote(value: &DeValue<'_>) -> String {
    if value.is_table() || value.is_array() {
        String::new()
    } else {
        "write it between quotes".into()
    }
}
