//! Setups that are measured by their rota.

use serde_json::{Value, json};

use super::super::rng::Rng;
use super::least::Table;
use super::parts::{self, Device};
use super::{charger, document};

/// How many sessions and ports there are for so many devices: 16 devices have 3 sessions
/// on 6 ports, 30 have 4 on 8.
pub(super) fn sessions_and_ports(devices: usize) -> (usize, usize) {
    match devices {
        ..12 => (2, (devices * 5).div_ceil(8)),
        12..24 => (3, devices * 3 / 8),
        _ => (4, devices * 4 / 15),
    }
}

/// Sessions of two to four hours; a charger with nested pools at 1.1 to 1.3 times the least
/// power with which as many devices as it has ports are full within an average one; a
/// quarter of the devices away in one session; in a quarter of the setups a session, not
/// the first, at whose start nobody swaps.
pub(super) fn night(rng: &mut Rng, size: usize) -> String {
    let (sessions, seats) = sessions_and_ports(size);
    let hours: Vec<f64> = (0..sessions)
        .map(|_| rng.pick(&[2.0, 2.5, 3.0, 3.5, 4.0]))
        .collect();
    let asleep = rng.chance(25).then(|| 1 + rng.below(sessions - 1));
    let ports = parts::unlike_ports(rng, seats);
    let cables = parts::bag(seats);
    let by_offer = rng.chance(50);
    let devices: Vec<Device> = (0..size).map(|_| parts::device(rng)).collect();
    let table = Table::of(&devices[..seats], &ports, &cables, by_offer);
    let number = u32::try_from(sessions).expect("a few sessions");
    let mut within_h = hours.iter().sum::<f64>() / f64::from(number);
    let least = loop {
        if let Some(plan) = table.plan_within(&devices[..seats], within_h) {
            break plan;
        }
        within_h *= 1.2;
        assert!(within_h < 1e6, "a device that no port can fill");
    };
    let own: Vec<usize> = (0..seats).collect();
    let limits: Vec<(Vec<usize>, f64)> = parts::nested(rng, &own, &ports, false)
        .into_iter()
        .map(|members| {
            let watts = rng.pick(&[1.1, 1.15, 1.2, 1.3]) * least.load(&members);
            (members, watts)
        })
        .collect();
    let charger = charger(0, &own, &ports, &limits, by_offer);
    let names: Vec<String> = (1..=sessions).map(|n| format!("session {n}")).collect();
    let listed: Vec<Value> = (0..sessions)
        .map(|n| {
            let mut session = json!({"name": names[n], "hours": hours[n]});
            if asleep == Some(n) {
                session["swap"] = json!(false);
            }
            session
        })
        .collect();
    let devices: Vec<Value> = devices
        .iter()
        .enumerate()
        .map(|(number, device)| {
            let mut json = device.json(number);
            if rng.chance(25) {
                let mut there = names.clone();
                there.remove(rng.below(sessions));
                json.insert("sessions".to_owned(), json!(there));
            }
            Value::Object(json)
        })
        .collect();
    let text = document(&[charger], &cables, &devices);
    let mut setup: Value = serde_json::from_str(&text).expect("it was written as JSON");
    setup["sessions"] = Value::Array(listed);
    setup.to_string()
}
