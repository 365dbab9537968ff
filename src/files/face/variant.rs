//! `[[variant]]`: features of the face changed, dropped and added.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::super::table::Table;
use super::super::value::{Flag, Kind, Label, Name, Number, nearest, number};
use super::{FEATURE_KEYS, List, MOST_FEATURES, Paper, refuse_second_name, tables};
use crate::face::{Feature, Reshape, Variant, Work};

/// Most variants of a face.
const MOST_VARIANTS: usize = 30;

/// Keys that change the shape as it is drawn.
const RESHAPES: [&str; 5] = ["turn_over", "tilt", "wider", "taller", "move"];

/// Times as wide or tall.
const TIMES: Number = Number(0.1, 10.0);
/// Degrees of a tilt.
const TILT: Number = Number(-180.0, 180.0);

/// A feature of the face and the line round it, as read, with the table it was read from; nothing
/// is read where the table holds a mistake.
pub(super) struct Drawn<'a, 't> {
    pub(super) name: String,
    pub(super) table: &'a Table<'a, 't>,
    pub(super) features: Vec<Feature>,
}

/// A place in the variant's order of features.
#[derive(Debug)]
struct Slot {
    /// What changes and `after` call it.
    name: String,
    /// None where there is a mistake.
    features: Vec<Feature>,
    dropped: bool,
    after: Option<String>,
}

/// Reads the variants of a face.
pub(super) fn read(
    top: &Table<'_, '_>,
    drawn: &[Drawn<'_, '_>],
    paper: &Paper<'_>,
) -> Vec<Variant> {
    let list = List {
        key: "variant",
        layout: "[variant]",
        called_by: "name",
        most: MOST_VARIANTS,
    };
    let found = tables(top, &list);
    let mut variants = Vec::new();
    for (index, table) in found.iter().enumerate() {
        let tip = "`--variant` calls them by name";
        refuse_second_name(table, &found[..index], tip);
        let name = table.need("name", Label, "what the mood is called: `name = \"cross\"`");
        let features = features(table, drawn, paper);
        variants.extend(name.map(|name| Variant { name, features }));
    }
    variants
}

fn features(variant: &Table<'_, '_>, drawn: &[Drawn<'_, '_>], paper: &Paper<'_>) -> Vec<Feature> {
    let list = |key, layout, called_by| List {
        key,
        layout,
        called_by,
        most: MOST_FEATURES,
    };
    let changes = tables(variant, &list("change", "[variant.change]", "feature"));
    let added = tables(variant, &list("add", "[variant.add]", "name"));
    let only_name = |key: &Spanned<_>| key.get_ref() == "name";
    if variant.entries().keys().all(only_name) {
        let message = "expected a change, found none".to_owned();
        let tip = "below it write `[[variant.change]]` with `feature = \"mouth\"` and what \
                   becomes of it, or `[[variant.add]]`";
        variant.fault_at("change", message, tip);
    }
    let mut slots: Vec<Slot> = drawn
        .iter()
        .map(|drawn| Slot {
            name: drawn.name.clone(),
            features: drawn.features.clone(),
            dropped: false,
            after: None,
        })
        .collect();
    for (index, table) in changes.iter().enumerate() {
        let Some(at) = changed_slot(table, &changes[..index], drawn) else {
            continue;
        };
        match change(table, &drawn[at], paper) {
            Changed::Dropped => slots[at].dropped = true,
            Changed::Features(features) => slots[at].features = features,
        }
    }
    for table in &added {
        add(table, &mut slots, paper);
    }
    slots.retain(|slot| !slot.dropped);
    if slots.is_empty() && !drawn.is_empty() {
        let message = "expected a feature to be left, found that all are dropped".to_owned();
        variant.fault_at("change", message, "keep one, or add one");
    } else if slots.len() > MOST_FEATURES {
        let message = format!(
            "expected at most {MOST_FEATURES} features, found {}",
            slots.len()
        );
        variant.fault_at(
            "add",
            message,
            "a face is some stitches wide; leave out detail",
        );
    }
    refuse_shared_names(&slots, &changes, &added);
    slots.into_iter().flat_map(|slot| slot.features).collect()
}

