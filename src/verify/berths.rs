//! Each berth by itself: names, pins, the cable, the contract and its numbers; and
//! that no device, port or cable is used more often than there is.

use super::carried::{connectors_meet, reaches};
use super::limiting::limiting;
use super::negotiation::{Contract, Lifted, contracts};
use super::rules::{Place, lines_grant, pools_suffice};
use super::time::hours_to_full;
use super::{Findings, same, shown};
use crate::plan::{Berth, LimitedBy, Plan};
use crate::setup::Setup;
use crate::units::millionths;

/// What is known of the places of a plan once each berth has been looked at.
pub(super) struct Places {
    /// Per berth, its place; `None` where it could not be recomputed.
    settled: Vec<Option<Place>>,
    /// Per berth, its exact time; as printed where it could not be recomputed.
    pub(super) hours: Vec<f64>,
    /// Berths that are late.
    pub(super) late: usize,
    /// Per device, how many berths name it.
    pub(super) berths_of: Vec<usize>,
}

impl Places {
    /// Every place, where all of them could be recomputed.
    pub(super) fn all(&self) -> Option<Vec<Place>> {
        self.settled.iter().copied().collect()
    }
}

/// Checks the berths one by one and against each other.
pub(super) fn check(setup: &Setup, plan: &Plan, findings: &mut Findings) -> Places {
    let mut known = Places {
        settled: Vec::with_capacity(plan.berths.len()),
        hours: Vec::with_capacity(plan.berths.len()),
        late: 0,
        berths_of: vec![0; setup.devices.len()],
    };
    let mut uses = Uses::none(setup);
    for (index, berth) in plan.berths.iter().enumerate() {
        let path = format!("berths[{index}]");
        let seat = Seat::named(setup, berth, &path, findings);
        uses.count(setup, &seat, &path, findings);
        if let Some(device) = seat.device {
            known.berths_of[device] += 1;
        }
        let place = seat
            .whole()
            .and_then(|seat| settle(setup, berth, seat, &path, findings));
        let exact = place.and_then(|place| numbers(setup, berth, &place, &path, findings));
        known.late += usize::from(exact.map_or(berth.late, |exact| exact.late));
        known
            .hours
            .push(exact.map_or(berth.hours, |exact| exact.hours));
        known.settled.push(place);
    }
    if let Some(places) = known.all() {
        let shared_rules_hold = check_combinations(setup, &places, findings)
            & (0..setup.chargers.len()).all(|charger| pools_suffice(setup, &places, charger));
        // Best times beside the others mean something only where the plan is legal so
        // far; wrong numbers alone do not make it illegal.
        if shared_rules_hold && uses.legal {
            check_limits(setup, plan, &places, findings);
        }
    }
    known
}

/// The parts of a berth whose names are known.
#[derive(Clone, Copy)]
struct Seat {
    device: Option<usize>,
    port: Option<(usize, usize)>,
    cable: Option<usize>,
}

/// A berth all of whose names are known.
#[derive(Clone, Copy)]
struct WholeSeat {
    device: usize,
    charger: usize,
    port: usize,
    cable: usize,
}

