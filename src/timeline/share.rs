//! How one charger shares its watts at one moment: a contract for each device on it, so
//! that the sorted times at which they are full are lexicographically least, longest
//! first, then the watts.
//!
//! The ports in use are given, and with them the lines of the table that govern; under
//! one of them every device is free but for the pools. What a device takes is the same in
//! every pool of its port, so that all of them can be full by T just when each can with
//! the least that does so. The least such T is the first of the list; some device is full
//! only then, and whichever it is, it takes the least that gives it T. Only devices with
//! exactly that time need to be tried for it: equal ones, as a rule, and of those that are
//! equal in everything only the first.

use crate::plan::shared::governing;
use crate::setup::ChargerSpec;
use crate::solve::budget::Budget;
use crate::units::millionths;

/// One contract that a device could have, in whole millionths.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Way {
    pub(super) tier: i64,
    /// From the pools.
    pub(super) takes: i64,
    /// When it is full then, from the start of the night.
    pub(super) full: i64,
    /// Volts × amps.
    pub(super) watts: i64,
}

/// A device that is plugged in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Seat {
    pub(super) port: usize,
    /// The one way of a device that is full already stands here alone.
    pub(super) ways: Vec<Way>,
    pub(super) charging: bool,
}

/// What is compared, the least first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    /// Of the devices that are charging, the longest first.
    pub(super) full: Vec<i64>,
    pub(super) watts: i64,
}

impl Key {
    pub(super) fn of<'a>(ways: impl Iterator<Item = (bool, &'a Way)>) -> Self {
        let (mut full, mut watts) = (Vec::new(), 0);
        for (charging, way) in ways {
            watts += way.watts;
            if charging {
                full.push(way.full);
            }
        }
        full.sort_unstable_by(|a, b| b.cmp(a));
        Self { full, watts }
    }
}

/// By seat, the index of the way that it gets: the best of all, where that is better than
/// what `now` stands for. Where the budget strikes, the best that was found.
pub(super) fn share(
    charger: &ChargerSpec,
    seats: &[Seat],
    now: &Key,
    budget: &mut Budget,
) -> Option<Vec<usize>> {
    let mut in_use = vec![false; charger.ports.len()];
    for seat in seats {
        in_use[seat.port] = true;
    }
    let mut best = now.clone();
    let mut found = None;
    let mut under = |granted: Option<&[Option<f64>]>| {
        let mut search = Search::new(charger, seats, granted, best.clone(), budget)?;
        search.descend(None);
        if search.found.is_some() {
            best = search.best;
            found = search.found;
        }
        Some(())
    };
    if charger.lines.is_empty() {
        under(None);
    } else {
        for line in governing(charger, &in_use) {
            under(Some(&line.watts));
        }
    }
    found
}

/// A way with its index in its seat.
type Indexed = (usize, Way);

struct Search<'a> {
    /// By seat, those that may be part of a best answer, by the time that they give.
    ways: Vec<Vec<Indexed>>,
    /// By seat and way, the least that it or a faster one takes.
    least: Vec<Vec<i64>>,
    /// By seat, its pools.
    pools: Vec<Vec<usize>>,
    /// By pool.
    room: Vec<i64>,
    /// By seat, the first that is equal to it.
    class: Vec<usize>,
    /// By seat, an index into its ways.
    chosen: Vec<Option<usize>>,
    /// The times so far, the longest first.
    full: Vec<i64>,
    charging: Vec<bool>,
    best: Key,
    found: Option<Vec<usize>>,
    budget: &'a mut Budget,
}

impl<'a> Search<'a> {
    /// `None` where a line grants somebody too little for any way.
    fn new(
        charger: &ChargerSpec,
        seats: &[Seat],
        granted: Option<&[Option<f64>]>,
        best: Key,
        budget: &'a mut Budget,
    ) -> Option<Self> {
        let mut ways: Vec<Vec<Indexed>> = Vec::with_capacity(seats.len());
        for seat in seats {
            let most = match granted {
                None => i64::MAX,
                Some(watts) => millionths(watts[seat.port]?),
            };
            let open = seat.ways.iter().copied().enumerate();
            let open: Vec<Indexed> = open.filter(|(_, way)| way.tier <= most).collect();
            if open.is_empty() {
                return None;
            }
            ways.push(undominated(&open));
        }
        let pools: Vec<Vec<usize>> = seats
            .iter()
            .map(|seat| {
                let pools = charger.pools.iter().enumerate();
                let of_port = pools.filter(|(_, pool)| pool.ports.contains(&seat.port));
                of_port.map(|(index, _)| index).collect()
            })
            .collect();
        let least = ways.iter().map(|ways| {
            let mut least = i64::MAX;
            let so_far = ways.iter().map(|(_, way)| {
                least = least.min(way.takes);
                least
            });
            so_far.collect()
        });
        let same = |a: usize, b: usize| {
            let plain = |seat: usize| ways[seat].iter().map(|(_, way)| *way);
            pools[a] == pools[b] && seats[a].charging == seats[b].charging && plain(a).eq(plain(b))
        };
        let class = (0..seats.len()).map(|seat| {
            let first = (0..seat).find(|&other| same(other, seat));
            first.unwrap_or(seat)
        });
        Some(Self {
            least: least.collect(),
            room: charger
                .pools
                .iter()
                .map(|pool| millionths(pool.max_w))
                .collect(),
            class: class.collect(),
            chosen: seats
                .iter()
                .map(|seat| (!seat.charging).then_some(0))
                .collect(),
            full: Vec::with_capacity(seats.len()),
            charging: seats.iter().map(|seat| seat.charging).collect(),
            ways,
            pools,
            best,
            found: None,
            budget,
        })
    }

