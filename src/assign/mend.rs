//! Local search over seatings: makes one that breaks rows keep them, and one that keeps
//! them better. Only ever proposes; the caller's rows decide.

use super::goal::{Goal, Limits, Open, Rows};
use super::model::{Model, Seating};
use crate::units::as_float;

/// Mends stop after this many moves per device.
const MOVES_PER_DEVICE: usize = 3;

/// No new round of moves is begun after so many were tried.
const MOST_TRIES: u64 = 50_000;

/// A seating with what it takes, kept up to date move by move.
struct Workbench<'a> {
    model: &'a Model,
    limits: &'a Limits,
    rows: &'a Rows,
    seating: Seating,
    used: Vec<i64>,
    seated: Vec<usize>,
    /// How many moves were tried.
    tried: u64,
}

impl<'a> Workbench<'a> {
    fn new(model: &'a Model, limits: &'a Limits, rows: &'a Rows, seating: &Seating) -> Self {
        let mut seated = vec![0; model.seats.len()];
        for &choice in seating.iter().flatten() {
            seated[model.choice(choice).port] += 1;
        }
        Self {
            model,
            limits,
            rows,
            seating: seating.clone(),
            used: rows.used(model, limits, seating),
            seated,
            tried: 0,
        }
    }

    fn put(&mut self, device: usize, choice: Option<u32>) {
        self.tried += 1;
        let old = std::mem::replace(&mut self.seating[device], choice);
        let (model, rows, limits) = (self.model, self.rows, self.limits);
        let used = &mut self.used;
        rows.each_taken(model, limits, device, old, |row, takes| used[row] -= takes);
        rows.each_taken(model, limits, device, choice, |row, takes| {
            used[row] += takes;
        });
        if let Some(old) = old {
            self.seated[model.choice(old).port] -= 1;
        }
        if let Some(new) = choice {
            self.seated[model.choice(new).port] += 1;
        }
    }

    /// By how much rows are broken, each as a share of its cap.
    fn broken(&self) -> f64 {
        self.used
            .iter()
            .zip(&self.rows.caps)
            .filter(|(used, cap)| used > cap)
            .map(|(&used, &cap)| as_float(used - cap) / as_float(cap.max(1)))
            .sum()
    }

    fn keeps_rows(&self) -> bool {
        self.used
            .iter()
            .zip(&self.rows.caps)
            .all(|(used, cap)| used <= cap)
    }

    /// Whether `device` could sit at the choice's port, the others staying.
    fn has_seat(&self, device: usize, choice: u32) -> bool {
        let port = self.model.choice(choice).port;
        let here = self.seating[device].is_some_and(|c| self.model.choice(c).port == port);
        here || self.seated[port] < self.model.seats[port]
    }
}

/// Tries to make a seating that keeps all rows, by moving one device at a time or by
/// swapping two, whatever breaks the rows least.
pub(super) fn mend(
    model: &Model,
    limits: &Limits,
    rows: &Rows,
    open: &Open,
    seating: &Seating,
    tried: &mut u64,
) -> Option<Seating> {
    let mut bench = Workbench::new(model, limits, rows, seating);
    let mended = repair(&mut bench, open);
    *tried += bench.tried;
    (mended && bench.keeps_rows() && model.tables_hold(&bench.seating)).then_some(bench.seating)
}

/// Moves devices until no row is broken. Whether that was reached.
fn repair(bench: &mut Workbench<'_>, open: &Open) -> bool {
    let model = bench.model;
    for _ in 0..MOVES_PER_DEVICE * model.len() {
        let broken = bench.broken();
        if broken <= 0.0 {
            return true;
        }
        if bench.tried > MOST_TRIES {
            return false;
        }
        let mut best: Option<(f64, usize, u32)> = None;
        for device in 0..model.len() {
            let now = bench.seating[device];
            for &choice in &open.choices[device] {
                if Some(choice) == now || !bench.has_seat(device, choice) {
                    continue;
                }
                bench.put(device, Some(choice));
                let after = bench.broken();
                if after < best.map_or(broken, |(least, ..)| least) {
                    best = Some((after, device, choice));
                }
                bench.put(device, now);
            }
        }
        match best {
            Some((_, device, choice)) => bench.put(device, Some(choice)),
            None if swap(bench, open, broken) => {}
            None => return false,
        }
    }
    bench.broken() <= 0.0
}

/// Swaps the ports of two devices where that breaks the rows less.
fn swap(bench: &mut Workbench<'_>, open: &Open, broken: f64) -> bool {
    let model = bench.model;
    for a in 0..model.len() {
        for b in a + 1..model.len() {
            let (Some(at_a), Some(at_b)) = (bench.seating[a], bench.seating[b]) else {
                continue;
            };
            let (port_a, port_b) = (model.choice(at_a).port, model.choice(at_b).port);
            if port_a == port_b {
                continue;
            }
            let least = |device: usize, port: usize| {
                open.choices[device]
                    .iter()
                    .copied()
                    .filter(|&c| model.choice(c).port == port)
                    .min_by_key(|&c| model.choice(c).takes)
            };
            let (Some(new_a), Some(new_b)) = (least(a, port_b), least(b, port_a)) else {
                continue;
            };
            bench.put(a, Some(new_a));
            bench.put(b, Some(new_b));
            if bench.broken() < broken {
                return true;
            }
            bench.put(a, Some(at_a));
            bench.put(b, Some(at_b));
        }
    }
    false
}

/// Improves a seating that keeps all rows: every device in turn takes the choice that
/// is best for the plan's order as far as the others leave room.
pub(super) fn polish(
    model: &Model,
    limits: &Limits,
    rows: &Rows,
    open: &Open,
    seating: &Seating,
    goal: Goal,
) -> Seating {
    let mut bench = Workbench::new(model, limits, rows, seating);
    let rank = |device: usize, choice: Option<u32>| match choice {
        Some(c) if goal == Goal::Watts => (goal.of_choice(model, c), model.choice(c).time),
        Some(c) => (model.choice(c).time, model.choice(c).watts),
        None => (i64::MAX, i64::try_from(device).unwrap_or(i64::MAX)),
    };
    loop {
        let mut order: Vec<usize> = (0..model.len())
            .filter(|&d| bench.seating[d].is_some())
            .collect();
        order.sort_by_key(|&d| std::cmp::Reverse(rank(d, bench.seating[d])));
        let mut moved = false;
        for device in order {
            let now = bench.seating[device];
            let mut better: Vec<u32> = open.choices[device]
                .iter()
                .copied()
                .filter(|&c| rank(device, Some(c)) < rank(device, now))
                .collect();
            better.sort_by_key(|&c| rank(device, Some(c)));
            for choice in better {
                if !bench.has_seat(device, choice) {
                    continue;
                }
                bench.put(device, Some(choice));
                if bench.keeps_rows() && model.tables_hold(&bench.seating) {
                    moved = true;
                    break;
                }
                bench.put(device, now);
            }
        }
        if !moved || bench.tried > MOST_TRIES {
            return bench.seating;
        }
    }
}
