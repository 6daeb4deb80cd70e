//! The night: sessions one after the other, and who stays on which port through which of
//! them. It is what a plan and a rota have in common.

use crate::diagnostics::{Error, Findings, Path, Result, faults_of, near, shown};
use crate::plan::place::{lines_allow, taken};
use crate::plan::rota::Rota;
use crate::plan::way::{Paths, resolve};
use crate::plan::{Berth, Plan};
use crate::setup::Setup;
use crate::setup::contract::{Contract, Lift, carries, joins};
use crate::setup::curve::hours_to_full;
use crate::setup::ladder::Ladder;
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
pub(crate) struct Stay {
    pub(crate) device: usize,
    pub(crate) charger: usize,
    pub(crate) port: usize,
    pub(crate) cable: usize,
    /// What the plan has negotiated there.
    pub(crate) contract: Contract,
    /// The least tier that gives this contract.
    pub(crate) tier_w: f64,
    /// The session that it starts with.
    pub(crate) first: usize,
    /// The last one in which the port is taken.
    pub(crate) last: usize,
}

/// Sessions in their order, without gaps, and stays in the order of the devices; a device
/// has at most one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Night {
    pub(crate) sessions: Vec<Bounds>,
    pub(crate) stays: Vec<Stay>,
}

impl Night {
    /// A static plan: one session without an end.
    ///
    /// # Errors
    /// [`Error::Input`] where the plan names what the setup does not have, or a contract
    /// that its port, cable and device do not agree on.
    pub(crate) fn of_plan(setup: &Setup, plan: &Plan) -> Result<Self> {
        let mut findings = Findings::new();
        let mut night = Self::of_one_session(Vec::with_capacity(plan.berths.len()));
        for (i, berth) in plan.berths.iter().enumerate() {
            let path = Path::default().field("berths").index(i);
            night.add(setup, berth, (0, 0), &path, &mut findings);
        }
        night.checked(setup, findings)
    }

    /// One session without an end.
    pub(crate) fn of_one_session(stays: Vec<Stay>) -> Self {
        Self {
            sessions: vec![Bounds {
                start_h: 0.0,
                end_h: f64::INFINITY,
            }],
            stays,
        }
    }

    /// A rota: the setup's sessions one after the other.
    ///
    /// # Errors
    /// As [`Night::of_plan`].
    pub(crate) fn of_rota(setup: &Setup, rota: &Rota) -> Result<Self> {
        let mut findings = Findings::new();
        let mut end_h = 0.0;
        let bounds = setup.sessions.iter().map(|session| {
            let start_h = end_h;
            end_h += session.hours;
            Bounds { start_h, end_h }
        });
        let mut night = Self {
            sessions: bounds.collect(),
            stays: Vec::with_capacity(rota.berths.len()),
        };
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
                night.add(setup, &of.berth, (first, last), &path, &mut findings);
            }
        }
        night.checked(setup, findings)
    }

    /// In the order of the devices, where nothing is wrong with the berths, singly and
    /// together.
    fn checked(mut self, setup: &Setup, mut findings: Findings) -> Result<Self> {
        self.stays.sort_by_key(|stay| stay.device);
        for session in 0..self.sessions.len() {
            for charger in 0..setup.chargers.len() {
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
    fn fits(&self, setup: &Setup, session: usize, charger: usize) -> bool {
        let spec = &setup.chargers[charger];
        let mut tiers = vec![None; spec.ports.len()];
        let mut takes = vec![0; spec.ports.len()];
        for stay in &self.stays {
            if stay.charger == charger && (stay.first..=stay.last).contains(&session) {
                tiers[stay.port] = Some(millionths(stay.tier_w));
                takes[stay.port] = taken(spec, stay.tier_w, &stay.contract);
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
        let port = &setup.chargers[found.charger].ports[found.port];
        let joined = joins(&port.connector, &setup.cables[cable], device);
        let agreed = contracts(setup, (found.charger, found.port), cable, found.device)
            .into_iter()
            .find(|(_, contract)| joined && contract.is(key));
        let Some((tier_w, contract)) = agreed else {
            let message = "port, cable and device do not agree on this contract";
            findings.add(path.field("volts"), message);
            return;
        };
        if hours_to_full(device, contract.inlet_w).is_none() {
            let message = "the device never gets full on this contract";
            findings.add(path.field("volts"), message);
            return;
        }
        let taken = self.stays.iter().any(|stay| {
            let same_port = (stay.charger, stay.port) == (found.charger, found.port);
            stay.device == found.device || same_port && stay.first <= last && first <= stay.last
        });
        if taken {
            let message = "this device has a berth already, or another is on the port";
            findings.add(path.clone(), message);
            return;
        }
        self.stays.push(Stay {
            device: found.device,
            charger: found.charger,
            port: found.port,
            cable,
            contract,
            tier_w,
            first,
            last,
        });
    }

    /// When a stay begins.
    pub(crate) fn begins_h(&self, stay: &Stay) -> f64 {
        self.sessions[stay.first].start_h
    }

    /// When its plug is pulled.
    pub(crate) fn ends_h(&self, stay: &Stay) -> f64 {
        self.sessions[stay.last].end_h
    }
}

/// The contracts of a port, a cable and a device, each with the least tier that gives it,
/// tiers ascending.
pub(crate) fn contracts(
    setup: &Setup,
    (charger, port): (usize, usize),
    cable: usize,
    device: usize,
) -> Vec<(f64, Contract)> {
    let carried = carries(&setup.cables[cable], Lift::Nothing);
    Ladder::of(&setup.chargers[charger].ports[port]).contracts(&carried, &setup.devices[device])
}
