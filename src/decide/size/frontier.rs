//! Every pair of a longest time and the least watts for it, exactly: for each time one
//! transportation problem between devices and the cables of the bag.

use std::cmp::Reverse;

use crate::assign::options::Choices;
use crate::diagnostics::{Error, Result};
use crate::setup::Setup;
use crate::solve::budget::{Budget, steps_for};
use crate::solve::transport::{FORBIDDEN, Transport};
use crate::units::millionths;

/// A longest time in whole 1e-6 h, and the least watts for it in whole 1e-6 W.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Point {
    pub(super) time: i64,
    pub(super) watts: i64,
}

/// The devices that get a cable with which they are full by their `latest` time,
/// ascending.
///
/// Where cables are short, those matter more that stand first by priority, then by
/// watt-hours missing, then as listed. Which sets of devices can have cables together
/// is a matroid (transversal), so taking whoever still fits in that order gives the
/// most of each priority, then the most watt-hours; any prices that fall along the
/// order lead there.
pub(super) fn served(
    setup: &Setup,
    choices: &Choices,
    latest: &[i64],
    budget: &mut Budget,
) -> Vec<usize> {
    let mut order: Vec<usize> = (0..setup.devices.len())
        .filter(|&d| choices.by_device[d].iter().any(|c| c.time <= latest[d]))
        .collect();
    order.sort_by_key(|&d| {
        let device = &setup.devices[d];
        (device.priority, Reverse(millionths(device.missing_wh())), d)
    });
    let mut problem = Problem::of(choices, latest, &order);
    let without: Vec<i64> = (1..).take(order.len()).collect();
    problem.without = without.into_iter().rev().collect();
    problem.free_of_charge(i64::MAX);
    problem.solve(budget);
    let mut served: Vec<usize> = order
        .iter()
        .enumerate()
        .filter(|&(row, _)| problem.transport.group[row].is_some())
        .map(|(_, &d)| d)
        .collect();
    served.sort_unstable();
    served
}

/// What is asked of a size: one pair, and all of them.
pub(super) struct Frontier<'a> {
    problem: Problem,
    budget: &'a mut Budget,
}

impl<'a> Frontier<'a> {
    /// Of the `served` devices, each full by its `latest` time.
    pub(super) fn of(
        choices: &Choices,
        latest: &[i64],
        served: &[usize],
        budget: &'a mut Budget,
    ) -> Self {
        let problem = Problem::of(choices, latest, served);
        Self { problem, budget }
    }

    /// The least watts with which all are full by `limit`, where they can be.
    fn watts_by(&mut self, limit: i64) -> Option<i64> {
        self.problem.price_by(limit);
        self.problem.solve(self.budget)
    }

