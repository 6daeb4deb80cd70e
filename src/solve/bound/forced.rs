//! Forced prices: what the cheapest assignment costs that contains a certain way, exactly.

use super::Bound;
use crate::solve::budget::{Budget, steps_for};
use crate::solve::subproblem::{NodeDomains, Subproblem, Way};
use crate::solve::transport::FORBIDDEN;

impl Bound {
    /// Deletes every way with which the cheapest assignment is more than `slack` above the
    /// bound. Whoever has the seat must leave it, for one that is free or along a chain of
    /// others that ends at the seat which the device gives up: the shortest paths between
    /// groups of ports, by reduced costs, are what that costs at least.
    pub(super) fn delete_forced(
        &self,
        subproblem: &Subproblem<'_>,
        live: &mut NodeDomains,
        slack: i64,
        budget: &mut Budget,
    ) -> bool {
        let seats = &subproblem.model.seats;
        let groups = seats.len();
        budget.spend(steps_for(groups * groups * groups + live.len()));
        let paths = self.paths(seats, slack);
        // The last one: a seat that is free, or none.
        let nodes = groups + 1;
        let transport = &self.transport;
        live.retain(|device, way| {
            let Way { column, port, .. } = *subproblem.way(way);
            let alone = self.way_price[way as usize] - transport.u[device];
            if column.is_none() {
                return alone <= slack;
            }
            let reduced = alone - transport.v[port];
            let own = transport.group[device];
            if own == Some(port) {
                return reduced <= slack;
            }
            let back = own.map_or(FORBIDDEN, |own| paths[port * nodes + own]);
            let leave = back.min(paths[port * nodes + groups]);
            reduced.saturating_add(leave) <= slack
        })
    }

    /// By two groups, what it costs at least that a seat of the first goes to somebody else and
    /// one of the second is given up for it, as far as that is at most `most`; at last by group,
    /// that somebody leaves it for a free seat or for none.
    fn paths(&self, seats: &[usize], most: i64) -> Vec<i64> {
        let groups = seats.len();
        let nodes = groups + 1;
        let transport = &self.transport;
        let mut paths = vec![FORBIDDEN; nodes * nodes];
        let mut members = vec![0_usize; groups];
        for (device, group) in transport.group.iter().enumerate() {
            let Some(group) = *group else { continue };
            members[group] += 1;
            let costs = &self.cost[device * groups..(device + 1) * groups];
            let from = &mut paths[group * nodes..(group + 1) * nodes];
            for ((path, &cost), seat) in from.iter_mut().zip(costs).zip(&transport.v) {
                if cost < FORBIDDEN {
                    *path = (*path).min(cost - transport.u[device] - seat);
                }
            }
            if self.stay[device] < FORBIDDEN {
                from[groups] = from[groups].min(self.stay[device] - transport.u[device]);
            }
        }
        for group in 0..groups {
            paths[group * nodes + group] = 0;
            if members[group] < seats[group] {
                paths[group * nodes + groups] = 0;
            }
        }
        for over in 0..groups {
            for from in 0..nodes {
                let first = paths[from * nodes + over];
                if first > most {
                    continue;
                }
                for to in 0..nodes {
                    let through = first + paths[over * nodes + to];
                    let path = &mut paths[from * nodes + to];
                    *path = (*path).min(through);
                }
            }
        }
        paths
    }
}
