//! What a port offers at each of its tiers, and the contracts that come of it.

use super::contract::{Carries, Contract, Lift, contract};
use super::{DeviceSpec, PortSpec};
use crate::units::millionths;
use crate::usb::Offer;
use crate::usb::tier::offers_at;

/// A port's offers at each of its tiers, ascending.
pub(crate) struct Ladder {
    rungs: Vec<(f64, Vec<Offer>)>,
}

impl Ladder {
    pub(crate) fn of(port: &PortSpec) -> Self {
        let rungs = port
            .tiers_w
            .iter()
            .map(|&tier_w| (tier_w, held_at(port, tier_w)))
            .collect();
        Self { rungs }
    }

    /// The distinct contracts over the tiers, each with its least tier.
    pub(crate) fn contracts(&self, cable: &Carries, device: &DeviceSpec) -> Vec<(f64, Contract)> {
        let mut found: Vec<(f64, Contract)> = Vec::new();
        for (tier_w, offers) in &self.rungs {
            let Some(new) = contract(offers, *tier_w, cable, device, Lift::Nothing) else {
                continue;
            };
            let same = |old: &Contract| {
                millionths(old.volts) == millionths(new.volts)
                    && millionths(old.amps) == millionths(new.amps)
            };
            if !found.iter().any(|(_, old)| same(old)) {
                found.push((*tier_w, new));
            }
        }
        found
    }
}

fn held_at(port: &PortSpec, tier_w: f64) -> Vec<Offer> {
    offers_at(&port.offers, &port.connector, port.cap_w, tier_w)
}

/// The contract on a port held at `tier_w`, one limit imagined away.
pub(crate) fn contract_at(
    port: &PortSpec,
    tier_w: f64,
    cable: &Carries,
    device: &DeviceSpec,
    lift: Lift,
) -> Option<Contract> {
    contract(&held_at(port, tier_w), tier_w, cable, device, lift)
}

/// The contract where the port's own limit is lifted and more than its cap is left to it,
/// with its tier: it is then held at just what the contract needs.
pub(crate) fn beyond(
    port: &PortSpec,
    room_w: f64,
    cable: &Carries,
    device: &DeviceSpec,
) -> Option<(f64, Contract)> {
    if room_w <= port.cap_w {
        return None;
    }
    let found = contract(&port.offers, room_w, cable, device, Lift::Port)?;
    Some((found.port_w(), found))
}
