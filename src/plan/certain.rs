//! Who is promised less than could be had, and what would make it certain: each tried before
//! it is said.

use super::promise::{Promise, promises};
use super::schedule::Slot;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::{from_millionths, millionths};

/// A device whose time at best is not certain.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Uncertain {
    /// Index into the slots.
    pub(crate) slot: usize,
    /// The watts at the port that are certain.
    pub(crate) watts: Option<f64>,
    /// Whether that is more than the tolerance later, or never.
    pub(crate) never: bool,
    pub(crate) helps: Vec<Help>,
}

/// What would make the time at best certain.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Help {
    /// Another device plugged in only when this one is full: its slot.
    Later(usize),
    /// A pool of so many watts.
    Pool { name: String, watts: f64 },
}

/// Those who could be full sooner by more than the tolerance than is certain, and whose
/// charger is why.
pub(crate) fn uncertain(setup: &Setup, slots: &[Slot]) -> Vec<Uncertain> {
    if setup.aim == Aim::Best {
        return Vec::new();
    }
    let tolerance = millionths(setup.tolerance_h);
    let promised = promises(setup, slots);
    let late = |promise: &Promise, slot: &Slot| {
        promise.time() > millionths(slot.hours).saturating_add(tolerance)
    };
    let each = slots.iter().zip(&promised).enumerate();
    let behind = each.filter(|(_, (slot, promise))| late(promise, slot));
    behind
        .filter_map(|(at, (slot, promise))| {
            let sure = promise.contract.map_or(0.0, |contract| contract.port_w());
            if millionths(sure) >= millionths(slot.contract.port_w()) {
                return None;
            }
            // With nobody beside it what is open is the device's own.
            let alone = promises(setup, std::slice::from_ref(slot))[0];
            if alone.time().saturating_add(tolerance) >= promise.time() {
                return None;
            }
            let as_alone = |other: &Promise| other.time() <= alone.time().saturating_add(tolerance);
            let mut helps = Vec::new();
            for other in 0..slots.len() {
                if other == at || slots[other].port.charger != slot.port.charger {
                    continue;
                }
                let mut fewer = slots.to_vec();
                fewer.remove(other);
                let here = at - usize::from(other < at);
                if as_alone(&promises(setup, &fewer)[here]) {
                    helps.push(Help::Later(other));
                }
            }
            helps.extend(pool(setup, slots, at, &as_alone));
            Some(Uncertain {
                slot: at,
                watts: promise.contract.map(|contract| contract.port_w()),
                never: promise.hours.is_none(),
                helps,
            })
        })
        .collect()
}

/// The one pool that holds a slot back, with the watts that would be enough.
fn pool(
    setup: &Setup,
    slots: &[Slot],
    at: usize,
    enough: &dyn Fn(&Promise) -> bool,
) -> Option<Help> {
    let slot = &slots[at];
    let charger = &setup.chargers[slot.port.charger];
    for (index, pool) in charger.pools.iter().enumerate() {
        if !pool.ports.contains(&slot.port.index) {
            continue;
        }
        // First room for all that its ports could give, then no more than it needs: the
        // others may take more than there is.
        let caps = pool
            .ports
            .iter()
            .map(|&port| millionths(charger.ports[port].cap_w));
        let (mut low, mut high) = (0, (caps.sum::<i64>() - millionths(pool.max_w)).max(0));
        let mut raised = setup.clone();
        let mut with = |more: i64| {
            raised.chargers[slot.port.charger.0].pools[index].max_w =
                from_millionths(millionths(pool.max_w) + more);
            enough(&promises(&raised, slots)[at])
        };
        if high == 0 || !with(high) {
            continue;
        }
        while high > low + 1 {
            let middle = low + (high - low) / 2;
            if with(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        return Some(Help::Pool {
            name: pool.name.clone(),
            watts: from_millionths(millionths(pool.max_w) + high),
        });
    }
    None
}
