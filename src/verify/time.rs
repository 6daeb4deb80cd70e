//! The time to full at a given inlet power: the curve's integral, piece by piece.

use crate::limits::LONGEST_H;
use crate::setup::DeviceSpec;
use crate::units::millionths;

/// Hours from `start_pct` to `target_pct` at `inlet_w`; `None` where it never ends.
pub(super) fn hours_to_full(device: &DeviceSpec, inlet_w: f64) -> Option<f64> {
    hours(
        device,
        device.start_pct,
        (device.battery_wh, &device.draw_w),
        inlet_w,
    )
}

/// The same with the battery and the start that are promised.
pub(super) fn sure_hours(device: &DeviceSpec, inlet_w: f64) -> Option<f64> {
    let badly = &device.promised;
    hours(
        device,
        badly.start_pct,
        (badly.battery_wh, &badly.draw_w),
        inlet_w,
    )
}

fn hours(
    device: &DeviceSpec,
    start_pct: f64,
    (battery_wh, draw_w): (f64, &[(f64, f64)]),
    inlet_w: f64,
) -> Option<f64> {
    if millionths(inlet_w) <= millionths(device.running_w) {
        return None;
    }
    let left_w = inlet_w - device.running_w;
    if start_pct >= device.target_pct {
        return Some(0.0);
    }
    // In percent per watt; turned into hours once, at the end.
    let mut sum = 0.0;
    for piece in pieces(draw_w) {
        if let Some(part) = piece.between(start_pct, device.target_pct) {
            sum += part.percent_per_watt(left_w)?;
        }
    }
    let hours = battery_wh / 100.0 / device.efficiency * sum;
    LONGEST_H.holds(hours).then_some(hours)
}

/// A stretch of the curve that is linear in the state of charge.
#[derive(Debug, Clone, Copy)]
struct Piece {
    from_pct: f64,
    to_pct: f64,
    from_w: f64,
    to_w: f64,
}

/// The pieces between the points, and the constant ones before and after them.
fn pieces(points: &[(f64, f64)]) -> impl Iterator<Item = Piece> {
    let level = |&(_, w): &(f64, f64), from_pct: f64, to_pct: f64| Piece {
        from_pct,
        to_pct,
        from_w: w,
        to_w: w,
    };
    let before = points.first();
    let before = before.map(|first| level(first, f64::NEG_INFINITY, first.0));
    let after = points.last();
    let after = after.map(|last| level(last, last.0, f64::INFINITY));
    let between = points.iter().zip(points.iter().skip(1));
    let between = between.map(|(&(from_pct, from_w), &(to_pct, to_w))| Piece {
        from_pct,
        to_pct,
        from_w,
        to_w,
    });
    before.into_iter().chain(between).chain(after)
}

impl Piece {
    /// Its part of positive length between two states of charge.
    fn between(&self, start_pct: f64, target_pct: f64) -> Option<Self> {
        let from_pct = self.from_pct.max(start_pct);
        let to_pct = self.to_pct.min(target_pct);
        (from_pct < to_pct).then(|| Self {
            from_pct,
            to_pct,
            from_w: self.watts_at(from_pct),
            to_w: self.watts_at(to_pct),
        })
    }

    fn watts_at(&self, pct: f64) -> f64 {
        if pct <= self.from_pct || self.from_w == self.to_w {
            self.from_w
        } else if pct >= self.to_pct {
            self.to_w
        } else {
            // A sum of two shares, not a difference: it keeps its digits near 0.
            let (before, after) = (pct - self.from_pct, self.to_pct - pct);
            (self.from_w * after + self.to_w * before) / (self.to_pct - self.from_pct)
        }
    }

