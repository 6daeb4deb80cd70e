//! A person's own way of plugging in, and its names looked up.

use crate::diagnostics::{Error, Findings, Path, Result, faults_of, near, shown};
use crate::limits::{CONTRACT_A, CONTRACT_V};
use crate::plan::{Berth, Plan};
use crate::setup::ids::{CableId, DeviceId, PortId};
use crate::setup::{Setup, pinned_cable, pinned_port};
use crate::units::millionths;

/// Who is plugged in where; who is not named is not plugged in.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Way {
    /// The plugs, in any order.
    pub plugs: Vec<Plug>,
}

/// One device plugged in.
#[derive(Debug, Clone, PartialEq, Default)]
#[non_exhaustive]
pub struct Plug {
    /// The device, with its number where there are several of it.
    pub device: String,
    /// The charger, where `port` does not say it.
    pub charger: Option<String>,
    /// The port: `C1`, or `CHARGER/C1` where two chargers have one of that name.
    pub port: String,
    /// The cable; the best where absent.
    pub cable: Option<String>,
    /// Volts and amperes of the contract; the best where absent.
    pub contract: Option<(f64, f64)>,
}

impl Way {
    /// Nothing is plugged in.
    pub fn new() -> Self {
        Self::default()
    }

    /// Plugs `device` into `port` (`C1`, or `CHARGER/C1`), through the best cable.
    #[must_use]
    pub fn plug(self, device: impl Into<String>, port: impl Into<String>) -> Self {
        self.with(Plug {
            device: device.into(),
            port: port.into(),
            ..Plug::default()
        })
    }

    /// Plugs `device` into `port` through `cable`.
    #[must_use]
    pub fn plug_through(
        self,
        device: impl Into<String>,
        port: impl Into<String>,
        cable: impl Into<String>,
    ) -> Self {
        self.with(Plug {
            device: device.into(),
            port: port.into(),
            cable: Some(cable.into()),
            ..Plug::default()
        })
    }

    fn with(mut self, plug: Plug) -> Self {
        self.plugs.push(plug);
        self
    }

    /// The names looked up in `setup`.
    pub(crate) fn places(&self, setup: &Setup) -> Result<Vec<Plugged>> {
        let mut findings = Findings::new();
        let top = Path::default().field("plugs");
        let mut places = Vec::with_capacity(self.plugs.len());
        for (i, plug) in self.plugs.iter().enumerate() {
            let paths = Paths::within(&top.index(i));
            places.extend(resolve(setup, plug, &paths, &mut findings));
        }
        if findings.is_empty() {
            Ok(places)
        } else {
            Err(Error::Input(faults_of(findings)))
        }
    }
}

impl From<&Plan> for Way {
    /// The places and contracts of a plan.
    fn from(plan: &Plan) -> Self {
        Self {
            plugs: plan.berths.iter().map(Plug::from).collect(),
        }
    }
}

impl From<&Berth> for Plug {
    /// The place and contract of a berth.
    fn from(berth: &Berth) -> Self {
        Self {
            device: berth.device.clone(),
            charger: Some(berth.charger.clone()),
            port: berth.port.clone(),
            cable: Some(berth.cable.clone()),
            contract: Some((berth.volts, berth.amps)),
        }
    }
}

/// A plug with its names resolved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Plugged {
    pub(crate) device: DeviceId,
    pub(crate) port: PortId,
    pub(crate) cable: Option<CableId>,
    /// Volts and amps in whole millionths.
    pub(crate) contract: Option<(i64, i64)>,
}

/// Where the parts of a plug stand in a document.
#[derive(Debug, Clone)]
pub(crate) struct Paths {
    pub(crate) device: Path,
    pub(crate) charger: Path,
    pub(crate) port: Path,
    pub(crate) cable: Path,
    pub(crate) contract: Path,
}

impl Paths {
    /// As the fields of an object.
    pub(crate) fn within(object: &Path) -> Self {
        Self {
            device: object.field("device"),
            charger: object.field("charger"),
            port: object.field("port"),
            cable: object.field("cable"),
            contract: object.field("contract"),
        }
    }
}

/// Looks the names of a plug up; `None` where a finding says that one is unknown.
pub(crate) fn resolve(
    setup: &Setup,
    plug: &Plug,
    paths: &Paths,
    findings: &mut Findings,
) -> Option<Plugged> {
    let device = setup.devices.iter().position(|d| d.name == plug.device);
    if device.is_none() {
        let message = format!("no device is called \"{}\"", shown(&plug.device));
        let suggestion = near(&plug.device, setup.device_names());
        findings.add(paths.device.clone(), message).near(suggestion);
    }
    let port = match &plug.charger {
        None => pinned_port(&plug.port, &setup.chargers, findings, paths.port.clone()),
        Some(charger) => on_charger(setup, charger, &plug.port, paths, findings),
    };
    let cable = plug.cable.as_ref().map(|cable| {
        let own = port.and_then(|port| own_lead(setup, port, cable));
        own.or_else(|| pinned_cable(cable, &setup.cables, findings, paths.cable.clone()))
    });
    if matches!(cable, Some(None)) {
        return None;
    }
    if let Some((volts, amps)) = plug.contract {
        for (value, range) in [(volts, CONTRACT_V), (amps, CONTRACT_A)] {
            if !range.holds(value) {
                findings.add(paths.contract.clone(), range.refusal(value));
                return None;
            }
        }
    }
    Some(Plugged {
        device: DeviceId(device?),
        port: port?,
        cable: cable.flatten(),
        contract: plug
            .contract
            .map(|(volts, amps)| (millionths(volts), millionths(amps))),
    })
}

/// The lead of a port, where it is called so: those of several ports have one name.
pub(crate) fn own_lead(setup: &Setup, port: PortId, name: &str) -> Option<CableId> {
    let mut cables = setup.cables.iter();
    let own = cables.position(|cable| cable.lead_of == Some(port) && cable.name == name);
    own.map(CableId)
}

fn on_charger(
    setup: &Setup,
    name: &str,
    port: &str,
    paths: &Paths,
    findings: &mut Findings,
) -> Option<PortId> {
    let Some(charger) = setup.chargers.iter().position(|c| c.name == name) else {
        let message = format!("no charger is called \"{}\"", shown(name));
        let suggestion = near(name, setup.charger_names());
        findings
            .add(paths.charger.clone(), message)
            .near(suggestion);
        return None;
    };
    let ports = &setup.chargers[charger].ports;
    let found = ports.iter().position(|p| p.name == port);
    if found.is_none() {
        let message = format!(
            "no port is called \"{}\" on charger \"{}\"",
            shown(port),
            shown(name)
        );
        let suggestion = near(port, ports.iter().map(|p| p.name.as_str()));
        findings.add(paths.port.clone(), message).near(suggestion);
    }
    found.map(|port| PortId::new(charger, port))
}
