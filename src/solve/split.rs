//! How a node is split in two: one device takes some of its choices, or neither it nor
//! any device that is still like it in all but name does.
//!
//! Two devices whose open ways take the same from every row at the same ports can trade
//! places in any seating, whatever else sets them apart, so if any of them takes one of
//! the ways, it may as well be the first. The other half then rules the ways out for all
//! of them at once, and no such device is ever looked at in another's place.

use super::goal::Goal;
use super::model::small;
use super::program::{Live, Program};

/// A device, and what it takes in the first half.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Split {
    device: usize,
    /// Places in the list of its open ways.
    part: Vec<usize>,
}

impl Split {
    /// The split of a node, or `None` where every device has one way left. `share` says
    /// how often the bound took a way.
    pub(crate) fn of(
        program: &Program<'_>,
        live: &Live,
        share: &dyn Fn(u32) -> f64,
    ) -> Option<Self> {
        Self::by_goal(program, live).or_else(|| Self::by_place(program, live, share))
    }

    /// What the cost depends on is decided first.
    fn by_goal(program: &Program<'_>, live: &Live) -> Option<Self> {
        let model = program.model;
        let choice = |way: u32| program.way(way).choice;
        let undecided = live.each().filter(|(_, ways)| ways.len() > 1);
        match program.goal {
            Goal::Late => undecided.into_iter().find_map(|(device, ways)| {
                let on_time = |&way: &u32| choice(way).is_none_or(|c| !model.choice(c).late);
                let some = ways.iter().any(on_time) && !ways.iter().all(on_time);
                some.then(|| Self::of_ways(device, ways, |way| on_time(&way)))
            }),
            goal => undecided
                .filter(|(_, ways)| ways.iter().any(|&way| choice(way).is_none()))
                .max_by_key(|&(device, _)| {
                    let weight = match goal {
                        Goal::Unserved | Goal::UnservedOf(_) => goal.of_none(model, device),
                        _ => model.missing[device],
                    };
                    (weight, std::cmp::Reverse(device))
                })
                .map(|(device, ways)| Self::of_ways(device, ways, |way| choice(way).is_none())),
        }
    }

    /// A device that the bound was most undecided about: the port that it had most
    /// often; where it is decided on a port, the cable; then what takes less.
    fn by_place(program: &Program<'_>, live: &Live, share: &dyn Fn(u32) -> f64) -> Option<Self> {
        let model = program.model;
        let of_choice = |way: u32, f: &dyn Fn(u32) -> i64| program.way(way).choice.map_or(-1, f);
        let keys: [&dyn Fn(u32) -> i64; 6] = [
            &|w| small(program.way(w).slow),
            &|w| of_choice(w, &|c| small(model.choice(c).first)),
            &|w| of_choice(w, &|c| i64::from(model.bank(c))),
            &|w| of_choice(w, &|c| model.choice(c).takes),
            &|w| of_choice(w, &|c| small(model.choice(c).cable)),
            &|w| of_choice(w, &|c| small(model.choice(c).port)),
        ];
        for key in keys {
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
            if let Some((_, device, value)) = best {
                return Some(Self::of_ways(device, live.of(device), |way| {
                    key(way) == value
                }));
            }
        }
        let (device, ways) = live.each().find(|(_, ways)| ways.len() > 1)?;
        Some(Self::of_ways(device, ways, |way| way == ways[0]))
    }

    fn of_ways(device: usize, ways: &[u32], taken: impl Fn(u32) -> bool) -> Self {
        let part = (0..ways.len()).filter(|&at| taken(ways[at])).collect();
        Self { device, part }
    }

    /// The first half: the device takes its part.
    pub(crate) fn take(&self, live: &mut Live) {
        self.keep(live, &[self.device], true);
    }

    /// The second half: no device like it does.
    pub(crate) fn leave(&self, program: &Program<'_>, live: &mut Live) {
        let own = live.of(self.device);
        let alike: Vec<usize> = live
            .each()
            .filter(|(_, ways)| Self::interchangeable(program, own, ways))
            .map(|(device, _)| device)
            .collect();
        self.keep(live, &alike, false);
    }

    /// Keeps of the devices' ways those of the part, or those outside of it.
    fn keep(&self, live: &mut Live, devices: &[usize], part: bool) {
        let mut of_device = usize::MAX;
        let mut at = 0;
        live.retain(|device, _| {
            at = if device == of_device { at + 1 } else { 0 };
            of_device = device;
            !devices.contains(&device) || self.part.contains(&at) == part
        });
    }

    /// Whether two devices' open ways are at the same ports and take the same.
    fn interchangeable(program: &Program<'_>, own: &[u32], ways: &[u32]) -> bool {
        let same = |(&a, &b): (&u32, &u32)| {
            let (one, other) = (program.way(a), program.way(b));
            one.choice.is_some() == other.choice.is_some()
                && one.port == other.port
                && program.takes(a) == program.takes(b)
        };
        own.len() == ways.len() && own.iter().zip(ways).all(same)
    }
}

/// Of a device with several values of the key open: the share of the one it had most
/// often, that of all others, and which it is.
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
