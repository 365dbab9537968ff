//! The text of the steps on pages, set in letters of one width as its columns want, one column:
//! two would be too small to read with a needle in the hand.

use kurbo::Point;

use super::super::scene::segment;
use super::super::{Anchor, Colour, Font, Group, Lettering, Pen, Scene};
use super::Paper;
use crate::weave::Plan;

/// Size of the letters, mm; smaller where a line would not fit.
const SIZE_MM: f64 = 2.95;

/// From line to line, mm.
const LEADING_MM: f64 = 4.2;

/// Room for the heading of a page, mm.
const HEAD_MM: f64 = 11.0;

/// A line of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Line {
    /// A heading with a rule below it; as high as two lines.
    Heading(String),
    /// Text.
    Text(String),
    /// An empty line.
    Gap,
}

impl Line {
    fn height(&self) -> usize {
        match self {
            Self::Heading(_) => 2,
            Self::Text(_) | Self::Gap => 1,
        }
    }
}

/// The text divided into pages: what stands between two empty lines stays together where it fits
/// on a page.
pub(super) fn laid_out(steps: &str, paper: Paper) -> Vec<Vec<Line>> {
    let room = ((paper.printed().height() - HEAD_MM) / LEADING_MM).floor();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some tens of lines"
    )]
    let room = room as usize;
    let mut pages: Vec<Vec<Line>> = Vec::new();
    let mut used = room;
    for block in blocks(steps) {
        let high: usize = block.iter().map(Line::height).sum();
        if used + 1 + high <= room {
            pages
                .last_mut()
                .into_iter()
                .for_each(|page| page.push(Line::Gap));
            used += 1;
        } else {
            pages.push(Vec::new());
            used = 0;
        }
        for line in block {
            // Only a block higher than a page gets here with no room left.
            if used + line.height() > room {
                pages.push(Vec::new());
                used = 0;
            }
            used += line.height();
            pages
                .last_mut()
                .into_iter()
                .for_each(|page| page.push(line.clone()));
        }
    }
    pages
}

/// Lines between empty lines; a line over dashes of its length is a heading.
fn blocks(steps: &str) -> Vec<Vec<Line>> {
    let mut blocks: Vec<Vec<Line>> = vec![Vec::new()];
    let lines: Vec<&str> = steps.lines().collect();
    let is_rule = |line: &str| line.len() > 2 && line.chars().all(|letter| letter == '-');
    for (at, &line) in lines.iter().enumerate() {
        let last = blocks.len() - 1;
        let headed = lines.get(at + 1).is_some_and(|next| is_rule(next));
        if line.is_empty() {
            blocks.push(Vec::new());
        } else if headed {
            blocks[last].push(Line::Heading(line.to_owned()));
        } else if !is_rule(line) {
            blocks[last].push(Line::Text(line.to_owned()));
        }
    }
    blocks.retain(|block| !block.is_empty());
    // A line alone at the margin leads to what follows it: `Length 2 of 2: cut 80 cm.`
    let mut kept: Vec<Vec<Line>> = Vec::new();
    for block in blocks {
        match kept.last_mut() {
            Some(last) if leads_on(last) && !matches!(block[0], Line::Heading(_)) => {
                last.push(Line::Gap);
                last.extend(block);
            }
            _ => kept.push(block),
        }
    }
    kept
}

fn leads_on(block: &[Line]) -> bool {
    match block {
        [Line::Text(text)] => !text.starts_with(' '),
        _ => false,
    }
}

/// A page of the text.
pub(super) fn page(plan: &Plan, paper: Paper, lines: &[Line], number: &str) -> Scene {
    let (size, printed) = (paper.size(), paper.printed());
    let mut heading = Group::new("heading");
    let place = Point::new(printed.x0, printed.y0 + 3.4);
    let words = Font::SerifItalic.cut(
        &format!("{} for {}: the steps", plan.face_name, plan.slipper_name),
        3.2,
        printed.width() - 30.0,
    );
    for (text, at, anchor) in [
        (words.as_str(), place, Anchor::Start),
        (number, Point::new(printed.x1, place.y), Anchor::End),
    ] {
        let lettering = Lettering::new(text, Font::SerifItalic, 3.2);
        heading.text(lettering.at(at, anchor), Colour::INK);
    }
    let rule = segment((printed.x0, place.y + 2.0), (printed.x1, place.y + 2.0));
    heading.line(&rule, Pen::new(Colour::INK, 0.25).square());
    Scene {
        width_mm: size.width,
        height_mm: size.height,
        title: format!("{}, the steps, {number}", plan.face_name),
        description: format!("The steps for {} on {}.", plan.face_name, plan.slipper_name),
        paper: Colour::WHITE,
        layers: vec![heading, text(paper, lines)],
    }
}

fn text(paper: Paper, lines: &[Line]) -> Group {
    let printed = paper.printed();
    let mut group = Group::new("steps");
    let mut y = printed.y0 + HEAD_MM;
    for line in lines {
        let at = Point::new(printed.x0, y + 0.75 * LEADING_MM);
        match line {
            Line::Gap => {}
            Line::Text(text) => {
                let width = Font::Mono.width_mm(text, SIZE_MM);
                let size = SIZE_MM * (printed.width() / width.max(1.0)).min(1.0);
                let lettering = Lettering::new(text, Font::Mono, size);
                group.text(lettering.at(at, Anchor::Start), Colour::INK);
            }
            Line::Heading(text) => {
                let lettering = Lettering::new(text, Font::SerifBold, 3.3);
                let below = at.y + 1.6;
                group.text(lettering.at(at, Anchor::Start), Colour::INK);
                let rule = segment((printed.x0, below), (printed.x1, below));
                group.line(&rule, Pen::new(Colour::RULE, 0.25).square());
            }
        }
        y += LEADING_MM * line.height() as f64;
    }
    group
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_lost_and_no_block_is_cut_that_fits_on_a_page() {
        let blocks: Vec<String> = (0..30)
            .map(|at| format!("HEAD {at}\n-------\n{}", "line\n".repeat(3 + at % 9)))
            .collect();
        let pages = laid_out(&blocks.join("\n"), Paper::A4);
        assert!(pages.len() > 3);
        let lines = pages.concat();
        let of = |wanted: fn(&Line) -> bool| lines.iter().filter(|line| wanted(line)).count();
        assert_eq!(of(|line| matches!(line, Line::Heading(_))), 30);
        let said: usize = (0..30).map(|at| 3 + at % 9).sum();
        assert_eq!(of(|line| matches!(line, Line::Text(_))), said);
        for page in &pages {
            assert!(matches!(page[0], Line::Heading(_)), "{page:?}");
            assert!(!matches!(
                page[page.len() - 1],
                Line::Heading(_) | Line::Gap
            ));
        }
    }

    #[test]
    fn a_block_higher_than_a_page_runs_on() {
        let pages = laid_out(&"line\n".repeat(200), Paper::Letter);
        assert_eq!(pages.concat().len(), 200);
        assert!(pages.len() >= 4);
    }
}
