//! Random pools and combination tables, with limits near what the ports could use.

use serde_json::{Map, Value, json};

use super::rng::Rng;

/// A limit over everything, over a part, and over a part of that part.
pub(super) fn pools(
    rng: &mut Rng,
    charger: &mut Map<String, Value>,
    names: &[String],
    caps: &[f64],
) {
    let ports = names.len();
    let sum = |members: &[usize]| members.iter().map(|&p| caps[p]).sum::<f64>();
    let all: Vec<usize> = (0..ports).collect();
    if rng.chance(55) {
        charger.insert("max_w".to_owned(), json!(share_of(rng, sum(&all))));
    }
    let mut made = Vec::new();
    if rng.chance(25) {
        made.push(json!({"name": "rail", "ports": "all", "max_w": share_of(rng, sum(&all))}));
    }
    let mut members = all;
    for bank in ["upper", "inner", "last"] {
        if !rng.chance(60) {
            break;
        }
        // Mostly a part of the one before, so that limits nest; else any part.
        if rng.chance(25) {
            members = (0..ports).collect();
        }
        rng.shuffle(&mut members);
        members.truncate(1 + rng.below(members.len()));
        let ports: Vec<&String> = members.iter().map(|&p| &names[p]).collect();
        made.push(json!({"name": bank, "ports": ports, "max_w": share_of(rng, sum(&members))}));
    }
    if !made.is_empty() {
        charger.insert("pools".to_owned(), Value::Array(made));
    }
}

/// A part of what the ports could use together: mostly too little for all of it.
fn share_of(rng: &mut Rng, watts: f64) -> f64 {
    let share = rng.pick(&[0.25, 0.35, 0.45, 0.5, 0.6, 0.7, 0.8, 0.9, 1.1]);
    let step = rng.pick(&[0.5, 1.0, 5.0]);
    ((watts * share / step).round() * step).max(5.0)
}

/// A table: orderly as printed on a charger, or any lines at all.
pub(super) fn combinations(rng: &mut Rng, names: &[String], caps: &[f64]) -> Value {
    let ports = names.len();
    let everything = (1_usize << ports) - 1;
    let some = |size: u32| (1..=everything).filter(move |set| set.count_ones() == size);
    let mut sets: Vec<usize> = match rng.below(4) {
        // Two of them, all of them.
        0 => vec![0b11, everything],
        // Every pair, all of them.
        1 => some(2).chain([everything]).collect(),
        // Every three and no two: for two ports in use several lines govern, and
        // none of them is part of another.
        2 if ports > 3 => some(3).collect(),
        _ => (0..2 + rng.below(4))
            .map(|_| 1 + rng.below(everything))
            .collect(),
    };
    // Another line for a set that has one: either may then be respected.
    if rng.chance(45) {
        let again = rng.pick(&sets);
        sets.push(again);
    }
    let mut lines: Vec<Value> = sets
        .into_iter()
        .map(|set| {
            let members = (0..ports).filter(|p| set >> p & 1 == 1);
            let line: Map<String, Value> = members
                .map(|p| (names[p].clone(), json!(granted(rng, caps[p]))))
                .collect();
            Value::Object(line)
        })
        .collect();
    let mut kept: Vec<Value> = Vec::new();
    lines.retain(|line| {
        let fresh = !kept.contains(line);
        kept.push(line.clone());
        fresh
    });
    Value::Array(lines)
}

/// Mostly a step that the port has, at times one that only the table gives it, and
/// at times more than its cap.
fn granted(rng: &mut Rng, cap_w: f64) -> f64 {
    let below: Vec<f64> = [
        10.0, 12.0, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0, 100.0, 140.0,
    ]
    .into_iter()
    .filter(|&watts| watts < cap_w)
    .collect();
    match rng.below(10) {
        0 => rng.pick(&[11.0, 17.5, 22.5, 38.0]),
        1 => cap_w + 5.0,
        2..4 => cap_w,
        _ if below.is_empty() => cap_w,
        _ => rng.pick(&below),
    }
}
