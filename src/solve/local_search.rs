//! Local search over assignments: makes one that breaks rows keep them. Only ever proposes; the
//! caller's rows decide.

use crate::solve::subproblem::{NodeDomains, Subproblem};
use crate::units::as_float;

/// Mends stop after this many moves per device.
const MOVES_PER_DEVICE: usize = 3;

/// No new round of moves is begun after so many were tried.
pub(crate) const MOST_TRIES: u64 = 50_000;

/// An assignment with what it takes, kept up to date move by move.
struct LocalSearch<'a> {
    subproblem: &'a Subproblem<'a>,
    caps: &'a [i64],
    /// By row, one over its cap.
    weight: Vec<f64>,
    taken: Vec<u32>,
    used: Vec<i64>,
    seated: Vec<usize>,
    /// How many moves were tried.
    tried: u64,
}

impl<'a> LocalSearch<'a> {
    fn new(subproblem: &'a Subproblem<'a>, caps: &'a [i64], taken: &[u32]) -> Self {
        let mut seated = vec![0; subproblem.model.seats.len()];
        for &way in taken {
            let way = subproblem.way(way);
            if way.column.is_some() {
                seated[way.port] += 1;
            }
        }
        Self {
            subproblem,
            caps,
            weight: caps.iter().map(|&cap| 1.0 / as_float(cap.max(1))).collect(),
            taken: taken.to_vec(),
            used: subproblem.used(taken),
            seated,
            tried: 0,
        }
    }

    fn put(&mut self, device: usize, way: u32) {
        self.tried += 1;
        let subproblem = self.subproblem;
        let old = std::mem::replace(&mut self.taken[device], way);
        for &(row, takes) in subproblem.takes(old) {
            self.used[row as usize] -= takes;
        }
        for &(row, takes) in subproblem.takes(way) {
            self.used[row as usize] += takes;
        }
        let (old, new) = (subproblem.way(old), subproblem.way(way));
        if old.column.is_some() {
            self.seated[old.port] -= 1;
        }
        if new.column.is_some() {
            self.seated[new.port] += 1;
        }
    }

    /// By how much rows are broken, each as a share of its cap.
    fn broken(&self) -> f64 {
        (0..self.caps.len())
            .map(|row| self.over(row, self.used[row]))
            .sum()
    }

    fn over(&self, row: usize, used: i64) -> f64 {
        if used > self.caps[row] {
            as_float(used - self.caps[row]) * self.weight[row]
        } else {
            0.0
        }
    }

    /// What `broken` would change by, were `device` to take `way`.
    fn change(&mut self, device: usize, way: u32) -> f64 {
        self.tried += 1;
        let (old, new) = (
            self.subproblem.takes(self.taken[device]),
            self.subproblem.takes(way),
        );
        let mut change = 0.0;
        let (mut i, mut j) = (0, 0);
        while i < old.len() || j < new.len() {
            let row_old = old.get(i).map_or(u32::MAX, |take| take.0);
            let row_new = new.get(j).map_or(u32::MAX, |take| take.0);
            let row = row_old.min(row_new);
            let mut delta = 0;
            if row_old == row {
                delta -= old[i].1;
                i += 1;
            }
            if row_new == row {
                delta += new[j].1;
                j += 1;
            }
            let row = row as usize;
            if delta != 0 {
                change += self.over(row, self.used[row] + delta) - self.over(row, self.used[row]);
            }
        }
        change
    }

    /// Whether a way takes from a row that is over its cap.
    fn is_in_broken_row(&self, way: u32) -> bool {
        let mut takes = self.subproblem.takes(way).iter();
        takes.any(|&(row, _)| self.used[row as usize] > self.caps[row as usize])
    }

    fn keeps_rows(&self) -> bool {
        self.used
            .iter()
            .zip(self.caps)
            .all(|(used, cap)| used <= cap)
    }

