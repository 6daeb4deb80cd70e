//! The exact time to full (section 4).

use super::rounding::micro;
use super::setup::Device;

/// Hours to the target at an inlet power; `None` where it never ends.
pub(crate) fn hours(device: &Device, inlet_w: f64) -> Option<f64> {
    if micro(inlet_w) <= micro(device.running_w) {
        return None;
    }
    if device.start_pct >= device.target_pct {
        return Some(0.0);
    }
    let limit_w = inlet_w - device.running_w;
    let mut cuts = vec![device.start_pct, device.target_pct];
    cuts.extend(device.draw_w.iter().map(|point| point.0));
    cuts.retain(|&pct| device.start_pct <= pct && pct <= device.target_pct);
    cuts.sort_by(f64::total_cmp);
    cuts.dedup();

    // The sum of ds / min(limit, draw), in percent per watt.
    let mut sum = 0.0;
    for piece in cuts.windows(2) {
        let (from, to) = (piece[0], piece[1]);
        let (at_from, at_to) = draw_within(&device.draw_w, from, to);
        if at_from <= 0.0 || at_to <= 0.0 {
            return None;
        }
        sum += limited_piece(to - from, at_from, at_to, limit_w);
    }
    Some(sum * device.battery_wh / 100.0 / device.efficiency)
}

/// The draw at both ends of a piece without a point inside, seen from within: a
/// step at an end belongs to the neighbour.
fn draw_within(points: &[(f64, f64)], from: f64, to: f64) -> (f64, f64) {
    let middle = f64::midpoint(from, to);
    let left = points.iter().rev().find(|point| point.0 < middle);
    let right = points.iter().find(|point| point.0 > middle);
    match (left, right) {
        (Some(&(s0, w0)), Some(&(s1, w1))) => {
            let at = |s: f64| w0 + (w1 - w0) * ((s - s0) / (s1 - s0));
            (at(from), at(to))
        }
        (Some(&(_, watts)), None) | (None, Some(&(_, watts))) => (watts, watts),
        (None, None) => unreachable!("a curve has a point"),
    }
}

/// A linear piece of the curve under a limit: flat where the limit holds, a
/// logarithm where the curve does.
fn limited_piece(length: f64, at_from: f64, at_to: f64, limit_w: f64) -> f64 {
    let (low, high) = (at_from.min(at_to), at_from.max(at_to));
    if limit_w <= low {
        length / limit_w
    } else if limit_w >= high {
        linear_piece(length, low, high)
    } else {
        let below = length * (limit_w - low) / (high - low);
        linear_piece(below, low, limit_w) + (length - below) / limit_w
    }
}

fn linear_piece(length: f64, low: f64, high: f64) -> f64 {
    let rise = (high - low) / low;
    let mean = if rise < 1e-9 {
        1.0 - rise / 2.0
    } else {
        rise.ln_1p() / rise
    };
    length / low * mean
}
