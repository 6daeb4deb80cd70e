//! What is open and what is promised, on setups whose numbers are worked out in the comments.
//!
//! Devices charge at a constant draw and without loss inside, and most cables lose nothing,
//! so that hours are watt-hours over watts.

use super::model::causes::Cause;
use super::model::limited_by::Limit;
use super::model::order::{Score, best_of};
use super::model::plan::{Berth, Plan, plan, rota};
use super::model::promise::NEVER;
use super::model::setup::read;

/// Rated for everything, and without loss.
const CABLE: &str = r#"{"name": "k", "ohm": 1e-12, "max_a": 5, "max_v": 50, "e_marked": true,
                        "count": 9}"#;

/// What a device may take; the rest of it is said by the caller.
const FLAT: &str = r#""efficiency": 1, "draw_w": [[0, 300]]"#;

fn with(chargers: &str, devices: &str) -> String {
    let devices = devices.replace("FLAT", FLAT);
    format!(r#"{{"chargers": [{chargers}], "cables": [{CABLE}], "devices": [{devices}]}}"#)
}

/// One port, one cable, one device; of 60 Wh where it does not say.
fn single(port: &str, cable: &str, device: &str) -> Plan {
    plan(&format!(
        r#"{{"chargers": [{{"name": "c", "ports": [{{"name": "p", {port}}}]}}],
            "cables": [{{"name": "k", {cable}}}],
            "devices": [{{"name": "d", "battery_wh": 60, {FLAT}, {device}}}]}}"#
    ))
}

fn berth<'a>(plan: &'a Plan, device: &str) -> &'a Berth {
    let named = |berth: &&Berth| plan.setup.devices[berth.device].name == device;
    let found = plan.berths.iter().find(named);
    found.unwrap_or_else(|| panic!("{device} has no berth"))
}

fn port_of<'a>(plan: &'a Plan, device: &str) -> &'a str {
    let choice = &berth(plan, device).choice;
    &plan.setup.chargers[choice.charger].ports[choice.port].name
}

#[track_caller]
fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-6, "{found} is not {wanted}");
}

/// The watts at the port, at best and promised, and the hours.
#[track_caller]
fn expect(plan: &Plan, device: &str, watts: (f64, f64), hours: (f64, f64)) {
    let berth = berth(plan, device);
    near(berth.choice.contract.port_w(), watts.0);
    near(berth.promised_w().expect("a promised contract"), watts.1);
    near(berth.choice.hours, hours.0);
    near(berth.promise.hours.expect("a promised time"), hours.1);
}

/// Nothing is promised: not even a contract.
#[track_caller]
fn expect_nothing(plan: &Plan, device: &str) {
    let berth = berth(plan, device);
    assert_eq!((berth.promised_w(), berth.promise.hours), (None, None));
    assert_eq!(plan.promised_longest_h, None);
}

const LOSSLESS: &str = r#""ohm": 1e-12, "max_a": 5, "e_marked": true"#;

#[test]
fn a_kind_stands_in_for_what_is_not_said() {
    // A phone: 25 W, so 5 and 9 V; at 9 V all of it. 19.3 Wh, promised 21.2 Wh.
    let port = r#"{"name": "c", "ports": [{"name": "p", "pd_w": 65}]}"#;
    let found = plan(&with(port, r#"{"name": "d", "kind": "phone", FLAT}"#));
    expect(&found, "d", (25.0, 25.0), (19.3 / 25.0, 21.2 / 25.0));
    near(berth(&found, "d").choice.contract.volts, 9.0);
    let fields = |plan: &Plan| -> Vec<&'static str> {
        let assumed = &plan.setup.devices[0].assumed;
        assumed.iter().map(|taken| taken.field).collect()
    };
    assert_eq!(fields(&found), ["inlet", "pd_w", "battery_wh"]);

    // With its watts said alone, that is its `pd_w`: 12 W, so 5 V only. 2 Ah at the cell's
    // 3.85 V are 7.7 Wh, in both readings.
    let said = r#"{"name": "d", "kind": "phone", "max_w": 12, "battery_mah": 2000,
                   "inlet": "usb-c", FLAT}"#;
    let found = plan(&with(port, said));
    expect(&found, "d", (12.0, 12.0), (7.7 / 12.0, 7.7 / 12.0));
    near(berth(&found, "d").choice.contract.volts, 5.0);
    assert_eq!(fields(&found), ["battery_v"]);
}

