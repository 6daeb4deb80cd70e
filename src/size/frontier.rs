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

/// Keeps, of the choices of all devices, those that a solution with the least watts at
/// `point` can have: they are in time, and their reduced cost is 0.
pub(super) fn keep_least(choices: &mut Choices, latest: &[i64], point: Point) {
    let devices: Vec<usize> = (0..choices.by_device.len()).collect();
    let mut problem = Problem::of(choices, latest, &devices);
    problem.price_by(point.time);
    if problem.solve().is_none() {
        return;
    }
    let (u, v) = (&problem.transport.u, &problem.transport.v);
    for (own, (u, latest)) in choices.by_device.iter_mut().zip(u.iter().zip(latest)) {
        let in_time = point.time.min(*latest);
        own.retain(|choice| choice.time <= in_time && choice.watts == u + v[choice.cable]);
    }
}

/// One way for a device to use a kind of cable.
#[derive(Debug, Clone, Copy)]
struct Way {
    watts: i64,
    time: i64,
}

/// Devices against kinds of cables.
struct Problem {
    /// By device and kind of cable: the ways that no other beats, the fewest watts (and
    /// the longest time) first.
    ways: Vec<Vec<Way>>,
    /// How many there are of each kind of cable.
    seats: Vec<usize>,
    cost: Vec<i64>,
    /// The price of leaving a device without a cable.
    without: Vec<i64>,
    transport: Transport,
}

impl Problem {
    fn of(choices: &Choices, latest: &[i64], devices: &[usize]) -> Self {
        let kinds = choices.cables.len();
        let mut ways = vec![Vec::new(); devices.len() * kinds];
        for (row, &d) in devices.iter().enumerate() {
            for choice in &choices.by_device[d] {
                if choice.time <= latest[d] {
                    ways[row * kinds + choice.cable].push(Way {
                        watts: choice.watts,
                        time: choice.time,
                    });
                }
            }
        }
        for ways in &mut ways {
            ways.sort_unstable_by_key(|way| (way.watts, way.time));
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
    fn price_by(&mut self, limit: i64) {
        self.price(limit, |way| way.watts);
    }

    fn price(&mut self, limit: i64, price: fn(&Way) -> i64) {
        for (cost, ways) in self.cost.iter_mut().zip(&self.ways) {
            *cost = first_by(ways, limit).map_or(FORBIDDEN, price);
        }
    }

    fn solve(&mut self) -> Option<i64> {
        self.transport.solve(&self.cost, &self.without, &self.seats)
    }

    /// The longest time of the solution found under `limit`.
    fn longest(&self, limit: i64) -> i64 {
        let kinds = self.seats.len();
        let times = self.transport.group.iter().enumerate();
        times
            .filter_map(|(row, kind)| first_by(&self.ways[row * kinds + (*kind)?], limit))
            .map(|way| way.time)
            .max()
            .unwrap_or(0)
    }
}

/// The way with the fewest watts that is full by `limit`.
fn first_by(ways: &[Way], limit: i64) -> Option<&Way> {
    ways.get(ways.partition_point(|way| way.time > limit))
}
