//! All plans, compared in the model's order; the best is kept (section 5).

use super::options::{Choice, options_of};
use super::rounding::micro;
use super::rules::{lines_hold, lines_may_hold, no_place_twice, pools_hold};
use super::setup::{Device, Setup};
use super::stay::during;

/// Where a device is in the listed order of ties: no berth comes last.
type Place = (bool, usize, usize, usize, i64, i64, usize);

/// The order of plans: the fields are compared from the first to the last.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Score {
    /// Devices without a berth of priority 1, 2 and 3.
    pub(crate) unserved: [u64; 3],
    pub(crate) missing: i64,
    pub(crate) late: u64,
    /// When devices are full, longest first.
    pub(crate) times: Vec<i64>,
    /// Berths that start after the first session.
    pub(crate) swaps: u64,
    pub(crate) watts: i64,
    pub(crate) places: Vec<Place>,
}

/// The best of all plans: per device its choice.
#[derive(Debug)]
pub(crate) struct Best {
    pub(crate) score: Score,
    pub(crate) chosen: Vec<Option<Choice>>,
    /// How many plans, whole or begun, were looked at.
    pub(crate) visited: u64,
    /// How many whole plans were as good in everything but the listed order.
    pub(crate) ties: u64,
}

/// Looks at every plan of the setup, but for those that are begun worse than the
/// best can be.
pub(crate) fn best_plan(setup: &Setup) -> Best {
    search(setup, true)
}

/// The same, with or without that cut.
pub(crate) fn search(setup: &Setup, prune: bool) -> Best {
    let options: Vec<Vec<Choice>> = setup
        .devices
        .iter()
        .map(|device| {
            let mut options = options_of(setup, device);
            // Only so that good plans come early and the rest is cut sooner.
            options.sort_by(|a, b| a.hours.total_cmp(&b.hours));
            options
        })
        .collect();
    let mut search = Search {
        setup,
        options: &options,
        prune,
        best: None,
        visited: 0,
        ties: 0,
    };
    search.go_on(&mut Vec::new());
    let (score, chosen) = search.best.expect("to berth nobody is a plan");
    Best {
        score,
        chosen,
        visited: search.visited,
        ties: search.ties,
    }
}

struct Search<'a> {
    setup: &'a Setup,
    options: &'a [Vec<Choice>],
    prune: bool,
    best: Option<(Score, Vec<Option<Choice>>)>,
    visited: u64,
    ties: u64,
}

impl Search<'_> {
    /// Decides for the next device, given those before it.
    fn go_on(&mut self, chosen: &mut Vec<Option<Choice>>) {
        self.visited += 1;
        let berths: Vec<Choice> = chosen.iter().flatten().cloned().collect();
        // What is too much now stays too much with more berths.
        let in_every_session = |holds: fn(&Setup, &[Choice]) -> bool| {
            (0..self.setup.sessions.len())
                .all(|session| holds(self.setup, &during(&berths, session)))
        };
        if !in_every_session(no_place_twice)
            || !in_every_session(pools_hold)
            || !in_every_session(lines_may_hold)
        {
            return;
        }
        let whole = chosen.len() == self.setup.devices.len();
        let score = self.at_best(chosen);
        if self.best.as_ref().is_some_and(|(best, _)| score > *best) && (whole || self.prune) {
            if whole && in_every_session(lines_hold) {
                self.count_tie(&score);
            }
            return;
        }
        if !whole {
            let options = self.options;
            for option in &options[chosen.len()] {
                chosen.push(Some(option.clone()));
                self.go_on(chosen);
                chosen.pop();
            }
            chosen.push(None);
            self.go_on(chosen);
            chosen.pop();
        } else if in_every_session(lines_hold) {
            if !self.count_tie(&score) {
                self.ties = 0;
            }
            self.best = Some((score, chosen.clone()));
        }
    }

    /// Counts a whole plan that differs from the best in the listed order alone.
    fn count_tie(&mut self, score: &Score) -> bool {
        let tied = self.best.as_ref().is_some_and(|(best, _)| {
            let listed = best.places.clone();
            Score {
                places: listed,
                ..score.clone()
            } == *best
        });
        self.ties += u64::from(tied);
        tied
    }

    /// The score of a plan; where devices are still to come, the score that it would
    /// have if each of them got the best of what the others leave in each respect,
    /// whoever else wants it, and those who must stay were the best to stay in each
    /// respect: no way to go on is better.
    fn at_best(&self, chosen: &[Option<Choice>]) -> Score {
        let mut score = Score {
            unserved: [0; 3],
            missing: 0,
            late: 0,
            times: Vec::new(),
            swaps: 0,
            watts: 0,
            places: chosen.iter().map(|choice| place(choice.as_ref())).collect(),
        };
        let berths: Vec<&Choice> = chosen.iter().flatten().collect();
        let mut to_come: Vec<AtBest> = Vec::new();
        for (d, device) in self.setup.devices.iter().enumerate() {
            let at_best = if let Some(choice) = chosen.get(d) {
                AtBest::of(device, choice.iter())
            } else {
                let left = self.options[d].iter();
                AtBest::of(device, left.filter(|option| self.is_left(&berths, option)))
            };
            match at_best {
                Some(at_best) if d < chosen.len() => score.seat(&[at_best]),
                Some(at_best) => to_come.push(at_best),
                None if device.needs_berth() => score.leave(rank(device), device),
                None => {}
            }
        }
        let ports: usize = self.setup.chargers.iter().map(|c| c.ports.len()).sum();
        let taken = |berth: &&Choice| berth.stay.last - berth.stay.first + 1;
        let taken: usize = berths.iter().map(taken).sum();
        let left = ports * self.setup.sessions.len() - taken;
        let must_stay = to_come.len().saturating_sub(left);
        score.leave_least(&to_come, must_stay);
        score.seat_best(to_come, must_stay);
        score.times.sort_unstable_by(|a, b| b.cmp(a));
        score
    }

    /// Whether an option's port and cable are left by those who have a berth.
    fn is_left(&self, berths: &[&Choice], option: &Choice) -> bool {
        (option.stay.first..=option.stay.last).all(|session| {
            let there = |b: &&&Choice| (b.stay.first..=b.stay.last).contains(&session);
            let of_cable = |b: &&&Choice| b.cable == option.cable;
            let cables = berths.iter().filter(there).filter(of_cable).count() as u64;
            let port_taken = |b: &&Choice| (b.charger, b.port) == (option.charger, option.port);
            cables < self.setup.cables[option.cable].count
                && !berths.iter().filter(there).any(port_taken)
        })
    }
}

