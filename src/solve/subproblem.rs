//! One question in the form that the search works on: by device the ways open to it,
//! each with what it takes from the rows that can bind at all.

use std::ops::Range;

use super::compiled::{CapOf, Compiled};
use super::goal::{Domains, Goal, Limits, class};
use super::loads::least_given;
use super::model::{ANY_LOAD, Assignment, Model};

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

/// The memory of a subproblem, for the next one of the same model.
#[derive(Debug, Default)]
pub(crate) struct Buffers {
    compiled: Compiled,
    lanes: Vec<RowKind>,
    caps: Vec<i64>,
    limits: Vec<i64>,
    ways: Vec<Way>,
    starts: Vec<u32>,
    takes: Vec<(u32, i64)>,
    all: NodeDomains,
    given: Vec<i64>,
    kept: Vec<Compared>,
    most: Vec<i64>,
    most_sum: Vec<i64>,
    touched: Vec<u32>,
    number: Vec<u32>,
}

/// Room is made at once for so many ways at most.
const MOST_RESERVED: usize = 4_096;

impl Buffers {
    /// What is the same for every question about the model, and what the lines of tables that
    /// can govern give in this one.
    fn learn(&mut self, model: &Model, limits: &Limits, domains: &Domains) {
        if self.compiled.learn(model) {
            self.reserve(model);
        }
        self.given.clear();
        if !model.has_promises || model.tables.is_empty() {
            return;
        }
        let served = least_served(model, limits);
        least_given(model, &self.compiled, served, &mut self.given, |t| {
            let there = |&c: &u32| {
                let of_table = model.table_of[model.column(c).port];
                of_table.is_some_and(|(of, _)| of == t)
            };
            let devices = domains.may_stay.iter().zip(&domains.columns);
            devices
                .filter(|&(stays, columns)| !stays && columns.iter().all(there))
                .count()
        });
    }

    /// Makes room for every way of a usual model.
    fn reserve(&mut self, model: &Model) {
        let ways = (model.columns.len() + model.len()).min(MOST_RESERVED);
        let takes = (model.coefficients.len() + 2 * ways).min(8 * MOST_RESERVED);
        self.ways.reserve(ways);
        self.starts.reserve(ways + 1);
        self.takes.reserve(takes);
        self.all.ways.reserve(ways);
    }

