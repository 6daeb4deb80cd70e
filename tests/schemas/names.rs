//! Every number of every document carries its unit as a suffix of its name, unless the name
//! is the unit's own word.

use std::collections::BTreeMap;

use serde_json::Value;

use super::schemas;

const UNITS: [&str; 11] = [
    "_w", "_wh", "_h", "_pct", "_a", "_v", "_m", "_g", "_min", "_mah", "_hz",
];

/// The quantity itself, and numbers that have no unit: counts are whole, and not among these.
const WHOLE: [&str; 9] = [
    "hours",
    "watts",
    "volts",
    "amps",
    "ohm",
    "awg",
    "efficiency",
    "price",
    "labels_factor",
];

/// In the unit that another field of the same object says.
const TOLD_BESIDE: [(&str, &str); 5] = [
    ("value", "of `field`, or of `level`"),
    ("low", "of `field`"),
    ("high", "of `field`"),
    ("bound", "of `level`, or of `by`"),
    (
        "there_is",
        "pairs of volts and amps, as `volts` and `amps` beside it",
    ),
];

/// Whether a field holds numbers that need not be whole.
fn is_number(schema: &Value, root: &Value) -> bool {
    let any = |word: &str| {
        let parts = schema[word].as_array();
        parts.is_some_and(|parts| parts.iter().any(|part| is_number(part, root)))
    };
    let meant = schema["$ref"]
        .as_str()
        .and_then(|path| path.strip_prefix("#/$defs/"));
    let meant = meant.map(|name| &root["$defs"][name]);
    schema["type"] == "number"
        || any("anyOf")
        || any("prefixItems")
        || schema
            .get("items")
            .is_some_and(|items| is_number(items, root))
        || meant.is_some_and(|meant| meant.get("properties").is_none() && is_number(meant, root))
}

fn walk<'v>(schema: &'v Value, root: &'v Value, found: &mut BTreeMap<&'v str, usize>) {
    if let Some(fields) = schema["properties"].as_object() {
        for (name, field) in fields {
            if is_number(field, root) {
                *found.entry(name.as_str()).or_default() += 1;
            }
        }
    }
    match schema {
        Value::Object(parts) => parts.values().for_each(|part| walk(part, root, found)),
        Value::Array(parts) => parts.iter().for_each(|part| walk(part, root, found)),
        _ => {}
    }
}

#[test]
fn every_number_says_its_unit() {
    let all = schemas();
    let mut found = BTreeMap::new();
    for (_, schema) in &all {
        walk(schema, schema, &mut found);
    }
    assert!(found.len() > 60, "{found:?}");
    for name in found.keys() {
        let told = UNITS.iter().any(|unit| name.ends_with(unit))
            || WHOLE.contains(name)
            || TOLD_BESIDE.iter().any(|(known, _)| known == name);
        assert!(told, "`{name}` does not say its unit");
    }
    for name in WHOLE.iter().chain(TOLD_BESIDE.iter().map(|(name, _)| name)) {
        assert!(found.contains_key(name), "no schema has a `{name}`");
    }
}
