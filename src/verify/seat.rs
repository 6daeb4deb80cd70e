//! A berth's names, what it uses, and its contract worked out anew.

use std::ops::Range;

use super::carried::{connectors_meet, reaches};
use super::negotiation::{Contract, Lifted, contracts};
use super::rules::Place;
use super::time::hours_to_full;
use super::{Findings, same, shown};
use crate::plan::Berth;
use crate::setup::Setup;
use crate::setup::ids::{CableId, PortId};

/// The parts of a berth whose names are known.
#[derive(Clone, Copy)]
pub(super) struct Seat {
    pub(super) device: Option<usize>,
    port: Option<(usize, usize)>,
    cable: Option<usize>,
}

/// A berth all of whose names are known.
#[derive(Clone, Copy)]
pub(super) struct WholeSeat {
    device: usize,
    charger: usize,
    port: usize,
    cable: usize,
}

impl Seat {
    pub(super) fn named(setup: &Setup, berth: &Berth, path: &str, findings: &mut Findings) -> Self {
        let device = setup.devices.iter().position(|d| d.name == berth.device);
        if device.is_none() {
            findings.add(
                format!("{path}.device"),
                format!("the setup has no device `{}`", berth.device),
            );
        }
        let charger = setup.chargers.iter().position(|c| c.name == berth.charger);
        if charger.is_none() {
            findings.add(
                format!("{path}.charger"),
                format!("the setup has no charger `{}`", berth.charger),
            );
        }
        let port = charger.and_then(|charger| {
            let ports = &setup.chargers[charger].ports;
            let port = ports.iter().position(|p| p.name == berth.port);
            if port.is_none() {
                findings.add(
                    format!("{path}.port"),
                    format!("charger `{}` has no port `{}`", berth.charger, berth.port),
                );
            }
            port.map(|port| (charger, port))
        });
        // A lead is the lead of its port; elsewhere the name is that of a cable in the bag.
        let lead_of = port.filter(|&(c, p)| setup.chargers[c].ports[p].lead.is_some());
        let lead_of = lead_of.map(|(c, p)| PortId::new(c, p));
        let cable = setup
            .cables
            .iter()
            .position(|c| c.lead_of == lead_of && c.name == berth.cable);
        if cable.is_none() {
            findings.add(
                format!("{path}.cable"),
                format!("the setup has no cable `{}`", berth.cable),
            );
        }
        Self {
            device,
            port,
            cable,
        }
    }

    pub(super) fn whole(self) -> Option<WholeSeat> {
        let (charger, port) = self.port?;
        Some(WholeSeat {
            device: self.device?,
            charger,
            port,
            cable: self.cable?,
        })
    }
}

/// What the berths so far have used.
pub(super) struct Uses {
    /// The device last seen: berths come in the order of the devices.
    last_device: Option<usize>,
    devices: Vec<bool>,
    /// Session by session; a plan is one.
    during: Vec<During>,
    /// Whether nothing was used too often, and no pin was passed over.
    pub(super) legal: bool,
}

/// What is in use at one time.
struct During {
    /// How a message says when that is; nothing in a plan.
    when: String,
    ports: Vec<Vec<bool>>,
    cables: Vec<u32>,
}

impl Uses {
    /// Nothing, in sessions of which messages say when they are in these words.
    pub(super) fn none(setup: &Setup, sessions: impl IntoIterator<Item = String>) -> Self {
        let during = |when| During {
            when,
            ports: setup
                .chargers
                .iter()
                .map(|c| vec![false; c.ports.len()])
                .collect(),
            cables: vec![0; setup.cables.len()],
        };
        Self {
            last_device: None,
            devices: vec![false; setup.devices.len()],
            during: sessions.into_iter().map(during).collect(),
            legal: true,
        }
    }

    /// Counts a berth that lasts for these sessions.
    pub(super) fn count(
        &mut self,
        setup: &Setup,
        seat: &Seat,
        sessions: Range<usize>,
        path: &str,
        findings: &mut Findings,
    ) {
        let before = findings.violations.len();
        if let Some(device) = seat.device {
            self.count_device(setup, device, path, findings);
            check_pins(setup, device, seat, path, findings);
        }
        if let Some((charger, port)) = seat.port {
            let spec = &setup.chargers[charger];
            let taken = sessions.clone().filter(|&session| {
                std::mem::replace(&mut self.during[session].ports[charger][port], true)
            });
            if let Some(session) = taken.reduce(usize::min) {
                findings.add(
                    format!("{path}.port"),
                    format!(
                        "`{}/{}` is in use by an earlier berth{}",
                        spec.name, spec.ports[port].name, self.during[session].when
                    ),
                );
            }
        }
        if let Some(cable) = seat.cable {
            let spec = &setup.cables[cable];
            let over = sessions.filter(|&session| {
                let used = &mut self.during[session].cables[cable];
                *used = used.saturating_add(1);
                *used > spec.count
            });
            if let Some(session) = over.reduce(usize::min) {
                findings.add(
                    format!("{path}.cable"),
                    format!(
                        "`{}` is used more often than the {} there are{}",
                        spec.name, spec.count, self.during[session].when
                    ),
                );
            }
        }
        self.legal &= findings.violations.len() == before;
    }

