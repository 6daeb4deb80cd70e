//! The charger that a solution calls for, built, and planned with as any other.

use super::frontier::Point;
use super::ties::Seat;
use crate::assign::assign_within;
use crate::assign::options::Column;
use crate::diagnostics::{Error, Result};
use crate::plan::{Berth, Plan, Status};
use crate::setup::Setup;
use crate::setup::document::{Charger, Port, Reserve};
use crate::setup::ids::{CableId, PortId};
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::{from_millionths, millionths};

/// A charger with a port of each of these PD powers, for which contracts count.
pub(super) fn charger(name: impl Into<String>, tiers_w: impl Iterator<Item = f64>) -> Charger {
    let ports = (1..).zip(tiers_w);
    ports.fold(
        Charger::new(name).reserve(Reserve::Contract),
        |charger, (number, tier_w)| charger.port(Port::pd(i32::to_string(&number), tier_w)),
    )
}

/// The plan on the charger that the `seats` of the `served` devices call for, every
/// device on its own port with its own cable: negotiated anew by `verify` before
/// `assign` returns it. Port for port it must be what the seats promise, and together
/// what the point does.
pub(super) fn plan(
    ideal: &Setup,
    served: &[usize],
    seats: &[Seat<'_>],
    point: Point,
    wanted: Wanted,
) -> Result<Plan> {
    let tiers = seats.iter().map(|(column, _)| column.tier_w);
    let mut least = ideal.on(charger("least charger", tiers))?;
    least.share_among_all(from_millionths(point.watts));
    least.devices = served.iter().map(|&d| ideal.devices[d].clone()).collect();
    for (port, (device, &(_, cable))) in least.devices.iter_mut().zip(seats).enumerate() {
        device.pinned_port = Some(PortId::new(0, port));
        device.pinned_cable = Some(CableId(cable));
    }
    // With every place pinned little is left to search, and it is the check of the whole:
    // it is made however the call was limited.
    let mut budget = Budget::of_steps(SolveOptions::DEFAULT_BUDGET);
    let plan = assign_within(&least, wanted, &mut budget)?;
    let as_promised = plan.berths.len() == seats.len()
        && plan
            .berths
            .iter()
            .zip(seats)
            .all(|(berth, (column, _))| is(berth, column));
    if as_promised && is_at(&plan, point) {
        return Ok(plan);
    }
    Err(match plan.status {
        Status::Feasible => Error::NoPlanInTime,
        Status::Optimal => Error::Internal {
            message: format!(
                "the plan on the least charger has {} unserved, {} late and is full after {} h: \
                 {} W were found to do for {} h",
                plan.unserved,
                plan.late,
                plan.longest_h,
                from_millionths(point.watts),
                from_millionths(point.time)
            ),
        },
    })
}

/// Whether a berth has the contract of a column.
fn is(berth: &Berth, column: &Column) -> bool {
    let found = [berth.volts, berth.amps, berth.tier_w, berth.hours];
    let contract = &column.contract;
    let wanted = [contract.volts, contract.amps, column.tier_w, column.hours];
    found.map(millionths) == wanted.map(millionths)
}

/// Whether a plan serves all in time, in the time and with the watts of a point.
fn is_at(plan: &Plan, point: Point) -> bool {
    let watts: i64 = plan.berths.iter().map(|b| millionths(b.port_w)).sum();
    plan.unserved == 0
        && plan.late == 0
        && millionths(plan.longest_h) == point.time
        && watts == point.watts
}
