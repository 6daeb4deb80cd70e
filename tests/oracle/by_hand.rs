//! The oracle itself, on setups whose best plan is worked out in the comments.

use super::model::causes::Cause;
use super::model::limited_by::Limit;
use super::model::plan::{Plan, plan};

/// One device's expected place: port, volts, amps, tier, hours, what limits it.
type Expected<'a> = (&'a str, &'a str, f64, f64, f64, f64, Limit);

#[track_caller]
fn case(json: &str, expected: &[Expected<'_>]) -> Plan {
    let plan = plan(json);
    let found: Vec<_> = plan
        .berths
        .iter()
        .map(|berth| {
            let x = &berth.choice;
            (
                plan.setup.devices[berth.device].name.as_str(),
                plan.setup.chargers[x.charger].ports[x.port].name.as_str(),
                [x.contract.volts, x.contract.amps, x.tier_w, x.hours],
                berth.limited_by,
            )
        })
        .collect();
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (found, &(device, port, volts, amps, tier_w, hours, limit)) in found.iter().zip(expected) {
        assert_eq!(
            (found.0, found.1, found.3),
            (device, port, limit),
            "{found:?}"
        );
        for (have, want) in found.2.iter().zip([volts, amps, tier_w, hours]) {
            assert!(
                (have - want).abs() < 1e-9,
                "{found:?}: {have} is not {want}"
            );
        }
    }
    plan
}

/// A cable without loss keeps the worked numbers short.
const CABLE: &str = r#"{"name": "k", "ohm": 1e-9, "max_a": 5, "e_marked": true, "count": 9}"#;

/// A setup whose plan is chosen by the times at best.
fn at_best(chargers: &str, devices: &str) -> String {
    setup(chargers, devices).replacen('{', r#"{"aim": "best", "#, 1)
}

fn setup(chargers: &str, devices: &str) -> String {
    format!(r#"{{"chargers": [{chargers}], "cables": [{CABLE}], "devices": [{devices}]}}"#)
}

#[test]
fn one_device_on_one_port() {
    // 20 V need more than 45 W, so the best is 15 V at 3 A; the device takes it all:
    // 45 Wh / 45 W at efficiency 1 is one hour. Without its own `max_w` the port still
    // gives 45 W, without the port's the device still takes 45 W, so no limit lifted
    // alone helps: `device`.
    case(
        &setup(
            r#"{"name": "c", "ports": [{"name": "p", "pd_w": 45}]}"#,
            r#"{"name": "d", "pd_w": 45, "battery_wh": 45, "efficiency": 1, "draw_w": [[0, 100]]}"#,
        ),
        &[("d", "p", 15.0, 3.0, 45.0, 1.000_000_000_2, Limit::Device)],
    );
}

#[test]
fn a_pool_is_split_for_the_longest_time() {
    // Two ports of 60 W share 75 W by tiers. Both devices take up to 60 W; one has
    // 60 Wh, the other 30 Wh to go. Promised is 75 − 60 = 15 W to either, whatever the
    // contracts are. Tiers that fit: 45 + 30 (75), 45 + 27, 60 + 15.
    // With 60 + 15: 1 + 2 h; with 45 + 30: 60/45 = 1.333 h and 1 h. Best 45 + 30,
    // on either port; listed order puts the first device on the first port.
    // At best all voltages are kept, so that 20 V are there.
    // Lifting the pool gives each 60 W: `pool`. (Lifting the port's cap cannot help:
    // the pool has nothing left.)
    let plan = case(
        &setup(
            r#"{"name": "c", "max_w": 75,
                "ports": [{"name": "p", "pd_w": 60}, {"name": "q", "pd_w": 60}]}"#,
            r#"{"name": "d", "pd_w": 60, "battery_wh": 60, "efficiency": 1, "draw_w": [[0, 100]]},
               {"name": "e", "pd_w": 60, "battery_wh": 30, "efficiency": 1, "draw_w": [[0, 100]]}"#,
        ),
        &[
            (
                "d",
                "p",
                20.0,
                2.25,
                45.0,
                4.0 / 3.0 * (1.0 + 1.1e-10),
                Limit::Pool,
            ),
            ("e", "q", 20.0, 1.5, 30.0, 1.0 + 0.8e-10, Limit::Pool),
        ],
    );
    assert!((plan.pools[0].used_w - 75.0).abs() < 1e-9);
    // 60 Wh at 15 W.
    assert!((plan.promised_longest_h.unwrap_or(0.0) - 4.0).abs() < 1e-5);
    assert_eq!(plan.pools[0].pool, "total");
}

#[test]
fn the_smaller_line_governs_and_either_of_equals_will_do() {
    // In use p and q: {p, q} governs, not {p, q, r}. There are two lines for {p, q}:
    // 45 + 15 and 15 + 45; one respected is enough. Times: 45 Wh at 45 W, 15 Wh at
    // 15 W, so d needs the 45 W: 1 h each; on p or on q is the same, and p is listed
    // first. The line of all three (60 each) must not be used: no third device. (What is
    // promised is 15 W on p and on q, so by it e would go to r.)
    case(
        &at_best(
            r#"{"name": "c", "ports": [{"name": "p", "pd_w": 60}, {"name": "q", "pd_w": 60},
                                       {"name": "r", "pd_w": 7}],
                "combinations": [{"p": 60, "q": 60, "r": 7}, {"p": 15, "q": 45},
                                 {"p": 45, "q": 15}]}"#,
            r#"{"name": "d", "accepts": "15V 5A", "battery_wh": 45, "efficiency": 1,
                "draw_w": [[0, 100]]},
               {"name": "e", "accepts": "5V 5A", "battery_wh": 15, "efficiency": 1,
                "draw_w": [[0, 100]]}"#,
        ),
        &[
            ("d", "p", 15.0, 3.0, 45.0, 1.0 + 2e-10, Limit::Device),
            // Lifting the table gives 5 V at the port's 3 A: the same. Lifting the
            // port's current leaves the line's 15 W: the same. Its own 5 A are not
            // what binds either.
            ("e", "q", 5.0, 3.0, 15.0, 1.0 + 6e-10, Limit::Device),
        ],
    );
}

