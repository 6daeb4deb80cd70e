//! What lies on a bound, and values so far out that rounding decides.

use serde_json::{Value, json};
use wattberth::{LimitedBy, Plan, Reason, Setup, SolveOptions, Status, assign, assign_with};

fn setup(port: &Value, cable: &Value, device: &Value) -> Setup {
    let mut setup = json!({
        "chargers": [{"name": "charger", "ports": [{"name": "C1"}]}],
        "cables": [{"name": "cable"}],
        "devices": [{"name": "device", "battery_wh": 50}]
    });
    merge(&mut setup["chargers"][0]["ports"][0], port);
    merge(&mut setup["cables"][0], cable);
    merge(&mut setup["devices"][0], device);
    Setup::from_json(&setup.to_string()).unwrap_or_else(|error| panic!("{error}\nin {setup}"))
}

fn merge(into: &mut Value, fields: &Value) {
    for (name, value) in fields.as_object().expect("the fields of an object") {
        into[name] = value.clone();
    }
}

/// The plan of one port, one cable and one device; `assign` verifies what it returns.
#[track_caller]
fn plan(port: &Value, cable: &Value, device: &Value) -> Plan {
    match assign(&setup(port, cable, device)) {
        Ok(plan) => plan,
        Err(error) => panic!("{error}\nwith {port} {cable} {device}"),
    }
}

fn reason(plan: &Plan) -> &Reason {
    &plan.without_berth[0].cause
}

/// 5 V × 0.09 A is a hair below 0.45 W in doubles; watts are compared in millionths.
#[test]
fn the_least_power_may_be_just_what_arrives() {
    let port = json!({"offers": "5V 0.09A"});
    for (min_w, berths) in [(0.45, 1), (0.450_000_4, 1), (0.450_001, 0)] {
        let device = json!({"accepts": "5V 1A", "min_w": min_w});
        let plan = plan(&port, &json!({"ohm": 0}), &device);
        assert_eq!(plan.berths.len(), berths, "min_w {min_w}");
    }
}

/// 20 V × 1.15 A less 1.15² × 0.01 Ω, which doubles miss by a hair either way.
#[test]
fn what_only_keeps_a_device_running_never_fills_it() {
    let port = json!({"offers": "20V 1.15A"});
    for (running_w, berths) in [(22.986_775, 0), (22.986_774_9, 0), (22.986_774, 1)] {
        let device = json!({"accepts": "20V 3A", "running_w": running_w});
        let plan = plan(&port, &json!({"ohm": 0.01}), &device);
        assert_eq!(plan.berths.len(), berths, "running_w {running_w}");
    }
}

/// Only a USB-C cable can tell an EPR source that it is not fit for EPR.
#[test]
fn an_epr_range_needs_an_epr_cable_where_the_cable_is_usb_c() {
    let barrel = "other:barrel";
    for (connector, e_marked, volts) in [
        (barrel, false, Some(21.0)),
        ("usb-c", false, None),
        ("usb-c", true, None),
    ] {
        let port = json!({"connector": connector, "offers": "AVS 9-28V 3A"});
        let cable = json!({"from": connector, "to": connector, "e_marked": e_marked});
        let device = json!({"inlet": connector, "accepts": "AVS 9-28V 3A"});
        let found = plan(&port, &cable, &device);
        let met = found.berths.first().map(|berth| berth.volts);
        assert_eq!(met, volts, "{connector}, e-marked: {e_marked}");
    }
}

/// A device that only a vendor's scheme would charge is told so.
#[test]
fn a_scheme_that_is_left_out_is_named_without_a_berth_too() {
    let port = json!({"connector": "usb-a", "offers": "9V 2A, 12V 1.5A"});
    let cable = json!({"from": "usb-a"});
    for (accepts, cautioned) in [("5V 3A, 9V 2A", true), ("5V 3A, 15V 2A", false)] {
        let plan = plan(&port, &cable, &json!({"accepts": accepts}));
        assert_eq!(*reason(&plan), Reason::NoCommonSupply);
        let schemes = plan.cautions.iter().filter(|text| text.contains("scheme"));
        assert_eq!(schemes.count(), usize::from(cautioned), "{accepts}");
    }
}

