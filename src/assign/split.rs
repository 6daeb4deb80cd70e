//! How a node is split in two: one device takes some of its choices, or neither it nor
//! any device that is still like it in all but name does.
//!
//! Two devices that differ in name only and have the same choices open can trade places
//! in any seating, so if any of them takes one of the choices, it may as well be the
//! first. The other half then rules the choices out for all of them at once, and no
//! equal device is ever looked at in another's place.

use super::goal::{Goal, Limits, Open};
use super::model::{Model, small};

/// A device, and what it takes in the first half.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Split {
    device: usize,
    part: Part,
}

#[derive(Debug, PartialEq, Eq)]
enum Part {
    /// No berth.
    Stay,
    /// One of these choices, counted from the first of the device's.
    Choices(Vec<u32>),
}

impl Split {
    /// The split of a node, or `None` where every device has one way left. `hint` is the
    /// seating that the bound came to.
    pub(super) fn of(
        model: &Model,
        goal: Goal,
        limits: &Limits,
        open: &Open,
        share: &dyn Fn(u32) -> f64,
    ) -> Option<Self> {
        Self::by_goal(model, goal, open).or_else(|| Self::by_place(model, limits, open, share))
    }

    /// What the cost depends on is decided first.
    fn by_goal(model: &Model, goal: Goal, open: &Open) -> Option<Self> {
        match goal {
            Goal::Unserved | Goal::Missing => (0..model.len())
                .filter(|&d| open.may_stay[d] && !open.choices[d].is_empty())
                .max_by_key(|&d| (goal.of_none(model, d), std::cmp::Reverse(d)))
                .map(|device| Self {
                    device,
                    part: Part::Stay,
                }),
            Goal::Late => (0..model.len()).find_map(|device| {
                let on_time = |&c: &u32| !model.choice(c).late;
                let choices = &open.choices[device];
                let some = choices.iter().any(on_time) && !choices.iter().all(on_time);
                some.then(|| Self::choices(model, device, choices.iter().copied().filter(on_time)))
            }),
            Goal::Any | Goal::Watts => (0..model.len())
                .filter(|&d| open.may_stay[d] && !open.choices[d].is_empty())
                .max_by_key(|&d| (model.missing[d], std::cmp::Reverse(d)))
                .map(|device| Self {
                    device,
                    part: Part::Stay,
                }),
        }
    }

    /// A device that the bound was most undecided about: the port that it had most
    /// often; where it is decided on a port, the cable; then what takes less.
    fn by_place(
        model: &Model,
        limits: &Limits,
        open: &Open,
        share: &dyn Fn(u32) -> f64,
    ) -> Option<Self> {
        let slow = |c: u32| {
            limits
                .later
                .iter()
                .filter(|(t, _)| model.choice(c).time > *t)
                .count()
        };
        let keys: [&dyn Fn(u32) -> i64; 5] = [
            &|c| small(slow(c)),
            &|c| i64::from(model.bank(c)),
            &|c| model.choice(c).takes,
            &|c| small(model.choice(c).cable),
            &|c| small(model.choice(c).port),
        ];
        for key in keys {
            let mut best: Option<(f64, usize, i64)> = None;
            for device in 0..model.len() {
                let Some((most, rest, value)) = most_often(open, device, share, key) else {
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
                let part = open.choices[device].iter().copied();
                let part = part.filter(|&c| key(c) == value);
                return Some(Self::choices(model, device, part));
            }
        }
        let device = (0..model.len()).find(|&d| open.choices[d].len() > 1)?;
        let first = open.choices[device].first().copied();
        Some(Self::choices(model, device, first.into_iter()))
    }

    fn choices(model: &Model, device: usize, part: impl Iterator<Item = u32>) -> Self {
        let start = model.of_device[device].start;
        Self {
            device,
            part: Part::Choices(part.map(|choice| choice - start).collect()),
        }
    }

    /// The first half: the device takes its part.
    pub(super) fn take(&self, model: &Model, open: &mut Open) {
        match &self.part {
            Part::Stay => open.choices[self.device].clear(),
            Part::Choices(part) => {
                let start = model.of_device[self.device].start;
                open.choices[self.device].retain(|choice| part.contains(&(choice - start)));
                open.may_stay[self.device] = false;
            }
        }
    }

    /// The second half: no device like it does.
    pub(super) fn leave(&self, model: &Model, open: &mut Open) {
        for device in self.alike(model, open) {
            match &self.part {
                Part::Stay => open.may_stay[device] = false,
                Part::Choices(part) => {
                    let start = model.of_device[device].start;
                    open.choices[device].retain(|choice| !part.contains(&(choice - start)));
                }
            }
        }
    }

    /// The devices that differ from it in name only and have the same ways open.
    fn alike(&self, model: &Model, open: &Open) -> Vec<usize> {
        let ways = |device: usize| {
            let start = model.of_device[device].start;
            (
                open.may_stay[device],
                open.choices[device]
                    .iter()
                    .map(move |choice| choice - start),
            )
        };
        let (stay, own) = ways(self.device);
        let same = |&other: &usize| {
            let (may_stay, choices) = ways(other);
            model.twin[other] == model.twin[self.device]
                && may_stay == stay
                && choices.eq(own.clone())
        };
        (0..model.len()).filter(same).collect()
    }
}

/// Of a device with several ports (or cables) open, or with none at all as another way:
/// the share of the one it had most often, that of all others, and which it is.
fn most_often(
    open: &Open,
    device: usize,
    share: &dyn Fn(u32) -> f64,
    key: &dyn Fn(u32) -> i64,
) -> Option<(f64, f64, i64)> {
    let mut shares: Vec<(i64, f64)> = Vec::new();
    for &choice in &open.choices[device] {
        let value = key(choice);
        match shares.iter_mut().find(|(known, _)| *known == value) {
            Some((_, sum)) => *sum += share(choice),
            None => shares.push((value, share(choice))),
        }
    }
    if shares.len() + usize::from(open.may_stay[device]) < 2 {
        return None;
    }
    let total: f64 = shares.iter().map(|(_, share)| share).sum();
    let (value, most) = shares
        .into_iter()
        .reduce(|best, next| if next.1 > best.1 { next } else { best })?;
    Some((most, total - most, value))
}
