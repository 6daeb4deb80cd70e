//! From a seating to the plan: ports and cables by name, numbers from the chosen
//! contracts, what limits whom, who is left out and why.

use crate::assign::options::Choices;
use crate::assign::reasons::reason;
use crate::plan::cautions::{cautions, sessions_unused};
use crate::plan::limiting::limiting;
use crate::plan::place::{Place, pool_use};
use crate::plan::{Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth};
use crate::setup::Setup;
use crate::units::{from_millionths, millionths, rounded};

use crate::solve::levels::Outcome;
use crate::solve::model::Model;

/// The places of a seating: within a group, ports and cables go to the devices in
/// order, as listed.
fn places(setup: &Setup, choices: &Choices, model: &Model, outcome: &Outcome) -> Vec<Place> {
    let mut ports_taken = vec![0; choices.ports.len()];
    let mut cables_taken = vec![0; choices.cables.len()];
    let mut places = Vec::new();
    for (device, &column) in outcome.seating.iter().enumerate() {
        let Some(column) = column else {
            continue;
        };
        let choice = model.taken(choices, device, column);
        let group = &choices.ports[choice.port];
        let place = Place {
            device: choice.device,
            charger: group.charger,
            port: group.ports[ports_taken[choice.port]],
            cable: model.listed_cable(choice.cable, cables_taken[choice.cable]),
            contract: choice.contract,
            tier_w: choice.tier_w,
            hours: choice.hours,
            late: choice.late,
        };
        debug_assert!(
            place.cable < setup.cables.len(),
            "no more cables than there are"
        );
        ports_taken[choice.port] += 1;
        cables_taken[choice.cable] += 1;
        places.push(place);
    }
    places
}

/// The plan of a seating.
pub(super) fn plan(setup: &Setup, choices: &Choices, model: &Model, outcome: &Outcome) -> Plan {
    let places = places(setup, choices, model, outcome);
    let limits: Vec<LimitedBy> = (0..places.len())
        .map(|index| limiting(setup, &places, index))
        .collect();
    let without: Vec<usize> = model
        .devices
        .iter()
        .zip(&outcome.seating)
        .filter(|(_, choice)| choice.is_none())
        .map(|(&device, _)| device)
        .collect();
    let reasons: Vec<Reason> = without
        .iter()
        .map(|&device| reason(setup, choices, &places, device))
        .collect();
    let mut cautions = cautions(setup, &places, &limits, &reasons);
    cautions.splice(0..0, sessions_unused(setup));
    let parts = Parts {
        longest_h: places.iter().map(|place| place.hours).fold(0.0, f64::max),
        pools: pools(setup, &places),
        places,
        limits,
        without,
        reasons,
        cautions,
    };
    assembled(setup, outcome, parts)
}

/// What a plan is put together from.
pub(super) struct Parts {
    pub(super) longest_h: f64,
    pub(super) places: Vec<Place>,
    pub(super) limits: Vec<LimitedBy>,
    /// Devices of the setup, with the reasons.
    pub(super) without: Vec<usize>,
    pub(super) reasons: Vec<Reason>,
    pub(super) pools: Vec<PoolUse>,
    pub(super) cautions: Vec<String>,
}

pub(super) fn assembled(setup: &Setup, outcome: &Outcome, parts: Parts) -> Plan {
    let Parts {
        longest_h,
        places,
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
    let late = places.iter().filter(|place| place.late).count();
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
        berths: places
            .iter()
            .zip(limits)
            .map(|(place, limit)| berth(setup, place, limit))
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

fn berth(setup: &Setup, place: &Place, limited_by: LimitedBy) -> Berth {
    let charger = &setup.chargers[place.charger];
    Berth {
        device: setup.devices[place.device].name.clone(),
        charger: charger.name.clone(),
        port: charger.ports[place.port].name.clone(),
        cable: setup.cables[place.cable].name.clone(),
        volts: rounded(place.contract.volts),
        amps: rounded(place.contract.amps),
        tier_w: rounded(place.tier_w),
        port_w: rounded(place.contract.port_w()),
        inlet_w: rounded(place.contract.inlet_w),
        hours: rounded(place.hours),
        late: place.late,
        limited_by,
    }
}

pub(super) fn pools(setup: &Setup, places: &[Place]) -> Vec<PoolUse> {
    let mut pools = Vec::new();
    for (index, charger) in setup.chargers.iter().enumerate() {
        for (pool, used) in charger.pools.iter().zip(pool_use(setup, index, places)) {
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
