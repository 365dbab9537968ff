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
//! | `feature.direction` | `auto`, `along`, `fan`, or -180 to 180 degrees, or `{ mirrored = 30 }`, or `{ fan = [x, y] }` with -10000 to 10000 face units; with `fill` | `auto` |
//! | `feature.outline` | `backstitch`: a line round the fill | no line |
//! | `feature.thread` | a NAME of `[threads.NAME]` | the only thread |
//! | `variant.name` | 1 to 30 letters, digits, spaces or hyphens; each once | needed |
//! | `variant.change.feature` | the name of a feature | needed |
//! | `variant.change.drop` | `true`, `false`: left out | `false` |
//! | `variant.change.turn_over` | `true`, `false`: upside down | `false` |
//! | `variant.change.wider` | 0.1 to 10 times as wide | 1 |
//! | `variant.change.taller` | 0.1 to 10 times as tall | 1 |
//! | `variant.change.tilt` | -180 to 180 degrees, counter-clockwise | 0 |
//! | `variant.change.move` | `[x, y]`, each from -10000 to 10000 face units | `[0, 0]` |
//! | `variant.change.KEY` | a KEY of `feature`, in the place of what it states | as the feature states it |
//! | `variant.add.after` | the name of a feature: next on top of it | on top of all |
//! | `variant.add.KEY` | a KEY of `feature`, for one more feature | as for `feature` |

mod change;
mod feature;
mod variant;

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeValue;

use super::document::{self, FileKind};
use super::list::{List, refuse_second_name, tables};
use super::report::Faults;
use super::table::{Layout, Sheet, Table};
use super::text;
use super::value::{Colour, Kind, Name, Number, found};
use crate::face::{Face, Feature, Outline, ThreadLook};
use variant::Drawn;

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

/// The keys of a feature.
const FEATURE_KEYS: [&str; 9] = [
    "name",
    "pair",
    "path",
    "fill",
    "line",
    "knot",
    "direction",
    "outline",
    "thread",
];

const LAYOUT: Layout = &[
    (
        "",
        &["name", "width", "height", "threads", "feature", "variant"],
    ),
    ("threads.NAME", &["colour"]),
    ("[feature]", &FEATURE_KEYS),
    ("[variant]", &["name", "change", "add"]),
    ("[variant.change]", &CHANGE_KEYS),
    ("[variant.add]", &ADD_KEYS),
];

/// The keys of a change of a feature: its own, then those of the feature.
const CHANGE_KEYS: [&str; 16] = {
    let own = [
        "feature",
        "drop",
        "turn_over",
        "wider",
        "taller",
        "tilt",
        "move",
    ];
    joined(&own, &FEATURE_KEYS)
};

/// The keys of a feature that a variant adds.
const ADD_KEYS: [&str; 10] = joined(&["after"], &FEATURE_KEYS);

const fn joined<const N: usize>(
    first: &[&'static str],
    then: &[&'static str],
) -> [&'static str; N] {
    assert!(first.len() + then.len() == N, "as many as there are");
    let mut keys = [""; N];
    let mut at = 0;
    while at < N {
        keys[at] = match at < first.len() {
            true => first[at],
            false => then[at - first.len()],
        };
        at += 1;
    }
    keys
}

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
    let paper = Paper {
        size: width.zip(height),
        threads: &threads,
    };
    let mut drawn: Vec<Drawn<'_, '_>> = Vec::new();
    let tables = feature_tables(top);
    for (index, table) in tables.iter().enumerate() {
        let tip = "steps and findings call features by name";
        refuse_second_name(table, &tables[..index], tip);
        let told = table.told();
        let read = paper.feature(table).filter(|_| table.told() == told);
        let features = read.unwrap_or_default();
        let name = table
            .value("name")
            .and_then(|v| Name.read(v.get_ref()).ok());
        drawn.extend(name.map(|name| Drawn {
            name,
            table,
            features,
        }));
    }
    let variants = variant::read(top, &drawn, &paper);
    Some(Face {
        name,
        width: width?,
        height: height?,
        features: drawn.into_iter().flat_map(|drawn| drawn.features).collect(),
        variants,
        threads,
    })
}

/// What features are drawn on, and the threads there are for them.
#[derive(Debug)]
struct Paper<'a> {
    /// Width and height of the box, where they can be read.
    size: Option<(f64, f64)>,
    threads: &'a BTreeMap<String, ThreadLook>,
}

impl Paper<'_> {
    /// Reads a feature, after it the line round it; at least one.
    fn feature(&self, table: &Table<'_, '_>) -> Option<Vec<Feature>> {
        let (feature, edge) = feature::read(table, self.threads)?;
        self.refuse_misfit(table, &feature, None);
        Some([Some(feature), edge].into_iter().flatten().collect())
    }

    /// What does not lie in the box, or mirrors its strands for nothing; `changed_by` is the key
    /// that brought the shape where it is, if not its path.
    fn refuse_misfit(&self, table: &Table<'_, '_>, feature: &Feature, changed_by: Option<&str>) {
        feature::refuse_idle_mirror(table, feature);
        if let Some((width, height)) = self.size {
            let key = changed_by.unwrap_or("path");
            refuse_outside(table, key, &feature.outline, width, height);
        }
    }
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
    let filled = list
        .and_then(DeValue::as_array)
        .is_some_and(|list| !list.is_empty());
    if !filled {
        let found = list.map_or_else(|| "nothing".into(), found);
        let message = format!("expected at least one `[[feature]]`, found {found}");
        top.fault_at(
            "feature",
            message,
            "each shape begins with `[[feature]]`, two brackets",
        );
        return Vec::new();
    }
    tables(
        top,
        &List {
            key: "feature",
            layout: "[feature]",
            called_by: "name",
            most: MOST_FEATURES,
            too_many: "a face is some stitches wide; leave out detail",
        },
    )
}

fn refuse_outside(table: &Table<'_, '_>, key: &str, outline: &Outline, width: f64, height: f64) {
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
        table.fault_at(key, message, tip);
    }
}
