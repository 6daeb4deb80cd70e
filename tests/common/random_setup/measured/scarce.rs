//! Setups with sessions where what is scarce is not the ports but the cables.

use serde_json::{Map, Value, json};

use super::super::limits::{combinations, pools};
use super::super::rng::Rng;

const PORTS_PD_W: [f64; 6] = [18.0, 30.0, 45.0, 65.0, 100.0, 240.0];

/// Sessions of half an hour to three and a half, at the start of one of which, not the
/// first, nobody swaps in four setups of ten; two or three chargers with more ports than
/// anybody needs, with tables and pools; one kind of cable or two, fewer in all than a third
/// of the devices; devices of few kinds, often of several priorities, a third of the kinds
/// away in one session.
pub(super) fn scarce(rng: &mut Rng, size: usize) -> String {
    let sessions = 2 + rng.below(3);
    let names: Vec<String> = (1..=sessions).map(|n| format!("session {n}")).collect();
    let asleep = rng.chance(40).then(|| 1 + rng.below(sessions - 1));
    let listed: Vec<Value> = (0..sessions)
        .map(|n| {
            let hours = rng.pick(&[0.5, 1.0, 1.5, 2.0, 3.5]);
            let mut session = json!({"name": names[n], "hours": hours});
            if asleep == Some(n) {
                session["swap"] = json!(false);
            }
            session
        })
        .collect();
    let chargers: Vec<Value> = (0..2 + rng.below(2)).map(|c| charger(rng, c)).collect();
    let document = json!({
        "version": 1,
        "chargers": chargers,
        "cables": cables(rng, size),
        "devices": devices(rng, size, &names),
        "sessions": listed,
    });
    document.to_string()
}

fn charger(rng: &mut Rng, number: usize) -> Value {
    let ports = 3 + rng.below(4);
    let caps: Vec<f64> = (0..ports).map(|_| rng.pick(&PORTS_PD_W)).collect();
    let names: Vec<String> = (1..=ports).map(|p| format!("C{p}")).collect();
    let made: Vec<Value> = names
        .iter()
        .zip(&caps)
        .map(|(name, cap)| json!({"name": name, "pd_w": cap}))
        .collect();
    let mut charger = Map::new();
    charger.insert("name".to_owned(), json!(format!("stand {}", number + 1)));
    charger.insert("ports".to_owned(), json!(made));
    if rng.chance(60) {
        pools(rng, &mut charger, &names, &caps);
    }
    if rng.chance(50) {
        charger.insert("combinations".to_owned(), combinations(rng, &names, &caps));
    }
    if rng.chance(50) {
        charger.insert("reserve".to_owned(), json!("contract"));
    }
    Value::Object(charger)
}

/// As many as a third of the devices at most.
fn cables(rng: &mut Rng, devices: usize) -> Vec<Value> {
    let all = 1 + rng.below((devices / 3).max(1));
    let long = rng.below(all + 1).min(all - 1);
    let mut made = vec![json!({"name": "short", "length_m": 1.0, "count": all - long})];
    if long > 0 {
        let ohm = rng.pick(&[0.24, 0.6]);
        made.push(json!({"name": "long", "length_m": 2.0, "ohm": ohm, "count": long}));
    }
    made
}

fn devices(rng: &mut Rng, wanted: usize, sessions: &[String]) -> Vec<Value> {
    let ranks = rng.chance(60);
    let mut made = Vec::new();
    let mut left = wanted;
    while left > 0 {
        let count = (1 + rng.below(3)).min(left);
        let mut device = json!({
            "name": format!("desk {}", made.len() + 1),
            "count": count,
            "pd_w": rng.pick(&[15.0, 18.0, 20.0, 30.0, 45.0, 65.0]),
            "battery_wh": rng.pick(&[10.0, 15.2, 19.3, 28.6, 38.0, 52.6, 70.0, 99.9]),
            "start_pct": rng.pick(&[0, 10, 20, 35, 50, 79]),
        });
        if ranks {
            device["priority"] = json!(1 + rng.below(3));
        }
        if rng.chance(30) {
            device["reach_m"] = json!(rng.pick(&[0.5, 1.5]));
        }
        if rng.chance(33) {
            let mut there = sessions.to_vec();
            there.remove(rng.below(sessions.len()));
            device["sessions"] = json!(there);
        }
        if rng.chance(25) {
            device["ready_by_h"] = json!(rng.pick(&[1.0, 2.0, 3.0, 4.5]));
        }
        if rng.chance(30) {
            device["running_w"] = json!(rng.pick(&[4.0, 8.0]));
        }
        left -= count;
        made.push(device);
    }
    made
}
