//! Tables that repeat: `[[feature]]`, `[[variant.change]]`, `[[size]]`.

use toml::de::DeValue;

use super::table::Table;
use super::value::{Kind, Name, found};

/// Tables that stand under one key, each begun with its name in two brackets.
#[derive(Debug)]
pub(super) struct List {
    pub(super) key: &'static str,
    pub(super) layout: &'static str,
    /// The key by whose value messages call the table.
    pub(super) called_by: &'static str,
    pub(super) most: usize,
    /// What to do about more.
    pub(super) too_many: &'static str,
}

/// The tables of a list, none where there are none.
pub(super) fn tables<'s, 't>(parent: &Table<'s, 't>, list: &List) -> Vec<Table<'s, 't>> {
    let Some(value) = parent.value(list.key).map(|value| value.get_ref()) else {
        return Vec::new();
    };
    let (key, layout) = (list.key, list.layout);
    let refuse = |value: &DeValue<'_>| {
        let message = format!("expected tables, found {}", found(value));
        let tip = format!("each begins with `[{layout}]`, two brackets");
        parent.fault_at(key, message, tip);
    };
    let Some(values) = value.as_array() else {
        refuse(value);
        return Vec::new();
    };
    if values.len() > list.most {
        let message = format!("expected at most {}, found {}", list.most, values.len());
        parent.fault_at(key, message, list.too_many);
        return Vec::new();
    }
    let mut tables = Vec::new();
    for (index, value) in values.iter().enumerate() {
        let name = value.get_ref().get(list.called_by);
        let name = name.and_then(|name| Name.read(name.get_ref()).ok());
        let called = name.unwrap_or_else(|| format!("{key} {}", index + 1));
        let table = parent.inner(value, layout, &called);
        if table.is_none() {
            refuse(value.get_ref());
        }
        tables.extend(table);
    }
    tables
}

/// Refuses a `name` that an earlier table of the list has.
pub(super) fn refuse_second_name(table: &Table<'_, '_>, earlier: &[Table<'_, '_>], tip: &str) {
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
        table.fault_at("name", message, tip);
    }
}
