//! How a node is split in two: one device takes some of its choices, or neither it nor
//! any device that is still like it in all but name does.
//!
//! Two devices that differ in name only and have the same choices open can trade places
//! in any seating, so if any of them takes one of the choices, it may as well be the
//! first. The other half then rules the choices out for all of them at once, and no
//! equal device is ever looked at in another's place.

use super::goal::{Goal, Open};
use super::model::{Model, Seating};

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
    pub(super) fn of(model: &Model, goal: Goal, open: &Open, hint: &Seating) -> Option<Self> {
        Self::by_goal(model, goal, open).or_else(|| Self::by_place(model, open, hint))
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
                let some = choices.iter().any(on_time) && !choices.iter().all(|c| on_time(c));
                some.then(|| {
                    Self::choices(
                        model,
                        device,
                        choices.iter().copied().filter(|c| on_time(c)),
                    )
                })
            }),
            Goal::Any | Goal::Watts => None,
        }
    }

    /// A device with the fewest ways left: those at the port that the hint gives it, or
    /// with its cable, or that take less.
    fn by_place(model: &Model, open: &Open, hint: &Seating) -> Option<Self> {
        let ways = |d: usize| open.choices[d].len() + usize::from(open.may_stay[d]);
        let device = (0..model.len())
            .filter(|&d| ways(d) > 1)
            .min_by_key(|&d| (ways(d), d))?;
        let choices = &open.choices[device];
        let hinted = hint[device].filter(|choice| choices.contains(choice));
        let favourite = model.choice(hinted.or(choices.first().copied())?);
        let proper = |part: &[u32]| {
            !part.is_empty() && (part.len() < choices.len() || open.may_stay[device])
        };
        let some = |keep: &dyn Fn(u32) -> bool| -> Vec<u32> {
            choices.iter().copied().filter(|&c| keep(c)).collect()
        };
        let at_port = some(&|c| model.choice(c).port == favourite.port);
        let with_cable = some(&|c| model.choice(c).cable == favourite.cable);
        let part = [at_port, with_cable]
            .into_iter()
            .find(|part| proper(part))
            .unwrap_or_else(|| {
                let mut by_tier = choices.clone();
                by_tier.sort_by_key(|&c| (model.choice(c).takes, model.choice(c).tier, c));
                by_tier.truncate(choices.len() / 2);
                by_tier
            });
        Some(Self::choices(model, device, part.into_iter()))
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
