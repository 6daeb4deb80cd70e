//! The schedule: sessions one after the other, and who is on which port through which of
//! them. It is what the search gives, what a plan and a rota are two documents of, and what
//! all that follows from them is worked out on.

use crate::diagnostics::{Error, Findings, Path, Result, faults_of, near, shown};
use crate::plan::rota::Rota;
use crate::plan::shared::{lines_allow, taken};
use crate::plan::way::{Paths, resolve};
use crate::plan::{Berth, Plan};
use crate::setup::contract::{Contract, Lift, Negotiation, carries, joins};
use crate::setup::curve::hours_to_full;
use crate::setup::ids::{CableId, ChargerId, DeviceId, PortId};
use crate::setup::ladder::Ladder;
use crate::setup::{ChargerSpec, DeviceSpec, Setup};
use crate::units::millionths;

/// A stretch of time in which nobody moves a plug, in hours from the start of the night.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bounds {
    pub(crate) start_h: f64,
    /// Infinite for the one session of a static plan.
    pub(crate) end_h: f64,
}

/// A device on its port, and from which session through which other.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Slot {
    pub(crate) device: DeviceId,
    pub(crate) port: PortId,
    pub(crate) cable: CableId,
    /// What is negotiated there.
    pub(crate) contract: Contract,
    /// The least tier that gives this contract.
    pub(crate) tier_w: f64,
    /// From the moment it is plugged in until it is full.
    pub(crate) hours: f64,
    pub(crate) late: bool,
    /// The session that it starts with.
    pub(crate) first: usize,
    /// The last one in which the port is taken.
    pub(crate) last: usize,
}

impl Slot {
    /// What it takes from its charger's pools, in whole 1e-6 W.
    pub(crate) fn takes(&self, charger: &ChargerSpec) -> i64 {
        taken(charger, self.tier_w, &self.contract)
    }
}

/// Sessions in their order, without gaps, and slots in the order of the devices; a device
/// has at most one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Schedule {
    pub(crate) sessions: Vec<Bounds>,
    pub(crate) slots: Vec<Slot>,
}

impl Schedule {
    /// A static plan: one session without an end.
    ///
    /// # Errors
    /// [`Error::Input`] where the plan names what the setup does not have, or a contract
    /// that its port, cable and device do not agree on.
    pub(crate) fn of_plan(setup: &Setup, plan: &Plan) -> Result<Self> {
        let mut findings = Findings::new();
        let mut schedule = Self::of_one_session(Vec::with_capacity(plan.berths.len()));
        for (i, berth) in plan.berths.iter().enumerate() {
            let path = Path::default().field("berths").index(i);
            schedule.add(setup, berth, (0, 0), &path, &mut findings);
        }
        schedule.checked(setup, findings)
    }

    /// One session without an end.
    pub(crate) fn of_one_session(slots: Vec<Slot>) -> Self {
        Self {
            sessions: vec![Bounds {
                start_h: 0.0,
                end_h: f64::INFINITY,
            }],
            slots,
        }
    }

    /// The setup's sessions one after the other.
    pub(crate) fn over_sessions(setup: &Setup, slots: Vec<Slot>) -> Self {
        let mut end_h = 0.0;
        let bounds = setup.sessions.iter().map(|session| {
            let start_h = end_h;
            end_h += session.hours;
            Bounds { start_h, end_h }
        });
        Self {
            sessions: bounds.collect(),
            slots,
        }
    }

    /// A rota: the setup's sessions one after the other.
    ///
    /// # Errors
    /// As [`Schedule::of_plan`].
    pub(crate) fn of_rota(setup: &Setup, rota: &Rota) -> Result<Self> {
        let mut findings = Findings::new();
        let mut schedule = Self::over_sessions(setup, Vec::with_capacity(rota.berths.len()));
        for (i, of) in rota.berths.iter().enumerate() {
            let path = Path::default().field("berths").index(i);
            let mut session = |name: &str, field: &str| {
                let found = setup.sessions.iter().position(|s| s.name == name);
                if found.is_none() {
                    let message = format!("no session is called \"{}\"", shown(name));
                    let suggestion = near(name, setup.sessions.iter().map(|s| s.name.as_str()));
                    findings.add(path.field(field), message).near(suggestion);
                }
                found
            };
            let first = session(&of.session, "session");
            let last = session(&of.until_session, "until_session");
            if let (Some(first), Some(last)) = (first, last) {
                if first > last {
                    let message = "this berth ends before it starts";
                    findings.add(path.field("until_session"), message);
                }
                schedule.add(setup, &of.berth, (first, last), &path, &mut findings);
            }
        }
        schedule.checked(setup, findings)
    }

