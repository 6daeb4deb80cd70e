//! Of all solutions with the least watts the one that the plan's order prefers: the
//! sorted times, longest first, of priority 1 and 2, then of 3; the hours at best; then device
//! by device the cable listed first.
//!
//! The solutions of a transportation problem with the least cost are those that use only
//! pairs whose reduced cost is 0 and fill every kind of cable whose price is below 0.
//! So each question that is settled closes pairs and marks kinds as to be filled, and
//! the next one is a transportation problem over what is left, with small prices.

use super::frontier::{Point, Problem};
use crate::assign::options::{Choice, Choices};
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::goal::{HOURS_COUNT, class};
use crate::solve::transport::FORBIDDEN;

/// A device with its choice and the index of its cable.
pub(super) type Seat<'a> = (&'a Choice, usize);

/// The best solution at `point` for `devices`, each full by its `latest` time, in the
/// order of `devices`; `None` where there is none with the point's watts.
pub(super) fn best<'a>(
    setup: &Setup,
    choices: &'a Choices,
    latest: &[i64],
    devices: &[usize],
    point: Point,
    budget: &mut Budget,
) -> Option<(Vec<Seat<'a>>, bool)> {
    let mut problem = Problem::of(choices, latest, devices);
    problem.price_by(point.time);
    if problem.solve(budget)? != point.watts {
        return None;
    }
    let rank = |&device: &usize| usize::from(setup.devices[device].priority.clamp(1, 3)) - 1;
    let ranks = devices.iter().map(rank).collect();
    let mut settling = Settling::of(problem, ranks, point.time, budget);
    for of_class in [0, 1] {
        settling.settle_times(of_class)?;
    }
    settling.settle_hours()?;
    let listed: Vec<Vec<usize>> = choices
        .cables
        .iter()
        .map(|kind| {
            let each = |&cable: &usize| {
                let count = setup.cables[cable].count as usize;
                std::iter::repeat_n(cable, count.min(devices.len()))
            };
            kind.cables.iter().flat_map(each).collect()
        })
        .collect();
    let seats = settling.settle_cables(&listed)?;
    let seats: Option<Vec<Seat<'_>>> = seats
        .into_iter()
        .zip(devices)
        .enumerate()
        .map(|(row, ((kind, cable), &device))| {
            let way = settling.problem.way(row, kind, point.time)?;
            Some((&choices.by_device[device][way.choice], cable))
        })
        .collect();
    Some((seats?, settling.all_settled))
}

/// What is open while one question after the other is settled.
struct Settling<'a> {
    problem: Problem,
    devices: usize,
    kinds: usize,
    /// By device, from 0.
    ranks: Vec<usize>,
    /// By device and kind: the time to full; `None` where the pair is closed.
    open: Vec<Option<i64>>,
    /// By device and kind, as far as the pair is open: the hours at best, as often as the
    /// device counts.
    hours: Vec<i64>,
    /// By kind, whether all of it is in use in every solution that is left.
    full: Vec<bool>,
    /// A solution that is left: the kind by device.
    now: Vec<usize>,
    budget: &'a mut Budget,
    /// Whether every question was asked.
    all_settled: bool,
}

impl<'a> Settling<'a> {
    /// What is left where the watts are the least: `problem` was solved for them.
    fn of(problem: Problem, ranks: Vec<usize>, limit: i64, budget: &'a mut Budget) -> Self {
        let (devices, kinds) = (problem.devices(), problem.kinds());
        let way = |at: usize| problem.way(at / kinds, at % kinds, limit);
        let hours = |at: usize| {
            let best = way(at).map_or(0, |way| way.best);
            best.saturating_mul(HOURS_COUNT[ranks[at / kinds]])
        };
        let mut settling = Self {
            devices,
            kinds,
            open: (0..devices * kinds).map(|at| Some(way(at)?.time)).collect(),
            hours: (0..devices * kinds).map(hours).collect(),
            ranks,
            full: vec![false; kinds],
            now: Vec::new(),
            budget,
            all_settled: true,
            problem,
        };
        settling.keep_solutions();
        settling
    }

    /// Closes what no solution as good as the last one has.
    fn keep_solutions(&mut self) {
        let (u, v) = (&self.problem.transport.u, &self.problem.transport.v);
        for (at, open) in self.open.iter_mut().enumerate() {
            if self.problem.cost[at] != u[at / self.kinds] + v[at % self.kinds] {
                *open = None;
            }
        }
        for (full, &price) in self.full.iter_mut().zip(v) {
            *full |= price < 0;
        }
        self.remember();
    }

    fn remember(&mut self) {
        self.now = self
            .problem
            .transport
            .group
            .iter()
            .copied()
            .flatten()
            .collect();
    }

    /// The fewest devices with a price, where each open pair has the price 0 or 1 and all
    /// that is to be filled is; `None` where no solution is left.
    fn fewest(&mut self, priced: impl Fn(usize, i64) -> Option<bool>) -> Option<i64> {
        self.least(1, |at, time| priced(at, time).map(i64::from))
    }

