//! How a node is split in two: one device takes some of its columns, or neither it nor
//! any device that is still like it in all but name does.
//!
//! Two devices whose open ways take the same from every row at the same ports can trade
//! places in any assignment, whatever else sets them apart, so if any of them takes one of
//! the ways, it may as well be the first. The other half then rules the ways out for all
//! of them at once, and no such device is ever looked at in another's place.

use super::goal::Goal;
use super::model::small;
use crate::solve::subproblem::{NodeDomains, Subproblem};

/// A device, and what it takes in the first half.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Split {
    pub(crate) device: usize,
    /// Places in the list of its open ways.
    pub(crate) part: Vec<usize>,
}

impl Split {
    /// The split of a node, or `None` where every device has one way left. `share` says
    /// how often the bound took a way.
    pub(crate) fn of(
        subproblem: &Subproblem<'_>,
        live: &NodeDomains,
        share: &dyn Fn(u32) -> f64,
    ) -> Option<Self> {
        Self::by_goal(subproblem, live).or_else(|| Self::by_place(subproblem, live, share))
    }

    /// What the cost depends on is decided first.
    pub(crate) fn by_goal(subproblem: &Subproblem<'_>, live: &NodeDomains) -> Option<Self> {
        let model = subproblem.model;
        let column = |way: u32| subproblem.way(way).column;
        let undecided = live.each().filter(|(_, ways)| ways.len() > 1);
        match subproblem.goal {
            Goal::LateOf(rank) => undecided.into_iter().find_map(|(device, ways)| {
                if model.rank[device] != rank {
                    return None;
                }
                let on_time = |&way: &u32| column(way).is_none_or(|c| !model.column(c).late);
                let some = ways.iter().any(on_time) && !ways.iter().all(on_time);
                some.then(|| Self::of_ways(device, ways, |way| on_time(&way)))
            }),
            goal => undecided
                .filter(|(_, ways)| ways.iter().any(|&way| column(way).is_none()))
                .max_by_key(|&(device, _)| {
                    let weight = match goal {
                        Goal::Unserved | Goal::UnservedOf(_) => goal.of_none(model, device),
                        _ => model.missing[device],
                    };
                    (weight, std::cmp::Reverse(device))
                })
                .map(|(device, ways)| Self::of_ways(device, ways, |way| column(way).is_none())),
        }
    }

    /// A device that the bound was most undecided about: the port that it had most
    /// often; where it is decided on a port, the cable; then what takes less.
    fn by_place(
        subproblem: &Subproblem<'_>,
        live: &NodeDomains,
        share: &dyn Fn(u32) -> f64,
    ) -> Option<Self> {
        let model = subproblem.model;
        let of_column = |way: u32, f: &dyn Fn(u32) -> i64| subproblem.way(way).column.map_or(-1, f);
        let slow = |w: u32| small(subproblem.way(w).slow);
        let first = |w: u32| of_column(w, &|c| small(model.column(c).first));
        let rows = |w: u32| of_column(w, &|c| i64::from(model.row_signature(c)));
        let takes = |w: u32| of_column(w, &|c| model.column(c).takes);
        let hours = |w: u32| of_column(w, &|c| model.column(c).hours);
        let cable = |w: u32| of_column(w, &|c| small(model.column(c).cable));
        let port = |w: u32| of_column(w, &|c| small(model.column(c).port));
        // A sum over all devices is moved by what is taken and how well; from which pool and by
        // which of two equal cables, hardly.
        let keys: [&dyn Fn(u32) -> i64; 7] = match subproblem.goal {
            Goal::Hours | Goal::Watts => [&slow, &first, &takes, &hours, &rows, &cable, &port],
            _ => [&slow, &first, &rows, &takes, &cable, &port, &hours],
        };
        if let Some(split) = Self::by_keys(live, share, &keys) {
            return Some(split);
        }
        let (device, ways) = live.each().find(|(_, ways)| ways.len() > 1)?;
        Some(Self::of_ways(device, ways, |way| way == ways[0]))
    }

