//! Moments of a night for people: times of day, or hours from the start.

use crate::setup::clock::{Moment, TimeOfDay};
use crate::units::quantity::{time, whole_minutes};

/// What moments are counted from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Clock {
    start: Option<TimeOfDay>,
}

const HOURS_OF_A_DAY: f64 = 24.0;

impl Clock {
    pub(crate) fn of(start: Option<TimeOfDay>) -> Self {
        Self { start }
    }

    /// Whether it is known when the night begins.
    pub(crate) fn is_known(self) -> bool {
        self.start.is_some()
    }

    /// Hours from midnight to the start, where that is known.
    #[cfg(feature = "pictures")]
    pub(crate) fn begins_h(self) -> Option<f64> {
        self.start.map(TimeOfDay::hours)
    }

    /// When something is full: `01:40`, or where nobody said when the night begins, how
    /// long that takes, `3 h 10 min`.
    pub(crate) fn full(self, hours: f64) -> String {
        if self.is_known() {
            self.at(hours)
        } else {
            time(hours)
        }
    }

    /// What a column of such moments is called.
    pub(crate) fn full_heading(self) -> &'static str {
        if self.is_known() {
            "Full at"
        } else {
            "Full after"
        }
    }

    /// By when: `by 01:40`, or `after 3 h 10 min`.
    pub(crate) fn by(self, hours: f64) -> String {
        if self.is_known() {
            format!("by {}", self.at(hours))
        } else {
            format!("after {}", time(hours))
        }
    }

    /// The same where `by` or `after` was said just before: `by 01:40`, `3 h 10 min`.
    pub(crate) fn or_by(self, hours: f64) -> String {
        if self.is_known() {
            self.by(hours)
        } else {
            time(hours)
        }
    }

    /// The moment so many hours after the start, rounded up to the minute: `01:40`, and
    /// with its day where the same time of day has been before; `+3 h 10 min` and `start`
    /// where nobody said when that is.
    pub(crate) fn at(self, hours: f64) -> String {
        match self.moment(hours) {
            Some(moment) if hours < HOURS_OF_A_DAY => moment.time.to_string(),
            Some(moment) => moment.to_string(),
            None if hours > 0.0 => format!("+{}", time(hours)),
            None => "start".to_owned(),
        }
    }

    /// The same moment with its day, where it is known when the night begins.
    pub(crate) fn moment(self, hours: f64) -> Option<Moment> {
        let start = self.start?;
        Some(start.after(as_minutes(whole_minutes(hours))))
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "whole and not negative; the cast saturates after eight thousand years"
)]
fn as_minutes(minutes: f64) -> u32 {
    minutes as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_are_told_from_what_is_known() {
        let start = TimeOfDay::parse("22:30");
        for (hours, of_day, without) in [
            (0.0, "22:30", "start"),
            (1.5, "00:00", "+1 h 30 min"),
            (3.1, "01:36", "+3 h 06 min"),
            (3.11, "01:37", "+3 h 07 min"),
            (23.99, "22:30", "+24 h 00 min"),
            (24.0, "22:30 on day 2", "+24 h 00 min"),
            (26.0, "00:30 on day 3", "+26 h 00 min"),
            (1e12, "04:15 on day 2982617", "+1000000000000 h 00 min"),
        ] {
            assert_eq!(Clock::of(start).at(hours), of_day, "{hours}");
            assert_eq!(Clock::of(None).at(hours), without, "{hours}");
        }
    }
}
