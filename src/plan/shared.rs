//! What slots of one charger share: its pools and its table of combinations.

use super::schedule::Slot;
use crate::setup::contract::Contract;
use crate::setup::document::Reserve;
use crate::setup::ids::ChargerId;
use crate::setup::{ChargerSpec, LineSpec, Setup};
use crate::units::millionths;

/// What a berth takes from its charger's pools, in whole 1e-6 W: its tier or its
/// contract, by the charger's `reserve`.
pub(crate) fn taken(charger: &ChargerSpec, tier_w: f64, contract: &Contract) -> i64 {
    match charger.reserve {
        Reserve::Offer => millionths(tier_w),
        Reserve::Contract => millionths(contract.port_w()),
    }
}

/// What is taken from each pool of a charger, in whole 1e-6 W.
pub(crate) fn pool_use(setup: &Setup, charger: ChargerId, slots: &[Slot]) -> Vec<i64> {
    let spec = &setup.chargers[charger];
    spec.pools
        .iter()
        .map(|pool| {
            slots
                .iter()
                .filter(|slot| {
                    slot.port.charger == charger && pool.ports.contains(&slot.port.index)
                })
                .map(|slot| slot.takes(spec))
                .sum()
        })
        .collect()
}

/// Whether a charger's combinations allow these tiers, in whole 1e-6 W by port: a line
/// that governs the ports in use grants each its tier.
pub(crate) fn lines_allow(charger: &ChargerSpec, tiers: &[Option<i64>]) -> bool {
    if charger.lines.is_empty() || tiers.iter().all(Option::is_none) {
        return true;
    }
    let in_use: Vec<bool> = tiers.iter().map(Option::is_some).collect();
    governing(charger, &in_use).any(|line| grants(line, tiers))
}

/// Whether a line grants each port in use its tier, in whole 1e-6 W by port.
pub(crate) fn grants(line: &LineSpec, tiers: &[Option<i64>]) -> bool {
    tiers.iter().zip(&line.watts).all(|(tier, granted)| {
        tier.is_none_or(|tier| granted.is_some_and(|watts| tier <= millionths(watts)))
    })
}

/// The lines that govern the ports in use: they hold all of them, and no line over
/// fewer of their ports does.
pub(crate) fn governing<'a>(
    charger: &'a ChargerSpec,
    in_use: &[bool],
) -> impl Iterator<Item = &'a LineSpec> + use<'a> {
    let lines = governing_lines(charger, in_use).into_iter();
    lines.map(|line| &charger.lines[line])
}

/// As [`governing`], the indices of the lines.
pub(crate) fn governing_lines(charger: &ChargerSpec, in_use: &[bool]) -> Vec<usize> {
    let holds = |line: &LineSpec| {
        in_use
            .iter()
            .zip(&line.watts)
            .all(|(used, granted)| !used || granted.is_some())
    };
    // Few lines hold all ports in use, of the many that a table may have.
    let holding: Vec<(usize, usize)> = charger
        .lines
        .iter()
        .enumerate()
        .filter(|(_, line)| holds(line))
        .map(|(index, line)| (index, line.watts.iter().flatten().count()))
        .collect();
    let within = |small: usize, large: usize| {
        let (small, large) = (&charger.lines[small], &charger.lines[large]);
        let mut both = small.watts.iter().zip(&large.watts);
        both.all(|(s, l)| s.is_none() || l.is_some())
    };
    // Within another and of as many ports is the same ports.
    let over_fewer = |line: usize, ports: usize| {
        let mut others = holding.iter();
        others.any(|&(other, fewer)| fewer < ports && within(other, line))
    };
    let mut lines = holding.clone();
    lines.retain(|&(line, ports)| !over_fewer(line, ports));
    lines.into_iter().map(|(line, _)| line).collect()
}