#[test]
fn a_kind_that_needs_watts_is_promised_nothing_below_them() {
    // A laptop needs 27 W for sure. Beside a tablet that asks 30 W it is left 50 − 30 =
    // 20 W of a pool of 50: nothing is promised. Of 60 it is left 30: 76 Wh at 30 W.
    let devices = r#"{"name": "laptop", "kind": "laptop", FLAT},
                     {"name": "tablet", "kind": "tablet", FLAT}"#;
    let charger = |max_w: f64| {
        format!(
            r#"{{"name": "c", "max_w": {max_w},
                "ports": [{{"name": "p", "pd_w": 65}}, {{"name": "q", "pd_w": 65}}]}}"#
        )
    };
    expect_nothing(&plan(&with(&charger(50.0), devices)), "laptop");
    let found = plan(&with(&charger(60.0), devices));
    near(berth(&found, "laptop").promised_w().unwrap_or(0.0), 30.0);
    near(
        berth(&found, "laptop").promise.hours.unwrap_or(0.0),
        76.0 / 30.0,
    );
    // The tablet: 60 − 65 is nothing, so the 7.5 W that nobody is denied. 43 Wh.
    near(berth(&found, "tablet").promised_w().unwrap_or(0.0), 7.5);
    near(
        berth(&found, "tablet").promise.hours.unwrap_or(0.0),
        43.0 / 7.5,
    );
    // Where it says itself that it needs nothing, that holds: 20 W.
    let modest = devices.replacen("FLAT", r#"FLAT, "min_w": 0"#, 1);
    let found = plan(&with(&charger(50.0), &modest));
    near(berth(&found, "laptop").promised_w().unwrap_or(0.0), 20.0);
}

