//! Betters an assignment that keeps every limit, device by device, before and between the
//! questions. No question is written down for it: only the ways that look better are weighed.

use super::goal::{Domains, Goal, Limits, class};
use super::local_search::MOST_TRIES;
use super::model::{Assignment, Model, RowOrigin};
use super::subproblem::{Buffers, Lanes, RowKind, slow};

/// What one way is better than another by: whether there is a berth, and what a goal counts.
type Rank = (usize, i64, i64);

/// An assignment with what it takes, kept up to date move by move.
pub(crate) struct Polish<'a> {
    model: &'a Model,
    limits: &'a Limits,
    domains: &'a Domains,
    lanes: Lanes,
    /// By lane, the most that may be taken, and what is.
    caps: Vec<i64>,
    used: Vec<i64>,
    seated: Vec<usize>,
    taken: Assignment,
    /// What the way at hand takes.
    takes: Vec<(u32, i64)>,
}

impl<'a> Polish<'a> {
    /// Begins with an assignment; `None` where not all of it is open.
    pub(crate) fn of(
        model: &'a Model,
        limits: &'a Limits,
        domains: &'a Domains,
        taken: &Assignment,
    ) -> Option<Self> {
        let is_open = |(device, column): (usize, &Option<u32>)| match column {
            Some(column) => domains.columns[device].contains(column),
            None => domains.may_stay[device],
        };
        if !taken.iter().enumerate().all(is_open) {
            return None;
        }
        let lanes = Lanes::of(model, limits);
        let cap = |lane: usize| match lanes.lane(lane, model, limits, i64::MAX) {
            // Whether promises hold is looked at by itself.
            (RowKind::Fixed(row), _)
                if matches!(model.rows[row].origin, RowOrigin::Load { .. }) =>
            {
                i64::MAX
            }
            (_, cap) => cap,
        };
        let mut polish = Self {
            model,
            limits,
            domains,
            caps: (0..lanes.len()).map(cap).collect(),
            used: vec![0; lanes.len()],
            lanes,
            seated: vec![0; model.seats.len()],
            taken: taken.clone(),
            takes: Vec::new(),
        };
        for device in 0..taken.len() {
            polish.count(device, 1);
        }
        Some(polish)
    }

    pub(crate) fn assignment(self) -> Assignment {
        self.taken
    }

    /// Goes on until no device can be moved to a way that counts less by the goal: by the
    /// times, where there is none.
    pub(crate) fn improve(&mut self, goal: Goal, memory: &mut Buffers) {
        let (model, domains) = (self.model, self.domains);
        let slack = memory.slacks(model, self.limits, domains);
        let rank = |device: usize, column: Option<u32>| -> Rank {
            let Some(c) = column else {
                return (3 - model.rank[device], model.missing[device], 0);
            };
            let column = model.column(c);
            match goal {
                // Who needs the least of what is left to it leaves room for others.
                Goal::Watts => (0, column.watts, -slack(c)),
                Goal::Hours => (0, column.hours, column.watts),
                Goal::Moves => (0, i64::from(column.moved), column.hours),
                _ => (0, column.time, column.watts),
            }
        };
        let lines = model.tables.iter().map(|table| table.promised.len());
        let lines = u64::try_from(lines.sum::<usize>()).unwrap_or(u64::MAX);
        let is_bare = model.tables.is_empty() && !model.has_promises;
        let mut tried: u64 = 0;
        let mut order: Vec<usize> = Vec::new();
        let mut better: Vec<(Rank, u32)> = Vec::new();
        loop {
            order.clear();
            order.extend(0..self.taken.len());
            order.sort_by_key(|&device| std::cmp::Reverse(rank(device, self.taken[device])));
            let mut moved = false;
            for &device in &order {
                let now = self.taken[device];
                let best = rank(device, now);
                better.clear();
                self.count(device, -1);
                let columns = domains.columns[device].iter().copied().map(Some);
                let stays = domains.may_stay[device].then_some(None);
                for column in columns.chain(stays) {
                    let rank = rank(device, column);
                    if rank < best && self.has_seat(column) {
                        tried += 1;
                        if self.has_room(device, column) {
                            better.push((rank, column.unwrap_or(NOWHERE)));
                        }
                    }
                }
                self.count(device, 1);
                better.sort_unstable();
                for &(_, column) in &better {
                    self.put(device, (column != NOWHERE).then_some(column));
                    tried += 1;
                    if self.keeps_limits() && (is_bare || self.keeps_tables(lines, &mut tried)) {
                        moved = true;
                        break;
                    }
                    self.put(device, now);
                    tried += 1;
                }
            }
            if !moved || tried > MOST_TRIES {
                return;
            }
        }
    }

    fn put(&mut self, device: usize, column: Option<u32>) {
        self.count(device, -1);
        self.taken[device] = column;
        self.count(device, 1);
    }

    /// Counts so many times what a device takes.
    fn count(&mut self, device: usize, times: i64) {
        let column = self.taken[device];
        self.read(device, column);
        for &(lane, takes) in &self.takes {
            self.used[lane as usize] += times * takes;
        }
        if let Some(column) = column {
            let seated = &mut self.seated[self.model.dominance_key(column).port as usize];
            if times > 0 {
                *seated += 1;
            } else {
                *seated -= 1;
            }
        }
    }

    /// Reads what a device takes with a column.
    fn read(&mut self, device: usize, column: Option<u32>) {
        let model = self.model;
        self.takes.clear();
        let mut slower = 0;
        if let Some(column) = column {
            self.takes.extend_from_slice(model.takes(column));
            let later = &self.limits.later[class(model.rank[device])];
            slower = slow(later, model.dominance_key(column).time);
        }
        let takes = &mut self.takes;
        self.lanes.add(model, device, (column, slower), takes);
    }

    /// Whether there is a seat, the device at hand standing.
    fn has_seat(&self, column: Option<u32>) -> bool {
        column.is_none_or(|column| {
            let port = self.model.dominance_key(column).port as usize;
            self.seated[port] < self.model.seats[port]
        })
    }

    /// Whether the limits have room for a column, the device at hand taking nothing.
    fn has_room(&mut self, device: usize, column: Option<u32>) -> bool {
        self.read(device, column);
        let mut takes = self.takes.iter();
        takes.all(|&(lane, takes)| {
            self.used[lane as usize].saturating_add(takes) <= self.caps[lane as usize]
        })
    }

    fn keeps_limits(&self) -> bool {
        let mut used = self.used.iter().zip(&self.caps);
        used.all(|(used, cap)| used <= cap)
    }

    /// Whether tables and promises hold. Every line that a promise depends on counts as a try.
    fn keeps_tables(&self, lines: u64, tried: &mut u64) -> bool {
        *tried = tried.saturating_add(lines);
        self.model.tables_hold(&self.taken) && self.model.promises_hold(&self.taken)
    }
}

/// Behind every column: no berth.
const NOWHERE: u32 = u32::MAX;
