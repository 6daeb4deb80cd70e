//! What a port of a given PD power must offer.
//!
//! Source of the standard range (to 100 W): USB PD R3.x, 10.2, normative voltages
//! and currents. Its table: read, in two dictionary entries that print it; the
//! section's number: memory. Source of the extended range: USB PD R3.1 V1.0
//! (May 2021), 10.2.3. Its bands and voltages: read, in a trade article and a test
//! house's report on that release; the currents beside the highest voltage: memory.

use serde_json::json;
use wattberth::Reason;

use crate::common::{
    berth_of, charger, held, held_by_label, ideal_cable, near, setup, thirsty, unserved,
};

/// The fixed voltages of USB PD, in volts.
const VOLTS: [f64; 7] = [5.0, 9.0, 15.0, 20.0, 28.0, 36.0, 48.0];

/// The voltage is not required of such a port.
const NONE: f64 = 0.0;

/// A port of `pdp_w` against devices that accept one voltage each, at 5 A; and a
/// port of 240 W whose charger leaves it `pdp_w` and then offers no voltage that is not
/// required of one that can supply so much.
#[track_caller]
fn case(pdp_w: f64, required_a: [f64; 7]) {
    let own = charger(&json!({"name": "C1", "pd_w": pdp_w}));
    let shared = held(&json!({"name": "C1", "pd_w": 240}), pdp_w);
    for (volts, amps) in VOLTS.into_iter().zip(required_a) {
        let device = thirsty(&format!("{volts}V 5A"));
        let what = format!("{volts} V of {pdp_w} W");
        let own = setup(&own, &ideal_cable(), &device);
        let shared = setup(&shared, &ideal_cable(), &device);
        if amps == NONE {
            let plan = unserved(&own);
            assert_eq!(
                plan.without_berth[0].cause,
                Reason::NoCommonSupply,
                "{what}"
            );
            unserved(&shared);
        } else {
            for setup in [own, shared] {
                let berth = berth_of(&setup);
                assert_eq!(berth.volts, volts, "{what}");
                near(&what, berth.amps, amps, 1e-6);
            }
        }
    }
}

/// Bands of the standard range, from their insides. Table: read; the amps follow by
/// arithmetic.
#[test]
fn standard_range() {
    case(7.5, [1.5, NONE, NONE, NONE, NONE, NONE, NONE]);
    case(10.0, [2.0, NONE, NONE, NONE, NONE, NONE, NONE]);
    case(18.0, [3.0, 2.0, NONE, NONE, NONE, NONE, NONE]);
    case(20.0, [3.0, 20.0 / 9.0, NONE, NONE, NONE, NONE, NONE]);
    case(25.0, [3.0, 25.0 / 9.0, NONE, NONE, NONE, NONE, NONE]);
    case(30.0, [3.0, 3.0, 2.0, NONE, NONE, NONE, NONE]);
    case(36.0, [3.0, 3.0, 2.4, NONE, NONE, NONE, NONE]);
    case(65.0, [3.0, 3.0, 3.0, 3.25, NONE, NONE, NONE]);
    case(87.0, [3.0, 3.0, 3.0, 4.35, NONE, NONE, NONE]);
}

/// The worked example that is printed beside the table, 50 W: read.
#[test]
fn published_example() {
    case(50.0, [3.0, 3.0, 3.0, 2.5, NONE, NONE, NONE]);
}

/// Each band holds its upper end and not its lower one. Bands: read.
#[test]
fn standard_range_at_its_bounds() {
    case(15.0, [3.0, NONE, NONE, NONE, NONE, NONE, NONE]);
    case(15.01, [3.0, 15.01 / 9.0, NONE, NONE, NONE, NONE, NONE]);
    case(27.0, [3.0, 3.0, NONE, NONE, NONE, NONE, NONE]);
    case(27.01, [3.0, 3.0, 27.01 / 15.0, NONE, NONE, NONE, NONE]);
    case(45.0, [3.0, 3.0, 3.0, NONE, NONE, NONE, NONE]);
    case(45.01, [3.0, 3.0, 3.0, 45.01 / 20.0, NONE, NONE, NONE]);
    case(60.0, [3.0, 3.0, 3.0, 3.0, NONE, NONE, NONE]);
    case(60.01, [3.0, 3.0, 3.0, 60.01 / 20.0, NONE, NONE, NONE]);
    case(100.0, [3.0, 3.0, 3.0, 5.0, NONE, NONE, NONE]);
}

/// Bands and voltages: read. The currents of the highest voltage: memory.
#[test]
fn extended_range() {
    case(120.0, [3.0, 3.0, 3.0, 5.0, 120.0 / 28.0, NONE, NONE]);
    case(144.0, [3.0, 3.0, 3.0, 5.0, 5.0, 4.0, NONE]);
    case(200.0, [3.0, 3.0, 3.0, 5.0, 5.0, 5.0, 200.0 / 48.0]);
}

/// As [`extended_range`], at the ends of the bands.
#[test]
fn extended_range_at_its_bounds() {
    case(100.01, [3.0, 3.0, 3.0, 5.0, 100.01 / 28.0, NONE, NONE]);
    case(140.0, [3.0, 3.0, 3.0, 5.0, 5.0, NONE, NONE]);
    case(140.01, [3.0, 3.0, 3.0, 5.0, 5.0, 140.01 / 36.0, NONE]);
    case(180.0, [3.0, 3.0, 3.0, 5.0, 5.0, 5.0, NONE]);
    case(180.01, [3.0, 3.0, 3.0, 5.0, 5.0, 5.0, 180.01 / 48.0]);
    case(240.0, [3.0, 3.0, 3.0, 5.0, 5.0, 5.0, 5.0]);
}

/// The table is the least that a source of such power offers; more is allowed (12 V, say, or
/// more current at 9 V): read, beside the table. So a port of 240 W that is left less may go
/// on offering its higher voltages, at the current that the power allows.
#[test]
fn the_rules_are_a_minimum() {
    let port = json!({"name": "C1", "pd_w": 240});
    let offered_a = [3.0, 3.0, 3.0, 5.0, 5.0, 5.0, 5.0];
    for watts in [7.5, 15.0, 27.0, 45.0, 100.0] {
        let silent = held_by_label(&port, watts);
        let mut kept = silent.clone();
        kept["voltages"] = json!("kept");
        for charger in [silent, kept] {
            for (volts, most_a) in VOLTS.into_iter().zip(offered_a) {
                let device = thirsty(&format!("{volts}V 5A"));
                let berth = berth_of(&setup(&charger, &ideal_cable(), &device));
                assert_eq!(berth.volts, volts, "{watts} W");
                let what = format!("{volts} V of {watts} W");
                near(&what, berth.amps, f64::min(most_a, watts / volts), 1e-6);
            }
        }
    }
}

/// Since more is only allowed, a label that is silent promises no more than the table: of
/// 45 W that is no 20 V, and of what this device takes 5 V 3 A are left.
#[test]
fn only_the_minimum_is_promised() {
    let device = thirsty("5V 3A, 20V 5A");
    for (voltages, watts) in [(None, 15.0), (Some("rules"), 15.0), (Some("kept"), 45.0)] {
        let mut charger = held_by_label(&json!({"name": "C1", "pd_w": 65}), 45.0);
        if let Some(voltages) = voltages {
            charger["voltages"] = json!(voltages);
        }
        let berth = berth_of(&setup(&charger, &ideal_cable(), &device));
        let promised_w = berth.promised_w.expect("5 V are promised");
        near(voltages.unwrap_or("silent"), promised_w, watts, 1e-5);
    }
}
