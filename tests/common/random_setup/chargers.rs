//! Random chargers: ports of a few real kinds, then the limits that they share.

use serde_json::{Map, Value, json};

use super::limits::{combinations, pools};
use super::rng::Rng;
use super::{Flavour, maybe};

/// A charger with the given number of ports.
pub(super) fn charger(rng: &mut Rng, name: &str, ports: usize, flavour: Flavour) -> Value {
    let mut made: Vec<Map<String, Value>> = Vec::new();
    for i in 0..ports {
        let mut port = match made.last() {
            Some(last) if flavour.alike && rng.chance(70) => last.clone(),
            _ => port(rng, flavour),
        };
        port.insert("name".to_owned(), json!(format!("{}{}", &name[..1], i + 1)));
        made.push(port);
    }
    let names: Vec<String> = made.iter().map(|p| text(p, "name")).collect();
    let caps: Vec<f64> = made.iter().map(cap_w).collect();

    let mut charger = Map::new();
    charger.insert("name".to_owned(), json!(name));
    charger.insert("ports".to_owned(), json!(made));
    let tables_and_pools = rng.weighted(&[
        (2, (false, false)),
        (4, (true, false)),
        (4, (false, true)),
        (2, (true, true)),
    ]);
    if tables_and_pools.0 {
        pools(rng, &mut charger, &names, &caps);
    }
    if tables_and_pools.1 && ports > 1 {
        charger.insert("combinations".to_owned(), combinations(rng, &names, &caps));
    }
    maybe(
        rng,
        35,
        &mut charger,
        "reserve",
        &["offer", "contract", "contract"],
    );
    if rng.chance(20) {
        let steps: [&[f64]; 3] = [
            &[10.0, 18.0, 33.0, 60.0, 110.0],
            &[15.0, 30.0, 45.0],
            &[12.5, 27.5, 46.0, 61.0],
        ];
        charger.insert("tiers_w".to_owned(), json!(rng.pick(&steps)));
    }
    Value::Object(charger)
}

/// One port; the caller names it.
fn port(rng: &mut Rng, flavour: Flavour) -> Map<String, Value> {
    let usb_a = if flavour.extended { 1 } else { 3 };
    let barrel = if flavour.barrel { 6 } else { 0 };
    let extended = if flavour.extended { 8 } else { 0 };
    let port = match rng.weighted(&[(6, 0), (4, 1), (usb_a, 2), (barrel, 3), (extended, 4)]) {
        0 => json!({"pd_w": rng.pick(&[15.0, 18.0, 20.0, 30.0, 45.0, 60.0, 65.0, 100.0])}),
        1 => json!({"offers": rng.pick(&[
            "5V 3A, 9V 2.22A",
            "5V 3A, 9V 2.22A, PPS 3.3-11V 2A",
            "5V 3A, 9V 3A, 15V 2A, PPS 3.3-11V 3A 30W",
            "5V 3A, 9V 3A, 12V 2.5A, 15V 3A, 20V 2.25A, PPS 5-16V 3A",
            "5V 3A, 9V 3A, 15V 3A, 20V 3.25A, PPS 3.3-21V 3.25A",
            "5V 3A, 9V 3A, 15V 3A, 20V 3A, AVS 9-20V 3A",
            "5V 3A, 12V 3A",
            "5V 1.5A",
        ])}),
        2 => json!({"connector": "usb-a", "offers": rng.pick(&[
            "5V 2.4A", "5V 1A", "5V 3A, 9V 2A, 12V 1.5A", "5V 2.1A 10W",
        ])}),
        3 => json!({"connector": "other:barrel", "offers": rng.pick(&[
            "12V 2A", "12V 5A", "19V 3.42A", "9V 1A, 12V 3A",
        ])}),
        _ => match rng.below(3) {
            0 => json!({"pd_w": rng.pick(&[100.0, 140.0, 180.0, 240.0])}),
            1 => json!({"offers": "5V 3A, 9V 3A, 15V 3A, 20V 5A, 28V 5A, AVS 15-28V 5A"}),
            _ => json!({"pd_w": rng.pick(&[140.0, 180.0]), "offers": "AVS 15-36V 5A 140W"}),
        },
    };
    let mut port = object(port);
    if port.get("connector").is_none() {
        maybe(rng, 20, &mut port, "connector", &["usb-c"]);
        maybe(rng, 12, &mut port, "max_w", &[12.0, 22.5, 25.0, 40.0, 68.0]);
    }
    port
}

/// The port's cap, to choose limits near it: what is printed, or near enough.
pub(super) fn cap_w(port: &Map<String, Value>) -> f64 {
    let number = |field: &str| port.get(field).and_then(Value::as_f64);
    number("max_w").or(number("pd_w")).unwrap_or_else(|| {
        let label = text(port, "offers");
        if label.contains("28V") {
            140.0
        } else if label.contains("20V") {
            60.0
        } else if label.contains("15V") || label.contains("12V") {
            30.0
        } else {
            15.0
        }
    })
}

pub(super) fn object(value: Value) -> Map<String, Value> {
    match value {
        Value::Object(map) => map,
        _ => Map::new(),
    }
}

pub(super) fn text(of: &Map<String, Value>, field: &str) -> String {
    of.get(field)
        .and_then(Value::as_str)
        .unwrap_or_default()
        .to_owned()
}
