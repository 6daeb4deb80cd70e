//! Where the levels end early: once no assignment is better than what somebody has.

use std::cmp::Ordering;

/// What is to be bettered in the levels up to the times; hours, watts and ties do not matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cutoff {
    /// Devices without a berth, by rank.
    pub(crate) unserved: [i64; 3],
    /// Whole 1e-6 Wh missing in them.
    pub(crate) missing: i64,
    /// Late devices, by rank.
    pub(crate) late: [i64; 3],
    /// By class, the times in whole 1e-6 h, longest first.
    pub(crate) times: [Vec<i64>; 2],
    /// What is no difference in a time, in whole 1e-6 h.
    pub(crate) tolerance: i64,
}

impl Cutoff {
    /// How what is least without a berth and missing stands beside it.
    pub(super) fn unserved_beside(&self, unserved: [i64; 3], missing: i64) -> Ordering {
        (unserved, missing).cmp(&(self.unserved, self.missing))
    }

    /// How the least time at a place of a class whose list has so many stands beside it. Where it
    /// is not `settled`, it is only known that there is none below.
    pub(super) fn time_beside(
        &self,
        (of, place, places): (usize, usize, usize),
        (time, settled): (i64, bool),
    ) -> Ordering {
        let times = &self.times[of];
        if times.len() != places {
            // It is of another bag.
            return Ordering::Less;
        }
        let differs = time.abs_diff(times[place]) > self.tolerance.unsigned_abs();
        match time.cmp(&times[place]) {
            Ordering::Greater if differs => Ordering::Greater,
            Ordering::Less if differs && settled => Ordering::Less,
            _ => Ordering::Equal,
        }
    }
}
