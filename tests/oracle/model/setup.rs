//! The setup document with every default in its place (section 1).

use serde_json::Value;

use super::label::{self, Entry, Side};
use super::offers::{accepted_by_pd_device, offered_by_pd_source};
use super::rounding::micro;

#[derive(Debug, Clone)]
pub(crate) struct Setup {
    /// One without an end where a plan is asked for.
    pub(crate) sessions: Vec<Session>,
    pub(crate) chargers: Vec<Charger>,
    pub(crate) cables: Vec<Cable>,
    /// Counts expanded, in listed order.
    pub(crate) devices: Vec<Device>,
}

#[derive(Debug, Clone)]
pub(crate) struct Session {
    pub(crate) name: String,
    pub(crate) hours: f64,
    pub(crate) swap: bool,
}

#[derive(Debug, Clone)]
pub(crate) struct Charger {
    pub(crate) name: String,
    pub(crate) ports: Vec<Port>,
    pub(crate) pools: Vec<Pool>,
    /// Per line and port the watts granted; `None` where the charger has no table.
    pub(crate) lines: Option<Vec<Line>>,
    /// Whether a berth takes its tier (`offer`) or its volts × amps (`contract`).
    pub(crate) reserves_tier: bool,
}

#[derive(Debug, Clone)]
pub(crate) struct Port {
    pub(crate) name: String,
    pub(crate) connector: String,
    pub(crate) offers: Vec<Entry>,
    pub(crate) cap_w: f64,
    /// Ascending; the cap is the last.
    pub(crate) tiers_w: Vec<f64>,
}

#[derive(Debug, Clone)]
pub(crate) struct Pool {
    pub(crate) name: String,
    pub(crate) ports: Vec<usize>,
    pub(crate) max_w: f64,
}

#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// Per port of the charger; `None` where the port is not of the line.
    pub(crate) watts: Vec<Option<f64>>,
    /// Whether it is the line implied for a port alone, at its cap.
    pub(crate) implied: bool,
}

#[derive(Debug, Clone)]
pub(crate) struct Cable {
    pub(crate) name: String,
    pub(crate) from: String,
    pub(crate) to: String,
    pub(crate) length_m: f64,
    pub(crate) count: u64,
    /// Loop resistance.
    pub(crate) ohm: f64,
    /// The most current it carries: rating, e-marker and drop together.
    pub(crate) carries_a: f64,
    /// The most volts it carries: rating and e-marker together.
    pub(crate) carries_v: f64,
}

#[derive(Debug, Clone)]
pub(crate) struct Device {
    pub(crate) name: String,
    pub(crate) inlet: String,
    pub(crate) accepts: Vec<Entry>,
    pub(crate) max_w: f64,
    pub(crate) min_w: f64,
    pub(crate) battery_wh: f64,
    pub(crate) start_pct: f64,
    pub(crate) target_pct: f64,
    pub(crate) draw_w: Vec<(f64, f64)>,
    pub(crate) efficiency: f64,
    pub(crate) running_w: f64,
    pub(crate) ready_by_h: Option<f64>,
    /// 1, 2 or 3.
    pub(crate) priority: u64,
    /// By session.
    pub(crate) at_hand: Vec<bool>,
    pub(crate) reach_m: f64,
    pub(crate) port_pin: Option<String>,
    pub(crate) cable_pin: Option<String>,
}

impl Device {
    /// One that starts at its target and draws nothing of its own is given no berth
    /// and counted nowhere.
    pub(crate) fn needs_berth(&self) -> bool {
        self.start_pct < self.target_pct || self.running_w > 0.0
    }

    pub(crate) fn missing_wh(&self) -> f64 {
        (self.battery_wh * (self.target_pct - self.start_pct) / 100.0).max(0.0)
    }

    /// Whether its pins, where it has any, allow this port and cable.
    pub(crate) fn may_use(&self, charger: &Charger, port: &Port, cable: &Cable) -> bool {
        let port_ok = self.port_pin.as_ref().is_none_or(|pin| {
            *pin == port.name || *pin == format!("{}/{}", charger.name, port.name)
        });
        let cable_ok = self.cable_pin.as_ref().is_none_or(|pin| *pin == cable.name);
        port_ok && cable_ok
    }
}

