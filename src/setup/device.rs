//! The devices: battery, charging curve, counts and pins, checked and resolved.

use std::collections::HashMap;

use super::ask::At;
use super::pin::{pinned_cable, pinned_port};
use super::session::at_hand;
use super::{CableSpec, ChargerSpec, DeviceSpec};
use crate::diagnostics::{Findings, Path, shown};
use crate::limits::{
    ACCEPT_V, BATTERY_MAH, BATTERY_V, BATTERY_WH, DEVICE_COUNT, DEVICE_MAX_W, DRAW_PCT,
    DRAW_POINTS, DRAW_W, EFFICIENCY, MIN_W, PD_W, PRIORITY, REACH_M, READY_BY_H, RUNNING_W,
    START_PCT, TARGET_PCT,
};
use crate::setup::document::{Device, SetupDocument};
use crate::usb::{Accept, Demand, LabelEntry, power_rules};

/// Inlet to battery, where a device states none (model.md, section 1).
const DEFAULT_EFFICIENCY: f64 = 0.88;
/// Cell voltage for milliampere-hours (common practice).
const DEFAULT_BATTERY_V: f64 = 3.7;
/// Charging slows from this state of charge on (common practice).
const TAPER_FROM_PCT: f64 = 80.0;
/// What is left of the power at 100 % (common practice).
const TAPER_TO: f64 = 0.1;

pub(super) fn resolve_devices(
    document: &SetupDocument,
    session_h: Option<f64>,
    chargers: &[ChargerSpec],
    cables: &[CableSpec],
    findings: &mut Findings,
) -> Vec<DeviceSpec> {
    let list = Path::default().field("devices");
    let mut resolved = Vec::new();
    let mut first_of: HashMap<String, usize> = HashMap::new();
    for (i, device) in document.devices.iter().enumerate() {
        let path = list.index(i);
        let mut spec = resolve_device(device, findings, path.clone());
        spec.ready_by_h = spec.ready_by_h.or(session_h);
        let at = &mut At::new(findings, path);
        spec.pinned_port = device
            .port
            .as_deref()
            .and_then(|pin| pinned_port(pin, chargers, at.findings, at.path.field("port")));
        spec.pinned_cable = device
            .cable
            .as_deref()
            .and_then(|pin| pinned_cable(pin, cables, at.findings, at.path.field("cable")));
        spec.at_hand = at_hand(device.sessions.as_deref(), &document.sessions, at);
        let mut clash = None;
        for name in expanded(device) {
            if first_of.insert(name.clone(), i).is_some() && clash.is_none() {
                clash = Some(name.clone());
            }
            resolved.push(DeviceSpec {
                name,
                ..spec.clone()
            });
        }
        if let Some(name) = clash.filter(|name| !name.is_empty()) {
            let counted = if name == device.name {
                ""
            } else {
                ", counts expanded"
            };
            let message = format!("two devices are called \"{}\"{counted}", shown(&name));
            at.fault("name", message);
        }
    }
    resolved
}

/// The names of a device, its count expanded.
fn expanded(device: &Device) -> Vec<String> {
    let count = device.count.unwrap_or(1);
    if count > 1 && DEVICE_COUNT.holds(f64::from(count)) {
        (1..=count)
            .map(|n| format!("{} {n}", device.name))
            .collect()
    } else {
        vec![device.name.clone()]
    }
}

fn resolve_device(device: &Device, findings: &mut Findings, path: Path) -> DeviceSpec {
    let mut at = At::new(findings, path);
    at.name(&device.name, "a device");
    at.number("count", device.count.map(f64::from), &DEVICE_COUNT);
    let inlet = at.connector("inlet", device.inlet.as_deref());
    let pd_w = at.number("pd_w", device.pd_w, &PD_W);
    let max_w = at.number("max_w", device.max_w, &DEVICE_MAX_W);
    if device.accepts.is_none() && device.pd_w.is_none() {
        let message = "a device needs `accepts` or `pd_w`, to say what it takes";
        at.findings
            .add(at.path.clone(), message)
            .about(&["accepts", "pd_w"]);
    }
    let printed = at.label("accepts", device.accepts.as_ref(), &ACCEPT_V);
    let mut accepts: Vec<Accept> = printed.into_iter().map(LabelEntry::accepted).collect();
    let largest = accepts.iter().map(most_w).fold(0.0, f64::max);
    if let Some(pd_w) = pd_w {
        accepts.extend(power_rules::sink_accepts(pd_w));
    }
    let max_w = max_w.or(pd_w).unwrap_or(largest);
    let min_w = at.number("min_w", device.min_w, &MIN_W);
    let start_pct = at.number("start_pct", device.start_pct, &START_PCT);
    let target_pct = at.number("target_pct", device.target_pct, &TARGET_PCT);
    let efficiency = at.number("efficiency", device.efficiency, &EFFICIENCY);
    let running_w = at.number("running_w", device.running_w, &RUNNING_W);
    let reach_m = at.number("reach_m", device.reach_m, &REACH_M);
    at.number("priority", device.priority.map(f64::from), &PRIORITY);
    DeviceSpec {
        name: device.name.clone(),
        inlet,
        accepts,
        max_w,
        min_w: min_w.unwrap_or(0.0),
        battery_wh: battery_wh(device, &mut at),
        start_pct: start_pct.unwrap_or(0.0),
        target_pct: target_pct.unwrap_or(100.0),
        draw_w: draw_w(device, &mut at).unwrap_or_else(|| default_draw(max_w)),
        default_draw: device.draw_w.is_none(),
        efficiency: efficiency.unwrap_or(DEFAULT_EFFICIENCY),
        running_w: running_w.unwrap_or(0.0),
        ready_by_h: at.number("ready_by_h", device.ready_by_h, &READY_BY_H),
        priority: device.priority.unwrap_or(2),
        at_hand: u32::MAX,
        reach_m: reach_m.unwrap_or(0.0),
        pinned_port: None,
        pinned_cable: None,
        pinned_contract: None,
    }
}

