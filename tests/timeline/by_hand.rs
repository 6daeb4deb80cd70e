//! A night worked by hand.

use serde_json::json;
use wattberth::{
    Aim, Cable, Charger, Device, Error, Happening, Plan, Port, Setup, SetupDocument, Sharing,
    Status, TimelineOptions, assign, reshared, reshared_with, timeline_with,
};

/// Two devices that take whatever they get, on 60 W for both. A tier of 45 and one of 15
/// fit, or 30 and 30; the smaller battery is full first. What is held is what the plan
/// says at best.
fn two() -> SetupDocument {
    let bare = Cable::c_to_c("bare").ohm(0.0).length_m(1.0).count(2);
    let device = |name: &str, wh: f64| {
        Device::new(name, wh)
            .accepts("5V 3A, 9V 3A, 15V 3A, 20V 3A")
            .efficiency(1.0)
            .draw_w([(0.0, 60.0)])
    };
    SetupDocument::new()
        .aim(Aim::Best)
        .tolerance_h(0.0)
        .charger(
            Charger::new("cube")
                .port(Port::pd("C1", 60.0))
                .port(Port::pd("C2", 60.0))
                .max_w(60.0)
                .tiers_w([7.5, 15.0, 30.0, 45.0, 60.0])
                .efficiency(0.8),
        )
        .cable(bare)
        .device(device("large", 45.0))
        .device(device("small", 15.0))
}

#[test]
fn the_last_one_gets_more_once_the_other_is_full() {
    let setup = two().check().expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    // 45 W and 15 W: both full after 1 h; no renegotiation could do better.
    assert_eq!(plan.longest_h, 1.0);
    let found = reshared(&setup, &plan).expect("its own plan");
    assert_eq!((found.last_h, found.status), (1.0, Status::Optimal));

    let mut larger = two();
    larger.devices[0].battery_wh = Some(90.0.into());
    let setup = larger.check().expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    assert_eq!(plan.longest_h, 2.0);
    let mut options = TimelineOptions::default();
    options.sharing = Sharing::Reshared;
    options.step_min = Some(30.0);
    let night = timeline_with(&setup, &plan, &options).expect("its own plan");
    // After 1 h the small one keeps 7.5 W, and 60 W do not fit beside them: nothing gained.
    assert_eq!((night.longest_h, night.reshared_h), (2.0, Some(2.0)));
    let what: Vec<(f64, Happening)> = night.events.iter().map(|e| (e.at_h, e.what)).collect();
    assert_eq!(
        what,
        [
            (0.0, Happening::PluggedIn),
            (0.0, Happening::PluggedIn),
            (1.0, Happening::Full),
            (1.0, Happening::Contract),
            (2.0, Happening::Full),
            (2.0, Happening::Contract),
        ]
    );
    let large = &night.series[0];
    assert_eq!(large.at_h, [0.0, 0.5, 1.0, 1.5, 2.0]);
    assert_eq!(large.soc_pct, [0.0, 25.0, 50.0, 75.0, 100.0]);
    assert_eq!(large.watts, [45.0; 5]);
    let small = &night.series[1];
    assert_eq!(small.at_h, [0.0, 0.5, 1.0, 1.0, 1.5, 2.0]);
    assert_eq!(small.watts, [15.0, 15.0, 15.0, 0.0, 0.0, 0.0]);
    // 60 W and then 45 W at the ports, four fifths of what the socket gives.
    assert_eq!(night.wall.peak_w, 75.0);
    assert!((night.wall_wh - 105.0 / 0.8).abs() < 1e-9);
}

