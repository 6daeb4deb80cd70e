//! From quantities to places on a drawing, and where its ticks stand.

use crate::report::clock::Clock;
use crate::units::quantity::{decimals, time};

/// A straight scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// The quantities at its ends.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Where the ends stand.
    pub(super) start: f64,
    pub(super) end: f64,
}

impl Scale {
    /// Of quantities between two values, between two places.
    pub(super) fn new([from, to]: [f64; 2], [start, end]: [f64; 2]) -> Self {
        Self {
            from,
            to,
            start,
            end,
        }
    }

    pub(super) fn at(&self, value: f64) -> f64 {
        let span = self.to - self.from;
        let share = if span > 0.0 {
            (value - self.from) / span
        } else {
            0.0
        };
        self.start + share * (self.end - self.start)
    }
}

/// A place on a scale that is named.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub(super) at: f64,
    pub(super) label: String,
}

/// Steps of hours that people count in: 5, 10, 15, 30 minutes, then hours, then days.
const HOUR_STEPS: [f64; 15] = [
    1.0 / 12.0,
    1.0 / 6.0,
    0.25,
    0.5,
    1.0,
    2.0,
    3.0,
    4.0,
    6.0,
    12.0,
    24.0,
    48.0,
    168.0,
    720.0,
    2400.0,
];

/// The step of hours with which at most `count` ticks cover `span`.
pub(super) fn hour_step(span: f64, count: usize) -> f64 {
    let fits = |step: &f64| span / step <= as_f64(count.max(1));
    HOUR_STEPS
        .into_iter()
        .find(|step| fits(step))
        .unwrap_or(span)
}

/// The multiples of `step` from `from` to `to`, with their labels.
pub(super) fn ticks(from: f64, to: f64, step: f64, label: impl Fn(f64) -> String) -> Vec<Tick> {
    let first = (from / step - 1e-9).ceil();
    let mut ticks = Vec::new();
    let mut n = first;
    while n * step <= to + step * 1e-9 && ticks.len() < 100 {
        let at = n * step;
        ticks.push(Tick {
            at,
            label: label(at),
        });
        n += 1.0;
    }
    ticks
}

/// Ticks of a night: hours from its start, or times of day where it is known when that is.
pub(super) fn night_ticks(clock: Clock, span_h: f64, count: usize) -> Vec<Tick> {
    let step = hour_step(span_h, count).max(HOUR_STEPS[0]);
    let Some(first) = clock.begins_h() else {
        return ticks(0.0, span_h, step, hours);
    };
    let mut ticks = ticks(first, first + span_h, step, |_| String::new());
    for tick in &mut ticks {
        tick.at = (tick.at - first).max(0.0);
        tick.label = clock.at(tick.at);
        // Which day it is says itself.
        tick.label.truncate("00:00".len());
    }
    ticks
}

/// Hours under an axis: `0 h`, `30 min`, `2 h`, `2 h 30 min`.
pub(super) fn hours(value: f64) -> String {
    if (value - value.round()).abs() < 1e-6 {
        format!("{} h", decimals(value, 0))
    } else {
        time(value)
    }
}

/// A round step, 1, 2 or 5 times a power of ten, with which at most `count` ticks cover
/// `span`.
pub(super) fn round_step(span: f64, count: usize) -> f64 {
    let rough = (span / as_f64(count.max(1))).max(1e-9);
    let power = 10f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= rough * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A small count as a number.
pub(super) fn as_f64(count: usize) -> f64 {
    f64::from(u32::try_from(count).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(from: f64, to: f64, step: f64, label: impl Fn(f64) -> String) -> String {
        let labels: Vec<String> = ticks(from, to, step, label)
            .into_iter()
            .map(|t| t.label)
            .collect();
        labels.join(" | ")
    }

    #[test]
    fn hours_are_counted_as_people_do() {
        for (to, count, shown) in [
            (0.4, 5, "0 h | 5 min | 10 min | 15 min | 20 min"),
            (2.3, 5, "0 h | 30 min | 1 h | 1 h 30 min | 2 h"),
            (
                8.0,
                8,
                "0 h | 1 h | 2 h | 3 h | 4 h | 5 h | 6 h | 7 h | 8 h",
            ),
            (11.5, 6, "0 h | 2 h | 4 h | 6 h | 8 h | 10 h"),
            (9000.0, 4, "0 h | 2400 h | 4800 h | 7200 h"),
        ] {
            assert_eq!(
                labels(0.0, to, hour_step(to, count), hours),
                shown,
                "to {to} h"
            );
        }
    }

    #[test]
    fn steps_are_round() {
        for (span, count, step) in [
            (180.0, 4, 50.0),
            (281.0, 6, 50.0),
            (7.0, 4, 2.0),
            (0.0, 4, 1e-9),
        ] {
            assert!(
                (round_step(span, count) - step).abs() <= step * 1e-9,
                "{span}"
            );
        }
        assert_eq!(labels(3.0, 11.0, 5.0, |n| decimals(n, 0)), "5 | 10");
    }

    #[test]
    fn a_scale_without_a_span_stays_where_it_starts() {
        let scale = Scale::new([2.0, 2.0], [10.0, 90.0]);
        assert_eq!(scale.at(2.0), 10.0);
        let scale = Scale { to: 4.0, ..scale };
        assert_eq!([2.0, 3.0, 4.0].map(|v| scale.at(v)), [10.0, 50.0, 90.0]);
    }
}
