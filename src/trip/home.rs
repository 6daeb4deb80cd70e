//! What an appliance costs the bag, and which appliances are not worth it.
//!
//! The rule: an appliance that can be used on fewer than half of the nights, and that needs
//! an adapter or a converter that nothing else needs, stays at home. What it needs is found
//! by packing without it.

use super::bag::PackingCosts;
use super::chosen::{converted_ways, has_a_way, plain_ways};
use super::other_nights::all_needs;
use super::pack::{Packed, pack};
use super::stay::Stay;
use crate::diagnostics::Result;
use crate::setup::TripSpec;
use crate::solve::budget::Budget;

/// What an appliance is worth, and what it takes.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Cost {
    /// Nights at stops where it can be used, of all; stops, where no night is spent.
    pub(super) works: u32,
    pub(super) of: u32,
    /// Whether those are stops.
    pub(super) by_stops: bool,
    /// The adapters and converters that are, or would be, taken for it alone; absent where
    /// there are none, or a limit kept them from being found.
    pub(super) costs: Option<PackingCosts>,
}

/// Leaves at home what the rule says, and packs without it. By appliance, its cost.
pub(super) fn settle(
    stays: &mut [Stay<'_>],
    mut packed: Packed,
    spec: &TripSpec,
    budget: &mut Budget,
) -> Result<(Packed, Vec<Cost>)> {
    let count = spec.appliances.len();
    let mut costs: Vec<Cost> = (0..count).map(|at| worth(stays, at)).collect();
    let mut at = 0;
    while at < count {
        let Cost { works, of, .. } = costs[at];
        let is_rare = works > 0 && u64::from(works) * 2 < u64::from(of);
        let at_home = stays.first().is_some_and(|stay| stay.at_home[at]);
        if is_rare && !at_home && goes_through(stays, at) {
            let without = packed_where(stays, at, true, spec, budget)?;
            let extra = extra(&packed, &without, spec);
            if extra.as_ref().is_some_and(PackingCosts::is_a_piece) {
                keep_at_home(stays, at, true);
                packed = without;
                // Something else may now be alone with what it needs.
                at = 0;
                continue;
            }
        }
        at += 1;
    }
    for (at, cost) in costs.iter_mut().enumerate() {
        if !goes_through(stays, at) {
            continue;
        }
        let at_home = stays.first().is_some_and(|stay| stay.at_home[at]);
        let other = packed_where(stays, at, !at_home, spec, budget)?;
        cost.costs = if at_home {
            extra(&other, &packed, spec)
        } else {
            extra(&packed, &other, spec)
        };
    }
    Ok((packed, costs))
}

/// On how many nights an appliance can be used.
fn worth(stays: &[Stay<'_>], at: usize) -> Cost {
    let nights: u32 = stays.iter().map(|stay| stay.site.stop.nights).sum();
    let by_stops = nights == 0;
    let weight = |stay: &Stay<'_>| if by_stops { 1 } else { stay.site.stop.nights };
    let works = stays.iter().filter(|stay| has_a_way(&stay.appliances[at]));
    Cost {
        works: works.map(weight).sum(),
        of: stays.iter().map(weight).sum(),
        by_stops,
        costs: None,
    }
}

/// Whether an appliance goes through anything anywhere.
fn goes_through(stays: &[Stay<'_>], at: usize) -> bool {
    stays.iter().any(|stay| {
        let answer = &stay.appliances[at];
        let straight = answer.links.first();
        let plain = plain_ways(answer);
        let in_all = straight.is_some_and(|link| {
            let mut systems = stay.site.systems().into_iter();
            systems.all(|socket| link.goes_into(socket))
        });
        !(plain.is_empty() || in_all) || !converted_ways(answer).is_empty()
    })
}

fn keep_at_home(stays: &mut [Stay<'_>], at: usize, home: bool) {
    for stay in stays {
        stay.at_home[at] = home;
    }
}

/// What is taken where an appliance stays at home, or comes along.
fn packed_where(
    stays: &mut [Stay<'_>],
    at: usize,
    home: bool,
    spec: &TripSpec,
    budget: &mut Budget,
) -> Result<Packed> {
    keep_at_home(stays, at, home);
    let needs = all_needs(stays);
    let packed = budget.share(PARTS, |part| pack(&needs, spec, part));
    drop(needs);
    keep_at_home(stays, at, !home);
    packed
}

/// Each packing gets one of so many parts of what is left.
const PARTS: usize = 8;

/// What one bag has beyond another; nothing where either is not known to be least.
fn extra(with: &Packed, without: &Packed, spec: &TripSpec) -> Option<PackingCosts> {
    if !(with.least && without.least) {
        return None;
    }
    let (more, less) = (with.weigh(spec), without.weigh(spec));
    let costs = PackingCosts {
        adapters: more.adapters.saturating_sub(less.adapters),
        converters: more.converters.saturating_sub(less.converters),
        weight_g: more.weight_g - less.weight_g,
    };
    (costs.is_a_piece() || costs.weight_g > 0.0).then_some(costs)
}
