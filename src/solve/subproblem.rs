//! One question in the form that the search works on: by device the ways open to it,
//! each with what it takes from the rows that can bind at all.

use super::goal::{Domains, Goal, Limits, class};
use super::loads::least_given;
use super::model::{ANY_LOAD, Assignment, Model, RowOrigin};

/// What a row stands for, so that its multiplier can be kept for the next question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum RowKind {
    /// A row of the model.
    Fixed(usize),
    /// At most so many devices of a class take longer than a time: the class, and its place
    /// among the limits.
    Later(usize, usize),
    /// Late devices, by rank.
    Late(usize),
    /// Berths that start after the first session.
    AfterFirst,
    /// Devices without a berth, by rank.
    Unserved(usize),
    Missing,
    Moves,
    Hours,
    Watts,
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
    /// Of how many settled times of its class it is the slower.
    pub(crate) slow: usize,
    /// By how much the loads of all may exceed the limit of any pool of its port.
    pub(crate) slack: i64,
}

/// The memory of a subproblem, for the next one.
#[derive(Debug, Default)]
pub(crate) struct Buffers {
    lanes: Vec<RowKind>,
    caps: Vec<i64>,
    limits: Vec<i64>,
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
    /// By row, the limit of a pool whose loads it sums: a way allows that and its own slack.
    /// [`ANY_LOAD`] for every other row.
    pub(crate) limits: Vec<i64>,
    /// Whether there is a row of loads.
    pub(crate) has_loads: bool,
    /// How many devices have a berth at least.
    pub(crate) least_served: usize,
    /// Where columns depend on what others leave: by group of ports, the least that a line gives
    /// it that can govern.
    given: Vec<i64>,
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
            limits: self.limits,
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

    /// Lowers the caps of rows of loads to what devices that take from them in any case allow.
    pub(crate) fn cap_loads(&self, live: &NodeDomains, caps: &mut [i64]) {
        if !self.has_loads {
            return;
        }
        // By row, how many ways of the device at hand take from it, and the most slack.
        let mut found = vec![(0_usize, 0_i64); caps.len()];
        for (_, ways) in live.each() {
            for &way in ways {
                for &(row, _) in self.takes(way) {
                    let (count, most) = &mut found[row as usize];
                    *count += 1;
                    *most = (*most).max(self.way(way).slack);
                }
            }
            let Some(&first) = ways.first() else { continue };
            for &(row, _) in self.takes(first) {
                let row = row as usize;
                let (count, most) = found[row];
                if self.limits[row] < ANY_LOAD && count == ways.len() {
                    caps[row] = caps[row].min(self.limits[row].saturating_add(most));
                }
            }
            for &way in ways {
                for &(row, _) in self.takes(way) {
                    found[row as usize] = (0, 0);
                }
            }
        }
    }