#[test]
fn the_first_is_full_sooner_where_the_last_is_not_touched() {
    // Cap 20 W in `contract` reserve: the phone draws 5 V 2 A = 10 W. A second phone
    // needs 10 W too: together 20 W, the pool's limit. By tiers it would be 15 + 15.
    let chargers = |reserve: &str| {
        format!(
            r#"{{"name": "c", "max_w": 20, "reserve": "{reserve}",
                "ports": [{{"name": "p", "offers": "5V 3A"}}, {{"name": "q", "offers": "5V 3A"}}]}}"#
        )
    };
    let phones = r#"{"name": "f", "count": 2, "accepts": "5V 2A", "battery_wh": 10,
                     "efficiency": 1, "draw_w": [[0, 50]]}"#;
    let hour = 1.0 + 4e-10;
    case(
        &setup(&chargers("contract"), phones),
        &[
            ("f 1", "p", 5.0, 2.0, 15.0, hour, Limit::Device),
            ("f 2", "q", 5.0, 2.0, 15.0, hour, Limit::Device),
        ],
    );
    // By tiers: 15 W (the cap) gives 2 A; 7.5 W gives 1.5 A. 15 + 7.5 is above 20, so
    // both are held at 7.5 W: 10 / 7.5 h.
    let slow = 10.0 / 7.5 * (1.0 + 3e-10);
    case(
        &setup(&chargers("offer"), phones),
        &[
            ("f 1", "p", 5.0, 1.5, 7.5, slow, Limit::Pool),
            ("f 2", "q", 5.0, 1.5, 7.5, slow, Limit::Pool),
        ],
    );
}

