//! What to keep in mind about a plan: each caution once, with its cause.

use crate::plan::limiting::{Lasting, pool_slows};
use crate::plan::schedule::Slot;
use crate::plan::{LimitedBy, Reason};
use crate::setup::contract::{Lift, carries, common_volts, is_five_volts, joins};
use crate::setup::document::Aim;
use crate::setup::ids::{ChargerId, DeviceId, PortId};
use crate::setup::{CableSpec, DeviceSpec, PortSpec, Setup};

/// Slack when a current is compared with the limit that it may stand at.
const AT_LIMIT_A: f64 = 1e-9;

/// The cautions of a plan.
pub(crate) fn cautions(
    setup: &Setup,
    slots: &[Slot],
    limits: &[LimitedBy],
    reasons: &[Reason],
) -> Vec<String> {
    let slowed = |at: usize| limits[at] == LimitedBy::Pool || pool_slows(setup, slots, at);
    of_places(setup, slots, &slowed, reasons)
}

/// The cautions of a rota, by its berths.
pub(crate) fn rota_cautions(
    setup: &Setup,
    berths: &[Lasting<'_>],
    limits: &[LimitedBy],
    reasons: &[Reason],
) -> Vec<String> {
    let slots: Vec<Slot> = berths.iter().map(|berth| berth.slot.clone()).collect();
    let slowed = |at: usize| limits[at] == LimitedBy::Pool || berths[at].pool_slows(setup);
    of_places(setup, &slots, &slowed, reasons)
}

fn of_places(
    setup: &Setup,
    slots: &[Slot],
    slowed: &dyn Fn(usize) -> bool,
    reasons: &[Reason],
) -> Vec<String> {
    let mut cautions = Vec::new();
    if setup.aim == Aim::Best {
        pools(setup, slots, slowed, reasons, &mut cautions);
    }
    untold(setup, slots, &mut cautions);
    guessed_cells(setup, slots, &mut cautions);
    for slot in slots {
        throttled(setup, slot, &mut cautions);
        vendor_schemes(setup, slot, &mut cautions);
    }
    unserved_schemes(setup, slots, reasons, &mut cautions);
    optimistic(setup, slots, &mut cautions);
    if !slots.is_empty() {
        cautions.push(
            "worked out from labels, not from measurements: follow the makers' instructions, \
             leave chargers uncovered, and unplug what gets hot, smells or is damaged"
                .to_owned(),
        );
    }
    cautions
}

/// Where an answer is of one session; that there are more is easily forgotten.
pub(crate) fn sessions_unused(setup: &Setup) -> Option<String> {
    (!setup.sessions.is_empty()).then(|| {
        "the setup has sessions, and this is for one night without swaps, with everything at \
         hand from the start: `rota` plans the sessions"
            .to_owned()
    })
}

/// A pool that binds is shared out by the charger's own rule.
fn pools(
    setup: &Setup,
    slots: &[Slot],
    slowed: &dyn Fn(usize) -> bool,
    reasons: &[Reason],
    cautions: &mut Vec<String>,
) {
    for (index, charger) in setup.chargers.iter().enumerate() {
        // A table is a promise, and without pools nothing is divided.
        if !charger.lines.is_empty() || charger.pools.is_empty() {
            continue;
        }
        let slowed =
            (0..slots.len()).any(|at| slots[at].port.charger == ChargerId(index) && slowed(at));
        let shut_out = reasons.iter().any(
            |reason| matches!(reason, Reason::PoolTooSmall { charger: name, .. } if *name == charger.name),
        );
        if slowed || shut_out {
            cautions.push(format!(
                "{}: a shared limit binds, and the charger divides it by its own rule: \
                 this plan is the best case",
                charger.name
            ));
        }
    }
}

/// A charger whose label does not say what its ports give together.
fn untold(setup: &Setup, slots: &[Slot], cautions: &mut Vec<String>) {
    for (index, charger) in setup.chargers.iter().enumerate() {
        let in_use = slots
            .iter()
            .filter(|slot| slot.port.charger == ChargerId(index));
        let says = !charger.pools.is_empty() || !charger.lines.is_empty();
        if !says && in_use.count() > 1 {
            cautions.push(format!(
                "{}: nothing says what its ports give together, so each is counted at all that \
                 it gives alone",
                charger.name
            ));
        }
    }
}

/// Milliampere-hours are those of the cells: two in a row hold twice as much.
fn guessed_cells(setup: &Setup, slots: &[Slot], cautions: &mut Vec<String>) {
    let guessed = slots.iter().map(|slot| &setup.devices[slot.device]);
    let names: Vec<&str> = guessed
        .filter(|device| device.guessed_cell)
        .map(|device| device.name.as_str())
        .collect();
    if !names.is_empty() {
        cautions.push(format!(
            "{}: the battery is counted at 3.7 V, that of one cell; a pack of two or three in a \
             row holds two or three times as much: `battery_v` says it",
            names.join(", ")
        ));
    }
}

/// A cable whose drop holds the current down.
fn throttled(setup: &Setup, slot: &Slot, cautions: &mut Vec<String>) {
    let cable = &setup.cables[slot.cable];
    let carried = carries(cable, Lift::Nothing);
    let by_drop = carried.by_drop(slot.contract.volts);
    if slot.contract.amps > by_drop + AT_LIMIT_A {
        cautions.push(format!(
            "{}: the cable {} is so long or thin that the voltage drop may hold the current at \
             {by_drop:.2} A",
            setup.devices[slot.device].name, cable.name
        ));
    }
}

/// Higher voltages through a plug that only promises 5 V.
fn vendor_schemes(setup: &Setup, slot: &Slot, cautions: &mut Vec<String>) {
    let device = &setup.devices[slot.device];
    let port = &setup[slot.port];
    if leaves_out(port, &setup.cables[slot.cable], device) {
        cautions.push(format!(
            "{}: only 5 V is counted through this plug; anything higher on {} is a vendor's \
             scheme that may or may not work",
            device.name, port.name
        ));
    }
}

/// The same where it is why a device has no berth.
fn unserved_schemes(setup: &Setup, slots: &[Slot], reasons: &[Reason], cautions: &mut Vec<String>) {
    let has_place = |device: usize| slots.iter().any(|slot| slot.device == DeviceId(device));
    // The reasons are those of the devices without a berth, in order.
    let without = setup
        .devices
        .iter()
        .enumerate()
        .filter(|&(index, device)| device.needs_berth() && !has_place(index))
        .map(|(_, device)| device);
    for (device, reason) in without.zip(reasons) {
        let reason = match reason {
            Reason::PinnedImpossible { because, .. } => because,
            reason => reason,
        };
        let by_supply = matches!(
            reason,
            Reason::NoCommonSupply | Reason::BelowMinimum { .. } | Reason::NeverFull { .. }
        );
        let mut ports = setup.port_ids();
        let left_out = |id: PortId| {
            let port = &setup[id];
            setup
                .cables
                .iter()
                .any(|cable| joins(id, port, cable, device) && leaves_out(port, cable, device))
        };
        if by_supply && ports.any(left_out) {
            cautions.push(format!(
                "{}: only 5 V is counted through its plugs; anything higher is a vendor's scheme \
                 that may or may not work",
                device.name
            ));
        }
    }
}

/// Whether a plug on the way that only promises 5 V keeps an offer from a device that
/// would accept it.
fn leaves_out(port: &PortSpec, cable: &CableSpec, device: &DeviceSpec) -> bool {
    carries(cable, Lift::Nothing).five_volts_only
        && port.offers.iter().any(|offer| {
            !is_five_volts(offer.supply)
                && device.accepts.iter().any(|accept| {
                    common_volts(offer.supply, accept.demand, f64::INFINITY).is_some()
                })
        })
}

/// A default curve above 2C promises more than cells usually take.
fn optimistic(setup: &Setup, slots: &[Slot], cautions: &mut Vec<String>) {
    let names: Vec<&str> = slots
        .iter()
        .map(|slot| &setup.devices[slot.device])
        .filter(|device| {
            device.default_draw && device.max_w * device.efficiency > 2.0 * device.battery_wh
        })
        .map(|device| device.name.as_str())
        .collect();
    if !names.is_empty() {
        cautions.push(format!(
            "no charging curve was given for {}, and the usual one means more than 2C there: \
             their times are optimistic",
            names.join(", ")
        ));
    }
}
