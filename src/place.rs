//! Where a device sits: the resolved form of a berth.

use crate::setup::{ChargerSpec, Setup};
use crate::units::millionths;
use crate::usb::contract::Contract;

/// A device on a port, through a cable, at a contract.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Place {
    pub(crate) device: usize,
    pub(crate) charger: usize,
    pub(crate) port: usize,
    pub(crate) cable: usize,
    pub(crate) contract: Contract,
    pub(crate) tier_w: f64,
    pub(crate) hours: f64,
    pub(crate) late: bool,
}

impl Place {
    /// What it takes from its charger's pools, in whole 1e-6 W.
    pub(crate) fn takes(&self, charger: &ChargerSpec) -> i64 {
        taken(charger, self.tier_w, &self.contract)
    }
}

/// What a berth takes from its charger's pools, in whole 1e-6 W: its tier or its
/// contract, by the charger's `reserve`.
pub(crate) fn taken(charger: &ChargerSpec, tier_w: f64, contract: &Contract) -> i64 {
    match charger.reserve {
        crate::document::Reserve::Offer => millionths(tier_w),
        crate::document::Reserve::Contract => millionths(contract.port_w()),
    }
}

/// What is taken from each pool of a charger, in whole 1e-6 W.
pub(crate) fn pool_use(setup: &Setup, charger: usize, places: &[Place]) -> Vec<i64> {
    let spec = &setup.chargers[charger];
    spec.pools
        .iter()
        .map(|pool| {
            places
                .iter()
                .filter(|place| place.charger == charger && pool.ports.contains(&place.port))
                .map(|place| place.takes(spec))
                .sum()
        })
        .collect()
}

/// Whether a charger's combinations allow these tiers, in whole 1e-6 W by port: a line
/// holds all ports in use, no smaller line does, and it grants each its tier.
pub(crate) fn lines_allow(charger: &ChargerSpec, tiers: &[Option<i64>]) -> bool {
    if charger.lines.is_empty() || tiers.iter().all(Option::is_none) {
        return true;
    }
    let holds = |watts: &[Option<f64>]| {
        tiers
            .iter()
            .zip(watts)
            .all(|(tier, granted)| tier.is_none() || granted.is_some())
    };
    let smaller = |small: &[Option<f64>], large: &[Option<f64>]| {
        let within = |a: &[Option<f64>], b: &[Option<f64>]| {
            a.iter().zip(b).all(|(a, b)| a.is_none() || b.is_some())
        };
        within(small, large) && !within(large, small)
    };
    charger.lines.iter().any(|line| {
        let governs = holds(&line.watts)
            && !charger
                .lines
                .iter()
                .any(|other| smaller(&other.watts, &line.watts) && holds(&other.watts));
        governs
            && tiers.iter().zip(&line.watts).all(|(tier, granted)| {
                tier.is_none_or(|tier| granted.is_some_and(|watts| tier <= millionths(watts)))
            })
    })
}