    /// The row of loads that ways break the most, with the least slack of those that take from
    /// it, where more slack is open there.
    pub(crate) fn broken_load(
        &self,
        taken: &[u32],
        live: &NodeDomains,
        caps: &[i64],
    ) -> Option<(usize, i64)> {
        if !self.has_loads {
            return None;
        }
        let used = self.used(taken);
        let mut slack = vec![i64::MAX; caps.len()];
        for &way in taken {
            for &(row, _) in self.takes(way) {
                let least = &mut slack[row as usize];
                *least = (*least).min(self.way(way).slack);
            }
        }
        let over = |row: usize| used[row] - self.limits[row].saturating_add(slack[row]);
        let rows = (0..caps.len()).filter(|&row| self.limits[row] < ANY_LOAD);
        let (over, row) = rows
            .filter(|&row| slack[row] < i64::MAX)
            .map(|row| (over(row), row))
            .max()?;
        // Either part must have something to say.
        let at = slack[row];
        let more = || {
            let ways = live.each().flat_map(|(_, ways)| ways).copied();
            let mut of_row =
                ways.filter(|&way| self.takes(way).iter().any(|&(r, _)| r as usize == row));
            of_row.any(|way| self.way(way).slack <= at)
        };
        let tighter = self.limits[row].saturating_add(at) < caps[row];
        (over > 0 && tighter && more()).then_some((row, at))
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
        memory.limits.clear();
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
            limits: std::mem::take(&mut memory.limits),
            has_loads: false,
            least_served: least_served(model, limits),
            given: Vec::new(),
            ways: std::mem::take(&mut memory.ways),
            starts: std::mem::take(&mut memory.starts),
            takes: std::mem::take(&mut memory.takes),
            all: std::mem::take(&mut memory.all),
            spare: memory,
        };
        if model.has_promises {
            subproblem.given = least_given(model, subproblem.least_served, |t| {
                let there = |&c: &u32| model.in_tables(c).any(|(of, _)| of == t);
                let devices = domains.may_stay.iter().zip(&domains.columns);
                devices
                    .filter(|&(stays, columns)| !stays && columns.iter().all(there))
                    .count()
            });
        }
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
            // Choices of one port stand side by side, those that take the least first.
            let mut port = usize::MAX;
            for &column in columns {
                let here = model.dominance_key(column).port as usize;
                if here != port {
                    self.push_all(port, &mut kept);
                    port = here;
                }
                let mut one = Compared::of(model, goal, limits, device, column);
                if one.slack < ANY_LOAD {
                    one.slack -= model.column(column).load - self.load(column, &self.given);
                }
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
                self.push(Way {
                    column: None,
                    port: usize::MAX,
                    slow: 0,
                    slack: ANY_LOAD,
                });
            }
            self.all.close_device();
        }
        self.spare.kept = kept;
    }

    /// What a column takes at least from the others in its pools, where the lines that can govern
    /// give so much by group of ports.
    pub(crate) fn load(&self, column: u32, given: &[i64]) -> i64 {
        let column = self.model.column(column);
        column.load.min(given[column.port])
    }

    fn push_all(&mut self, port: usize, kept: &mut Vec<Compared>) {
        for one in kept.drain(..) {
            self.push(Way {
                column: Some(one.column),
                port,
                slow: one.slow,
                slack: one.slack,
            });
        }
    }

    fn push(&mut self, way: Way) {
        self.all.push(narrow(self.ways.len()));
        self.ways.push(way);
    }

    /// Numbers the rows that can bind. By lane (the model's rows, then the times, then
    /// the rest) the number given, if any.
    fn list_rows(&mut self, limits: &Limits, cutoff: i64) -> Numbering {
        let fixed = self.model.rows.len();
        let later = [limits.later[0].len(), limits.later[1].len()];
        let lanes = fixed + later[0] + later[1] + REST;
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
            moves: limits.moves.is_some(),
            hours: limits.hours.is_some(),
            watts: limits.watts.is_some(),
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
            let origin = match what {
                RowKind::Fixed(row) => Some(self.model.rows[row].origin),
                _ => None,
            };
            let is_table = matches!(
                origin,
                Some(RowOrigin::Table { .. } | RowOrigin::TablePorts { .. })
            );
            let (cap, limit) = match origin {
                Some(RowOrigin::Load { max, .. }) => (max, max),
                _ => (cap, ANY_LOAD),
            };
            // A table's cap falls with the lines that are left.
            let binds = most > cap || is_table;
            let wanted = what != RowKind::Goal || self.goal != Goal::Any;
            if wanted && (binds || what == RowKind::Goal) {
                if what == RowKind::Goal {
                    self.goal_row = Some(self.caps.len());
                }
                numbering.number[lane] = narrow(self.caps.len());
                // What loads may come to falls with the columns that take from them.
                let of_loads = limit < ANY_LOAD;
                self.has_loads |= of_loads;
                self.caps.push(if of_loads { most } else { cap });
                self.limits.push(limit);
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
        let class = class(model.rank[device]);
        let rest = rows.fixed + rows.later[0] + rows.later[1];
        let Way { column, slow, .. } = *self.way(way);
        let cost = if let Some(index) = column {
            for &(row, takes) in model.takes(index) {
                let takes = match model.rows[row as usize].origin {
                    RowOrigin::Load { .. } => self.load(index, &self.given),
                    _ => takes,
                };
                f(row as usize, takes);
            }
            // The times of the limits fall: a slow way is slower than the last of them.
            let before = if class == 0 { 0 } else { rows.later[0] };
            for later in rows.later[class] - slow..rows.later[class] {
                f(rows.fixed + before + later, 1);
            }
            if model.dominance_key(index).late {
                f(rest + model.rank[device], 1);
            }
            if model.column(index).first > 0 {
                f(rest + AFTER_FIRST, 1);
            }
            if rows.moves && model.column(index).moved {
                f(rest + MOVES, 1);
            }
            if rows.hours && model.column(index).hours > 0 {
                f(rest + HOURS, model.column(index).hours);
            }
            if rows.watts && model.column(index).watts > 0 {
                f(rest + WATTS, model.column(index).watts);
            }
            self.goal.of_column(model, device, index)
        } else {
            f(rest + UNSERVED + model.rank[device], 1);
            if model.missing[device] > 0 {
                f(rest + MISSING, model.missing[device]);
            }
            if rows.moves && Goal::Moves.of_none(model, device) > 0 {
                f(rest + MOVES, 1);
            }
            self.goal.of_none(model, device)
        };
        if cost > 0 {
            f(rest + GOAL, cost);
        }
    }
}

