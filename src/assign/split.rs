//! How a node is split in two: one device takes some of its choices, or neither it nor
//! any device that is still like it in all but name does.
//!
//! Two devices that differ in name only and have the same choices open can trade places
//! in any seating, so if any of them takes one of the choices, it may as well be the
//! first. The other half then rules the choices out for all of them at once, and no
//! equal device is ever looked at in another's place.

use super::goal::Goal;
use super::model::{Model, small};
use super::program::{Live, Program};

/// A device, and what it takes in the first half.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Split {
    device: usize,
    /// Counted from the first choice of the device; staying is [`STAY`].
    part: Vec<u32>,
}

const STAY: u32 = u32::MAX;

impl Split {
    /// The split of a node, or `None` where every device has one way left. `share` says
    /// how often the bound took a way.
    pub(super) fn of(
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
                some.then(|| Self::ways(program, device, ways.iter().copied().filter(on_time)))
            }),
            goal => undecided
                .filter(|(_, ways)| ways.iter().any(|&way| choice(way).is_none()))
                .max_by_key(|&(device, _)| {
                    let weight = match goal {
                        Goal::Unserved => goal.of_none(model, device),
                        _ => model.missing[device],
                    };
                    (weight, std::cmp::Reverse(device))
                })
                .map(|(device, _)| Self {
                    device,
                    part: vec![STAY],
                }),
        }
    }

    /// A device that the bound was most undecided about: the port that it had most
    /// often; where it is decided on a port, the cable; then what takes less.
    fn by_place(program: &Program<'_>, live: &Live, share: &dyn Fn(u32) -> f64) -> Option<Self> {
        let model = program.model;
        let of_choice = |way: u32, f: &dyn Fn(u32) -> i64| program.way(way).choice.map_or(-1, f);
        let keys: [&dyn Fn(u32) -> i64; 5] = [
            &|w| small(program.way(w).slow),
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
                let part = live.of(device).iter().copied();
                let part = part.filter(|&way| key(way) == value);
                return Some(Self::ways(program, device, part));
            }
        }
        let (device, ways) = live.each().find(|(_, ways)| ways.len() > 1)?;
        let first = ways.first().copied();
        Some(Self::ways(program, device, first.into_iter()))
    }

    fn ways(program: &Program<'_>, device: usize, part: impl Iterator<Item = u32>) -> Self {
        Self {
            device,
            part: part.map(|way| offset(program, device, way)).collect(),
        }
    }

    /// The first half: the device takes its part.
    pub(super) fn take(&self, program: &Program<'_>, live: &mut Live) {
        live.retain(|device, way| {
            device != self.device || self.part.contains(&offset(program, device, way))
        });
    }

    /// The second half: no device like it does.
    pub(super) fn leave(&self, program: &Program<'_>, live: &mut Live) {
        let alike = self.alike(program, live);
        live.retain(|device, way| {
            !alike.contains(&device) || !self.part.contains(&offset(program, device, way))
        });
    }

    /// The devices that differ from it in name only and have the same ways open.
    fn alike(&self, program: &Program<'_>, live: &Live) -> Vec<usize> {
        let model: &Model = program.model;
        let ways = |device: usize| {
            let ways = live.of(device).iter();
            ways.map(move |&way| offset(program, device, way))
        };
        let same = |&other: &usize| {
            model.twin[other] == model.twin[self.device] && ways(other).eq(ways(self.device))
        };
        (0..model.len()).filter(same).collect()
    }
}

/// A way by the place of its choice among those of the device, the same for twins.
fn offset(program: &Program<'_>, device: usize, way: u32) -> u32 {
    let first = program.model.of_device[device].start;
    program
        .way(way)
        .choice
        .map_or(STAY, |choice| choice - first)
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
