//! The setup document with every default in its place (section 1).

use serde_json::Value;

use super::json::{list, number, text, text_or};
use super::label::Entry;
use super::near::Former;
use super::read_cable::{read_cable, read_lead};
use super::read_charger::read_charger;
use super::read_device::read_device;
use super::rounding::micro;

#[derive(Debug, Clone)]
pub(crate) struct Setup {
    /// One without an end where a plan is asked for.
    pub(crate) sessions: Vec<Session>,
    pub(crate) chargers: Vec<Charger>,
    /// The bag's, in listed order, then the fixed leads of ports.
    pub(crate) cables: Vec<Cable>,
    /// Counts expanded, in listed order.
    pub(crate) devices: Vec<Device>,
    /// By which times a plan is chosen.
    pub(crate) aim: Aim,
    /// What nobody notices, in whole microhours.
    pub(crate) tolerance: i64,
    /// Where each device is in the plan at hand; nowhere where nobody asked.
    pub(crate) at_hand: Option<Vec<Option<Former>>>,
    /// The most that may move from there.
    pub(crate) most_moves: i64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Aim {
    Promise,
    Best,
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
    /// The name of its charger.
    pub(crate) charger: String,
    pub(crate) name: String,
    pub(crate) connector: String,
    pub(crate) offers: Vec<Entry>,
    pub(crate) cap_w: f64,
    /// Ascending; the cap is the last.
    pub(crate) tiers_w: Vec<f64>,
    /// Whether it has a fixed lead: no other cable joins it.
    pub(crate) has_lead: bool,
    pub(crate) voltages: Voltages,
}

/// Which voltages a port keeps when it is held below its cap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Voltages {
    Kept,
    Rules,
    /// At best kept, promised whichever is worse.
    NotKnown,
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
    pub(crate) e_marked: bool,
    /// The most current it carries: rating and e-marker together.
    pub(crate) carries_a: f64,
    /// The most volts it carries: rating and e-marker together.
    pub(crate) carries_v: f64,
    /// The charger and the name of the port whose fixed lead it is.
    pub(crate) lead_of: Option<(String, String)>,
}

/// A device, as it is at best.
#[derive(Debug, Clone)]
pub(crate) struct Device {
    pub(crate) name: String,
    pub(crate) inlet: String,
    pub(crate) accepts: Vec<Entry>,
    pub(crate) max_w: f64,
    /// What it needs at the port.
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
    /// What it is known to take from a `usb-a` port.
    pub(crate) usb_a_a: Option<f64>,
    pub(crate) promised: Promised,
    /// What its kind stood in for.
    pub(crate) assumed: Vec<Assumed>,
}

/// What of a device is open, in the promised reading.
#[derive(Debug, Clone)]
pub(crate) struct Promised {
    pub(crate) min_w: f64,
    pub(crate) battery_wh: f64,
    pub(crate) start_pct: f64,
    pub(crate) draw_w: Vec<(f64, f64)>,
}

/// A field that a device's kind stood in for.
#[derive(Debug, Clone)]
pub(crate) struct Assumed {
    pub(crate) field: &'static str,
    pub(crate) value: Value,
    pub(crate) low: Option<f64>,
    pub(crate) high: Option<f64>,
    pub(crate) source: &'static str,
}

impl Device {
    /// One that starts at its target, as promised, and draws nothing of its own is given
    /// no berth and counted nowhere.
    pub(crate) fn needs_berth(&self) -> bool {
        self.promised.start_pct < self.target_pct || self.running_w > 0.0
    }

    pub(crate) fn missing_wh(&self) -> f64 {
        (self.battery_wh * (self.target_pct - self.start_pct) / 100.0).max(0.0)
    }

    /// The same device in the promised reading.
    pub(crate) fn as_promised(&self) -> Self {
        Self {
            min_w: self.promised.min_w,
            battery_wh: self.promised.battery_wh,
            start_pct: self.promised.start_pct,
            draw_w: self.promised.draw_w.clone(),
            ..self.clone()
        }
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
            swap: session.get("swap").is_none_or(|swap| *swap == true),
        })
        .collect();
    let session_h = number(&document, "session_h");
    let bag = list(&document, "cables").iter().map(read_cable);
    let chargers = list(&document, "chargers");
    let leads = chargers.iter().flat_map(|charger| {
        let ports = list(charger, "ports").iter();
        ports.filter_map(|port| read_lead(charger, port))
    });
    Setup {
        cables: bag.chain(leads).collect(),
        chargers: chargers.iter().map(read_charger).collect(),
        devices: list(&document, "devices")
            .iter()
            .flat_map(|device| expand(device, session_h, &sessions))
            .collect(),
        aim: match text_or(&document, "aim", "promise").as_str() {
            "best" => Aim::Best,
            _ => Aim::Promise,
        },
        tolerance: micro(number(&document, "tolerance_h").unwrap_or(0.05)),
        at_hand: None,
        most_moves: i64::MAX,
        sessions,
    }
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
