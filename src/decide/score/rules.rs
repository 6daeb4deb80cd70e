//! The rules that berths share (model.md, section 5), each that is broken with its
//! numbers.

use std::collections::BTreeMap;

use super::broken::Broken;
use super::seats::Seat;
use crate::plan::shared::{governing, taken};
use crate::setup::ids::{ChargerId, DeviceId};
use crate::setup::{LineSpec, Setup};
use crate::units::{from_millionths, millionths, rounded};

/// Notes every shared rule that the seats break.
pub(super) fn check(setup: &Setup, seats: &[Seat], broken: &mut Vec<Broken>) {
    devices(setup, seats, broken);
    ports(setup, seats, broken);
    cables(setup, seats, broken);
    pins(setup, seats, broken);
    for charger in (0..setup.chargers.len()).map(ChargerId) {
        pools(setup, seats, charger, broken);
        combinations(setup, seats, charger, broken);
    }
}

/// The devices by what `of` says of their seats.
fn grouped<K: Ord>(seats: &[Seat], of: impl Fn(&Seat) -> Option<K>) -> BTreeMap<K, Vec<DeviceId>> {
    let mut groups: BTreeMap<K, Vec<DeviceId>> = BTreeMap::new();
    for seat in seats {
        if let Some(key) = of(seat) {
            groups.entry(key).or_default().push(seat.device);
        }
    }
    groups
}

fn devices(setup: &Setup, seats: &[Seat], broken: &mut Vec<Broken>) {
    for (device, berths) in grouped(seats, |seat| Some(seat.device)) {
        if berths.len() > 1 {
            broken.push(Broken::DeviceTwice {
                device: setup.devices[device].name.clone(),
                berths: berths.len(),
            });
        }
    }
}

fn ports(setup: &Setup, seats: &[Seat], broken: &mut Vec<Broken>) {
    for (port, on_it) in grouped(seats, |seat| Some(seat.port)) {
        if on_it.len() > 1 {
            broken.push(Broken::PortTwice {
                charger: setup.chargers[port.charger].name.clone(),
                port: setup[port].name.clone(),
                devices: on_it
                    .iter()
                    .map(|&device| setup.devices[device].name.clone())
                    .collect(),
            });
        }
    }
}

fn cables(setup: &Setup, seats: &[Seat], broken: &mut Vec<Broken>) {
    for (cable, on_it) in grouped(seats, |seat| seat.cable) {
        let cable = &setup.cables[cable];
        if on_it.len() > cable.count as usize {
            broken.push(Broken::TooFewCables {
                cable: cable.name.clone(),
                used: on_it.len(),
                count: cable.count,
            });
        }
    }
}

fn pins(setup: &Setup, seats: &[Seat], broken: &mut Vec<Broken>) {
    for seat in seats {
        let device = &setup.devices[seat.device];
        let here = seat.port;
        if let Some(pin) = device.pinned_port.filter(|pin| *pin != here) {
            broken.push(Broken::PortPin {
                device: device.name.clone(),
                pinned: setup.full_name(pin),
                port: setup.full_name(here),
            });
        }
        if let (Some(pin), Some(cable)) = (device.pinned_cable, seat.cable)
            && pin != cable
        {
            broken.push(Broken::CablePin {
                device: device.name.clone(),
                pinned: setup.cables[pin].name.clone(),
                cable: setup.cables[cable].name.clone(),
            });
        }
    }
}

fn pools(setup: &Setup, seats: &[Seat], charger: ChargerId, broken: &mut Vec<Broken>) {
    let spec = &setup.chargers[charger];
    for pool in &spec.pools {
        let used: i64 = seats
            .iter()
            .filter(|seat| seat.port.charger == charger && pool.ports.contains(&seat.port.index))
            .filter_map(|seat| seat.contract)
            .map(|(tier_w, contract)| taken(spec, tier_w, &contract))
            .sum();
        if used > millionths(pool.max_w) {
            broken.push(Broken::Pool {
                charger: spec.name.clone(),
                pool: pool.name.clone(),
                used_w: from_millionths(used),
                max_w: rounded(pool.max_w),
            });
        }
    }
}

fn combinations(setup: &Setup, seats: &[Seat], charger: ChargerId, broken: &mut Vec<Broken>) {
    let spec = &setup.chargers[charger];
    // The highest tier of each port in use: two devices on one port are a fault of
    // their own.
    let mut tiers: Vec<Option<f64>> = vec![None; spec.ports.len()];
    for seat in seats.iter().filter(|seat| seat.port.charger == charger) {
        if let Some((tier_w, _)) = seat.contract {
            let tier = &mut tiers[seat.port.index];
            *tier = Some(tier.map_or(tier_w, |other| other.max(tier_w)));
        }
    }
    let in_use: Vec<bool> = tiers.iter().map(Option::is_some).collect();
    if spec.lines.is_empty() || !in_use.contains(&true) {
        return;
    }
    let above = |line: &LineSpec| -> Vec<usize> {
        (0..tiers.len())
            .filter(|&port| match (tiers[port], line.watts[port]) {
                (Some(tier_w), Some(max_w)) => millionths(tier_w) > millionths(max_w),
                _ => false,
            })
            .collect()
    };
    let nearest = governing(spec, &in_use).min_by_key(|line| above(line).len());
    let name = |port: usize| spec.ports[port].name.clone();
    let Some(line) = nearest else {
        broken.push(Broken::NoCombination {
            charger: spec.name.clone(),
            ports: (0..tiers.len())
                .filter(|&port| in_use[port])
                .map(name)
                .collect(),
        });
        return;
    };
    for port in above(line) {
        broken.push(Broken::AboveCombination {
            charger: spec.name.clone(),
            port: name(port),
            tier_w: rounded(tiers[port].unwrap_or_default()),
            max_w: rounded(line.watts[port].unwrap_or_default()),
            line_w: (0..line.watts.len())
                .filter_map(|port| Some((name(port), line.watts[port]?)))
                .collect(),
        });
    }
}
