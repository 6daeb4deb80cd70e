//! What lies ahead of one device while its contract stays: its pieces until it is full,
//! with the moments at which something happens.

use super::piece::{Line, Piece, percent_per_wh};
use crate::plan::schedule::Slot;
use crate::setup::contract::Contract;
use crate::setup::curve::{Stretch, stretches};
use crate::setup::{DeviceSpec, Setup};
use crate::units::millionths;

/// What happens to a device by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mark {
    /// Its curve begins to fall.
    Taper,
    /// From now on it draws less than its contract would give.
    Unfilled,
    /// It has reached its target.
    Full,
}

/// The way from one moment on.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Course {
    /// Where it starts.
    pub(super) from_pct: f64,
    /// Until it is full; empty where it is already.
    pub(super) pieces: Vec<Piece>,
    /// In order of time.
    pub(super) marks: Vec<(f64, Mark)>,
    /// When it is full; infinite where that never is.
    pub(super) full_h: f64,
}

/// How a stay is joined at a contract.
pub(super) fn line(setup: &Setup, slot: &Slot, contract: &Contract) -> Line {
    Line {
        volts: contract.volts,
        max_a: contract.amps,
        ohm: setup.cables[slot.cable].ohm,
    }
}

/// What a stretch has to do with the one before it.
#[derive(Debug, Clone, Copy)]
struct Before {
    filled: bool,
    falls: bool,
    wish_w: f64,
}

impl Course {
    /// From `from_pct` at `from_h`, at a contract that is kept.
    pub(super) fn of(
        setup: &Setup,
        slot: &Slot,
        contract: &Contract,
        from_h: f64,
        from_pct: f64,
    ) -> Self {
        let device = &setup.devices[slot.device];
        let mut course = Self {
            from_pct,
            pieces: Vec::new(),
            marks: Vec::new(),
            full_h: f64::INFINITY,
        };
        let mut now_h = from_h;
        let mut before: Option<Before> = None;
        let spare_w = contract.inlet_w - device.running_w;
        let line = line(setup, slot, contract);
        let ends = stretches(device, spare_w, from_pct, |stretch| {
            course.mark(now_h, &stretch, spare_w, &mut before);
            let to_h = now_h + stretch.hours(device);
            course.pieces.push(Piece {
                from_h: now_h,
                to_h,
                from_pct: stretch.from_pct,
                to_pct: stretch.to_pct,
                from_w: stretch.from_w,
                to_w: stretch.to_w,
                slope: slope(&stretch),
                running_w: device.running_w,
                line: Some(line),
            });
            now_h = to_h;
            Some(())
        });
        if ends.is_some() {
            course.full_h = now_h;
            course.marks.push((now_h, Mark::Full));
        }
        course
    }

    fn mark(&mut self, at_h: f64, stretch: &Stretch, spare_w: f64, before: &mut Option<Before>) {
        let least = stretch.from_w.min(stretch.to_w);
        let now = Before {
            filled: millionths(least) >= millionths(spare_w),
            falls: stretch.wish_to_w < stretch.wish_from_w,
            wish_w: stretch.wish_to_w,
        };
        if let Some(last) = before {
            let drops = stretch.wish_from_w < last.wish_w;
            if !last.falls && (now.falls || drops) {
                self.marks.push((at_h, Mark::Taper));
            }
            if last.filled && !now.filled {
                self.marks.push((at_h, Mark::Unfilled));
            }
        }
        *before = Some(now);
    }

    /// The state of charge `at_h`.
    pub(super) fn pct_at(&self, device: &DeviceSpec, at_h: f64) -> f64 {
        let kappa = percent_per_wh(device);
        let Some(last) = self.pieces.last() else {
            return self.from_pct;
        };
        let piece = self.pieces.iter().find(|piece| at_h < piece.to_h);
        piece.unwrap_or(last).at(at_h, kappa).0
    }
}

fn slope(stretch: &Stretch) -> f64 {
    if stretch.width_pct > 0.0 {
        (stretch.to_w - stretch.from_w) / stretch.width_pct
    } else {
        0.0
    }
}
