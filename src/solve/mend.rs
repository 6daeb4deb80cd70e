//! Local search over seatings: makes one that breaks rows keep them, and one that keeps
//! them better. Only ever proposes; the caller's rows decide.

use super::program::{Live, Program};
use crate::units::as_float;

/// Mends stop after this many moves per device.
const MOVES_PER_DEVICE: usize = 3;

/// No new round of moves is begun after so many were tried.
const MOST_TRIES: u64 = 50_000;

/// A seating with what it takes, kept up to date move by move.
struct Workbench<'a> {
    program: &'a Program<'a>,
    caps: &'a [i64],
    /// By row, one over its cap.
    weight: Vec<f64>,
    taken: Vec<u32>,
    used: Vec<i64>,
    seated: Vec<usize>,
    /// How many moves were tried.
    tried: u64,
}

impl<'a> Workbench<'a> {
    fn new(program: &'a Program<'a>, caps: &'a [i64], taken: &[u32]) -> Self {
        let mut seated = vec![0; program.model.seats.len()];
        for &way in taken {
            let way = program.way(way);
            if way.choice.is_some() {
                seated[way.port] += 1;
            }
        }
        Self {
            program,
            caps,
            weight: caps.iter().map(|&cap| 1.0 / as_float(cap.max(1))).collect(),
            taken: taken.to_vec(),
            used: program.used(taken),
            seated,
            tried: 0,
        }
    }

    fn put(&mut self, device: usize, way: u32) {
        self.tried += 1;
        let program = self.program;
        let old = std::mem::replace(&mut self.taken[device], way);
        for &(row, takes) in program.takes(old) {
            self.used[row as usize] -= takes;
        }
        for &(row, takes) in program.takes(way) {
            self.used[row as usize] += takes;
        }
        let (old, new) = (program.way(old), program.way(way));
        if old.choice.is_some() {
            self.seated[old.port] -= 1;
        }
        if new.choice.is_some() {
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
            self.program.takes(self.taken[device]),
            self.program.takes(way),
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

    fn keeps_rows(&self) -> bool {
        self.used
            .iter()
            .zip(self.caps)
            .all(|(used, cap)| used <= cap)
    }

    fn keeps_tables(&self) -> bool {
        self.program.model.tables.is_empty()
            || self
                .program
                .model
                .tables_hold(&self.program.seating(&self.taken))
    }

    /// Whether `device` could take the way, the others staying where they are.
    fn has_seat(&self, device: usize, way: u32) -> bool {
        let (now, new) = (self.program.way(self.taken[device]), self.program.way(way));
        new.choice.is_none()
            || (now.choice.is_some() && now.port == new.port)
            || self.seated[new.port] < self.program.model.seats[new.port]
    }
}

/// Tries to make a seating that keeps all rows, by moving one device at a time or by
/// swapping two, whatever breaks the rows least.
pub(crate) fn mend(
    program: &Program<'_>,
    caps: &[i64],
    live: &Live,
    taken: &[u32],
    tried: &mut u64,
) -> Option<Vec<u32>> {
    let mut bench = Workbench::new(program, caps, taken);
    let mended = repair(&mut bench, live);
    *tried += bench.tried;
    (mended && bench.keeps_rows() && bench.keeps_tables()).then_some(bench.taken)
}

/// Changes of `broken` below this are rounding.
const NO_CHANGE: f64 = 1e-12;

/// Moves devices until no row is broken. Whether that was reached.
fn repair(bench: &mut Workbench<'_>, live: &Live) -> bool {
    let devices = live.devices();
    for _ in 0..MOVES_PER_DEVICE * devices {
        if bench.keeps_rows() {
            return true;
        }
        if bench.tried > MOST_TRIES {
            return false;
        }
        let mut best: Option<(f64, usize, u32)> = None;
        for (device, ways) in live.each() {
            let now = bench.taken[device];
            for &way in ways {
                if way == now || !bench.has_seat(device, way) {
                    continue;
                }
                let change = bench.change(device, way);
                if change < best.map_or(-NO_CHANGE, |(least, ..)| least) {
                    best = Some((change, device, way));
                }
            }
        }
        match best {
            Some((_, device, way)) => bench.put(device, way),
            None if swap(bench, live) => {}
            None => return false,
        }
    }
    bench.keeps_rows()
}

/// Swaps the ports of two devices where that breaks the rows less.
fn swap(bench: &mut Workbench<'_>, live: &Live) -> bool {
    let program = bench.program;
    let broken = bench.broken();
    let least = |device: usize, port: usize| {
        live.of(device)
            .iter()
            .copied()
            .filter(|&way| program.way(way).choice.is_some() && program.way(way).port == port)
            .min_by_key(|&way| {
                let choice = program.way(way).choice;
                choice.map_or(0, |choice| program.model.choice(choice).takes)
            })
    };
    for a in 0..live.devices() {
        for b in a + 1..live.devices() {
            let (at_a, at_b) = (bench.taken[a], bench.taken[b]);
            let (way_a, way_b) = (program.way(at_a), program.way(at_b));
            if way_a.choice.is_none() || way_b.choice.is_none() || way_a.port == way_b.port {
                continue;
            }
            let (Some(new_a), Some(new_b)) = (least(a, way_b.port), least(b, way_a.port)) else {
                continue;
            };
            bench.put(a, new_a);
            bench.put(b, new_b);
            if bench.broken() < broken - NO_CHANGE {
                return true;
            }
            bench.put(a, at_a);
            bench.put(b, at_b);
        }
    }
    false
}

/// Improves a seating that keeps all rows, as far as the others leave room: devices
/// without a berth get one, and every device in turn takes the way that `rank` has
/// lowest.
pub(crate) fn polish<K: Ord + Copy>(
    program: &Program<'_>,
    taken: &[u32],
    rank: impl Fn(usize, u32) -> K,
) -> Vec<u32> {
    let mut bench = Workbench::new(program, &program.caps, taken);
    let live = program.all();
    loop {
        let mut order: Vec<usize> = (0..live.devices()).collect();
        order.sort_by_key(|&device| std::cmp::Reverse(rank(device, bench.taken[device])));
        let mut moved = false;
        for device in order {
            let now = bench.taken[device];
            let best = rank(device, now);
            let mut better: Vec<(K, u32)> = Vec::new();
            for &way in live.of(device) {
                let rank = rank(device, way);
                if rank < best
                    && bench.has_seat(device, way)
                    && bench.change(device, way) <= NO_CHANGE
                {
                    better.push((rank, way));
                }
            }
            better.sort_unstable();
            for (_, way) in better {
                bench.put(device, way);
                if bench.keeps_rows() && bench.keeps_tables() {
                    moved = true;
                    break;
                }
                bench.put(device, now);
            }
        }
        if !moved || bench.tried > MOST_TRIES {
            return bench.taken;
        }
    }
}
