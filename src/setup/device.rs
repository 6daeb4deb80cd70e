//! The devices: battery, charging curve, counts and pins, checked and resolved.

use std::collections::HashMap;

use super::ask::{At, is_usb};
use super::cable::LEAD;
use super::ids::{CableId, PortId};
use super::pin::{pinned_cable, pinned_port};
use super::session::at_hand;
use super::{
    AssumedSpec, AssumedValue, CableSpec, ChargerSpec, DeviceSpec, PromisedSpec, Setup, leads,
};
use crate::diagnostics::{Findings, Path, near, shown};
use crate::facts::Kind;
use crate::limits::{
    ACCEPT_V, BATTERY_MAH, BATTERY_V, BATTERY_WH, DEVICE_COUNT, DEVICE_MAX_W, DRAW_PCT,
    DRAW_POINTS, DRAW_W, EFFICIENCY, EVERY_NIGHTS, MIN_W, PD_W, PRIORITY, Quantity, REACH_M,
    READY_BY_H, RUNNING_W, START_PCT, TARGET_PCT, USB_A_A,
};
use crate::setup::document::{Device, SetupDocument, Span};
use crate::usb::label::Held;
use crate::usb::{Accept, Demand, LabelEntry, power_rules};

/// Inlet to battery, where a device states none (model.md, section 1).
const DEFAULT_EFFICIENCY: f64 = 0.88;
/// Cell voltage for milliampere-hours (common practice).
const DEFAULT_BATTERY_V: f64 = 3.7;
/// What is missing at the voltage limit at 1C, in percent.
const MISSING_PCT_AT_1C: f64 = 20.0;
/// Between these states of charge the taper begins.
const TAPER_AT_LEAST_PCT: f64 = 60.0;
const TAPER_AT_MOST_PCT: f64 = 95.0;
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
        (spec.pinned_port, spec.pinned_cable) = pins(device, chargers, cables, at);
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

/// Where a device is pinned to, as far as that is there.
fn pins(
    device: &Device,
    chargers: &[ChargerSpec],
    cables: &[CableSpec],
    at: &mut At<'_>,
) -> (Option<PortId>, Option<CableId>) {
    let port = device
        .port
        .as_deref()
        .and_then(|pin| pinned_port(pin, chargers, at.findings, at.path.field("port")));
    let cable = device.cable.as_deref().and_then(|pin| {
        let lead = lead_pin(pin, port, chargers, cables);
        lead.or_else(|| pinned_cable(pin, cables, at.findings, at.path.field("cable")))
    });
    (port, cable)
}

impl Setup {
    /// Looks up the pins of its document anew, on the chargers that it has now. Whether all of
    /// them are there.
    pub(crate) fn pin_again(&mut self) -> bool {
        let mut findings = Findings::new();
        let mut pinned = Vec::with_capacity(self.devices.len());
        for device in &self.document.devices {
            let at = &mut At::new(&mut findings, Path::default());
            let own = pins(device, &self.chargers, self.bag_cables(), at);
            pinned.extend(expanded(device).iter().map(|_| own));
        }
        for (device, (port, cable)) in self.devices.iter_mut().zip(pinned) {
            (device.pinned_port, device.pinned_cable) = (port, cable);
        }
        findings.is_empty()
    }
}