impl Seat {
    fn named(setup: &Setup, berth: &Berth, path: &str, findings: &mut Findings) -> Self {
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
        let cable = setup.cables.iter().position(|c| c.name == berth.cable);
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

    fn whole(self) -> Option<WholeSeat> {
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
struct Uses {
    /// The device last seen: berths come in the order of the devices.
    last_device: Option<usize>,
    devices: Vec<bool>,
    ports: Vec<Vec<bool>>,
    cables: Vec<u32>,
    /// Whether nothing was used too often, and no pin was passed over.
    legal: bool,
}

impl Uses {
    fn none(setup: &Setup) -> Self {
        Self {
            last_device: None,
            devices: vec![false; setup.devices.len()],
            ports: setup
                .chargers
                .iter()
                .map(|c| vec![false; c.ports.len()])
                .collect(),
            cables: vec![0; setup.cables.len()],
            legal: true,
        }
    }

    fn count(&mut self, setup: &Setup, seat: &Seat, path: &str, findings: &mut Findings) {
        let before = findings.violations.len();
        if let Some(device) = seat.device {
            self.count_device(setup, device, path, findings);
            check_pins(setup, device, seat, path, findings);
        }
        if let Some((charger, port)) = seat.port {
            let spec = &setup.chargers[charger];
            if std::mem::replace(&mut self.ports[charger][port], true) {
                findings.add(
                    format!("{path}.port"),
                    format!(
                        "`{}/{}` is in use by an earlier berth",
                        spec.name, spec.ports[port].name
                    ),
                );
            }
        }
        if let Some(cable) = seat.cable {
            let spec = &setup.cables[cable];
            self.cables[cable] = self.cables[cable].saturating_add(1);
            if self.cables[cable] > spec.count {
                findings.add(
                    format!("{path}.cable"),
                    format!(
                        "`{}` is used more often than the {} there are",
                        spec.name, spec.count
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
    if let (Some((charger, port)), Some(place)) = (spec.pinned_port, seat.port)
        && place != (charger, port)
    {
        let at = &setup.chargers[charger];
        findings.add(
            format!("{path}.port"),
            format!(
                "`{}` is pinned to `{}/{}`",
                spec.name, at.name, at.ports[port].name
            ),
        );
    }
    if let (Some(pinned), Some(cable)) = (spec.pinned_cable, seat.cable)
        && cable != pinned
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

/// The place of a berth: joined by its cable, at a contract that exists.
fn settle(
    setup: &Setup,
    berth: &Berth,
    seat: WholeSeat,
    path: &str,
    findings: &mut Findings,
) -> Option<Place> {
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
        return Some(Place {
            device,
            charger,
            port,
            cable,
            contract,
        });
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

/// What follows from a place by itself.
#[derive(Clone, Copy)]
struct Exact {
    hours: f64,
    late: bool,
}

/// Compares the numbers of a berth; `None` where the device never gets full there.
fn numbers(
    setup: &Setup,
    berth: &Berth,
    place: &Place,
    path: &str,
    findings: &mut Findings,
) -> Option<Exact> {
    let device = &setup.devices[place.device];
    let contract = place.contract;
    findings.compare(format!("{path}.tier_w"), berth.tier_w, contract.tier_w);
    findings.compare(format!("{path}.port_w"), berth.port_w, contract.port_w());
    findings.compare(format!("{path}.inlet_w"), berth.inlet_w, contract.inlet_w);
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
    findings.compare(format!("{path}.hours"), berth.hours, hours);

    let is_late = |hours: f64| {
        device
            .ready_by_h
            .is_some_and(|ready_h| millionths(hours) > millionths(ready_h))
    };
    // Exactly between two millionths the last bit of the time would decide; there,
    // either answer stands.
    let (surely, perhaps) = (
        is_late(hours * (1.0 - 1e-12)),
        is_late(hours * (1.0 + 1e-12)),
    );
    let late = if surely == perhaps {
        surely
    } else {
        berth.late
    };
    if berth.late != late {
        let ready = device
            .ready_by_h
            .map_or("at any time".to_owned(), |h| format!("by {h} h"));
        findings.add(
            format!("{path}.late"),
            format!(
                "is {}, but the device is full after {} h and must be so {ready}",
                berth.late,
                shown(hours)
            ),
        );
    }
    Some(Exact { hours, late })
}

/// Checks every charger's combination table; whether all hold.
fn check_combinations(setup: &Setup, places: &[Place], findings: &mut Findings) -> bool {
    let mut hold = true;
    for (charger, spec) in setup.chargers.iter().enumerate() {
        if !lines_grant(setup, places, charger) {
            hold = false;
            let in_use: Vec<String> = places
                .iter()
                .filter(|place| place.charger == charger)
                .map(|p| {
                    format!(
                        "{} at {} W",
                        spec.ports[p.port].name,
                        shown(p.contract.tier_w)
                    )
                })
                .collect();
            findings.add(
                "berths",
                format!(
                    "no combination of `{}` that governs grants {}",
                    spec.name,
                    in_use.join(", ")
                ),
            );
        }
    }
    hold
}

fn check_limits(setup: &Setup, plan: &Plan, places: &[Place], findings: &mut Findings) {
    for (index, berth) in plan.berths.iter().enumerate() {
        let limit = limiting(setup, places, index);
        if berth.limited_by != limit {
            findings.add(
                format!("berths[{index}].limited_by"),
                format!("is {}, must be {}", word(berth.limited_by), word(limit)),
            );
        }
    }
}

fn word(limit: LimitedBy) -> &'static str {
    match limit {
        LimitedBy::Pool => "pool",
        LimitedBy::Combination => "combination",
        LimitedBy::Port => "port",
        LimitedBy::Cable => "cable",
        LimitedBy::Device => "device",
    }
}
