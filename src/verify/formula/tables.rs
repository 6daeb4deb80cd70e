//! Chargers with combinations: which line is respected, and, where something is promised,
//! which lines govern.

use std::collections::BTreeSet;
use std::ops::Range;

use super::{Builder, Variable};
use crate::verify::program::{Program, Table, Way};

/// More sets of ports on one charger are not told apart.
const MOST_SETS: usize = 256;

/// The lines of a table in one session.
pub(super) struct Lines {
    session: usize,
    table: usize,
    variables: Range<u32>,
}

/// The sets of ports of a table in one session.
pub(super) struct ClosedSets {
    session: usize,
    table: usize,
    first: u32,
    all: Vec<Closed>,
}

/// Ports that are all those of some lines together.
struct Closed {
    /// Of the charger.
    ports: BTreeSet<usize>,
    /// By port of the charger, the least and the most that a line gives it that governs
    /// where these are the ports in use.
    least: Vec<i64>,
    most: Vec<i64>,
}

fn ports_of(line: &[Option<i64>]) -> BTreeSet<usize> {
    let given = line.iter().enumerate().filter(|(_, watts)| watts.is_some());
    given.map(|(port, _)| port).collect()
}

/// The sets of ports that are common to some lines, the smallest first, then port by port.
fn closed_sets(table: &Table) -> Option<Vec<Closed>> {
    let mut known: BTreeSet<BTreeSet<usize>> = BTreeSet::new();
    for line in &table.lines {
        let ports = ports_of(line);
        let both = known.iter().map(|other| &ports & other);
        let both: Vec<BTreeSet<usize>> = both.collect();
        known.extend(both);
        known.insert(ports);
        if known.len() > MOST_SETS {
            return None;
        }
    }
    let mut known: Vec<BTreeSet<usize>> = known.into_iter().collect();
    known.sort_by_key(BTreeSet::len);
    Some(
        known
            .into_iter()
            .map(|ports| closed(table, ports))
            .collect(),
    )
}

fn closed(table: &Table, ports: BTreeSet<usize>) -> Closed {
    let holding = || {
        table
            .lines
            .iter()
            .filter(|l| ports_of(l).is_superset(&ports))
    };
    let governs = |line: &&Vec<Option<i64>>| {
        let own = ports_of(line);
        holding().all(|other| {
            let other = ports_of(other);
            other == own || !other.is_subset(&own)
        })
    };
    let governing: Vec<&Vec<Option<i64>>> = holding().filter(governs).collect();
    let of_port = |port: usize| {
        let is_there = ports.contains(&port);
        let given = governing.iter().filter_map(move |line| line[port]);
        given.filter(move |_| is_there)
    };
    let all = 0..table.ports.len();
    let least = all.clone().map(|p| of_port(p).min().unwrap_or(0)).collect();
    let most = all.map(|p| of_port(p).max().unwrap_or(0)).collect();
    Closed { ports, least, most }
}