/// Behind the lanes of the model's rows and of the times: late by rank, unserved by rank,
/// missing, after the first session, moves, hours, watts, goal.
const UNSERVED: usize = 3;
const MISSING: usize = 6;
const AFTER_FIRST: usize = 7;
const MOVES: usize = 8;
const HOURS: usize = 9;
const WATTS: usize = 10;
const GOAL: usize = 11;
const REST: usize = 12;

const NO_ROW: u32 = u32::MAX;

/// The numbers of the rows, by lane.
struct Numbering {
    fixed: usize,
    /// By class.
    later: [usize; 2],
    /// Whether the moves are settled, the hours, and the watts.
    moves: bool,
    hours: bool,
    watts: bool,
    number: Vec<u32>,
}

impl Numbering {
    fn lane(&self, lane: usize, model: &Model, limits: &Limits, cutoff: i64) -> (RowKind, i64) {
        if lane < self.fixed {
            return (RowKind::Fixed(lane), model.rows[lane].cap);
        }
        let mut lane = lane - self.fixed;
        for (class, &count) in self.later.iter().enumerate() {
            if lane < count {
                return (RowKind::Later(class, lane), limits.later[class][lane].1);
            }
            lane -= count;
        }
        let settled = |limit: Option<i64>| limit.unwrap_or(i64::MAX);
        match lane {
            rank @ 0..UNSERVED => (RowKind::Late(rank), limits.late[rank]),
            lane @ UNSERVED..MISSING => {
                let rank = lane - UNSERVED;
                (RowKind::Unserved(rank), limits.unserved[rank])
            }
            MISSING => (RowKind::Missing, settled(limits.missing)),
            AFTER_FIRST => (RowKind::AfterFirst, settled(limits.after_first)),
            MOVES => (RowKind::Moves, settled(limits.moves)),
            HOURS => (RowKind::Hours, settled(limits.hours)),
            WATTS => (RowKind::Watts, settled(limits.watts)),
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
    /// Where moves are settled, hours, and watts.
    moved: bool,
    hours: i64,
    watts: i64,
    /// From the port's pools.
    takes: i64,
    tier: i64,
    needs: i64,
    load: i64,
    slack: i64,
    last: usize,
    cable: Option<u32>,
}

impl Compared {
    fn of(model: &Model, goal: Goal, limits: &Limits, device: usize, index: u32) -> Self {
        let column = model.dominance_key(index);
        let later = &limits.later[class(model.rank[device])];
        Self {
            column: index,
            slow: later.len() - later.partition_point(|(t, _)| column.time <= *t),
            moved: limits.moves.is_some() && model.column(index).moved,
            hours: limits.hours.map_or(0, |_| model.column(index).hours),
            watts: limits.watts.map_or(0, |_| model.column(index).watts),
            needs: column.needs,
            load: column.load,
            slack: column.slack,
            late: column.late,
            cost: match goal {
                Goal::Any => 0,
                goal => goal.of_column(model, device, index),
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
            && self.moved <= other.moved
            && self.hours <= other.hours
            && self.watts <= other.watts
            && self.needs <= other.needs
            && self.load <= other.load
            && self.slack >= other.slack
            && self.takes <= other.takes
            && self.tier <= other.tier
            && self.last <= other.last
            && (self.cable.is_none() || self.cable == other.cable)
    }
}

fn least_served(model: &Model, limits: &Limits) -> usize {
    let unserved = limits
        .unserved
        .iter()
        .fold(0_i64, |sum, &n| sum.saturating_add(n));
    usize::try_from(unserved).map_or(0, |unserved| model.len().saturating_sub(unserved))
}

fn narrow(value: usize) -> u32 {
    u32::try_from(value).expect("the stated limits keep every index within 32 bits")
}
