//! What is asked of the search: a cost to keep down, and limits from the levels of the
//! plan's order that are already settled.

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
    /// Devices that are late.
    Late,
    /// Berths that start after the first session.
    AfterFirst,
    /// Total watts; over sessions, the watt-hours held.
    Watts,
}

/// More than the number of devices.
const PRIORITY_STEP: i64 = 1 << 10;

impl Goal {
    pub(crate) fn of_column(self, model: &Model, column: u32) -> i64 {
        match self {
            Self::Late => i64::from(model.column(column).late),
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
            Self::Any | Self::Late | Self::AfterFirst | Self::Watts => 0,
        }
    }

    pub(crate) fn of(self, model: &Model, assignment: &Assignment) -> i64 {
        assignment
            .iter()
            .enumerate()
            .map(|(device, column)| match column {
                Some(column) => self.of_column(model, *column),
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
    /// `(t, n)`: at most n devices take longer than t. Falling t, rising n.
    pub(crate) later: Vec<(i64, i64)>,
    pub(crate) late: Option<i64>,
    /// By priority, less one.
    pub(crate) unserved: [i64; 3],
    pub(crate) missing: Option<i64>,
    pub(crate) after_first: Option<i64>,
}

impl Limits {
    pub(crate) fn none() -> Self {
        Self {
            later: Vec::new(),
            late: None,
            unserved: [i64::MAX; 3],
            missing: None,
            after_first: None,
        }
    }
}

/// The columns still open to each device, whether it may stay without a berth, and the
/// lines of tables.
#[derive(Debug, Clone)]
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