#[test]
fn ranges_are_their_mean_at_best_and_their_worse_end_promised() {
    // 70 % of 50 Wh at 10 W; 80 % of 60 Wh.
    let found = single(
        r#""offers": "5V 2A""#,
        LOSSLESS,
        r#""accepts": "5V 2A", "battery_wh": [40, 60], "start_pct": [20, 40]"#,
    );
    expect(&found, "d", (10.0, 10.0), (3.5, 4.8));
    // From 80 to 100 %, to be 90: nothing is missing at best, 6 Wh may be. (It is as full
    // at 7.5 W, which are fewer; the port still has 10 W for it.)
    let device = r#""accepts": "5V 2A", "start_pct": [80, 100], "target_pct": 90"#;
    let found = single(r#""offers": "5V 2A""#, LOSSLESS, device);
    expect(&found, "d", (7.5, 10.0), (0.0, 0.6));
    // From 90 on it needs nothing at all.
    let device = device.replace("[80, 100]", "[90, 100]");
    let found = single(r#""offers": "5V 2A""#, LOSSLESS, &device);
    assert_eq!((found.berths.len(), found.unserved), (0, 0));
}

#[test]
fn a_usb_a_port_promises_one_and_a_half_amperes() {
    let on_a = |device: &str| {
        single(
            r#""connector": "usb-a", "offers": "5V 2.4A""#,
            r#""from": "usb-a", "ohm": 1e-12"#,
            device,
        )
    };
    expect(&on_a(r#""accepts": "5V 3A""#), "d", (12.0, 7.5), (5.0, 8.0));
    // Known to take 2 A there: in both readings, and nothing else.
    let known = r#""accepts": "5V 3A", "usb_a_a": 2"#;
    expect(&on_a(known), "d", (10.0, 10.0), (6.0, 6.0));
    // Even where it accepts 9 V alone elsewhere.
    let known = r#""accepts": "9V 3A", "usb_a_a": 2"#;
    expect(&on_a(known), "d", (10.0, 10.0), (6.0, 6.0));
    // It says nothing of a USB-C port.
    let found = single(
        r#""offers": "5V 3A""#,
        LOSSLESS,
        r#""accepts": "5V 3A", "usb_a_a": 1"#,
    );
    expect(&found, "d", (15.0, 15.0), (4.0, 4.0));
}

#[test]
fn what_a_cable_carries_where_it_does_not_say() {
    let watts = |cable: &str, to: &str| {
        let device = format!(r#""pd_w": 240, "inlet": "{to}""#);
        let cable = format!(r#""to": "{to}", "ohm": 1e-12, {cable}"#);
        let found = single(r#""pd_w": 240"#, &cable, &device);
        berth(&found, "d").choice.contract.port_w()
    };
    // 20 V at 3 A, with a marker or without; at 5 A; 48 V at 5 A.
    near(watts(r#""e_marked": false"#, "usb-c"), 60.0);
    near(watts(r#""e_marked": true"#, "usb-c"), 60.0);
    near(watts(r#""watts": 60"#, "usb-c"), 60.0);
    near(watts(r#""watts": 100"#, "usb-c"), 100.0);
    near(watts(r#""watts": 240"#, "usb-c"), 240.0);
    // 5 V at the plug's rating.
    near(watts(r#""e_marked": true"#, "usb-micro-b"), 9.0);
    near(watts(r#""e_marked": false"#, "usb-mini-b"), 5.0);
}

#[test]
fn a_lead_alone_joins_its_port_and_vouches_for_itself() {
    // 0.375 Ω would be promised 2 A without a marker; a lead is 3 A in both readings:
    // 15 W, of which 11.625 W arrive. The better cable does not join.
    let found = plan(&format!(
        r#"{{"chargers": [{{"name": "c", "ports": [{{"name": "p", "offers": "5V 3A",
                "lead": {{"ohm": 0.375, "length_m": 1.5}}}}]}}],
            "cables": [{CABLE}],
            "devices": [{{"name": "d", "accepts": "5V 3A", "battery_wh": 60, {FLAT},
                          "reach_m": 1.5}}]}}"#
    ));
    expect(&found, "d", (15.0, 15.0), (60.0 / 11.625, 60.0 / 11.625));
    assert_eq!(
        found.setup.cables[berth(&found, "d").choice.cable].name,
        "lead"
    );
    // Nor does the lead join a device farther off, or with another inlet.
    for changed in [r#""reach_m": 1.6"#, r#""inlet": "usb-micro-b""#] {
        let found = plan(&format!(
            r#"{{"chargers": [{{"name": "c", "ports": [{{"name": "p", "offers": "5V 3A",
                    "lead": {{"length_m": 1.5}}}}]}}],
                "cables": [],
                "devices": [{{"name": "d", "accepts": "5V 3A", "battery_wh": 60, {changed}}}]}}"#
        ));
        assert_eq!(found.unserved, 1, "{changed}");
    }
}

#[test]
fn too_much_resistance_takes_its_share_of_the_volts() {
    // At 1 Ω half of 5 V would be lost at 2.5 A, more current brings less: 12.5 − 6.25 W.
    // Promised is a drop of 0.75 V: 0.75 A, 3.75 − 0.5625 W.
    let found = single(
        r#""offers": "5V 3A""#,
        r#""ohm": 1"#,
        r#""accepts": "5V 3A""#,
    );
    expect(&found, "d", (12.5, 3.75), (60.0 / 6.25, 60.0 / 3.1875));
    // At 20 V the same share is 3 V: 3 A less 9 W of 60.
    let found = single(
        r#""offers": "20V 5A""#,
        r#""ohm": 1"#,
        r#""accepts": "20V 5A""#,
    );
    expect(&found, "d", (60.0, 60.0), (60.0 / 51.0, 60.0 / 51.0));
    // A marker vouches for the cable: there it counts for loss only.
    let marked = r#""ohm": 1, "e_marked": true"#;
    let found = single(r#""offers": "5V 3A""#, marked, r#""accepts": "5V 3A""#);
    expect(&found, "d", (12.5, 12.5), (60.0 / 6.25, 60.0 / 6.25));
}

#[test]
fn programmable_volts_are_promised_at_nine() {
    let pps = |offers: &str| {
        let offers = format!(r#""offers": "PPS {offers}V 3A""#);
        single(&offers, LOSSLESS, r#""accepts": "PPS 3.3-21V 3A""#)
    };
    expect(
        &pps("3.3-21"),
        "d",
        (63.0, 27.0),
        (60.0 / 63.0, 60.0 / 27.0),
    );
    expect(
        &pps("3.3-5.9"),
        "d",
        (17.7, 17.7),
        (60.0 / 17.7, 60.0 / 17.7),
    );
    expect(&pps("10-21"), "d", (63.0, 30.0), (60.0 / 63.0, 2.0));
}

#[test]
fn voltages_that_may_fall_away_are_not_promised() {
    // d asks 60 W at 20 V, e 15 W at 5 V, of a pool of 60: d is left 45 W, where the power
    // rules require 20 V no more. At best they are kept: 45 W.
    let charger = |more: &str| {
        format!(
            r#"{{"name": "c", "max_w": 60, {more} "ports": [
                {{"name": "p", "offers": "5V 3A, 20V 3A"}}, {{"name": "q", "offers": "5V 3A"}}]}}"#
        )
    };
    let devices = r#"{"name": "d", "accepts": "20V 3A", "battery_wh": 90, FLAT},
                     {"name": "e", "accepts": "5V 3A", "battery_wh": 15, FLAT}"#;
    let found = plan(&with(&charger(""), devices));
    expect_nothing(&found, "d");
    near(berth(&found, "d").choice.hours, 2.0);
    // 60 − 60 W: the floor.
    expect(&found, "e", (15.0, 7.5), (1.0, 2.0));
    let found = plan(&with(&charger(r#""voltages": "kept","#), devices));
    expect(&found, "d", (45.0, 45.0), (2.0, 2.0));
    // By the rules d has 60 W or nothing, and one of them has no berth.
    let found = plan(&with(&charger(r#""voltages": "rules","#), devices));
    assert_eq!((found.unserved, found.without_berth[0].0), (1, 1));
    // (It misses less.)
    near(found.missing_wh, 15.0);
}

#[test]
fn a_port_of_another_connector_has_no_steps() {
    // Two ports of 12 W under 17 W: 12 + 5 fit, 12 + 12 do not, for there is no 7.5 W.
    let two = |second: &str| {
        plan(&format!(
            r#"{{"chargers": [{{"name": "c", "max_w": 17, "ports": [
                    {{"name": "p", "connector": "usb-a", "offers": "5V 2.4A"}},
                    {{"name": "q", "connector": "usb-a", "offers": "5V 2.4A"}}]}}],
                "cables": [{{"name": "k", "from": "usb-a", "ohm": 1e-12, "count": 2}}],
                "devices": [
                    {{"name": "d", "accepts": "5V 2.4A", "usb_a_a": 2.4, "battery_wh": 12, {FLAT}}},
                    {{"name": "e", "accepts": "{second}", "battery_wh": 5, {FLAT}}}]}}"#
        ))
    };
    let found = two("5V 1A");
    // What both ask fits in: each has it, however the charger shares.
    expect(&found, "d", (12.0, 12.0), (1.0, 1.0));
    expect(&found, "e", (5.0, 5.0), (1.0, 1.0));
    near(found.pools[0].used_w, 17.0);
    assert_eq!(two("5V 2.4A").unserved, 1);
}

#[test]
fn nobody_is_left_less_than_the_floor() {
    // Two that ask 15 W under 10 W, on a charger with steps of 4 W and 15 W. At best 4 W
    // each. Promised is the half of 10 W, for 10 − 15 is nothing: 5 W, between the steps.
    let devices = r#"{"name": "d", "count": 2, "accepts": "5V 3A", "battery_wh": 20, FLAT}"#;
    let charger = |max_w: u64| {
        format!(
            r#"{{"name": "c", "max_w": {max_w}, "tiers_w": [4], "ports": [
                {{"name": "p", "offers": "5V 3A"}}, {{"name": "q", "offers": "5V 3A"}}]}}"#
        )
    };
    let found = plan(&with(&charger(10), devices));
    expect(&found, "d 1", (4.0, 5.0), (5.0, 4.0));
    expect(&found, "d 2", (4.0, 5.0), (5.0, 4.0));
    // Under 18 W: 7.5 W at least.
    let found = plan(&with(&charger(18), devices));
    near(berth(&found, "d 2").promised_w().unwrap_or(0.0), 7.5);
    // Under 26 W: 11 W are left, which is no step; 7.5 W more than the step of 4 W.
    let found = plan(&with(&charger(26), devices));
    near(berth(&found, "d 2").promised_w().unwrap_or(0.0), 7.5);
    // Under 30 W both have all.
    let found = plan(&with(&charger(30), devices));
    expect(&found, "d 2", (15.0, 15.0), (20.0 / 15.0, 20.0 / 15.0));
}

#[test]
fn a_plug_of_another_kind_gives_what_it_prints_or_nothing() {
    // Over 1 Ω, 12 V 2 A bring 20 W and 9 V 3 A only 18 W; but the device may ask the
    // 27 W. Two of them under 48 W: 24 + 24 fit; left is 48 − 27 = 21 W, no step.
    let plan_under = |max_w: u64| {
        plan(&format!(
            r#"{{"chargers": [{{"name": "c", "max_w": {max_w}, "ports": [
                    {{"name": "p", "connector": "other:barrel", "offers": "12V 2A, 9V 3A"}},
                    {{"name": "q", "connector": "other:barrel", "offers": "12V 2A, 9V 3A"}}]}}],
                "cables": [{{"name": "k", "from": "other:barrel", "to": "other:barrel",
                             "ohm": 1, "count": 2}}],
                "devices": [{{"name": "d", "inlet": "other:barrel", "count": 2,
                    "accepts": "12V 2A, 9V 3A", "battery_wh": 20, {FLAT}}}]}}"#
        ))
    };
    let found = plan_under(48);
    expect_nothing(&found, "d 1");
    near(berth(&found, "d 1").choice.hours, 1.0);
    assert_eq!((found.promised_late, found.late), (0, 0));
    expect(&plan_under(54), "d 1", (24.0, 24.0), (1.0, 1.0));
}

