//! One question in the form that the search works on: by device the ways open to it,
//! each with what it takes from the rows that can bind at all.

use super::goal::{Domains, Goal, Limits};
use super::model::{Assignment, Model, RowOrigin};

/// What a row stands for, so that its multiplier can be kept for the next question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum RowKind {
    /// A row of the model.
    Fixed(usize),
    /// At most so many devices take longer than a time: its place among the limits.
    Later(usize),
    Late,
    /// Berths that start after the first session.
    AfterFirst,
    /// Devices without a berth, by rank.
    Unserved(usize),
    Missing,
    /// The goal's cost, at most the cutoff.
    Goal,
}

/// A column of a device, or its staying without a berth.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Way {
    /// The column; none stands for staying.
    pub(crate) column: Option<u32>,
    /// Its group of ports; of no meaning for staying.
    pub(crate) port: usize,
    /// Of how many settled times it is the slower.
    pub(crate) slow: usize,
}

/// The memory of a subproblem, for the next one.
#[derive(Debug, Default)]
pub(crate) struct Buffers {
    lanes: Vec<RowKind>,
    caps: Vec<i64>,
    ways: Vec<Way>,
    starts: Vec<u32>,
    takes: Vec<(u32, i64)>,
    all: NodeDomains,
    kept: Vec<Compared>,
    most: Vec<i64>,
    most_sum: Vec<i64>,
    touched: Vec<usize>,
    number: Vec<u32>,
}

#[derive(Debug)]
pub(crate) struct Subproblem<'a> {
    pub(crate) model: &'a Model,
    pub(crate) goal: Goal,
    /// The row of the goal's cost, where it has one.
    pub(crate) goal_row: Option<usize>,
    pub(crate) lanes: Vec<RowKind>,
    /// By row, the most that may be taken in sum.
    pub(crate) caps: Vec<i64>,
    ways: Vec<Way>,
    starts: Vec<u32>,
    takes: Vec<(u32, i64)>,
    /// By device, its ways: all of them.
    all: NodeDomains,
    /// What else is kept for the next subproblem.
    spare: Buffers,
}

impl Subproblem<'_> {
    /// Gives the memory back.
    pub(crate) fn into_memory(self) -> Buffers {
        Buffers {
            lanes: self.lanes,
            caps: self.caps,
            ways: self.ways,
            starts: self.starts,
            takes: self.takes,
            all: self.all,
            ..self.spare
        }
    }

    pub(crate) fn way(&self, way: u32) -> &Way {
        &self.ways[way as usize]
    }

    pub(crate) fn number_of_ways(&self) -> usize {
        self.ways.len()
    }

    /// The rows that a way takes from, ascending, with how much.
    pub(crate) fn takes(&self, way: u32) -> &[(u32, i64)] {
        let at = way as usize;
        &self.takes[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    /// The ways before any is ruled out.
    pub(crate) fn all(&self) -> &NodeDomains {
        &self.all
    }

    pub(crate) fn assignment(&self, taken: &[u32]) -> Assignment {
        taken.iter().map(|&way| self.way(way).column).collect()
    }

    /// The ways of an assignment, where each of them is open.
    pub(crate) fn taken(&self, assignment: &Assignment) -> Option<Vec<u32>> {
        let way = |(device, column): (usize, &Option<u32>)| {
            let ways = self.all.of(device);
            ways.iter()
                .copied()
                .find(|&way| self.way(way).column == *column)
        };
        assignment.iter().enumerate().map(way).collect()
    }

    /// What the ways take, by row.
    pub(crate) fn used(&self, taken: &[u32]) -> Vec<i64> {
        let mut used = Vec::new();
        self.sum_used(taken, &mut used);
        used
    }

    /// What the ways take, by row, into memory that is there already.
    pub(crate) fn sum_used(&self, taken: &[u32], used: &mut Vec<i64>) {
        used.clear();
        used.resize(self.caps.len(), 0);
        for &way in taken {
            for &(row, takes) in self.takes(way) {
                used[row as usize] += takes;
            }
        }
    }
}

/// The ways still open, by device.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct NodeDomains {
    ways: Vec<u32>,
    ends: Vec<u32>,
}

impl NodeDomains {
    pub(crate) fn devices(&self) -> usize {
        self.ends.len()
    }

    pub(crate) fn len(&self) -> usize {
        self.ways.len()
    }

    pub(crate) fn of(&self, device: usize) -> &[u32] {
        let from = if device == 0 {
            0
        } else {
            self.ends[device - 1]
        };
        &self.ways[from as usize..self.ends[device] as usize]
    }

    pub(crate) fn each(&self) -> impl Iterator<Item = (usize, &[u32])> {
        (0..self.devices()).map(|device| (device, self.of(device)))
    }

