//! The plans of one node of a proof, and what its steps and splits say of them, in whole
//! numbers.

use super::super::program::{Program, Way};
use crate::plan::proof::{Branch, Lines, Split, Step, Ways};

/// All plans that are left in a node: those that hold only open ways, and whose chargers
/// have a line that governs, is respected and is left.
pub(super) struct Plans<'a> {
    program: &'a Program,
    /// By device and way, then by table and line.
    pub(super) open: Vec<Vec<bool>>,
    /// What was closed, the last one last.
    closed: Vec<(usize, usize)>,
}

impl<'a> Plans<'a> {
    pub(super) fn all(program: &'a Program) -> Self {
        let ways = program.ways.iter().map(Vec::len);
        let lines = program.tables.iter().map(|table| table.lines.len());
        Self {
            program,
            open: ways.chain(lines).map(|number| vec![true; number]).collect(),
            closed: Vec::new(),
        }
    }

    /// How many ways and lines are closed.
    pub(super) fn closed(&self) -> usize {
        self.closed.len()
    }

    /// Takes back all that was closed but the first so many.
    pub(super) fn reopen(&mut self, kept: usize) {
        for (list, at) in self.closed.drain(kept..) {
            self.open[list][at] = true;
        }
    }

    fn close(&mut self, list: usize, at: usize) {
        if std::mem::replace(&mut self.open[list][at], false) {
            self.closed.push((list, at));
        }
    }

    /// Closes the open ways of a device for which `gone` holds.
    fn close_ways(&mut self, device: usize, gone: impl Fn(&Way) -> bool) {
        for (at, way) in self.program.ways[device].iter().enumerate() {
            if self.open[device][at] && gone(way) {
                self.close(device, at);
            }
        }
    }

    fn devices(&self) -> std::ops::Range<usize> {
        0..self.program.ways.len()
    }

