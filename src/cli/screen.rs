//! The one place that writes to the screen.

use std::fmt::{self, Display, Formatter};
use std::io::{self, IsTerminal, Write};
use std::path::Path;

use anstyle::{AnsiColor, Style};
use indicatif::{ProgressBar, ProgressStyle};

/// A heading.
pub(crate) const HEADING: Style = Style::new().bold();
/// Something that is wrong.
pub(crate) const WRONG: Style = AnsiColor::Red.on_default().bold();
/// Something worth knowing.
pub(crate) const NOTE: Style = AnsiColor::Yellow.on_default().bold();

/// Why a command stopped; the message says what to do.
#[derive(Debug)]
pub(crate) enum Stop {
    /// A message of one or more lines, each fault begun with `error:`.
    Told(String),
    /// The screen could not be written.
    Screen(io::Error),
}

impl Stop {
    /// A single message.
    pub(crate) fn because(reason: impl Display) -> Self {
        Self::Told(format!("error: {reason}"))
    }

    /// A single message and what to do.
    pub(crate) fn with_tip(reason: impl Display, tip: impl Display) -> Self {
        Self::Told(format!("error: {reason}\n  tip: {tip}"))
    }
}

impl Display for Stop {
    /// Without the leading `error:` of a single message.
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Told(text) => f.write_str(text.strip_prefix("error: ").unwrap_or(text)),
            Self::Screen(error) => write!(f, "cannot write to the screen: {error}"),
        }
    }
}

/// Shows text; styles are dropped where the screen is none, and with `NO_COLOR`.
pub(crate) fn show(text: &str) -> Result<(), Stop> {
    let mut out = anstream::AutoStream::auto(io::stdout().lock());
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(Stop::Screen)
}

/// A bar on the error stream that grows with each piece of work done; none where the error stream
/// is no terminal.
pub(crate) fn progress(count: usize, quiet: bool) -> ProgressBar {
    if quiet || !io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(count as u64);
    // The template is a constant; were it wrong, the bar would look as usual.
    if let Ok(style) = ProgressStyle::with_template("{pos} of {len} {wide_bar} {msg}") {
        bar.set_style(style.progress_chars("##."));
    }
    bar
}

/// Tells of a stop on the error stream; true when it is one to be told. A reader that closed the
/// pipe has read enough.
pub(crate) fn tell(stop: &Stop) -> bool {
    let text = match stop {
        Stop::Screen(error) if error.kind() == io::ErrorKind::BrokenPipe => return false,
        Stop::Screen(_) => format!("error: {stop}"),
        Stop::Told(text) => text.clone(),
    };
    let mut err = anstream::AutoStream::auto(io::stderr().lock());
    // Nobody is left to tell when this fails too.
    let _ = writeln!(err, "{}", painted(&text));
    true
}

/// `error:` in front of a line, in the colour of something wrong.
fn painted(text: &str) -> String {
    let lines: Vec<String> = text
        .lines()
        .map(|line| match line.strip_prefix("error:") {
            Some(rest) => format!("{WRONG}error:{WRONG:#}{rest}"),
            None => line.to_owned(),
        })
        .collect();
    lines.join("\n")
}

/// Text broken at 80 columns, the later lines set in.
pub(crate) fn hung(text: &str, indent: usize) -> String {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = &lines[lines.len() - 1];
        let length = line.chars().count();
        if length > 0 && indent + length + 1 + word.chars().count() > 80 {
            lines.push(String::new());
        }
        let last = lines.len() - 1;
        if !lines[last].is_empty() {
            lines[last].push(' ');
        }
        lines[last].push_str(word);
    }
    lines.join(&format!("\n{}", " ".repeat(indent)))
}

/// A directory as it can be typed: `.` and what follows.
pub(crate) fn typed(dir: &Path) -> String {
    let shown = dir.display().to_string();
    if shown.is_empty() {
        ".".to_owned()
    } else {
        shown
    }
}
