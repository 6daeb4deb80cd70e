//! Resistance of copper wire by gauge, seen as what a cable loses.

use serde_json::json;

use crate::common::{berth_of, charger, near, setup};

/// Metres of the cables here: short enough that 3 A stay within the standard's drop
/// at every gauge, so that the current is known.
const LENGTH_M: f64 = 0.2;

/// The handbook's unit, in metres.
const THOUSAND_FEET_M: f64 = 304.8;

/// A gauge, its resistance from the formula, and the handbook's per 1000 ft.
#[track_caller]
fn case(awg: u32, computed_ohm_per_m: f64, handbook_ohm: f64) {
    let port = json!({"name": "C1", "offers": "20V 3A"});
    let cable = json!({"name": "cable", "awg": awg, "length_m": LENGTH_M});
    let device = json!({"name": "device", "accepts": "20V 3A", "battery_wh": 50});
    let berth = berth_of(&setup(&charger(&port), &cable, &device));
    near("amps", berth.amps, 3.0, 1e-6);
    // There and back through two equal wires.
    let ohm_per_m = (berth.port_w - berth.inlet_w) / (3.0 * 3.0) / (2.0 * LENGTH_M);
    near("formula", ohm_per_m, computed_ohm_per_m, 6e-6);
    near(
        "share of the handbook's",
        ohm_per_m / (handbook_ohm / THOUSAND_FEET_M),
        1.0,
        5e-4,
    );
}

/// Handbook column, ohm per 1000 ft at 20 °C: Floyd, *Electric Circuit
/// Fundamentals*, 2nd ed., as tabulated by `HyperPhysics`: read. Formula column, to
/// five places: diameters of ASTM B258 and copper's resistivity of IEC 60028, both
/// memory; computed. They agree to better than 0.05 %.
#[test]
fn gauges() {
    case(20, 0.03331, 10.15);
    case(22, 0.05296, 16.14);
    case(24, 0.08421, 25.67);
    case(26, 0.13390, 40.81);
    case(28, 0.21292, 64.90);
    case(30, 0.33855, 103.2);
    case(32, 0.53832, 164.1);
}
