//! The public path, and the small setups from which every check starts.

use serde_json::{Value, json};
use wattberth::{Berth, Plan, Setup, Status, assign, verify_with_proof};

/// The plan of a setup, which must be valid and its plan proven, also by a proof that is
/// checked.
#[track_caller]
pub(crate) fn plan_of(setup: &Value) -> Plan {
    let text = setup.to_string();
    let setup = checked(setup);
    match assign(&setup) {
        Ok(plan) => {
            assert_eq!(
                plan.status,
                Status::Optimal,
                "every check is small enough to be proven"
            );
            let proof = plan.proof(&setup).expect("what is best has a proof");
            assert_eq!(verify_with_proof(&setup, &plan, &proof).violations, []);
            plan
        }
        Err(error) => panic!("{error}\nfor {text}"),
    }
}

/// One port, one cable, one device, planned by the contract that the standards allow: what
/// a charger of unknown habits promises is less, and is checked where a source says so.
pub(crate) fn setup(charger: &Value, cable: &Value, device: &Value) -> Value {
    json!({
        "version": 1, "aim": "best", "tolerance_h": 0,
        "chargers": [charger], "cables": [cable], "devices": [device]
    })
}

/// The setup, which has no fault.
#[track_caller]
pub(crate) fn checked(setup: &Value) -> Setup {
    let text = setup.to_string();
    match Setup::from_json(&text) {
        Ok(setup) => setup,
        Err(error) => panic!("{error}\nin {text}"),
    }
}

/// The berth of the setup's only device.
#[track_caller]
pub(crate) fn berth_of(setup: &Value) -> Berth {
    let plan = plan_of(setup);
    assert_eq!(plan.without_berth, [], "the device has a berth");
    assert_eq!(plan.berths.len(), 1, "one device, one berth");
    plan.berths[0].clone()
}

/// The plan of a setup whose only device must be left without a berth.
#[track_caller]
pub(crate) fn unserved(setup: &Value) -> Plan {
    let plan = plan_of(setup);
    assert_eq!(plan.berths, [], "no berth is possible");
    assert_eq!(plan.unserved, 1, "the device needs one");
    plan
}

/// A charger of one port, `C1`.
pub(crate) fn charger(port: &Value) -> Value {
    json!({"name": "charger", "ports": [port]})
}

/// The same, its table granting the port no more than `watts`, and offering then only the
/// voltages that the power rules require.
pub(crate) fn held(port: &Value, watts: f64) -> Value {
    let mut charger = held_by_label(port, watts);
    charger["voltages"] = json!("rules");
    charger
}

/// The same, its label silent on which voltages are left.
pub(crate) fn held_by_label(port: &Value, watts: f64) -> Value {
    json!({"name": "charger", "ports": [port], "combinations": [{"C1": watts}]})
}

/// A cable that limits nothing: e-marked, 50 V and 5 A, without resistance.
pub(crate) fn ideal_cable() -> Value {
    json!({"name": "cable", "e_marked": true, "max_a": 5, "max_v": 50, "ohm": 0})
}

/// A device that takes all it is given, at the voltages of `accepts` only.
pub(crate) fn thirsty(accepts: &str) -> Value {
    json!({"name": "device", "accepts": accepts, "max_w": 240, "battery_wh": 50})
}

/// Compares, within `tolerance` of the value's own unit.
#[track_caller]
pub(crate) fn near(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!(
        (got - expected).abs() <= tolerance,
        "{what}: {got}, expected {expected} within {tolerance}"
    );
}
