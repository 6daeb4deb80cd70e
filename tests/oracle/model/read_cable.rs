//! A cable, or a charger's own fixed lead, with every default in its place
//! (sections 1 and 3).

use serde_json::Value;

use super::json::{is_true, number, text, text_or};
use super::setup::Cable;

pub(crate) fn read_cable(cable: &Value) -> Cable {
    Cable {
        name: text(cable, "name"),
        count: cable.get("count").and_then(Value::as_u64).unwrap_or(1),
        ..between(cable, text_or(cable, "from", "usb-c"), false)
    }
}

/// The lead of a port: it joins that port alone, and counts as e-marked.
pub(crate) fn read_lead(charger: &Value, port: &Value) -> Option<Cable> {
    let lead = port.get("lead")?;
    Some(Cable {
        name: "lead".to_owned(),
        lead_of: Some((text(charger, "name"), text(port, "name"))),
        ..between(lead, text_or(port, "connector", "usb-c"), true)
    })
}

fn between(cable: &Value, from: String, is_lead: bool) -> Cable {
    let to = text_or(cable, "to", "usb-c");
    let printed = printed_watts(cable);
    let e_marked = printed.map_or(is_true(cable, "e_marked"), |printed| printed.e_marked);
    let e_marked = e_marked || is_lead;
    let rated_a = printed
        .map(|printed| printed.max_a)
        .or(number(cable, "max_a"))
        .unwrap_or_else(|| default_max_a(&from, &to));
    let max_v = printed
        .map(|printed| printed.max_v)
        .or(number(cable, "max_v"))
        .unwrap_or(21.0);
    let length_m = number(cable, "length_m");
    let ohm = match (number(cable, "ohm"), number(cable, "awg"), length_m) {
        (Some(ohm), _, _) => ohm,
        (None, Some(awg), Some(length_m)) => wire_ohm(awg, 2.0 * length_m),
        _ => 0.75 / rated_a,
    };
    let usb_c_end = from == "usb-c" || to == "usb-c";
    let (mut carries_a, mut carries_v) = (rated_a, max_v);
    if usb_c_end && !e_marked {
        carries_a = carries_a.min(3.0);
    }
    if usb_c_end && !(e_marked && rated_a >= 5.0) {
        carries_v = carries_v.min(21.0);
    }
    Cable {
        name: String::new(),
        from,
        to,
        length_m: length_m.unwrap_or(0.0),
        count: 1,
        ohm,
        e_marked,
        carries_a,
        carries_v,
        lead_of: None,
    }
}

/// A 240 W cable with the ends and the length of another one.
pub(crate) fn best_in_place_of(cable: &Cable) -> Cable {
    Cable {
        ohm: 0.75 / 5.0,
        e_marked: true,
        carries_a: 5.0,
        carries_v: 50.0,
        ..cable.clone()
    }
}

#[derive(Clone, Copy)]
struct Printed {
    max_a: f64,
    max_v: f64,
    e_marked: bool,
}

/// What `watts` stands for.
fn printed_watts(cable: &Value) -> Option<Printed> {
    let watts = number(cable, "watts")?;
    let fast = watts > 60.0;
    Some(Printed {
        max_a: if fast { 5.0 } else { 3.0 },
        max_v: if watts > 100.0 { 50.0 } else { 21.0 },
        e_marked: fast,
    })
}

/// The plugs' ratings, whether or not the cable has a marker.
fn default_max_a(from: &str, to: &str) -> f64 {
    let other = |end: &str| end.starts_with("other:");
    match to {
        "usb-micro-b" => 1.8,
        "usb-mini-b" => 1.0,
        _ if other(from) || other(to) => f64::INFINITY,
        _ => 3.0,
    }
}

/// Copper wire of a gauge (section 3).
fn wire_ohm(awg: f64, metres: f64) -> f64 {
    let diameter_m = 0.127e-3 * 92_f64.powf((36.0 - awg) / 39.0);
    1.7241e-8 * metres / (std::f64::consts::PI * diameter_m * diameter_m / 4.0)
}
