//! From an assignment to the plan: ports and cables by name, numbers from the chosen
//! contracts, what limits whom, who is left out and why.

use crate::assign::options::Columns;
use crate::assign::reasons::reason;
use crate::plan::cautions::{cautions, sessions_unused};
use crate::plan::limiting::limiting;
use crate::plan::schedule::{Schedule, Slot};
use crate::plan::shared::pool_use;
use crate::plan::{Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth};
use crate::setup::Setup;
use crate::setup::ids::{CableId, ChargerId, PortId};
use crate::solve::levels::Outcome;
use crate::solve::model::Model;
use crate::units::{from_millionths, millionths, rounded};

/// The slots of an assignment: within a group, ports and cables go to the devices in order, as
/// listed.
fn slots(setup: &Setup, columns: &Columns, model: &Model, outcome: &Outcome) -> Vec<Slot> {
    let mut ports_taken = vec![0; columns.ports.len()];
    let mut cables_taken = vec![0; columns.cables.len()];
    let mut slots = Vec::new();
    for (device, &column) in outcome.assignment.iter().enumerate() {
        let Some(column) = column else {
            continue;
        };
        let column = model.taken(columns, device, column);
        let group = &columns.ports[column.whole.port];
        let cable = model.listed_cable(column.whole.cable, cables_taken[column.whole.cable]);
        debug_assert!(cable < setup.cables.len(), "no more cables than there are");
        let port = PortId::new(group.charger, group.ports[ports_taken[column.whole.port]]);
        slots.push(column.on(port, CableId(cable)));
        ports_taken[column.whole.port] += 1;
        cables_taken[column.whole.cable] += 1;
    }
    slots
}

/// The plan of an assignment, and the schedule that it is the document of.
pub(super) fn plan(
    setup: &Setup,
    columns: &Columns,
    model: &Model,
    outcome: &Outcome,
) -> (Plan, Schedule) {
    let slots = slots(setup, columns, model, outcome);
    let limits: Vec<LimitedBy> = (0..slots.len())
        .map(|index| limiting(setup, &slots, index))
        .collect();
    let without = without(&model.devices, &outcome.assignment);
    let reasons: Vec<Reason> = without
        .iter()
        .map(|&device| reason(setup, columns, &slots, device))
        .collect();
    let mut cautions = cautions(setup, &slots, &limits, &reasons);
    cautions.splice(0..0, sessions_unused(setup));
    let parts = Parts {
        longest_h: slots.iter().map(|slot| slot.hours).fold(0.0, f64::max),
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

/// What a plan is put together from.
pub(super) struct Parts<'a> {
    pub(super) longest_h: f64,
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
    let settled = (count(outcome.unserved), count(outcome.late)) == (without.len(), late);
    let bound_h = outcome.longest.filter(|_| settled).map(from_millionths);
    Plan {
        version: 1,
        status: if outcome.proven {
            Status::Optimal
        } else {
            Status::Feasible
        },
        settled: outcome.settled.filter(|_| !outcome.proven),
        longest_h: rounded(longest_h),
        reshared_h: None,
        bound_h,
        unserved: without.len(),
        bound_unserved: (!outcome.proven).then(|| count(outcome.unserved)),
        missing_wh: from_millionths(missing),
        late,
        bound_late: (!outcome.proven).then(|| count(outcome.late)),
        berths: slots
            .iter()
            .zip(limits)
            .map(|(slot, limit)| berth(setup, slot, limit))
            .collect(),
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
    }
}

fn berth(setup: &Setup, slot: &Slot, limited_by: LimitedBy) -> Berth {
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