    /// By the first of the keys in which some device is undecided.
    fn by_keys(
        live: &NodeDomains,
        share: &dyn Fn(u32) -> f64,
        keys: &[&dyn Fn(u32) -> i64],
    ) -> Option<Self> {
        keys.iter().find_map(|key| {
            let mut best: Option<(f64, usize, i64)> = None;
            for (device, ways) in live.each() {
                let Some((most, rest, value)) = most_often(ways, share, key) else {
                    continue;
                };
                let undecided = if most <= 0.0 {
                    f64::INFINITY
                } else {
                    rest / most
                };
                if best.is_none_or(|(least, ..)| undecided > least) {
                    best = Some((undecided, device, value));
                }
            }
            best.map(|(_, device, value)| {
                Self::of_ways(device, live.of(device), |way| key(way) == value)
            })
        })
    }

    fn of_ways(device: usize, ways: &[u32], taken: impl Fn(u32) -> bool) -> Self {
        let part = (0..ways.len()).filter(|&at| taken(ways[at])).collect();
        Self { device, part }
    }

    /// The first half: the device takes its part.
    pub(crate) fn take(&self, live: &mut NodeDomains) {
        self.keep(live, &[self.device], true);
    }

    /// The second half: no device like it does.
    pub(crate) fn leave(&self, subproblem: &Subproblem<'_>, live: &mut NodeDomains) {
        self.deny(live, &self.alike(subproblem, live));
    }

    /// The second half, for these of the devices that are alike.
    pub(crate) fn deny(&self, live: &mut NodeDomains, devices: &[usize]) {
        self.keep(live, devices, false);
    }

    /// The device and those that can trade places with it.
    pub(crate) fn alike(&self, subproblem: &Subproblem<'_>, live: &NodeDomains) -> Vec<usize> {
        let own = live.of(self.device);
        live.each()
            .filter(|(_, ways)| Self::interchangeable(subproblem, own, ways))
            .map(|(device, _)| device)
            .collect()
    }

    /// Keeps of the devices' ways those of the part, or those outside of it.
    fn keep(&self, live: &mut NodeDomains, devices: &[usize], part: bool) {
        let mut of_device = usize::MAX;
        let mut at = 0;
        live.retain(|device, _| {
            at = if device == of_device { at + 1 } else { 0 };
            of_device = device;
            !devices.contains(&device) || self.part.contains(&at) == part
        });
    }

    /// Whether two devices' open ways are at the same ports, take the same, and ask the same of
    /// others.
    fn interchangeable(subproblem: &Subproblem<'_>, own: &[u32], ways: &[u32]) -> bool {
        let model = subproblem.model;
        let asks = |column: u32| {
            let key = model.dominance_key(column);
            (key.tier, key.needs, key.load, key.slack)
        };
        let same = |(&a, &b): (&u32, &u32)| {
            let (one, other) = (subproblem.way(a), subproblem.way(b));
            one.port == other.port
                && one.column.map(asks) == other.column.map(asks)
                && subproblem.takes(a) == subproblem.takes(b)
        };
        own.len() == ways.len() && own.iter().zip(ways).all(same)
    }
}

/// Of a device with several values of the key open: the larger of the shares that the ways of
/// one value and the rest had, the other one, and the value that was taken most often.
fn most_often(
    ways: &[u32],
    share: &dyn Fn(u32) -> f64,
    key: &dyn Fn(u32) -> i64,
) -> Option<(f64, f64, i64)> {
    if ways.len() < 2 {
        return None;
    }
    let mut shares: Vec<(i64, f64)> = Vec::new();
    for &way in ways {
        let value = key(way);
        match shares.iter_mut().find(|(known, _)| *known == value) {
            Some((_, sum)) => *sum += share(way),
            None => shares.push((value, share(way))),
        }
    }
    if shares.len() < 2 {
        return None;
    }
    let total: f64 = shares.iter().map(|(_, share)| share).sum();
    let (value, most) = shares
        .into_iter()
        .reduce(|best, next| if next.1 > best.1 { next } else { best })?;
    Some((most, total - most, value))
}