/// Ports of 65 W and 20 W, and a device for each.
fn beside_a_table(charger: &str) -> Plan {
    let charger = format!(
        r#"{{"name": "c", "ports": [{{"name": "p", "pd_w": 65}}, {{"name": "q", "pd_w": 20}}]
            {charger}}}"#
    );
    let devices = r#"{"name": "d", "pd_w": 65, "battery_wh": 90, "port": "p", FLAT},
                     {"name": "e", "pd_w": 20, "battery_wh": 20, "port": "q", FLAT}"#;
    plan(&with(&charger, devices))
}

#[test]
fn lines_of_a_table_are_promised() {
    let found = beside_a_table(r#", "combinations": [{"p": 45, "q": 20}, {"p": 65}]"#);
    expect(&found, "d", (45.0, 45.0), (2.0, 2.0));
    expect(&found, "e", (20.0, 20.0), (1.0, 1.0));
    // Of two lines for the same ports each port has the less: 18 W, and 15 W. At best
    // either line: 45 + 15 (2 h and 20/15 h) or 18 + 20; the sum of hours decides.
    let found = beside_a_table(r#", "combinations": [{"p": 45, "q": 15}, {"p": 18, "q": 20}]"#);
    expect(&found, "d", (45.0, 18.0), (2.0, 5.0));
    expect(&found, "e", (15.0, 15.0), (20.0 / 15.0, 20.0 / 15.0));
    // A line below the floor is the floor.
    let found = beside_a_table(r#", "combinations": [{"p": 45, "q": 5}]"#);
    expect(&found, "e", (5.0, 5.0), (4.0, 4.0));
}

#[test]
fn pools_beside_a_table_are_subtracted() {
    // Of 50 W d is left 50 − 20 = 30 W, below its line's 45 W; e 50 − 45 = 5 W, so the
    // floor. At best 30 + 20 are 3 h and 1 h, 27 + 20 are slower, and 45 + 5 is no step
    // of e.
    let found = beside_a_table(r#", "max_w": 50, "combinations": [{"p": 45, "q": 20}]"#);
    expect(&found, "d", (30.0, 30.0), (3.0, 3.0));
    expect(&found, "e", (20.0, 7.5), (1.0, 20.0 / 7.5));
}

#[test]
fn a_label_that_says_nothing_of_both_promises_all() {
    let found = beside_a_table("");
    expect(&found, "d", (65.0, 65.0), (90.0 / 65.0, 90.0 / 65.0));
    expect(&found, "e", (20.0, 20.0), (1.0, 1.0));
    // A pool over one of them leaves the other alone.
    let pool = r#", "pools": [{"name": "own", "ports": ["q"], "max_w": 10}]"#;
    let found = beside_a_table(pool);
    expect(&found, "d", (65.0, 65.0), (90.0 / 65.0, 90.0 / 65.0));
    expect(&found, "e", (7.5, 7.5), (20.0 / 7.5, 20.0 / 7.5));
}

#[test]
fn a_charger_that_holds_back_what_it_offers_promises_less() {
    // d takes 10 W of a port of 60 W. By contracts e is left 75 − 10 W: all of its 60. By
    // offers it is left 75 − 60 = 15 W. At best d's step is 15 W, and 15 + 60 fit.
    let found = |reserve: &str| {
        let charger = format!(
            r#"{{"name": "c", "max_w": 75, "reserve": "{reserve}",
                "ports": [{{"name": "p", "pd_w": 60}}, {{"name": "q", "pd_w": 60}}]}}"#
        );
        let devices = r#"{"name": "d", "accepts": "5V 2A", "battery_wh": 10, FLAT},
                         {"name": "e", "pd_w": 60, "battery_wh": 60, FLAT}"#;
        plan(&with(&charger, devices))
    };
    expect(&found("contract"), "e", (60.0, 60.0), (1.0, 1.0));
    let by_offer = found("offer");
    expect(&by_offer, "e", (60.0, 15.0), (1.0, 4.0));
    expect(&by_offer, "d", (10.0, 10.0), (1.0, 1.0));
    near(by_offer.pools[0].used_w, 75.0);
}

#[test]
fn the_aim_decides_where_a_device_goes() {
    // e sits in q and asks 60 W of 67.5. At best it is content with 7.5 W, and d beside it
    // has 60 W: 1 h. Promised is 67.5 − 60 = 7.5 W there, and 30 W on the other charger.
    let chargers = r#"{"name": "b", "max_w": 67.5,
                       "ports": [{"name": "p", "pd_w": 60}, {"name": "q", "pd_w": 60}]},
                      {"name": "a", "ports": [{"name": "r", "pd_w": 30}]}"#;
    let devices = r#"{"name": "d", "pd_w": 60, "battery_wh": 60, FLAT},
                     {"name": "e", "pd_w": 60, "battery_wh": 5, "port": "q", FLAT}"#;
    let json = with(chargers, devices);
    let found = plan(&json);
    assert_eq!(port_of(&found, "d"), "r");
    expect(&found, "d", (30.0, 30.0), (2.0, 2.0));
    let found = plan(&json.replacen('{', r#"{"aim": "best", "#, 1));
    assert_eq!(port_of(&found, "d"), "p");
    expect(&found, "d", (60.0, 7.5), (1.0, 8.0));
    near(found.longest_h, 1.0);
    near(found.promised_longest_h.unwrap_or(0.0), 8.0);
}

#[test]
fn what_nobody_notices_is_given_for_the_sum() {
    // d, 60 Wh, has 2 h at 30 W and 60/29.5 = 2.034 h at 29.5 W; e, 45 Wh and urgent,
    // 1.5 h and 1.525 h. Within 0.05 h e's hours, which count twice those of d, decide;
    // without a tolerance the longest does.
    let chargers = r#"{"name": "c", "ports": [
                       {"name": "p", "pd_w": 30}, {"name": "q", "pd_w": 30, "max_w": 29.5}]}"#;
    let devices = r#"{"name": "d", "accepts": "20V 3A, 15V 3A", "battery_wh": 60, FLAT},
                     {"name": "e", "accepts": "15V 3A", "battery_wh": 45, "priority": 1, FLAT}"#;
    let json = with(chargers, devices);
    assert_eq!(port_of(&plan(&json), "d"), "q");
    let strict = json.replacen('{', r#"{"tolerance_h": 0, "#, 1);
    assert_eq!(port_of(&plan(&strict), "d"), "p");
    let nearly = json.replacen('{', r#"{"tolerance_h": 0.03, "#, 1);
    assert_eq!(port_of(&plan(&nearly), "d"), "p");
}

/// Ports of 60 W and 15 W.
const UNEQUAL: &str = r#"{"name": "c", "ports": [
    {"name": "p", "pd_w": 60}, {"name": "q", "pd_w": 15}]}"#;

#[test]
fn what_is_charged_if_there_is_room_delays_nobody() {
    // a has 1 h at 60 W and 4 h at 15; b, of priority 3, 10 h and 40 h.
    let devices = |priority: u64| {
        format!(
            r#"{{"name": "a", "pd_w": 60, "battery_wh": 60, FLAT}},
               {{"name": "b", "pd_w": 60, "battery_wh": 600, "priority": {priority}, FLAT}}"#
        )
    };
    let found = plan(&with(UNEQUAL, &devices(3)));
    assert_eq!((port_of(&found, "a"), port_of(&found, "b")), ("p", "q"));
    near(found.longest_h, 40.0);
    let found = plan(&with(UNEQUAL, &devices(2)));
    assert_eq!((port_of(&found, "a"), port_of(&found, "b")), ("q", "p"));
}

#[test]
fn the_urgent_are_late_last() {
    // One is late either way: a, of priority 1, on q (10/15 h, ready in 0.5 h), or b there
    // (4 h, ready in 2 h), which takes longer.
    let devices = r#"{"name": "a", "pd_w": 60, "battery_wh": 10, "priority": 1,
                      "ready_by_h": 0.5, FLAT},
                     {"name": "b", "pd_w": 60, "battery_wh": 60, "ready_by_h": 2, FLAT}"#;
    let found = plan(&with(UNEQUAL, devices));
    assert_eq!((port_of(&found, "a"), port_of(&found, "b")), ("p", "q"));
    assert_eq!((found.late, found.promised_late), (1, 1));
    assert_eq!(found.score.late, [0, 1, 0]);
}

