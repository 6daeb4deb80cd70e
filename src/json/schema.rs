//! JSON Schemas of the documents.

use schemars::JsonSchema;
use serde_json::Value;

use crate::improve::Improvements;
use crate::plan::Plan;
use crate::proof::Proof;
use crate::rank::Ranking;
use crate::rota::Rota;
use crate::score::Score;
use crate::setup::document::SetupDocument;
use crate::size::Sizing;
use crate::timeline::Timeline;
use crate::trip::Trip;

/// The JSON Schema (2020-12) of a setup document.
///
/// What it accepts has the right fields with the right types; ranges, names and
/// references are checked by [`Setup::from_json`](crate::Setup::from_json).
pub fn setup_schema() -> Value {
    schema_of::<SetupDocument>()
}

/// The JSON Schema (2020-12) of a plan document.
pub fn plan_schema() -> Value {
    schema_of::<Plan>()
}

/// The JSON Schema (2020-12) of a proof.
pub fn proof_schema() -> Value {
    schema_of::<Proof>()
}

/// The JSON Schema (2020-12) of the document that [`score`](crate::score()) gives.
pub fn score_schema() -> Value {
    schema_of::<Score>()
}

/// The JSON Schema (2020-12) of the document that [`improve`](crate::improve()) gives.
pub fn improve_schema() -> Value {
    schema_of::<Improvements>()
}

/// The JSON Schema (2020-12) of the document that [`size`](crate::size()) gives.
pub fn size_schema() -> Value {
    schema_of::<Sizing>()
}

/// The JSON Schema (2020-12) of the document that [`rank`](crate::rank()) gives.
pub fn rank_schema() -> Value {
    schema_of::<Ranking>()
}

/// The JSON Schema (2020-12) of a rota document.
pub fn rota_schema() -> Value {
    schema_of::<Rota>()
}

/// The JSON Schema (2020-12) of the document that [`timeline`](crate::timeline()) gives.
pub fn timeline_schema() -> Value {
    schema_of::<Timeline>()
}

/// The JSON Schema (2020-12) of the document that [`trip`](crate::trip()) gives.
pub fn trip_schema() -> Value {
    schema_of::<Trip>()
}

fn schema_of<T: JsonSchema>() -> Value {
    let mut schema = schemars::schema_for!(T).to_value();
    without_null(&mut schema);
    schema
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
mod tests {
    use super::super::document::{
        CABLE_FIELDS, CHARGER_FIELDS, DEVICE_FIELDS, POOL_FIELDS, PORT_FIELDS, SESSION_FIELDS,
        SETUP_FIELDS,
    };
    use super::super::{plan, rota, trip};
    use super::*;

    fn fields_of(schema: &Value) -> Vec<String> {
        let fields = schema["properties"]
            .as_object()
            .expect("an object's schema");
        fields.keys().cloned().collect()
    }

    fn sorted(names: &[&str]) -> Vec<String> {
        let mut names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
        names.sort();
        names
    }

    #[test]
    fn the_reader_knows_the_fields_of_the_schema() {
        let schema = setup_schema();
        assert_eq!(fields_of(&schema), sorted(&SETUP_FIELDS));
        for (name, fields) in [
            ("Session", &SESSION_FIELDS[..]),
            ("Charger", &CHARGER_FIELDS),
            ("Port", &PORT_FIELDS),
            ("Pool", &POOL_FIELDS),
            ("Cable", &CABLE_FIELDS),
            ("Device", &DEVICE_FIELDS),
            ("TripDocument", &trip::TRIP_FIELDS),
            ("Stop", &trip::STOP_FIELDS),
            ("Adapter", &trip::ADAPTER_FIELDS),
            ("Appliance", &trip::APPLIANCE_FIELDS),
            ("Converter", &trip::CONVERTER_FIELDS),
            ("Battery", &trip::BATTERY_FIELDS),
        ] {
            let part = &schema["$defs"][name];
            assert_eq!(fields_of(part), sorted(fields), "{name}");
            assert_eq!(part["additionalProperties"], Value::Bool(false), "{name}");
        }
        let schema = plan_schema();
        assert_eq!(fields_of(&schema), sorted(&plan::PLAN_FIELDS));
        for (name, fields) in [
            ("Berth", &plan::BERTH_FIELDS[..]),
            ("WithoutBerth", &plan::WITHOUT_FIELDS),
            ("PoolUse", &plan::POOL_FIELDS),
        ] {
            assert_eq!(fields_of(&schema["$defs"][name]), sorted(fields), "{name}");
        }
        let schema = rota_schema();
        let with = |plan: &[&'static str], rota: &[&'static str]| sorted(&[plan, rota].concat());
        assert_eq!(
            fields_of(&schema),
            with(&plan::PLAN_FIELDS, &rota::ROTA_FIELDS)
        );
        for (name, of_plan, of_rota) in [
            (
                "RotaBerth",
                &plan::BERTH_FIELDS[..],
                &rota::BERTH_FIELDS[..],
            ),
            ("RotaPoolUse", &plan::POOL_FIELDS, &rota::POOL_FIELDS),
            ("RotaSession", &[], &rota::SESSION_FIELDS),
        ] {
            let fields = fields_of(&schema["$defs"][name]);
            assert_eq!(fields, with(of_plan, of_rota), "{name}");
        }
    }

    #[test]
    fn no_schema_takes_null() {
        for schema in [
            setup_schema(),
            plan_schema(),
            proof_schema(),
            score_schema(),
            improve_schema(),
            size_schema(),
            rank_schema(),
            rota_schema(),
            timeline_schema(),
            trip_schema(),
        ] {
            assert!(!schema.to_string().contains("\"null\""), "{schema:#}");
        }
    }
}