    /// The pair with the least watts of those that are full by `by`, or, where there is no
    /// such time, the pair with the shortest time. A few questions, asked even where no
    /// steps are left; [`Error::NoPlanInTime`] where the clock or the flag strikes.
    pub(super) fn chosen(&mut self, by: Option<i64>) -> Result<Option<Point>> {
        let times = self.problem.times();
        let at = |index: usize| times.get(index).copied();
        // The first time by which all can be full, and where there is a limit by the time,
        // with no more watts than at that limit.
        let (mut low, mut high) = (0, times.len());
        let mut most = i64::MAX;
        if let Some(by) = by {
            high = times.partition_point(|&time| time <= by);
            let Some(watts) = high
                .checked_sub(1)
                .and_then(at)
                .and_then(|last| self.watts_by(last))
            else {
                return Ok(None);
            };
            most = watts;
        }
        while low < high {
            if self.budget.is_stopped() {
                return Err(Error::NoPlanInTime);
            }
            let middle = usize::midpoint(low, high);
            if self
                .watts_by(times[middle])
                .is_some_and(|watts| watts <= most)
            {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        let point = at(low).and_then(|time| {
            let watts = self.watts_by(time)?;
            Some(Point { time, watts })
        });
        Ok(point)
    }

    /// Every pair, the slowest first, as far as the budget goes; whether these are all.
    pub(super) fn points(&mut self) -> (Vec<Point>, bool) {
        let mut points: Vec<Point> = Vec::new();
        if self.problem.devices() == 0 {
            return (points, true);
        }
        let mut limit = i64::MAX;
        while !self.budget.is_spent() {
            let Some(watts) = self.watts_by(limit) else {
                return (points, true);
            };
            let time = self.problem.longest(limit);
            match points.last_mut() {
                // The same watts in less time.
                Some(last) if last.watts == watts => last.time = time,
                _ => points.push(Point { time, watts }),
            }
            limit = time - 1;
        }
        // The last one may still be had sooner.
        points.pop();
        (points, false)
    }
}

/// One way for a device to use a kind of cable.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way {
    watts: i64,
    pub(super) time: i64,
    /// Time at best, in whole 1e-6 h.
    pub(super) best: i64,
    /// Index into the device's choices.
    pub(super) choice: usize,
}

/// Devices against kinds of cables.
pub(super) struct Problem {
    /// By device and kind of cable: the ways that no other beats, the fewest watts (and
    /// the longest time) first.
    ways: Vec<Vec<Way>>,
    /// How many there are of each kind of cable.
    pub(super) seats: Vec<usize>,
    pub(super) cost: Vec<i64>,
    /// The price of leaving a device without a cable.
    without: Vec<i64>,
    /// What solving it costs of the budget.
    steps: u64,
    pub(super) transport: Transport,
}

impl Problem {
    pub(super) fn of(choices: &Choices, latest: &[i64], devices: &[usize]) -> Self {
        let kinds = choices.cables.len();
        let mut ways = vec![Vec::new(); devices.len() * kinds];
        for (row, &d) in devices.iter().enumerate() {
            for (index, choice) in choices.by_device[d].iter().enumerate() {
                if choice.time <= latest[d] {
                    ways[row * kinds + choice.cable].push(Way {
                        watts: choice.watts,
                        time: choice.time,
                        best: millionths(choice.hours),
                        choice: index,
                    });
                }
            }
        }
        for ways in &mut ways {
            // Of equals the first choice stays: the lowest tier.
            ways.sort_by_key(|way| (way.watts, way.time, way.best));
            let mut fastest = i64::MAX;
            ways.retain(|way| {
                let faster = way.time < fastest;
                fastest = fastest.min(way.time);
                faster
            });
        }
        Self {
            steps: steps_for(devices.len() * devices.len() * kinds),
            cost: vec![FORBIDDEN; ways.len()],
            ways,
            seats: choices
                .cables
                .iter()
                .map(|kind| kind.count as usize)
                .collect(),
            without: vec![FORBIDDEN; devices.len()],
            transport: Transport::default(),
        }
    }

    /// Whatever is full by `limit` costs nothing.
    fn free_of_charge(&mut self, limit: i64) {
        self.price(limit, |_| 0);
    }

    /// Each pair costs the fewest watts with which it is full by `limit`.
    pub(super) fn price_by(&mut self, limit: i64) {
        self.price(limit, |way| way.watts);
    }

    fn price(&mut self, limit: i64, price: fn(&Way) -> i64) {
        for (cost, ways) in self.cost.iter_mut().zip(&self.ways) {
            *cost = first_by(ways, limit).map_or(FORBIDDEN, price);
        }
    }

    pub(super) fn solve(&mut self, budget: &mut Budget) -> Option<i64> {
        budget.spend(self.steps);
        self.transport.solve(&self.cost, &self.without, &self.seats)
    }

    /// Every time by which a device can be full, once, ascending.
    fn times(&self) -> Vec<i64> {
        let mut times: Vec<i64> = self.ways.iter().flatten().map(|way| way.time).collect();
        times.sort_unstable();
        times.dedup();
        times
    }

    pub(super) fn devices(&self) -> usize {
        self.without.len()
    }

    pub(super) fn kinds(&self) -> usize {
        self.seats.len()
    }

    /// The way of a device with a kind of cable that has the fewest watts and is full by
    /// `limit`.
    pub(super) fn way(&self, row: usize, kind: usize, limit: i64) -> Option<&Way> {
        first_by(&self.ways[row * self.kinds() + kind], limit)
    }

    /// The longest time of the solution found under `limit`.
    fn longest(&self, limit: i64) -> i64 {
        let groups = self.transport.group.iter().enumerate();
        groups
            .filter_map(|(row, kind)| self.way(row, (*kind)?, limit))
            .map(|way| way.time)
            .max()
            .unwrap_or(0)
    }
}

/// The way with the fewest watts that is full by `limit`.
fn first_by(ways: &[Way], limit: i64) -> Option<&Way> {
    ways.get(ways.partition_point(|way| way.time > limit))
}
