//! The charging curve and the exact time between two states of charge.
//!
//! A device that draws a constant power and then less and less in proportion to what
//! is missing is the resistance model of a cell at constant current, then constant
//! voltage (textbook material; derivation from first principles). On a straight piece
//! of the curve the time is a logarithm, so nothing is stepped.

use crate::limits::LONGEST_H;
use crate::setup::{DeviceSpec, PromisedSpec};
use crate::units::millionths;

/// Hours from `start_pct` to `target_pct` at `inlet_w`; `None` where it never ends, or
/// not within [`LONGEST_H`].
pub(crate) fn hours_to_full(device: &DeviceSpec, inlet_w: f64) -> Option<f64> {
    hours_from(device, inlet_w, device.start_pct)
}

/// As [`hours_to_full`], where what is open of the device turns out badly.
pub(crate) fn promised_hours(device: &DeviceSpec, inlet_w: f64) -> Option<f64> {
    let PromisedSpec {
        min_w: _,
        battery_wh,
        start_pct,
        draw_w,
    } = &device.promised;
    hours(device, (*battery_wh, draw_w), inlet_w, *start_pct)
}

/// As [`hours_to_full`], from another state of charge.
pub(crate) fn hours_from(device: &DeviceSpec, inlet_w: f64, from_pct: f64) -> Option<f64> {
    hours(
        device,
        (device.battery_wh, &device.draw_w),
        inlet_w,
        from_pct,
    )
}

fn hours(
    device: &DeviceSpec,
    (battery_wh, draw_w): (f64, &[(f64, f64)]),
    inlet_w: f64,
    from_pct: f64,
) -> Option<f64> {
    if millionths(inlet_w) <= millionths(device.running_w) {
        return None;
    }
    let spare_w = inlet_w - device.running_w;
    if from_pct >= device.target_pct {
        return Some(0.0);
    }
    let pct_per_w = percent_hours(draw_w, spare_w, from_pct, device.target_pct)?;
    let hours = battery_wh / 100.0 / device.efficiency * pct_per_w;
    LONGEST_H.holds(hours).then_some(hours)
}

/// A stretch of a charging curve on which what goes into charging is constant or linear
/// in the state of charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stretch {
    pub(crate) from_pct: f64,
    pub(crate) to_pct: f64,
    /// `to_pct - from_pct`, with the digits that a difference would lose.
    pub(crate) width_pct: f64,
    /// Watts into charging at both ends, capped.
    pub(crate) from_w: f64,
    pub(crate) to_w: f64,
    /// What the curve asks for at both ends.
    pub(crate) wish_from_w: f64,
    pub(crate) wish_to_w: f64,
}

impl Stretch {
    /// ∫ ds / power over the stretch, in percent per watt.
    fn percent_hours(&self) -> f64 {
        straight(self.width_pct, self.from_w, self.to_w)
    }

    /// Hours that `device` needs for it.
    pub(crate) fn hours(&self, device: &DeviceSpec) -> f64 {
        device.battery_wh / 100.0 / device.efficiency * self.percent_hours()
    }
}

/// Passes on, in order, the stretches of a device's charge from `from_pct` to its target
/// while `spare_w` is there for charging. Ends with `None` where the draw reaches 0, or
/// where `each` gives it.
pub(crate) fn stretches(
    device: &DeviceSpec,
    spare_w: f64,
    from_pct: f64,
    each: impl FnMut(Stretch) -> Option<()>,
) -> Option<()> {
    capped(&device.draw_w, spare_w, from_pct, device.target_pct, each)
}

/// ∫ ds / min(cap, draw(s)) from `from` to `to`; `None` where the draw reaches 0.
fn percent_hours(points: &[(f64, f64)], cap: f64, from: f64, to: f64) -> Option<f64> {
    let mut sum = 0.0;
    capped(points, cap, from, to, |stretch| {
        sum += stretch.percent_hours();
        Some(())
    })?;
    Some(sum)
}

fn capped(
    points: &[(f64, f64)],
    cap: f64,
    from: f64,
    to: f64,
    mut each: impl FnMut(Stretch) -> Option<()>,
) -> Option<()> {
    let (first, last) = (points.first()?, points.last()?);
    let mut add = |s0: f64, d0: f64, s1: f64, d1: f64| -> Option<()> {
        let (a, b) = (s0.max(from), s1.min(to));
        if b > a {
            let at = |s: f64| {
                if s == s0 {
                    d0
                } else if s == s1 {
                    d1
                } else {
                    // Two shares added: a difference would lose its digits near 0.
                    (d0 * (s1 - s) + d1 * (s - s0)) / (s1 - s0)
                }
            };
            split_at_cap((a, at(a)), (b, at(b)), cap, &mut each)?;
        }
        Some(())
    };
    add(from.min(first.0), first.1, first.0, first.1)?;
    for pair in points.windows(2) {
        add(pair[0].0, pair[0].1, pair[1].0, pair[1].1)?;
    }
    add(last.0, last.1, to.max(last.0), last.1)
}

