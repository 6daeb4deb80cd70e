//! The rules that berths share: pools, and the lines of a combination table.

use super::negotiation::Contract;
use crate::setup::document::Reserve;
use crate::setup::{ChargerSpec, LineSpec, PoolSpec};
use crate::units::{from_millionths, millionths};

/// A berth with its names resolved and its contract recomputed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Place {
    pub(crate) device: usize,
    pub(crate) charger: usize,
    pub(crate) port: usize,
    pub(crate) cable: usize,
    pub(crate) contract: Contract,
}

/// What the places take from a pool of a charger, in whole 1e-6 W.
pub(super) fn taken(spec: &ChargerSpec, places: &[Place], charger: usize, pool: &PoolSpec) -> i64 {
    places
        .iter()
        .filter(|place| place.charger == charger && pool.ports.contains(&place.port))
        .map(|place| match spec.reserve {
            Reserve::Offer => millionths(place.contract.tier_w),
            Reserve::Contract => millionths(place.contract.port_w()),
        })
        .fold(0, i64::saturating_add)
}

/// Whether every pool of the charger has enough for the places.
pub(super) fn pools_suffice(spec: &ChargerSpec, places: &[Place], charger: usize) -> bool {
    spec.pools
        .iter()
        .all(|pool| taken(spec, places, charger, pool) <= millionths(pool.max_w))
}

/// The lines of a charger's table that govern the ports of the places.
pub(super) fn governing_lines<'a>(
    spec: &'a ChargerSpec,
    places: &[Place],
    charger: usize,
) -> Vec<&'a LineSpec> {
    let in_use: Vec<usize> = on(places, charger).map(|place| place.port).collect();
    governing(spec, &in_use)
}

fn on(places: &[Place], charger: usize) -> impl Iterator<Item = &Place> {
    places.iter().filter(move |place| place.charger == charger)
}

/// Whether a governing line of the charger's table grants the places what they have.
pub(super) fn lines_grant(spec: &ChargerSpec, places: &[Place], charger: usize) -> bool {
    let lines = governing_lines(spec, places, charger);
    lines_grant_by(&lines, spec, places, charger)
}

/// As [`lines_grant`], where it is known which lines govern.
fn lines_grant_by(
    lines: &[&LineSpec],
    spec: &ChargerSpec,
    places: &[Place],
    charger: usize,
) -> bool {
    lines_grant_with(lines, spec, places, charger, granted)
}

/// As [`lines_grant_by`], where `granted` says what a line grants a port.
pub(super) fn lines_grant_with(
    lines: &[&LineSpec],
    spec: &ChargerSpec,
    places: &[Place],
    charger: usize,
    granted: impl Fn(&LineSpec, usize) -> Option<f64>,
) -> bool {
    if spec.lines.is_empty() || on(places, charger).next().is_none() {
        return true;
    }
    lines.iter().any(|line| {
        on(places, charger).all(|place| {
            let tier = millionths(place.contract.tier_w);
            granted(line, place.port).is_some_and(|watts| tier <= millionths(watts))
        })
    })
}

/// What pools and each governing line leave to a port beside other places, in watts, where
/// `granted` says what a line grants a port.
pub(super) fn room_for(
    spec: &ChargerSpec,
    others: &[Place],
    charger: usize,
    port: usize,
    granted: impl Fn(&LineSpec, usize) -> Option<f64>,
) -> Vec<f64> {
    let left = |pool: &PoolSpec| {
        from_millionths(millionths(pool.max_w) - taken(spec, others, charger, pool))
    };
    let in_pools = spec
        .pools
        .iter()
        .filter(|pool| pool.ports.contains(&port))
        .map(left)
        .fold(f64::INFINITY, f64::min);
    if spec.lines.is_empty() {
        return vec![in_pools];
    }
    let mut in_use = vec![port];
    in_use.extend(on(others, charger).map(|place| place.port));
    governing(spec, &in_use)
        .into_iter()
        .filter_map(|line| granted(line, port))
        .map(|watts| watts.min(in_pools))
        .collect()
}

/// The lines that hold all ports in use, without those of which another such line
/// names only some of the ports.
fn governing<'a>(charger: &'a ChargerSpec, in_use: &[usize]) -> Vec<&'a LineSpec> {
    let holds_all = |line: &&LineSpec| in_use.iter().all(|&port| granted(line, port).is_some());
    let named = |line: &LineSpec| line.watts.iter().flatten().count();
    let mut holding: Vec<(usize, &LineSpec)> = charger
        .lines
        .iter()
        .filter(holds_all)
        .map(|line| (named(line), line))
        .collect();
    // One that names only some of another's ports names fewer, and stands before it.
    holding.sort_by_key(|&(ports, _)| ports);
    let mut governing: Vec<&LineSpec> = Vec::new();
    for (at, &(ports, line)) in holding.iter().enumerate() {
        let fewer = holding[..at].iter().take_while(|(other, _)| *other < ports);
        if !fewer
            .into_iter()
            .any(|(_, other)| is_strict_subset(other, line))
        {
            governing.push(line);
        }
    }
    governing
}

