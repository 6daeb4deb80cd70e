//! What a cable lets through: its rating, and the drop that the standard allows.

use serde_json::{Value, json};

use crate::common::{berth_of, charger, near, setup};

/// The most that a port of `pdp_w` supplies through each of four kinds of cables, rated
/// but otherwise unknown, into a device that accepts every fixed voltage. What is
/// printed on a cable counts for nothing above 3 A without the mark, and above 21 V
/// without the mark for 5 A; the mark alone stands for 3 A. Watts as printed are the
/// standard's three kinds.
#[track_caller]
fn through(pdp_w: f64, [plain, marked_3a, marked_5a, extended]: [f64; 4]) {
    let charger = charger(&json!({"name": "C1", "pd_w": pdp_w}));
    let device = json!({"name": "device", "pd_w": 240, "battery_wh": 50});
    for (cable, watts) in [
        (json!({"name": "unmarked"}), plain),
        (
            json!({"name": "unmarked, 5 A, 50 V", "max_a": 5, "max_v": 50}),
            plain,
        ),
        (
            json!({"name": "3 A, marked", "e_marked": true, "max_a": 3}),
            marked_3a,
        ),
        (
            json!({"name": "3 A, 50 V", "e_marked": true, "max_a": 3, "max_v": 50}),
            marked_3a,
        ),
        (json!({"name": "marked", "e_marked": true}), marked_3a),
        (
            json!({"name": "5 A, 20 V", "e_marked": true, "max_a": 5}),
            marked_5a,
        ),
        (
            json!({"name": "5 A, 50 V", "e_marked": true, "max_a": 5, "max_v": 50}),
            extended,
        ),
        (json!({"name": "60 W", "watts": 60}), plain),
        (json!({"name": "100 W", "watts": 100}), marked_5a),
        (json!({"name": "240 W", "watts": 240}), extended),
    ] {
        let berth = berth_of(&setup(&charger, &cable, &device));
        near(
            &format!("{pdp_w} W through {}", cable["name"]),
            berth.port_w,
            watts,
            1e-5,
        );
    }
}

/// 60 W through any cable, 100 W through one marked for 5 A, 240 W through one
/// marked for 50 V as well. USB Type-C R2.1 (the e-marked ones), USB Type-C and PD
/// (3 A without a mark): read. The rows: the lesser of that and the port's power.
#[test]
fn ratings() {
    through(20.0, [20.0, 20.0, 20.0, 20.0]);
    through(45.0, [45.0, 45.0, 45.0, 45.0]);
    through(60.0, [60.0, 60.0, 60.0, 60.0]);
    through(65.0, [60.0, 60.0, 65.0, 65.0]);
    through(100.0, [60.0, 60.0, 100.0, 100.0]);
    through(140.0, [60.0, 60.0, 100.0, 140.0]);
    through(240.0, [60.0, 60.0, 100.0, 240.0]);
}

/// A cable of which only the rating is known, used at its rated current.
#[track_caller]
fn at_rated_current(volts: f64, amps: f64, loss_w: f64, efficiency: f64) {
    let label = format!("{volts}V {amps}A");
    let port = json!({"name": "C1", "offers": label});
    let device = json!({"name": "device", "accepts": label, "battery_wh": 50});
    let cable: Value = json!({"name": "cable", "e_marked": amps > 3.0, "max_a": amps, "max_v": 50});
    let berth = berth_of(&setup(&charger(&port), &cable, &device));
    near("watts at the port", berth.port_w, volts * amps, 1e-5);
    near("watts lost", berth.port_w - berth.inlet_w, loss_w, 1e-5);
    near("efficiency", berth.inlet_w / berth.port_w, efficiency, 5e-5);
}

/// At most 0.5 V on VBUS and 0.25 V on ground at the rated current, contacts
/// included: USB Type-C, 4.4.1 and figure 4-1; read, in an engineer's article that
/// quotes them. Losses and efficiencies: arithmetic, to four places.
#[test]
fn worst_drop() {
    at_rated_current(5.0, 3.0, 2.25, 0.8500);
    at_rated_current(9.0, 3.0, 2.25, 0.9167);
    at_rated_current(15.0, 3.0, 2.25, 0.9500);
    at_rated_current(20.0, 3.0, 2.25, 0.9625);
    at_rated_current(20.0, 5.0, 3.75, 0.9625);
    at_rated_current(28.0, 5.0, 3.75, 0.9732);
    at_rated_current(36.0, 5.0, 3.75, 0.9792);
    at_rated_current(48.0, 5.0, 3.75, 0.9844);
}
