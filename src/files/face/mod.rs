//! Face files: the shapes of a face, and the threads they are worked in.
//!
//! Shapes are SVG path data in face units: x = 0 on the centre line, y down toward the toe, inside
//! a box of `-width/2` to `width/2` by `0` to `height`.
//!
//! | key | range | when left out |
//! |---|---|---|
//! | `name` | text of 1 to 60 characters | `Face` |
//! | `width` | 1 to 10000 face units | needed |
//! | `height` | 1 to 10000 face units | needed |
//! | `threads.NAME.colour` | `#rrggbb` | `#28242c` |
//! | `feature.name` | text of 1 to 60 characters, each once | needed |
//! | `feature.pair` | `true`, `false`: itself and its mirror image across x = 0 | `false` |
//! | `feature.path` | SVG path data inside the box | needed |
//! | `feature.fill` | `surface satin`, `satin`: a closed path | `surface satin`, unless `line` or `knot` is there |
//! | `feature.line` | `backstitch`, `stem stitch`, `chain stitch`: an open path | no line |
//! | `feature.knot` | 1 to 3 wraps round the needle, at `M x,y` | no knot |
//! | `feature.direction` | `auto`, or -180 to 180 degrees, or `{ mirrored = 30 }`; with `fill` | `auto` |
//! | `feature.outline` | `backstitch`: a line round the fill | no line |
//! | `feature.thread` | a NAME of `[threads.NAME]` | the only thread |

mod feature;

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeValue;

use super::document::{self, FileKind};
use super::report::Faults;
use super::table::{Layout, Sheet, Table};
use super::text;
use super::value::{Colour, Kind, Name, Number, found};
use crate::face::{Face, Feature, Outline, ThreadLook};

/// Reads a face file.
///
/// # Errors
/// All mistakes of the file.
pub fn read_face(path: &Path) -> Result<Face, Faults> {
    parse_face(&path.display().to_string(), &text::read(path)?)
}

/// Reads the text of a face file; `file` is what messages call it.
///
/// # Errors
/// All mistakes of the text.
pub fn parse_face(file: &str, text: &str) -> Result<Face, Faults> {
    let document = document::parse(FileKind::Face, file, text)?;
    let sheet = Sheet::new(file, text, LAYOUT);
    let read = face(&Table::top(&sheet, document.get_ref()));
    sheet.finish(read)
}

const LAYOUT: Layout = &[
    ("", &["name", "width", "height", "threads", "feature"]),
    ("threads.NAME", &["colour"]),
    (
        "[feature]",
        &[
            "name",
            "pair",
            "path",
            "fill",
            "line",
            "knot",
            "direction",
            "outline",
            "thread",
        ],
    ),
];

/// Side of the box, face units.
const SIDE: Number = Number(1.0, 10_000.0);

/// Most features of a face.
const MOST_FEATURES: usize = 60;

/// A shape may reach beyond the box by this share of its width: rounding of a drawing program.
const OVERHANG: f64 = 1e-4;

fn face(top: &Table<'_, '_>) -> Option<Face> {
    let name = top.get("name", Name).unwrap_or_else(|| "Face".into());
    let width = top.need("width", SIDE, "the width of the box the face is drawn in");
    let height = top.need("height", SIDE, "the height of the box the face is drawn in");
    let threads = threads(top);
    let mut features: Vec<Feature> = Vec::new();
    let tables = feature_tables(top);
    for (index, table) in tables.iter().enumerate() {
        let earlier = &tables[..index];
        refuse_second_name(table, earlier);
        let feature = feature::read(table, &threads);
        if let Some((width, height)) = width.zip(height)
            && let Some(feature) = &feature
        {
            refuse_outside(table, &feature.outline, width, height);
        }
        let edge = feature.as_ref().and_then(|fill| feature::edge(table, fill));
        features.extend(feature.into_iter().chain(edge));
    }
    Some(Face {
        name,
        width: width?,
        height: height?,
        threads,
        features,
    })
}