    /// Settles the next of the sorted times. `last` is the one before, with its seat.
    fn descend(&mut self, last: Option<(i64, usize)>) {
        if self.chosen.iter().all(Option::is_some) {
            if self.fits(i64::MIN) {
                self.compare();
            }
            return;
        }
        let Some(next) = self.least_threshold() else {
            return;
        };
        let so_far = self.full.iter().chain([&next]);
        if so_far
            .cmp(self.best.full.iter().take(self.full.len() + 1))
            .is_gt()
        {
            return;
        }
        // Devices with one and the same time in one order only.
        let from = last.map_or(0, |(time, seat)| if time == next { seat + 1 } else { 0 });
        for seat in from..self.ways.len() {
            if self.chosen[seat].is_some() || self.an_equal_is_free_before(seat) {
                continue;
            }
            for way in 0..self.ways[seat].len() {
                if self.ways[seat][way].1.full != next {
                    continue;
                }
                self.chosen[seat] = Some(way);
                if self.fits(next) {
                    self.full.push(next);
                    self.descend(Some((next, seat)));
                    self.full.pop();
                }
                self.chosen[seat] = None;
            }
        }
    }

    fn an_equal_is_free_before(&self, seat: usize) -> bool {
        let before = self.class[seat]..seat;
        before
            .into_iter()
            .any(|other| self.class[other] == self.class[seat] && self.chosen[other].is_none())
    }

    /// The least time by which all that are not settled can be full: `None` where there is
    /// none or the budget struck.
    fn least_threshold(&mut self) -> Option<i64> {
        let mut times: Vec<i64> = Vec::new();
        for (seat, ways) in self.ways.iter().enumerate() {
            if self.chosen[seat].is_none() {
                times.extend(ways.iter().map(|(_, way)| way.full));
            }
        }
        if !self.budget.affords(times.len() + 1) {
            return None;
        }
        times.sort_unstable();
        times.dedup();
        let (mut low, mut high) = (0, times.len());
        while low < high {
            let middle = usize::midpoint(low, high);
            if self.fits(times[middle]) {
                high = middle;
            } else {
                low = middle + 1;
            }
        }
        times.get(low).copied()
    }

    /// Whether every pool has room when each that is not settled takes the least with
    /// which it is full by `threshold`.
    fn fits(&mut self, threshold: i64) -> bool {
        if !self.budget.affords(self.ways.len()) {
            return false;
        }
        let mut room = self.room.clone();
        for (seat, ways) in self.ways.iter().enumerate() {
            let takes = match self.chosen[seat] {
                Some(way) => ways[way].1.takes,
                None => match ways.partition_point(|(_, way)| way.full <= threshold) {
                    0 => return false,
                    count => self.least[seat][count - 1],
                },
            };
            for &pool in &self.pools[seat] {
                room[pool] -= takes;
                if room[pool] < 0 {
                    return false;
                }
            }
        }
        true
    }

    fn compare(&mut self) {
        let chosen = self.ways.iter().zip(&self.chosen);
        let chosen: Vec<&Indexed> = chosen
            .filter_map(|(ways, chosen)| ways.get((*chosen)?))
            .collect();
        let ways = chosen.iter().map(|(_, way)| way);
        let key = Key::of(self.charging.iter().copied().zip(ways));
        if key < self.best {
            self.best = key;
            self.found = Some(chosen.iter().map(|(index, _)| *index).collect());
        }
    }
}

/// Without those that another beats, by the time that they give.
fn undominated(ways: &[Indexed]) -> Vec<Indexed> {
    let beats = |a: &Indexed, b: &Indexed| {
        let (first, second) = (a.1, b.1);
        first.full <= second.full
            && first.takes <= second.takes
            && (first.full < second.full || first.watts <= second.watts)
            && ((first.full, first.takes, first.watts, a.0)
                != (second.full, second.takes, second.watts, b.0))
            && ((first.full, first.takes, first.watts) != (second.full, second.takes, second.watts)
                || a.0 < b.0)
    };
    let mut left: Vec<Indexed> = ways
        .iter()
        .filter(|way| !ways.iter().any(|other| beats(other, way)))
        .copied()
        .collect();
    left.sort_by_key(|(index, way)| (way.full, way.takes, way.watts, *index));
    left
}
