//! Moments of a rota for people: times of day, or hours from the start.

use super::super::quantity::{time, whole_minutes};
use crate::clock::TimeOfDay;

/// What moments are counted from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Clock {
    start: Option<TimeOfDay>,
}

const HOURS_OF_A_DAY: f64 = 24.0;

impl Clock {
    pub(super) fn of(start: Option<TimeOfDay>) -> Self {
        Self { start }
    }

    /// The moment so many hours after the start, rounded up to the minute: `01:40`, and
    /// with its day where the same time of day has been before; `+3 h 10 min` and `start`
    /// where nobody said when that is.
    pub(super) fn at(self, hours: f64) -> String {
        let Some(start) = self.start else {
            return if hours > 0.0 {
                format!("+{}", time(hours))
            } else {
                "start".to_owned()
            };
        };
        let moment = start.after(as_minutes(whole_minutes(hours)));
        if hours < HOURS_OF_A_DAY {
            moment.time.to_string()
        } else {
            moment.to_string()
        }
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
