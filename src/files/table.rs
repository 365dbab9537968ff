//! A TOML table read key by key: every mistake becomes a fault with its place, and reading goes
//! on, so that a maker hears of all of them at once.

use std::cell::RefCell;
use std::ops::Deref;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::report::{At, Fault, Faults};
use super::value::{Kind, Name, found, nearest};

/// The keys of each table of a kind of file, `""` the top.
pub(super) type Layout = &'static [(&'static str, &'static [&'static str])];

/// A file being read, and the faults found so far.
#[derive(Debug)]
pub(super) struct Sheet<'t> {
    file: &'t str,
    text: &'t str,
    layout: Layout,
    faults: RefCell<Vec<Fault>>,
}

impl<'t> Sheet<'t> {
    pub(super) fn new(file: &'t str, text: &'t str, layout: Layout) -> Self {
        Self {
            file,
            text,
            layout,
            faults: RefCell::default(),
        }
    }

    /// Adds a fault at a byte of the text.
    pub(super) fn fault(&self, byte: usize, key: &str, message: String, tip: impl Into<String>) {
        self.faults.borrow_mut().push(Fault {
            file: self.file.into(),
            at: Some(At::of_byte(self.text, byte)),
            key: key.into(),
            message,
            tip: tip.into(),
        });
    }

    /// How many faults were found so far.
    pub(super) fn told(&self) -> usize {
        self.faults.borrow().len()
    }

    /// What was read, unless there was a fault.
    pub(super) fn finish<T>(self, read: Option<T>) -> Result<T, Faults> {
        let faults = self.faults.into_inner();
        match read {
            Some(read) if faults.is_empty() => Ok(read),
            _ => Err(Faults::new(faults)),
        }
    }

    /// The line of a byte, from 1.
    pub(super) fn line(&self, byte: usize) -> usize {
        At::of_byte(self.text, byte).line
    }
}

/// A table of the file.
#[derive(Debug)]
pub(super) struct Table<'s, 't> {
    sheet: &'s Sheet<'t>,
    entries: &'s DeTable<'t>,
    /// The entries whose places faults are told at: those of the text.
    written: &'s DeTable<'t>,
    /// Where it begins, and how its keys are called: `gauge.`.
    byte: usize,
    prefix: String,
    /// Known keys that an unknown one seems to mean: not reported as missing too.
    misspelt: Vec<&'static str>,
}

impl<'s, 't> Deref for Table<'s, 't> {
    type Target = Sheet<'t>;

    fn deref(&self) -> &Sheet<'t> {
        self.sheet
    }
}

impl<'s, 't> Table<'s, 't> {
    /// Opens the top of a file; unknown keys are faults.
    pub(super) fn top(sheet: &'s Sheet<'t>, entries: &'s DeTable<'t>) -> Self {
        Self::open(sheet, entries, 0, String::new(), "")
    }

    fn open(
        sheet: &'s Sheet<'t>,
        entries: &'s DeTable<'t>,
        byte: usize,
        prefix: String,
        layout: &str,
    ) -> Self {
        let mut table = Self {
            sheet,
            entries,
            written: entries,
            byte,
            prefix,
            misspelt: Vec::new(),
        };
        table.refuse_unknown(layout);
        table
    }

    /// Opens a table given as a value; `layout` names its keys, `called` how they are called.
    pub(super) fn inner(
        &self,
        value: &'s Spanned<DeValue<'t>>,
        layout: &str,
        called: &str,
    ) -> Option<Self> {
        let entries = value.get_ref().as_table()?;
        let prefix = format!("{}{called}.", self.prefix);
        let byte = value.span().start;
        Some(Self::open(self.sheet, entries, byte, prefix, layout))
    }

    /// The table under a key; one that is missing or no table is a fault.
    pub(super) fn needed_table(&self, key: &'static str, tip: &str) -> Option<Self> {
        if self.value(key).is_none() {
            self.missing(key, &format!("the table `[{key}]`"), tip);
        }
        self.table(key)
    }

    /// The table under a key, if it stands there.
    pub(super) fn table(&self, key: &'static str) -> Option<Self> {
        let value = self.value(key)?;
        let table = self.inner(value, key, key);
        if table.is_none() {
            let message = format!("expected a table, found {}", found(value.get_ref()));
            self.fault_at(
                key,
                message,
                format!("write `[{key}]` on a line of its own"),
            );
        }
        table
    }

    /// The tables under a key by their names, `[threads.dark]`; names are short texts.
    pub(super) fn table_of_tables(&self, key: &'static str) -> Option<Vec<(String, Self)>> {
        let value = self.value(key)?;
        let Some(entries) = value.get_ref().as_table() else {
            let message = format!("expected tables, found {}", found(value.get_ref()));
            self.fault_at(
                key,
                message,
                format!("write `[{key}.NAME]` on a line of its own"),
            );
            return None;
        };
        let mut tables = Vec::new();
        for (name, value) in entries {
            let word = name.get_ref().as_ref();
            let called = format!("{key}.{word}");
            let read = DeValue::String(word.into());
            if Name.read(&read).is_err() {
                let message = format!("expected {}, found {}", Name.words(), found(&read));
                self.fault(name.span().start, &self.called(key), message, "");
            } else if let Some(table) = self.inner(value, &format!("{key}.NAME"), &called) {
                tables.push((word.trim().to_owned(), table));
            } else {
                let message = format!("expected a table, found {}", found(value.get_ref()));
                let tip = format!("write `[{called}]` on a line of its own");
                self.fault(value.span().start, &self.called(&called), message, tip);
            }
        }
        Some(tables)
    }