    /// By column, how much the loads of all may exceed the limit of a pool with it, in a question
    /// about these.
    pub(crate) fn slacks<'a>(
        &'a mut self,
        model: &'a Model,
        limits: &Limits,
        domains: &Domains,
    ) -> impl Fn(u32) -> i64 + 'a {
        self.learn(model, limits, domains);
        |column| slack(model, column, &self.given)
    }
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
    /// Where the rows of loads stand: from the first to the last.
    load_rows: Range<u32>,
    /// How many devices have a berth at least.
    pub(crate) least_served: usize,
    /// Where columns depend on what others leave, and there are tables: by group of ports, the
    /// least that a line gives it that can govern.
    given: Vec<i64>,
    compiled: Compiled,
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
            compiled: self.compiled,
            lanes: self.lanes,
            caps: self.caps,
            limits: self.limits,
            ways: self.ways,
            starts: self.starts,
            takes: self.takes,
            all: self.all,
            given: self.given,
            ..self.spare
        }
    }

    /// What is the same for every question about the model.
    pub(crate) fn compiled(&self) -> &Compiled {
        &self.compiled
    }

    /// Whether there is a row of loads.
    pub(crate) fn has_loads(&self) -> bool {
        !self.load_rows.is_empty()
    }

    /// The numbers of the rows of loads, in order.
    pub(crate) fn load_rows(&self) -> Range<usize> {
        self.load_rows.start as usize..self.load_rows.end as usize
    }

    /// The rows of loads that a way takes from, ascending, numbered from the first of all.
    pub(crate) fn loads_of(&self, way: u32) -> impl Iterator<Item = usize> {
        let Range { start, end } = self.load_rows;
        let rows = self.takes(way).iter().map(|&(row, _)| row);
        rows.skip_while(move |&row| row < start)
            .take_while(move |&row| row < end)
            .map(move |row| (row - start) as usize)
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
        if !self.has_loads() {
            return;
        }
        let rows = self.load_rows();
        let (caps, limits) = (&mut caps[rows.clone()], &self.limits[rows]);
        // By row, how many ways of the device at hand take from it, and the most slack.
        let mut found = vec![(0_usize, 0_i64); caps.len()];
        for (_, ways) in live.each() {
            for &way in ways {
                let slack = self.way(way).slack;
                for row in self.loads_of(way) {
                    let (count, most) = &mut found[row];
                    *count += 1;
                    *most = (*most).max(slack);
                }
            }
            for ((found, cap), limit) in found.iter_mut().zip(&mut *caps).zip(limits) {
                let (count, most) = std::mem::take(found);
                if count > 0 && count == ways.len() {
                    *cap = (*cap).min(limit.saturating_add(most));
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
        if !self.has_loads() {
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
        let (over, row) = self
            .load_rows()
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
        memory.learn(model, limits, domains);
        let mut subproblem = Self {
            model,
            goal,
            goal_row: None,
            lanes: std::mem::take(&mut memory.lanes),
            caps: std::mem::take(&mut memory.caps),
            limits: std::mem::take(&mut memory.limits),
            load_rows: 0..0,
            least_served: least_served(model, limits),
            given: std::mem::take(&mut memory.given),
            compiled: std::mem::take(&mut memory.compiled),
            ways: std::mem::take(&mut memory.ways),
            starts: std::mem::take(&mut memory.starts),
            takes: std::mem::take(&mut memory.takes),
            all: std::mem::take(&mut memory.all),
            spare: memory,
        };
        match keep {
            Keep::All => subproblem.list_all(limits, domains),
            Keep::Undominated => subproblem.list_undominated(limits, domains),
        }
        subproblem.list_rows(limits, cutoff);
        subproblem
    }

    /// Lists every way.
    fn list_all(&mut self, limits: &Limits, domains: &Domains) {
        let model = self.model;
        for device in 0..model.len() {
            let later = &limits.later[class(model.rank[device])];
            for &column in &domains.columns[device] {
                self.push(Way {
                    column: Some(column),
                    port: model.dominance_key(column).port as usize,
                    slow: slow(later, model.dominance_key(column).time),
                    slack: self.slack(column),
                });
            }
            self.close_device(domains.may_stay[device]);
        }
    }

    /// Lists the ways that no other makes superfluous.
    fn list_undominated(&mut self, limits: &Limits, domains: &Domains) {
        let model = self.model;
        let counts = Counts::of(self.goal, limits);
        let mut kept = std::mem::take(&mut self.spare.kept);
        for device in 0..model.len() {
            let later = &limits.later[class(model.rank[device])];
            // Choices of one port stand side by side, those that take the least first.
            let mut port = u32::MAX;
            for &column in &domains.columns[device] {
                let key = model.dominance_key(column);
                if key.port != port {
                    self.push_all(port, &mut kept);
                    port = key.port;
                }
                let one = Compared {
                    column,
                    slow: slow(later, key.time),
                    slack: self.slack(column),
                    counted: counts.of_column(model, device, column),
                };
                let no_worse = |one: &Compared, other: &Compared| {
                    self.compiled.no_worse(model, one.column, other.column) && one.no_worse(other)
                };
                if kept.iter().any(|other| no_worse(other, &one)) {
                    continue;
                }
                kept.retain(|other| !no_worse(&one, other));
                kept.push(one);
            }
            self.push_all(port, &mut kept);
            self.close_device(domains.may_stay[device]);
        }
        self.spare.kept = kept;
    }

    fn slack(&self, column: u32) -> i64 {
        slack(self.model, column, &self.given)
    }

    /// What a column takes at least from the others in its pools, where the lines that can govern
    /// give so much by group of ports; nothing is said of them where there are no tables.
    pub(crate) fn load(&self, column: u32, given: &[i64]) -> i64 {
        load(self.model, column, given)
    }

    fn push_all(&mut self, port: u32, kept: &mut Vec<Compared>) {
        for one in kept.drain(..) {
            self.push(Way {
                column: Some(one.column),
                port: port as usize,
                slow: one.slow,
                slack: one.slack,
            });
        }
    }

    fn close_device(&mut self, may_stay: bool) {
        if may_stay {
            self.push(Way {
                column: None,
                port: usize::MAX,
                slow: 0,
                slack: ANY_LOAD,
            });
        }
        self.all.close_device();
    }

    fn push(&mut self, way: Way) {
        self.all.push(narrow(self.ways.len()));
        self.ways.push(way);
    }

    /// Lists what the ways take, of the rows that can bind: first by lane (the model's rows,
    /// then the times, then the rest), since what a row comes to is known at the end.
    fn list_rows(&mut self, limits: &Limits, cutoff: i64) {
        let lanes = Lanes::of(self.model, limits);
        let mut most_sum = std::mem::take(&mut self.spare.most_sum);
        most_sum.clear();
        most_sum.resize(lanes.len(), 0);
        let mut most = std::mem::take(&mut self.spare.most);
        most.clear();
        most.resize(lanes.len(), 0);
        let mut touched = std::mem::take(&mut self.spare.touched);
        let mut takes = std::mem::take(&mut self.takes);
        for device in 0..self.all.devices() {
            for &way in self.all.of(device) {
                let from = takes.len();
                self.add_lanes(device, way, &lanes, &mut takes);
                for &(lane, takes) in &takes[from..] {
                    let most = &mut most[lane as usize];
                    if *most == 0 {
                        touched.push(lane);
                    }
                    *most = (*most).max(takes);
                }
                self.starts.push(narrow(takes.len()));
            }
            for lane in touched.drain(..) {
                let (most, sum) = (&mut most[lane as usize], &mut most_sum[lane as usize]);
                *sum = sum.saturating_add(std::mem::take(most));
            }
        }
        self.takes = takes;
        let mut number = std::mem::take(&mut self.spare.number);
        self.number_rows(&lanes, limits, cutoff, &most_sum, &mut number);
        self.keep_rows(&number);
        self.spare.most_sum = most_sum;
        self.spare.most = most;
        self.spare.touched = touched;
        self.spare.number = number;
    }

    /// Numbers the rows that can bind, by lane, where all devices take so much at most.
    fn number_rows(
        &mut self,
        lanes: &Lanes,
        limits: &Limits,
        cutoff: i64,
        most_sum: &[i64],
        number: &mut Vec<u32>,
    ) {
        number.clear();
        for (lane, &most) in most_sum.iter().enumerate() {
            let (what, cap) = lanes.lane(lane, self.model, limits, cutoff);
            let cap_of = match what {
                RowKind::Fixed(row) => self.compiled.caps[row],
                _ => CapOf::Model,
            };
            let (binds, limit) = match cap_of {
                // A table's cap falls with the lines that are left.
                CapOf::Table(_) | CapOf::TablePorts(_) => (true, ANY_LOAD),
                CapOf::Loads(max) => (most > max, max),
                CapOf::Model => (most > cap, ANY_LOAD),
            };
            let is_goal = what == RowKind::Goal;
            if !(binds || is_goal) || (is_goal && self.goal == Goal::Any) {
                number.push(NO_ROW);
                continue;
            }
            let row = narrow(self.caps.len());
            if is_goal {
                self.goal_row = Some(self.caps.len());
            }
            number.push(row);
            // What loads may come to falls with the columns that take from them.
            let of_loads = limit < ANY_LOAD;
            if of_loads {
                let first = if self.has_loads() {
                    self.load_rows.start
                } else {
                    row
                };
                self.load_rows = first..row + 1;
            }
            self.caps.push(if of_loads { most } else { cap });
            self.limits.push(limit);
            self.lanes.push(what);
        }
    }

    /// From lanes to the rows that they are, in place; what is no row goes.
    fn keep_rows(&mut self, number: &[u32]) {
        let (mut from, mut to) = (0, 0);
        for start in &mut self.starts[1..] {
            while from < *start as usize {
                let (lane, amount) = self.takes[from];
                from += 1;
                let row = number[lane as usize];
                if row != NO_ROW {
                    self.takes[to] = (row, amount);
                    to += 1;
                }
            }
            *start = narrow(to);
        }
        self.takes.truncate(to);
    }

    /// Adds every lane that a way takes from, ascending, and how much.
    fn add_lanes(&self, device: usize, way: u32, lanes: &Lanes, takes: &mut Vec<(u32, i64)>) {
        let model = self.model;
        let Way { column, slow, .. } = *self.way(way);
        if let Some(index) = column {
            let of_model = model.takes(index);
            if self.given.is_empty() {
                takes.extend_from_slice(of_model);
            } else {
                takes.extend(of_model.iter().map(|&(row, takes)| {
                    let of_loads = matches!(self.compiled.caps[row as usize], CapOf::Loads(_));
                    let load = || self.load(index, &self.given);
                    (row, if of_loads { load() } else { takes })
                }));
            }
        }
        let cost = match column {
            Some(index) => self.goal.of_column(model, device, index),
            None => self.goal.of_none(model, device),
        };
        lanes.add(model, device, (column, slow), takes);
        if cost > 0 {
            takes.push((narrow(lanes.rest + GOAL), cost));
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

/// Where the lanes of a question stand.
pub(crate) struct Lanes {
    /// How many are rows of the model.
    fixed: usize,
    /// By class, how many are times.
    later: [usize; 2],
    /// The first behind these.
    rest: usize,
    /// Whether the moves are settled, the hours, and the watts.
    moves: bool,
    hours: bool,
    watts: bool,
}

impl Lanes {
    pub(crate) fn of(model: &Model, limits: &Limits) -> Self {
        let fixed = model.rows.len();
        let later = [limits.later[0].len(), limits.later[1].len()];
        Self {
            fixed,
            later,
            rest: fixed + later[0] + later[1],
            moves: limits.moves.is_some(),
            hours: limits.hours.is_some(),
            watts: limits.watts.is_some(),
        }
    }

    pub(crate) fn len(&self) -> usize {
        self.rest + REST
    }

    /// Adds the lanes behind those of the model's rows that a device takes from with a column,
    /// slower than so many settled times, or with none, ascending, and how much; its cost aside.
    pub(crate) fn add(
        &self,
        model: &Model,
        device: usize,
        (column, slow): (Option<u32>, usize),
        takes: &mut Vec<(u32, i64)>,
    ) {
        let rank = model.rank[device];
        let mut add = |lane: usize, amount: i64| takes.push((narrow(lane), amount));
        let Some(index) = column else {
            add(self.rest + UNSERVED + rank, 1);
            if model.missing[device] > 0 {
                add(self.rest + MISSING, model.missing[device]);
            }
            if self.moves && Goal::Moves.of_none(model, device) > 0 {
                add(self.rest + MOVES, 1);
            }
            return;
        };
        // The times of the limits fall: a slow way is slower than the last of them.
        let class = class(rank);
        let before = if class == 0 { 0 } else { self.later[0] };
        for later in self.later[class] - slow..self.later[class] {
            add(self.fixed + before + later, 1);
        }
        let column = model.column(index);
        if model.dominance_key(index).late {
            add(self.rest + rank, 1);
        }
        if column.first > 0 {
            add(self.rest + AFTER_FIRST, 1);
        }
        if self.moves && column.moved {
            add(self.rest + MOVES, 1);
        }
        if self.hours && column.hours > 0 {
            add(self.rest + HOURS, column.hours);
        }
        if self.watts && column.watts > 0 {
            add(self.rest + WATTS, column.watts);
        }
    }

    /// What a lane is, and the most that may be taken from it.
    pub(crate) fn lane(
        &self,
        lane: usize,
        model: &Model,
        limits: &Limits,
        cutoff: i64,
    ) -> (RowKind, i64) {
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

/// As [`Subproblem::load`].
fn load(model: &Model, column: u32, given: &[i64]) -> i64 {
    let column = model.column(column);
    let given = given.get(column.port).copied();
    column.load.min(given.unwrap_or(i64::MAX))
}

/// By how much the loads of all may exceed the limit of a pool with a column.
fn slack(model: &Model, column: u32, given: &[i64]) -> i64 {
    let slack = model.dominance_key(column).slack;
    if slack == ANY_LOAD || given.is_empty() {
        return slack;
    }
    slack - (model.column(column).load - load(model, column, given))
}

/// How many of the settled times, which fall, a time is above.
pub(crate) fn slow(later: &[(i64, i64)], time: i64) -> usize {
    later.len() - later.partition_point(|(most, _)| time <= *most)
}

/// What of a column's amounts counts in a question: its cost, and where that is settled
/// whether it moves, its hours, and its watts.
struct Counts {
    goal: Option<Goal>,
    moves: bool,
    hours: bool,
    watts: bool,
}

/// Those amounts.
type Counted = [i64; 4];

impl Counts {
    fn of(goal: Goal, limits: &Limits) -> Self {
        Self {
            goal: (goal != Goal::Any).then_some(goal),
            moves: limits.moves.is_some(),
            hours: limits.hours.is_some(),
            watts: limits.watts.is_some(),
        }
    }

    fn of_column(&self, model: &Model, device: usize, index: u32) -> Counted {
        let cost = self.goal.map(|goal| goal.of_column(model, device, index));
        let mut counted = [cost.unwrap_or(0), 0, 0, 0];
        if self.moves || self.hours || self.watts {
            let column = model.column(index);
            let settled = |is: bool, amount: i64| if is { amount } else { 0 };
            counted[1] = settled(self.moves, i64::from(column.moved));
            counted[2] = settled(self.hours, column.hours);
            counted[3] = settled(self.watts, column.watts);
        }
        counted
    }
}

/// What two columns of a device on one port are compared by, beside what is the same in every
/// question.
#[derive(Debug)]
struct Compared {
    column: u32,
    slow: usize,
    slack: i64,
    counted: Counted,
}

impl Compared {
    fn no_worse(&self, other: &Self) -> bool {
        let mut counted = self.counted.iter().zip(&other.counted);
        self.slow <= other.slow
            && self.slack >= other.slack
            && counted.all(|(own, other)| own <= other)
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
