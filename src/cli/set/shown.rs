//! A set as it is shown: the contact sheet, and a screenful of figures.

use std::fs;
use std::path::Path;

use instep::draw::contact::{Mark, Shown, ShownShoe};
use instep::draw::portrait::Laid;
use instep::draw::{self, Colour, ContactSheet};
use instep::files::set::{Piece, SetReport};
use instep::files::words::counted;
use instep::files::{Ready, Words, kept};
use instep::weave::Level;
use instep::weave::set::Sewn;
use rayon::prelude::*;

use crate::cli::plan::CHART_DPI;
use crate::cli::screen::{HEADING, NOTE, Stop, WRONG, hung, typed};
use crate::cli::wording::drawn;

/// Name of a page of the contact sheet, 1 the first.
pub(super) fn page_name(page: usize) -> String {
    match page {
        1 => "set.png".to_owned(),
        page => format!("set-{page}.png"),
    }
}

/// The pages of the contact sheet.
pub(super) fn pictures(report: &SetReport<'_>, words: Words) -> Result<Vec<Ready>, Stop> {
    let settings = drawn(words, None);
    let shoes = report.all.rows.iter().map(|row| ShownShoe {
        name: row.name.clone(),
        about: format!("{} around", words.ruler.tape(row.around_mm)),
        instep: &row.instep,
        colour: row.colour,
    });
    let looks = report.all.columns.iter().map(|column| {
        let mood = match (column.variant.as_str(), column.foot.word()) {
            ("plain", "mirrored") => "mirrored".to_owned(),
            ("plain", _) => String::new(),
            (variant, "mirrored") => format!("{variant}, mirrored"),
            (variant, _) => variant.to_owned(),
        };
        (column.face.clone(), mood)
    });
    let pieces = report.all.pieces.iter().zip(report.sewn);
    let sheet = ContactSheet {
        title: report.set.name.clone(),
        shoes: shoes.collect(),
        looks: looks.collect(),
        pieces: pieces
            .filter_map(|(piece, sewn)| Some(shown(report, piece, sewn.as_ref()?)))
            .collect(),
    };
    let pages = draw::contact_sheet(&sheet, &settings);
    pages
        .par_iter()
        .enumerate()
        .map(|(at, page)| {
            let png = page.to_png(CHART_DPI).map_err(Stop::because)?;
            Ok(Ready::new(&page_name(at + 1), png))
        })
        .collect()
}

fn shown(report: &SetReport<'_>, piece: &Piece, sewn: &Sewn) -> Shown {
    let marks = report.whole.findings.iter().filter_map(|finding| {
        let own = finding.shoe == Some(piece.row) && finding.looks.contains(&piece.column);
        let mark = match finding.code {
            "fails" => Mark::Problem,
            "look-alike" => Mark::Alike,
            "match-stands-out" | "yarn-stands-out" => Mark::StandsOut,
            _ => return None,
        };
        own.then_some(mark)
    });
    let mut marks: Vec<Mark> = marks.collect();
    marks.sort();
    marks.dedup();
    let laid = sewn.features.iter().map(|feature| Laid {
        strands: feature.strands.clone(),
        width_mm: feature.strand_mm,
        wraps: feature.wraps,
        knot_mm: feature.knot_mm(),
        colour: Colour(sewn.colour(feature)),
    });
    Shown {
        shoe: piece.row,
        look: piece.column,
        yarn: laid.collect(),
        match_share: sewn.match_share(),
        marks,
    }
}

/// The set in figures, for a terminal of 80 columns.
pub(super) fn summary(
    report: &SetReport<'_>,
    words: Words,
    kept: usize,
    (root, written): (&Path, &[String]),
) -> String {
    let made = report.sewn.iter().flatten().count();
    let mut text = format!("{HEADING}{}{HEADING:#}\n", report.set.name);
    let rows = counted(report.all.rows.len(), "slipper");
    let columns = counted(report.all.columns.len(), "face");
    let mut pieces = format!("{columns} on {rows}: {made} planned");
    if kept > 0 {
        pieces += &format!(", {kept} of them kept from before");
    }
    text += &format!(
        "{pieces}\n\n{HEADING}{:34}match  yarn{HEADING:#}\n",
        "Piece"
    );
    for (piece, sewn) in report.all.pieces.iter().zip(report.sewn) {
        let Some(sewn) = sewn else { continue };
        let length = words.ruler.yarn(sewn.length_mm());
        let share = format!("{:.0} %", 100.0 * sewn.match_share());
        text += &format!("{:34}{share:>5}  {length}\n", piece.folder);
    }
    text += &format!("\n{HEADING}Yarn to buy{HEADING:#}\n");
    for line in report.bought() {
        let [red, green, blue] = line.skein.colour;
        let balls = counted(line.balls as usize, "ball");
        let named = format!("{} #{red:02x}{green:02x}{blue:02x}", line.skein.thread);
        let length = words.ruler.yarn(line.metres * 1000.0);
        let weight = line.skein.ball_g;
        text += &format!(
            "{named:24}  {balls} of {weight} g: {length}, {:.1} g\n",
            line.grams
        );
    }
    if !report.whole.findings.is_empty() {
        text.push('\n');
    }
    for finding in &report.whole.findings {
        let style = match finding.level {
            Level::Problem => WRONG,
            Level::Advice => NOTE,
        };
        let lead = format!("{:7}  ", finding.level.word());
        let body = hung(&words.put(&finding.text), lead.len());
        text += &format!("{style}{lead}{style:#}{body}\n");
    }
    let folders = counted(made, "folder");
    let files = format!("to {}: {}, {folders}", typed(root), written.join(", "));
    text += &format!("\n{HEADING}Written{HEADING:#}  {}\n", hung(&files, 9));
    let left = left_over(report, root);
    if !left.is_empty() {
        let left = format!("no longer in the set and left alone: {}", left.join(", "));
        text += &format!("         {}\n", hung(&left, 9));
    }
    text
}

/// Folders of pieces that an earlier set had.
fn left_over(report: &SetReport<'_>, root: &Path) -> Vec<String> {
    let entries = fs::read_dir(root).into_iter().flatten().flatten();
    let mut left: Vec<String> = entries
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !report.all.pieces.iter().any(|piece| piece.folder == *name))
        .filter(|name| kept::is_made(&root.join(name)))
        .collect();
    left.sort();
    left
}
