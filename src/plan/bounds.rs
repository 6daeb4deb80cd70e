//! What is proven of the levels of the plan's order that a limit left open, as data.

use crate::plan::objective::ObjectiveValue;
use crate::setup::document::fields::{answer_fields, words};
use crate::solve::levels::{Open, OpenLevel};
use crate::solve::model::NO_TIME;
use crate::units::{as_float, from_millionths};

words! {
    /// A level of the plan's order, with the unit in which it is told.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum BoundedLevel {
        /// Devices without a berth, of a priority: their number.
        Unserved = "unserved",
        /// What is missing in them: watt-hours.
        Missing = "missing",
        /// Late devices of a priority, by the aim: their number.
        Late = "late",
        /// The longest time, by the aim: hours.
        Longest = "longest",
        /// The first of the sorted times that is open, by the aim: hours.
        Time = "time",
        /// Devices that move, where a plan is to stay near another: their number.
        Moves = "moves",
        /// Berths of a rota that start after the first session: their number.
        Swaps = "swaps",
        /// The sum of the hours at best, those of priority 1 counted four times, of 2 twice.
        Hours = "hours",
        /// The power of all berths: watts; of a rota, watt-hours.
        Watts = "watts",
    }
}

answer_fields! {
    /// A level that is open: no answer that is as good in all levels before it has less of it
    /// than the bound.
    pub struct LevelBound, "a bound", handed on by level_bound_fields {
        /// Which level.
        needs level: BoundedLevel;
        /// Of which priority, where the level goes by it; of a time 3, where it is of the list
        /// of those of priority 3.
        may priority: usize, in PLAN_COUNT;
        /// Of a time: its place in its list, from 1, the longest first.
        may place: usize, in PLAN_COUNT;
        /// What the answer has; absent of a time that is never.
        may value: f64;
        /// Proven: none that is as good before has less.
        needs bound: f64;
    }
}

/// What an answer has of the levels. What it promises may be better than what the search knew.
pub(crate) struct Has<'a> {
    pub(crate) of: &'a ObjectiveValue,
    pub(crate) moves: usize,
    pub(crate) swaps: usize,
    /// Watts, or watt-hours of a rota.
    pub(crate) watts: f64,
}

impl LevelBound {
    /// From what the search tells; `None` where nothing is open, since the answer has no more.
    pub(crate) fn of(open: &Open, has: &Has<'_>) -> Option<Self> {
        let value = &has.of;
        let count = |count: usize| i64::try_from(count).map_or(f64::INFINITY, as_float);
        let (level, priority, place, value) = match open.level {
            OpenLevel::Unserved(rank) => {
                let value = count(value.unserved_by_priority[rank]);
                (BoundedLevel::Unserved, Some(rank + 1), None, value)
            }
            OpenLevel::Missing => (BoundedLevel::Missing, None, None, value.missing_wh),
            OpenLevel::Late(rank) => {
                let value = count(value.late_by_priority[rank]);
                (BoundedLevel::Late, Some(rank + 1), None, value)
            }
            OpenLevel::Longest => (BoundedLevel::Longest, None, None, value.longest_h),
            OpenLevel::Time { of, place } => {
                let spare = (of == 1).then_some(3);
                let value = value.times_of(of).get(place).copied().unwrap_or(0.0);
                (BoundedLevel::Time, spare, Some(place + 1), value)
            }
            OpenLevel::Moves => (BoundedLevel::Moves, None, None, count(has.moves)),
            OpenLevel::AfterFirst => (BoundedLevel::Swaps, None, None, count(has.swaps)),
            OpenLevel::Hours => (BoundedLevel::Hours, None, None, value.weighted_h),
            OpenLevel::Watts => (BoundedLevel::Watts, None, None, has.watts),
        };
        let bound = match level {
            BoundedLevel::Unserved
            | BoundedLevel::Late
            | BoundedLevel::Moves
            | BoundedLevel::Swaps => as_float(open.bound),
            BoundedLevel::Longest | BoundedLevel::Time if open.bound >= NO_TIME => f64::INFINITY,
            _ => from_millionths(open.bound),
        };
        (bound < value).then_some(Self {
            level,
            priority,
            place,
            value: value.is_finite().then_some(value),
            bound,
        })
    }

    /// By what share less than this answer any other that is as good before has at most.
    pub(crate) fn gap(&self) -> Option<f64> {
        let value = self.value.filter(|&value| value > 0.0)?;
        Some((1.0 - self.bound / value).max(0.0))
    }
}
