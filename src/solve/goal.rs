//! What is asked of the search: a cost to keep down, and limits from the levels of the
//! plan's order that are already settled.

use std::cmp::Reverse;

use super::model::{Assignment, Model};

/// The cost of a question, in whole numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Goal {
    /// Any assignment that keeps the limits.
    Any,
    /// Devices without a berth, by priority: one of a higher priority outweighs all of
    /// the lower ones.
    Unserved,
    /// Devices of one rank without a berth.
    UnservedOf(usize),
    /// Watt-hours missing in devices without a berth.
    Missing,
    /// Devices of one rank that are late.
    LateOf(usize),
    /// Devices that are elsewhere than they were before.
    Moves,
    /// Berths that start after the first session.
    AfterFirst,
    /// Hours at best, weighted by priority.
    Hours,
    /// Total watts; over sessions, the watt-hours held.
    Watts,
}

/// More than the number of devices.
const PRIORITY_STEP: i64 = 1 << 10;

impl Goal {
    /// Of a column of a device.
    pub(crate) fn of_column(self, model: &Model, device: usize, column: u32) -> i64 {
        match self {
            Self::LateOf(rank) => {
                i64::from(model.rank[device] == rank && model.column(column).late)
            }
            Self::Hours => model.column(column).hours,
            Self::Moves => i64::from(model.column(column).moved),
            Self::AfterFirst => i64::from(model.column(column).first > 0),
            Self::Watts => model.column(column).watts,
            Self::Any | Self::Unserved | Self::UnservedOf(_) | Self::Missing => 0,
        }
    }

    pub(crate) fn of_none(self, model: &Model, device: usize) -> i64 {
        match self {
            Self::Unserved => [PRIORITY_STEP * PRIORITY_STEP, PRIORITY_STEP, 1][model.rank[device]],
            Self::UnservedOf(rank) => i64::from(model.rank[device] == rank),
            Self::Missing => model.missing[device],
            Self::Moves => i64::from(model.moved_away.as_ref().is_some_and(|away| away[device])),
            Self::Any | Self::LateOf(_) | Self::AfterFirst | Self::Hours | Self::Watts => 0,
        }
    }

    pub(crate) fn of(self, model: &Model, assignment: &Assignment) -> i64 {
        assignment
            .iter()
            .enumerate()
            .map(|(device, column)| match column {
                Some(column) => self.of_column(model, device, *column),
                None => self.of_none(model, device),
            })
            .sum()
    }

    /// How many devices an amount of [`Goal::Unserved`] stands for.
    pub(crate) fn count_unserved(cost: i64) -> i64 {
        cost / (PRIORITY_STEP * PRIORITY_STEP)
            + cost / PRIORITY_STEP % PRIORITY_STEP
            + cost % PRIORITY_STEP
    }
}

/// Limits from the levels already settled.
#[derive(Debug, Clone)]
pub(crate) struct Limits {
    /// `(t, n)`: at most n devices of a class take longer than t. Falling t, rising n. First
    /// those of ranks 0 and 1, then those of rank 2.
    pub(crate) later: [Vec<(i64, i64)>; 2],
    /// By rank.
    pub(crate) late: [i64; 3],
    /// By rank.
    pub(crate) unserved: [i64; 3],
    pub(crate) missing: Option<i64>,
    pub(crate) moves: Option<i64>,
    pub(crate) after_first: Option<i64>,
    pub(crate) hours: Option<i64>,
    pub(crate) watts: Option<i64>,
}

/// How many hours one of a device counts for, by rank.
pub(crate) const HOURS_COUNT: [i64; 3] = [4, 2, 1];

/// The class of a rank: the times of the two highest are compared together, before those of
/// the last.
pub(crate) fn class(rank: usize) -> usize {
    usize::from(rank == 2)
}

/// The times of the devices of a class that have a berth, longest first.
pub(crate) fn times(model: &Model, assignment: &Assignment, of: usize) -> Vec<i64> {
    let each = assignment.iter().enumerate();
    let mut times: Vec<i64> = each
        .filter(|&(device, _)| class(model.rank[device]) == of)
        .filter_map(|(_, column)| column.map(|column| model.column(column).time))
        .collect();
    times.sort_unstable_by_key(|&time| Reverse(time));
    times
}

impl Limits {
    pub(crate) fn none() -> Self {
        Self {
            later: [Vec::new(), Vec::new()],
            late: [i64::MAX; 3],
            unserved: [i64::MAX; 3],
            missing: None,
            moves: None,
            after_first: None,
            hours: None,
            watts: None,
        }
    }

    /// What an assignment comes to in berths, in who is late, and in times.
    pub(crate) fn kept_by(model: &Model, assignment: &Assignment) -> Self {
        let ranks = [0, 1, 2];
        Self {
            later: [0, 1].map(|of| {
                let mut later: Vec<(i64, i64)> = Vec::new();
                for (place, time) in (0..).zip(times(model, assignment, of)) {
                    if later.last().is_none_or(|&(last, _)| time < last) {
                        later.push((time, place));
                    }
                }
                later
            }),
            late: ranks.map(|rank| Goal::LateOf(rank).of(model, assignment)),
            unserved: ranks.map(|rank| Goal::UnservedOf(rank).of(model, assignment)),
            missing: Some(Goal::Missing.of(model, assignment)),
            ..Self::none()
        }
    }
}

/// The columns still open to each device, whether it may stay without a berth, and the
/// lines of tables.
#[derive(Debug, Clone, Default)]
pub(crate) struct Domains {
    pub(crate) columns: Vec<Vec<u32>>,
    pub(crate) may_stay: Vec<bool>,
    /// By table, the lines that may still govern.
    pub(crate) lines: Vec<Vec<usize>>,
}

impl Domains {
    pub(crate) fn all(model: &Model) -> Self {
        Self {
            columns: model
                .of_device
                .iter()
                .map(|range| range.clone().collect())
                .collect(),
            may_stay: vec![true; model.len()],
            lines: model
                .tables
                .iter()
                .map(|table| (0..table.lines.len()).collect())
                .collect(),
        }
    }

    /// Keeps the columns for which `keep` holds.
    pub(crate) fn retain(&mut self, mut keep: impl FnMut(usize, u32) -> bool) {
        for (device, columns) in self.columns.iter_mut().enumerate() {
            columns.retain(|&column| keep(device, column));
        }
    }
}
