//! What others surely take from a pool, where the lines of a table say how much: only those
//! lines can govern that have ports for as many devices as must sit there.

use super::compiled::Compiled;
use super::model::{ANY_LOAD, Model};
use crate::solve::subproblem::{NodeDomains, Subproblem};

/// Of one row of loads, what the devices take from it at least.
#[derive(Debug, Clone, Copy)]
struct Least {
    sum: i64,
    /// The least that a device allows that the row must leave something in any case, which
    /// it is, and the next one's.
    tightest: (i64, usize),
    second: i64,
}

impl Least {
    const NONE: Self = Self {
        sum: 0,
        tightest: (i64::MAX, usize::MAX),
        second: i64::MAX,
    };

    fn allow(&mut self, device: usize, most: i64) {
        if most < self.tightest.0 {
            self.second = self.tightest.0;
            self.tightest = (most, device);
        } else {
            self.second = self.second.min(most);
        }
    }

    /// What the others than `device` allow in sum.
    fn beside(&self, device: usize) -> i64 {
        if self.tightest.1 == device {
            self.second
        } else {
            self.tightest.0
        }
    }
}

/// Of a device and a row: how many of its ways take from it, the least that they take, and the
/// most that they allow others.
const NOTHING: (usize, i64, i64) = (0, i64::MAX, i64::MIN);

impl Subproblem<'_> {
    /// Deletes the ways to which the least loads of the others leave too little, or that leave too
    /// little to another. Whether any went.
    pub(crate) fn reduce_loads(&self, live: &mut NodeDomains) -> bool {
        let model = self.model;
        if !self.has_loads() || model.tables.is_empty() || model.sessions > 1 {
            return false;
        }
        let mut given = Vec::new();
        self.given_now(live, &mut given);
        let load = |way: u32| {
            let column = self.way(way).column;
            column.map_or(0, |column| self.load(column, &given))
        };
        let limits = &self.limits[self.load_rows()];
        // What the others may take where a way is taken.
        let allowed = |way: u32, row: usize| {
            let column = self.way(way).column.map(|column| model.column(column));
            let needs = column.filter(|column| !column.assured);
            needs.map_or(ANY_LOAD, |column| limits[row] - column.needs)
        };
        let rows = limits.len();
        // By device and row, the least of its ways, where all of them take from it.
        let mut own = vec![0_i64; live.devices() * rows];
        let mut least = vec![Least::NONE; rows];
        let mut found = vec![NOTHING; rows];
        for (device, ways) in live.each() {
            for &way in ways {
                let load = load(way);
                for row in self.loads_of(way) {
                    let (count, least, most_allowed) = &mut found[row];
                    *count += 1;
                    *least = (*least).min(load);
                    *most_allowed = (*most_allowed).max(allowed(way, row));
                }
            }
            for row in 0..rows {
                let (count, least_load, allowed) = std::mem::replace(&mut found[row], NOTHING);
                if count == ways.len() && count > 0 {
                    own[device * rows + row] = least_load;
                    least[row].sum += least_load;
                    if allowed < ANY_LOAD {
                        least[row].allow(device, allowed + least_load);
                    }
                }
            }
        }
        live.retain(|device, way| {
            let load = load(way);
            self.loads_of(way).all(|row| {
                let others = least[row].sum - own[device * rows + row];
                // `allow` counts the own least of who needs something, as the sum does.
                others <= allowed(way, row)
                    && others.saturating_add(load) <= least[row].beside(device)
            })
        })
    }

    /// As [`least_given`], where only these ways are left.
    fn given_now(&self, live: &NodeDomains, given: &mut Vec<i64>) {
        let model = self.model;
        least_given(model, self.compiled(), self.least_served, given, |t| {
            let there = |&way: &u32| {
                let column = self.way(way).column;
                let of_table = column.and_then(|c| model.table_of[model.column(c).port]);
                of_table.is_some_and(|(of, _)| of == t)
            };
            let sit = live.each().filter(|(_, ways)| ways.iter().all(there));
            sit.count()
        });
    }
}

/// By group of ports, the least that a line gives it that can govern, where so many devices are
/// served and so many of them must sit at a table of the one session. Over several they need not
/// sit at one time.
pub(crate) fn least_given(
    model: &Model,
    compiled: &Compiled,
    served: usize,
    given: &mut Vec<i64>,
    must_sit: impl Fn(usize) -> usize,
) {
    given.clear();
    given.resize(model.table_of.len(), i64::MAX);
    for (t, (table, sums)) in model.tables.iter().zip(&compiled.tables).enumerate() {
        let sitting = if model.sessions > 1 {
            0
        } else {
            must_sit(t).max(served.saturating_sub(sums.elsewhere))
        };
        for (line, &ports) in table.promised.iter().zip(&sums.promised_ports) {
            if ports < sitting {
                continue;
            }
            for &(port, place) in &sums.ports {
                if let Some(grants) = line[place] {
                    given[port] = given[port].min(grants);
                }
            }
        }
    }
}
