//! What one row alone rules out: a way that takes more than the row has left when every
//! other device takes its least.

use crate::solve::model::ANY_LOAD;
use crate::solve::subproblem::{NodeDomains, Subproblem};

/// Deletions can make room for more; after so many rounds the bound takes over.
const MOST_ROUNDS: usize = 4;

/// Working memory, kept between calls.
#[derive(Debug, Default)]
pub(crate) struct Propagation {
    /// By row, what all devices take at least.
    least_sum: Vec<i64>,
    /// Device after device, the rows from which it always takes something.
    always: Vec<(u32, i64)>,
    ends: Vec<usize>,
    /// By row, what is left for a device beside the least of all others, what the device at hand
    /// always takes counted back.
    room: Vec<i64>,
}

impl Propagation {
    /// Deletes ways until nothing changes. Whether anything is possible still.
    pub(crate) fn run(
        &mut self,
        subproblem: &Subproblem<'_>,
        caps: &[i64],
        live: &mut NodeDomains,
    ) -> bool {
        if live.is_stuck() {
            return false;
        }
        for _ in 0..MOST_ROUNDS {
            self.sum_up(subproblem, live, caps.len());
            if self.least_sum.iter().zip(caps).any(|(sum, cap)| sum > cap) {
                return false;
            }
            let deleted = self.delete(subproblem, caps, live);
            if !deleted {
                return true;
            }
            if live.is_stuck() {
                return false;
            }
        }
        true
    }

    /// Deletes what does not fit beside the least of all others. Whether anything went.
    fn delete(
        &mut self,
        subproblem: &Subproblem<'_>,
        caps: &[i64],
        live: &mut NodeDomains,
    ) -> bool {
        let Self {
            least_sum,
            always,
            ends,
            room,
        } = self;
        room.clear();
        room.extend(caps.iter().zip(&*least_sum).map(|(cap, sum)| cap - sum));
        let loads = subproblem.load_rows();
        let mut shown = 0..0;
        let mut of_device = usize::MAX;
        live.retain(|device, way| {
            if device != of_device {
                for &(row, least) in &always[shown.clone()] {
                    room[row as usize] -= least;
                }
                of_device = device;
                shown = if device == 0 { 0 } else { ends[device - 1] }..ends[device];
                for &(row, least) in &always[shown.clone()] {
                    room[row as usize] += least;
                }
            }
            let takes = subproblem.takes(way);
            let slack = subproblem.way(way).slack;
            takes
                .iter()
                .all(|&(row, takes)| takes <= room[row as usize])
                // A way whose promise the loads of the others break is closed, too.
                && (slack == ANY_LOAD
                    || takes.iter().all(|&(row, takes)| {
                        let row = row as usize;
                        let over = || subproblem.limits[row].saturating_add(slack) - caps[row];
                        !loads.contains(&row) || takes <= room[row].saturating_add(over())
                    }))
        })
    }

    /// The least that each device takes from each row, and the sums.
    fn sum_up(&mut self, subproblem: &Subproblem<'_>, live: &NodeDomains, rows: usize) {
        self.least_sum.clear();
        self.least_sum.resize(rows, 0);
        self.always.clear();
        self.ends.clear();
        for (_, ways) in live.each() {
            let from = self.always.len();
            if let Some((&first, rest)) = ways.split_first() {
                self.always.extend_from_slice(subproblem.takes(first));
                for &way in rest {
                    if self.always.len() == from {
                        break;
                    }
                    self.keep_common(from, subproblem.takes(way));
                }
            }
            for &(row, least) in &self.always[from..] {
                self.least_sum[row as usize] = self.least_sum[row as usize].saturating_add(least);
            }
            self.ends.push(self.always.len());
        }
    }

    /// Of the rows from `from` on those that `takes` has too, each with the lesser amount.
    /// Both ascend.
    fn keep_common(&mut self, from: usize, takes: &[(u32, i64)]) {
        let mut to = from;
        let mut at = 0;
        for read in from..self.always.len() {
            let (row, least) = self.always[read];
            while at < takes.len() && takes[at].0 < row {
                at += 1;
            }
            if at < takes.len() && takes[at].0 == row {
                self.always[to] = (row, least.min(takes[at].1));
                to += 1;
            }
        }
        self.always.truncate(to);
    }
}
