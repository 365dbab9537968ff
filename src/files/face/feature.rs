//! A `[[feature]]`: its shape, its thread, how it is worked.

use std::collections::BTreeMap;

use toml::de::DeValue;

use super::super::table::Table;
use super::super::value::{Both, Choice, Count, Flag, Kind, Name, Text, nearest, number, unquote};
use crate::face::{Direction, Feature, Fill, LineStitch, Outline, OutlineError, ThreadLook, Work};

/// Reads one feature, and the line round its fill where one is asked for; whether it lies in the
/// box and has a name of its own is for the face.
pub(super) fn read(
    table: &Table<'_, '_>,
    threads: &BTreeMap<String, ThreadLook>,
) -> Option<(Feature, Option<Feature>)> {
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
    let feature = Feature {
        name: name?,
        pair,
        outline: outline?,
        thread: thread?,
        work: work?,
    };
    let edge = edge(table, &feature);
    Some((feature, edge))
}

/// The line round a fill: a feature of its own, sewn after the fill.
fn edge(table: &Table<'_, '_>, fill: &Feature) -> Option<Feature> {
    let stitch = table.get("outline", Choice(&[("backstitch", LineStitch::Backstitch)]))?;
    Some(Feature {
        name: format!("{} edge", fill.name),
        work: Work::Line(stitch),
        ..fill.clone()
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

/// Directions that are words.
const WAYS: [(&str, Direction); 3] = [
    ("auto", Direction::Auto),
    ("along", Direction::Along),
    ("fan", Direction::Fan(None)),
];

/// Strands that radiate from a point `[x, y]`, in the box or outside of it.
fn from_point(value: &DeValue<'_>) -> Result<Direction, String> {
    let from = Both("`fan` takes `[x, y]`, each from -10000 to 10000 face units").read(value)?;
    Ok(Direction::Fan(Some(from.into())))
}

/// Which way the strands of a fill lie.
#[derive(Debug, Clone, Copy)]
struct Way;

impl Kind for Way {
    type Value = Direction;

    fn words(&self) -> String {
        "`\"auto\"`, `\"along\"`, `\"fan\"`, degrees from -180 to 180, `{ mirrored = 30 }` or \
         `{ fan = [0, 80] }`"
            .into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<Direction, String> {
        let degrees = |value: &DeValue<'_>| {
            let degrees = number(value).filter(|degrees| (-180.0..=180.0).contains(degrees));
            let tip = "degrees from -180 to 180: 0 lies along the rounds, 90 toward the toe, \
                       counter-clockwise";
            degrees
                .map(|degrees| degrees.rem_euclid(180.0))
                .ok_or_else(|| tip.to_owned())
        };
        match value {
            DeValue::String(text) if text.parse::<f64>().is_ok() => Err(unquote(value)),
            DeValue::String(_) => Choice(&WAYS).read(value),
            DeValue::Table(table) => match (table.get("mirrored"), table.get("fan")) {
                (Some(mirrored), None) if table.len() == 1 => {
                    degrees(mirrored.get_ref()).map(Direction::Chevron)
                }
                (None, Some(from)) if table.len() == 1 => from_point(from.get_ref()),
                _ => Err(
                    "`mirrored` is the direction of the right half, `fan` the point from \
                          which strands radiate"
                        .into(),
                ),
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

/// Whether its strands are mirrored at the centre line.
pub(super) fn is_mirrored(feature: &Feature) -> bool {
    let Work::Fill { direction, .. } = feature.work else {
        return false;
    };
    matches!(direction, Direction::Chevron(_))
}

/// A direction mirrored at the centre line says nothing where no shape lies across it.
pub(super) fn refuse_idle_mirror(table: &Table<'_, '_>, feature: &Feature) {
    let bounds = feature.outline.bounds();
    let across = bounds.x0 < 0.0 && bounds.x1 > 0.0;
    if is_mirrored(feature) && (feature.pair || !across) {
        let message = "expected degrees, found `mirrored`".to_owned();
        let tip = "a pair mirrors its direction by itself; `mirrored` is for one shape that lies \
                   across x = 0";
        table.fault_at("direction", message, tip);
    }
}
