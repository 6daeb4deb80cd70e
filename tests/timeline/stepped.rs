//! The same nights in small steps: the state of charge by the midpoint rule, nothing in
//! closed form.

use wattberth::{Happening, Sharing};

use super::nights;
use super::seated::{Berth, Seated};
use crate::model::setup::Device;

/// Percent of charge that one step takes at most.
const STEP_PCT: f64 = 0.004;

/// A second.
const SECOND_H: f64 = 1.0 / 3600.0;

#[test]
fn small_steps_agree_while_every_contract_is_kept() {
    nights(60, Sharing::Held, agrees);
}

#[test]
fn small_steps_agree_while_chargers_renegotiate() {
    nights(60, Sharing::Reshared, agrees);
}

/// What the curve asks for, read off its points; on a step, the part beyond it.
pub(crate) fn draw_w(points: &[(f64, f64)], pct: f64) -> f64 {
    let before = points.iter().rev().find(|point| point.0 <= pct);
    let after = points.iter().find(|point| point.0 > pct);
    match (before, after) {
        (Some(&(s0, w0)), Some(&(s1, w1))) => w0 + (w1 - w0) * (pct - s0) / (s1 - s0),
        (Some(&(_, w)), None) | (None, Some(&(_, w))) => w,
        (None, None) => 0.0,
    }
}

/// Percent per hour.
pub(crate) fn rate(device: &Device, inlet_w: f64, pct: f64) -> f64 {
    let spare_w = inlet_w - device.running_w;
    device.efficiency * spare_w.min(draw_w(&device.draw_w, pct)) / device.battery_wh * 100.0
}

/// From a state at a time to another time, or to the target: the time and the state.
fn advance(device: &Device, berth: &Berth, from: (f64, f64), to_h: f64) -> (f64, f64) {
    let (mut now_h, mut pct) = from;
    while now_h < to_h && pct < device.target_pct {
        let next_change = berth.holds.iter().map(|(at_h, _)| *at_h);
        let change_h = next_change
            .filter(|at_h| *at_h > now_h)
            .fold(to_h, f64::min);
        let inlet_w = berth.held(now_h).contract.inlet_w;
        let slope = rate(device, inlet_w, pct);
        let step_h = (STEP_PCT / slope).min(change_h - now_h);
        let middle = rate(device, inlet_w, pct + slope * step_h / 2.0);
        let left = device.target_pct - pct;
        if middle * step_h >= left {
            return (now_h + left / middle, device.target_pct);
        }
        pct += middle * step_h;
        // A step that is too short to be seen must not stop the clock.
        now_h = if change_h - now_h <= step_h {
            change_h
        } else {
            now_h + step_h
        };
    }
    (now_h, pct)
}

fn agrees(seated: &Seated) {
    for (berth, series) in seated.berths.iter().zip(&seated.night.series) {
        let device = seated.device(berth);
        let mut state = (0.0, device.start_pct);
        let mut full_h = (device.start_pct >= device.target_pct).then_some(0.0);
        for (&at_h, &pct) in series.at_h.iter().zip(&series.soc_pct) {
            let (reached_h, reached_pct) = advance(device, berth, state, at_h);
            if reached_pct >= device.target_pct {
                full_h.get_or_insert(reached_h);
            }
            state = (at_h.max(reached_h), reached_pct);
            assert!(
                (reached_pct - pct).abs() <= 0.01,
                "{} at {at_h} h: {pct} %, stepped {reached_pct} %\n{}",
                series.device,
                seated.json
            );
        }
        // The last step may end a hair after the end of the series.
        let stepped_h = full_h.unwrap_or_else(|| advance(device, berth, state, state.0 + 1.0).0);
        let told_h = series.full_h.expect("a static plan's devices get full");
        // Doubles of a night of years have no seconds to a ten millionth.
        let tolerance = SECOND_H + 1e-6 * told_h;
        assert!(
            (stepped_h - told_h).abs() <= tolerance,
            "{}: full after {told_h} h, stepped {stepped_h} h\n{}",
            series.device,
            seated.json
        );
        marks(seated, berth, device);
    }
}

/// A taper begins where the curve begins to fall, and a contract is no longer filled where
/// the draw falls below what it leaves for charging.
fn marks(seated: &Seated, berth: &Berth, device: &Device) {
    for event in &seated.night.events {
        if event.device.as_ref() != Some(&device.name) {
            continue;
        }
        let pct = event.soc_pct.expect("a device's event has its charge");
        let before = draw_w(&device.draw_w, pct - 1e-4);
        let after = draw_w(&device.draw_w, pct + 1e-4);
        match event.what {
            Happening::Taper => {
                let top = draw_w(&device.draw_w, pct);
                let falls = after < top.max(draw_w(&device.draw_w, pct - 1e-9)) || after < before;
                assert!(falls, "{} at {pct} %: {before} {after}", device.name);
            }
            Happening::Unfilled => {
                let held = berth.held_before(event.at_h);
                let spare_w = held.contract.inlet_w - device.running_w;
                assert!(
                    before >= spare_w - 1e-6 && after < spare_w,
                    "{} at {pct} %: {before} {after}, {spare_w}\n{}",
                    device.name,
                    seated.json
                );
            }
            _ => {}
        }
    }
}