/// The lead that a device is pinned to by that name, which is that of the port it is pinned
/// to. Leads stand behind the cables of the bag, in the order of their ports.
fn lead_pin(
    pin: &str,
    port: Option<PortId>,
    chargers: &[ChargerSpec],
    cables: &[CableSpec],
) -> Option<CableId> {
    if pin != LEAD {
        return None;
    }
    let leads = leads(chargers);
    let at = leads
        .iter()
        .position(|lead| lead.lead_of.is_some() && lead.lead_of == port)?;
    Some(CableId(cables.len() + at))
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
    let kind = kind_of(device, &mut at);
    let mut assumed = Vec::new();
    let inlet = at.connector("inlet", device.inlet.as_deref().or(kind.map(|k| k.inlet)));
    if let (None, Some(kind)) = (&device.inlet, kind) {
        assumed.push(of_kind("inlet", AssumedValue::Connector(kind.inlet), kind));
    }
    let (accepts, max_w) = intake(device, kind, &mut assumed, &mut at);
    let min_w = at.number("min_w", device.min_w, &MIN_W);
    let start = span(device.start_pct, "start_pct", &START_PCT, &mut at);
    let battery = battery(device, kind, &mut assumed, &mut at);
    let surely_w = min_w.is_none().then(|| surely_w(kind, max_w, &mut assumed));
    let target_pct = at.number("target_pct", device.target_pct, &TARGET_PCT);
    let efficiency = at.number("efficiency", device.efficiency, &EFFICIENCY);
    let efficiency = efficiency.unwrap_or(DEFAULT_EFFICIENCY);
    let running_w = at.number("running_w", device.running_w, &RUNNING_W);
    let every_nights = device.every_nights.map(f64::from);
    at.number("every_nights", every_nights, &EVERY_NIGHTS);
    let reach_m = at.number("reach_m", device.reach_m, &REACH_M);
    at.number("priority", device.priority.map(f64::from), &PRIORITY);
    let usb_a = at.number("usb_a_a", device.usb_a_a, &USB_A_A);
    let given = draw_w(device, &mut at);
    let curve = |wh: f64| {
        given
            .clone()
            .unwrap_or_else(|| default_draw(max_w, efficiency, wh))
    };
    let min_w = min_w.unwrap_or(0.0);
    DeviceSpec {
        name: device.name.clone(),
        inlet,
        accepts,
        usb_a: usb_a.map(five_volts_at),
        max_w,
        min_w,
        battery_wh: battery.best,
        start_pct: start.map_or(0.0, |start| start.best),
        target_pct: target_pct.unwrap_or(100.0),
        draw_w: curve(battery.best),
        default_draw: device.draw_w.is_none(),
        promised: PromisedSpec {
            min_w: surely_w.flatten().unwrap_or(min_w),
            battery_wh: battery.high,
            start_pct: start.map_or(0.0, |start| start.low),
            draw_w: curve(battery.high),
        },
        assumed,
        guessed_cell: device.battery_mah.is_some() && device.battery_v.is_none() && kind.is_none(),
        efficiency,
        running_w: running_w.unwrap_or(0.0),
        ready_by_h: at.number("ready_by_h", device.ready_by_h, &READY_BY_H),
        priority: device.priority.unwrap_or(2),
        at_hand: u32::MAX,
        reach_m: reach_m.unwrap_or(0.0),
        every_nights: device.every_nights.unwrap_or(1),
        pinned_port: None,
        pinned_cable: None,
        pinned_contract: None,
    }
}