#[test]
fn what_is_never_full_by_promise_is_late_where_there_is_a_deadline() {
    // Below its 20 W, which beside another of 60 W of 75 are not promised to either.
    let charger = r#"{"name": "c", "max_w": 75, "ports": [
                      {"name": "p", "pd_w": 60}, {"name": "q", "pd_w": 60}]}"#;
    let devices = r#"{"name": "d", "count": 2, "pd_w": 60, "min_w": 20, "battery_wh": 30,
                      FLAT}"#;
    let found = plan(&with(charger, devices));
    assert_eq!((found.berths.len(), found.promised_late), (2, 0));
    expect_nothing(&found, "d 2");
    let devices = devices.replace("FLAT", r#""ready_by_h": 9, FLAT"#);
    let found = plan(&with(charger, &devices));
    assert_eq!(
        (found.berths.len(), found.promised_late, found.late),
        (2, 2, 0)
    );
}

#[test]
fn the_least_watts_count_at_the_port() {
    // 15 W at the port, of which 15 − 9 × 0.2 = 13.2 W arrive.
    let needs = |min_w: f64| {
        let device = format!(r#""accepts": "5V 3A", "min_w": {min_w}"#);
        single(
            r#""offers": "5V 3A""#,
            r#""ohm": 0.2, "e_marked": true"#,
            &device,
        )
    };
    expect(&needs(15.0), "d", (15.0, 15.0), (60.0 / 13.2, 60.0 / 13.2));
    let found = needs(15.1);
    assert_eq!(found.without_berth, [(0, Cause::BelowMinimum)]);
}

#[test]
fn a_device_of_few_watts_takes_no_high_volts() {
    // 20 W stand for 5 and 9 V; 30 W for 15 V too, 46 W for 20 V.
    let on = |offers: &str, pd_w: f64| {
        let offers = format!(r#""offers": "{offers}""#);
        single(&offers, LOSSLESS, &format!(r#""pd_w": {pd_w}"#)).unserved
    };
    assert_eq!((on("9V 3A", 15.0), on("9V 3A", 20.0)), (1, 0));
    assert_eq!((on("15V 3A", 27.0), on("15V 3A", 30.0)), (1, 0));
    assert_eq!((on("20V 3A", 45.0), on("20V 3A", 46.0)), (1, 0));
}

#[test]
fn a_battery_tapers_by_its_rate() {
    // 10 W into 100 Wh taper at 95 %, into 2 Wh at 60 %: the least and the most.
    let hours = |wh: f64, taper: f64| {
        let found = plan(&format!(
            r#"{{"chargers": [{{"name": "c", "ports": [{{"name": "p", "offers": "5V 2A"}}]}}],
                "cables": [{CABLE}],
                "devices": [{{"name": "d", "accepts": "5V 2A", "battery_wh": {wh}}}]}}"#
        ));
        let even = taper / 10.0;
        let falling = (1.0 - taper) * 10_f64.ln() / 9.0;
        let hours = wh * (even + falling) / 0.88;
        expect(&found, "d", (10.0, 10.0), (hours, hours));
    };
    hours(100.0, 0.95);
    hours(2.0, 0.6);
}

#[test]
fn a_gain_that_nobody_notices_limits_nothing() {
    // 3 A over 0.25 Ω bring 12.75 W, over a 240 W cable's 0.15 Ω 13.65 W: of 12.75 Wh
    // that is 1 h against 0.934 h.
    let found = |tolerance: &str| {
        let json = format!(
            r#"{{{tolerance} "chargers": [{{"name": "c", "ports": [{{"name": "p", "offers": "5V 3A"}}]}}],
                "cables": [{{"name": "k"}}],
                "devices": [{{"name": "d", "accepts": "5V 3A", "battery_wh": 12.75, {FLAT}}}]}}"#
        );
        plan(&json).berths[0].limited_by
    };
    assert_eq!(found(""), Limit::Cable);
    assert_eq!(found(r#""tolerance_h": 0.1,"#), Limit::Device);
}

#[test]
fn a_rota_promises_the_least_of_its_sessions() {
    // d is there from the evening on, e in the night alone. d asks 60 W of 60, e 45. In
    // the evening d is promised all, in the night 60 − 45 = 15 W: 225 Wh take 15 h, longer
    // than the 11 h that there are. At best 45 + 15 W: 5 h, and 1 h + 1 h. e is promised
    // 60 − 60 W, so the floor: 1 h + 15 Wh / 7.5 W.
    let charger = r#"{"name": "c", "max_w": 60, "ports": [
                      {"name": "p", "pd_w": 60}, {"name": "q", "pd_w": 60}]}"#;
    let devices = r#"{"name": "d", "pd_w": 60, "battery_wh": 225, FLAT},
                     {"name": "e", "pd_w": 45, "battery_wh": 15, "sessions": ["night"], FLAT}"#;
    let sessions = r#"{"sessions": [{"name": "evening", "hours": 1},
                                    {"name": "night", "hours": 10}], "#;
    let found = rota(&with(charger, devices).replacen('{', sessions, 1));
    expect(&found, "d", (45.0, 15.0), (5.0, 15.0));
    expect(&found, "e", (15.0, 7.5), (1.0, 2.0));
    assert_eq!(berth(&found, "e").choice.stay.finish, 2_000_000);
    assert_eq!(berth(&found, "e").promise.finish, 3_000_000);
    assert_eq!((found.late, found.promised_late), (0, 1));
    near(found.promised_longest_h.unwrap_or(0.0), 15.0);
}

