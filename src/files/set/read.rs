//! The text of a set file, key by key.

use std::collections::BTreeMap;
use std::path::Path;

use toml::Spanned;
use toml::de::DeValue;

use super::super::document::{self, FileKind};
use super::super::report::{At, Faults};
use super::super::table::{Layout, Sheet, Table};
use super::super::text;
use super::super::value::{Choice, Colour, Count, Kind, Name, Number, Text, found};
use super::{
    Below, FaceEntry, Feet, SetFile, SharedPlace, SharedThread, SlipperEntry, Variants, Written,
};
use crate::face::Facing;

/// Reads a set file; the slippers and faces it names are not yet looked for.
///
/// # Errors
/// All mistakes of the file.
pub fn read_set(path: &Path) -> Result<SetFile, Faults> {
    parse_set(&path.display().to_string(), &text::read(path)?)
}

/// Reads the text of a set file; `file` is what messages call it.
///
/// # Errors
/// All mistakes of the text.
pub fn parse_set(file: &str, text: &str) -> Result<SetFile, Faults> {
    let document = document::parse(FileKind::Set, file, text)?;
    let sheet = Sheet::new(file, text, LAYOUT);
    let read = set_file(&Table::top(&sheet, document.get_ref()), file, text);
    sheet.finish(read)
}

const LAYOUT: Layout = &[
    (
        "",
        &[
            "name", "slippers", "faces", "feet", "pairs", "margin", "ball", "place", "threads",
        ],
    ),
    ("slippers", &["file", "pairs"]),
    (
        "faces",
        &["face", "variants", "pairs", "width", "below", "below_rows"],
    ),
    ("place", &["width", "below", "below_rows", "facing"]),
    (
        "threads.NAME",
        &[
            "wraps_per_inch",
            "metres_per_100g",
            "held",
            "colour",
            "ball",
        ],
    ),
];

const PAIRS: Count = Count(0, 1000);
const BALL: Number = Number(1.0, 2000.0);
/// Most slippers, and most faces.
const MOST: usize = 60;

fn set_file(top: &Table<'_, '_>, file: &str, text: &str) -> Option<SetFile> {
    let name = top.get("name", Name).unwrap_or_else(|| "Set".into());
    let feet = [("alike", Feet::Alike), ("mirrored", Feet::Mirrored)];
    let facings = [("onlooker", Facing::Onlooker), ("wearer", Facing::Wearer)];
    let feet = top.get("feet", Choice(&feet)).unwrap_or(Feet::Alike);
    let pairs = top.get("pairs", PAIRS).unwrap_or(1);
    let margin = top.get("margin", Number(0.0, 1.0)).unwrap_or(0.1);
    let ball_g = top.get("ball", BALL).unwrap_or(50.0);
    let table = top.table("place");
    let place = table.as_ref().map(|table| place(table, text));
    let facing = table.and_then(|table| table.get("facing", Choice(&facings)));
    let slippers: Vec<SlipperEntry> = entries(top, &SLIPPERS, text, |table, path| SlipperEntry {
        path,
        pairs: table.and_then(|table| table.get("pairs", PAIRS)),
    });
    let faces: Vec<FaceEntry> = entries(top, &FACES, text, |table, face| FaceEntry {
        face,
        variants: table.map_or(Variants::Plain, |table| variants(table, text)),
        pairs: table.and_then(|table| table.get("pairs", PAIRS)),
        place: table.map_or_else(SharedPlace::default, |table| self::place(table, text)),
    });
    let in_slippers = slippers.iter().any(|slipper| slipper.pairs.is_some());
    if in_slippers && faces.iter().any(|face| face.pairs.is_some()) {
        let message = "expected `pairs` with slippers or with faces, found both".to_owned();
        let tip = "a piece of both would have two numbers; leave out one of them";
        top.fault_at("faces", message, tip);
    }
    Some(SetFile {
        file: file.to_owned(),
        name,
        slippers,
        faces,
        feet,
        pairs,
        margin,
        ball_g,
        place: place.unwrap_or_default(),
        facing,
        threads: threads(top),
    })
}

/// A list whose entries are a text or a table with that text under a key.
struct Listed {
    key: &'static str,
    what: &'static str,
    inner: &'static str,
    tip: &'static str,
}

const SLIPPERS: Listed = Listed {
    key: "slippers",
    what: "slipper files, each its path or a table",
    inner: "file",
    tip: "`slippers = [\"adult.toml\", \"child.toml\"]`",
};

const FACES: Listed = Listed {
    key: "faces",
    what: "faces, each its path, the name of a bundled face, or a table",
    inner: "face",
    tip: "`faces = [\"lantern-smile\", \"my-face.toml\"]`",
};

