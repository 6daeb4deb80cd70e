//! From an assignment to the plan: ports and cables by name, numbers from the chosen
//! contracts, what limits whom, who is left out and why.

use crate::assign::options::Choices;
use crate::assign::reasons::reason;
use crate::plan::cautions::{cautions, sessions_unused};
use crate::plan::limiting::limiting;
use crate::plan::promise::{NEVER, Promise, promises};
use crate::plan::schedule::{Schedule, Slot};
use crate::plan::shared::pool_use;
use crate::plan::{Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::setup::ids::{CableId, ChargerId, PortId};
use crate::solve::levels::Outcome;
use crate::solve::model::Model;
use crate::units::{from_millionths, millionths, rounded};

/// The slots of an assignment: within a group, ports and cables go to the devices in order, as
/// listed.
fn slots(setup: &Setup, choices: &Choices, model: &Model, outcome: &Outcome) -> Vec<Slot> {
    let mut ports_taken = vec![0; choices.ports.len()];
    let mut cables_taken = vec![0; choices.cables.len()];
    let mut slots = Vec::new();
    for (device, &column) in outcome.assignment.iter().enumerate() {
        let Some(column) = column else {
            continue;
        };
        let choice = model.taken(choices, device, column);
        let group = &choices.ports[choice.port];
        let cable = model.listed_cable(choice.cable, cables_taken[choice.cable]);
        debug_assert!(cable < setup.cables.len(), "no more cables than there are");
        let port = PortId::new(group.charger, group.ports[ports_taken[choice.port]]);
        slots.push(choice.on(port, CableId(cable)));
        ports_taken[choice.port] += 1;
        cables_taken[choice.cable] += 1;
    }
    slots
}

/// The plan of an assignment, and the schedule that it is the document of.
pub(super) fn plan(
    setup: &Setup,
    choices: &Choices,
    model: &Model,
    outcome: &Outcome,
) -> (Plan, Schedule) {
    let slots = slots(setup, choices, model, outcome);
    let limits: Vec<LimitedBy> = (0..slots.len())
        .map(|index| limiting(setup, &slots, index))
        .collect();
    let without = without(&model.devices, &outcome.assignment);
    let reasons: Vec<Reason> = without
        .iter()
        .map(|&device| reason(setup, choices, &slots, device))
        .collect();
    let mut cautions = cautions(setup, &slots, &limits, &reasons);
    cautions.splice(0..0, sessions_unused(setup));
    let parts = Parts {
        longest_h: slots.iter().map(|slot| slot.hours).fold(0.0, f64::max),
        promised: promised_in_time(setup, &slots),
        pools: pools(setup, &slots),
        slots: &slots,
        limits,
        without,
        reasons,
        cautions,
    };
    let plan = assembled(setup, outcome, parts);
    (plan, Schedule::of_one_session(slots))
}

/// The devices that are given nothing.
pub(super) fn without<T>(devices: &[usize], given: &[Option<T>]) -> Vec<usize> {
    let each = devices.iter().zip(given);
    each.filter(|(_, given)| given.is_none())
        .map(|(&device, _)| device)
        .collect()
}

/// By slot, what is certain of it.
pub(super) struct Promised {
    pub(super) promise: Promise,
    /// When that comes to full, in hours from the start; none where it is never.
    pub(super) finish_h: Option<f64>,
    pub(super) late: bool,
}

/// The promises of a plan of one session.
fn promised_in_time(setup: &Setup, slots: &[Slot]) -> Vec<Promised> {
    let each = slots.iter().zip(promises(setup, slots));
    each.map(|(slot, promise)| {
        let ready_by = setup.devices[slot.device].ready_by_h.map(millionths);
        Promised {
            finish_h: promise.hours,
            late: ready_by.is_some_and(|ready_by| promise.time() > ready_by),
            promise,
        }
    })
    .collect()
}

/// What a plan is put together from.
pub(super) struct Parts<'a> {
    pub(super) longest_h: f64,
    pub(super) promised: Vec<Promised>,
    pub(super) slots: &'a [Slot],
    pub(super) limits: Vec<LimitedBy>,
    /// Devices of the setup, with the reasons.
    pub(super) without: Vec<usize>,
    pub(super) reasons: Vec<Reason>,
    pub(super) pools: Vec<PoolUse>,
    pub(super) cautions: Vec<String>,
}

