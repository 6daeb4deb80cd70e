//! Every option of a device: a port, a cable and a contract, with its least tier
//! and its hours (section 5).

use super::contract::{Contract, joins, negotiate};
use super::offers::offers_at;
use super::rounding::micro;
use super::setup::{Device, Setup};
use super::time::hours;

#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Choice {
    pub(crate) charger: usize,
    pub(crate) port: usize,
    pub(crate) cable: usize,
    pub(crate) contract: Contract,
    pub(crate) tier_w: f64,
    pub(crate) hours: f64,
    pub(crate) late: bool,
}

/// All options of a device.
pub(crate) fn options_of(setup: &Setup, device: &Device) -> Vec<Choice> {
    let mut options = Vec::new();
    if !device.needs_berth() {
        return options;
    }
    for (c, charger) in setup.chargers.iter().enumerate() {
        for (p, port) in charger.ports.iter().enumerate() {
            for (k, cable) in setup.cables.iter().enumerate() {
                if !joins(port, cable, device) || !device.may_use(charger, port, cable) {
                    continue;
                }
                let mut here: Vec<Choice> = Vec::new();
                // Ascending: the first tier that gives a contract is its least.
                for &tier_w in &port.tiers_w {
                    let offers = offers_at(port, tier_w);
                    let Some(contract) = negotiate(&offers, tier_w, cable, device) else {
                        continue;
                    };
                    let Some(hours) = hours(device, contract.inlet_w) else {
                        continue;
                    };
                    if here.iter().all(|choice| !choice.contract.same(&contract)) {
                        let late = device.ready_by_h.is_some_and(|by| micro(hours) > micro(by));
                        here.push(Choice {
                            charger: c,
                            port: p,
                            cable: k,
                            contract,
                            tier_w,
                            hours,
                            late,
                        });
                    }
                }
                options.append(&mut here);
            }
        }
    }
    options
}