    fn count_device(&mut self, setup: &Setup, device: usize, path: &str, findings: &mut Findings) {
        let spec = &setup.devices[device];
        let path = format!("{path}.device");
        if std::mem::replace(&mut self.devices[device], true) {
            findings.add(path, format!("`{}` has an earlier berth", spec.name));
            return;
        }
        if !spec.needs_berth() {
            findings.add(path, format!("`{}` is full and needs no berth", spec.name));
            return;
        }
        if self.last_device.is_some_and(|last| last > device) {
            findings.add(
                path,
                format!("`{}` stands behind a later device", spec.name),
            );
        }
        self.last_device = self.last_device.max(Some(device));
    }
}

/// A device that is pinned sits there and nowhere else.
fn check_pins(setup: &Setup, device: usize, seat: &Seat, path: &str, findings: &mut Findings) {
    let spec = &setup.devices[device];
    if let (Some(pinned), Some((charger, port))) = (spec.pinned_port, seat.port)
        && pinned != PortId::new(charger, port)
    {
        findings.add(
            format!("{path}.port"),
            format!("`{}` is pinned to `{}`", spec.name, setup.full_name(pinned)),
        );
    }
    if let (Some(pinned), Some(cable)) = (spec.pinned_cable, seat.cable)
        && CableId(cable) != pinned
    {
        findings.add(
            format!("{path}.cable"),
            format!(
                "`{}` is pinned to `{}`",
                spec.name, setup.cables[pinned].name
            ),
        );
    }
}

/// The place of a berth: joined by its cable, at a contract that exists; with every contract
/// there.
pub(super) fn settle(
    setup: &Setup,
    berth: &Berth,
    seat: WholeSeat,
    path: &str,
    findings: &mut Findings,
) -> Option<(Place, Vec<Contract>)> {
    let port = &setup.chargers[seat.charger].ports[seat.port];
    let cable = &setup.cables[seat.cable];
    let device = &setup.devices[seat.device];
    if !connectors_meet(port, cable, device) {
        findings.add(
            format!("{path}.cable"),
            format!(
                "`{}` joins {} to {}, not {} to {}",
                cable.name, cable.from, cable.to, port.connector, device.inlet
            ),
        );
        return None;
    }
    if !reaches(cable, device) {
        findings.add(
            format!("{path}.cable"),
            format!(
                "`{}` reaches {} m, and `{}` lies {} m away",
                cable.name, cable.length_m, device.name, device.reach_m
            ),
        );
        return None;
    }
    let possible = contracts(port, cable, device, Lifted::Nothing);
    let distance = |c: &Contract| (c.volts - berth.volts).abs() + (c.amps - berth.amps).abs();
    let contract = possible
        .iter()
        .filter(|c| same(berth.volts, c.volts) && same(berth.amps, c.amps))
        .min_by(|a, b| distance(a).total_cmp(&distance(b)));
    if let Some(&contract) = contract {
        let WholeSeat {
            device,
            charger,
            port,
            cable,
        } = seat;
        let place = Place {
            device,
            charger,
            port,
            cable,
            contract,
        };
        return Some((place, possible));
    }
    let part = if possible.iter().any(|c| same(berth.volts, c.volts)) {
        "amps"
    } else {
        "volts"
    };
    let there_is = match possible.as_slice() {
        [] => "nothing".to_owned(),
        some => some
            .iter()
            .map(|c| format!("{} V {} A", shown(c.volts), shown(c.amps)))
            .collect::<Vec<_>>()
            .join(", "),
    };
    findings.add(
        format!("{path}.{part}"),
        format!(
            "no tier of `{}` gives `{}` {} V {} A through `{}`; there is {there_is}",
            port.name,
            device.name,
            shown(berth.volts),
            shown(berth.amps),
            cable.name
        ),
    );
    None
}

/// Compares the numbers of a berth's contract, and gives its exact time; `None` where the
/// device never gets full there.
pub(super) fn hours(
    setup: &Setup,
    berth: &Berth,
    place: &Place,
    path: &str,
    findings: &mut Findings,
) -> Option<f64> {
    let device = &setup.devices[place.device];
    let contract = place.contract;
    findings.compare(format_args!("{path}.tier_w"), berth.tier_w, contract.tier_w);
    findings.compare(
        format_args!("{path}.port_w"),
        berth.port_w,
        contract.port_w(),
    );
    findings.compare(
        format_args!("{path}.inlet_w"),
        berth.inlet_w,
        contract.inlet_w,
    );
    let Some(hours) = hours_to_full(device, contract.inlet_w) else {
        findings.add(
            format!("{path}.hours"),
            format!(
                "`{}` is never full with {} W at its inlet",
                device.name,
                shown(contract.inlet_w)
            ),
        );
        return None;
    };
    findings.compare(format_args!("{path}.hours"), berth.hours, hours);
    Some(hours)
}