    fn ways(&self, device: usize) -> impl Iterator<Item = &'a Way> {
        let ways = self.program.ways[device].iter().zip(&self.open[device]);
        ways.filter(|(_, open)| **open).map(|(way, _)| way)
    }

    /// The lines of a table that are left, by port the watts granted.
    fn lines(&self, table: usize) -> impl Iterator<Item = &'a Vec<Option<i64>>> {
        let lines = self.program.tables[table].lines.iter();
        let open = &self.open[self.program.ways.len() + table];
        lines
            .zip(open)
            .filter(|(_, open)| **open)
            .map(|(line, _)| line)
    }

    /// Closes lines that cannot govern, since all ports of theirs that may be in use are
    /// ports of another line with fewer; and ways that no line left grants. Whether a
    /// device then has no way left, so that there is no plan.
    pub(super) fn settle(&mut self) -> bool {
        loop {
            let before = self.closed();
            for (t, table) in self.program.tables.iter().enumerate() {
                let mut in_use = vec![false; self.program.ports];
                let ways = self.devices().flat_map(|device| self.ways(device));
                ways.filter_map(|way| way.seat)
                    .for_each(|(port, _)| in_use[port] = true);
                for (at, line) in table.lines.iter().enumerate() {
                    let governs_instead = |other: &Vec<Option<i64>>| {
                        let ports = || other.iter().zip(line).zip(&in_use);
                        ports().all(|((other, line), _)| other.is_none() || line.is_some())
                            && ports().any(|((other, line), _)| other.is_none() && line.is_some())
                            && ports().all(|((other, line), in_use)| {
                                other.is_some() || line.is_none() || !in_use
                            })
                    };
                    if table.lines.iter().any(governs_instead) {
                        self.close(self.program.ways.len() + t, at);
                    }
                }
                let mut most = vec![0; self.program.ports];
                for line in self.lines(t) {
                    let granted = most.iter_mut().zip(line);
                    granted.for_each(|(most, watts)| *most = watts.unwrap_or(0).max(*most));
                }
                for device in self.devices() {
                    self.close_ways(device, |way| {
                        let granted = way.seat.map_or(0, |(port, _)| most[port]);
                        way.taken(table.row) > granted
                    });
                }
            }
            if self.closed() == before {
                return self
                    .devices()
                    .any(|device| self.ways(device).next().is_none());
            }
        }
    }

    /// The cap of a row, where it has one: of a table, the most that a line left grants.
    fn cap(&self, row: usize) -> Option<i64> {
        match self
            .program
            .tables
            .iter()
            .position(|table| table.row == row)
        {
            None => self.program.caps[row],
            Some(table) => {
                let sums = self.lines(table).map(|line| line.iter().flatten().sum());
                Some(sums.max().unwrap_or(0))
            }
        }
    }

    /// Does a step. Whether it shows that there is no plan.
    pub(super) fn step(&mut self, step: &Step) -> Result<bool, String> {
        let rows = listed(&step.rows, self.program.caps.len(), |price| price > 0)
            .ok_or("rows must rise, each of the setup's, at prices above 0")?;
        let ports = listed(&step.ports, self.program.ports, |price| price < 0)
            .ok_or("ports must rise, each of the setup's, at prices below 0")?;
        let cost = |way: &Way| {
            let taken = way.takes.iter().map(|&(row, n)| rows[row] * i128::from(n));
            taken.sum::<i128>() - way.seat.map_or(0, |(port, _)| ports[port])
        };
        let mut bound: i128 = ports.iter().sum();
        for &(row, price) in &step.rows {
            let cap = self
                .cap(row as usize)
                .ok_or("a row is priced that has no cap")?;
            bound -= i128::from(price) * i128::from(cap);
        }
        let least = |device: usize| self.ways(device).map(cost).min();
        let least: Option<Vec<i128>> = self.devices().map(least).collect();
        let least = least.ok_or("a device has no way left")?;
        bound += least.iter().sum::<i128>();
        if bound != i128::from(step.bound) {
            return Err(format!("the bound is {bound}, not {}", step.bound));
        }
        if bound > 0 {
            return Ok(true);
        }
        for (device, least) in least.into_iter().enumerate() {
            self.close_ways(device, |way| cost(way) - least > -bound);
        }
        Ok(self.settle())
    }

    /// Whether the parts of a split hold all plans of the node.
    pub(super) fn may_split(&self, branch: &Branch) -> Result<(), &'static str> {
        match branch {
            Branch::Device(Split { device, twins, .. }) => {
                let among = |device: u32| self.devices().contains(&(device as usize));
                let open = |device: u32| {
                    let port = |way: &Way| way.seat.map(|(port, _)| port);
                    self.ways(device as usize)
                        .map(move |way| (port(way), &way.takes))
                };
                let alike =
                    |&twin: &u32| twin != *device && among(twin) && open(twin).eq(open(*device));
                if !among(*device) {
                    return Err("there is no such device");
                }
                if !twins.is_sorted_by(|a, b| a < b) || !twins.iter().all(alike) {
                    return Err("a twin is listed that has not the same ways open");
                }
            }
            Branch::Lines(Lines { charger, sets }) => {
                let table = self.table(*charger).ok_or("there is no such table")?;
                let lines = &self.open[self.program.ways.len() + table];
                let covered = |at: usize| sets.iter().flatten().any(|&line| line as usize == at);
                if sets
                    .iter()
                    .flatten()
                    .any(|&line| line as usize >= lines.len())
                {
                    return Err("there is no such line");
                }
                // A charger that is not in use needs no line, but one part to be in.
                if sets.is_empty() || (0..lines.len()).any(|at| lines[at] && !covered(at)) {
                    return Err("a line that is left is in no set");
                }
            }
        }
        Ok(())
    }

    /// Narrows the plans to one part of a split.
    pub(super) fn enter(&mut self, branch: Option<&Branch>, part: usize) {
        match branch {
            Some(Branch::Device(Split {
                device,
                ways,
                twins,
            })) => {
                let second = part == 1;
                let twins = twins.iter().filter(|_| second);
                for device in twins.chain([device]) {
                    self.close_ways(*device as usize, |way| is_meant(ways, way) == second);
                }
            }
            Some(Branch::Lines(Lines { charger, sets })) => {
                let Some(table) = self.table(*charger) else {
                    return;
                };
                for at in 0..self.program.tables[table].lines.len() {
                    if !sets[part].iter().any(|&line| line as usize == at) {
                        self.close(self.program.ways.len() + table, at);
                    }
                }
            }
            None => {}
        }
    }

    fn table(&self, charger: u32) -> Option<usize> {
        let tables = &self.program.tables;
        tables
            .iter()
            .position(|table| table.charger == charger as usize)
    }
}

/// In how many parts a node is split.
pub(super) fn parts(branch: Option<&Branch>) -> usize {
    match branch {
        None => 0,
        Some(Branch::Device(_)) => 2,
        Some(Branch::Lines(lines)) => lines.sets.len(),
    }
}

/// Whether a way is one of those that a split speaks of.
fn is_meant(ways: &Ways, way: &Way) -> bool {
    let among = |list: &[u32], number: usize| list.iter().any(|&one| one as usize == number);
    match ways {
        Ways::Ports(ports) => way.seat.is_some_and(|(port, _)| among(ports, port)),
        Ways::Cables(cables) => way.seat.is_some_and(|(_, cable)| among(cables, cable)),
        Ways::Takes(row, most) => way.taken(*row as usize) <= *most,
        Ways::Stays => way.seat.is_none(),
    }
}

/// A sparse list as a whole one, if its numbers rise, are below `len` and have values that
/// fit.
fn listed(list: &[(u32, i64)], len: usize, fits: impl Fn(i64) -> bool) -> Option<Vec<i128>> {
    let mut all = vec![0; len];
    for &(at, value) in list {
        *all.get_mut(at as usize).filter(|_| fits(value))? = i128::from(value);
    }
    list.is_sorted_by(|a, b| a.0 < b.0).then_some(all)
}
