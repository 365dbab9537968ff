//! A page of plain text: headings, paragraphs broken at a fixed width, lists.

/// Characters in a line of running text. Lines of a table may be a little longer.
const WIDTH: usize = 76;

/// Text that grows downward.
#[derive(Debug, Clone, Default)]
pub struct Page {
    text: String,
}

impl Page {
    /// A heading, set off by an empty line above.
    pub fn heading(&mut self, text: &str) {
        if !self.text.is_empty() {
            self.gap();
        }
        self.line(&text.to_uppercase());
        self.line(&"-".repeat(text.chars().count()));
    }

    /// Running text, broken into lines.
    pub fn paragraph(&mut self, text: &str) {
        self.text.push_str(&broken(text, "", ""));
    }

    /// One item of a list.
    pub fn item(&mut self, text: &str) {
        self.text.push_str(&broken(text, "- ", "  "));
    }

    /// A term and what it means, the meanings in one column.
    pub fn term(&mut self, term: &str, column: usize, meaning: &str) {
        let lead = format!("  {term:column$}  ");
        self.text
            .push_str(&broken(meaning, &lead, &" ".repeat(column + 4)));
    }

    /// One line, as it is.
    pub fn line(&mut self, text: &str) {
        self.text.push_str(text.trim_end());
        self.text.push('\n');
    }

    /// An empty line, never two.
    pub fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// The finished text, ending with one line end.
    #[must_use]
    pub fn finish(self) -> String {
        let mut text = self.text.trim_end().to_owned();
        text.push('\n');
        text
    }
}

/// Breaks text between words; the first line begins with `lead`, the others with `next`.
fn broken(text: &str, lead: &str, next: &str) -> String {
    let mut out = String::new();
    let mut line = lead.to_owned();
    let mut bare = true;
    for word in text.split_whitespace() {
        let length = line.chars().count() + usize::from(!bare) + word.chars().count();
        if !bare && length > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            next.clone_into(&mut line);
            bare = true;
        }
        if !bare {
            line.push(' ');
        }
        line.push_str(word);
        bare = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_item_hangs_under_its_mark() {
        let mut page = Page::default();
        page.item(&"word ".repeat(20));
        let text = page.finish();
        let lines: Vec<_> = text.lines().collect();
        assert_eq!(lines.len(), 2);
        assert!(lines[0].starts_with("- word") && lines[0].len() <= WIDTH);
        assert!(lines[1].starts_with("  word"));
    }

    #[test]
    fn empty_lines_do_not_pile_up() {
        let mut page = Page::default();
        page.line("a");
        page.gap();
        page.gap();
        page.line("b");
        assert_eq!(page.finish(), "a\n\nb\n");
    }
}