    /// Whether tables and promises hold. Every line that a promise depends on counts as a try.
    fn keeps_tables(&mut self) -> bool {
        let model = self.subproblem.model;
        if model.tables.is_empty() && !model.has_promises {
            return true;
        }
        let lines = model.tables.iter().map(|table| table.promised.len());
        self.tried += u64::try_from(lines.sum::<usize>()).unwrap_or(u64::MAX);
        let assignment = self.subproblem.assignment(&self.taken);
        model.tables_hold(&assignment) && model.promises_hold(&assignment)
    }

    /// Whether `device` could take the way, the others staying where they are.
    fn has_seat(&self, device: usize, way: u32) -> bool {
        let (now, new) = (
            self.subproblem.way(self.taken[device]),
            self.subproblem.way(way),
        );
        new.column.is_none()
            || (now.column.is_some() && now.port == new.port)
            || self.seated[new.port] < self.subproblem.model.seats[new.port]
    }
}

/// Tries to make an assignment that keeps all rows, by moving one device at a time or by
/// swapping two, whatever breaks the rows least.
pub(crate) fn repair(
    subproblem: &Subproblem<'_>,
    caps: &[i64],
    live: &NodeDomains,
    taken: &[u32],
    tried: &mut u64,
) -> Option<Vec<u32>> {
    let mut search = LocalSearch::new(subproblem, caps, taken);
    let repaired = keep_rows(&mut search, live);
    let kept = repaired && search.keeps_rows() && search.keeps_tables();
    *tried += search.tried;
    kept.then_some(search.taken)
}

/// Changes of `broken` below this are rounding.
const NO_CHANGE: f64 = 1e-12;

/// Moves devices until no row is broken. Whether that was reached.
fn keep_rows(search: &mut LocalSearch<'_>, live: &NodeDomains) -> bool {
    let devices = live.devices();
    for _ in 0..MOVES_PER_DEVICE * devices {
        if search.keeps_rows() {
            return true;
        }
        if search.tried > MOST_TRIES {
            return false;
        }
        let mut best: Option<(f64, usize, u32)> = None;
        for (device, ways) in live.each() {
            let now = search.taken[device];
            // Only who takes from a broken row can mend it.
            let mends = search.is_in_broken_row(now);
            for &way in ways {
                if way == now || !search.has_seat(device, way) {
                    continue;
                }
                if !mends {
                    search.tried += 1;
                    continue;
                }
                let change = search.change(device, way);
                if change < best.map_or(-NO_CHANGE, |(least, ..)| least) {
                    best = Some((change, device, way));
                }
            }
        }
        match best {
            Some((_, device, way)) => search.put(device, way),
            None if swap(search, live) => {}
            None => return false,
        }
    }
    search.keeps_rows()
}

/// Swaps the ports of two devices where that breaks the rows less.
fn swap(search: &mut LocalSearch<'_>, live: &NodeDomains) -> bool {
    let subproblem = search.subproblem;
    let broken = search.broken();
    let least = |device: usize, port: usize| {
        live.of(device)
            .iter()
            .copied()
            .filter(|&way| subproblem.way(way).column.is_some() && subproblem.way(way).port == port)
            .min_by_key(|&way| {
                let column = subproblem.way(way).column;
                column.map_or(0, |column| subproblem.model.column(column).takes)
            })
    };
    for a in 0..live.devices() {
        for b in a + 1..live.devices() {
            let (at_a, at_b) = (search.taken[a], search.taken[b]);
            let (way_a, way_b) = (subproblem.way(at_a), subproblem.way(at_b));
            if way_a.column.is_none() || way_b.column.is_none() || way_a.port == way_b.port {
                continue;
            }
            let (Some(new_a), Some(new_b)) = (least(a, way_b.port), least(b, way_a.port)) else {
                continue;
            };
            search.put(a, new_a);
            search.put(b, new_b);
            if search.broken() < broken - NO_CHANGE {
                return true;
            }
            search.put(a, at_a);
            search.put(b, at_b);
        }
    }
    false
}
