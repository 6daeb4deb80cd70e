//! The night: sessions one after the other, and who stays on which port through which of
//! them. It is what a plan and a rota have in common.

use crate::curve::hours_to_full;
use crate::error::{Error, Result};
use crate::input::{Findings, Path, faults_of};
use crate::options::Ladder;
use crate::plan::Plan;
use crate::score::{Paths, Way, resolve};
use crate::setup::Setup;
use crate::usb::contract::{Contract, Lift, carries, joins};

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
        let mut stays = Vec::with_capacity(plan.berths.len());
        let mut findings = Findings::new();
        for (i, plug) in Way::from(plan).plugs.iter().enumerate() {
            let path = Path::default().field("berths").index(i);
            let paths = Paths::within(&path);
            let Some(found) = resolve(setup, plug, &paths, &mut findings) else {
                continue;
            };
            let (Some(cable), Some(key)) = (found.cable, found.contract) else {
                continue;
            };
            let twice = stays.iter().any(|stay: &Stay| {
                stay.device == found.device
                    || (stay.charger, stay.port) == (found.charger, found.port)
            });
            let connector = &setup.chargers[found.charger].ports[found.port].connector;
            let joined = joins(
                connector,
                &setup.cables[cable],
                &setup.devices[found.device],
            );
            let mut agreed = contracts(setup, (found.charger, found.port), cable, found.device);
            agreed.retain(|(_, contract)| joined && contract.is(key));
            let agreed = agreed.into_iter().next();
            let device = &setup.devices[found.device];
            match agreed {
                _ if twice => {
                    findings.add(path, "this device or port has a berth already");
                }
                Some((_, contract)) if hours_to_full(device, contract.inlet_w).is_none() => {
                    let message = "the device never gets full on this contract";
                    findings.add(path.field("volts"), message);
                }
                Some((tier_w, contract)) => stays.push(Stay {
                    device: found.device,
                    charger: found.charger,
                    port: found.port,
                    cable,
                    contract,
                    tier_w,
                    first: 0,
                    last: 0,
                }),
                None => {
                    let message = "port, cable and device do not agree on this contract";
                    findings.add(path.field("volts"), message);
                }
            }
        }
        if !findings.is_empty() {
            return Err(Error::Input(faults_of(findings)));
        }
        stays.sort_by_key(|stay| stay.device);
        Ok(Self {
            sessions: vec![Bounds {
                start_h: 0.0,
                end_h: f64::INFINITY,
            }],
            stays,
        })
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