/// The most that an accepted entry takes, in watts.
fn most_w(accept: &Accept) -> f64 {
    let volts = match accept.demand {
        Demand::Fixed { volts } => volts,
        Demand::Pps { high_v, .. } | Demand::Avs { high_v, .. } | Demand::Wide { high_v, .. } => {
            high_v
        }
    };
    (volts * accept.amps).min(accept.watts)
}

fn battery_wh(device: &Device, at: &mut At<'_>) -> f64 {
    let wh = at.number("battery_wh", device.battery_wh, &BATTERY_WH);
    let mah = at.number("battery_mah", device.battery_mah, &BATTERY_MAH);
    let volts = at
        .number("battery_v", device.battery_v, &BATTERY_V)
        .unwrap_or(DEFAULT_BATTERY_V);
    match (device.battery_wh, device.battery_mah) {
        (None, None) => {
            let message = "a device needs `battery_wh` or `battery_mah`";
            at.findings
                .add(at.path.clone(), message)
                .about(&["battery_wh", "battery_mah"]);
        }
        (Some(_), Some(_)) => {
            at.fault(
                "battery_mah",
                "`battery_wh` and `battery_mah` are both given; keep one",
            );
        }
        _ => {}
    }
    if let Some(mah) = mah {
        let wh = mah * volts / 1000.0;
        if !BATTERY_WH.holds(wh) {
            at.fault("battery_mah", BATTERY_WH.refusal(wh));
        }
        return wh;
    }
    wh.unwrap_or_default()
}

/// The charging curve where it is given.
fn draw_w(device: &Device, at: &mut At<'_>) -> Option<Vec<(f64, f64)>> {
    let points = device.draw_w.as_ref()?;
    let path = at.path.field("draw_w");
    if points.is_empty() {
        at.fault(
            "draw_w",
            "`draw_w` is empty; leave it out, or give at least one point",
        );
    }
    if !DRAW_POINTS.holds(points.len()) {
        at.fault("draw_w", DRAW_POINTS.refusal(points.len()));
        return None;
    }
    for (i, &(percent, watts)) in points.iter().enumerate() {
        if !DRAW_PCT.holds(percent) {
            at.findings
                .add(path.index(i).index(0), DRAW_PCT.refusal(percent));
        }
        if !DRAW_W.holds(watts) {
            at.findings
                .add(path.index(i).index(1), DRAW_W.refusal(watts));
        }
        let before = i.checked_sub(1).map(|i| points[i].0);
        if let Some(before) = before
            && percent < before
        {
            let message = format!(
                "the points of `draw_w` go up in charge, but {percent} % comes after {before} %"
            );
            at.findings.add(path.index(i).index(0), message);
        }
        if i >= 2 && points[i - 2].0 == percent && points[i - 1].0 == percent {
            let message = format!("three points of `draw_w` stand at {percent} %; two make a step");
            at.findings.add(path.index(i).index(0), message);
        }
    }
    Some(points.clone())
}

/// The charging curve where none is given: full power, then a taper.
fn default_draw(max_w: f64) -> Vec<(f64, f64)> {
    vec![
        (0.0, max_w),
        (TAPER_FROM_PCT, max_w),
        (100.0, max_w * TAPER_TO),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resolved(device: &Device) -> DeviceSpec {
        let mut findings = Findings::new();
        let document = SetupDocument::new().device(device.clone());
        let specs = resolve_devices(&document, Some(8.0), &[], &[], &mut findings);
        assert!(findings.is_empty(), "{:?}", findings.all);
        specs.into_iter().next().expect("one device was given")
    }

    #[test]
    fn defaults_stand_in_their_places() {
        let spec = resolved(&Device::new("score tablet", 28.6).pd_w(45.0));
        assert_eq!(spec.draw_w, [(0.0, 45.0), (80.0, 45.0), (100.0, 4.5)]);
        assert!(spec.default_draw);
        assert_eq!((spec.start_pct, spec.target_pct), (0.0, 100.0));
        assert_eq!(
            (spec.efficiency, spec.running_w, spec.min_w),
            (0.88, 0.0, 0.0)
        );
        assert_eq!(
            (spec.ready_by_h, spec.priority, spec.reach_m),
            (Some(8.0), 2, 0.0)
        );
        let own = resolved(
            &Device::new("laptop", 60.0)
                .pd_w(65.0)
                .ready_by_h(6.5)
                .max_w(50.0),
        );
        assert_eq!((own.ready_by_h, own.max_w), (Some(6.5), 50.0));
    }

    #[test]
    fn milliampere_hours_count_at_the_cell_s_voltage() {
        let phone = Device {
            name: "phone".into(),
            pd_w: Some(20.0),
            ..Device::default()
        };
        for (mah, volts, expected) in [(5000.0, None, 18.5), (5000.0, Some(3.85), 19.25)] {
            let phone = Device {
                battery_mah: Some(mah),
                battery_v: volts,
                ..phone.clone()
            };
            assert!((resolved(&phone).battery_wh - expected).abs() < 1e-12);
        }
    }

    #[test]
    fn counts_become_numbered_names() {
        let tablet = Device::new("tablet", 28.6);
        for (count, expected) in [(1, &["tablet"][..]), (2, &["tablet 1", "tablet 2"])] {
            assert_eq!(expanded(&tablet.clone().count(count)), expected);
        }
    }
}