    /// The integral of ds / min(limit, draw) over the piece; `None` where it has no
    /// end because the draw is, or falls or rises to, 0.
    fn percent_per_watt(&self, limit_w: f64) -> Option<f64> {
        let length = self.to_pct - self.from_pct;
        let (least_w, most_w) = (self.from_w.min(self.to_w), self.from_w.max(self.to_w));
        if least_w <= 0.0 {
            return None;
        }
        if limit_w <= least_w {
            return Some(length / limit_w);
        }
        if limit_w >= most_w {
            return Some(length * mean_reciprocal(least_w, most_w));
        }
        // The limit cuts the slope: below it the draw counts, above it the limit.
        let below = length * (limit_w - least_w) / (most_w - least_w);
        Some(below * mean_reciprocal(least_w, limit_w) + (length - below) / limit_w)
    }
}

/// The mean of 1 / x for x from `low` up to `high`: a logarithm over a difference.
fn mean_reciprocal(low: f64, high: f64) -> f64 {
    // By way of the relative rise: on a nearly flat piece, the plain quotient would
    // divide one rounding error by another.
    let rise = (high - low) / low;
    if rise == 0.0 {
        1.0 / low
    } else {
        rise.ln_1p() / rise / low
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::device;
    use super::*;

    /// 100 Wh at efficiency 1: a percent is a watt-hour.
    fn battery(start_pct: f64, target_pct: f64, draw_w: &[(f64, f64)]) -> DeviceSpec {
        DeviceSpec {
            battery_wh: 100.0,
            efficiency: 1.0,
            start_pct,
            target_pct,
            draw_w: draw_w.to_vec(),
            ..device("pack", 100.0)
        }
    }

    #[track_caller]
    fn case(device: &DeviceSpec, inlet_w: f64, expected: Option<f64>) {
        let hours = hours_to_full(device, inlet_w);
        let near = match (hours, expected) {
            (Some(hours), Some(expected)) => (hours - expected).abs() <= 1e-12 * expected.abs(),
            (hours, expected) => hours == expected,
        };
        assert!(near, "{hours:?}, expected {expected:?}");
    }

    #[test]
    fn closed_forms() {
        let ln = f64::ln;
        let flat = [(0.0, 50.0)];
        let taper = [(80.0, 40.0), (100.0, 4.0)];
        // Constant: the limit, or the draw, whichever is less.
        case(&battery(20.0, 100.0, &flat), 25.0, Some(80.0 / 25.0));
        case(&battery(20.0, 100.0, &flat), 80.0, Some(80.0 / 50.0));
        // A linear taper from 40 to 4 W over 20 %: 20 / 36 × ln 10.
        case(
            &battery(80.0, 100.0, &taper),
            50.0,
            Some(20.0 / 36.0 * ln(10.0)),
        );
        // Cut at 22 W, half way down.
        case(
            &battery(80.0, 100.0, &taper),
            22.0,
            Some(10.0 / 22.0 + 20.0 / 36.0 * ln(5.5)),
        );
        // Only a part of the taper, from 90 % (22 W) to 95 % (13 W).
        case(
            &battery(90.0, 95.0, &taper),
            50.0,
            Some(5.0 / 9.0 * ln(22.0 / 13.0)),
        );
        // A rise is the mirror of a fall.
        let rise = [(0.0, 4.0), (20.0, 40.0)];
        case(
            &battery(0.0, 20.0, &rise),
            22.0,
            Some(10.0 / 22.0 + 20.0 / 36.0 * ln(5.5)),
        );
        // A step: two points at one state of charge.
        let step = [(0.0, 50.0), (50.0, 50.0), (50.0, 10.0), (100.0, 10.0)];
        case(&battery(0.0, 100.0, &step), 100.0, Some(1.0 + 5.0));
        case(&battery(50.0, 100.0, &step), 100.0, Some(5.0));
        // Constant before the first point and beyond the last.
        case(
            &battery(10.0, 90.0, &[(40.0, 20.0), (60.0, 20.0)]),
            99.0,
            Some(4.0),
        );
        // Efficiency and what the device runs on.
        let running = DeviceSpec {
            running_w: 5.0,
            efficiency: 0.8,
            ..battery(0.0, 50.0, &flat)
        };
        case(&running, 25.0, Some(50.0 / (0.8 * 20.0)));
    }

    #[test]
    fn nearly_flat_pieces_lose_no_digits() {
        for rise in [1e-3, 1e-6, 1e-9, 1e-12, 1e-15] {
            // The mean of 1 / x over a short span is 1 / middle, up to rise² / 12 and
            // the third power.
            let hours = hours_to_full(
                &battery(0.0, 100.0, &[(0.0, 20.0), (100.0, 20.0 * (1.0 + rise))]),
                1e3,
            );
            let expected = 5.0 / (1.0 + rise / 2.0) * (1.0 + rise * rise / 12.0);
            let hours = hours.expect("it ends");
            assert!(
                (hours / expected - 1.0).abs() < rise.powi(3) / 10.0 + 1e-15,
                "{rise}: {hours}"
            );
        }
    }

    #[test]
    fn what_never_ends() {
        let dying = [(0.0, 50.0), (100.0, 0.0)];
        case(&battery(0.0, 100.0, &dying), 60.0, None);
        // Short of where it dies it ends: 50 W fall to 5 W over 90 %.
        case(&battery(0.0, 90.0, &dying), 60.0, Some(2.0 * 10.0_f64.ln()));
        case(
            &battery(0.0, 100.0, &[(0.0, 0.0), (10.0, 50.0)]),
            60.0,
            None,
        );
        case(
            &battery(20.0, 100.0, &[(0.0, 0.0), (10.0, 50.0)]),
            50.0,
            Some(1.6),
        );
        let gap = [
            (0.0, 50.0),
            (40.0, 50.0),
            (40.0, 0.0),
            (50.0, 0.0),
            (50.0, 50.0),
        ];
        case(&battery(0.0, 100.0, &gap), 60.0, None);
        case(&battery(50.0, 100.0, &gap), 60.0, Some(1.0));
        // A step down to 0 and up again at one point has no length.
        let spike = [(40.0, 50.0), (40.0, 0.0), (40.0, 50.0)];
        case(&battery(0.0, 100.0, &spike), 60.0, Some(2.0));
        // Nothing left beside what it runs on, whatever the start.
        let running = DeviceSpec {
            running_w: 10.0,
            ..battery(0.0, 100.0, &[(0.0, 50.0)])
        };
        case(&running, 10.0, None);
        case(
            &DeviceSpec {
                start_pct: 100.0,
                ..running.clone()
            },
            10.0,
            None,
        );
        case(
            &DeviceSpec {
                start_pct: 100.0,
                ..running
            },
            10.1,
            Some(0.0),
        );
        case(&battery(0.0, 100.0, &dying), f64::NAN, None);
    }

    #[test]
    fn many_small_steps_come_to_the_same() {
        let curve = [
            (0.0, 10.0),
            (15.0, 38.0),
            (60.0, 33.0),
            (60.0, 21.0),
            (100.0, 2.0),
        ];
        for (start_pct, target_pct, limit_w) in [
            (0.0, 100.0, 30.0),
            (7.0, 93.0, 18.0),
            (20.0, 60.0, 35.0),
            (55.0, 65.0, 99.0),
        ] {
            let device = battery(start_pct, target_pct, &curve);
            let steps = 200_000;
            let width = (target_pct - start_pct) / f64::from(steps);
            let sum: f64 = (0..steps)
                .map(|step| {
                    let pct = start_pct + (f64::from(step) + 0.5) * width;
                    let draw = curve
                        .windows(2)
                        .find(|pair| pair[0].0 <= pct && pct < pair[1].0)
                        .map(|pair| {
                            let slope = (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0);
                            pair[0].1 + slope * (pct - pair[0].0)
                        })
                        .expect("the curve covers every state of charge");
                    width / draw.min(limit_w)
                })
                .sum();
            let hours = hours_to_full(&device, limit_w).expect("it ends");
            assert!((hours - sum).abs() < 1e-5, "{hours} {sum}");
        }
    }
}
