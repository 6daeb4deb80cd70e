//! Of all solutions with the least watts the one that the plan's order prefers: the
//! sorted times, longest first, then device by device the cable listed first.
//!
//! The solutions of a transportation problem with the least cost are those that use only
//! pairs whose reduced cost is 0 and fill every kind of cable whose price is below 0.
//! So each question that is settled closes pairs and marks kinds as to be filled, and
//! the next one is a transportation problem over what is left, with small prices.

use super::frontier::{Point, Problem};
use crate::assign::options::{Column, Columns};
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::transport::FORBIDDEN;

/// A device with its column and the index of its cable.
pub(super) type Seat<'a> = (&'a Column, usize);

/// The best solution at `point` for `devices`, each full by its `latest` time, in the
/// order of `devices`; `None` where there is none with the point's watts.
pub(super) fn best<'a>(
    setup: &Setup,
    columns: &'a Columns,
    latest: &[i64],
    devices: &[usize],
    point: Point,
    budget: &mut Budget,
) -> Option<(Vec<Seat<'a>>, bool)> {
    let mut problem = Problem::of(columns, latest, devices);
    problem.price_by(point.time);
    if problem.solve(budget)? != point.watts {
        return None;
    }
    let mut settling = Settling::of(problem, point.time, budget);
    settling.settle_times()?;
    let listed: Vec<Vec<usize>> = columns
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
            Some((&columns.by_device[device][way.column], cable))
        })
        .collect();
    Some((seats?, settling.all_settled))
}

/// What is open while one question after the other is settled.
struct Settling<'a> {
    problem: Problem,
    devices: usize,
    kinds: usize,
    /// By device and kind: the time to full; `None` where the pair is closed.
    open: Vec<Option<i64>>,
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
    fn of(problem: Problem, limit: i64, budget: &'a mut Budget) -> Self {
        let (devices, kinds) = (problem.devices(), problem.kinds());
        let time = |at: usize| Some(problem.way(at / kinds, at % kinds, limit)?.time);
        let mut settling = Self {
            devices,
            kinds,
            open: (0..devices * kinds).map(time).collect(),
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
        // More than all prices together: filling comes first.
        let filling = i64::try_from(self.devices).ok()? + 1;
        let mut to_fill = 0;
        for (full, &seats) in self.full.iter().zip(&self.problem.seats) {
            if *full {
                to_fill += filling * i64::try_from(seats).ok()?;
            }
        }
        for (at, open) in self.open.iter().enumerate() {
            let price = open.and_then(|time| priced(at, time));
            self.problem.cost[at] = match price {
                Some(priced) if self.full[at % self.kinds] => i64::from(priced) - filling,
                Some(priced) => i64::from(priced),
                None => FORBIDDEN,
            };
        }
        let fewest = self.problem.solve(self.budget)? + to_fill;
        (fewest < filling).then_some(fewest)
    }

    /// Settles how many devices take longer than `time`: as few as can be.
    fn settle_later_than(&mut self, time: i64) -> Option<i64> {
        let fewest = self.fewest(|_, t| Some(t > time))?;
        self.keep_solutions();
        Some(fewest)
    }

    /// Whether what is at hand has to do, since a limit struck.
    fn is_spent(&mut self) -> bool {
        let spent = self.budget.is_spent();
        self.all_settled &= !spent;
        spent
    }

    fn settle_times(&mut self) -> Option<()> {
        let all = i64::try_from(self.devices).ok()?;
        let mut settled = 0;
        let mut below = i64::MAX;
        while settled < all {
            if self.is_spent() {
                return Some(());
            }
            let mut times: Vec<i64> = self.open.iter().copied().flatten().collect();
            times.retain(|&time| time < below);
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
                if self.fewest(|_, t| Some(t > times[middle]))? <= settled {
                    high = middle;
                } else {
                    low = middle + 1;
                }
            }
            self.settle_later_than(times[low])?;
            // Of those that stay, as few as can be have this time.
            below = times[low];
            settled = self.settle_later_than(below - 1)?;
        }
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
