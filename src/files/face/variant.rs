//! `[[variant]]`: features of the face changed, dropped and added.

use toml::Spanned;

use super::super::list::{List, refuse_second_name, tables};
use super::super::table::Table;
use super::super::value::{Kind, Label, Name, nearest};
use super::change::{Changed, change};
use super::{MOST_FEATURES, Paper};
use crate::face::{Feature, Variant};

/// Most variants of a face.
const MOST_VARIANTS: usize = 30;

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
        too_many: "make a second face of the others",
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
        too_many: "a face is some stitches wide; leave out detail",
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
