//! The least charger: worked by hand, held against every choice of tiny bags, and its
//! frontier built as real chargers.

mod built;
mod by_hand;
mod exhaustive;

use crate::model::rounding::micro;
use serde_json::{Value, json};
use wattberth::{Bag, Sizing, size};

fn bag(json: &str) -> Bag {
    Bag::from_json(json).unwrap_or_else(|error| panic!("a bag is refused: {error}\n{json}"))
}

fn sized(json: &str, by_h: Option<f64>) -> Sizing {
    size(&bag(json), by_h).unwrap_or_else(|error| panic!("no size: {error}\n{json}"))
}

/// The setup with its counts expanded, without a session, without pins onto ports, on
/// one charger; with a cable of 240 W for each device where it has none.
fn on(json: &str, charger: &Value) -> Value {
    let mut setup: Value = serde_json::from_str(json).expect("the generator writes JSON");
    let top = setup.as_object_mut().expect("a setup is an object");
    top.remove("session_h");
    top.insert("chargers".to_owned(), json!([charger]));
    let mut devices = Vec::new();
    for device in top["devices"].as_array().expect("devices") {
        let count = device.get("count").and_then(Value::as_u64).unwrap_or(1);
        for number in 1..=count {
            let mut one = device.clone();
            let fields = one.as_object_mut().expect("a device is an object");
            fields.remove("count");
            fields.remove("port");
            if count > 1 {
                let name = fields["name"].as_str().expect("a name");
                let name = format!("{name} {number}");
                fields.insert("name".to_owned(), name.into());
            }
            devices.push(one);
        }
    }
    let number = |of: &Value| of["reach_m"].as_f64().unwrap_or(0.0);
    let farthest_m = devices.iter().map(number).fold(0.0, f64::max);
    if top["cables"].as_array().is_none_or(Vec::is_empty) {
        top["cables"] = json!([{
            "name": "of our own", "watts": 240, "count": devices.len(), "length_m": farthest_m,
        }]);
    }
    top.insert("devices".to_owned(), devices.into());
    setup
}

/// The powers that ports are sold with.
const SOLD_W: [f64; 9] = [15.0, 20.0, 30.0, 45.0, 65.0, 100.0, 140.0, 180.0, 240.0];

/// With another aim, and without a tolerance.
fn aimed(json: &str, aim: &str) -> String {
    let mut setup: Value = serde_json::from_str(json).expect("the generator writes JSON");
    setup["aim"] = json!(aim);
    setup["tolerance_h"] = json!(0);
    setup.to_string()
}

/// The longest time and the watts of each point of the frontier, in whole millionths.
fn points(sizing: &Sizing) -> Vec<(i64, i64)> {
    let points = sizing.frontier.iter();
    points
        .map(|point| (micro(point.longest_h), micro(point.total_w)))
        .collect()
}
