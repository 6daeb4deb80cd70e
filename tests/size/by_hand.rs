//! Bags whose least charger is worked out in the comments.

use wattberth::{Bag, Cable, Device, Error, Reason, Setup, SetupDocument, Sizing, size};

use super::bag;

/// A device with a battery of so many watt-hours that takes whatever it gets.
fn device(name: &str, battery_wh: f64, accepts: &str) -> Device {
    Device::new(name, battery_wh)
        .accepts(accepts)
        .draw_w([(0.0, 1_000.0)])
        .efficiency(1.0)
}

/// A cable without loss.
fn lossless(name: &str) -> Cable {
    Cable::c_to_c(name).ohm(0.0)
}

fn sized(document: SetupDocument, by_h: Option<f64>) -> Sizing {
    size(&document.check_bag().expect("a bag"), by_h).expect("a size")
}

#[track_caller]
fn case(sizing: &Sizing, ports: &[(&str, f64, f64)], frontier: &[(f64, f64)]) {
    let found: Vec<_> = sizing
        .ports
        .iter()
        .map(|port| (port.device.as_str(), port.tier_w, port.port_w))
        .collect();
    assert_eq!(found, ports);
    let found: Vec<_> = sizing
        .frontier
        .iter()
        .map(|point| (point.longest_h, point.total_w))
        .collect();
    assert_eq!(found, frontier);
}

#[test]
fn two_devices_and_every_level_of_them() {
    // 45 Wh at 15 V 3 A and 27 Wh at 9 V 3 A. Through a lossless cable of 3 A the first
    // gets 7.5, 15 W (5 V), 18, 20, 27 W (9 V), 30 or 45 W (15 V): full after 6, 3, 2.5,
    // 2.25, 1.666667, 1.5, 1 h. The second gets up to 27 W: 3.6, 1.8, 1.5, 1.35, 1 h.
    // Longest time and least watts: 6 h: 15; 3.6 h: 15 + 7.5; 3 h: 15 + 15; 2.5 h: 18 +
    // 15; 2.25 h: 20 + 15; 1.8 h: 27 + 15; 1.666667 h: 27 + 18; 1.5 h: 30 +
    // 18; 1.35 h: 45 + 20; 1 h: 45 + 27.
    let document = SetupDocument::new()
        .cable(lossless("k").count(2))
        .device(device("large", 45.0, "5V 3A, 9V 3A, 15V 3A"))
        .device(device("small", 27.0, "5V 3A, 9V 3A"));
    let frontier = [
        (1.0, 72.0),
        (1.35, 65.0),
        (1.5, 48.0),
        (1.666_667, 45.0),
        (1.8, 42.0),
        (2.25, 35.0),
        (2.5, 33.0),
        (3.0, 30.0),
        (3.6, 22.5),
        (6.0, 15.0),
    ];
    let two_hours = sized(document.clone(), Some(2.0));
    case(
        &two_hours,
        &[("large", 27.0, 27.0), ("small", 15.0, 15.0)],
        &frontier,
    );
    assert_eq!((two_hours.longest_h, two_hours.total_w), (1.8, 42.0));
    // The labels say 45 and 27 W.
    assert_eq!(two_hours.labels_sum_w, 72.0);
    assert_eq!(two_hours.labels_factor, Some(1.714_286));

    // Without a time it is the shortest there is.
    let fastest = sized(document.clone(), None);
    case(
        &fastest,
        &[("large", 45.0, 45.0), ("small", 27.0, 27.0)],
        &frontier,
    );

    // A session is the time where none is given, and gives way where one is.
    let session = document.session_h(3.0);
    assert_eq!(sized(session.clone(), None).total_w, 30.0);
    assert_eq!(sized(session, Some(2.0)).total_w, 42.0);
}

#[test]
fn one_good_cable_goes_where_it_saves_watts() {
    // 20 V need more than 45 W, so tier 60. Through the good cable (no loss, 3 A) 60 W
    // arrive, through the bad one (0.5 ohm, at most 0.75 V / 0.5 ohm = 1.5 A) 20 V x
    // 1.5 A - 1.5² x 0.5 = 28.875 W. In 1 h the first needs 50 W and so the good cable at
    // tier 60: 60 W. The second, 20 Wh of 5 to 15 V, gets at 15 V 1.5 A 22.5 W less
    // 1.125 W through the bad one: 0.935673 h; 13.5 W less 1.125 at 9 V are too few. The
    // tier is the least of more than 27 W, 30 W, and 22.5 W of it are drawn.
    let bad = Cable::c_to_c("bad").ohm(0.5);
    let document = SetupDocument::new()
        .cable(bad)
        .cable(lossless("good"))
        .device(device("first", 50.0, "20V 3A"))
        .device(device("second", 20.0, "5V 3A, 9V 3A, 15V 3A"));
    let sizing = sized(document, Some(1.0));
    let cables: Vec<_> = sizing.ports.iter().map(|p| p.cable.as_str()).collect();
    assert_eq!(cables, ["good", "bad"]);
    let ports: Vec<_> = sizing
        .ports
        .iter()
        .map(|p| (p.tier_w, p.port_w, p.hours))
        .collect();
    assert_eq!(ports, [(60.0, 60.0, 0.833_333), (30.0, 22.5, 0.935_673)]);
    assert_eq!((sizing.total_w, sizing.tiers_sum_w), (82.5, 90.0));
}

