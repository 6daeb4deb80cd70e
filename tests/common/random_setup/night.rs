//! Small setups with sessions, for exhaustive comparison: mostly more devices than ports,
//! sessions about as long as the devices take, and devices that come and go.

use serde_json::{Map, Value, json};

use super::chargers::charger;
use super::crowd::of_few_kinds;
use super::devices::{devices, pin_some};
use super::rng::Rng;
use super::{Flavour, cables, document};

const NAMES: [&str; 4] = ["rehearsal", "concert", "supper", "night"];

/// At most 5 devices, 3 ports, 2 chargers and 4 sessions.
pub(crate) fn night_setup(seed: u64) -> String {
    let mut rng = Rng::new(seed ^ 0x6E69_6768_7400);
    let devices = rng.weighted(&[(1, 1), (3, 2), (5, 3), (4, 4), (2, 5)]);
    let ports = rng.weighted(&[(5, 1), (4, 2), (if devices < 5 { 2 } else { 0 }, 3)]);
    let most = if devices < 4 { 4 } else { 5 - ports };
    let sessions = rng.weighted(&[(1, 1), (5, 2), (4, 3), (1, 4)]).min(most);
    let setup = if rng.chance(40) {
        of_few_kinds(&mut rng, devices, ports)
    } else {
        of_every_kind(&mut rng, devices, ports)
    };
    let mut setup: Value = serde_json::from_str(&setup).expect("a generated setup is JSON");
    with_sessions(&mut rng, &mut setup, sessions);
    setup.to_string()
}

fn of_every_kind(rng: &mut Rng, devices_wanted: usize, ports: usize) -> String {
    let flavour = Flavour {
        alike: rng.chance(50),
        ..Flavour::of(rng)
    };
    let split = if ports > 1 && rng.chance(28) {
        1
    } else {
        ports
    };
    let mut chargers = vec![charger(rng, "bow", split, flavour)];
    if split < ports {
        chargers.push(charger(rng, "scroll", ports - split, flavour));
    }
    let mut devices = devices(rng, devices_wanted, flavour);
    let mut cables = cables::cables(rng, &chargers, &devices, flavour);
    if rng.chance(40) {
        for cable in &mut cables {
            cable
                .as_object_mut()
                .and_then(|cable| cable.remove("count"));
        }
    }
    if rng.chance(40) {
        pin_some(rng, &mut devices, &chargers, &cables);
    }
    document(rng, &chargers, &cables, &devices)
}

/// Adds sessions, and says of some devices in which of them they are at hand.
fn with_sessions(rng: &mut Rng, setup: &mut Value, wanted: usize) {
    let lengths: &[f64] = if rng.chance(50) { &SHORT } else { &LONG };
    let fixed = rng.chance(25);
    let usual = rng.pick(lengths);
    let listed: Vec<Value> = NAMES[..wanted]
        .iter()
        .map(|name| {
            let hours = if fixed { usual } else { rng.pick(lengths) };
            let mut session = Map::new();
            session.insert("name".to_owned(), json!(name));
            session.insert("hours".to_owned(), json!(hours));
            if rng.chance(30) {
                session.insert("swap".to_owned(), json!(rng.chance(40)));
            }
            Value::Object(session)
        })
        .collect();
    setup["sessions"] = json!(listed);
    if rng.chance(40) {
        setup["start"] = json!(rng.pick(&["22:30", "0:05", "18:00"]));
    }
    let often = rng.pick(&[0, 25, 60]);
    for device in setup["devices"].as_array_mut().into_iter().flatten() {
        if rng.chance(often) {
            let mut names = NAMES[..wanted].to_vec();
            names.retain(|_| rng.chance(65));
            rng.shuffle(&mut names);
            device["sessions"] = json!(names);
        }
    }
}

/// Some not of whole millionths, so that it matters when they are rounded.
const SHORT: [f64; 9] = [
    0.2,
    0.5,
    0.75,
    1.0,
    1.0,
    1.5,
    0.333_333_333,
    1.000_000_5,
    1e-7,
];
const LONG: [f64; 6] = [1.0, 2.0, 3.5, 5.0, 8.0, 2.666_666_666];