/// Reads a setup document for a plan: of one session, in which everything is at hand.
pub(crate) fn read(json: &str) -> Setup {
    let mut setup = read_for_rota(json);
    setup.sessions = vec![Session {
        name: String::new(),
        hours: f64::INFINITY,
        swap: true,
    }];
    for device in &mut setup.devices {
        device.at_hand = vec![true];
    }
    setup
}

/// Reads a setup document with its sessions.
pub(crate) fn read_for_rota(json: &str) -> Setup {
    let document: Value = serde_json::from_str(json).expect("the oracle is given JSON");
    let sessions: Vec<Session> = list(&document, "sessions")
        .iter()
        .map(|session| Session {
            name: text(session, "name"),
            hours: number(session, "hours").expect("a session has a length"),
            swap: session.get("swap").is_none_or(|swap| swap == true),
        })
        .collect();
    let session_h = number(&document, "session_h");
    Setup {
        chargers: list(&document, "chargers")
            .iter()
            .map(read_charger)
            .collect(),
        cables: list(&document, "cables").iter().map(read_cable).collect(),
        devices: list(&document, "devices")
            .iter()
            .flat_map(|device| expand(device, session_h, &sessions))
            .collect(),
        sessions,
    }
}

fn read_charger(charger: &Value) -> Charger {
    let combinations = list(charger, "combinations");
    let steps: Vec<f64> = match charger.get("tiers_w") {
        Some(tiers) => tiers
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(Value::as_f64)
            .collect(),
        None => {
            vec![
                7.5, 15.0, 18.0, 20.0, 27.0, 30.0, 45.0, 60.0, 65.0, 100.0, 140.0, 180.0, 240.0,
            ]
        }
    };
    let ports: Vec<Port> = list(charger, "ports")
        .iter()
        .map(|port| {
            let mut port = read_port(port);
            if port.connector == "usb-c" {
                port.tiers_w.extend(&steps);
            }
            port.tiers_w.extend(
                combinations
                    .iter()
                    .filter_map(|line| number(line, &port.name)),
            );
            port.tiers_w.retain(|&tier| micro(tier) < micro(port.cap_w));
            port.tiers_w.push(port.cap_w);
            port.tiers_w.sort_by(f64::total_cmp);
            port.tiers_w.dedup_by_key(|tier| micro(*tier));
            port
        })
        .collect();
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
    Charger {
        name: text(charger, "name"),
        pools: total.into_iter().chain(listed).collect(),
        lines: (!combinations.is_empty()).then(|| lines_of(combinations, &ports)),
        reserves_tier: charger
            .get("reserve")
            .is_none_or(|reserve| reserve == "offer"),
        ports,
    }
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

fn read_port(port: &Value) -> Port {
    let pd_w = number(port, "pd_w");
    let mut offers = label_of(port, "offers", Side::Offers);
    offers.extend(pd_w.map(offered_by_pd_source).unwrap_or_default());
    let cap_w = number(port, "max_w")
        .or(pd_w)
        .unwrap_or_else(|| most_watts(&offers));
    Port {
        name: text(port, "name"),
        connector: text_or(port, "connector", "usb-c"),
        offers,
        cap_w,
        tiers_w: Vec::new(),
    }
}

fn read_cable(cable: &Value) -> Cable {
    let (from, to) = (
        text_or(cable, "from", "usb-c"),
        text_or(cable, "to", "usb-c"),
    );
    let e_marked = cable.get("e_marked").is_some_and(|marked| marked == true);
    let small_plug = to == "usb-micro-b" || to == "usb-mini-b";
    let by_default = if e_marked { 5.0 } else { 3.0 };
    let by_default = if small_plug && !e_marked {
        1.8
    } else {
        by_default
    };
    let rated_a = number(cable, "max_a").unwrap_or(by_default);
    let length_m = number(cable, "length_m");
    let ohm = match (number(cable, "ohm"), number(cable, "awg"), length_m) {
        (Some(ohm), _, _) => ohm,
        (None, Some(awg), Some(length_m)) => wire_ohm(awg, 2.0 * length_m),
        _ => 0.75 / rated_a,
    };

    let usb_c_end = from == "usb-c" || to == "usb-c";
    let usb_end = from.starts_with("usb-") || to.starts_with("usb-");
    let mut carries_a = rated_a;
    if usb_end && ohm > 0.0 {
        carries_a = carries_a.min(0.75 / ohm);
    }
    if usb_c_end && !e_marked {
        carries_a = carries_a.min(3.0);
    }
    let mut carries_v = number(cable, "max_v").unwrap_or(21.0);
    if usb_c_end && !(e_marked && rated_a >= 5.0) {
        carries_v = carries_v.min(21.0);
    }
    Cable {
        name: text(cable, "name"),
        from,
        to,
        length_m: length_m.unwrap_or(0.0),
        count: cable.get("count").and_then(Value::as_u64).unwrap_or(1),
        ohm,
        carries_a,
        carries_v,
    }
}

/// Copper wire of a gauge (section 3).
fn wire_ohm(awg: f64, metres: f64) -> f64 {
    let diameter_m = 0.127e-3 * 92_f64.powf((36.0 - awg) / 39.0);
    1.7241e-8 * metres / (std::f64::consts::PI * diameter_m * diameter_m / 4.0)
}

fn expand(device: &Value, session_h: Option<f64>, sessions: &[Session]) -> Vec<Device> {
    let one = read_device(device, session_h, sessions);
    match device.get("count").and_then(Value::as_u64) {
        Some(count) if count > 1 => (1..=count)
            .map(|i| Device {
                name: format!("{} {i}", one.name),
                ..one.clone()
            })
            .collect(),
        _ => vec![one],
    }
}

fn read_device(device: &Value, session_h: Option<f64>, sessions: &[Session]) -> Device {
    let pd_w = number(device, "pd_w");
    let mut accepts = label_of(device, "accepts", Side::Accepts);
    // Only what is printed counts for the largest entry; `pd_w` is its own limit.
    let max_w = number(device, "max_w")
        .or(pd_w)
        .unwrap_or_else(|| most_watts(&accepts));
    accepts.extend(pd_w.map(accepted_by_pd_device).unwrap_or_default());
    let battery_wh = number(device, "battery_wh").unwrap_or_else(|| {
        let mah = number(device, "battery_mah").expect("a device has a battery");
        mah / 1000.0 * number(device, "battery_v").unwrap_or(3.7)
    });
    let draw_w = match device.get("draw_w") {
        None => vec![(0.0, max_w), (80.0, max_w), (100.0, max_w / 10.0)],
        Some(points) => points
            .as_array()
            .expect("a list of points")
            .iter()
            .map(|point| {
                (
                    point[0].as_f64().expect("a percentage"),
                    point[1].as_f64().expect("watts"),
                )
            })
            .collect(),
    };
    let at_hand = |session: &Session| match device.get("sessions").and_then(Value::as_array) {
        Some(names) => names.iter().any(|name| *name == session.name),
        None => true,
    };
    Device {
        name: text(device, "name"),
        at_hand: sessions.iter().map(at_hand).collect(),
        inlet: text_or(device, "inlet", "usb-c"),
        accepts,
        max_w,
        min_w: number(device, "min_w").unwrap_or(0.0),
        battery_wh,
        start_pct: number(device, "start_pct").unwrap_or(0.0),
        target_pct: number(device, "target_pct").unwrap_or(100.0),
        draw_w,
        efficiency: number(device, "efficiency").unwrap_or(0.88),
        running_w: number(device, "running_w").unwrap_or(0.0),
        ready_by_h: number(device, "ready_by_h").or(session_h),
        priority: device.get("priority").and_then(Value::as_u64).unwrap_or(2),
        reach_m: number(device, "reach_m").unwrap_or(0.0),
        port_pin: device.get("port").map(|_| text(device, "port")),
        cable_pin: device.get("cable").map(|_| text(device, "cable")),
    }
}

fn most_watts(entries: &[Entry]) -> f64 {
    entries.iter().map(Entry::most_watts).fold(0.0, f64::max)
}

fn label_of(of: &Value, field: &str, side: Side) -> Vec<Entry> {
    of.get(field)
        .and_then(Value::as_str)
        .map(|label| label::read(label, side))
        .unwrap_or_default()
}

fn number(of: &Value, field: &str) -> Option<f64> {
    of.get(field).and_then(Value::as_f64)
}

fn text(of: &Value, field: &str) -> String {
    of[field]
        .as_str()
        .unwrap_or_else(|| panic!("{field} is text"))
        .to_owned()
}

fn text_or(of: &Value, field: &str, default: &str) -> String {
    of.get(field)
        .map_or_else(|| default.to_owned(), |_| text(of, field))
}

fn list<'a>(of: &'a Value, field: &str) -> &'a [Value] {
    of.get(field)
        .and_then(Value::as_array)
        .map_or(&[], Vec::as_slice)
}