    /// The value under a key, if it stands there.
    pub(super) fn value(&self, key: &str) -> Option<&'s Spanned<DeValue<'t>>> {
        self.entries.get(key)
    }

    /// All its keys and values.
    pub(super) fn entries(&self) -> &'s DeTable<'t> {
        self.entries
    }

    /// This table read with other entries; what they hold that is not written here is told of at
    /// the beginning of this table.
    pub(super) fn reading<'m>(&'m self, entries: &'m DeTable<'t>) -> Table<'m, 't> {
        Table {
            sheet: self.sheet,
            entries,
            written: self.written,
            byte: self.byte,
            prefix: self.prefix.clone(),
            misspelt: self.misspelt.clone(),
        }
    }

    /// The value under a key, if it is written in this table.
    pub(super) fn stated(&self, key: &str) -> Option<&'s Spanned<DeValue<'t>>> {
        self.written.get(key)
    }

    /// Reads a key that may be left out.
    pub(super) fn get<K: Kind>(&self, key: &str, kind: K) -> Option<K::Value> {
        let value = self.value(key)?.get_ref();
        kind.read(value)
            .map_err(|tip| {
                let message = format!("expected {}, found {}", kind.words(), found(value));
                self.fault_at(key, message, tip);
            })
            .ok()
    }

    /// Reads a key that must be there; the tip says how to come by it.
    pub(super) fn need<K: Kind>(&self, key: &'static str, kind: K, tip: &str) -> Option<K::Value> {
        if self.value(key).is_none() {
            self.missing(key, &kind.words(), tip);
        }
        self.get(key, kind)
    }

    /// A fault at a key, or at the table where the key is not there.
    pub(super) fn fault_at(&self, key: &str, message: String, tip: impl Into<String>) {
        self.fault(self.byte_of(key), &self.called(key), message, tip);
    }

    /// A fault at a character, from 1, of the text under a key; false, and at the key, when the
    /// text is not written as it is meant (escapes), so that characters cannot be counted.
    pub(super) fn fault_in_text(
        &self,
        key: &str,
        at: usize,
        message: impl Fn(bool) -> String,
        tip: &str,
    ) {
        let byte = self
            .stated(key)
            .and_then(|value| byte_in_text(self.sheet.text, value, at));
        match byte {
            Some(byte) => self.fault(byte, &self.called(key), message(true), tip),
            None => self.fault_at(key, message(false), tip),
        }
    }

    /// True when an unknown key seems to mean this one.
    pub(super) fn is_misspelt(&self, key: &str) -> bool {
        self.misspelt.contains(&key)
    }

    /// Where a key's value, else the table, begins.
    pub(super) fn byte_of(&self, key: &str) -> usize {
        self.stated(key)
            .map_or(self.byte, |value| value.span().start)
    }

    /// How a key of this table is called.
    pub(super) fn called(&self, key: &str) -> String {
        format!("{}{key}", self.prefix)
    }

    fn missing(&self, key: &'static str, expected: &str, tip: &str) {
        if !self.is_misspelt(key) {
            let message = format!("expected {expected}, found nothing");
            self.fault(self.byte, &self.called(key), message, tip);
        }
    }

    fn refuse_unknown(&mut self, layout: &str) {
        let keys_of = |table: &str| {
            let entry = self.sheet.layout.iter().find(|(name, _)| *name == table);
            entry.map_or(&[][..], |(_, keys)| *keys)
        };
        let known = keys_of(layout);
        for key in self.entries.keys() {
            let word = key.get_ref().as_ref();
            if known.contains(&word) {
                continue;
            }
            let absent = || {
                known
                    .iter()
                    .copied()
                    .filter(|key| self.value(key).is_none())
            };
            let near = nearest(word, absent()).or_else(|| nearest(word, known.iter().copied()));
            let home = self
                .sheet
                .layout
                .iter()
                .find(|(_, keys)| keys.contains(&word));
            let tip = match (home, near) {
                (Some(("", _)), _) => {
                    format!("`{word}` belongs at the top, above the first `[table]`")
                }
                (Some((table, _)), _) => format!("`{word}` belongs to `[{table}]`"),
                (None, Some(near)) => format!("did you mean `{near}`?"),
                (None, None) => format!("known here: {}", known.join(", ")),
            };
            let message = "unknown key".to_owned();
            self.fault(key.span().start, &self.called(word), message, tip);
            if home.is_none() {
                self.misspelt.extend(near);
            }
        }
    }
}

/// Byte of the file at which a character of a text value stands.
fn byte_in_text(file: &str, value: &Spanned<DeValue<'_>>, at: usize) -> Option<usize> {
    let meant = value.get_ref().as_str()?;
    let written = file.get(value.span())?;
    let long = ["\"\"\"", "'''"]
        .iter()
        .any(|quote| written.starts_with(quote));
    let quote = if long { 3 } else { 1 };
    let mut begin = quote;
    if long {
        // A line break right after the quotes is not part of the text.
        let inside = &written[quote..];
        let line_break = ["\r\n", "\n"]
            .iter()
            .find(|mark| inside.starts_with(**mark));
        begin += line_break.map_or(0, |mark| mark.len());
    }
    let inside = written.get(begin..written.len().checked_sub(quote)?)?;
    let mut starts = meant.char_indices().map(|(byte, _)| byte);
    let byte = starts.nth(at.saturating_sub(1)).unwrap_or(meant.len());
    (inside == meant).then(|| value.span().start + begin + byte)
}
