//! A checked setup: what every question of the library takes.
//!
//! A [`Setup`] that exists is valid: names resolve, every default stands in its
//! place, label text is read, counts are expanded. The resolved parts live in the
//! files below this folder; they are the only thing that the negotiation, the
//! allocation and the independent check read.

mod ask;
mod cable;
pub(crate) mod candidate;
mod charger;
mod check;
pub(crate) mod clock;
pub(crate) mod contract;
pub(crate) mod curve;
mod device;
pub(crate) mod document;
pub(crate) mod efficiency;
pub(crate) mod ids;
pub(crate) mod ladder;
mod pin;
mod printed;
mod route;
mod session;
mod shop;
mod trip;

pub(crate) use check::{check, check_and_write_out, check_bag, check_chargers};
pub(crate) use pin::{pinned_cable, pinned_port};
pub(crate) use printed::fill;
pub(crate) use shop::ShopSpec;
pub(crate) use trip::{
    AdapterSpec, ApplianceSpec, Asks, BatterySpec, ConverterSpec, MainsSide, Speaks, StopSpec,
    TripSpec,
};

use crate::diagnostics::{Error, Findings, Path, Result, faults_of};
use crate::facts::Kind;
use crate::setup::clock::TimeOfDay;
use crate::setup::document::{Aim, Charger, Reserve, SetupDocument, Voltages};
use crate::usb::{Accept, Connector, Offer};
use ids::{CableId, PortId};

/// A checked setup, made from a [`SetupDocument`] or from JSON.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// As it was given.
    pub(crate) document: SetupDocument,
    /// Empty where none are given.
    pub(crate) sessions: Vec<SessionSpec>,
    /// When the first session, or the night, begins.
    pub(crate) start: Option<TimeOfDay>,
    pub(crate) aim: Aim,
    pub(crate) tolerance_h: f64,
    pub(crate) chargers: Vec<ChargerSpec>,
    /// Those of the bag as listed, then the leads of the ports.
    pub(crate) cables: Vec<CableSpec>,
    /// Counts expanded, in listed order.
    pub(crate) devices: Vec<DeviceSpec>,
    pub(crate) trip: Option<TripSpec>,
    #[allow(dead_code, reason = "no question asks for it yet")]
    pub(crate) shop: Option<ShopSpec>,
    /// What was filled in where nobody said it; only a list leaves that open.
    pub(crate) guesses: Vec<Guess>,
}

/// What is filled in where nobody said it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Guess {
    /// What it is about.
    pub(crate) path: Path,
    /// What that is called.
    pub(crate) of: String,
    /// What is taken for it, in words.
    pub(crate) text: String,
}

impl Guess {
    /// Whether it is about what stands in that list of the document.
    pub(crate) fn is_of(&self, field: &str) -> bool {
        self.path.0.first() == Path::default().field(field).0.first()
    }
}

/// One session of a rota.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SessionSpec {
    pub(crate) name: String,
    pub(crate) hours: f64,
    /// Whether a berth can start with it.
    pub(crate) swap: bool,
}

