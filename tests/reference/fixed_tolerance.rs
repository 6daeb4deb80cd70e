//! How far a fixed supply may lie from its nominal voltage.

use serde_json::json;
use wattberth::Reason;

use crate::common::{berth_of, charger, ideal_cable, setup, thirsty, unserved};

/// A fixed supply, the bounds of its tolerance, and voltages just outside them.
#[track_caller]
fn case(nominal_v: f64, [low_v, high_v]: [f64; 2]) {
    let charger = charger(&json!({"name": "C1", "offers": format!("{nominal_v}V 1A")}));
    let posed = |volts: f64| setup(&charger, &ideal_cable(), &thirsty(&format!("{volts}V 1A")));
    for volts in [low_v, nominal_v, high_v] {
        assert_eq!(
            berth_of(&posed(volts)).volts,
            nominal_v,
            "{volts} V is within"
        );
    }
    for volts in [low_v - 0.01, high_v + 0.01] {
        let plan = unserved(&posed(volts));
        assert_eq!(
            plan.without_berth[0].cause,
            Reason::NoCommonSupply,
            "{volts} V is outside"
        );
    }
}

/// From 0.95 to 1.05 times the nominal voltage: USB PD R3.2 V1.2, table 4.6
/// (`vSrcNew`); read, in a public lab note that quotes it with its rows for 5 and
/// 9 V. The other rows: arithmetic. (48 V is left out: its upper bound lies above
/// what USB knows.)
#[test]
fn bounds_are_included() {
    case(5.0, [4.75, 5.25]);
    case(9.0, [8.55, 9.45]);
    case(15.0, [14.25, 15.75]);
    case(20.0, [19.0, 21.0]);
    case(28.0, [26.6, 29.4]);
    case(36.0, [34.2, 37.8]);
}
