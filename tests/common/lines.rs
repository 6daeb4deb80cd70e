//! Random lines for `batch` from a seed: one bag against a random charger, as somebody
//! who compares thousands of chargers has them.

use serde_json::{Value, json};

use super::random_setup::lone_charger;

/// Devices in the bag of a usual line, and ports of its charger.
pub(crate) const USUAL: usize = 6;

/// The quartet's devices, as many as asked for, and cables for them; no charger.
pub(crate) fn bag(devices: usize) -> Value {
    let kinds = [
        json!({"name": "score tablet", "accepts": ["5V 3A, 9V 2.77A", "15V 2A"], "max_w": 30,
               "battery_wh": 28.6, "start_pct": 20, "priority": 1}),
        json!({"name": "laptop", "accepts": "5V⎓3A, 9V⎓3A, 15V⎓3A, 20V⎓3.25A",
               "battery_wh": 60, "start_pct": 30}),
        json!({"name": "phone", "accepts": "5V 3A, 9V 3A, PPS 3.3-11V 3A", "max_w": 27,
               "battery_wh": 15.5, "start_pct": 25}),
        json!({"name": "recorder", "inlet": "usb-micro-b", "accepts": "5V 1.5A",
               "battery_wh": 11, "start_pct": 40, "priority": 1}),
        json!({"name": "second tablet", "accepts": ["5V 3A, 9V 2.77A", "15V 2A"], "max_w": 30,
               "battery_wh": 28.6, "start_pct": 35}),
        json!({"name": "battery pack", "accepts": "5V 3A, 9V 3A, 12V 2.5A, 15V 3A, 20V 2.25A",
               "max_w": 45, "battery_wh": 74, "start_pct": 10, "priority": 3}),
    ];
    let devices: Vec<Value> = (0..devices)
        .map(|i| {
            let mut device = kinds[i % kinds.len()].clone();
            if i >= kinds.len() {
                let name = device["name"].as_str().unwrap_or_default();
                device["name"] = json!(format!("{name} {}", i / kinds.len() + 1));
                // No two of a kind are equally full.
                let start_pct = device["start_pct"].as_u64().unwrap_or(0);
                device["start_pct"] = json!(start_pct + 2 * (i / kinds.len()) as u64);
            }
            device
        })
        .collect();
    let sets = devices.len().div_ceil(USUAL);
    json!({
        "session_h": 8,
        "cables": [
            {"name": "braided 2 m", "length_m": 2, "count": 4 * sets},
            {"name": "laptop lead", "max_a": 5, "e_marked": true, "length_m": 1.5, "count": sets},
            {"name": "A to C", "from": "usb-a", "length_m": 1, "count": 2 * sets},
            {"name": "A to micro", "from": "usb-a", "to": "usb-micro-b", "length_m": 1,
             "count": sets},
            {"name": "C to micro", "to": "usb-micro-b", "length_m": 1, "count": sets}
        ],
        "devices": devices
    })
}

/// So many devices with a random charger of as many ports, as one setup document.
pub(crate) fn setup(seed: u64, devices: usize) -> String {
    let mut setup = bag(devices);
    setup["chargers"] = json!([lone_charger(seed, devices)]);
    setup.to_string()
}

/// The usual line of a seed, without its line break.
pub(crate) fn line(seed: u64) -> String {
    json!({"id": seed, "setup": bag(USUAL), "charger": lone_charger(seed, USUAL)}).to_string()
}
