//! A charger with every default in its place (section 1).

use serde_json::Value;

use super::json::{list, number, text, text_or};
use super::label::{Side, label_of, most_watts};
use super::offers::pd_source;
use super::rounding::micro;
use super::setup::{Charger, Line, Pool, Port, Voltages};

const DEFAULT_TIERS_W: [f64; 13] = [
    7.5, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0, 100.0, 140.0, 180.0, 240.0,
];

pub(crate) fn read_charger(charger: &Value) -> Charger {
    let combinations = list(charger, "combinations");
    let ports: Vec<Port> = list(charger, "ports")
        .iter()
        .map(|port| {
            let mut port = read_port(text(charger, "name"), port);
            port.tiers_w = tiers_of(charger, combinations, &port);
            port.voltages = match text_or(charger, "voltages", "").as_str() {
                "kept" => Voltages::Kept,
                "rules" => Voltages::Rules,
                _ => Voltages::NotKnown,
            };
            port
        })
        .collect();
    Charger {
        name: text(charger, "name"),
        pools: pools_of(charger, &ports),
        lines: (!combinations.is_empty()).then(|| lines_of(combinations, &ports)),
        reserves_tier: text_or(charger, "reserve", "contract") == "offer",
        ports,
    }
}

fn read_port(charger: String, port: &Value) -> Port {
    let pd_w = number(port, "pd_w");
    let mut offers = label_of(port, "offers", Side::Offers);
    let cap_w = number(port, "max_w")
        .or(pd_w)
        .unwrap_or_else(|| most_watts(&offers));
    offers.extend(pd_w.map(pd_source).unwrap_or_default());
    Port {
        charger,
        name: text(port, "name"),
        connector: text_or(port, "connector", "usb-c"),
        offers,
        cap_w,
        tiers_w: Vec::new(),
        has_lead: port.get("lead").is_some(),
        voltages: Voltages::NotKnown,
    }
}

/// The tiers below the cap, if it is a `usb-c` port; the watts below the cap that the
/// table gives it; and the cap.
fn tiers_of(charger: &Value, combinations: &[Value], port: &Port) -> Vec<f64> {
    let mut tiers: Vec<f64> = Vec::new();
    if port.connector == "usb-c" {
        match charger.get("tiers_w").and_then(Value::as_array) {
            Some(listed) => tiers.extend(listed.iter().filter_map(Value::as_f64)),
            None => tiers.extend(DEFAULT_TIERS_W),
        }
    }
    let given = combinations
        .iter()
        .filter_map(|line| number(line, &port.name));
    tiers.extend(given);
    tiers.retain(|&tier| micro(tier) < micro(port.cap_w));
    tiers.push(port.cap_w);
    tiers.sort_by(f64::total_cmp);
    tiers.dedup_by_key(|tier| micro(*tier));
    tiers
}

fn pools_of(charger: &Value, ports: &[Port]) -> Vec<Pool> {
    let index_of = |name: &Value| {
        let found = ports
            .iter()
            .position(|port| Some(port.name.as_str()) == name.as_str());
        found.expect("a pool names ports of its charger")
    };
    let total = number(charger, "max_w").map(|max_w| Pool {
        name: "total".to_owned(),
        ports: (0..ports.len()).collect(),
        max_w,
    });
    let listed = list(charger, "pools").iter().map(|pool| Pool {
        name: text(pool, "name"),
        ports: match &pool["ports"] {
            Value::Array(names) => names.iter().map(index_of).collect(),
            _ => (0..ports.len()).collect(),
        },
        max_w: number(pool, "max_w").expect("a pool has a limit"),
    });
    total.into_iter().chain(listed).collect()
}

/// The table's lines, and for each port without a line of its own the implied one.
fn lines_of(combinations: &[Value], ports: &[Port]) -> Vec<Line> {
    let mut lines: Vec<Line> = combinations
        .iter()
        .map(|line| Line {
            watts: ports.iter().map(|port| number(line, &port.name)).collect(),
            implied: false,
        })
        .collect();
    for (alone, port) in ports.iter().enumerate() {
        let only_this = |line: &Line| {
            line.watts
                .iter()
                .enumerate()
                .all(|(i, watts)| watts.is_some() == (i == alone))
        };
        if !lines.iter().any(only_this) {
            let mut watts = vec![None; ports.len()];
            watts[alone] = Some(port.cap_w);
            lines.push(Line {
                watts,
                implied: true,
            });
        }
    }
    lines
}
