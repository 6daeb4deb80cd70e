//! A device with every default in its place, in both readings (section 1).

use serde_json::{Value, json};

use super::json::{list, number, range, text, text_or};
use super::kinds::{self, Kind};
use super::label::{Side, label_of, most_watts};
use super::offers::pd_device;
use super::setup::{Assumed, Device, Promised, Session};

pub(crate) fn read_device(device: &Value, session_h: Option<f64>, sessions: &[Session]) -> Device {
    let kind = device
        .get("kind")
        .and_then(Value::as_str)
        .map(kinds::of_name);
    let mut assumed = Vec::new();
    let inlet = inlet_of(device, kind, &mut assumed);
    let pd_w = pd_of(device, kind, &mut assumed);
    let mut accepts = label_of(device, "accepts", Side::Accepts);
    // Only what is printed counts for the largest entry; `pd_w` is its own limit.
    let max_w = number(device, "max_w")
        .or(pd_w)
        .unwrap_or_else(|| most_watts(&accepts));
    accepts.extend(pd_w.map(pd_device).unwrap_or_default());
    let battery = battery_of(device, kind, &mut assumed);
    let (start_low, start_high) = range(device, "start_pct").unwrap_or((0.0, 0.0));
    let (min_w, promised_min_w) = least_of(device, kind, max_w, &mut assumed);
    let efficiency = number(device, "efficiency").unwrap_or(0.88);
    let draw_w = |battery_wh: f64| {
        curve_of(device).unwrap_or_else(|| default_curve(max_w, efficiency, battery_wh))
    };
    let at_hand = |session: &Session| match device.get("sessions") {
        Some(_) => list(device, "sessions")
            .iter()
            .any(|name| *name == session.name),
        None => true,
    };
    Device {
        name: text(device, "name"),
        at_hand: sessions.iter().map(at_hand).collect(),
        inlet,
        accepts,
        max_w,
        min_w,
        battery_wh: battery.best,
        start_pct: f64::midpoint(start_low, start_high),
        target_pct: number(device, "target_pct").unwrap_or(100.0),
        draw_w: draw_w(battery.best),
        efficiency,
        running_w: number(device, "running_w").unwrap_or(0.0),
        ready_by_h: number(device, "ready_by_h").or(session_h),
        priority: device.get("priority").and_then(Value::as_u64).unwrap_or(2),
        reach_m: number(device, "reach_m").unwrap_or(0.0),
        port_pin: device.get("port").map(|_| text(device, "port")),
        cable_pin: device.get("cable").map(|_| text(device, "cable")),
        usb_a_a: number(device, "usb_a_a"),
        promised: Promised {
            min_w: promised_min_w,
            battery_wh: battery.promised,
            start_pct: start_low,
            draw_w: draw_w(battery.promised),
        },
        assumed,
    }
}

fn inlet_of(device: &Value, kind: Option<Kind>, assumed: &mut Vec<Assumed>) -> String {
    if let (None, Some(kind)) = (device.get("inlet"), kind) {
        assumed.push(of_kind(kind, "inlet", json!(kind.inlet)));
        return kind.inlet.to_owned();
    }
    text_or(device, "inlet", "usb-c")
}

/// Its `pd_w`; where it says nothing of its input, that of its kind; with `max_w` alone,
/// that.
fn pd_of(device: &Value, kind: Option<Kind>, assumed: &mut Vec<Assumed>) -> Option<f64> {
    let said = number(device, "pd_w");
    match kind {
        Some(kind) if said.is_none() && device.get("accepts").is_none() => number(device, "max_w")
            .or_else(|| {
                assumed.push(of_kind(kind, "pd_w", json!(kind.w_typical)));
                Some(kind.w_typical)
            }),
        _ => said,
    }
}

struct Battery {
    best: f64,
    promised: f64,
}

fn battery_of(device: &Value, kind: Option<Kind>, assumed: &mut Vec<Assumed>) -> Battery {
    if let Some((low, high)) = range(device, "battery_wh") {
        return Battery {
            best: f64::midpoint(low, high),
            promised: high,
        };
    }
    if let Some(mah) = number(device, "battery_mah") {
        let volts = number(device, "battery_v").unwrap_or_else(|| {
            kind.map_or(3.7, |kind| {
                assumed.push(of_kind(kind, "battery_v", json!(kind.cell_v)));
                kind.cell_v
            })
        });
        let wh = mah / 1000.0 * volts;
        return Battery {
            best: wh,
            promised: wh,
        };
    }
    let kind = kind.expect("a device has a battery or a kind");
    assumed.push(Assumed {
        low: Some(kind.wh_low),
        high: Some(kind.wh_high),
        ..of_kind(kind, "battery_wh", json!(kind.wh_typical))
    });
    Battery {
        best: kind.wh_typical,
        promised: kind.wh_high,
    }
}

/// The least watts that it needs, at best and promised.
fn least_of(
    device: &Value,
    kind: Option<Kind>,
    max_w: f64,
    assumed: &mut Vec<Assumed>,
) -> (f64, f64) {
    if let Some(min_w) = number(device, "min_w") {
        return (min_w, min_w);
    }
    let surely = kind.and_then(|kind| kind.w_surely.map(|watts| (kind, watts.min(max_w))));
    let Some((kind, watts)) = surely else {
        return (0.0, 0.0);
    };
    assumed.push(of_kind(kind, "min_w", json!(watts)));
    (0.0, watts)
}

fn of_kind(kind: Kind, field: &'static str, value: Value) -> Assumed {
    Assumed {
        field,
        value,
        low: None,
        high: None,
        source: kind.source,
    }
}

fn curve_of(device: &Value) -> Option<Vec<(f64, f64)>> {
    let points = device.get("draw_w")?.as_array().expect("a list of points");
    let point = |point: &Value| {
        let at = |i: usize| point[i].as_f64().expect("a point of two numbers");
        (at(0), at(1))
    };
    Some(points.iter().map(point).collect())
}

/// What is missing at the voltage limit grows with the rate of charging.
fn default_curve(max_w: f64, efficiency: f64, battery_wh: f64) -> Vec<(f64, f64)> {
    let rate = max_w * efficiency / battery_wh;
    let taper = (100.0 - 20.0 * rate).clamp(60.0, 95.0);
    vec![(0.0, max_w), (taper, max_w), (100.0, max_w / 10.0)]
}
