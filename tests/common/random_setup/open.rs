//! What labels leave open, written into a setup at random: kinds in the place of labels,
//! ranges, leads, printed watts of cables, what a charger keeps and reserves, and by which
//! reading a plan is chosen. Any setup of the other generators can be opened so.

use serde_json::{Map, Value, json};

use super::chargers::{object, text};
use super::rng::Rng;
use super::{crowd, maybe, night};

/// A small setup that is opened.
pub(crate) fn small_setup(seed: u64) -> String {
    opened(seed, &super::small_setup(seed))
}

/// A crowded one.
pub(crate) fn crowded_setup(seed: u64) -> String {
    opened(seed, &crowd::crowded_setup(seed))
}

/// One with sessions.
pub(crate) fn night_setup(seed: u64) -> String {
    opened(seed, &night::night_setup(seed))
}

/// The same setup with more left open.
pub(crate) fn opened(seed: u64, setup: &str) -> String {
    let mut rng = Rng::new(seed ^ 0x6F70_656E_6564);
    let setup = match rng.below(100) {
        0..10 => setup.replace("usb-micro-b", "usb-mini-b"),
        // Supplies that print one voltage, and give it or nothing.
        10..17 => setup
            .replace("usb-a", "other:barrel")
            .replace("usb-micro-b", "other:barrel"),
        _ => setup.to_owned(),
    };
    let setup: Value = serde_json::from_str(&setup).expect("a generated setup is JSON");
    let mut setup = object(setup);
    let rng = &mut rng;
    maybe(rng, 60, &mut setup, "aim", &["promise", "best", "best"]);
    let tolerances = [0.0, 0.0, 1e-6, 0.02, 0.05, 0.25, 1.0];
    maybe(rng, 60, &mut setup, "tolerance_h", &tolerances);
    for device in things(&mut setup, "devices") {
        open_device(rng, device);
    }
    for cable in things(&mut setup, "cables") {
        open_cable(rng, cable);
    }
    let inlets: Vec<String> = things(&mut setup, "devices")
        .map(|device| match text(device, "inlet") {
            inlet if inlet.is_empty() => "usb-c".to_owned(),
            inlet => inlet,
        })
        .collect();
    for charger in things(&mut setup, "chargers") {
        maybe(rng, 45, charger, "voltages", &["kept", "rules"]);
        maybe(rng, 15, charger, "reserve", &["offer", "offer", "contract"]);
        let shares = ["max_w", "pools", "combinations"];
        if rng.chance(50) && !shares.iter().any(|field| charger.contains_key(*field)) {
            maybe(rng, 100, charger, "max_w", &[9.0, 14.0, 22.5, 40.0, 70.0]);
        }
        for port in things(charger, "ports") {
            if rng.chance(7) {
                port.insert("lead".to_owned(), lead(rng, &inlets));
            }
        }
    }
    Value::Object(setup).to_string()
}

fn things<'a>(
    of: &'a mut Map<String, Value>,
    field: &str,
) -> impl Iterator<Item = &'a mut Map<String, Value>> {
    let listed = of.get_mut(field).and_then(Value::as_array_mut);
    listed
        .into_iter()
        .flatten()
        .filter_map(Value::as_object_mut)
}

/// Most of them charge over USB-C.
const KINDS: [&str; 12] = [
    "phone",
    "small phone",
    "tablet",
    "laptop",
    "laptop",
    "large laptop",
    "large laptop",
    "earbuds",
    "watch",
    "handheld computer",
    "camera",
    "power bank",
];

fn open_device(rng: &mut Rng, device: &mut Map<String, Value>) {
    if rng.chance(30) {
        let kind = rng.pick(&KINDS);
        device.insert("kind".to_owned(), json!(kind));
        for (percent, fields) in [
            (60, &["pd_w", "accepts"][..]),
            (30, &["max_w"]),
            (60, &["battery_wh", "battery_mah", "battery_v"]),
            (20, &["battery_v"]),
        ] {
            if rng.chance(percent) {
                device.retain(|field, _| !fields.contains(&field.as_str()));
            }
        }
        if rng.chance(25) {
            device.remove("inlet");
        } else if kind == "watch" {
            device.entry("inlet").or_insert_with(|| json!("usb-c"));
        }
    }
    let number =
        |device: &Map<String, Value>, field: &str| device.get(field).and_then(Value::as_f64);
    if let Some(wh) = number(device, "battery_wh").filter(|_| rng.chance(25)) {
        let (low, high) = rng.pick(&[(0.8, 1.2), (0.5, 1.0), (1.0, 1.75), (0.99, 1.01)]);
        device.insert("battery_wh".to_owned(), json!([wh * low, wh * high]));
    }
    if rng.chance(25) {
        let start = number(device, "start_pct").unwrap_or(0.0);
        let low = (start - rng.pick(&[0.0, 5.0, 20.0])).max(0.0);
        let high = (start + rng.pick(&[0.0, 10.0, 30.0])).min(100.0);
        device.insert("start_pct".to_owned(), json!([low, high]));
    }
    maybe(rng, 15, device, "usb_a_a", &[0.5, 1.0, 2.0, 2.4, 3.0]);
    if rng.chance(12) && device.contains_key("accepts") {
        maybe(rng, 100, device, "pd_w", &[15.0, 18.0, 27.0, 30.0, 60.0]);
    }
    maybe(rng, 15, device, "priority", &[1, 2, 3]);
    // A battery that takes its watts for long, and one that tapers soon.
    if rng.chance(30) {
        device.remove("draw_w");
    }
}

fn open_cable(rng: &mut Rng, cable: &mut Map<String, Value>) {
    if rng.chance(30) {
        print_watts(rng, cable);
    } else if rng.chance(15) {
        cable.insert("e_marked".to_owned(), json!(true));
    }
}

fn print_watts(rng: &mut Rng, cable: &mut Map<String, Value>) {
    cable.retain(|field, _| !["max_a", "max_v", "e_marked"].contains(&field.as_str()));
    cable.insert("watts".to_owned(), json!(rng.pick(&[60, 100, 240])));
}

/// A fixed lead, mostly with a plug that some device has.
fn lead(rng: &mut Rng, inlets: &[String]) -> Value {
    let mut lead = Map::new();
    if rng.chance(85) && !inlets.is_empty() {
        let to = &inlets[rng.below(inlets.len())];
        if to != "usb-c" || rng.chance(50) {
            lead.insert("to".to_owned(), json!(to));
        }
    }
    if rng.chance(25) {
        print_watts(rng, &mut lead);
    } else {
        maybe(rng, 40, &mut lead, "max_a", &[1.0, 2.0, 5.0]);
    }
    maybe(rng, 70, &mut lead, "length_m", &[1.0, 1.5, 3.0]);
    maybe(rng, 30, &mut lead, "awg", &[22.0, 28.0]);
    maybe(rng, 20, &mut lead, "ohm", &[0.1, 0.4]);
    Value::Object(lead)
}