    /// Keeps the ways for which `keep` holds. Whether any went.
    pub(crate) fn retain(&mut self, mut keep: impl FnMut(usize, u32) -> bool) -> bool {
        let before = self.ways.len();
        let mut from = 0;
        let mut to = 0;
        for device in 0..self.ends.len() {
            let end = self.ends[device] as usize;
            while from < end {
                let way = self.ways[from];
                from += 1;
                if keep(device, way) {
                    self.ways[to] = way;
                    to += 1;
                }
            }
            self.ends[device] = narrow(to);
        }
        self.ways.truncate(to);
        to < before
    }

    /// Whether some device has no way left.
    pub(crate) fn is_stuck(&self) -> bool {
        self.each().any(|(_, ways)| ways.is_empty())
    }

    fn clear(&mut self) {
        self.ways.clear();
        self.ends.clear();
    }

    fn push(&mut self, way: u32) {
        self.ways.push(way);
    }

    fn close_device(&mut self) {
        self.ends.push(narrow(self.ways.len()));
    }
}

/// Whether columns that another one makes superfluous are left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Keep {
    All,
    /// Another column of the same device on the same port takes no more from any row and
    /// costs no more: exact for the question whether there is an assignment within a cutoff,
    /// and for the least cost.
    Undominated,
}

impl<'a> Subproblem<'a> {
    pub(crate) fn of(
        model: &'a Model,
        goal: Goal,
        limits: &Limits,
        cutoff: i64,
        domains: &Domains,
        keep: Keep,
        mut memory: Buffers,
    ) -> Self {
        memory.lanes.clear();
        memory.caps.clear();
        memory.ways.clear();
        memory.starts.clear();
        memory.starts.push(0);
        memory.takes.clear();
        memory.all.clear();
        let mut subproblem = Self {
            model,
            goal,
            goal_row: None,
            lanes: std::mem::take(&mut memory.lanes),
            caps: std::mem::take(&mut memory.caps),
            ways: std::mem::take(&mut memory.ways),
            starts: std::mem::take(&mut memory.starts),
            takes: std::mem::take(&mut memory.takes),
            all: std::mem::take(&mut memory.all),
            spare: memory,
        };
        subproblem.list_ways(goal, limits, domains, keep);
        let rows = subproblem.list_rows(limits, cutoff);
        subproblem.fill(&rows);
        subproblem.spare.number = rows.number;
        subproblem
    }

    fn list_ways(&mut self, goal: Goal, limits: &Limits, domains: &Domains, keep: Keep) {
        let model = self.model;
        let mut kept = std::mem::take(&mut self.spare.kept);
        for device in 0..model.len() {
            let columns = &domains.columns[device];
            // Columns of one port stand side by side, those that take the least first.
            let mut port = usize::MAX;
            for &column in columns {
                let here = model.dominance_key(column).port as usize;
                if here != port {
                    self.push_all(port, &mut kept);
                    port = here;
                }
                let one = Compared::of(model, goal, limits, column);
                if keep == Keep::Undominated {
                    if kept.iter().any(|other| other.no_worse(&one)) {
                        continue;
                    }
                    kept.retain(|other| !one.no_worse(other));
                }
                kept.push(one);
            }
            self.push_all(port, &mut kept);
            if domains.may_stay[device] {
                self.push(None, usize::MAX, 0);
            }
            self.all.close_device();
        }
        self.spare.kept = kept;
    }

    fn push_all(&mut self, port: usize, kept: &mut Vec<Compared>) {
        for one in kept.drain(..) {
            self.push(Some(one.column), port, one.slow);
        }
    }

    fn push(&mut self, column: Option<u32>, port: usize, slow: usize) {
        self.all.push(narrow(self.ways.len()));
        self.ways.push(Way { column, port, slow });
    }

    /// Numbers the rows that can bind. By lane (the model's rows, then the times, then
    /// the rest) the number given, if any.
    fn list_rows(&mut self, limits: &Limits, cutoff: i64) -> Numbering {
        let fixed = self.model.rows.len();
        let later = limits.later.len();
        let lanes = fixed + later + REST;
        let blank = |memory: &mut Vec<i64>| {
            let mut blank = std::mem::take(memory);
            blank.clear();
            blank.resize(lanes, 0);
            blank
        };
        let mut most_sum = blank(&mut self.spare.most_sum);
        let mut most = blank(&mut self.spare.most);
        let mut touched = std::mem::take(&mut self.spare.touched);
        let mut number = std::mem::take(&mut self.spare.number);
        number.clear();
        number.resize(lanes, NO_ROW);
        let mut numbering = Numbering {
            fixed,
            later,
            number,
        };
        for (device, ways) in self.all.each() {
            for &way in ways {
                self.each_lane(device, way, &numbering, |lane, takes| {
                    if most[lane] == 0 {
                        touched.push(lane);
                    }
                    most[lane] = most[lane].max(takes);
                });
            }
            for lane in touched.drain(..) {
                most_sum[lane] = most_sum[lane].saturating_add(std::mem::take(&mut most[lane]));
            }
        }
        for (lane, &most) in most_sum.iter().enumerate() {
            let (what, cap) = numbering.lane(lane, self.model, limits, cutoff);
            let is_table = match what {
                RowKind::Fixed(row) => {
                    let origin = self.model.rows[row].origin;
                    matches!(
                        origin,
                        RowOrigin::Table { .. } | RowOrigin::TablePorts { .. }
                    )
                }
                _ => false,
            };
            // A table's cap falls with the lines that are left.
            let binds = most > cap || is_table;
            let wanted = what != RowKind::Goal || self.goal != Goal::Any;
            if wanted && (binds || what == RowKind::Goal) {
                if what == RowKind::Goal {
                    self.goal_row = Some(self.caps.len());
                }
                numbering.number[lane] = narrow(self.caps.len());
                self.caps.push(cap);
                self.lanes.push(what);
            }
        }
        self.spare.most_sum = most_sum;
        self.spare.most = most;
        self.spare.touched = touched;
        numbering
    }

