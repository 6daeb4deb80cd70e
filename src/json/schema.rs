//! JSON Schemas of the documents.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Value, json};

use super::reader::SCHEMA;
use crate::setup::document::SetupDocument;

/// The JSON Schema (2020-12) of a setup document.
///
/// What it accepts has the right fields with the right types; ranges, names and
/// references are checked by [`Setup::from_json`](crate::Setup::from_json).
pub fn setup_schema() -> Value {
    schema_read::<SetupDocument>("setup_schema", "setup document")
}

/// The schema of a document that is only written: what gives it, `size_schema`, and what
/// people call it.
///
/// It is known by a URN (RFC 8141), so that nobody looks for it on any host; the number at
/// its end is the version of the document's form.
pub(crate) fn schema_of<T: JsonSchema>(function: &str, what: &str) -> Value {
    let mut schema = schemars::schema_for!(T).to_value();
    without_null(&mut schema);
    without_links(&mut schema);
    let name = function.trim_end_matches("_schema").replace('_', "-");
    schema["$id"] = format!("urn:wattberth:schema:{name}:1").into();
    schema["title"] = format!("Wattberth: {what}").into();
    schema
}

/// The same of a document that is read back, at whose top its schema may be named.
pub(crate) fn schema_read<T: JsonSchema>(function: &str, what: &str) -> Value {
    let mut schema = schema_of::<T>(function, what);
    schema["properties"][SCHEMA] = json!({
        "description": "The schema of this document, for editors; nothing is read from it.",
        "type": "string",
    });
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