/// A pool may bind where the cable limits more: at 27 W the port has 9 V, of which the
/// cable carries 1 A. Without the pool it were 20 V, without the cable's limit 3 A.
#[test]
fn a_pool_that_binds_behind_a_cable_is_named() {
    let one_amp = json!({"name": "cable", "max_a": 1, "ohm": 0});
    let laptop = json!({"name": "laptop", "pd_w": 65, "battery_wh": 90});
    for (max_w, binds) in [(27, true), (65, false)] {
        let setup = json!({
            "aim": "best",
            "chargers": [{"name": "charger", "max_w": max_w, "voltages": "rules", "reserve": "offer",
                          "ports": [{"name": "C1", "pd_w": 65}]}],
            "cables": [one_amp], "devices": [laptop],
        });
        let setup = Setup::from_json(&setup.to_string()).expect("a sound setup");
        let plan = assign(&setup).expect("a plan");
        assert_eq!(plan.berths[0].limited_by, LimitedBy::Cable, "{max_w} W");
        let named = plan
            .cautions
            .iter()
            .any(|text| text.contains("shared limit"));
        assert_eq!(named, binds, "{max_w} W");
    }
}

/// 5 A through 4.3 Ω would lose more than 19 V have; beyond half of that, 19 / 8.6 A, more
/// current brings less power, so no more is taken: half of it arrives.
#[test]
fn a_lead_takes_no_more_than_half_of_what_the_port_gives() {
    let barrel = json!({"connector": "other:barrel", "offers": "19V 5A"});
    let thin = json!({"from": "other:barrel", "to": "other:barrel", "max_a": 5, "ohm": 4.3});
    let amps = 19.0 / 8.6;
    for (min_w, berths) in [(0.0, 1), (19.0 * amps - 1e-6, 1), (19.0 * amps + 1e-5, 0)] {
        let device = json!({"inlet": "other:barrel", "accepts": "19V 5A", "min_w": min_w});
        let plan = plan(&barrel, &thin, &device);
        assert_eq!(plan.berths.len(), berths, "{min_w} W");
        match plan.berths.first() {
            Some(berth) => {
                assert!((berth.amps - amps).abs() < 1e-6, "{} A", berth.amps);
                assert!((berth.inlet_w - 9.5 * amps).abs() < 1e-5);
            }
            None => assert!(matches!(reason(&plan), Reason::BelowMinimum { .. })),
        }
    }
}

/// A search that is stopped at once leaves places empty: that is then the reason.
#[test]
fn a_stopped_search_is_the_reason_where_a_place_is_free() {
    let mut options = SolveOptions::default();
    options.time_limit = Some(std::time::Duration::ZERO);
    let setup = setup(&json!({"pd_w": 65}), &json!({}), &json!({"pd_w": 45}));
    let plan = assign_with(&setup, &options).expect("an empty plan is one");
    if plan.status == Status::Feasible && plan.unserved == 1 {
        assert_eq!(*reason(&plan), Reason::SearchStopped);
    } else {
        assert_eq!(plan.unserved, 0, "a proven plan leaves no place empty");
    }
}

/// Curves that nearly touch 0, currents and batteries next to nothing: whatever comes
/// out survives the check, and no time is longer than a billion hours.
#[test]
fn far_out_values_survive_the_check() {
    let curves = [
        json!([[0, 1e-9], [20, 20], [99.999_999_9, 1e-9], [100, 10_000]]),
        json!([[1e-9, 20], [99.999_999_9, 1e-9]]),
        json!([[20, 1e-300], [100, 5e-324]]),
        json!([[0, 0], [5e-324, 1e-300], [100, 1e-9], [100, 0]]),
        json!([[0, 10_000], [100, 1e-3]]),
        json!([[0, 20], [100, 19.999_999_999_999]]),
    ];
    let devices = [
        json!({"pd_w": 15, "battery_wh": 100_000}),
        json!({"pd_w": 0.001, "battery_wh": 100_000}),
        json!({"pd_w": 1e-7, "battery_wh": 1}),
        json!({"pd_w": 240, "battery_wh": 5e-324, "efficiency": 0.3}),
        json!({"pd_w": 45, "battery_wh": 3.7e-6, "efficiency": 0.3}),
        json!({"pd_w": 20, "start_pct": 99.999_999_9, "running_w": 1e-300}),
    ];
    let (mut with, mut without) = (0, 0);
    for curve in &curves {
        for device in &devices {
            let mut device = device.clone();
            device["draw_w"] = curve.clone();
            for cable in [
                json!({"ohm": 0}),
                json!({"ohm": 1000}),
                json!({"max_a": 1e-9}),
            ] {
                let plan = plan(&json!({"pd_w": 240}), &cable, &device);
                with += plan.berths.len();
                without += plan.without_berth.len();
                assert!(plan.longest_h <= 1e9, "{device}: {} h", plan.longest_h);
            }
        }
    }
    assert!(with > 20 && without > 20, "{with} with, {without} without");
}