/// A charger with its names resolved to indices.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ChargerSpec {
    pub(crate) name: String,
    pub(crate) ports: Vec<PortSpec>,
    /// `total` first, where the charger has a `max_w`; then as listed.
    pub(crate) pools: Vec<PoolSpec>,
    /// Empty where the charger has no combinations; implied single lines included.
    pub(crate) lines: Vec<LineSpec>,
    pub(crate) reserve: Reserve,
    /// As given; [`crate::setup::efficiency`] has what is reckoned with where it is not.
    pub(crate) efficiency: Option<f64>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PortSpec {
    pub(crate) name: String,
    pub(crate) connector: Connector,
    /// Printed offers and those that `pd_w` stands for.
    pub(crate) offers: Vec<Offer>,
    pub(crate) cap_w: f64,
    /// Ascending, without repeats, the cap last.
    pub(crate) tiers_w: Vec<f64>,
    /// Which fixed voltages it keeps below its cap, where that is known.
    pub(crate) voltages: Option<Voltages>,
    /// Its own fixed lead; among the setup's cables it stands again, with its port.
    pub(crate) lead: Option<CableSpec>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PoolSpec {
    pub(crate) name: String,
    /// Indices into the charger's ports, ascending.
    pub(crate) ports: Vec<usize>,
    pub(crate) max_w: f64,
}

/// One line of a combination table: per port of the charger the watts granted, or
/// `None` where the port is not of the line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LineSpec {
    /// Whether it only says that a port without a line may be used alone at its cap.
    pub(crate) implied: bool,
    pub(crate) watts: Vec<Option<f64>>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct CableSpec {
    pub(crate) name: String,
    pub(crate) from: Connector,
    pub(crate) to: Connector,
    /// As given, or by default.
    pub(crate) max_a: f64,
    pub(crate) max_v: f64,
    pub(crate) e_marked: bool,
    /// 0 where unknown.
    pub(crate) length_m: f64,
    /// Loop resistance.
    pub(crate) ohm: f64,
    pub(crate) count: u32,
    /// The port whose fixed lead it is.
    pub(crate) lead_of: Option<PortId>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct DeviceSpec {
    pub(crate) name: String,
    pub(crate) inlet: Connector,
    /// Printed entries and those that `pd_w` stands for.
    pub(crate) accepts: Vec<Accept>,
    /// What it is known to take from a `usb-a` port, where that is all it accepts there.
    pub(crate) usb_a: Option<Accept>,
    pub(crate) max_w: f64,
    pub(crate) min_w: f64,
    pub(crate) battery_wh: f64,
    pub(crate) start_pct: f64,
    pub(crate) target_pct: f64,
    /// The given points, or the default curve's.
    pub(crate) draw_w: Vec<(f64, f64)>,
    /// Whether `draw_w` is the default curve.
    pub(crate) default_draw: bool,
    /// What of the above is otherwise where it turns out badly.
    pub(crate) promised: PromisedSpec,
    /// What its kind stands in for, in the order of the fields.
    pub(crate) assumed: Vec<AssumedSpec>,
    /// Whether milliampere-hours were counted at the voltage of one cell, since nothing says
    /// how many there are.
    pub(crate) guessed_cell: bool,
    pub(crate) efficiency: f64,
    pub(crate) running_w: f64,
    pub(crate) ready_by_h: Option<f64>,
    /// 1, 2 or 3.
    pub(crate) priority: u8,
    /// By session, the first in the lowest bit, whether it is at hand; all ones where the
    /// document does not say.
    pub(crate) at_hand: u32,
    pub(crate) reach_m: f64,
    /// 1 where it is charged on every night.
    pub(crate) every_nights: u32,
    pub(crate) pinned_port: Option<PortId>,
    pub(crate) pinned_cable: Option<CableId>,
    /// Volts and amps in whole millionths, give or take one. No document says it;
    /// `score` does, of a contract that is given.
    pub(crate) pinned_contract: Option<(i64, i64)>,
}

/// What of a device is otherwise where what is open turns out badly.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PromisedSpec {
    pub(crate) min_w: f64,
    pub(crate) battery_wh: f64,
    pub(crate) start_pct: f64,
    pub(crate) draw_w: Vec<(f64, f64)>,
}

/// A value that a device's kind stands in for.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct AssumedSpec {
    pub(crate) field: &'static str,
    pub(crate) value: AssumedValue,
    pub(crate) kind: &'static Kind,
}

/// What is assumed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum AssumedValue {
    Connector(&'static str),
    Number(f64),
    /// The usual, with the low and the high end.
    Between(f64, f64, f64),
}

impl DeviceSpec {
    /// Whether it takes part at all: one that surely starts at its target and draws nothing
    /// of its own needs no berth, is given none and is counted nowhere.
    pub(crate) fn needs_berth(&self) -> bool {
        self.promised.start_pct < self.target_pct || self.running_w > 0.0
    }

    /// Whether it is at hand in a session.
    pub(crate) fn is_at_hand(&self, session: usize) -> bool {
        self.at_hand >> session & 1 == 1
    }

    /// The watt-hours still to be stored at best, at least 0.
    pub(crate) fn missing_wh(&self) -> f64 {
        (self.battery_wh * (self.target_pct - self.start_pct) / 100.0).max(0.0)
    }
}