pub(super) fn assembled(setup: &Setup, outcome: &Outcome, parts: Parts<'_>) -> Plan {
    let Parts {
        longest_h,
        promised,
        slots,
        limits,
        without,
        reasons,
        pools,
        cautions,
    } = parts;
    let missing: i64 = without
        .iter()
        .map(|&device| millionths(setup.devices[device].missing_wh()))
        .sum();
    let late = slots.iter().filter(|slot| slot.late).count();
    let count = |n: i64| usize::try_from(n).unwrap_or(0);
    let promised_late = promised.iter().filter(|promised| promised.late).count();
    let counted = match setup.aim {
        Aim::Best => late,
        Aim::Promise => promised_late,
    };
    let settled = (count(outcome.unserved), count(outcome.late)) == (without.len(), counted);
    let promised_longest = promised.iter().try_fold(0.0_f64, |longest, promised| {
        Some(longest.max(promised.finish_h?))
    });
    let bound_h = outcome
        .longest
        .filter(|&longest| settled && longest < NEVER)
        .map(from_millionths);
    Plan {
        version: 1,
        program: None,
        setup_sha256: None,
        status: if outcome.proven {
            Status::Optimal
        } else {
            Status::Feasible
        },
        settled: outcome.settled.filter(|_| !outcome.proven),
        aim: setup.aim,
        longest_h: rounded(longest_h),
        promised_longest_h: promised_longest.map(rounded),
        reshared_h: None,
        bound_h,
        unserved: without.len(),
        bound_unserved: (!outcome.proven).then(|| count(outcome.unserved)),
        missing_wh: from_millionths(missing),
        late,
        promised_late,
        bound_late: (!outcome.proven).then(|| count(outcome.late)),
        berths: slots
            .iter()
            .zip(limits)
            .zip(&promised)
            .map(|((slot, limit), promised)| berth(setup, slot, limit, &promised.promise))
            .collect(),
        assumed: setup.assumed(),
        without_berth: without
            .iter()
            .zip(reasons)
            .map(|(&device, cause)| WithoutBerth {
                device: setup.devices[device].name.clone(),
                reason: cause.to_string(),
                cause,
            })
            .collect(),
        pools,
        cautions,
        because: Vec::new(),
    }
}

fn berth(setup: &Setup, slot: &Slot, limited_by: LimitedBy, promise: &Promise) -> Berth {
    let charger = &setup.chargers[slot.port.charger];
    Berth {
        device: setup.devices[slot.device].name.clone(),
        charger: charger.name.clone(),
        port: setup[slot.port].name.clone(),
        cable: setup.cables[slot.cable].name.clone(),
        volts: rounded(slot.contract.volts),
        amps: rounded(slot.contract.amps),
        tier_w: rounded(slot.tier_w),
        port_w: rounded(slot.contract.port_w()),
        inlet_w: rounded(slot.contract.inlet_w),
        hours: rounded(slot.hours),
        late: slot.late,
        promised_w: promise.contract.map(|contract| rounded(contract.port_w())),
        promised_h: promise.hours.map(rounded),
        limited_by,
    }
}

pub(super) fn pools(setup: &Setup, slots: &[Slot]) -> Vec<PoolUse> {
    let mut pools = Vec::new();
    for (index, charger) in setup.chargers.iter().enumerate() {
        for (pool, used) in charger
            .pools
            .iter()
            .zip(pool_use(setup, ChargerId(index), slots))
        {
            pools.push(PoolUse {
                charger: charger.name.clone(),
                pool: pool.name.clone(),
                used_w: from_millionths(used),
                max_w: rounded(pool.max_w),
            });
        }
    }
    pools
}
