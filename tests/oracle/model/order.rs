//! The order of plans (section 5): a list of levels, of which each is to be as little as
//! the levels before it allow.

use super::near::moves;
use super::options::Choice;
use super::promise::Promise;
use super::rounding::micro;
use super::setup::{Aim, Device, Setup};

/// Where a device is in the listed order of ties: no berth comes last.
pub(crate) type Place = (bool, usize, usize, usize, i64, i64, usize);

/// Everything that plans are compared by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Score {
    /// Devices without a berth of priority 1, 2 and 3.
    pub(crate) unserved: [i64; 3],
    pub(crate) missing: i64,
    /// Of priority 1, 2 and 3, by the aim.
    pub(crate) late: [i64; 3],
    /// When devices of priority 1 and 2 are full, by the aim, longest first.
    pub(crate) times: Vec<i64>,
    /// The same of those of priority 3.
    pub(crate) times_of_3: Vec<i64>,
    /// Devices that are elsewhere than in the plan at hand.
    pub(crate) moves: i64,
    /// Berths that start after the first session.
    pub(crate) swaps: i64,
    /// The weighted sum of hours at best.
    pub(crate) hours: i64,
    pub(crate) watts: i64,
    pub(crate) places: Vec<Place>,
}

impl Score {
    /// Of a plan without anybody.
    pub(crate) fn nothing() -> Self {
        Self {
            unserved: [0; 3],
            missing: 0,
            late: [0; 3],
            times: Vec::new(),
            times_of_3: Vec::new(),
            moves: 0,
            swaps: 0,
            hours: 0,
            watts: 0,
            places: Vec::new(),
        }
    }

    /// Of a whole plan.
    pub(crate) fn of(
        setup: &Setup,
        chosen: &[Option<Choice>],
        promises: &[Option<Promise>],
    ) -> Self {
        let mut score = Self::nothing();
        for (d, device) in setup.devices.iter().enumerate() {
            score.moves += moves(setup, d, chosen[d].as_ref());
            match (&chosen[d], &promises[d]) {
                (Some(choice), Some(promise)) => {
                    let (time, late) = match setup.aim {
                        Aim::Promise => (promise.finish, promise.late),
                        Aim::Best => (choice.stay.finish, choice.late),
                    };
                    score.seat(device, time, late);
                    score.swaps += i64::from(choice.stay.first > 0);
                    score.hours += weight(device) * choice.stay.finish;
                    score.watts += choice.held;
                }
                _ if device.needs_berth() => score.leave(device),
                _ => {}
            }
        }
        score.longest_first();
        score.places = chosen.iter().map(|choice| place(choice.as_ref())).collect();
        score
    }

    pub(crate) fn seat(&mut self, device: &Device, time: i64, late: bool) {
        self.late[rank(device)] += i64::from(late);
        match device.priority {
            3 => self.times_of_3.push(time),
            _ => self.times.push(time),
        }
    }

    pub(crate) fn leave(&mut self, device: &Device) {
        self.unserved[rank(device)] += 1;
        self.missing += micro(device.missing_wh());
    }

    pub(crate) fn longest_first(&mut self) {
        self.times.sort_unstable_by(|a, b| b.cmp(a));
        self.times_of_3.sort_unstable_by(|a, b| b.cmp(a));
    }

    /// The levels, from the first to the last, the less the better. Plans that leave other
    /// devices without a berth have shorter lists, which the first levels tell apart.
    pub(crate) fn levels(&self, setup: &Setup) -> Vec<i64> {
        let (of_1_and_2, of_3) = numbers_of_devices(setup);
        let mut levels = Vec::new();
        levels.extend(self.unserved);
        levels.push(self.missing);
        levels.extend(self.late);
        let padded = |times: &[i64], to: usize| {
            let mut times = times.to_vec();
            times.resize(to, -1);
            times
        };
        levels.extend(padded(&self.times, of_1_and_2));
        levels.extend(padded(&self.times_of_3, of_3));
        levels.extend([self.moves, self.swaps, self.hours, self.watts]);
        levels
    }
}

/// The first two levels, and the longest time of all; what follows is of no matter.
pub(crate) fn levels_to_longest(score: &Score, _: &Setup) -> Vec<i64> {
    let mut levels = Vec::new();
    levels.extend(score.unserved);
    levels.push(score.missing);
    levels.extend(score.late);
    let times = score.times.iter().chain(&score.times_of_3);
    levels.push(times.copied().max().unwrap_or(0));
    levels.push(0);
    levels
}

/// By how much each level may exceed its least: the tolerance for times, else nothing.
pub(crate) fn slack(setup: &Setup) -> Vec<i64> {
    let (of_1_and_2, of_3) = numbers_of_devices(setup);
    let mut slack = vec![0; 7];
    slack.resize(7 + of_1_and_2 + of_3, setup.tolerance);
    slack.resize(7 + of_1_and_2 + of_3 + AFTER_TIMES, 0);
    slack
}

/// Moves, swaps, hours and watts.
const AFTER_TIMES: usize = 4;

/// The number of levels up to the times, and with them.
pub(crate) fn times_end(setup: &Setup) -> usize {
    slack(setup).len() - AFTER_TIMES
}

/// The best of whole plans, as the page says it: level by level only those plans stay that
/// are within its slack of its least; of what is left, the first in the listed order.
pub(crate) fn best_of<T>(setup: &Setup, plans: Vec<(Score, T)>) -> (Score, T) {
    best_with_least(setup, plans).1
}

/// The same with the least of each level.
pub(crate) fn best_with_least<T>(
    setup: &Setup,
    mut plans: Vec<(Score, T)>,
) -> (Vec<i64>, (Score, T)) {
    let mut all_least = Vec::new();
    for (level, slack) in slack(setup).into_iter().enumerate() {
        let least = plans
            .iter()
            .map(|(score, _)| score.levels(setup)[level])
            .min();
        let least = least.expect("to berth nobody is a plan");
        plans.retain(|(score, _)| score.levels(setup)[level] <= least + slack);
        all_least.push(least);
    }
    let first = plans
        .into_iter()
        .min_by(|a, b| a.0.places.cmp(&b.0.places))
        .expect("the least of a level is kept");
    (all_least, first)
}

fn numbers_of_devices(setup: &Setup) -> (usize, usize) {
    let of_3 = setup.devices.iter().filter(|d| d.priority == 3).count();
    (setup.devices.len() - of_3, of_3)
}

pub(crate) fn rank(device: &Device) -> usize {
    usize::try_from(device.priority - 1).expect("1, 2 or 3")
}

/// How often the hours of a device count.
pub(crate) fn weight(device: &Device) -> i64 {
    [4, 2, 1][rank(device)]
}

pub(crate) fn place(choice: Option<&Choice>) -> Place {
    choice.map_or((true, 0, 0, 0, 0, 0, 0), |x| {
        (
            false,
            x.charger,
            x.port,
            x.cable,
            micro(x.contract.volts),
            micro(x.contract.amps),
            x.stay.first,
        )
    })
}
