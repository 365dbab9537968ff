//! `[[variant.change]]`: what becomes of one feature.

use toml::de::DeTable;

use super::super::table::Table;
use super::super::value::{Both, Flag, Number};
use super::feature;
use super::variant::Drawn;
use super::{FEATURE_KEYS, Paper};
use crate::face::{Feature, Reshape, Work};

/// Keys that change the shape as it is drawn.
const RESHAPES: [&str; 5] = ["turn_over", "tilt", "wider", "taller", "move"];

/// Times as wide or tall.
const TIMES: Number = Number(0.1, 10.0);
/// Degrees of a tilt.
const TILT: Number = Number(-180.0, 180.0);
/// A way to move.
const MOVE: Both = Both("x to the right, y toward the toe: `move = [0, 4]`");

/// What became of a feature.
pub(super) enum Changed {
    /// It is left out.
    Dropped,
    /// None where there is a mistake.
    Features(Vec<Feature>),
}

/// Reads a change of a feature.
pub(super) fn change(table: &Table<'_, '_>, drawn: &Drawn<'_, '_>, paper: &Paper<'_>) -> Changed {
    let stated = |keys: &[&'static str]| -> Vec<&'static str> {
        let there = |key: &&'static str| table.value(key).is_some();
        keys.iter().copied().filter(there).collect()
    };
    let keys = stated(&FEATURE_KEYS);
    let reshapes = stated(&RESHAPES);
    let drop = table.get("drop", Flag).unwrap_or(false);
    if drop {
        if let Some(beside) = keys.first().or(reshapes.first()) {
            let message = format!("expected nothing beside `drop`, found `{beside}`");
            table.fault_at(beside, message, "what is left out needs no other change");
        }
        return Changed::Dropped;
    }
    let unknown = table.entries().len() > 1 && table.value("drop").is_none();
    if keys.is_empty() && reshapes.is_empty() && !unknown {
        let message = format!("expected what becomes of `{}`, found nothing", drawn.name);
        let tip = "`drop = true`, `turn_over = true`, `tilt = 15`, or a key of the feature";
        table.fault_at("feature", message, tip);
    }
    let reshape = reshape(table);
    if drawn.features.is_empty() {
        return Changed::Features(Vec::new()); // its mistake is told where it is drawn
    }
    let merged = merged(drawn.table.entries(), table, &keys);
    let table = table.reading(&merged);
    let Some((feature, edge)) = feature::read(&table, paper.threads) else {
        return Changed::Features(Vec::new());
    };
    refuse_idle_reshape(&table, &feature, &reshapes);
    let reshaped = |feature: Feature| {
        let changed = reshape.of(&feature);
        // A direction stated with the change is that of the changed shape.
        let work = match keys.contains(&"direction") {
            true => feature.work,
            false => changed.work,
        };
        Feature { work, ..changed }
    };
    let changed: Vec<Feature> = [Some(feature), edge]
        .into_iter()
        .flatten()
        .map(reshaped)
        .collect();
    paper.refuse_misfit(&table, &changed[0], reshapes.last().copied());
    Changed::Features(changed)
}

/// The keys of the feature with those of the change in their place.
fn merged<'t>(feature: &DeTable<'t>, change: &Table<'_, 't>, keys: &[&'static str]) -> DeTable<'t> {
    const WORKS: [&str; 3] = ["fill", "line", "knot"];
    let mut merged = feature.clone();
    if WORKS.iter().any(|work| keys.contains(work)) {
        for work in WORKS {
            merged.remove(work);
        }
        if !keys.contains(&"fill") {
            merged.remove("direction");
            merged.remove("outline");
        }
    }
    for (key, value) in change.entries() {
        if keys.contains(&key.get_ref().as_ref()) {
            merged.insert(key.clone(), value.clone());
        }
    }
    merged
}

fn reshape(table: &Table<'_, '_>) -> Reshape {
    let plain = Reshape::default();
    Reshape {
        turn_over: table.get("turn_over", Flag).unwrap_or(plain.turn_over),
        wider: table.get("wider", TIMES).unwrap_or(plain.wider),
        taller: table.get("taller", TIMES).unwrap_or(plain.taller),
        tilt_deg: table.get("tilt", TILT).unwrap_or(plain.tilt_deg),
        shift: table.get("move", MOVE).map_or(plain.shift, Into::into),
    }
}

/// What a knot and mirrored strands cannot do.
fn refuse_idle_reshape(table: &Table<'_, '_>, feature: &Feature, reshapes: &[&'static str]) {
    if matches!(feature.work, Work::Knot { .. })
        && let Some(key) = reshapes.iter().find(|key| **key != "move")
    {
        let message = format!("expected only `move` for a knot, found `{key}`");
        table.fault_at(key, message, "a knot is one place");
    }
    if feature::is_mirrored(feature) && reshapes.contains(&"tilt") {
        let message = "expected a direction for the tilted shape, found that of the feature, \
                       which is mirrored"
            .to_owned();
        let tip = "tilted, its halves are no longer alike: write `direction = \"auto\"` here";
        if table.stated("direction").is_none() {
            table.fault_at("tilt", message, tip);
        }
    }
}
