//! One charger of eight ports as chargers are sold: a few large ports, more small ones,
//! and limits over all of them, over the large and over the others, or a table.

use serde_json::{Map, Value, json};

use super::super::rng::Rng;
use super::parts;

/// A kind of port, and how many of them.
struct Kind {
    letter: char,
    count: usize,
    cap_w: f64,
    json: Value,
}

pub(super) fn sold(rng: &mut Rng) -> String {
    let kinds = kinds(rng);
    let mut ports = Vec::new();
    let mut names: Vec<Vec<String>> = Vec::new();
    for kind in &kinds {
        let own: Vec<String> = (1..=kind.count)
            .map(|n| format!("{}{n}", kind.letter))
            .collect();
        for name in &own {
            let mut port = kind.json.clone();
            port["name"] = json!(name);
            ports.push(port);
        }
        names.push(own);
    }
    let mut charger = json!({"name": "desk", "ports": ports});
    if rng.chance(50) {
        limit_by_pools(rng, &mut charger, &kinds, &names);
    } else {
        charger["combinations"] = Value::Array(table(rng, &kinds, &names));
    }
    if rng.chance(30) {
        charger["reserve"] = json!("contract");
    }
    let from_a = kinds.last().map_or(0, |kind| kind.count);
    let short = 2 + rng.below(3);
    let cables = json!([
        {"name": "short", "e_marked": true, "max_a": 5, "ohm": 0.08, "count": short},
        {"name": "long", "max_a": 3, "ohm": 0.2, "count": 8 - from_a},
        {"name": "old", "from": "usb-a", "max_a": 3, "ohm": 0.2, "count": from_a},
    ]);
    let devices: Vec<Value> = (0..8)
        .map(|number| {
            let mut device = parts::device(rng);
            device.min_w = 0.0;
            Value::Object(device.json(number))
        })
        .collect();
    json!({"version": 1, "chargers": [charger], "cables": cables, "devices": devices}).to_string()
}

fn kinds(rng: &mut Rng) -> Vec<Kind> {
    let pd = |letter, count, cap_w: f64| Kind {
        letter,
        count,
        cap_w,
        json: json!({"pd_w": cap_w}),
    };
    let large = rng.pick(&[65.0, 100.0]);
    let small = rng.pick(&[20.0, 30.0, 45.0]);
    let old = Kind {
        letter: 'A',
        count: 2 + rng.below(3),
        cap_w: 12.0,
        json: json!({"connector": "usb-a", "offers": "5V 2.4A"}),
    };
    if rng.chance(40) {
        return vec![pd('C', 8 - old.count, large), old];
    }
    let many = 1 + rng.below(3);
    vec![
        pd('C', many, large),
        pd('S', 8 - many - old.count, small),
        old,
    ]
}

/// A total, and for some a limit on the large ports, on the others, or on both.
fn limit_by_pools(rng: &mut Rng, charger: &mut Value, kinds: &[Kind], names: &[Vec<String>]) {
    let all: f64 = kinds.iter().map(watts).sum();
    let large = watts(&kinds[0]);
    charger["max_w"] = json!(share(rng, all, 80.0));
    let mut pools = Vec::new();
    if rng.chance(50) {
        pools.push(json!({"name": "large", "ports": &names[0], "max_w": share(rng, large, 45.0)}));
    }
    if kinds.len() > 2 && rng.chance(50) {
        let members: Vec<&String> = names[1..].iter().flatten().collect();
        pools.push(
            json!({"name": "others", "ports": members, "max_w": share(rng, all - large, 80.0)}),
        );
    }
    if !pools.is_empty() {
        charger["pools"] = Value::Array(pools);
    }
}

fn watts(kind: &Kind) -> f64 {
    let count = u32::try_from(kind.count).expect("eight at most");
    f64::from(count) * kind.cap_w
}

/// What a charger with such ports is rated for, in whole 5 W; a USB-A port has no step
/// below its 12 W, so it is never too little for one step of every port.
fn share(rng: &mut Rng, watts: f64, least_w: f64) -> f64 {
    let share = rng.pick(&[0.4, 0.45, 0.5, 0.6]);
    ((watts * share / 5.0).round() * 5.0).max(least_w)
}

/// Two large ports, the USB-C side, and two or three lines for all ports.
fn table(rng: &mut Rng, kinds: &[Kind], names: &[Vec<String>]) -> Vec<Value> {
    let last = kinds.len() - 1;
    let large = kinds[0].cap_w;
    let half = if large > 65.0 { 45.0 } else { 30.0 };
    let low = |kind: &Kind| kind.cap_w.min(15.0);
    let mut lines = Vec::new();
    if let [first, second, ..] = &names[0][..] {
        lines.push(json!({first: half, second: half}));
    }
    let mut usb_c = Map::new();
    for (kind, names) in kinds[..last].iter().zip(names) {
        for name in names {
            usb_c.insert(name.clone(), json!(low(kind).max(20.0_f64.min(kind.cap_w))));
        }
    }
    usb_c.insert(names[0][0].clone(), json!(half));
    lines.push(Value::Object(usb_c));
    for favoured in 0..2 + rng.below(2) {
        let mut line = Map::new();
        for (kind, names) in kinds.iter().zip(names) {
            for name in names {
                line.insert(name.clone(), json!(low(kind)));
            }
        }
        // Either one port has most of it, or several have a little more.
        for name in names[0].iter().take(favoured + 1) {
            let granted = [45.0, 30.0, 20.0][favoured];
            line.insert(name.clone(), json!(granted));
        }
        lines.push(Value::Object(line));
    }
    lines
}
