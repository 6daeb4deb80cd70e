//! Random cables: first one that joins each device to some port, then others.

use serde_json::{Map, Value, json};

use super::chargers::{object, text};
use super::rng::Rng;
use super::{Flavour, maybe};

/// The bag of cables for these chargers and devices.
pub(super) fn cables(
    rng: &mut Rng,
    chargers: &[Value],
    devices: &[Value],
    flavour: Flavour,
) -> Vec<Value> {
    let connectors: Vec<String> = chargers
        .iter()
        .flat_map(|charger| charger["ports"].as_array().into_iter().flatten())
        .map(|port| port["connector"].as_str().unwrap_or("usb-c").to_owned())
        .collect();
    let mut kinds: Vec<(String, String)> = Vec::new();
    for device in devices {
        let inlet = device["inlet"].as_str().unwrap_or("usb-c").to_owned();
        let fits: Vec<&String> = connectors.iter().filter(|from| fit(from, &inlet)).collect();
        if !fits.is_empty() && rng.chance(95) {
            kinds.push((fits[rng.below(fits.len())].clone(), inlet));
        }
    }
    if rng.chance(30) || kinds.is_empty() {
        kinds.push(("usb-c".to_owned(), "usb-c".to_owned()));
    }
    rng.shuffle(&mut kinds);
    // Equal kinds are mostly one entry with a count, at times unequal cables.
    let mut made: Vec<Map<String, Value>> = Vec::new();
    for (from, to) in kinds {
        let known = made
            .iter()
            .position(|c| text(c, "from") == from && text(c, "to") == to);
        match known {
            Some(i) if rng.chance(60) || made.len() >= 4 => {
                let count = made[i].get("count").and_then(Value::as_u64).unwrap_or(1);
                made[i].insert("count".to_owned(), json!(count + u64::from(rng.chance(93))));
            }
            _ => made.push(cable(rng, &from, &to, flavour)),
        }
    }
    for (i, cable) in made.iter_mut().enumerate() {
        cable.insert("name".to_owned(), json!(format!("cable {}", i + 1)));
        // The default is to be met too.
        for end in ["from", "to"] {
            if text(cable, end) == "usb-c" && rng.chance(50) {
                cable.remove(end);
            }
        }
    }
    made.into_iter().map(Value::Object).collect()
}

fn fit(from: &str, inlet: &str) -> bool {
    match inlet {
        "usb-c" | "usb-micro-b" => from == "usb-c" || from == "usb-a",
        other => from == other || (from == "usb-c" && other == "other:barrel"),
    }
}

/// A cable between two connectors; the caller names it.
pub(super) fn cable(rng: &mut Rng, from: &str, to: &str, flavour: Flavour) -> Map<String, Value> {
    let mut cable = object(json!({"from": from, "to": to}));
    if from == "usb-c" && to == "usb-c" {
        if flavour.extended && rng.chance(70) {
            cable.insert("e_marked".to_owned(), json!(true));
            cable.insert("max_v".to_owned(), json!(50.0));
            maybe(rng, 30, &mut cable, "max_a", &[5.0]);
        } else if rng.chance(45) {
            cable.insert("e_marked".to_owned(), json!(true));
            maybe(rng, 20, &mut cable, "max_v", &[20.0, 50.0]);
            maybe(rng, 20, &mut cable, "max_a", &[3.0, 5.0]);
        }
    } else {
        maybe(rng, 30, &mut cable, "max_a", &[1.0, 2.0, 2.4, 3.0, 5.0]);
    }
    maybe(rng, 65, &mut cable, "length_m", &[0.5, 1.0, 1.5, 2.0, 3.0]);
    maybe(rng, 30, &mut cable, "awg", &[20.0, 22.0, 24.0, 28.0]);
    maybe(rng, 15, &mut cable, "ohm", &[0.05, 0.12, 0.2, 0.4]);
    maybe(rng, 10, &mut cable, "count", &[1, 2]);
    cable
}
