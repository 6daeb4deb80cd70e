//! Setups made for what their proofs must deal with, and what the proofs then claim: devices
//! without a berth by priority, watt-hours missing, late ones by priority, the longest time.

use serde_json::{Value, json};

use super::{claimed, claims, exactly, names, planned, proven, setup, text};
use wattberth::{Proof, verify_with_proof};

/// The numbers that the proof claims but its plan's own longest time, once it is accepted, of the
/// plan with the least longest time at best; and the proof.
#[track_caller]
fn accepted(document: &Value) -> (Vec<i64>, Proof) {
    accepted_as_it_is(&exactly(&document.to_string()))
}

#[track_caller]
fn accepted_as_it_is(document: &str) -> (Vec<i64>, Proof) {
    let setup = setup(document);
    let plan = planned(&setup);
    let proof = proven(&setup, &plan);
    assert_eq!(verify_with_proof(&setup, &plan, &proof).violations, []);
    let mut numbers = claimed(&proof);
    numbers.remove(7);
    (numbers, proof)
}

fn ports(number: usize, watts: f64) -> Vec<Value> {
    let port = |i| json!({"name": format!("C{i}"), "pd_w": watts});
    (1..=number).map(port).collect()
}

fn device(name: &str, watts: f64, battery_wh: f64) -> Value {
    json!({
        "name": name, "pd_w": watts, "battery_wh": battery_wh, "efficiency": 1,
        "draw_w": [[0, watts], [100, watts]]
    })
}

/// Three ports with a table that gives one of them 30 W and the others 15 W, or all 20 W:
/// two of 30 Wh and one of 10 Wh take 1.5 h, since the full 30 W help only one of the two.
#[test]
fn a_table_decides() {
    let (numbers, proof) = accepted(&json!({
        "chargers": [{
            "name": "desk", "ports": ports(3, 30.0), "tiers_w": [15, 20, 30],
            "combinations": [
                {"C1": 30, "C2": 15, "C3": 15}, {"C1": 20, "C2": 20, "C3": 20}
            ]
        }],
        "cables": [{"name": "braided", "count": 3, "ohm": 0}],
        "devices": [
            device("viola", 20.0, 30.0), device("cello", 20.0, 30.0), device("pedals", 15.0, 10.0)
        ]
    }));
    assert_eq!(numbers, [0, 0, 0, 0, 0, 0, 0, 1_500_000]);
    assert_eq!(names(&proof), ["plan", "longest"]);
}

/// Each device is fast in two places, on either port through another cable, and any two
/// such places of both devices share a port or a cable. Half of each would be a plan, so no
/// prices show that there is none: only a split does. The one to wait is the viola, on 5.4 V
/// through the cable of 3 A: 20 Wh at 16.2 W.
#[test]
fn ports_and_cables_cross() {
    let of = |name, accepts| {
        json!({
            "name": name, "accepts": accepts, "max_w": 100, "battery_wh": 20, "efficiency": 1,
            "draw_w": [[0, 100], [100, 100]]
        })
    };
    let (numbers, proof) = accepted(&json!({
        "chargers": [{
            "name": "desk", "tiers_w": [240],
            "ports": [
                {"name": "C1", "offers": "15V 2A, 5V 5A"}, {"name": "C2", "offers": "20V 2A, 5.4V 5A"}
            ]
        }],
        "cables": [
            {"name": "long", "max_a": 3, "ohm": 0},
            {"name": "low", "max_a": 5, "max_v": 5.5, "e_marked": true, "ohm": 0}
        ],
        "devices": [of("viola", "15V 2A, 5.4V 5A"), of("cello", "20V 2A, 5V 5A")]
    }));
    assert_eq!(numbers, [0, 0, 0, 0, 0, 0, 0, 1_234_568]);
    let steps = text(&proof, "longest.pbp");
    assert!(steps.contains("rup 1 x"), "a split: {steps}");
}

/// Four equal tablets, three ports, a pool for two at full power.
#[test]
fn equal_devices_one_too_many() {
    let mut tablet = device("tablet", 20.0, 20.0);
    tablet["count"] = json!(4);
    let (numbers, _) = accepted(&json!({
        "chargers": [{
            "name": "desk", "ports": ports(3, 20.0), "tiers_w": [10, 20], "max_w": 50
        }],
        "cables": [{"name": "braided", "count": 3, "ohm": 0}],
        "devices": [tablet]
    }));
    assert_eq!(numbers, [0, 1, 0, 20_000_000, 0, 0, 0, 2_000_000]);
}

/// Two cables for three devices of which two matter most: two thirds stay without, one
/// of each priority, and the smaller battery of priority 1.
#[test]
fn priorities_and_missing_energy() {
    let of = |name, wh, priority: u8| {
        let mut device = device(name, 20.0, wh);
        device["priority"] = json!(priority);
        device
    };
    let (numbers, proof) = accepted(&json!({
        "chargers": [{"name": "desk", "ports": ports(4, 20.0)}],
        "cables": [{"name": "braided", "count": 1, "ohm": 0}],
        "devices": [of("first", 10.0, 1), of("second", 20.0, 1), of("third", 5.0, 3)]
    }));
    assert_eq!(numbers, [1, 0, 1, 15_000_000, 0, 0, 0, 1_000_000]);
    let claims = claims(&proof);
    let said = claims["claims"].as_array().expect("claims").iter();
    let said: Vec<_> = said
        .map(|claim| claim["says"].as_str().expect("words"))
        .collect();
    assert_eq!(
        said,
        [
            "the plan itself keeps every row",
            "no fewer than 1 of priority 1 are without a port",
            "no fewer than 1 of priority 3 are without a port",
            "no fewer than 15000000 millionths of a Wh are missing in them",
            "the longest time is not below 1000000 millionths of an hour",
        ]
    );
}