    /// The least sum of prices, each from 0 to `most`, where all that is to be filled is;
    /// `None` where no solution is left.
    fn least(&mut self, most: i64, priced: impl Fn(usize, i64) -> Option<i64>) -> Option<i64> {
        // More than all prices together: filling comes first.
        let filling = i64::try_from(self.devices).ok()? * most + 1;
        let mut to_fill = 0;
        for (full, &seats) in self.full.iter().zip(&self.problem.seats) {
            if *full {
                to_fill += filling * i64::try_from(seats).ok()?;
            }
        }
        for (at, open) in self.open.iter().enumerate() {
            let price = open.and_then(|time| priced(at, time));
            self.problem.cost[at] = match price {
                Some(price) if self.full[at % self.kinds] => price - filling,
                Some(price) => price,
                None => FORBIDDEN,
            };
        }
        let least = self.problem.solve(self.budget)? + to_fill;
        (least < filling).then_some(least)
    }

    /// The fewest devices of a class that take longer than `time`.
    fn fewest_later_than(&mut self, of_class: usize, time: i64) -> Option<i64> {
        let (kinds, ranks) = (self.kinds, self.ranks.clone());
        self.fewest(|at, t| Some(class(ranks[at / kinds]) == of_class && t > time))
    }

    /// Settles how many devices of a class take longer than `time`: as few as can be.
    fn settle_later_than(&mut self, of_class: usize, time: i64) -> Option<i64> {
        let fewest = self.fewest_later_than(of_class, time)?;
        self.keep_solutions();
        Some(fewest)
    }

    /// Whether what is at hand has to do, since a limit struck.
    fn is_spent(&mut self) -> bool {
        let spent = self.budget.is_spent();
        self.all_settled &= !spent;
        spent
    }

    fn settle_times(&mut self, of_class: usize) -> Option<()> {
        let is_of_class = |rank: &usize| class(*rank) == of_class;
        let number = self.ranks.iter().filter(|rank| is_of_class(rank)).count();
        let all = i64::try_from(number).ok()?;
        let mut settled = 0;
        let mut below = i64::MAX;
        while settled < all {
            if self.is_spent() {
                return Some(());
            }
            let open = self.open.iter().enumerate();
            let mut times: Vec<i64> = open
                .filter(|(at, _)| is_of_class(&self.ranks[at / self.kinds]))
                .filter_map(|(_, time)| time.filter(|&time| time < below))
                .collect();
            times.sort_unstable();
            times.dedup();
            // The least time that no more than those settled exceed. All are full by the
            // last of the list, or settled.
            let (mut low, mut high) = (0, times.len().checked_sub(1)?);
            while low < high {
                if self.is_spent() {
                    return Some(());
                }
                let middle = usize::midpoint(low, high);
                if self.fewest_later_than(of_class, times[middle])? <= settled {
                    high = middle;
                } else {
                    low = middle + 1;
                }
            }
            self.settle_later_than(of_class, times[low])?;
            // Of those that stay, as few as can be have this time.
            below = times[low];
            settled = self.settle_later_than(of_class, below - 1)?;
        }
        Some(())
    }

    /// Settles the sum of the hours at best: as little as can be.
    fn settle_hours(&mut self) -> Option<()> {
        if self.is_spent() {
            return Some(());
        }
        // Far from what stands for not allowed, however many are moved for one; no night has
        // so many hours.
        let devices = i64::try_from(self.devices).ok()?;
        let most = FORBIDDEN / (16 * (devices + 1) * (devices + 1));
        let hours = self.hours.clone();
        self.least(most, |at, _| Some(hours[at].min(most)))?;
        self.keep_solutions();
        Some(())
    }

    /// By device the kind and the cable, the earliest that is left to it; `listed` has
    /// the cables of each kind, each as often as there are of it.
    fn settle_cables(&mut self, listed: &[Vec<usize>]) -> Option<Vec<(usize, usize)>> {
        let mut taken = vec![0; self.kinds];
        let mut seats = Vec::with_capacity(self.devices);
        for row in 0..self.devices {
            let kinds = row * self.kinds..(row + 1) * self.kinds;
            let mut offered: Vec<(usize, usize)> = self.open[kinds]
                .iter()
                .enumerate()
                .filter(|(_, open)| open.is_some())
                .filter_map(|(kind, _)| Some((*listed[kind].get(taken[kind])?, kind)))
                .collect();
            offered.sort_unstable();
            let (cable, kind) = offered.into_iter().find(|&(_, kind)| {
                self.now[row] == kind || !self.is_spent() && self.can_have(row, kind)
            })?;
            for other in (0..self.kinds).filter(|&other| other != kind) {
                self.open[row * self.kinds + other] = None;
            }
            taken[kind] += 1;
            seats.push((kind, cable));
        }
        Some(seats)
    }

    /// Whether a solution is left in which a device has this kind; it then is the one at
    /// hand.
    fn can_have(&mut self, row: usize, kind: usize) -> bool {
        let (kinds, only) = (self.kinds, row * self.kinds + kind);
        let open = |at: usize, _| (at / kinds != row || at == only).then_some(false);
        let can = self.fewest(open).is_some();
        if can {
            self.remember();
        }
        can
    }
}
