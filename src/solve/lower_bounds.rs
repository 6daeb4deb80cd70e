//! What each row takes at least if all but a few devices are full by a given time: a
//! floor under the times, found without a search.

use super::goal::{Domains, class};
use super::model::{Assignment, Model};

/// A time, and the least that a device takes from a row when it is full by then.
type Step = (i64, i64);

/// By device and row a staircase: the later, the less it must take.
#[derive(Debug)]
pub(crate) struct LowerBounds {
    /// All times of open columns, rising.
    times: Vec<i64>,
    /// The devices that have any open column.
    devices: Vec<Device>,
    /// How many of them stay without a berth.
    staying: usize,
    /// By row.
    caps: Vec<i64>,
}

#[derive(Debug)]
struct Device {
    fastest: i64,
    /// Row after row.
    steps: Vec<Step>,
    /// By row, where its steps end.
    ends: Vec<usize>,
}

impl LowerBounds {
    /// The staircases of the open columns of the devices of a class, in plans with as many
    /// berths as `best` has.
    pub(crate) fn of(model: &Model, domains: &Domains, best: &Assignment, of: usize) -> Self {
        let mut times: Vec<i64> = Vec::new();
        let mut devices = Vec::new();
        let (mut sorted, mut amounts): (Vec<(i64, u32)>, Vec<i64>) = (Vec::new(), Vec::new());
        let of_class = |device: &usize| class(model.rank[*device]) == of;
        for columns in (0..model.len())
            .filter(of_class)
            .map(|d| &domains.columns[d])
        {
            let timed = columns.iter().map(|&c| (model.column(c).time, c));
            sorted.clear();
            sorted.extend(timed);
            sorted.sort_unstable();
            times.extend(sorted.iter().map(|(time, _)| time));
            if let Some(&(fastest, _)) = sorted.first() {
                devices.push(Device::climb(model, fastest, &sorted, &mut amounts));
            }
        }
        times.sort_unstable();
        times.dedup();
        let seated = (0..model.len())
            .filter(of_class)
            .filter(|&d| best[d].is_some())
            .count();
        Self {
            times,
            staying: devices.len().saturating_sub(seated),
            devices,
            caps: model.rows.iter().map(|row| row.cap).collect(),
        }
    }

    /// The distinct times from `from` up to but not including `high`.
    pub(crate) fn times_from(&self, from: i64, high: i64) -> &[i64] {
        let start = self.times.partition_point(|&time| time < from);
        let end = self.times.partition_point(|&time| time < high);
        &self.times[start.min(end)..end]
    }

    /// The least time that, by the rows one by one, all but `later` devices can be full
    /// by, those within `longest` where that is settled. A floor: it may be too low.
    pub(crate) fn first_possible(&self, later: i64, longest: Option<i64>) -> i64 {
        let later = usize::try_from(later).unwrap_or(0);
        let longest = longest.unwrap_or(i64::MAX);
        let first = self
            .times
            .partition_point(|&time| self.rules_out(time, later, longest));
        self.times.get(first).copied().unwrap_or(0)
    }

    fn rules_out(&self, time: i64, later: usize, longest: i64) -> bool {
        let too_slow = self.devices.iter().filter(|d| d.fastest > time).count();
        if too_slow > later + self.staying {
            return true;
        }
        let mut savings: Vec<i64> = Vec::with_capacity(self.devices.len());
        let mut taken: Vec<i64> = Vec::with_capacity(self.devices.len());
        // Of those too slow, as many as may stay need no slow place.
        let slow = later - too_slow.saturating_sub(self.staying);
        (0..self.caps.len()).any(|row| {
            savings.clear();
            taken.clear();
            for device in &self.devices {
                let at_last = device.least(row, longest);
                if device.fastest > time {
                    taken.push(at_last);
                } else {
                    let in_time = device.least(row, time);
                    taken.push(in_time);
                    savings.push(in_time - at_last);
                }
            }
            let sum: i64 = taken.iter().sum();
            // Those that stay take nothing, those that may be slow take less: counted
            // twice where they are the same, which only lowers the floor.
            let saved = most_of(&mut savings, slow) + most_of(&mut taken, self.staying);
            sum - saved > self.caps[row]
        })
    }
}

/// The sum of the `n` largest.
fn most_of(amounts: &mut [i64], n: usize) -> i64 {
    if n == 0 {
        return 0;
    }
    amounts.sort_unstable_by_key(|&amount| std::cmp::Reverse(amount));
    amounts.iter().take(n).sum()
}

impl Device {
    /// The staircases of columns sorted by time. `amounts` is working memory.
    fn climb(model: &Model, fastest: i64, sorted: &[(i64, u32)], amounts: &mut Vec<i64>) -> Self {
        let rows = model.rows.len();
        amounts.clear();
        amounts.resize(rows * sorted.len(), 0);
        for (at, &(_, column)) in sorted.iter().enumerate() {
            for &(row, takes) in model.takes(column) {
                amounts[row as usize * sorted.len() + at] = takes;
            }
        }
        let mut steps = Vec::with_capacity(2 * rows);
        let mut ends = Vec::with_capacity(rows);
        for of_row in amounts.chunks_exact(sorted.len()) {
            let mut least = i64::MAX;
            for (&(time, _), &takes) in sorted.iter().zip(of_row) {
                if takes < least {
                    least = takes;
                    steps.push((time, takes));
                }
            }
            ends.push(steps.len());
        }
        Self {
            fastest,
            steps,
            ends,
        }
    }

    /// The least that the device takes from a row when it is full by `time`.
    fn least(&self, row: usize, time: i64) -> i64 {
        let from = if row == 0 { 0 } else { self.ends[row - 1] };
        let steps = &self.steps[from..self.ends[row]];
        let after = steps.partition_point(|&(at, _)| at <= time);
        after.checked_sub(1).map_or(0, |at| steps[at].1)
    }
}