impl Builder<'_> {
    /// A group for each session and table on whose ports something is.
    pub(super) fn add_lines(&mut self) -> Vec<Lines> {
        let mut all = Vec::new();
        for (session, table) in each(self.program) {
            let of = &self.program.tables[table];
            if self
                .during(session, |on| of.ports.contains(&on))
                .next()
                .is_some()
            {
                let variables = self.add_group(of.lines.iter().map(|_| Variable::Line));
                all.push(Lines {
                    session,
                    table,
                    variables,
                });
            }
        }
        all
    }

    /// A group for each session and table on whose ports something asks for a grant.
    pub(super) fn add_sets(&mut self) -> Option<Vec<ClosedSets>> {
        let mut all = Vec::new();
        for (session, table) in each(self.program) {
            let of = &self.program.tables[table];
            let asks = |(_, _, way): &(u32, usize, Way)| way.need > 0;
            if self.during(session, |on| of.ports.contains(&on)).any(asks) {
                let sets = closed_sets(of)?;
                let variables = self.add_group(sets.iter().map(|_| Variable::Ports));
                all.push(ClosedSets {
                    session,
                    table,
                    first: variables.start,
                    all: sets,
                });
            }
        }
        Some(all)
    }

    pub(super) fn rows_of_lines(&mut self, all: &[Lines]) {
        for lines in all {
            let table = &self.program.tables[lines.table];
            let numbers = || lines.variables.clone().zip(&table.lines);
            for (at, port) in table.ports.clone().enumerate() {
                let given = |line: &[Option<i64>]| line[at].unwrap_or(0);
                let most = table
                    .lines
                    .iter()
                    .map(|line| given(line))
                    .max()
                    .unwrap_or(0);
                let there = self.during(lines.session, |on| on == port);
                let ways: Vec<_> = there.map(|(number, _, way)| (*number, way.tier)).collect();
                if !ways.is_empty() {
                    let lines = numbers().map(|(number, line)| (number, most - given(line)));
                    self.at_most(ways.into_iter().chain(lines), most);
                }
            }
            for (number, line) in numbers() {
                let own = ports_of(line);
                for other in &table.lines {
                    let other = ports_of(other);
                    if other.is_subset(&own) && other != own {
                        self.beyond(lines.session, table, (number, &own), &other);
                    }
                }
            }
        }
    }

    /// Where `number` is 1, something is on one of its ports that is not among the others.
    fn beyond(
        &mut self,
        session: usize,
        table: &Table,
        (number, own): (u32, &BTreeSet<usize>),
        others: &BTreeSet<usize>,
    ) {
        let from = table.ports.start;
        let beyond: Vec<usize> = own.difference(others).map(|at| from + at).collect();
        let there = self.during(session, |on| beyond.contains(&on));
        let ways: Vec<_> = there.map(|(number, ..)| (*number, 1)).collect();
        self.at_least(ways.into_iter().chain([(number, -1)]), 0);
    }

    pub(super) fn rows_of_sets(&mut self, all: &[ClosedSets]) {
        for of in all {
            let table = &self.program.tables[of.table];
            let numbers = || (of.first..).zip(&of.all);
            for (at, port) in table.ports.clone().enumerate() {
                let there = self.during(of.session, |on| on == port);
                let ways: Vec<_> = there.map(|(number, _, way)| (*number, way.need)).collect();
                if ways.is_empty() {
                    continue;
                }
                let without = numbers().filter(|(_, set)| !set.ports.contains(&at));
                let without: Vec<_> = without.map(|(number, _)| (number, 1)).collect();
                let in_use = ways.iter().map(|(number, _)| (*number, 1));
                self.at_most(in_use.chain(without), 1);
                if ways.iter().any(|(_, need)| *need > 0) {
                    let most = of.all.iter().map(|set| set.least[at]).max().unwrap_or(0);
                    let sets = numbers().map(|(number, set)| (number, most - set.least[at]));
                    self.at_most(ways.iter().copied().chain(sets), most);
                }
            }
            for (number, set) in numbers() {
                let within =
                    |other: &&Closed| other.ports.is_subset(&set.ports) && other.ports != set.ports;
                for other in of.all.iter().filter(within) {
                    self.beyond(of.session, table, (number, &set.ports), &other.ports);
                }
            }
            for &pool in &table.pools {
                self.rows_of_shared(of, table, pool);
            }
        }
    }

    /// What a pool of a charger with a table leaves to each berth, set by set.
    fn rows_of_shared(&mut self, of: &ClosedSets, table: &Table, pool: usize) {
        let pool = &self.program.pools[pool];
        for &port in &pool.ports {
            let floor = self.program.ports[port].floor;
            let there = self.during(of.session, |on| on == port);
            let asks: Vec<(u32, i64)> = there
                .filter(|(_, _, way)| way.need > floor)
                .map(|(number, _, way)| (*number, way.need))
                .collect();
            if asks.is_empty() {
                continue;
            }
            for (number, set) in (of.first..).zip(&of.all) {
                if !set.ports.contains(&(port - table.ports.start)) {
                    continue;
                }
                let beside = |on: usize| on != port && pool.ports.contains(&on);
                let mut most_of = vec![0; table.ports.len()];
                let mut loads = Vec::new();
                for (other, _, way) in self.during(of.session, beside) {
                    let at = way.seat.map_or(0, |seat| seat.port - table.ports.start);
                    let load = way.load.min(set.most[at]);
                    most_of[at] = load.max(most_of[at]);
                    loads.push((*other, load));
                }
                let most: i64 = most_of.iter().sum();
                let own = asks
                    .iter()
                    .map(|&(way, need)| (way, (most - pool.max + need).max(0)))
                    .filter(|(_, n)| *n > 0);
                let own: Vec<(u32, i64)> = own.collect();
                if !own.is_empty() {
                    let all = loads.into_iter().chain(own).chain([(number, most)]);
                    self.at_most(all, 2 * most);
                }
            }
        }
    }
}

/// Every session with every table.
fn each(program: &Program) -> impl Iterator<Item = (usize, usize)> + use<> {
    let tables = program.tables.len();
    (0..program.sessions).flat_map(move |session| (0..tables).map(move |table| (session, table)))
}
