//! Every pair of a longest time and the least watts for it, exactly: for each time one
//! transportation problem between devices and the cables of the bag.

use std::cmp::Reverse;

use crate::assign::transport::{FORBIDDEN, Transport};
use crate::options::Choices;
use crate::setup::Setup;
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
pub(super) fn served(setup: &Setup, choices: &Choices, latest: &[i64]) -> Vec<usize> {
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
    problem.solve();
    let mut served: Vec<usize> = order
        .iter()
        .enumerate()
        .filter(|&(row, _)| problem.transport.group[row].is_some())
        .map(|(_, &d)| d)
        .collect();
    served.sort_unstable();
    served
}

/// The frontier of the `served` devices, each full by its `latest` time: the longest
/// time falls, the watts rise.
pub(super) fn frontier(choices: &Choices, latest: &[i64], served: &[usize]) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    if served.is_empty() {
        return points;
    }
    let mut problem = Problem::of(choices, latest, served);
    let mut limit = i64::MAX;
    loop {
        problem.price_by(limit);
        let Some(watts) = problem.solve() else {
            return points;
        };
        let time = problem.longest(limit);
        match points.last_mut() {
            // The same watts in less time.
            Some(last) if last.watts == watts => last.time = time,
            _ => points.push(Point { time, watts }),
        }
        limit = time - 1;
    }
}

/// One way for a device to use a kind of cable.
#[derive(Debug, Clone, Copy)]
pub(super) struct Way {
    watts: i64,
    pub(super) time: i64,
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
                        choice: index,
                    });
                }
            }
        }
        for ways in &mut ways {
            // Of equals the first choice stays: the lowest tier.
            ways.sort_by_key(|way| (way.watts, way.time));
            let mut fastest = i64::MAX;
            ways.retain(|way| {
                let faster = way.time < fastest;
                fastest = fastest.min(way.time);
                faster
            });
        }
        Self {
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

    pub(super) fn solve(&mut self) -> Option<i64> {
        self.transport.solve(&self.cost, &self.without, &self.seats)
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
