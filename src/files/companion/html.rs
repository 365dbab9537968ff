//! Text as HTML: what has a meaning there replaced, a page's blocks as elements, a frame filled.

use super::super::page::{Block, Page};

/// Text that shows as it is, in an element or in a quoted attribute.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}

/// A frame with each `{{key}}` replaced by what belongs there; what was put in is not looked at
/// again.
pub(super) fn filled(frame: &str, what: impl Fn(&str) -> String) -> String {
    let mut out = String::new();
    let mut rest = frame;
    while let Some((before, after)) = rest.split_once("{{") {
        out.push_str(before);
        let (key, after) = after.split_once("}}").unwrap_or((after, ""));
        out.push_str(&what(key));
        rest = after;
    }
    out + rest
}

/// The blocks of a page as elements: headings of the second level, paragraphs, lists.
pub(super) fn of_page(page: &Page) -> String {
    let mut out = String::new();
    let mut list = "";
    for block in page.blocks() {
        let (within, element) = match block {
            Block::Heading(text) => ("", format!("<h2>{}</h2>", escaped(text))),
            Block::Paragraph(text) | Block::Line(text) => ("", format!("<p>{}</p>", escaped(text))),
            Block::Item(text) => ("ul", format!("<li>{}</li>", escaped(text))),
            Block::Term(term, _, meaning) => (
                "dl",
                format!("<dt>{}</dt><dd>{}</dd>", escaped(term), escaped(meaning)),
            ),
            Block::Gap => continue,
        };
        if within != list {
            out.push_str(&tag("/", list));
            out.push_str(&tag("", within));
            list = within;
        }
        out.push_str(&element);
        out.push('\n');
    }
    out + &tag("/", list)
}

fn tag(slash: &str, name: &str) -> String {
    match name {
        "" => String::new(),
        name => format!("<{slash}{name}>\n"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_put_in_a_frame_is_not_looked_at_again() {
        let name = |key: &str| format!("[{key}] {{{{b}}}}");
        assert_eq!(filled("x {{a}} y", name), "x [a] {{b}} y");
    }

    #[test]
    fn lists_are_closed_where_they_end() {
        let mut page = Page::default();
        page.heading("A");
        page.item("b & c");
        page.item("d");
        page.term("e", 3, "f");
        let html = of_page(&page).replace('\n', "");
        assert_eq!(
            html,
            "<h2>A</h2><ul><li>b &amp; c</li><li>d</li></ul><dl><dt>e</dt><dd>f</dd></dl>"
        );
    }
}
