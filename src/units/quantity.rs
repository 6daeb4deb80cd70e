//! Times and watts as a tired person reads them.
//!
//! A time is shown in whole minutes and never promises too much: what is waited for
//! is rounded up, what is only a bound from below is rounded down.

/// Times are compared in whole 1e-6 h (3.6 ms): what is nearer than half of that to
/// a whole minute is that minute, so that 3 h is never shown as 3 h 01 min for the
/// last digit of a sum.
const SLACK_S: f64 = 0.0018;

/// A time that is waited for, in hours: `3 h 05 min`, `45 min`, `8 s`, `0 min`.
pub(crate) fn time(hours: f64) -> String {
    if hours.is_infinite() {
        return "never".to_owned();
    }
    let seconds = (hours * 3600.0 - SLACK_S).max(0.0);
    if seconds == 0.0 {
        "0 min".to_owned()
    } else if seconds.ceil() < 60.0 {
        format!("{} s", seconds.ceil())
    } else {
        minutes(whole_minutes(hours))
    }
}

/// A time that is waited for, in whole minutes, rounded up.
pub(crate) fn whole_minutes(hours: f64) -> f64 {
    ((hours * 3600.0 - SLACK_S).max(0.0) / 60.0).ceil()
}

/// A time that is at least waited for, in hours: as [`time`], rounded down.
pub(crate) fn time_at_least(hours: f64) -> String {
    minutes(minutes_at_least(hours))
}

/// The same in whole minutes.
pub(crate) fn minutes_at_least(hours: f64) -> f64 {
    ((hours * 3600.0 + SLACK_S) / 60.0).max(0.0).floor()
}

/// Watts, to a tenth: `65 W`, `7.5 W`.
pub(crate) fn watts(value: f64) -> String {
    format!("{} W", decimals(value, 1))
}

/// Watts that must be had, to a tenth, rounded up: `65 W`, `96.1 W`.
pub(crate) fn watts_needed(value: f64) -> String {
    // What is nearer to a tenth than the millionths that are compared is that tenth.
    watts((value * 10.0 - 1e-6).ceil() / 10.0)
}

/// What is taken of a limit: `59.5 of 60 W`.
pub(crate) fn watts_of(used: f64, max: f64) -> String {
    format!("{} of {}", decimals(used, 1), watts(max))
}

/// A contract: `20 V 3.25 A`.
pub(crate) fn contract(volts: f64, amps: f64) -> String {
    format!("{} V {} A", decimals(volts, 2), decimals(amps, 2))
}

/// How many times as much, to a tenth: `2.1`.
pub(crate) fn factor(value: f64) -> String {
    decimals(value, 1)
}

/// `value` with at most `digits` decimals and no trailing zeros.
pub(crate) fn decimals(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    let text = match text.split_once('.') {
        Some(_) => text.trim_end_matches('0').trim_end_matches('.'),
        None => &text,
    };
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// A number of things, from a thousand on in groups of three digits that no line breaks:
/// `125 250`.
pub(crate) fn count(number: usize) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push('\u{a0}');
        }
        text.push(digit);
    }
    text
}

/// Whole minutes, as hours and minutes.
fn minutes(total: f64) -> String {
    let hours = (total / 60.0).floor();
    let minutes = total - hours * 60.0;
    if hours == 0.0 {
        format!("{minutes} min")
    } else {
        format!("{hours} h {minutes:02} min")
    }
}

#[cfg(test)]
mod tests {
    use super::{contract, count, time, time_at_least, watts, watts_needed, watts_of};

    #[test]
    fn times_are_rounded_to_the_safe_side() {
        for (hours, waited, at_least) in [
            (0.0, "0 min", "0 min"),
            (8.0 / 3600.0, "8 s", "0 min"),
            (7.4 / 3600.0, "8 s", "0 min"),
            (59.0 / 3600.0, "59 s", "0 min"),
            (1.0 / 60.0, "1 min", "1 min"),
            (61.0 / 3600.0, "2 min", "1 min"),
            (0.75, "45 min", "45 min"),
            (59.5 / 60.0, "1 h 00 min", "59 min"),
            (1.0, "1 h 00 min", "1 h 00 min"),
            (3.0 + 5.0 / 60.0, "3 h 05 min", "3 h 05 min"),
            (3.084, "3 h 06 min", "3 h 05 min"),
            (26.5, "26 h 30 min", "26 h 30 min"),
        ] {
            assert_eq!(time(hours), waited, "{hours} h, waited for");
            assert_eq!(time_at_least(hours), at_least, "{hours} h, at least");
        }
    }

    #[test]
    fn every_whole_minute_is_shown_as_itself() {
        for minute in 0..600_i32 {
            let hours = f64::from(minute) / 60.0;
            assert_eq!(time(hours), time_at_least(hours), "{minute} min");
        }
    }

    #[test]
    fn counts_are_read_three_digits_at_a_time() {
        for (number, text) in [
            (0, "0"),
            (820, "820"),
            (4_956, "4\u{a0}956"),
            (125_250, "125\u{a0}250"),
            (1_000_000, "1\u{a0}000\u{a0}000"),
        ] {
            assert_eq!(count(number), text);
        }
    }

    #[test]
    fn watts_and_contracts_have_no_idle_zeros() {
        assert_eq!(watts(65.0), "65 W");
        assert_eq!(watts(7.5), "7.5 W");
        assert_eq!(watts(24.93), "24.9 W");
        assert_eq!(watts(100.0), "100 W");
        assert_eq!(watts(-0.01), "0 W");
        assert_eq!(watts_of(59.96, 60.0), "60 of 60 W");
        assert_eq!(watts_needed(96.1), "96.1 W");
        assert_eq!(watts_needed(96.000_001), "96.1 W");
        assert_eq!(watts_needed(96.0), "96 W");
        assert_eq!(contract(20.0, 3.25), "20 V 3.25 A");
        assert_eq!(contract(9.0, 2.777_777), "9 V 2.78 A");
    }
}
