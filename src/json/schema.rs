//! JSON Schemas of the documents.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Value, json};

use super::reader::SCHEMA;
use crate::setup::candidate::Candidate;
use crate::setup::document::{Charger, SetupDocument};

/// The JSON Schema (2020-12) of a setup document.
///
/// What it accepts has the right fields, with values in their ranges. What names refer to,
/// what counts come to and what labels say is known to
/// [`Setup::from_json`](crate::Setup::from_json) alone.
pub fn setup_schema() -> Value {
    schema_of::<SetupDocument>("setup_schema", "setup document")
}

/// The JSON Schema (2020-12) of a bag: a setup document that may lack chargers.
pub fn bag_schema() -> Value {
    let mut schema = schema_of::<SetupDocument>("bag_schema", "bag, a setup without chargers");
    if let Some(fields) = schema.as_object_mut() {
        for word in ["if", "else"] {
            fields.remove(word);
        }
    }
    schema["required"] = json!(["devices"]);
    schema["properties"]["devices"]["minItems"] = 1.into();
    schema
}

/// The JSON Schema (2020-12) of a candidate: a charger, or several with a name and a price of
/// their own, or a setup of which only the chargers are taken.
pub fn candidate_schema() -> Value {
    let titled = |what: &str| format!("candidate, {what}");
    let mut setup = schema_of::<SetupDocument>("candidate_schema", &titled("a whole setup"));
    let mut set = schema_of::<Candidate>("candidate_schema", &titled("a set of chargers"));
    let mut charger = schema_of::<Charger>("candidate_schema", &titled("a charger"));
    for alone in [&mut set, &mut charger] {
        alone["properties"]["version"] = setup["properties"]["version"].clone();
    }
    charger["properties"]["count"] = false.into();
    let mut parts = serde_json::Map::new();
    for one in [&mut setup, &mut set, &mut charger] {
        if let Some(one) = one.as_object_mut() {
            for word in ["$schema", "$id"] {
                one.remove(word);
            }
            if let Some(Value::Object(own)) = one.remove("$defs") {
                parts.extend(own);
            }
        }
    }
    let schema = json!({
        "$defs": parts,
        "type": "object",
        "if": {"required": ["devices"]},
        "then": setup,
        "else": {"if": {"required": ["chargers"]}, "then": set, "else": charger},
    });
    schema_by_hand("candidate_schema", "candidate charger or chargers", schema)
}

/// The schema of a document, at whose top it may be named: what gives it, `size_schema`, and
/// what people call it.
///
/// It is known by a URN (RFC 8141), so that nobody looks for it on any host; the number at
/// its end is the version of the document's form.
pub(crate) fn schema_of<T: JsonSchema>(function: &str, what: &str) -> Value {
    let mut schema = schemars::schema_for!(T).to_value();
    without_null(&mut schema);
    without_links(&mut schema);
    schema["$id"] = id(function).into();
    schema["title"] = title(what).into();
    schema["properties"][SCHEMA] = schema_field();
    schema
}

fn schema_field() -> Value {
    json!({
        "description": "The schema of this document, for editors; nothing is read from it.",
        "type": "string",
    })
}

fn id(function: &str) -> String {
    let name = function.trim_end_matches("_schema").replace('_', "-");
    format!("urn:wattberth:schema:{name}:1")
}

fn title(what: &str) -> String {
    format!("Wattberth: {what}")
}

/// A schema that is put together by hand, with its name.
pub(crate) fn schema_by_hand(function: &str, what: &str, mut schema: Value) -> Value {
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema".into();
    schema["$id"] = id(function).into();
    schema["title"] = title(what).into();
    schema["properties"][SCHEMA] = schema_field();
    schema
}

/// Hours, or null where that is never: JSON has no number for it.
pub(crate) fn hours_or_never(_: &mut SchemaGenerator) -> Schema {
    json_schema!({"anyOf": [{"type": "number"}, {"const": null}]})
}

/// A list of them.
pub(crate) fn list_of_hours_or_never(generator: &mut SchemaGenerator) -> Schema {
    json_schema!({"type": "array", "items": hours_or_never(generator)})
}

/// Who reads a schema has no library at hand: a link to an item, `[text](crate::item)`,
/// leaves its text.
fn without_links(schema: &mut Value) {
    match schema {
        Value::String(text) => {
            while let Some(target) = text.find("](crate::") {
                // A call has brackets of its own: `](crate::trip())`.
                let link = text[target..].replace("()", "..");
                let end = link.find(')').map(|at| target + at + 1);
                let (Some(start), Some(end)) = (text[..target].rfind('['), end) else {
                    break;
                };
                text.replace_range(target..end, "");
                text.remove(start);
            }
        }
        Value::Array(list) => list.iter_mut().for_each(without_links),
        Value::Object(fields) => fields.values_mut().for_each(without_links),
        _ => {}
    }
}

/// A field without a value is left out: takes `null` out of every type.
fn without_null(schema: &mut Value) {
    match schema {
        Value::Array(list) => list.iter_mut().for_each(without_null),
        Value::Object(fields) => {
            if let Some(Value::Array(types)) = fields.get_mut("type") {
                types.retain(|name| name != "null");
                if let [one] = types.as_slice() {
                    let one = one.clone();
                    fields.insert("type".to_owned(), one);
                }
            }
            if let Some(Value::Array(choices)) = fields.get_mut("anyOf") {
                choices.retain(|choice| choice.get("type") != Some(&Value::from("null")));
                if let [Value::Object(one)] = choices.as_slice() {
                    let one = one.clone();
                    fields.remove("anyOf");
                    for (key, value) in one {
                        fields.entry(key).or_insert(value);
                    }
                }
            }
            fields.values_mut().for_each(without_null);
        }
        _ => {}
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::json::fields::Part;
    use crate::setup::document::{
        Adapter, Appliance, Battery, Cable, Charger, Converter, Device, Pool, Port, Session, Shop,
        Stop, TripDocument,
    };

    pub(crate) fn fields_of(schema: &Value) -> Vec<String> {
        let fields = schema["properties"]
            .as_object()
            .expect("an object's schema");
        fields.keys().cloned().collect()
    }

    /// The same of a whole document, without the name of its schema.
    pub(crate) fn top_fields_of(schema: &Value) -> Vec<String> {
        let mut fields = fields_of(schema);
        fields.retain(|field| field != SCHEMA);
        fields
    }

    pub(crate) fn sorted(names: &[&str]) -> Vec<String> {
        let mut names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn the_reader_knows_the_fields_of_the_schema() {
        let schema = setup_schema();
        assert_eq!(top_fields_of(&schema), sorted(SetupDocument::FIELDS));
        for (name, fields) in [
            ("Session", Session::FIELDS),
            ("Charger", Charger::FIELDS),
            ("Port", Port::FIELDS),
            ("Pool", Pool::FIELDS),
            ("Cable", Cable::FIELDS),
            ("Device", Device::FIELDS),
            ("Shop", Shop::FIELDS),
            ("TripDocument", TripDocument::FIELDS),
            ("Stop", Stop::FIELDS),
            ("Adapter", Adapter::FIELDS),
            ("Appliance", Appliance::FIELDS),
            ("Converter", Converter::FIELDS),
            ("Battery", Battery::FIELDS),
        ] {
            let part = &schema["$defs"][name];
            assert_eq!(fields_of(part), sorted(fields), "{name}");
            assert_eq!(part["additionalProperties"], Value::Bool(false), "{name}");
        }
    }
}
