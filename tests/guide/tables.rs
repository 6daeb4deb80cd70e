//! Tables that follow from the program: between `<!-- fields Device -->` and `<!-- end -->`
//! stand the fields of a device.

use std::collections::BTreeMap;

use serde_json::Value;
use wattberth::facts::Kind;
use wattberth::setup_schema;

use crate::{Page, faults};

/// The page with its tables as they are now.
pub(crate) fn filled(page: &Page) -> String {
    let mut fresh = String::with_capacity(page.text.len());
    let mut inside = false;
    for line in page.text.lines() {
        inside &= line != "<!-- end -->";
        if !inside {
            fresh.push_str(line);
            fresh.push('\n');
        }
        let mark = line.strip_prefix("<!-- ");
        let Some(mark) = mark.and_then(|mark| mark.strip_suffix(" -->")) else {
            continue;
        };
        let table = match mark.split_once(' ') {
            Some(("fields", of)) => fields(of),
            None if mark == "kinds" => kinds(),
            None if mark == "ranges" => ranges(),
            _ => continue,
        };
        inside = true;
        fresh.push_str(&table);
    }
    assert!(!inside, "{}: a table has no end", page.path.display());
    fresh
}

/// Each field of an object of the setup document.
fn fields(of: &str) -> String {
    let schema = setup_schema();
    let object = if of == "SetupDocument" {
        &schema
    } else {
        &schema["$defs"][of]
    };
    let properties = object["properties"].as_object();
    let properties = properties.unwrap_or_else(|| panic!("no object {of} in the schema"));
    let needed = |name: &str| {
        // A setup needs most of what it needs only where it is no route.
        let mut needed = [&object["required"], &object["else"]["required"]].into_iter();
        needed.any(|all| {
            all.as_array()
                .is_some_and(|all| all.iter().any(|one| one == name))
        })
    };
    // What must be there comes first.
    let (first, then): (Vec<_>, Vec<_>) = properties.iter().partition(|(name, _)| needed(name));
    let rows = first.into_iter().chain(then).map(|(name, property)| {
        let form = form(property, &schema, false);
        let needed = if needed(name) { ", needed" } else { "" };
        vec![format!("`{name}`"), form + needed, said(property, &schema)]
    });
    table(&["Field", "Form", "What it is"], rows)
}

/// A table with its head.
fn table(head: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    let head: Vec<String> = head.iter().map(ToString::to_string).collect();
    let rule = format!("|{}\n", "---|".repeat(head.len()));
    let rows: String = rows.map(|cells| line(&cells)).collect();
    line(&head) + &rule + &rows
}

/// In what form a value is written: one of them, or several in a list.
fn form(property: &Value, schema: &Value, several: bool) -> String {
    if let Some(name) = property["$ref"].as_str() {
        let name = name.rsplit('/').next().unwrap_or_default();
        return referred(name, &schema["$defs"][name], several);
    }
    let (one, more) = match property["type"].as_str() {
        Some("integer") => ("whole number", "whole numbers"),
        Some("boolean") => ("`true`, `false`", ""),
        Some("string") => ("text", "texts"),
        Some("number") => ("number", "numbers"),
        Some("array") if property["prefixItems"].is_array() => ("pair of numbers", "pairs"),
        Some("array") => return format!("list of {}", form(&property["items"], schema, true)),
        _ => ("text or number", ""),
    };
    if several { more } else { one }.to_owned()
}

/// The form of a type with a name.
fn referred(name: &str, of: &Value, several: bool) -> String {
    match name {
        "Span" => return "number, or `[low, high]`".to_owned(),
        "Label" => return "text, or list of texts".to_owned(),
        "PoolPorts" => return "`\"all\"`, or list of texts".to_owned(),
        "Combination" => return "`{\"C1\": 45, …}`".to_owned(),
        _ => {}
    }
    let words: Vec<String> = words(of).map(|(word, _)| format!("`\"{word}\"`")).collect();
    if !words.is_empty() {
        return words.join(", ");
    }
    let name = name.trim_end_matches("Document").to_lowercase();
    let objects = if several { "objects" } else { "object" };
    format!("{objects} ({name})")
}

/// The words that a value may be, each with what it means.
fn words(of: &Value) -> impl Iterator<Item = (&str, &str)> {
    let words = of["oneOf"].as_array().into_iter().flatten();
    words.filter_map(|word| Some((word["const"].as_str()?, word["description"].as_str()?)))
}

/// What is said of a field, and of each word that it may be.
fn said(property: &Value, schema: &Value) -> String {
    let mut said = property["description"]
        .as_str()
        .unwrap_or_default()
        .to_owned();
    let of = property["$ref"].as_str().unwrap_or_default();
    let of = of.rsplit('/').next().unwrap_or_default();
    for (word, means) in words(&schema["$defs"][of]) {
        let mut means = means.chars();
        said.extend([" `", word, "`: "]);
        said.extend(means.next().into_iter().flat_map(char::to_lowercase));
        said.push_str(means.as_str());
    }
    said.replace('\n', " ")
}

fn kinds() -> String {
    let head = [
        "Kind",
        "Also",
        "Inlet",
        "Usual",
        "Battery: low, usual, high",
        "Cells",
        "Surely",
    ];
    let rows = Kind::all().iter().map(|kind| {
        let others = kind.other_names.iter();
        let others: Vec<String> = others.map(|name| format!("`{name}`")).collect();
        let (low, usual, high) = (kind.low_wh, kind.typical_wh, kind.high_wh);
        vec![
            format!("`{}`", kind.name),
            others.join(", "),
            format!("`{}`", kind.inlet),
            format!("{} W", kind.typical_w),
            format!("{low}, {usual}, {high} Wh"),
            format!("{} V", kind.cell_v),
            kind.surely_w.map(|w| format!("{w} W")).unwrap_or_default(),
        ]
    });
    table(&head, rows)
}

/// The ranges as they are named where a fixture leaves them.
fn ranges() -> String {
    let mut rows: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for fault in faults::all() {
        let Some((what, range)) = fault.message.split_once(" must be ") else {
            continue;
        };
        let Some((range, _)) = range.split_once(", not ") else {
            continue;
        };
        if !range.starts_with("above ") && !range.starts_with("from ") {
            continue;
        }
        let of = rows.entry((what.to_owned(), range.to_owned())).or_default();
        let field = format!("`{}`", fault.field);
        if !fault.field.is_empty() && !of.contains(&field) {
            of.push(field);
            of.sort();
        }
    }
    let rows = rows
        .into_iter()
        .map(|((what, range), fields)| vec![what, fields.join(", "), range]);
    table(&["What", "Fields", "Range"], rows)
}