    fn fill(&mut self, rows: &Numbering) {
        let mut takes = std::mem::take(&mut self.takes);
        for (device, ways) in self.all.each() {
            for &way in ways {
                self.each_lane(device, way, rows, |lane, amount| {
                    let row = rows.number[lane];
                    if row != NO_ROW {
                        takes.push((row, amount));
                    }
                });
                self.starts.push(narrow(takes.len()));
            }
        }
        self.takes = takes;
    }

    /// Calls `f` with every lane that a way takes from, ascending, and how much.
    fn each_lane(&self, device: usize, way: u32, rows: &Numbering, mut f: impl FnMut(usize, i64)) {
        let model = self.model;
        let rest = rows.fixed + rows.later;
        let Way { column, slow, .. } = *self.way(way);
        let cost = if let Some(index) = column {
            for &(row, takes) in model.takes(index) {
                f(row as usize, takes);
            }
            // The times of the limits fall: a slow way is slower than the last of them.
            for later in rows.later - slow..rows.later {
                f(rows.fixed + later, 1);
            }
            if model.dominance_key(index).late {
                f(rest, 1);
            }
            if model.column(index).first > 0 {
                f(rest + 5, 1);
            }
            self.goal.of_column(model, index)
        } else {
            f(rest + 1 + model.rank[device], 1);
            if model.missing[device] > 0 {
                f(rest + 4, model.missing[device]);
            }
            self.goal.of_none(model, device)
        };
        if cost > 0 {
            f(rest + 6, cost);
        }
    }
}

/// Late, three of unserved, missing, after the first session, goal.
const REST: usize = 7;

const NO_ROW: u32 = u32::MAX;

/// The numbers of the rows, by lane.
struct Numbering {
    fixed: usize,
    later: usize,
    number: Vec<u32>,
}

impl Numbering {
    fn lane(&self, lane: usize, model: &Model, limits: &Limits, cutoff: i64) -> (RowKind, i64) {
        if lane < self.fixed {
            return (RowKind::Fixed(lane), model.rows[lane].cap);
        }
        if lane < self.fixed + self.later {
            let later = lane - self.fixed;
            return (RowKind::Later(later), limits.later[later].1);
        }
        match lane - self.fixed - self.later {
            0 => (RowKind::Late, limits.late.unwrap_or(i64::MAX)),
            rank @ 1..=3 => (RowKind::Unserved(rank - 1), limits.unserved[rank - 1]),
            4 => (RowKind::Missing, limits.missing.unwrap_or(i64::MAX)),
            5 => (RowKind::AfterFirst, limits.after_first.unwrap_or(i64::MAX)),
            _ => (RowKind::Goal, cutoff),
        }
    }
}

/// What two columns of a device on one port are compared by.
#[derive(Debug)]
struct Compared {
    column: u32,
    slow: usize,
    late: bool,
    cost: i64,
    /// From the port's pools.
    takes: i64,
    tier: i64,
    last: usize,
    cable: Option<u32>,
}

impl Compared {
    fn of(model: &Model, goal: Goal, limits: &Limits, index: u32) -> Self {
        let column = model.dominance_key(index);
        Self {
            column: index,
            slow: limits.later.len() - limits.later.partition_point(|(t, _)| column.time <= *t),
            late: column.late,
            cost: match goal {
                Goal::Any => 0,
                goal => goal.of_column(model, index),
            },
            takes: column.takes,
            tier: column.tier,
            last: column.last,
            cable: column.cable,
        }
    }

    fn no_worse(&self, other: &Self) -> bool {
        self.slow <= other.slow
            && self.late <= other.late
            && self.cost <= other.cost
            && self.takes <= other.takes
            && self.tier <= other.tier
            && self.last <= other.last
            && (self.cable.is_none() || self.cable == other.cable)
    }
}

fn narrow(value: usize) -> u32 {
    u32::try_from(value).expect("the stated limits keep every index within 32 bits")
}
