//! What the berths of a pool leave to one another, where something is promised: one of
//! several levels is chosen that their loads keep, and a way is open up to its own.

use super::{Builder, Variable};
use crate::verify::program::Way;

/// The levels of a pool in one session.
pub(super) struct OfPool {
    session: usize,
    pool: usize,
    first: u32,
    /// Rising; the last is as much as the loads can come to.
    limits: Vec<i64>,
}

impl Builder<'_> {
    /// A group for each session and pool without a table where a way asks for a grant.
    pub(super) fn add_levels(&mut self) -> Vec<OfPool> {
        let mut all = Vec::new();
        for session in 0..self.program.sessions {
            for pool in 0..self.program.pools.len() {
                let levels = self.levels(session, pool);
                if levels.len() < 2 {
                    continue;
                }
                let variables = self.add_group(levels.iter().map(|_| Variable::Level));
                all.push(OfPool {
                    session,
                    pool,
                    first: variables.start,
                    limits: levels,
                });
            }
        }
        all
    }

    fn levels(&self, session: usize, pool: usize) -> Vec<i64> {
        let of = &self.program.pools[pool];
        if of.in_table {
            return Vec::new();
        }
        let most_on = |port: usize| {
            let there = self.during(session, move |on| on == port);
            there.map(|(_, _, way)| way.load).max().unwrap_or(0)
        };
        let most: i64 = of.ports.iter().map(|&port| most_on(port)).sum();
        let there = self.during(session, |on| of.ports.contains(&on));
        let asked = there.filter_map(|(_, _, way)| self.level(pool, way));
        let mut levels: Vec<i64> = asked.filter(|level| *level < most).chain([most]).collect();
        levels.sort_unstable();
        levels.dedup();
        levels
    }

    /// What all loads of the pool may come to at most beside a way that is there.
    fn level(&self, pool: usize, way: &Way) -> Option<i64> {
        let floor = way
            .seat
            .map_or(0, |seat| self.program.ports[seat.port].floor);
        let most = self.program.pools[pool].max + way.load - way.need;
        (way.need > floor).then_some(most)
    }

    pub(super) fn rows_of_levels(&mut self, all: &[OfPool]) {
        for of in all {
            let ports = &self.program.pools[of.pool].ports;
            let there: Vec<(u32, usize, Way)> = self
                .during(of.session, |on| ports.contains(&on))
                .cloned()
                .collect();
            let numbers = || (of.first..).zip(&of.limits);
            let most = of.limits.last().copied().unwrap_or(0);
            let loads = there.iter().map(|(number, _, way)| (*number, way.load));
            let levels = numbers().map(|(number, level)| (number, most - level));
            self.at_most(loads.chain(levels), most);
            // Both as places in the list of levels: a way that asks for nothing takes 0.
            let below = |way: &Way| -> i64 {
                let own = self.level(of.pool, way).unwrap_or(most);
                of.limits.iter().map(|&level| i64::from(level > own)).sum()
            };
            let top: i64 = of.limits.iter().map(|&level| i64::from(level < most)).sum();
            let mut rows = Vec::new();
            for agent in 0..self.program.agents.len() {
                let own = there.iter().filter(|(_, of, _)| *of == agent);
                let own: Vec<_> = own.map(|(n, _, way)| (*n, below(way))).collect();
                if own.iter().any(|(_, below)| *below > 0) {
                    let levels = (of.first..).zip(0..=top);
                    rows.push(own.into_iter().chain(levels).collect::<Vec<_>>());
                }
            }
            for row in rows {
                self.at_most(row, top);
            }
        }
    }
}