#[test]
fn a_charger_with_room_beside_a_full_device_gives_it_away() {
    let mut roomier = two();
    roomier.devices[0].battery_wh = Some(105.0.into());
    roomier.devices[1].battery_wh = Some(20.0.into());
    roomier.chargers[0].max_w = Some(67.5);
    let setup = roomier.check().expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    // Held: 45 W for 105 Wh, since 7.5 W would be too little for the small one. When that
    // is full, after 20 Wh at 15 W, 45 Wh are left, at 60 W.
    assert_eq!(plan.longest_h, 2.333_333);
    let found = reshared(&setup, &plan).expect("its own plan");
    assert!((found.last_h - (20.0 / 15.0 + 45.0 / 60.0)).abs() < 1e-12);
    // A budget that strikes at once leaves every contract as it is, and says so.
    let mut options = TimelineOptions::default();
    options.search.budget = 1;
    let struck = reshared_with(&setup, &plan, &options).expect("its own plan");
    assert_eq!(struck.status, Status::Feasible);
    assert!((struck.last_h - 105.0 / 45.0).abs() < 1e-12);
}

#[test]
fn a_full_device_keeps_what_it_runs_on() {
    let mut roomier = two();
    roomier.devices[0].battery_wh = Some(105.0.into());
    roomier.chargers[0].max_w = Some(67.5);
    // It runs on more than 7.5 W: after it is full it keeps 15 W, and 60 W do not fit.
    roomier.devices[1].running_w = Some(8.0);
    roomier.devices[1].battery_wh = Some(7.0.into());
    let setup = roomier.check().expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    let found = reshared(&setup, &plan).expect("its own plan");
    assert!((found.last_h - 105.0 / 45.0).abs() < 1e-12);
}

#[test]
fn plans_of_other_setups_and_steps_out_of_range_are_refused() {
    let setup = two().check().expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    let with = |change: &dyn Fn(&mut Plan)| {
        let mut plan = plan.clone();
        change(&mut plan);
        match timeline_with(&setup, &plan, &TimelineOptions::default()) {
            Err(Error::Input(faults)) => faults[0].to_string(),
            other => panic!("{other:?}"),
        }
    };
    for (change, expected) in [
        (
            &(|plan: &mut Plan| plan.berths[0].device = "huge".to_owned()) as &dyn Fn(&mut Plan),
            "berths[0].device: no device is called \"huge\"",
        ),
        (
            &|plan: &mut Plan| plan.berths[0].volts = 12.0,
            "berths[0].volts: port, cable and device do not agree on this contract",
        ),
        (
            &|plan: &mut Plan| plan.berths[1].device = "large".to_owned(),
            "berths[1]: this device has a berth already, or another is on the port",
        ),
        (
            &|plan: &mut Plan| {
                // At 45 W, too: the highest of equally good voltages.
                (plan.berths[1].volts, plan.berths[1].amps) = (20.0, 2.25);
            },
            "berths: together these berths are more than charger \"cube\" allows",
        ),
    ] {
        assert_eq!(with(change), expected);
    }
    for step_min in [0.0, -1.0, f64::NAN, f64::INFINITY, 0.005, 1441.0] {
        let mut options = TimelineOptions::default();
        options.step_min = Some(step_min);
        let refused = timeline_with(&setup, &plan, &options);
        assert!(matches!(refused, Err(Error::Options { .. })), "{step_min}");
    }
}

#[test]
fn two_ports_with_leads_of_their_own_are_told_apart() {
    let device = |name: &str| json!({"name": name, "pd_w": 30, "battery_wh": 20});
    let port = |name: &str, max_a: f64| json!({"name": name, "pd_w": 30, "lead": {"max_a": max_a, "ohm": 0}});
    let setup = json!({
        "chargers": [{"name": "cube", "ports": [port("C1", 1.0), port("C2", 2.0)]}],
        "devices": [device("first"), device("second")],
    });
    let setup = Setup::from_json(&setup.to_string()).expect("it is a setup");
    let plan = assign(&setup).expect("it is planned");
    let night = timeline_with(&setup, &plan, &TimelineOptions::default());
    assert_eq!(night.expect("its own plan").series.len(), 2);
}