/// A straight piece of the curve, in two where it crosses the cap.
fn split_at_cap(
    (s0, d0): (f64, f64),
    (s1, d1): (f64, f64),
    cap: f64,
    each: &mut impl FnMut(Stretch) -> Option<()>,
) -> Option<()> {
    if d0 <= 0.0 || d1 <= 0.0 {
        return None;
    }
    let width = s1 - s0;
    let whole = Stretch {
        from_pct: s0,
        to_pct: s1,
        width_pct: width,
        from_w: d0.min(cap),
        to_w: d1.min(cap),
        wish_from_w: d0,
        wish_to_w: d1,
    };
    if (d0 >= cap && d1 >= cap) || (d0 <= cap && d1 <= cap) {
        return each(whole);
    }
    let (high, low) = if d0 > d1 { (d0, d1) } else { (d1, d0) };
    // The part below the cap first: it may be short and take the longest.
    let below = width * (cap - low) / (high - low);
    let falling = d0 > d1;
    let between = if falling { s1 - below } else { s0 + below };
    let (first, second) = if falling {
        (width - below, below)
    } else {
        (below, width - below)
    };
    each(Stretch {
        to_pct: between,
        width_pct: first,
        to_w: cap,
        wish_to_w: cap,
        ..whole
    })?;
    each(Stretch {
        from_pct: between,
        width_pct: second,
        from_w: cap,
        wish_from_w: cap,
        ..whole
    })
}

/// ∫ ds / d(s) over a straight piece: width · ln(high / low) / (high − low), the same
/// rising and falling.
fn straight(width: f64, d0: f64, d1: f64) -> f64 {
    let (low, high) = if d0 < d1 { (d0, d1) } else { (d1, d0) };
    let x = (high - low) / low;
    // ln(1 + x) / x, which tends to 1: the quotient of two vanishing numbers is not
    // left to rounding.
    let ratio = if x.abs() < 1e-12 {
        1.0 - x / 2.0
    } else {
        x.ln_1p() / x
    };
    width / low * ratio
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn case(points: &[(f64, f64)], cap: f64, from: f64, to: f64, expected: Option<f64>) {
        let got = percent_hours(points, cap, from, to);
        match (got, expected) {
            (Some(a), Some(b)) => assert!((a - b).abs() < 1e-12 * b.max(1.0), "{a} ≠ {b}"),
            (a, b) => assert_eq!(a, b),
        }
    }

    #[test]
    fn constant_pieces_are_quotients() {
        case(&[(0.0, 10.0)], 20.0, 0.0, 100.0, Some(10.0));
        case(&[(0.0, 10.0)], 5.0, 20.0, 100.0, Some(16.0));
        case(&[(30.0, 10.0), (60.0, 10.0)], 20.0, 0.0, 100.0, Some(10.0));
    }

    #[test]
    fn linear_pieces_are_logarithms() {
        // From 10 W to 1 W over 90 %: 90 · ln 10 / 9.
        case(
            &[(10.0, 10.0), (100.0, 1.0)],
            20.0,
            10.0,
            100.0,
            Some(10.0 * 10f64.ln()),
        );
        // Capped at 5.5 W over the first half: 45 / 5.5 + 45 · ln 5.5 / 4.5.
        case(
            &[(10.0, 10.0), (100.0, 1.0)],
            5.5,
            10.0,
            100.0,
            Some(45.0 / 5.5 + 10.0 * 5.5f64.ln()),
        );
        // Rising from 1 W to 10 W is the same piece from the other side.
        case(
            &[(0.0, 1.0), (90.0, 10.0)],
            5.5,
            0.0,
            90.0,
            Some(45.0 / 5.5 + 10.0 * 5.5f64.ln()),
        );
    }

    #[test]
    fn steps_take_no_time() {
        case(
            &[(0.0, 10.0), (50.0, 10.0), (50.0, 5.0), (100.0, 5.0)],
            20.0,
            0.0,
            100.0,
            Some(15.0),
        );
        case(
            &[(0.0, 10.0), (50.0, 10.0), (50.0, 5.0)],
            20.0,
            50.0,
            100.0,
            Some(10.0),
        );
        // A zero that lasts for no width is passed over.
        case(
            &[(0.0, 10.0), (50.0, 10.0), (50.0, 0.0)],
            20.0,
            0.0,
            50.0,
            Some(5.0),
        );
    }

    #[test]
    fn no_draw_never_ends() {
        case(&[(0.0, 10.0), (100.0, 0.0)], 20.0, 0.0, 100.0, None);
        case(
            &[(0.0, 10.0), (100.0, 0.0)],
            20.0,
            0.0,
            99.0,
            Some(10.0 * 100f64.ln()),
        );
        case(&[(0.0, 0.0)], 20.0, 0.0, 1.0, None);
        case(
            &[(0.0, 10.0), (50.0, 10.0), (50.0, 0.0)],
            20.0,
            0.0,
            51.0,
            None,
        );
    }
}
