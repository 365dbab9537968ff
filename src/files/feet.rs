//! Lists of feet that a slipper is made for.
//!
//! | key | range | when left out |
//! |---|---|---|
//! | `foot.name` | 1 to 30 letters, digits, spaces or hyphens; each once | the size |
//! | `foot.length_mm` | 80 to 400, heel to longest toe | needed |
//! | `foot.around_mm` | 60 to 500, around the ball | estimated from the length; needed for a child |

use std::path::Path;

use super::document::{self, FileKind};
use super::list::{List, tables};
use super::report::Faults;
use super::table::{Layout, Sheet, Table};
use super::text;
use super::value::{Label, Number};
use crate::fabric::Foot;
use crate::fabric::foot::ADULT_LENGTH_MM;

/// A foot that a slipper is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct FootAsked {
    /// What its size is called: `240`.
    pub name: String,
    /// Length and circumference.
    pub foot: Foot,
    /// Whether the circumference was estimated from the length.
    pub estimated: bool,
    /// Line of the file, where it stands in one.
    pub line: Option<usize>,
}

/// Length of a foot, mm, from a baby's to the longest.
pub const LENGTH_MM: (f64, f64) = (80.0, 400.0);
/// Circumference of a foot, mm.
pub const AROUND_MM: (f64, f64) = (60.0, 500.0);

/// Most feet of a list.
const MOST_FEET: usize = 100;

impl FootAsked {
    /// A foot called by its size; without a circumference it is estimated, which only adults'
    /// lengths allow.
    #[must_use]
    pub fn new(length_mm: f64, around_mm: Option<f64>) -> Option<Self> {
        let foot = match around_mm {
            Some(around_mm) => Foot {
                length_mm,
                around_mm,
            },
            None => Foot::of_adult_length(length_mm)?,
        };
        Some(Self {
            name: format!("{}", foot.size()),
            foot,
            estimated: around_mm.is_none(),
            line: None,
        })
    }
}

/// Reads a list of feet.
///
/// # Errors
/// All mistakes of the file.
pub fn read_feet(path: &Path) -> Result<Vec<FootAsked>, Faults> {
    parse_feet(&path.display().to_string(), &text::read(path)?)
}

/// Reads the text of a list of feet; `file` is what messages call it.
///
/// # Errors
/// All mistakes of the text.
pub fn parse_feet(file: &str, text: &str) -> Result<Vec<FootAsked>, Faults> {
    let document = document::parse(FileKind::Feet, file, text)?;
    let sheet = Sheet::new(file, text, LAYOUT);
    let read = feet(&Table::top(&sheet, document.get_ref()));
    sheet.finish(Some(read))
}

const LAYOUT: Layout = &[
    ("", &["foot"]),
    ("[foot]", &["name", "length_mm", "around_mm"]),
];

fn feet(top: &Table<'_, '_>) -> Vec<FootAsked> {
    let list = List {
        key: "foot",
        layout: "[foot]",
        called_by: "name",
        most: MOST_FEET,
        too_many: "make two lists of it",
    };
    let tables = tables(top, &list);
    if tables.is_empty() && top.told() == 0 {
        let message = "expected at least one `[[foot]]`, found none".to_owned();
        top.fault_at("foot", message, "below it write `length_mm = 240`");
    }
    let mut feet: Vec<FootAsked> = Vec::new();
    for table in &tables {
        let Some(foot) = foot(table) else { continue };
        refuse_same_size(table, &foot, &feet);
        feet.push(foot);
    }
    feet
}

/// Two sizes whose files would be called alike.
fn refuse_same_size(table: &Table<'_, '_>, foot: &FootAsked, earlier: &[FootAsked]) {
    let word = |name: &str| name.to_lowercase().replace(' ', "-");
    let same = |other: &&FootAsked| word(&other.name) == word(&foot.name);
    let Some(first) = earlier.iter().find(same) else {
        return;
    };
    let line = first.line.unwrap_or(0);
    let message = format!(
        "expected a size of its own, found {} of line {line}",
        first.name
    );
    match table.value("name") {
        Some(_) => table.fault_at("name", message, "files are called by it"),
        None => table.fault_at(
            "length_mm",
            message,
            "sizes go by 5 mm of length; give one of them a `name`",
        ),
    }
}

fn foot(table: &Table<'_, '_>) -> Option<FootAsked> {
    let name = table.get("name", Label);
    let length = table.need(
        "length_mm",
        Number(LENGTH_MM.0, LENGTH_MM.1),
        "from the back of the heel to the longest toe, standing; the longer of both feet",
    );
    let around = table.get("around_mm", Number(AROUND_MM.0, AROUND_MM.1));
    if around.is_none() && table.value("around_mm").is_some() {
        return None; // said at the key
    }
    let asked = FootAsked::new(length?, around);
    if asked.is_none() {
        let (least, most) = ADULT_LENGTH_MM;
        let message = format!(
            "expected the way around the ball of the foot, found nothing; it is estimated only \
             for adults' feet of {least} to {most} mm"
        );
        table.fault_at(
            "around_mm",
            message,
            "measure it standing: `around_mm = 150`",
        );
    }
    let asked = asked?;
    Some(FootAsked {
        name: name.unwrap_or(asked.name),
        line: Some(table.line(table.byte_of("length_mm"))),
        ..asked
    })
}
