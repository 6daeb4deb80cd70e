//! What keeps a berth from being full sooner: the one limit whose removal alone, the
//! other berths kept, shortens its time the most.

use std::borrow::Cow;

use crate::curve::hours_to_full;
use crate::options::Ladder;
use crate::place::{Place, governing, lines_allow, pool_use, taken};
use crate::plan::LimitedBy;
use crate::setup::{ChargerSpec, Setup};
use crate::units::{from_millionths, millionths};
use crate::usb::contract::{Lift, carries};

/// In the order in which ties are broken.
const CANDIDATES: [LimitedBy; 5] = [
    LimitedBy::Pool,
    LimitedBy::Combination,
    LimitedBy::Port,
    LimitedBy::Cable,
    LimitedBy::Device,
];

/// What limits `places[index]`; the device itself where no removal gains 1e-6 h.
pub(crate) fn limiting(setup: &Setup, places: &[Place], index: usize) -> LimitedBy {
    let now = least_time(setup, places, index, None).unwrap_or(i64::MAX);
    let mut best = (0, LimitedBy::Device);
    for candidate in CANDIDATES {
        let then = least_time(setup, places, index, Some(candidate)).unwrap_or(i64::MAX);
        let gain = now - then;
        if gain > best.0 {
            best = (gain, candidate);
        }
    }
    best.1
}

/// Whether `places[index]` would be full sooner without its pools, whatever else limits it
/// more.
pub(crate) fn pool_slows(setup: &Setup, places: &[Place], index: usize) -> bool {
    let least = |removed| least_time(setup, places, index, removed).unwrap_or(i64::MAX);
    least(Some(LimitedBy::Pool)) < least(None)
}

/// The least time on the same port and cable in whole 1e-6 h, the other berths kept and
/// one limit removed.
fn least_time(
    setup: &Setup,
    places: &[Place],
    index: usize,
    removed: Option<LimitedBy>,
) -> Option<i64> {
    let place = &places[index];
    let charger = &setup.chargers[place.charger];
    let device = &setup.devices[place.device];
    let lift = match removed {
        Some(LimitedBy::Port) => Lift::Port,
        Some(LimitedBy::Cable) => Lift::Cable,
        Some(LimitedBy::Device) => Lift::Device,
        Some(LimitedBy::Pool | LimitedBy::Combination) | None => Lift::Nothing,
    };
    let others: Vec<Place> = places
        .iter()
        .enumerate()
        .filter(|(i, _)| *i != index)
        .map(|(_, p)| p.clone())
        .collect();
    let used = pool_use(setup, place.charger, &others);
    let mut tiers: Vec<Option<i64>> = vec![None; charger.ports.len()];
    for other in others.iter().filter(|other| other.charger == place.charger) {
        tiers[other.port] = Some(millionths(other.tier_w));
    }
    let ladder = Ladder::of(&charger.ports[place.port]);
    let cable = carries(&setup.cables[place.cable], lift);
    let mut ways = ladder.contracts(&cable, device, lift);
    let mut charger = Cow::Borrowed(charger);
    if lift == Lift::Port {
        // The line "it alone, at its cap" says no more than the cap does.
        for line in charger
            .to_mut()
            .lines
            .iter_mut()
            .filter(|line| line.implied)
        {
            line.watts[place.port] = line.watts[place.port].map(|_| f64::INFINITY);
        }
        let room = room_left(&charger, place.port, &used, &tiers);
        ways.extend(
            room.into_iter()
                .filter_map(|room| ladder.beyond(room, &cable, device)),
        );
    }
    ways.into_iter()
        .filter(|(tier_w, contract)| {
            let takes = taken(&charger, *tier_w, contract);
            let pools_hold = removed == Some(LimitedBy::Pool)
                || charger.pools.iter().zip(&used).all(|(pool, used)| {
                    !pool.ports.contains(&place.port) || used + takes <= millionths(pool.max_w)
                });
            let mut tiers = tiers.clone();
            tiers[place.port] = Some(millionths(*tier_w));
            pools_hold && (removed == Some(LimitedBy::Combination) || lines_allow(&charger, &tiers))
        })
        .filter_map(|(_, contract)| hours_to_full(device, contract.inlet_w))
        .map(millionths)
        .min()
}

/// The watts that pools and governing lines leave to a port beside the others: one
/// number for each line that may govern.
fn room_left(charger: &ChargerSpec, port: usize, used: &[i64], tiers: &[Option<i64>]) -> Vec<f64> {
    let in_pools = charger
        .pools
        .iter()
        .zip(used)
        .filter(|(pool, _)| pool.ports.contains(&port))
        .map(|(pool, used)| millionths(pool.max_w) - used)
        .min()
        .map_or(f64::INFINITY, from_millionths);
    if charger.lines.is_empty() {
        return vec![in_pools];
    }
    let mut in_use: Vec<bool> = tiers.iter().map(Option::is_some).collect();
    in_use[port] = true;
    governing(charger, &in_use)
        .filter_map(|line| line.watts[port])
        .map(|watts| watts.min(in_pools))
        .collect()
}