impl Kind for &Listed {
    type Value = ();

    fn words(&self) -> String {
        format!("a list of 1 to {MOST} {}", self.what)
    }

    fn read(&self, value: &DeValue<'_>) -> Result<(), String> {
        let list = value.as_array();
        let fits = list.is_some_and(|list| (1..=MOST).contains(&list.len()));
        fits.then_some(()).ok_or_else(|| self.tip.to_owned())
    }
}

fn entries<'t, T>(
    top: &Table<'_, 't>,
    listed: &Listed,
    text: &str,
    make: impl Fn(Option<&Table<'_, 't>>, Written) -> T,
) -> Vec<T> {
    if top.need(listed.key, listed, listed.tip).is_none() {
        return Vec::new();
    }
    let list = top.value(listed.key).and_then(|v| v.get_ref().as_array());
    let mut made = Vec::new();
    for (value, number) in list.into_iter().flatten().zip(1..) {
        let called = format!("{} {number}", listed.key);
        if let Some(table) = top.inner(value, listed.key, &called) {
            let path = table.need(listed.inner, Text, "which one it is");
            let at = At::of_byte(text, table.byte_of(listed.inner));
            let entry = make(
                Some(&table),
                Written {
                    text: path.clone().unwrap_or_default(),
                    at,
                    key: format!("{called}.{}", listed.inner),
                },
            );
            made.extend(path.map(|_| entry));
        } else if let Some(path) = value.get_ref().as_str() {
            made.push(make(None, written(value, path, listed.key, text)));
        } else {
            let message = format!(
                "expected texts or tables, found {} at entry {number}",
                found(value.get_ref())
            );
            top.fault(value.span().start, listed.key, message, listed.tip);
        }
    }
    made
}

fn written(value: &Spanned<DeValue<'_>>, says: &str, key: &str, text: &str) -> Written {
    Written {
        text: says.to_owned(),
        at: At::of_byte(text, value.span().start),
        key: key.to_owned(),
    }
}

/// Which moods of a face.
struct Moods;

impl Kind for Moods {
    type Value = bool;

    fn words(&self) -> String {
        "`\"all\"` or a list of names, `plain` the face as drawn".into()
    }

    /// True for all.
    fn read(&self, value: &DeValue<'_>) -> Result<bool, String> {
        let tip = || "write it as `[\"plain\", \"cross\"]`".to_owned();
        match value {
            DeValue::String(word) if word == "all" => Ok(true),
            DeValue::Array(list) if !list.is_empty() => {
                let names = list.iter().all(|name| name.get_ref().is_str());
                names.then_some(false).ok_or_else(tip)
            }
            _ => Err(tip()),
        }
    }
}

fn variants(table: &Table<'_, '_>, text: &str) -> Variants {
    match table.get("variants", Moods) {
        None => Variants::Plain,
        Some(true) => Variants::All,
        Some(false) => {
            let list = table.value("variants").and_then(|v| v.get_ref().as_array());
            let names = list.into_iter().flatten().filter_map(|value| {
                let name = value.get_ref().as_str()?.trim();
                Some(written(value, name, &table.called("variants"), text))
            });
            Variants::Named(names.collect())
        }
    }
}

fn place(table: &Table<'_, '_>, text: &str) -> SharedPlace {
    let at = |key| At::of_byte(text, table.byte_of(key));
    let width = table.get("width", Number(0.05, 1.0));
    let share = table.get("below", Number(0.0, 0.9));
    let rows = table.get("below_rows", Number(0.0, 60.0));
    if table.value("below").is_some() && table.value("below_rows").is_some() {
        let message = "expected `below` or `below_rows`, found both".to_owned();
        table.fault_at("below_rows", message, "leave out one of them");
    }
    let below = share
        .map(|share| (Below::Share(share), at("below")))
        .or_else(|| rows.map(|rows| (Below::Rows(rows), at("below_rows"))));
    SharedPlace {
        width: width.map(|width| (width, at("width"))),
        below,
    }
}

fn threads(top: &Table<'_, '_>) -> BTreeMap<String, SharedThread> {
    let list = top.table_of_tables("threads").unwrap_or_default();
    list.into_iter()
        .map(|(role, table)| {
            let thread = SharedThread {
                wraps_per_inch: table.get("wraps_per_inch", Number(1.0, 60.0)),
                metres_per_100g: table.get("metres_per_100g", Number(10.0, 3000.0)),
                held: table.get("held", Count(1, 8)),
                colour: table.get("colour", Colour),
                ball_g: table.get("ball", BALL),
            };
            (role, thread)
        })
        .collect()
}
