//! What a schema says of a setup document beside types, ranges and sizes: what stands for
//! what, what excludes what, and what is to be written how.

use schemars::Schema;
use schemars::transform::Transform;
use serde_json::{Value, json};

use crate::facts::{Kind, USB_5_V};
pub(crate) use crate::limits::schema::points;
use crate::setup::cable::PRINTED_WATTS;
use crate::setup::charger::TOTAL;
use crate::usb::Connector;
use crate::usb::label::USB_MAX_A;

/// Any plug but those of USB.
const OTHER: &str = "^other:";

fn put(schema: &mut Schema, word: &str, value: Value) {
    schema.insert(word.to_owned(), value);
}

/// At least one.
pub(crate) fn some(schema: &mut Schema) {
    put(schema, "minItems", 1.into());
}

/// None twice.
pub(crate) fn each_once(schema: &mut Schema) {
    put(schema, "uniqueItems", true.into());
}

/// From 00:00 to 23:59; the hour may have one digit.
pub(crate) fn time_of_day(schema: &mut Schema) {
    put(schema, "pattern", "^([01]?[0-9]|2[0-3]):[0-5][0-9]$".into());
}

/// Two letters (ISO 3166-1 alpha-2).
pub(crate) fn country(schema: &mut Schema) {
    put(schema, "pattern", "^[A-Za-z]{2}$".into());
}

pub(crate) fn connector(schema: &mut Schema) {
    let mut name = crate::limits::NAME_CHARS;
    name.transform(schema);
    let usb = Connector::USB_NAMES.join("|");
    let name = r"[^\u0000-\u001F\u007F-\u009F]*";
    let seen = r"[^\s\u0000-\u001F\u007F-\u009F]";
    put(
        schema,
        "pattern",
        format!("^({usb}|other:{name}{seen}{name})$").into(),
    );
}

/// As printed on cables.
pub(crate) fn cable_watts(schema: &mut Schema) {
    let watts: Vec<Value> = PRINTED_WATTS
        .iter()
        .copied()
        .map(crate::limits::schema::number)
        .collect();
    put(schema, "enum", watts.into());
}

/// The kinds that there are, by all of their names.
pub(crate) fn kind(schema: &mut Schema) {
    let names: Vec<&str> = Kind::names().collect();
    put(schema, "enum", names.into());
}

fn has(field: &str) -> Value {
    json!({"required": [field]})
}

fn has_some(list: &str) -> Value {
    json!({"required": [list], "properties": {list: {"minItems": 1}}})
}

/// A setup needs devices and chargers, unless it is a route; with a shop it may have none of
/// its own.
pub(crate) fn setup(schema: &mut Schema) {
    schema.remove("required");
    let no_sessions = json!({"items": {"properties": {"sessions": false}}});
    let sessions = json!({
        "if": has_some("sessions"),
        "else": {"properties": {"devices": no_sessions}},
    });
    put(schema, "allOf", json!([without_counts(), sessions]));
    let stops = json!({"required": ["stops"], "properties": {"stops": {"minItems": 1}}});
    put(
        schema,
        "if",
        json!({"required": ["trip"], "properties": {"trip": stops}}),
    );
    put(
        schema,
        "else",
        json!({
            "required": ["chargers", "devices"],
            "properties": {"devices": {"minItems": 1}},
            "anyOf": [{"properties": {"chargers": {"minItems": 1}}}, has("shop")],
        }),
    );
}

/// Chargers outside of a shop have no count.
pub(crate) fn only_a_shop_counts(schema: &mut Schema) {
    put(schema, "allOf", json!([without_counts()]));
}

fn without_counts() -> Value {
    let charger = json!({"items": {"properties": {"count": false}}});
    json!({"properties": {"chargers": charger}})
}

/// Of what is for sale.
pub(crate) fn shop(schema: &mut Schema) {
    let worth = json!({"items": {"required": ["weight_g", "price"]}});
    let lists = ["chargers", "cables", "adapters", "converters"];
    let lists: serde_json::Map<String, Value> = lists
        .iter()
        .map(|list| ((*list).to_owned(), worth.clone()))
        .collect();
    put(schema, "allOf", json!([{"properties": lists}]));
}

pub(crate) fn charger(schema: &mut Schema) {
    put(schema, "anyOf", json!([has_some("ports"), has("label")]));
    let none = json!({"maxItems": 0});
    let total = json!({"items": {"properties": {"name": {"not": {"const": TOTAL}}}}});
    put(
        schema,
        "dependentSchemas",
        json!({
            "label": {"properties": {"ports": none, "combinations": none}},
            "max_w": {"properties": {"pools": total}},
        }),
    );
}

pub(crate) fn port(schema: &mut Schema) {
    put(schema, "anyOf", json!([has("pd_w"), has("offers")]));
    put(
        schema,
        "if",
        json!({"required": ["connector"], "properties": {"connector": {"pattern": OTHER}}}),
    );
    let lead = json!({"properties": {"max_a": {"maximum": USB_MAX_A}}});
    put(schema, "else", json!({"properties": {"lead": lead}}));
}

/// Printed watts stand for all of these.
fn by_watts(schema: &mut Schema) {
    let others = json!({"max_a": false, "max_v": false, "e_marked": false});
    put(
        schema,
        "dependentSchemas",
        json!({"watts": {"properties": others}}),
    );
}

/// A plug of USB carries so much; where it is not said, it is one.
fn without_usb(schema: &mut Schema, ends: &[&str]) {
    let other: serde_json::Map<String, Value> = ends
        .iter()
        .map(|end| ((*end).to_owned(), json!({"pattern": OTHER})))
        .collect();
    put(schema, "if", json!({"required": ends, "properties": other}));
    put(
        schema,
        "else",
        json!({"properties": {"max_a": {"maximum": USB_MAX_A}}}),
    );
}

pub(crate) fn cable(schema: &mut Schema) {
    by_watts(schema);
    without_usb(schema, &["from", "to"]);
}

pub(crate) fn lead(schema: &mut Schema) {
    by_watts(schema);
    without_usb(schema, &["to"]);
}

pub(crate) fn device(schema: &mut Schema) {
    put(
        schema,
        "allOf",
        json!([
            {"anyOf": [has("accepts"), has("pd_w"), has("kind")]},
            {"anyOf": [has("battery_wh"), has("battery_mah"), has("kind")]},
        ]),
    );
    put(
        schema,
        "dependentSchemas",
        json!({"battery_wh": {"properties": {"battery_mah": false}}}),
    );
}

pub(crate) fn adapter(schema: &mut Schema) {
    put(
        schema,
        "anyOf",
        json!([has_some("takes"), has_some("ports")]),
    );
    charger_of_adapter(schema);
}

/// Its USB ports are those of a charger.
fn charger_of_adapter(schema: &mut Schema) {
    let total = json!({"items": {"properties": {"name": {"not": {"const": TOTAL}}}}});
    let with_ports = json!({"if": has_some("ports"), "then": {"properties": {"pools": total}}});
    put(schema, "dependentSchemas", json!({"max_w": with_ports}));
}

pub(crate) fn battery(schema: &mut Schema) {
    let (low, high) = USB_5_V;
    let output = json!({"minimum": low, "maximum": high});
    put(
        schema,
        "allOf",
        json!([{"properties": {"battery_v": {"not": output}}}]),
    );
    put(
        schema,
        "dependentSchemas",
        json!({
            "battery_wh": {"properties": {"battery_mah": false}},
            "lithium_g": {"properties": {"battery_wh": false, "battery_mah": false}},
        }),
    );
}
