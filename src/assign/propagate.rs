//! What one row alone rules out: a choice that takes more than the row has left when
//! every other device takes its least.

use super::goal::{Goal, Limits, Open, Rows};
use super::model::Model;

/// Deletions can make room for more; after so many rounds the bound takes over.
const MOST_ROUNDS: usize = 4;

/// Deletes choices until nothing changes. Whether anything is possible still.
pub(super) fn propagate(
    model: &Model,
    goal: Goal,
    limits: &Limits,
    rows: &Rows,
    cutoff: i64,
    open: &mut Open,
) -> bool {
    // The cost is one more row.
    let cost_row = rows.len();
    let cap = |row: usize| {
        if row == cost_row {
            cutoff
        } else {
            rows.caps[row]
        }
    };
    let takes = |device: usize, choice: Option<u32>, f: &mut dyn FnMut(usize, i64)| {
        rows.each_taken(model, limits, device, choice, &mut *f);
        let cost = match choice {
            Some(choice) => goal.of_choice(model, choice),
            None => goal.of_none(model, device),
        };
        f(cost_row, cost);
    };
    let mut least = Least::new(cost_row + 1);
    for _ in 0..MOST_ROUNDS {
        least.start();
        for device in 0..model.len() {
            let ways = ways(open, device);
            for &way in &ways {
                takes(device, way, &mut |row, takes| least.see(row, takes));
            }
            if ways.is_empty() {
                return false;
            }
            least.close_device(ways.len());
        }
        if (0..=cost_row).any(|row| least.sum[row] > cap(row)) {
            return false;
        }
        let mut deleted = false;
        for device in 0..model.len() {
            let fits = |way: Option<u32>| {
                let mut fits = true;
                takes(device, way, &mut |row, takes| {
                    fits &= least.others(device, row).saturating_add(takes) <= cap(row);
                });
                fits
            };
            let before = open.choices[device].len();
            open.choices[device].retain(|&choice| fits(Some(choice)));
            deleted |= open.choices[device].len() < before;
            if open.may_stay[device] && !fits(None) {
                open.may_stay[device] = false;
                deleted = true;
            }
        }
        if open.is_stuck() {
            return false;
        }
        if !deleted {
            return true;
        }
    }
    true
}

fn ways(open: &Open, device: usize) -> Vec<Option<u32>> {
    let stay = open.may_stay[device].then_some(None);
    open.choices[device]
        .iter()
        .map(|&choice| Some(choice))
        .chain(stay)
        .collect()
}

/// The least that each device takes from each row, and the sums.
struct Least {
    sum: Vec<i64>,
    /// By device, the rows from which it always takes something.
    by_device: Vec<Vec<(usize, i64)>>,
    seen: Vec<(usize, i64)>,
    touched: Vec<usize>,
}

impl Least {
    fn new(rows: usize) -> Self {
        Self {
            sum: vec![0; rows],
            by_device: Vec::new(),
            seen: vec![(0, 0); rows],
            touched: Vec::new(),
        }
    }

    fn start(&mut self) {
        self.sum.fill(0);
        self.by_device.clear();
    }

    fn see(&mut self, row: usize, takes: i64) {
        let (times, least) = &mut self.seen[row];
        *least = if *times == 0 {
            takes
        } else {
            takes.min(*least)
        };
        if *times == 0 {
            self.touched.push(row);
        }
        *times += 1;
    }

    fn close_device(&mut self, ways: usize) {
        let mut always = Vec::new();
        for row in self.touched.drain(..) {
            let (times, least) = std::mem::take(&mut self.seen[row]);
            if times == ways && least > 0 {
                self.sum[row] += least;
                always.push((row, least));
            }
        }
        self.by_device.push(always);
    }

    /// What all devices but one take from a row at least.
    fn others(&self, device: usize, row: usize) -> i64 {
        let own = self.by_device[device]
            .iter()
            .find(|(r, _)| *r == row)
            .map_or(0, |(_, l)| *l);
        self.sum[row] - own
    }
}
