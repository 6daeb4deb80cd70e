//! Random lines for `batch` from a seed: one bag of six devices against a random
//! charger of six ports, as somebody who compares thousands of chargers has them.

use serde_json::{Value, json};

use super::random_setup::lone_charger;

/// Ports of each charger.
pub(crate) const PORTS: usize = 6;

/// Six devices of the quartet and the cables for them, without a charger.
pub(crate) fn bag() -> Value {
    json!({
        "session_h": 8,
        "cables": [
            {"name": "braided 2 m", "length_m": 2, "count": 4},
            {"name": "laptop lead", "max_a": 5, "e_marked": true, "length_m": 1.5},
            {"name": "A to C", "from": "usb-a", "length_m": 1, "count": 2},
            {"name": "A to micro", "from": "usb-a", "to": "usb-micro-b", "length_m": 1},
            {"name": "C to micro", "to": "usb-micro-b", "length_m": 1}
        ],
        "devices": [
            {"name": "score tablet", "count": 2, "accepts": ["5V 3A, 9V 2.77A", "15V 2A"],
             "max_w": 30, "battery_wh": 28.6, "start_pct": 20, "priority": 1},
            {"name": "phone", "accepts": "5V 3A, 9V 3A, PPS 3.3-11V 3A", "max_w": 27,
             "battery_wh": 15.5, "start_pct": 25},
            {"name": "laptop", "accepts": "5V⎓3A, 9V⎓3A, 15V⎓3A, 20V⎓3.25A",
             "battery_wh": 60, "start_pct": 30},
            {"name": "recorder", "inlet": "usb-micro-b", "accepts": "5V 1.5A",
             "battery_wh": 11, "start_pct": 40, "priority": 1},
            {"name": "battery pack", "accepts": "5V 3A, 9V 3A, 12V 2.5A, 15V 3A, 20V 2.25A",
             "max_w": 45, "battery_wh": 74, "start_pct": 10, "priority": 3}
        ]
    })
}

/// The bag with the random charger of a seed, as one setup document.
pub(crate) fn setup(seed: u64) -> String {
    let mut setup = bag();
    setup["chargers"] = json!([lone_charger(seed, PORTS)]);
    setup.to_string()
}

/// The line of a seed, without its line break.
pub(crate) fn line(seed: u64) -> String {
    json!({"id": seed, "setup": bag(), "charger": lone_charger(seed, PORTS)}).to_string()
}