    /// In the order of the devices, where nothing is wrong with the berths, singly and
    /// together.
    fn checked(mut self, setup: &Setup, mut findings: Findings) -> Result<Self> {
        self.slots.sort_by_key(|slot| slot.device);
        for session in 0..self.sessions.len() {
            for charger in (0..setup.chargers.len()).map(ChargerId) {
                if !self.fits(setup, session, charger) {
                    let message = format!(
                        "together these berths are more than charger \"{}\" allows",
                        shown(&setup.chargers[charger].name)
                    );
                    findings.add(Path::default().field("berths"), message);
                }
            }
        }
        if findings.is_empty() {
            Ok(self)
        } else {
            Err(Error::Input(faults_of(findings)))
        }
    }

    /// Whether a charger's pools and combinations hold in one session.
    fn fits(&self, setup: &Setup, session: usize, charger: ChargerId) -> bool {
        let spec = &setup.chargers[charger];
        let mut tiers = vec![None; spec.ports.len()];
        let mut takes = vec![0; spec.ports.len()];
        for slot in &self.slots {
            if slot.port.charger == charger && (slot.first..=slot.last).contains(&session) {
                tiers[slot.port.index] = Some(millionths(slot.tier_w));
                takes[slot.port.index] = taken(spec, slot.tier_w, &slot.contract);
            }
        }
        let pools_hold = spec.pools.iter().all(|pool| {
            let used: i64 = pool.ports.iter().map(|&port| takes[port]).sum();
            used <= millionths(pool.max_w)
        });
        pools_hold && lines_allow(spec, &tiers)
    }

    /// One berth, from the start of one session to the end of another, or what is wrong
    /// with it.
    fn add(
        &mut self,
        setup: &Setup,
        berth: &Berth,
        (first, last): (usize, usize),
        path: &Path,
        findings: &mut Findings,
    ) {
        let found = resolve(setup, &berth.into(), &Paths::within(path), findings);
        let Some(found) = found else {
            return;
        };
        let (Some(cable), Some(key)) = (found.cable, found.contract) else {
            return;
        };
        let device = &setup.devices[found.device];
        let port = &setup[found.port];
        let joined = joins(found.port, port, &setup.cables[cable], device);
        let agreed = contracts(setup, found.port, cable, device)
            .into_iter()
            .find(|(_, contract)| joined && contract.is(key));
        let Some((tier_w, contract)) = agreed else {
            let message = "port, cable and device do not agree on this contract";
            findings.add(path.field("volts"), message);
            return;
        };
        let Some(hours) = hours_to_full(device, contract.inlet_w) else {
            let message = "the device never gets full on this contract";
            findings.add(path.field("volts"), message);
            return;
        };
        let taken = self.slots.iter().any(|slot| {
            let same_port = slot.port == found.port;
            slot.device == found.device || same_port && slot.first <= last && first <= slot.last
        });
        if taken {
            let message = "this device has a berth already, or another is on the port";
            findings.add(path.clone(), message);
            return;
        }
        self.slots.push(Slot {
            device: found.device,
            port: found.port,
            cable,
            contract,
            tier_w,
            hours,
            late: berth.late,
            first,
            last,
        });
    }

    /// When a slot begins.
    pub(crate) fn begins_h(&self, slot: &Slot) -> f64 {
        self.sessions[slot.first].start_h
    }

    /// When its plug is pulled.
    pub(crate) fn ends_h(&self, slot: &Slot) -> f64 {
        self.sessions[slot.last].end_h
    }
}

/// The contracts of a port, a cable and a device, each with the least tier that gives it,
/// tiers ascending.
pub(crate) fn contracts(
    setup: &Setup,
    port: PortId,
    cable: CableId,
    device: &DeviceSpec,
) -> Vec<(f64, Contract)> {
    let carried = carries(&setup.cables[cable], Lift::Nothing);
    let port = &setup[port];
    Ladder::of(port).contracts(&Negotiation::best(port, &carried, device))
}