/// A device that can sit: the best of its options in each respect.
#[derive(Clone, Copy)]
struct AtBest {
    time: i64,
    swapped: bool,
    watts: i64,
    late: bool,
    rank: usize,
    missing: i64,
}

impl AtBest {
    fn of<'a>(device: &Device, options: impl Iterator<Item = &'a Choice>) -> Option<Self> {
        let options: Vec<&Choice> = options.collect();
        let times = options.iter().map(|option| option.stay.finish);
        let watts = options.iter().map(|option| option.held);
        Some(Self {
            time: times.min()?,
            swapped: options.iter().all(|option| option.stay.first > 0),
            watts: watts.min()?,
            late: options.iter().all(|option| option.late),
            rank: rank(device),
            missing: micro(device.missing_wh()),
        })
    }
}

fn rank(device: &Device) -> usize {
    usize::try_from(device.priority - 1).expect("1, 2 or 3")
}

impl Score {
    fn seat(&mut self, devices: &[AtBest]) {
        for device in devices {
            self.times.push(device.time);
            self.swaps += u64::from(device.swapped);
            self.watts += device.watts;
            self.late += u64::from(device.late);
        }
    }

    fn leave(&mut self, rank: usize, device: &Device) {
        self.unserved[rank] += 1;
        self.missing += micro(device.missing_wh());
    }

    /// So many of the devices stay: those of the lowest priority, and those that miss
    /// the least, whether or not they are the same.
    fn leave_least(&mut self, devices: &[AtBest], stay: usize) {
        let mut ranks: Vec<usize> = devices.iter().map(|device| device.rank).collect();
        ranks.sort_unstable_by(|a, b| b.cmp(a));
        for &rank in &ranks[..stay] {
            self.unserved[rank] += 1;
        }
        let mut missing: Vec<i64> = devices.iter().map(|device| device.missing).collect();
        missing.sort_unstable();
        self.missing += missing[..stay].iter().sum::<i64>();
    }

    /// All sit but so many: the slowest in the times, those of the most watts in the
    /// sum, and the late.
    fn seat_best(&mut self, mut devices: Vec<AtBest>, stay: usize) {
        devices.sort_unstable_by_key(|device| std::cmp::Reverse(device.time));
        self.times
            .extend(devices[stay..].iter().map(|device| device.time));
        devices.sort_unstable_by_key(|device| std::cmp::Reverse(device.swapped));
        let swapped = devices[stay..].iter().filter(|device| device.swapped);
        self.swaps += swapped.count() as u64;
        devices.sort_unstable_by_key(|device| std::cmp::Reverse(device.watts));
        self.watts += devices[stay..]
            .iter()
            .map(|device| device.watts)
            .sum::<i64>();
        devices.sort_unstable_by_key(|device| std::cmp::Reverse(device.late));
        let late = devices[stay..].iter().filter(|device| device.late).count();
        self.late += late as u64;
    }
}

fn place(choice: Option<&Choice>) -> Place {
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