/// A plan of two devices by its times, in hundredths of an hour, and its sum of hours.
fn of_times(times: [i64; 2], hours: i64) -> Score {
    Score {
        times: times.map(|time| time * 10_000).to_vec(),
        hours: hours * 10_000,
        ..Score::nothing()
    }
}

#[test]
fn each_place_has_its_own_least_and_the_tolerance() {
    let devices = r#"{"name": "d", "count": 2, "pd_w": 30, "battery_wh": 5}"#;
    let setup = read(&with("", devices));
    let best = |plans: Vec<(Score, char)>| best_of(&setup, plans).1;
    // The first places may be up to 2.05 h: c goes. Of a, b and d the second places may be
    // up to 1.25 h: a goes. Of b and d the sum decides.
    let plans = || {
        vec![
            (of_times([200, 150], 300), 'a'),
            (of_times([204, 120], 324), 'b'),
            (of_times([206, 50], 256), 'c'),
            (of_times([205, 125], 310), 'd'),
        ]
    };
    assert_eq!(best(plans()), 'd');
    // A plan that leaves somebody out comes after all of them.
    let mut all = plans();
    all.push((
        Score {
            unserved: [0, 1, 0],
            ..of_times([1, 1], 2)
        },
        'e',
    ));
    assert_eq!(best(all), 'd');
    // Without d the sum is 3.24 h in b, whatever a has.
    let mut all = plans();
    all.pop();
    assert_eq!(best(all), 'b');
    // What is never full is within the tolerance of nothing but itself.
    let never = |second: i64, hours: i64| Score {
        times: vec![NEVER, second],
        ..of_times([0, 0], hours)
    };
    assert_eq!(
        best(vec![(never(7, 9), 'n'), (of_times([900, 900], 1), 'f')]),
        'f'
    );
    assert_eq!(best(vec![(never(7, 9), 'n'), (never(8, 1), 'm')]), 'm');
}

#[test]
fn a_table_steps_a_port_of_another_connector() {
    // A usb-a port has no steps of its own; a line gives it 6 W beside the other.
    let found = plan(&format!(
        r#"{{"chargers": [{{"name": "c", "combinations": [{{"p": 30, "q": 6}}], "ports": [
                {{"name": "p", "pd_w": 30}},
                {{"name": "q", "connector": "usb-a", "offers": "5V 2.4A"}}]}}],
            "cables": [{CABLE}, {{"name": "a", "from": "usb-a", "ohm": 1e-12}}],
            "devices": [{{"name": "d", "pd_w": 30, "battery_wh": 30, "port": "p", {FLAT}}},
                        {{"name": "e", "accepts": "5V 2.4A", "usb_a_a": 2.4, "battery_wh": 12,
                          "port": "q", {FLAT}}}]}}"#
    ));
    expect(&found, "d", (30.0, 30.0), (1.0, 1.0));
    expect(&found, "e", (6.0, 6.0), (2.0, 2.0));
    near(berth(&found, "e").choice.tier_w, 6.0);
    assert_eq!(berth(&found, "e").limited_by, Limit::Combination);
}