fn is_strict_subset(one: &LineSpec, of: &LineSpec) -> bool {
    let ports = one.watts.len().max(of.watts.len());
    let has = |line: &LineSpec, port| granted(line, port).is_some();
    (0..ports).all(|port| !has(one, port) || has(of, port))
        && (0..ports).any(|port| !has(one, port) && has(of, port))
}

pub(super) fn granted(line: &LineSpec, port: usize) -> Option<f64> {
    line.watts.get(port).copied().flatten()
}

#[cfg(test)]
mod tests {
    use super::super::sample::{line, pool, setup};
    use super::*;

    /// Places on the ports of charger 1 at the given tiers, each drawing half of it.
    fn at_tiers(tiers_w: &[Option<f64>]) -> Vec<Place> {
        tiers_w
            .iter()
            .enumerate()
            .filter_map(|(port, tier_w)| {
                let tier_w = (*tier_w)?;
                let contract = Contract {
                    volts: 10.0,
                    amps: tier_w / 20.0,
                    inlet_w: tier_w / 2.0,
                    tier_w,
                };
                Some(Place {
                    device: port,
                    charger: 1,
                    port,
                    cable: 0,
                    contract,
                })
            })
            .collect()
    }

    #[test]
    fn the_governing_line_grants() {
        let (a, b, c) = (Some(45.0), Some(20.0), Some(10.0));
        let none = None;
        let nested = vec![
            line(&[a, b, c]),
            line(&[Some(60.0), b, none]),
            line(&[Some(65.0), none, none]),
        ];
        let rivals = vec![line(&[a, b, none]), line(&[Some(30.0), none, Some(30.0)])];
        let same_ports = vec![line(&[a, b, none]), line(&[b, a, none])];
        for (lines, tiers_w, granted) in [
            (&nested, [Some(65.0), none, none], true),
            // Two in use: the line of three would grant 45 W, but that of two governs.
            (&nested, [Some(60.0), b, none], true),
            (&nested, [Some(65.0), b, none], false),
            (&nested, [a, b, c], true),
            (&nested, [Some(60.0), b, c], false),
            // Only the line of three holds the third port.
            (&nested, [none, none, Some(10.0)], true),
            (&nested, [none, none, Some(10.000_001)], false),
            (&nested, [none, none, Some(10.000_000_4)], true),
            (&nested, [none, Some(20.0), Some(10.0)], true),
            // The first port alone: both lines govern, one of them respected is enough.
            (&rivals, [a, none, none], true),
            (&rivals, [Some(30.0), none, Some(30.0)], true),
            (&rivals, [Some(46.0), none, none], false),
            // No line holds the second and the third.
            (&rivals, [none, Some(1.0), Some(1.0)], false),
            // Two lines of the same ports: each port within the one, or within the other.
            (&same_ports, [b, a, none], true),
            (&same_ports, [a, a, none], false),
            // Nothing in use, nothing to grant.
            (&rivals, [none, none, none], true),
        ] {
            let mut setup = setup();
            setup.chargers[1].lines.clone_from(lines);
            let places = at_tiers(&tiers_w);
            assert_eq!(
                lines_grant(&setup.chargers[1], &places, 1),
                granted,
                "{tiers_w:?} of {lines:?}"
            );
            assert!(
                lines_grant(&setup.chargers[0], &places, 0),
                "another charger's table is its own"
            );
        }
    }

    #[test]
    fn pools_count_offers_or_contracts_in_whole_millionths() {
        let third = 10.0 / 3.0;
        for (reserve, max_w, enough) in [
            (Reserve::Offer, 30.0, true),
            (Reserve::Offer, 29.999_999, false),
            (Reserve::Contract, 15.0, true),
            (Reserve::Contract, 14.999_999, false),
        ] {
            let mut setup = setup();
            setup.chargers[1].reserve = reserve;
            setup.chargers[1].pools = vec![pool("total", &[0, 1], max_w)];
            let places = at_tiers(&[Some(20.0), Some(10.0)]);
            assert_eq!(
                pools_suffice(&setup.chargers[1], &places, 1),
                enough,
                "{reserve:?} {max_w}"
            );
        }
        // Three thirds are rounded before they are summed: 9.999999 W.
        let mut setup = setup();
        setup.chargers[1].pools = vec![pool("total", &[0, 1, 2], 9.999_999)];
        let places = at_tiers(&[Some(third), Some(third), Some(third)]);
        assert!(pools_suffice(&setup.chargers[1], &places, 1));
        assert_eq!(
            taken(&setup.chargers[1], &places, 1, &pool("two", &[0, 2], 1.0)),
            6_666_666
        );
    }
}