/// Both must be ready in an hour, the pool is enough for one.
#[test]
fn somebody_is_late() {
    let of = |name| {
        let mut device = device(name, 20.0, 20.0);
        device["ready_by_h"] = json!(1);
        device
    };
    let (numbers, _) = accepted(&json!({
        "chargers": [{
            "name": "desk", "ports": ports(2, 20.0), "tiers_w": [10, 20], "max_w": 30
        }],
        "cables": [{"name": "braided", "count": 2, "ohm": 0}],
        "devices": [of("viola"), of("cello")]
    }));
    assert_eq!(numbers, [0, 0, 0, 0, 0, 1, 0, 2_000_000]);
}

/// All must be ready in an hour, the pool is enough for one: that of priority 1.
#[test]
fn late_ones_are_counted_by_priority() {
    let of = |name, priority: u8| {
        let mut device = device(name, 20.0, 20.0);
        device["ready_by_h"] = json!(1);
        device["priority"] = json!(priority);
        device
    };
    let (numbers, proof) = accepted(&json!({
        "chargers": [{
            "name": "desk", "ports": ports(3, 20.0), "tiers_w": [10, 20], "max_w": 40
        }],
        "cables": [{"name": "braided", "count": 3, "ohm": 0}],
        "devices": [of("cello", 3), of("viola", 1), of("pedals", 2)]
    }));
    assert_eq!(numbers, [0, 0, 0, 0, 0, 1, 1, 2_000_000]);
    assert_eq!(names(&proof), ["plan", "late-2", "late-3", "longest"]);
}

/// 34.3 W for two: 20 and 10 W, both full after 1 h, or 19.3 and 15 W, one after 1.036 h and
/// the other after 40 min. The default tolerance takes the second; that nothing is below 1 h is
/// what it is let pass from, and what is claimed.
#[test]
fn within_the_tolerance_the_least_is_claimed_and_not_what_the_plan_has() {
    let document = json!({
        "aim": "best",
        "chargers": [{
            "name": "desk", "ports": ports(2, 20.0), "tiers_w": [10, 15, 19.3, 20], "max_w": 34.3
        }],
        "cables": [{"name": "braided", "count": 2, "ohm": 0}],
        "devices": [device("viola", 20.0, 20.0), device("cello", 20.0, 10.0)]
    });
    let text = document.to_string();
    let longest_h = planned(&setup(&text)).longest_h;
    assert!((longest_h - 20.0 / 19.3).abs() < 1e-6, "{longest_h}");
    let (numbers, _) = accepted_as_it_is(&text);
    assert_eq!(numbers, [0, 0, 0, 0, 0, 0, 0, 1_000_000]);
    let (exact, _) = accepted(&document);
    assert_eq!(exact, numbers);
}

/// What is promised of one depends on all others on its charger: 30 W for two that ask for 20 W
/// each promise 10 W to each, which take 2 h 13 min with what is lost on the way.
#[test]
fn of_promises_the_times_are_claimed_too() {
    let mut late = device("viola", 20.0, 20.0);
    late["count"] = json!(3);
    late["ready_by_h"] = json!(1);
    let document = json!({
        "tolerance_h": 0,
        "chargers": [{
            "name": "desk", "ports": ports(2, 20.0), "tiers_w": [10, 20], "max_w": 30
        }],
        "cables": [{"name": "braided", "count": 2, "ohm": 0}],
        "devices": [late]
    });
    let (numbers, proof) = accepted_as_it_is(&document.to_string());
    assert_eq!(numbers[..7], [0, 1, 0, 20_000_000, 0, 2, 0]);
    assert_eq!(numbers[7], claimed(&proof)[7], "nothing is let pass");
    assert_eq!(
        names(&proof),
        ["plan", "unserved-2", "missing", "late-2", "longest"]
    );
    let (numbers, _) = accepted(&document);
    assert_eq!(numbers, [0, 1, 0, 20_000_000, 0, 1, 0, 2_000_000]);
}

/// Nothing to do better: no device, or none that needs a berth, or none that can have one.
#[test]
fn there_is_nothing_to_prove_where_nobody_sits_and_nobody_could() {
    let full = json!({"name": "full", "pd_w": 20, "battery_wh": 20, "start_pct": 100});
    let (numbers, proof) = accepted(&json!({
        "chargers": [{"name": "desk", "ports": ports(1, 20.0)}],
        "cables": [{"name": "braided"}],
        "devices": [full]
    }));
    assert_eq!(numbers, [0; 8]);
    assert!(names(&proof).is_empty());

    let mut far = device("far", 20.0, 20.0);
    far["reach_m"] = json!(5);
    let (numbers, _) = accepted(&json!({
        "chargers": [{"name": "desk", "ports": ports(1, 20.0)}],
        "cables": [{"name": "braided"}],
        "devices": [far]
    }));
    assert_eq!(numbers, [0, 1, 0, 20_000_000, 0, 0, 0, 0]);
}
