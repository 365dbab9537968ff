//! What is wrong with a file, where, and what to do: one fault a mistake, all mistakes at once.

use std::fmt;

/// One mistake in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The file as the maker named it.
    pub file: String,
    /// Where in it; `None` when the file as a whole is at fault.
    pub at: Option<At>,
    /// The key, with the tables it stands in: `gauge.rows`, `eye.path`. Empty for the whole file.
    pub key: String,
    /// What was expected and what was found.
    pub message: String,
    /// What to do. Empty when the message says it all.
    pub tip: String,
}

/// A place in a text, both counted from 1; columns count characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Line.
    pub line: usize,
    /// Column.
    pub column: usize,
}

impl At {
    /// The place of a byte of a text.
    #[must_use]
    pub fn of_byte(text: &str, byte: usize) -> Self {
        let mut end = byte.min(text.len());
        while !text.is_char_boundary(end) {
            end -= 1;
        }
        let before = &text[..end];
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        // An editor does not count the mark that some programs write at the start of a text.
        let line = before[line_start..].trim_start_matches('\u{feff}');
        Self {
            line: before.matches('\n').count() + 1,
            column: line.chars().count() + 1,
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "error: {}:", self.file)?;
        if let Some(at) = self.at {
            write!(f, "{}:{}:", at.line, at.column)?;
        }
        if !self.key.is_empty() {
            write!(f, " `{}`:", self.key)?;
        }
        write!(f, " {}", self.message)?;
        if !self.tip.is_empty() {
            write!(f, "\n  tip: {}", self.tip)?;
        }
        Ok(())
    }
}

/// All mistakes of a file, in the order in which they stand there; at least one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults {
    faults: Vec<Fault>,
}

impl Faults {
    /// Puts mistakes in order.
    #[must_use]
    pub(super) fn new(mut faults: Vec<Fault>) -> Self {
        faults.sort_by(|a, b| (a.at, &a.key).cmp(&(b.at, &b.key)));
        Self { faults }
    }

    /// One mistake of the file as a whole.
    #[must_use]
    pub(super) fn whole_file(file: &str, message: String, tip: &str) -> Self {
        Self::new(vec![Fault {
            file: file.into(),
            at: None,
            key: String::new(),
            message,
            tip: tip.into(),
        }])
    }

    /// The mistakes.
    #[must_use]
    pub fn all(&self) -> &[Fault] {
        &self.faults
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.faults.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_says_where_what_and_what_to_do() {
        let fault = Fault {
            file: "my-face.toml".into(),
            at: Some(At {
                line: 14,
                column: 9,
            }),
            key: "eye.path".into(),
            message: "expected a command letter, found `12.5`".into(),
            tip: "a path starts with `M x,y`".into(),
        };
        assert_eq!(
            fault.to_string(),
            "error: my-face.toml:14:9: `eye.path`: expected a command letter, found `12.5`\n  \
             tip: a path starts with `M x,y`"
        );
    }

    #[test]
    fn a_place_counts_lines_and_characters_from_one() {
        let text = "\u{feff}a\nähm = 1\r\nb";
        let place = |needle: &str| At::of_byte(text, text.find(needle).unwrap());
        assert_eq!(place("a"), At { line: 1, column: 1 });
        assert_eq!(place("="), At { line: 2, column: 5 });
        assert_eq!(place("b"), At { line: 3, column: 1 });
        assert_eq!(At::of_byte(text, 999), At { line: 3, column: 2 });
    }
}
