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

use std::collections::BTreeMap;
use std::path::Path;

use toml::de::DeValue;

use super::document::{self, FileKind};
use super::report::Faults;
use super::table::{Layout, Sheet, Table};
use super::text;
use super::value::{Choice, Colour, Count, Flag, Kind, Name, Number, Text, found, nearest, number};
use crate::face::{
    Direction, Face, Feature, Fill, LineStitch, Outline, OutlineError, ThreadLook, Work,
};

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

/// Colour of a thread that states none.
const DARK: [u8; 3] = [0x28, 0x24, 0x2c];

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
        let feature = feature(table, &threads);
        if let Some((width, height)) = width.zip(height)
            && let Some(feature) = &feature
        {
            refuse_outside(table, &feature.outline, width, height);
        }
        features.extend(feature);
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
        colour: table.get("colour", Colour).unwrap_or(DARK),
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

fn feature(table: &Table<'_, '_>, threads: &BTreeMap<String, ThreadLook>) -> Option<Feature> {
    let name = table.need("name", Name, "what the steps call it: `name = \"eye\"`");
    let pair = table.get("pair", Flag).unwrap_or(false);
    let thread = thread(table, threads);
    let work = work(table);
    let text = table.need(
        "path",
        Text,
        "SVG path data, such as `M14,30 L40,30 L27,4 Z`",
    );
    let outline = outline(table, &text?, work);
    if let Some(outline) = &outline {
        refuse_idle_mirror(table, pair, outline);
    }
    Some(Feature {
        name: name?,
        pair,
        outline: outline?,
        thread: thread?,
        work: work?,
    })
}