#[test]
fn deadlines_of_their_own_hold_beside_the_time() {
    // 15 Wh at 5 V: 7.5 W in 2 h or 15 W in 1 h. One must be ready after 1 h.
    let document = SetupDocument::new()
        .cable(lossless("k").count(2))
        .device(device("hurried", 15.0, "5V 3A").ready_by_h(1.0))
        .device(device("patient", 15.0, "5V 3A").ready_by_h(8.0));
    let ports = [("hurried", 15.0, 15.0), ("patient", 7.5, 7.5)];
    let frontier = [(1.0, 30.0), (2.0, 22.5)];
    case(&sized(document.clone(), Some(4.0)), &ports, &frontier);
    let both = [("hurried", 15.0, 15.0), ("patient", 15.0, 15.0)];
    case(&sized(document, Some(1.5)), &both, &frontier);
}

#[test]
fn who_gets_no_port_is_named_with_the_reason() {
    // 15 Wh at 5 V: 1 h at 15 W, 2 h at 7.5 W; through the thin cable of 1 A 3 h at 5 W.
    // In 2 h only the thick one will do, for one of the two alike: that of priority 1,
    // although it is listed later. 100 Wh at 15 W take 6.666667 h.
    let document = SetupDocument::new()
        .cable(lossless("thick"))
        .cable(lossless("thin").max_a(1.0))
        .cable(Cable::a_to_c("flat").ohm(0.0))
        .cable(Cable::new("flat micro", "usb-a", "usb-micro-b").ohm(0.0))
        .device(device("spare", 15.0, "5V 3A"))
        .device(device("needed", 15.0, "5V 3A").priority(1))
        .device(device("slow", 100.0, "5V 3A"))
        .device(device("odd", 5.0, "5V 1A").inlet("usb-micro-b"))
        .device(device("far", 5.0, "5V 1A").reach_m(3.0))
        .device(device("full", 5.0, "5V 1A").start_pct(100.0));
    let sizing = sized(document, Some(2.0));
    let frontier = [(1.0, 15.0), (2.0, 7.5), (3.0, 5.0)];
    case(&sizing, &[("needed", 7.5, 7.5)], &frontier);
    let late: Vec<_> = sizing
        .too_late
        .iter()
        .map(|late| (late.device.as_str(), late.earliest_h, late.needed_h))
        .collect();
    assert_eq!(late, [("slow", 6.666_667, 2.0)]);
    let unreached: Vec<_> = sizing
        .unreached
        .iter()
        .map(|without| (without.device.as_str(), without.cause.clone()))
        .collect();
    let cables = vec!["thick".to_owned()];
    let connectors = vec!["usb-a".to_owned()];
    let (reach_m, longest_m) = (3.0, 0.0);
    assert_eq!(
        unreached,
        [
            ("spare", Reason::FewerCables { cables }),
            ("odd", Reason::NoPortForCable { connectors }),
            ("far", Reason::NoCableReaches { reach_m, longest_m }),
        ]
    );
}

#[test]
fn chargers_and_pins_onto_them_are_not_looked_at() {
    let devices = r#""cables": [{"name": "k", "ohm": 0}], "devices": [{"name": "d",
        "accepts": "5V 3A", "battery_wh": 15, "port": "C9", "draw_w": [[0, 99]], "efficiency": 1}]"#;
    let alone = bag(&format!("{{{devices}}}"));
    let with = bag(&format!(
        r#"{{"chargers": [{{"name": "c", "ports": [{{"name": "C1", "pd_w": 5}}]}}], {devices}}}"#
    ));
    for setup in [&alone, &with] {
        let sizing = size(setup, Some(1.0)).expect("a size");
        assert_eq!((sizing.ports.len(), sizing.total_w), (1, 15.0));
    }
    let empty = bag(&format!(r#"{{"chargers": [], {devices}}}"#));
    assert_eq!(size(&empty, Some(1.0)).expect("a size").total_w, 15.0);

    // A whole setup is sized without its charger and its pin, too.
    let whole = r#"{"chargers": [{"name": "c", "ports": [{"name": "C9", "pd_w": 5}]}], "#;
    let whole = Setup::from_json(&format!("{whole}{devices}}}")).expect("a setup");
    assert_eq!(size(&whole.bag(), Some(1.0)).expect("a size").total_w, 15.0);
}

#[test]
fn a_bag_has_its_faults_all_the_same() {
    let Err(Error::Input(faults)) =
        Bag::from_json(r#"{"cables": [{"name": "k", "max_a": -1}], "devices": []}"#)
    else {
        panic!("two faults")
    };
    let paths: Vec<_> = faults.iter().map(|fault| fault.path.as_str()).collect();
    assert_eq!(paths, ["cables[0].max_a", "devices"]);
}

#[test]
fn times_outside_their_range_are_refused() {
    let bag = bag(r#"{"devices": [{"name": "d", "accepts": "5V 1A", "battery_wh": 1}]}"#);
    for by_h in [-1.0, f64::NAN, f64::INFINITY, 10_000.1] {
        assert!(
            matches!(size(&bag, Some(by_h)), Err(Error::Options { .. })),
            "{by_h}"
        );
    }
    let nobody = size(&bag, Some(0.0)).expect("a size");
    assert_eq!(
        nobody.unreached[0].cause,
        Reason::NoCableForInlet {
            inlet: "usb-c".to_owned()
        }
    );
    assert_eq!((nobody.total_w, nobody.labels_factor), (0.0, None));
    assert_eq!(nobody.charger("none"), None);
}