fn threads(top: &Table<'_, '_>) -> BTreeMap<String, ThreadLook> {
    if top.value("threads").is_none() {
        let expected = "expected at least one thread, found none".to_owned();
        let tip = "write `[threads.dark]` and, below it, `colour = \"#2b2430\"`";
        top.fault_at("threads", expected, tip);
    }
    let list = top.table_of_tables("threads").unwrap_or_default();
    let look = |table: &Table<'_, '_>| ThreadLook {
        colour: table.get("colour", Colour),
    };
    list.iter()
        .map(|(role, table)| (role.clone(), look(table)))
        .collect()
}

/// The `[[feature]]` tables; messages call their keys by the feature's name: `eye.path`.
fn feature_tables<'s, 't>(top: &Table<'s, 't>) -> Vec<Table<'s, 't>> {
    let list = top.value("feature").map(|value| value.get_ref());
    let Some(list) = list.and_then(DeValue::as_array).filter(|a| !a.is_empty()) else {
        let found = list.map_or_else(|| "nothing".into(), found);
        let message = format!("expected at least one `[[feature]]`, found {found}");
        top.fault_at(
            "feature",
            message,
            "each shape begins with `[[feature]]`, two brackets",
        );
        return Vec::new();
    };
    if list.len() > MOST_FEATURES {
        let found = list.len();
        let message = format!("expected at most {MOST_FEATURES} features, found {found}");
        top.fault_at(
            "feature",
            message,
            "a face is some stitches wide; leave out detail",
        );
        return Vec::new();
    }
    let mut tables = Vec::new();
    for (index, value) in list.iter().enumerate() {
        let name = value.get_ref().get("name").map(|name| name.get_ref());
        let name = name.and_then(|name| Name.read(name).ok());
        let called = name.unwrap_or_else(|| format!("feature {}", index + 1));
        let table = top.inner(value, "[feature]", &called);
        if table.is_none() {
            let message = format!("expected tables, found {}", found(value.get_ref()));
            top.fault_at("feature", message, "each shape begins with `[[feature]]`");
        }
        tables.extend(table);
    }
    tables
}

fn refuse_second_name(table: &Table<'_, '_>, earlier: &[Table<'_, '_>]) {
    let name = |table: &Table<'_, '_>| {
        table
            .value("name")
            .and_then(|v| Name.read(v.get_ref()).ok())
    };
    let Some(own) = name(table) else { return };
    if let Some(first) = earlier
        .iter()
        .find(|other| name(other).as_ref() == Some(&own))
    {
        let line = table.line(first.byte_of("name"));
        let message = format!("expected a name of its own, found that of line {line}");
        table.fault_at("name", message, "steps and findings call features by name");
    }
}

fn refuse_outside(table: &Table<'_, '_>, outline: &Outline, width: f64, height: f64) {
    let bounds = outline.bounds();
    let half = width / 2.0;
    let sides = [
        ("left", -half - bounds.x0, half),
        ("right", bounds.x1 - half, half),
        ("upper", -bounds.y0, 0.0),
        ("lower", bounds.y1 - height, height),
    ];
    for (side, beyond, edge) in sides {
        if beyond <= OVERHANG * width {
            continue;
        }
        let message = match side {
            "left" | "right" => format!(
                "expected x from -{half} to {half}, found a shape {beyond:.2} beyond the {side} side"
            ),
            _ => format!(
                "expected y from 0 to {height}, found a shape {beyond:.2} beyond the {side} side"
            ),
        };
        let tip = match side {
            "left" | "right" => format!("move it in, or make `width` {:.2}", 2.0 * (edge + beyond)),
            "lower" => format!("move it in, or make `height` {:.2}", edge + beyond),
            _ => {
                "y = 0 is the side of the box nearest the opening edge; move the shape down".into()
            }
        };
        table.fault_at("path", message, tip);
    }
}
