//! The charger that a solution calls for, built, and planned with as any other.

use super::frontier::Point;
use super::ties::Seat;
use super::{SOLD_W, has_usb_a_alone};
use crate::assign::assign_within;
use crate::assign::options::Choice;
use crate::diagnostics::{Error, Result};
use crate::plan::{Berth, Plan, Status};
use crate::setup::Setup;
use crate::setup::document::{Aim, Charger, Port, Reserve, Voltages};
use crate::setup::ids::{CableId, PortId};
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::{from_millionths, millionths};

/// What the charger is called while it is planned with.
pub(super) const NAME: &str = "least charger";

/// A charger with a port of each of these PD powers, or a USB-A port where that is said, for
/// which contracts count.
pub(super) fn charger(
    name: impl Into<String>,
    ports: impl Iterator<Item = (bool, f64)>,
) -> Charger {
    let ports = (1..).zip(ports);
    ports.fold(
        Charger::new(name)
            .reserve(Reserve::Contract)
            .voltages(Voltages::Rules)
            .tiers_w(SOLD_W),
        |charger, (number, (is_usb_a, tier_w))| {
            let name = i32::to_string(&number);
            charger.port(if is_usb_a {
                usb_a(name)
            } else {
                Port::pd(name, tier_w)
            })
        },
    )
}

/// The port for a device that no cable joins to a USB-C port (model.md's decisions, size).
pub(super) fn usb_a(name: String) -> Port {
    Port::usb_a(name, "5V 2.4A")
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
    (wanted, budget): (Wanted, &Budget),
) -> Result<Plan> {
    let each = served.iter().zip(seats);
    let ports = each.map(|(&device, (choice, _))| {
        let is_usb_a = has_usb_a_alone(ideal, &ideal.devices[device]);
        (is_usb_a, choice.tier_w)
    });
    let mut least = ideal.on(charger(NAME, ports))?;
    if ideal.aim == Aim::Best {
        least.share_among_all(from_millionths(point.watts));
    }
    least.devices = served.iter().map(|&d| ideal.devices[d].clone()).collect();
    for (port, (device, &(choice, cable))) in least.devices.iter_mut().zip(seats).enumerate() {
        device.pinned_port = Some(PortId::new(0, port));
        device.pinned_cable = Some(CableId(cable));
        // Where less would do at best, it is for its promise that the port is that large.
        device.pinned_contract = Some(choice.key());
    }
    // With every place pinned little is left to search, and it is the check of the whole:
    // it is made however the call was limited.
    let mut budget = budget.whatever_the_clock(SolveOptions::DEFAULT_BUDGET);
    let plan = assign_within(&least, wanted, &mut budget)?;
    let as_promised = plan.berths.len() == seats.len()
        && plan
            .berths
            .iter()
            .zip(seats)
            .all(|(berth, (choice, _))| is(berth, choice));
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

/// Whether a berth has the contract of a choice.
fn is(berth: &Berth, choice: &Choice) -> bool {
    let found = [berth.volts, berth.amps, berth.tier_w, berth.hours];
    let contract = &choice.contract;
    let wanted = [contract.volts, contract.amps, choice.tier_w, choice.hours];
    found.map(millionths) == wanted.map(millionths)
}

/// Whether a plan serves all in time, in the time and with the watts of a point.
fn is_at(plan: &Plan, point: Point) -> bool {
    let watts: i64 = plan.berths.iter().map(|b| millionths(b.port_w)).sum();
    plan.serves_all()
        && plan.longest_by_aim().map(millionths) == Some(point.time)
        && watts == point.watts
}