fn thread(table: &Table<'_, '_>, threads: &BTreeMap<String, ThreadLook>) -> Option<String> {
    let names = || threads.keys().map(String::as_str);
    let listed = || {
        names()
            .map(|name| format!("`{name}`"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    if threads.is_empty() {
        return None; // said once, at the threads
    }
    if table.value("thread").is_none() {
        if table.is_misspelt("thread") {
            return None; // said at the unknown key
        }
        if let [only] = names().collect::<Vec<_>>().as_slice() {
            return Some((*only).to_owned());
        }
        let message = format!("expected one of the threads {}, found nothing", listed());
        table.fault_at("thread", message, "the yarn this feature is worked in");
        return None;
    }
    let thread = table.get("thread", Name)?;
    if threads.contains_key(&thread) {
        return Some(thread);
    }
    let message = format!("expected one of the threads {}, found `{thread}`", listed());
    let tip = match nearest(&thread, names()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("or write `[threads.{thread}]` with its colour"),
    };
    table.fault_at("thread", message, tip);
    None
}

fn work(table: &Table<'_, '_>) -> Option<Work> {
    const KEYS: [&str; 3] = ["fill", "line", "knot"];
    let stated: Vec<&str> = KEYS
        .into_iter()
        .filter(|key| table.value(key).is_some())
        .collect();
    let fills = [
        ("surface satin", Fill::SurfaceSatin),
        ("satin", Fill::Satin),
    ];
    let lines = [
        ("backstitch", LineStitch::Backstitch),
        ("stem stitch", LineStitch::Stem),
        ("chain stitch", LineStitch::Chain),
    ];
    let fill = table.get("fill", Choice(&fills));
    let line = table.get("line", Choice(&lines));
    let knot = table.get("knot", Count(1, 3));
    let direction = table.get("direction", Way);
    let outlined = table.get("outline", Choice(&[("backstitch", true)]));
    if stated.is_empty() && KEYS.iter().any(|key| table.is_misspelt(key)) {
        return None; // said at the unknown key
    }
    if stated.len() > 1 {
        let found = stated.join(" and ");
        let message = format!("expected one of `fill`, `line`, `knot`, found {found}");
        let tip = "`fill = \"surface satin\"`, `line = \"backstitch\"` or `knot = 2`";
        table.fault_at(stated[stated.len() - 1], message, tip);
        return None;
    }
    match stated.first().copied() {
        Some("line") => {
            refuse_beside(table, "line");
            Some(Work::Line(line?))
        }
        Some("knot") => {
            refuse_beside(table, "knot");
            Some(Work::Knot { wraps: knot? })
        }
        stated => Some(Work::Fill {
            fill: match stated {
                Some(_) => fill?,
                None => Fill::default(),
            },
            direction: direction.unwrap_or_default(),
            outlined: outlined.unwrap_or(false),
        }),
    }
}

/// What belongs to a fill says nothing of a line or a knot.
fn refuse_beside(table: &Table<'_, '_>, work: &str) {
    for key in ["direction", "outline"] {
        if table.value(key).is_some() {
            let message = format!("expected only with `fill`, found with `{work}`");
            table.fault_at(key, message, "leave it out");
        }
    }
}

/// Which way the strands of a fill lie.
#[derive(Debug, Clone, Copy)]
struct Way;

impl Kind for Way {
    type Value = Direction;

    fn words(&self) -> String {
        "`\"auto\"`, degrees from -180 to 180, or `{ mirrored = 30 }`".into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<Direction, String> {
        let degrees = |value: &DeValue<'_>| {
            let degrees = number(value).filter(|degrees| (-180.0..=180.0).contains(degrees));
            let tip = "0 lies along the rounds, 90 toward the toe, counter-clockwise";
            degrees
                .map(|degrees| degrees.rem_euclid(180.0))
                .ok_or_else(|| tip.to_owned())
        };
        match value {
            DeValue::String(text) if text == "auto" => Ok(Direction::Auto),
            DeValue::Table(table) => match table.get("mirrored") {
                Some(mirrored) if table.len() == 1 => {
                    degrees(mirrored.get_ref()).map(Direction::Chevron)
                }
                _ => Err("the number is the direction of the right half".into()),
            },
            value => degrees(value).map(Direction::Degrees),
        }
    }
}

/// Reads the path as the work asks; where that is unknown, it can still be no path at all.
fn outline(table: &Table<'_, '_>, text: &str, work: Option<Work>) -> Option<Outline> {
    let read = match work {
        Some(Work::Fill { .. }) => Outline::fill(text),
        Some(Work::Line(_)) => Outline::line(text),
        Some(Work::Knot { .. }) => Outline::knot(text),
        None => match Outline::line(text) {
            Err(error @ OutlineError::Syntax { .. }) => Err(error),
            _ => return None,
        },
    };
    read.map_err(|error| match &error {
        OutlineError::Syntax {
            at,
            found,
            expected,
        } => {
            let message = |exact: bool| match exact {
                true => format!("expected {expected}, found {found}"),
                false => error.to_string(),
            };
            table.fault_in_text("path", *at, message, tip(&error));
        }
        _ => table.fault_at("path", error.to_string(), tip(&error)),
    })
    .ok()
}

/// What to do about a path.
fn tip(error: &OutlineError) -> &'static str {
    match error {
        OutlineError::Syntax { expected, .. } if expected.contains("`M`") => {
            "a path starts with `M x,y`"
        }
        OutlineError::Syntax { .. } => "path data as in SVG: `M14,30 L40,30 L27,4 Z`",
        OutlineError::Empty => "after `M x,y` comes at least one line or curve",
        OutlineError::NotFinite { .. } => "shapes lie inside the box of the face",
        OutlineError::TooManyCommands { .. } => {
            "a face is some stitches wide: draw it with few points"
        }
        OutlineError::Open { .. } => "end it with `Z`, or work it as a `line`",
        OutlineError::NoArea { .. } => "a fill needs an inside; a stroke is a `line`",
        OutlineError::Crossing { .. } => {
            "draw round the shape without crossing, or make two features of it"
        }
        OutlineError::Overlapping { .. } => {
            "draw shapes that share a border as one, without spikes"
        }
        OutlineError::ManyLines { .. } => "make one feature of each line",
        OutlineError::ClosedLine => "leave out `Z`; a ring is drawn back to where it began",
        OutlineError::NotAPlace => "end the path after its first point",
    }
}

/// A direction mirrored at the centre line says nothing where no shape lies across it.
fn refuse_idle_mirror(table: &Table<'_, '_>, pair: bool, outline: &Outline) {
    if !matches!(table.get("direction", Way), Some(Direction::Chevron(_))) {
        return;
    }
    let bounds = outline.bounds();
    let across = bounds.x0 < 0.0 && bounds.x1 > 0.0;
    if pair || !across {
        let message = "expected degrees, found `mirrored`".to_owned();
        let tip = "a pair mirrors its direction by itself; `mirrored` is for one shape that lies \
                   across x = 0";
        table.fault_at("direction", message, tip);
    }
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
