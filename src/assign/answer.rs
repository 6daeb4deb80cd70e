//! From an assignment to the plan: ports and cables by name, numbers from the chosen
//! contracts, what limits whom, who is left out and why.

use crate::assign::options::{Choice, Choices};
use crate::assign::reasons::reason;
use crate::plan::bounds::{Has, LevelBound};
use crate::plan::cautions::{cautions, sessions_unused};
use crate::plan::limiting::limiting;
use crate::plan::objective::ObjectiveValue;
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

/// The slots of an assignment. Within a group, a device keeps the port and the cable of the plan
/// that is to be stayed near; the others get the rest in order, as listed.
fn slots(choices: &Choices, model: &Model, outcome: &Outcome) -> Vec<Slot> {
    let each = outcome.assignment.iter().enumerate();
    let chosen: Vec<&Choice> = each
        .filter_map(|(device, column)| Some(model.taken(choices, device, (*column)?)))
        .collect();
    let former = |choice: &Choice| choices.near.as_ref()?.former(choice.device);
    let ports = choices.ports.iter().map(|group| {
        let of_group = group.ports.iter();
        of_group
            .map(|&port| PortId::new(group.charger, port))
            .collect()
    });
    let ports = dealt(
        ports.collect(),
        chosen.iter().map(|choice| {
            let own = former(choice).and_then(|former| former.port);
            (choice.port, own.map(|own| own.id))
        }),
    );
    let cables = model.listed_cables.iter();
    let cables = cables.map(|group| group.iter().copied().map(CableId).collect());
    let cables = dealt(
        cables.collect(),
        chosen.iter().map(|choice| {
            let own = former(choice).and_then(|former| former.cable);
            (choice.cable, own.map(|own| own.id))
        }),
    );
    let slots = chosen.iter().zip(ports.into_iter().zip(cables));
    slots
        .map(|(choice, (port, cable))| choice.on(port, cable))
        .collect()
}

/// Deals out the members of groups to those who want one of a group: first to each the one that
/// it names, where that is left; then to the others in order, as listed.
fn dealt<T: Copy + PartialEq>(
    mut groups: Vec<Vec<T>>,
    wanted: impl Iterator<Item = (usize, Option<T>)>,
) -> Vec<T> {
    let wanted: Vec<(usize, Option<T>)> = wanted.collect();
    let mut kept: Vec<Option<T>> = Vec::with_capacity(wanted.len());
    for &(group, own) in &wanted {
        let at = own.and_then(|own| groups[group].iter().position(|&member| member == own));
        kept.push(at.map(|at| groups[group].remove(at)));
    }
    let each = wanted.iter().zip(kept);
    each.map(|(&(group, _), kept)| kept.unwrap_or_else(|| groups[group].remove(0)))
        .collect()
}

/// The plan of an assignment, and the schedule that it is the document of.
pub(super) fn plan(
    setup: &Setup,
    choices: &Choices,
    model: &Model,
    outcome: &Outcome,
) -> (Plan, Schedule) {
    let slots = slots(choices, model, outcome);
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
    let near = choices.near.as_ref();
    cautions.splice(
        0..0,
        near.into_iter().flat_map(|near| near.cautions().to_vec()),
    );
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
    let mut plan = assembled(setup, outcome, parts);
    plan.moves = near.map(|near| near.moves(setup, choices, &slots));
    if !outcome.open.is_empty() {
        let of = ObjectiveValue::of(setup, &plan);
        let has = Has {
            moves: plan.moves.as_ref().map_or(0, Vec::len),
            swaps: 0,
            watts: of.total_w,
            of: &of,
        };
        plan.bounds = bounds(outcome, &has);
    }
    (plan, Schedule::of_one_session(slots))
}

/// What is proven of the levels that are open.
pub(super) fn bounds(outcome: &Outcome, has: &Has<'_>) -> Vec<LevelBound> {
    let open = outcome.open.iter();
    open.filter_map(|open| LevelBound::of(open, has)).collect()
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
        bounds: Vec::new(),
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
        moves: None,
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
