//! Bags whose least charger is worked out in the comments.

use wattberth::{Aim, Bag, Cable, Device, Error, Reason, Setup, SetupDocument, Sizing, size};

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
    // gets 15 W (5 V) of a port of 15 W, 20 W (9 V) of one of 20 W, 30 or 45 W (15 V) of one
    // of 30 or 45 W: full after 3, 2.25, 1.5, 1 h. The second gets 15, 20 or, of a port of
    // 30 W, 27 W: 1.8, 1.35, 1 h.
    // Longest time and least watts: 3 h: 15 + 15; 2.25 h: 20 + 15; 1.8 h: 30 + 15; 1.5 h:
    // 30 + 20; 1.35 h: 45 + 20; 1 h: 45 + 27.
    let document = SetupDocument::new()
        .cable(lossless("k").count(2))
        .device(device("large", 45.0, "5V 3A, 9V 3A, 15V 3A"))
        .device(device("small", 27.0, "5V 3A, 9V 3A"));
    let frontier = [
        (1.0, 72.0),
        (1.35, 65.0),
        (1.5, 50.0),
        (1.8, 45.0),
        (2.25, 35.0),
        (3.0, 30.0),
    ];
    let two_hours = sized(document.clone(), Some(2.0));
    case(
        &two_hours,
        &[("large", 30.0, 30.0), ("small", 15.0, 15.0)],
        &frontier,
    );
    assert_eq!((two_hours.longest_h, two_hours.total_w), (1.8, 45.0));
    // The labels say 45 and 27 W.
    assert_eq!(two_hours.labels_sum_w, 72.0);
    assert_eq!(two_hours.labels_factor, Some(1.6));

    // Without a time it is the shortest there is.
    let fastest = sized(document.clone(), None);
    case(
        &fastest,
        &[("large", 45.0, 45.0), ("small", 30.0, 27.0)],
        &frontier,
    );

    // A session is the time where none is given, and gives way where one is.
    let session = document.session_h(3.0);
    assert_eq!(sized(session.clone(), None).total_w, 30.0);
    assert_eq!(sized(session, Some(2.0)).total_w, 45.0);
}

#[test]
fn one_good_cable_goes_where_it_saves_watts() {
    // 20 V need more than 45 W, so a port of 65 W. Of it 60 W are drawn (3 A), and 60 W
    // arrive through the good cable, 55.5 W through the bad one of 0.5 ohm: the first, 50 Wh,
    // is full in 1 h through either. The second, 20 Wh, needs 20 W for that: through the good
    // cable those of a port of 20 W (9 V); through the bad one, which takes 2.469136 W of
    // these, 28 W of a port of 30 W (15 V 2 A). The promise does not bind: 0.15 x volts /
    // 0.5 ohm are 6 A at 20 V and 4.5 A at 15 V.
    let bad = Cable::c_to_c("bad").ohm(0.5);
    let document = SetupDocument::new()
        .cable(bad)
        .cable(lossless("good"))
        .device(device("first", 50.0, "20V 3A"))
        .device(device("second", 20.0, "5V 3A, 9V 3A, 15V 3A"));
    let sizing = sized(document, Some(1.0));
    let cables: Vec<_> = sizing.ports.iter().map(|p| p.cable.as_str()).collect();
    assert_eq!(cables, ["bad", "good"]);
    let ports: Vec<_> = sizing
        .ports
        .iter()
        .map(|p| (p.tier_w, p.port_w, p.hours))
        .collect();
    assert_eq!(ports, [(65.0, 60.0, 0.900_901), (20.0, 20.0, 1.0)]);
    assert_eq!((sizing.total_w, sizing.tiers_sum_w), (80.0, 85.0));
}

#[test]
fn deadlines_of_their_own_hold_beside_the_time() {
    // 20 Wh: 15 W of 5 V in 1.333333 h, 20 W of 9 V in 1 h, or 27 W of a port of 30 W in
    // 0.740741 h. One must be ready after 1 h.
    let alike = |name: &str| device(name, 20.0, "5V 3A, 9V 3A");
    let document = SetupDocument::new()
        .cable(lossless("k").count(2))
        .device(alike("hurried").ready_by_h(1.0))
        .device(alike("patient").ready_by_h(8.0));
    let ports = [("hurried", 20.0, 20.0), ("patient", 15.0, 15.0)];
    let frontier = [(0.740_741, 54.0), (1.0, 40.0), (1.333_333, 35.0)];
    case(&sized(document.clone(), Some(4.0)), &ports, &frontier);
    let both = [("hurried", 20.0, 20.0), ("patient", 20.0, 20.0)];
    case(&sized(document, Some(1.2)), &both, &frontier);
}

