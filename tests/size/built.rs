//! Each point of a frontier as a real charger: ports of those tiers, contracts counted,
//! a pool of that total.

use serde_json::Value;
use wattberth::{Charger, Port, Reserve, Setup, Sizing, Tradeoff, Voltages, assign};

use super::{SOLD_W, aimed, on, points, sized};
use crate::model::rounding::micro;
use crate::random_setup::mid::{Family, mid_setup};
use crate::random_setup::small_setup;

fn setups() -> impl Iterator<Item = String> {
    let families = Family::ALL.into_iter().cycle();
    let mid = (0..24).zip(families);
    (400..520)
        .map(small_setup)
        .chain(mid.map(|(seed, family)| mid_setup(seed, 8, 8, family)))
}

/// The devices of a sizing on a charger, all others left at home, each to be ready when the
/// sizing's last one is.
fn setup(json: &str, sizing: &Sizing, charger: &Charger) -> Setup {
    let charger = serde_json::to_value(charger).expect("a charger serialises");
    let mut setup = on(json, &charger);
    let devices = setup["devices"].as_array_mut().expect("devices");
    devices.retain(|device| {
        let mut names = sizing.ports.iter().map(|port| &port.device);
        names.any(|name| device["name"] == name.as_str())
    });
    for device in devices {
        let own = device["ready_by_h"].as_f64().unwrap_or(f64::INFINITY);
        device["ready_by_h"] = own.min(sizing.longest_h).into();
    }
    let text = setup.to_string();
    Setup::from_json(&text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn without_session(json: &str) -> String {
    let mut setup: Value = serde_json::from_str(json).expect("the generator writes JSON");
    setup
        .as_object_mut()
        .expect("an object")
        .remove("session_h");
    setup.to_string()
}

#[test]
fn each_point_is_what_its_charger_gives_and_less_does_not() {
    let mut tried = 0;
    for json in setups() {
        let json = aimed(&without_session(&json), "best");
        each_point(&json, |sizing, point, told| {
            let charger = sizing.charger("least").expect("it has ports");
            let exact = charger.clone().max_w(point.total_w);
            let plan = assign(&setup(&json, sizing, &exact)).expect("a plan");
            assert_eq!((plan.unserved, plan.late), (0, 0), "{told}");
            assert_eq!(micro(plan.longest_h), micro(point.longest_h), "{told}");

            let less = charger.max_w(point.total_w - 1e-6);
            let plan = assign(&setup(&json, sizing, &less)).expect("a plan");
            assert!(plan.unserved > 0 || plan.late > 0, "{told}");
            tried += 1;
        });
    }
    assert!(tried > 300, "only {tried} points");
}

/// Whatever rule the charger shares by.
#[test]
fn each_point_is_what_its_charger_promises() {
    let mut tried = 0;
    for json in setups() {
        let json = aimed(&without_session(&json), "promise");
        each_point(&json, |sizing, point, told| {
            let charger = sizing.charger("least").expect("it has ports");
            let plan = assign(&setup(&json, sizing, &charger)).expect("a plan");
            assert_eq!((plan.unserved, plan.promised_late), (0, 0), "{told}");
            let longest_h = plan.promised_longest_h.expect("nobody is late");
            assert!(micro(longest_h) <= micro(point.longest_h), "{told}");
            tried += 1;
        });
    }
    assert!(tried > 300, "only {tried} points");
}

/// The sizing for each point of the frontier.
fn each_point(json: &str, mut look: impl FnMut(&Sizing, &Tradeoff, &str)) {
    let whole = sized(json, None);
    let points = points(&whole);
    assert!(
        points.is_sorted_by(|a, b| a.0 < b.0 && a.1 > b.1),
        "not monotone: {points:?}\n{json}"
    );
    for point in &whole.frontier {
        let sizing = sized(json, Some(point.longest_h));
        let told = format!("{point:?}\n{json}\n{sizing:#?}");
        assert_eq!(super::points(&sizing), points, "{told}");
        assert_eq!(micro(sizing.total_w), micro(point.total_w), "{told}");
        assert_eq!(micro(sizing.longest_h), micro(point.longest_h), "{told}");
        look(&sizing, point, &told);
    }
}

/// With no more watts than the least, `assign` on the largest ports has nothing to
/// choose but what the sizing shows.
#[test]
fn ties_go_by_the_order_of_plans() {
    for json in setups() {
        let json = aimed(&without_session(&json), "best");
        for by_h in [None, Some(2.0)] {
            let sizing = sized(&json, by_h);
            if sizing.ports.is_empty() {
                continue;
            }
            let mut charger = Charger::new("largest")
                .reserve(Reserve::Contract)
                .voltages(Voltages::Rules)
                .tiers_w(SOLD_W);
            for (number, port) in sizing.ports.iter().enumerate() {
                let name = number.to_string();
                charger = charger.port(match &port.connector {
                    Some(_) => Port::usb_a(name, "5V 2.4A"),
                    None => Port::pd(name, 240.0),
                });
            }
            let charger = charger.max_w(sizing.total_w);
            let plan = assign(&setup(&json, &sizing, &charger)).expect("a plan");
            let facts = |device: &str, cable: &str, numbers: [f64; 5]| {
                (device.to_owned(), cable.to_owned(), numbers.map(micro))
            };
            let planned: Vec<_> = plan
                .berths
                .iter()
                .map(|b| {
                    facts(
                        &b.device,
                        &b.cable,
                        [b.volts, b.amps, b.port_w, b.tier_w, b.hours],
                    )
                })
                .collect();
            let sized: Vec<_> = sizing
                .ports
                .iter()
                .map(|p| {
                    facts(
                        &p.device,
                        &p.cable,
                        [p.volts, p.amps, p.port_w, p.tier_w, p.hours],
                    )
                })
                .collect();
            assert_eq!(sized, planned, "{json}");
        }
    }
}
