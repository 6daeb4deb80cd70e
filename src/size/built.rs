//! The plan at a point of the frontier, and the charger that it calls for, built and
//! planned with once more.

use super::deadlines;
use super::frontier::{Point, keep_least};
use crate::assign::{Options, assign, planned};
use crate::document::{Charger, Port, Reserve};
use crate::error::{Error, Result};
use crate::options::Choices;
use crate::plan::{Berth, Plan, Status};
use crate::setup::Setup;
use crate::units::{from_millionths, millionths};

/// A charger with a port of each of these PD powers, for which contracts count.
pub(super) fn charger(name: impl Into<String>, tiers_w: impl Iterator<Item = f64>) -> Charger {
    let ports = (1..).zip(tiers_w);
    ports.fold(
        Charger::new(name).reserve(Reserve::Contract),
        |charger, (number, tier_w)| charger.port(Port::pd(i32::to_string(&number), tier_w)),
    )
}

/// The plan of the `served` devices on the largest ports with no more watts than the
/// point has. With so few, no plan is faster than the point, none takes fewer, and what
/// is left undecided the plan's order decides.
pub(super) fn plan_at(ideal: &Setup, served: &[usize], point: Point) -> Result<Plan> {
    let mut bag = ideal.clone();
    bag.devices = served.iter().map(|&d| ideal.devices[d].clone()).collect();
    let mut shared = bag.clone();
    shared.share_among_all(from_millionths(point.watts));
    let mut choices = Choices::of(&shared)?;
    keep_least(&mut choices, &deadlines(&shared), point);
    let plan = planned(&shared, &choices, &Options::default())?;
    if !is_at(&plan, point) {
        return Err(match plan.status {
            Status::Feasible => Error::NoPlanInTime,
            Status::Optimal => differs("the plan with the least watts", &plan, point),
        });
    }
    let built = on_its_charger(&bag, &plan, point)?;
    Ok(Plan {
        // No pool of the ideal charger has any meaning for whoever buys one.
        cautions: built.cautions,
        ..plan
    })
}

/// The plan on the charger that `plan` calls for, every device on its own port with its
/// own cable: negotiated anew by `verify` before `assign` returns it. Port for port it
/// must be the same.
fn on_its_charger(bag: &Setup, plan: &Plan, point: Point) -> Result<Plan> {
    let tiers = plan.berths.iter().map(|berth| berth.tier_w);
    let mut least = bag.on(charger("least charger", tiers))?;
    least.share_among_all(from_millionths(point.watts));
    for (port, berth) in plan.berths.iter().enumerate() {
        let device = &mut least.devices[port];
        device.pinned_port = Some((0, port));
        let cable = |cable: &crate::setup::CableSpec| cable.name == berth.cable;
        device.pinned_cable = least.cables.iter().position(cable);
    }
    let built = assign(&least)?;
    let facts = |berth: &Berth| {
        let numbers = [
            berth.volts,
            berth.amps,
            berth.tier_w,
            berth.port_w,
            berth.inlet_w,
            berth.hours,
        ];
        (
            berth.device.clone(),
            berth.cable.clone(),
            numbers.map(millionths),
        )
    };
    let same = built.berths.len() == plan.berths.len()
        && built
            .berths
            .iter()
            .zip(&plan.berths)
            .all(|(a, b)| facts(a) == facts(b));
    if same && is_at(&built, point) {
        Ok(built)
    } else {
        Err(differs("the least charger's own plan", &built, point))
    }
}

/// Whether a plan serves all in time, in the time and with the watts of a point.
fn is_at(plan: &Plan, point: Point) -> bool {
    let watts: i64 = plan.berths.iter().map(|b| millionths(b.port_w)).sum();
    plan.unserved == 0
        && plan.late == 0
        && millionths(plan.longest_h) == point.time
        && watts == point.watts
}

fn differs(what: &str, plan: &Plan, point: Point) -> Error {
    Error::Internal {
        message: format!(
            "{what} has {} unserved, {} late and is full after {} h: {} W were found to do for {} h",
            plan.unserved,
            plan.late,
            plan.longest_h,
            from_millionths(point.watts),
            from_millionths(point.time)
        ),
    }
}