#[test]
fn who_gets_no_port_is_named_with_the_reason() {
    // 15 Wh at 5 V: 1 h at 15 W; through the thin cable of 1 A 3 h at 5 W. In 2 h only the
    // thick one will do, for one of the two alike: that of priority 1, although it is listed
    // later. 100 Wh at 15 W take 6.666667 h. No port of USB-C is joined to micro-B here, so
    // that device has a USB-A port, 5 W of it, for 5 Wh.
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
        .cable(Cable::new("barrel", "other:barrel", "other:plug"))
        .device(device("full", 5.0, "5V 1A").start_pct(100.0))
        .device(device("stiff", 5.0, "12V 1A").inlet("other:plug"));
    let sizing = sized(document, Some(2.0));
    let frontier = [(1.0, 20.0), (3.0, 10.0)];
    let ports = [("needed", 15.0, 15.0), ("odd", 12.0, 5.0)];
    case(&sizing, &ports, &frontier);
    let connectors: Vec<_> = sizing
        .ports
        .iter()
        .map(|p| p.connector.as_deref())
        .collect();
    assert_eq!(connectors, [None, Some("usb-a")]);
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
    let connectors = vec!["other:barrel".to_owned()];
    let (reach_m, longest_m) = (3.0, 0.0);
    assert_eq!(
        unreached,
        [
            ("spare", Reason::FewerCables { cables }),
            ("far", Reason::NoCableReaches { reach_m, longest_m }),
            ("stiff", Reason::NoPortForCable { connectors }),
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
    assert_eq!(nobody.too_late[0].device, "d");
    assert_eq!((nobody.total_w, nobody.labels_factor), (0.0, None));
    assert_eq!(nobody.charger("none"), None);
}

#[test]
fn without_cables_each_device_has_one_of_240_w() {
    // 28 V 5 A lose 3.75 W along 0.15 ohm (0.75 V at 5 A).
    let document = SetupDocument::new()
        .device(
            device("large", 136.25, "5V 3A, 28V 5A")
                .count(2)
                .reach_m(3.0),
        )
        .device(device("odd", 5.0, "5V 1A").inlet("usb-micro-b"));
    let sizing = sized(document, Some(1.0));
    let ports: Vec<_> = sizing.ports.iter().map(|p| (p.tier_w, p.hours)).collect();
    assert_eq!(ports, [(140.0, 1.0); 2]);
    let inlet = "usb-micro-b".to_owned();
    assert_eq!(sizing.unreached[0].cause, Reason::NoCableForInlet { inlet });
}

#[test]
fn a_port_has_what_the_device_needs_at_least() {
    // 15 Wh: 1 h at 15 W, 0.75 h at 20 W (9 V), 0.555556 h at 27 W.
    let alone = |device: Device| {
        let document = SetupDocument::new().cable(lossless("k")).device(device);
        sized(document, Some(8.0)).ports[0].tier_w
    };
    let light = || device("d", 15.0, "5V 3A, 9V 3A");
    assert_eq!(alone(light()), 15.0);
    assert_eq!(alone(light().min_w(15.0)), 15.0);
    assert_eq!(alone(light().min_w(15.1)), 20.0);
    assert_eq!(alone(light().min_w(20.1)), 30.0);
    // 27 W surely charge a laptop (the table of kinds); by its label it would take less.
    let laptop = || device("d", 15.0, "5V 3A, 9V 3A, 15V 3A, 20V 3A");
    assert_eq!(alone(laptop()), 15.0);
    assert_eq!(alone(laptop().kind("laptop")), 30.0);
}

#[test]
fn what_is_certain_decides_unless_the_best_is_asked_for() {
    // Through a cable of 0.5 ohm without a marker a device need not take more than 0.15 x
    // 5 V / 0.5 ohm = 1.5 A at 5 V: 7.5 W less 1.125 W, 6.375 W for 6.375 Wh in 1 h. At best
    // it takes 3 A: 15 W less 4.5 W, 0.607143 h.
    let document = SetupDocument::new()
        .cable(Cable::c_to_c("k").ohm(0.5))
        .device(device("d", 6.375, "5V 3A"));
    let surely = sized(document.clone(), Some(1.0));
    assert_eq!(surely.longest_h, 1.0);
    let port = &surely.ports[0];
    assert_eq!((port.hours, port.promised_h), (0.607_143, Some(1.0)));
    assert_eq!(
        sized(document.clone(), Some(0.9)).too_late[0].earliest_h,
        1.0
    );
    let best = sized(document.aim(Aim::Best), Some(0.9));
    assert_eq!(
        (best.longest_h, best.ports[0].promised_h),
        (0.607_143, None)
    );
}

#[test]
fn more_watts_that_are_no_use_at_best_can_make_it_certain() {
    // Along 1 ohm at most 2.5 A flow at 5 V: 6.25 W of 12.5 W arrive, and 4 W are asked for:
    // 1 h for 4 Wh. Without a marker 0.75 A are certain: 3.1875 W. Of 9 V, on a port of 20 W,
    // 1.35 A are: 10.3275 W, again more than is asked for.
    let document = SetupDocument::new()
        .cable(Cable::c_to_c("k").ohm(1.0))
        .device(device("d", 4.0, "5V 3A, 9V 3A").draw_w([(0.0, 4.0)]));
    let frontier = [(1.0, 20.0), (1.254_902, 12.5)];
    case(
        &sized(document.clone(), None),
        &[("d", 20.0, 20.0)],
        &frontier,
    );
    let best = document.aim(Aim::Best);
    case(&sized(best, None), &[("d", 15.0, 12.5)], &[(1.0, 12.5)]);
}
