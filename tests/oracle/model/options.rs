//! Every option of a device: a port, a cable and a contract, with its least tier
//! and its hours, at best (section 5).

use super::contract::{Contract, joins, negotiate};
use super::offers::offers_at;
use super::setup::{Device, Setup};
use super::stay::{Stay, held, ready_by, starts, stay};
use super::time::hours;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Choice {
    pub(crate) charger: usize,
    pub(crate) port: usize,
    pub(crate) cable: usize,
    pub(crate) contract: Contract,
    pub(crate) tier_w: f64,
    /// To full, from the start of the berth on.
    pub(crate) hours: f64,
    pub(crate) stay: Stay,
    /// Whole microwatts; microwatt-hours in a rota.
    pub(crate) held: i64,
    pub(crate) late: bool,
}

/// All options of a device.
pub(crate) fn options_of(setup: &Setup, device: &Device) -> Vec<Choice> {
    let mut options = Vec::new();
    if !device.needs_berth() {
        return options;
    }
    let ready_by = ready_by(setup, device);
    for (c, charger) in setup.chargers.iter().enumerate() {
        for (p, port) in charger.ports.iter().enumerate() {
            for (k, cable) in setup.cables.iter().enumerate() {
                if !joins(port, cable, device) || !device.may_use(charger, port, cable) {
                    continue;
                }
                let mut here: Vec<Contract> = Vec::new();
                // Ascending: the first tier that gives a contract is its least.
                for &tier_w in &port.tiers_w {
                    let offers = offers_at(port, tier_w);
                    let Some(contract) = negotiate(&offers, tier_w, cable, device) else {
                        continue;
                    };
                    let Some(hours) = hours(device, contract.inlet_w) else {
                        continue;
                    };
                    if here.iter().any(|lower| lower.same(&contract)) {
                        continue;
                    }
                    here.push(contract);
                    options.extend(starts(setup, device).into_iter().map(|first| {
                        let stay = stay(setup, device, first, hours);
                        Choice {
                            charger: c,
                            port: p,
                            cable: k,
                            contract,
                            tier_w,
                            hours,
                            stay,
                            held: held(setup, stay, contract.port_w()),
                            late: !stay.full || stay.finish > ready_by,
                        }
                    }));
                }
            }
        }
    }
    options
}