/// Which feature a change is for.
fn changed_slot(
    table: &Table<'_, '_>,
    earlier: &[Table<'_, '_>],
    drawn: &[Drawn<'_, '_>],
) -> Option<usize> {
    let name = table.need("feature", Name, "the name of a feature of this face")?;
    let of = |table: &Table<'_, '_>| {
        let value = table.value("feature")?;
        Name.read(value.get_ref()).ok()
    };
    if let Some(first) = earlier
        .iter()
        .find(|first| of(first).as_ref() == Some(&name))
    {
        let line = table.line(first.byte_of("feature"));
        let message = format!("expected one change of each feature, found that of line {line}");
        table.fault_at("feature", message, "write all that changes in one place");
        return None;
    }
    let names = || drawn.iter().map(|drawn| drawn.name.as_str());
    let at = names().position(|known| known == name);
    if at.is_none() {
        refuse_unknown_feature(table, "feature", &name, names());
    }
    at
}

fn refuse_unknown_feature<'n>(
    table: &Table<'_, '_>,
    key: &str,
    name: &str,
    known: impl Iterator<Item = &'n str> + Clone,
) {
    let listed: Vec<String> = known.clone().map(|name| format!("`{name}`")).collect();
    if listed.is_empty() {
        return; // said at the features
    }
    let message = format!("expected a feature of this face, found `{name}`");
    let tip = match nearest(name, known) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("there are {}", listed.join(", ")),
    };
    table.fault_at(key, message, tip);
}

enum Changed {
    Dropped,
    /// None where there is a mistake.
    Features(Vec<Feature>),
}

fn change(table: &Table<'_, '_>, drawn: &Drawn<'_, '_>, paper: &Paper<'_>) -> Changed {
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
    let Some((feature, edge)) = super::feature::read(&table, paper.threads) else {
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
        shift: table.get("move", Way).map_or(plain.shift, Into::into),
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
    if super::feature::is_mirrored(feature) && reshapes.contains(&"tilt") {
        let message = "expected a direction for the tilted shape, found that of the feature, \
                       which is mirrored"
            .to_owned();
        let tip = "tilted, its halves are no longer alike: write `direction = \"auto\"` here";
        if table.stated("direction").is_none() {
            table.fault_at("tilt", message, tip);
        }
    }
}

/// A way to move, face units.
#[derive(Debug, Clone, Copy)]
struct Way;

impl Kind for Way {
    type Value = (f64, f64);

    fn words(&self) -> String {
        "`[x, y]`, each from -10000 to 10000 face units".into()
    }

    fn read(&self, value: &DeValue<'_>) -> Result<(f64, f64), String> {
        let tip = || "x to the right, y toward the toe: `move = [0, 4]`".to_owned();
        let side =
            |value: &Spanned<DeValue<'_>>| number(value.get_ref()).filter(|side| side.abs() <= 1e4);
        match value.as_array().map(|list| list.as_ref()) {
            Some([x, y]) => side(x).zip(side(y)).ok_or_else(tip),
            _ => Err(tip()),
        }
    }
}

/// Puts one more feature in its place.
fn add(table: &Table<'_, '_>, slots: &mut Vec<Slot>, paper: &Paper<'_>) {
    let after = table.get("after", Name);
    let read = paper.feature(table);
    let at = match &after {
        None => slots.len(),
        Some(after) => {
            // Those that follow the same one lie in the order in which they are written.
            let last = slots
                .iter()
                .rposition(|slot| slot.name == *after || slot.after.as_ref() == Some(after));
            let known = slots.iter().any(|slot| slot.name == *after);
            let Some(last) = last.filter(|_| known) else {
                let names = slots.iter().map(|slot| slot.name.as_str());
                refuse_unknown_feature(table, "after", after, names);
                return;
            };
            last + 1
        }
    };
    let Some(features) = read else { return };
    let slot = Slot {
        name: features[0].name.clone(),
        features,
        dropped: false,
        after,
    };
    slots.insert(at, slot);
}

/// Two features of the variant with one name, where a change or an added one brings it.
fn refuse_shared_names(slots: &[Slot], changes: &[Table<'_, '_>], added: &[Table<'_, '_>]) {
    for table in changes.iter().chain(added) {
        let name = table.value("name").map(|value| value.get_ref());
        let Some(name) = name.and_then(|name| Name.read(name).ok()) else {
            continue;
        };
        let bearers = slots.iter().flat_map(|slot| &slot.features);
        if bearers.filter(|feature| feature.name == name).count() > 1 {
            let message = format!("expected a name of its own, found a second `{name}`");
            let tip = "steps and findings call features by name; drop the other, or rename this";
            table.fault_at("name", message, tip);
        }
    }
}