#[test]
fn priorities_come_before_energy_and_energy_before_time() {
    // One port, three devices. Priority 1 wins though the others miss more.
    let device = |name: &str, priority: u64, wh: u64| {
        format!(
            r#"{{"name": "{name}", "pd_w": 20, "battery_wh": {wh}, "priority": {priority},
                 "efficiency": 1, "draw_w": [[0, 50]]}}"#
        )
    };
    let charger = r#"{"name": "c", "ports": [{"name": "p", "pd_w": 20}]}"#;
    let three = [device("a", 2, 90), device("b", 1, 20), device("e", 3, 99)].join(",");
    let plan = case(
        &setup(charger, &three),
        &[("b", "p", 9.0, 20.0 / 9.0, 20.0, 1.0 + 3e-10, Limit::Device)],
    );
    assert_eq!((plan.score.unserved, plan.unserved), ([0, 1, 1], 2));
    assert!((plan.missing_wh - 189.0).abs() < 1e-9);
    assert!(
        plan.without_berth
            .iter()
            .all(|(_, cause)| *cause == Cause::Ports)
    );

    // Of two equals in priority the one that misses more has the berth, late or not.
    let two = [device("a", 2, 40), device("b", 2, 60)].join(",");
    let late = setup(charger, &two).replacen('{', r#"{"session_h": 2.5, "#, 1);
    let plan = case(
        &late,
        &[("b", "p", 9.0, 20.0 / 9.0, 20.0, 3.0 + 9e-10, Limit::Device)],
    );
    assert_eq!(plan.late, 1);
}

#[test]
fn a_long_cable_throttles_and_loses() {
    // At best 3 A flow: 15 W less 9 × 0.375 W = 11.625 W. Promised are 0.75 / 0.375 =
    // 2 A: 10 W less 4 × 0.375 W = 8.5 W, so that 8.5 Wh take one hour. A 240 W cable,
    // of 0.15 Ω, would bring 13.65 W.
    let plan = case(
        r#"{"chargers": [{"name": "c", "ports": [{"name": "p", "offers": "5V 3A"}]}],
            "cables": [{"name": "k", "ohm": 0.375}],
            "devices": [{"name": "d", "accepts": "5V 3A", "battery_wh": 8.5, "efficiency": 1,
                         "draw_w": [[0, 50]]}]}"#,
        &[("d", "p", 5.0, 3.0, 15.0, 8.5 / 11.625, Limit::Cable)],
    );
    assert_eq!(plan.berths[0].promise.hours, Some(1.0));
}

#[test]
fn a_taper_takes_its_logarithm() {
    // 10 W at an efficiency of 0.88 into 10 Wh is a rate of 0.88: 10 W up to
    // 100 − 20 × 0.88 = 82.4 %, then down to 1 W at 100 %, on a port of 10 W:
    // 0.824 / 0.88 h, then 1.76 Wh at the logarithmic mean of 10 and 1 W:
    // 1.76 × ln 10 / 9 / 0.88 h.
    let hours = 0.824 / 0.88 + 1.76 * 10_f64.ln() / 9.0 / 0.88;
    case(
        r#"{"chargers": [{"name": "c", "ports": [
                {"name": "p", "connector": "other:x", "offers": "10V 1A"}]}],
            "cables": [{"name": "k", "from": "other:x", "to": "other:x", "ohm": 1e-12}],
            "devices": [{"name": "d", "inlet": "other:x", "accepts": "10V 1A",
                         "battery_wh": 10}]}"#,
        // What little the cable loses is below the check's 1e-9 h.
        &[("d", "p", 10.0, 1.0, 10.0, hours, Limit::Device)],
    );
}

