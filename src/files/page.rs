//! A page of plain text: headings, paragraphs broken at a fixed width, lists.

/// Characters in a line of running text. Lines of a table may be a little longer.
const WIDTH: usize = 76;

/// Text that grows downward.
#[derive(Debug, Clone, Default)]
pub struct Page {
    blocks: Vec<Block>,
}

/// What a page is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// Running text.
    Paragraph(String),
    /// One item of a list.
    Item(String),
    /// A term, the characters its column is wide, and what it means.
    Term(String, usize, String),
    /// One line, as it is.
    Line(String),
    /// An empty line.
    Gap,
}

impl Page {
    /// A heading, set off by an empty line above.
    pub fn heading(&mut self, text: &str) {
        self.blocks.push(Block::Heading(text.to_owned()));
    }

    /// Running text, broken into lines.
    pub fn paragraph(&mut self, text: &str) {
        self.blocks.push(Block::Paragraph(text.to_owned()));
    }

    /// One item of a list.
    pub fn item(&mut self, text: &str) {
        self.blocks.push(Block::Item(text.to_owned()));
    }

    /// A term and what it means, the meanings in one column.
    pub fn term(&mut self, term: &str, column: usize, meaning: &str) {
        let (term, meaning) = (term.to_owned(), meaning.to_owned());
        self.blocks.push(Block::Term(term, column, meaning));
    }

    /// One line, as it is.
    pub fn line(&mut self, text: &str) {
        self.blocks.push(Block::Line(text.to_owned()));
    }

    /// An empty line, never two.
    pub fn gap(&mut self) {
        self.blocks.push(Block::Gap);
    }

    /// What is on the page, the first thing first.
    #[must_use]
    pub fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// The finished text, ending with one line end.
    #[must_use]
    pub fn finish(self) -> String {
        let mut text = String::new();
        for block in &self.blocks {
            block.add_to(&mut text);
        }
        let mut text = text.trim_end().to_owned();
        text.push('\n');
        text
    }
}

impl Block {
    fn add_to(&self, text: &mut String) {
        match self {
            Self::Heading(heading) => {
                Self::Gap.add_to(text);
                Self::Line(heading.to_uppercase()).add_to(text);
                Self::Line("-".repeat(heading.chars().count())).add_to(text);
            }
            Self::Paragraph(words) => text.push_str(&broken(words, "", "")),
            Self::Item(words) => text.push_str(&broken(words, "- ", "  ")),
            Self::Term(term, column, meaning) => {
                let lead = format!("  {term:column$}  ");
                text.push_str(&broken(meaning, &lead, &" ".repeat(column + 4)));
            }
            Self::Line(line) => {
                text.push_str(line.trim_end());
                text.push('\n');
            }
            Self::Gap => {
                if !text.is_empty() && !text.ends_with("\n\n") {
                    text.push('\n');
                }
            }
        }
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