fn kind_of(device: &Device, at: &mut At<'_>) -> Option<&'static Kind> {
    let name = device.kind.as_deref()?;
    let found = Kind::named(name);
    if found.is_none() {
        let message = format!("no kind of device is called \"{}\"", shown(name));
        let suggestion = near(name, Kind::names());
        let path = at.path.field("kind");
        at.findings.add(path, message).near(suggestion);
    }
    found
}

fn of_kind(field: &'static str, value: AssumedValue, kind: &'static Kind) -> AssumedSpec {
    AssumedSpec { field, value, kind }
}

/// What the device accepts, and the most that it draws at the port.
fn intake(
    device: &Device,
    kind: Option<&'static Kind>,
    assumed: &mut Vec<AssumedSpec>,
    at: &mut At<'_>,
) -> (Vec<Accept>, f64) {
    let mut pd_w = at.number("pd_w", device.pd_w, &PD_W);
    let max_w = at.number("max_w", device.max_w, &DEVICE_MAX_W);
    if device.accepts.is_none() && device.pd_w.is_none() {
        match kind {
            Some(_) if device.max_w.is_some() => pd_w = max_w,
            Some(kind) => {
                pd_w = Some(kind.typical_w);
                assumed.push(of_kind("pd_w", AssumedValue::Number(kind.typical_w), kind));
            }
            // That its kind is not known is a fault already.
            None if device.kind.is_some() => {}
            None => {
                let message =
                    "a device needs `accepts` or `pd_w`, to say what it takes, or a `kind`";
                at.findings
                    .add(at.path.clone(), message)
                    .about(&["accepts", "pd_w", "kind"]);
            }
        }
    }
    let held = Held {
        volts: &ACCEPT_V,
        usb: is_usb(device.inlet.as_deref().or(kind.map(|kind| kind.inlet))),
        pd_w: true,
    };
    let printed = at.label("accepts", device.accepts.as_ref(), held);
    let mut accepts: Vec<Accept> = printed.into_iter().map(LabelEntry::accepted).collect();
    let largest = accepts.iter().map(most_w).fold(0.0, f64::max);
    if let Some(pd_w) = pd_w {
        accepts.extend(power_rules::sink_accepts(pd_w));
    }
    (accepts, max_w.or(pd_w).unwrap_or(largest))
}

/// The power from which on a device of the kind surely charges.
fn surely_w(
    kind: Option<&'static Kind>,
    max_w: f64,
    assumed: &mut Vec<AssumedSpec>,
) -> Option<f64> {
    let kind = kind?;
    let surely_w = kind.surely_w?.min(max_w);
    assumed.push(of_kind("min_w", AssumedValue::Number(surely_w), kind));
    Some(surely_w)
}

/// What is accepted at 5 V from a `usb-a` port.
fn five_volts_at(amps: f64) -> Accept {
    Accept {
        demand: Demand::Fixed { volts: 5.0 },
        amps,
        watts: f64::INFINITY,
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

/// A quantity that may be known only between two values.
#[derive(Debug, Clone, Copy)]
struct Known {
    low: f64,
    best: f64,
    high: f64,
}

impl Known {
    fn exactly(value: f64) -> Self {
        Self {
            low: value,
            best: value,
            high: value,
        }
    }
}

/// A number, or a pair from low to high, each within its range.
fn span(given: Option<Span>, field: &str, range: &Quantity, at: &mut At<'_>) -> Option<Known> {
    let (low, high) = match given? {
        Span::Of(value) => return at.number(field, Some(value), range).map(Known::exactly),
        Span::Between(low, high) => (low, high),
    };
    let path = at.path.field(field);
    let mut within = true;
    for (i, value) in [low, high].into_iter().enumerate() {
        if !range.holds(value) {
            at.findings.add(path.index(i), range.refusal(value));
            within = false;
        }
    }
    if within && low > high {
        let message = format!("`{field}` goes from low to high, but {low} comes before {high}");
        at.findings.add(path, message);
        within = false;
    }
    within.then_some(Known {
        low,
        best: f64::midpoint(low, high),
        high,
    })
}

fn battery(
    device: &Device,
    kind: Option<&'static Kind>,
    assumed: &mut Vec<AssumedSpec>,
    at: &mut At<'_>,
) -> Known {
    let wh = span(device.battery_wh, "battery_wh", &BATTERY_WH, at);
    let mah = at.number("battery_mah", device.battery_mah, &BATTERY_MAH);
    let volts = at.number("battery_v", device.battery_v, &BATTERY_V);
    match (device.battery_wh, device.battery_mah, kind) {
        (None, None, Some(kind)) => {
            let value = AssumedValue::Between(kind.typical_wh, kind.low_wh, kind.high_wh);
            assumed.push(of_kind("battery_wh", value, kind));
            return Known {
                low: kind.low_wh,
                best: kind.typical_wh,
                high: kind.high_wh,
            };
        }
        (None, None, None) if device.kind.is_some() => {}
        (None, None, None) => {
            let message = "a device needs `battery_wh` or `battery_mah`, or a `kind`";
            at.findings
                .add(at.path.clone(), message)
                .about(&["battery_wh", "battery_mah", "kind"]);
        }
        (Some(_), Some(_), _) => {
            at.fault(
                "battery_mah",
                "`battery_wh` and `battery_mah` are both given; keep one",
            );
        }
        _ => {}
    }
    let Some(mah) = mah else {
        return wh.unwrap_or(Known::exactly(0.0));
    };
    let volts = volts.unwrap_or_else(|| match kind.filter(|_| device.battery_v.is_none()) {
        Some(kind) => {
            assumed.push(of_kind(
                "battery_v",
                AssumedValue::Number(kind.cell_v),
                kind,
            ));
            kind.cell_v
        }
        None => DEFAULT_BATTERY_V,
    });
    let wh = mah * volts / 1000.0;
    if !BATTERY_WH.holds(wh) {
        at.fault("battery_mah", BATTERY_WH.refusal(wh));
    }
    Known::exactly(wh)
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

/// The charging curve where none is given: full power, then a taper. What is missing at the
/// voltage limit grows with the rate, the power into the battery over its energy: a cell
/// charged at 1C leaves the constant current at about 80 %, at C/2 at about 90 %
/// (model.md, section 1).
fn default_draw(max_w: f64, efficiency: f64, battery_wh: f64) -> Vec<(f64, f64)> {
    let rate = max_w * efficiency / battery_wh;
    let from_pct = (100.0 - MISSING_PCT_AT_1C * rate).clamp(TAPER_AT_LEAST_PCT, TAPER_AT_MOST_PCT);
    vec![(0.0, max_w), (from_pct, max_w), (100.0, max_w * TAPER_TO)]
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
        assert_eq!(spec.draw_w[0], (0.0, 45.0));
        assert_eq!(spec.draw_w[2], (100.0, 4.5));
        // 100 − 20 × 45 × 0.88 / 28.6.
        assert!((spec.draw_w[1].0 - 72.307_692).abs() < 1e-6);
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
