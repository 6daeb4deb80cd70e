//! Times of day, and the moment so many hours later.
//!
//! A night begins at a time of day that a person reads off a clock; there is no date, and
//! no clock is put forward or back on the way.

use std::fmt;

pub(crate) const MINUTES_OF_A_DAY: u32 = 24 * 60;

/// A time of day in whole minutes: `22:30`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct TimeOfDay {
    /// Since midnight.
    minutes: u32,
}

/// A time of day, and the day that it is on, counted from that of the start as the first:
/// `23:30`, `06:30 on day 2`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Moment {
    /// Days after that of the start.
    days: u32,
    pub(crate) time: TimeOfDay,
}

impl TimeOfDay {
    /// Reads `22:30`; the hour may have one digit.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        let (hour, minute) = text.split_once(':')?;
        let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
        let plain = matches!(hour.len(), 1 | 2) && minute.len() == 2;
        if !plain || !digits(hour) || !digits(minute) {
            return None;
        }
        let (hour, minute): (u32, u32) = (hour.parse().ok()?, minute.parse().ok()?);
        (hour < 24 && minute < 60).then_some(Self {
            minutes: hour * 60 + minute,
        })
    }

    /// So many minutes after midnight, of one day.
    pub(crate) fn since_midnight(minutes: u32) -> Self {
        Self {
            minutes: minutes % MINUTES_OF_A_DAY,
        }
    }

    /// Hours to the next time that a clock shows `other`; a whole day where it does now.
    pub(crate) fn hours_until(self, other: Self) -> f64 {
        let minutes = (other.minutes + MINUTES_OF_A_DAY - self.minutes) % MINUTES_OF_A_DAY;
        f64::from(if minutes == 0 {
            MINUTES_OF_A_DAY
        } else {
            minutes
        }) / 60.0
    }

    /// The time of day so many minutes before, less than a day.
    pub(crate) fn before(self, minutes: u32) -> Self {
        Self::since_midnight(self.minutes + MINUTES_OF_A_DAY - minutes % MINUTES_OF_A_DAY)
    }

    /// Hours since midnight.
    #[cfg(feature = "pictures")]
    pub(crate) fn hours(self) -> f64 {
        f64::from(self.minutes) / 60.0
    }

    /// The moment so many whole minutes later.
    pub(crate) fn after(self, minutes: u32) -> Moment {
        let total = self.minutes.saturating_add(minutes);
        Moment {
            days: total / MINUTES_OF_A_DAY,
            time: Self {
                minutes: total % MINUTES_OF_A_DAY,
            },
        }
    }
}

impl fmt::Display for TimeOfDay {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.minutes / 60, self.minutes % 60)
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.days {
            0 => self.time.fmt(f),
            days => write!(f, "{} on day {}", self.time, days + 1),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::TimeOfDay;

    #[test]
    fn times_of_day_are_read_as_they_are_written() {
        for (text, expected) in [
            ("22:30", Some("22:30")),
            ("00:00", Some("00:00")),
            ("7:05", Some("07:05")),
            ("23:59", Some("23:59")),
            ("24:00", None),
            ("12:60", None),
            ("12:5", None),
            ("012:05", None),
            ("+1:05", None),
            ("12.05", None),
            ("", None),
            (":", None),
            ("１２:05", None),
        ] {
            let found = TimeOfDay::parse(text).map(|time| time.to_string());
            assert_eq!(found.as_deref(), expected, "{text}");
        }
    }

    #[test]
    fn a_time_of_day_comes_again_and_was_before() {
        let time = |text| TimeOfDay::parse(text).expect("a time of day");
        for (from, to, hours) in [
            ("22:30", "06:00", 7.5),
            ("06:00", "22:30", 16.5),
            ("06:00", "06:00", 24.0),
        ] {
            assert_eq!(time(from).hours_until(time(to)), hours);
        }
        assert_eq!(time("00:10").before(25), time("23:45"));
        assert_eq!(time("22:30").before(0), time("22:30"));
    }

    #[test]
    fn later_moments_say_on_which_day_they_are() {
        let start = TimeOfDay::parse("22:30").expect("a time of day");
        for (minutes, expected) in [
            (0, "22:30"),
            (89, "23:59"),
            (90, "00:00 on day 2"),
            (26 * 60, "00:30 on day 3"),
            (u32::MAX, "04:15 on day 2982617"),
        ] {
            assert_eq!(start.after(minutes).to_string(), expected);
        }
    }
}