#[test]
fn ranges_are_cut_where_the_tier_cuts_them() {
    // The cap is 21 V × 3 A = 63 W, but a pool leaves 30 W. There a PPS range is cut
    // at 16 V (more than 27 W, not more than 45 W): 30 W / 16 V = 1.875 A.
    case(
        &setup(
            r#"{"name": "c", "max_w": 30, "voltages": "rules",
                "ports": [{"name": "p", "offers": "PPS 5-21V 3A"}]}"#,
            r#"{"name": "d", "accepts": "PPS 5-21V 3A", "battery_wh": 30, "efficiency": 1,
                "draw_w": [[0, 100]]}"#,
        ),
        &[("d", "p", 16.0, 1.875, 30.0, 1.0, Limit::Pool)],
    );
    // An AVS range is cut at 15 V at as much.
    case(
        &setup(
            r#"{"name": "c", "max_w": 30, "voltages": "rules",
                "ports": [{"name": "p", "offers": "AVS 9-20V 3A"}]}"#,
            r#"{"name": "d", "accepts": "AVS 9-20V 3A", "battery_wh": 30, "efficiency": 1,
                "draw_w": [[0, 100]]}"#,
        ),
        &[("d", "p", 15.0, 2.0, 30.0, 1.0, Limit::Pool)],
    );
}

#[test]
fn a_port_limits_a_device_that_takes_more() {
    // The port prints 2.4 A, the device takes 3 A, a pool leaves room for it: without
    // the port's current and cap 15 W would flow, and no pool stands in the way.
    case(
        r#"{"chargers": [{"name": "c", "max_w": 40,
                "ports": [{"name": "p", "connector": "usb-a", "offers": "5V 2.4A"}]}],
            "cables": [{"name": "k", "from": "usb-a", "ohm": 1e-9, "max_a": 3}],
            "devices": [{"name": "d", "accepts": "5V 3A", "battery_wh": 12, "efficiency": 1,
                         "draw_w": [[0, 50]]}]}"#,
        &[("d", "p", 5.0, 2.4, 12.0, 1.0, Limit::Port)],
    );
}

#[test]
fn what_never_ends_is_no_option() {
    let one = |device: &str| {
        let charger = r#"{"name": "c", "ports": [{"name": "p", "offers": "5V 2A"}]}"#;
        plan(&setup(
            charger,
            &format!(r#"{{"name": "d", "accepts": "5V 3A", {device}}}"#),
        ))
    };
    let case = |device: &str, cause: Option<Cause>| {
        let plan = one(device);
        let found = plan.without_berth.first().map(|&(_, cause)| cause);
        assert_eq!(found, cause, "{device}");
    };
    // 10 W arrive, 10 W run: nothing is left.
    case(
        r#""battery_wh": 10, "running_w": 10"#,
        Some(Cause::NeverFull),
    );
    // Even where it is full already.
    case(
        r#""battery_wh": 10, "running_w": 10, "start_pct": 100"#,
        Some(Cause::NeverFull),
    );
    case(
        r#""battery_wh": 10, "running_w": 9, "start_pct": 100"#,
        None,
    );
    case(
        r#""battery_wh": 10, "draw_w": [[0, 10], [100, 0]]"#,
        Some(Cause::NeverFull),
    );
    case(
        r#""battery_wh": 10, "draw_w": [[0, 10], [100, 0]], "target_pct": 99"#,
        None,
    );
    case(
        r#""battery_wh": 10, "draw_w": [[0, 0], [100, 10]]"#,
        Some(Cause::NeverFull),
    );
    // A single point at 0 is a step and takes no time.
    case(
        r#""battery_wh": 10, "draw_w": [[0, 9], [50, 9], [50, 0], [50, 9]]"#,
        None,
    );
    case(
        r#""battery_wh": 10, "min_w": 10.1"#,
        Some(Cause::BelowMinimum),
    );
    case(r#""battery_wh": 10, "min_w": 9"#, None);
    case(
        r#""battery_wh": 10, "inlet": "usb-mini-b""#,
        Some(Cause::NoCableForInlet),
    );
    case(
        r#""battery_wh": 10, "reach_m": 0.1"#,
        Some(Cause::NoCableReaches),
    );
    // Neither served nor missing: it needs nothing.
    assert_eq!(one(r#""battery_wh": 10, "start_pct": 100"#).berths.len(), 0);
}