/// The leads of the ports, each with its port.
pub(crate) fn leads(chargers: &[ChargerSpec]) -> Vec<CableSpec> {
    let mut found = Vec::new();
    for (c, charger) in chargers.iter().enumerate() {
        for (p, port) in charger.ports.iter().enumerate() {
            found.extend(port.lead.clone().map(|lead| CableSpec {
                lead_of: Some(PortId::new(c, p)),
                ..lead
            }));
        }
    }
    found
}

impl SetupDocument {
    /// Checks the document; what holds afterwards is said at [`Setup`].
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found, by path.
    pub fn check(self) -> Result<Setup> {
        let mut findings = Findings::new();
        match check(self, &mut findings) {
            Some(setup) if findings.is_empty() => Ok(setup),
            _ => Err(Error::Input(faults_of(findings))),
        }
    }
}

impl Setup {
    /// The document from which it was made, with the labels of chargers written out as ports.
    pub fn document(&self) -> &SetupDocument {
        &self.document
    }

    /// The same setup with another aim.
    #[must_use]
    pub fn aimed(mut self, aim: Aim) -> Self {
        self.aim = aim;
        self.document.aim = Some(aim);
        self
    }

    /// The setup's name for people, where it has one.
    pub fn name(&self) -> Option<&str> {
        self.document.name.as_deref()
    }

    /// The names of the chargers, as listed.
    pub fn charger_names(&self) -> impl Iterator<Item = &str> {
        self.chargers.iter().map(|charger| charger.name.as_str())
    }

    /// The names of the devices, counts expanded, as listed.
    pub fn device_names(&self) -> impl Iterator<Item = &str> {
        self.devices.iter().map(|device| device.name.as_str())
    }

    /// The same bag with one charger, and no device pinned to a port.
    ///
    /// # Errors
    /// [`Error::Internal`] where the charger has faults.
    pub(crate) fn on(&self, charger: Charger) -> Result<Self> {
        let mut findings = Findings::new();
        let spec = charger::resolve_charger(&charger, &mut findings, &Path::default());
        if let Some(finding) = findings.all.first() {
            return Err(Error::Internal {
                message: finding.message.clone(),
            });
        }
        let mut setup = self.clone();
        setup.document.chargers = vec![charger];
        setup.replace_chargers(vec![spec]);
        for device in &mut setup.devices {
            device.pinned_port = None;
        }
        Ok(setup)
    }

    /// Other chargers, with their leads.
    pub(crate) fn replace_chargers(&mut self, chargers: Vec<ChargerSpec>) {
        self.cables.retain(|cable| cable.lead_of.is_none());
        // A pin onto a lead goes with the lead.
        for device in &mut self.devices {
            let bag = self.cables.len();
            device.pinned_cable = device.pinned_cable.filter(|pin| pin.0 < bag);
        }
        self.cables.extend(leads(&chargers));
        self.chargers = chargers;
    }

    /// One more cable in the bag of a setup whose ports have no leads.
    pub(crate) fn add_cable(&mut self, cable: document::Cable) -> Result<()> {
        let mut findings = Findings::new();
        let spec = cable::resolve_cable(&cable, &mut findings, Path::default());
        if let Some(finding) = findings.all.first() {
            return Err(Error::Internal {
                message: finding.message.clone(),
            });
        }
        self.cables.push(spec);
        self.document.cables.push(cable);
        Ok(())
    }

    /// The cables of the bag, without the leads of ports.
    pub(crate) fn bag_cables(&self) -> &[CableSpec] {
        let leads = self.cables.iter().position(|cable| cable.lead_of.is_some());
        &self.cables[..leads.unwrap_or(self.cables.len())]
    }

    /// Limits all ports of each charger to `max_w` together, whatever the document may
    /// state at most.
    pub(crate) fn share_among_all(&mut self, max_w: f64) {
        for charger in &mut self.chargers {
            charger.pools = vec![PoolSpec {
                name: charger::TOTAL.to_owned(),
                ports: (0..charger.ports.len()).collect(),
                max_w,
            }];
        }
    }

    /// By device, counts expanded, the deadline that it states itself.
    pub(crate) fn own_deadlines(&self) -> impl Iterator<Item = Option<f64>> {
        self.document.devices.iter().flat_map(|device| {
            let count = usize::try_from(device.count.unwrap_or(1)).unwrap_or(1);
            std::iter::repeat_n(device.ready_by_h, count)
        })
    }
}
