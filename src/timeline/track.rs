//! One device's whole night: its pieces without a gap, what happened when, and the
//! contracts that it held.

use super::course::{Course, Mark, line};
use super::piece::{Piece, percent_per_wh};
use crate::plan::schedule::{Schedule, Slot};
use crate::setup::contract::Contract;
use crate::setup::{DeviceSpec, Setup};

/// A contract from a moment on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Held {
    pub(super) from_h: f64,
    pub(super) tier_w: f64,
    pub(super) contract: Contract,
}

/// The night of one stay.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Track {
    pub(super) pieces: Vec<Piece>,
    pub(super) marks: Vec<(f64, Mark)>,
    /// The first is the plan's.
    pub(super) held: Vec<Held>,
    /// When it is full, where it is before its plug is pulled.
    pub(super) full_h: Option<f64>,
    begins_h: f64,
    now_pct: f64,
}

impl Track {
    /// Before its berth.
    pub(super) fn new(setup: &Setup, schedule: &Schedule, slot: &Slot) -> Self {
        Self {
            pieces: Vec::new(),
            marks: Vec::new(),
            held: vec![Held {
                from_h: schedule.begins_h(slot),
                tier_w: slot.tier_w,
                contract: slot.contract,
            }],
            full_h: None,
            begins_h: schedule.begins_h(slot),
            now_pct: setup.devices[slot.device].start_pct,
        }
    }

    /// The contract now held.
    pub(super) fn holds(&self) -> Held {
        *self.held.last().expect("a track begins with its contract")
    }

    /// Until when it is known.
    pub(super) fn now_h(&self) -> f64 {
        self.pieces.last().map_or(self.begins_h, |piece| piece.to_h)
    }

    pub(super) fn now_pct(&self) -> f64 {
        self.now_pct
    }

    /// What lies ahead at the contract now held.
    pub(super) fn course(&self, setup: &Setup, slot: &Slot) -> Course {
        let contract = self.holds().contract;
        Course::of(setup, slot, &contract, self.now_h(), self.now_pct)
    }

    /// Goes on along a course until `at_h`, and stays plugged in where the course ends.
    pub(super) fn follow(&mut self, setup: &Setup, slot: &Slot, course: &Course, at_h: f64) {
        let device = &setup.devices[slot.device];
        let kappa = percent_per_wh(device);
        for piece in course.pieces.iter().filter(|piece| piece.from_h < at_h) {
            let whole = piece.to_h <= at_h;
            let part = if whole {
                *piece
            } else {
                piece.until(at_h, kappa)
            };
            self.now_pct = part.to_pct;
            self.pieces.push(part);
        }
        self.marks
            .extend(course.marks.iter().filter(|(mark_h, _)| *mark_h <= at_h));
        if course.full_h <= at_h {
            self.full_h.get_or_insert(course.full_h);
            if at_h.is_finite() && self.now_h() < at_h {
                self.idle(device, at_h, Some((slot, setup)));
            }
        }
    }

    /// Another contract, from where the track ends.
    pub(super) fn renegotiate(&mut self, from_h: f64, tier_w: f64, contract: Contract) {
        self.held.push(Held {
            from_h,
            tier_w,
            contract,
        });
    }

    /// The time before and after its berth, so that it lasts from 0 to `until_h`.
    pub(super) fn close(&mut self, setup: &Setup, schedule: &Schedule, slot: &Slot, until_h: f64) {
        let device = &setup.devices[slot.device];
        if self.begins_h > 0.0 {
            let before = Piece {
                from_h: 0.0,
                to_h: self.begins_h,
                ..still(device.start_pct)
            };
            self.pieces.insert(0, before);
        }
        let plugged_until = schedule.ends_h(slot).min(until_h);
        if self.now_h() < plugged_until {
            self.idle(device, plugged_until, Some((slot, setup)));
        }
        if self.now_h() < until_h {
            self.idle(device, until_h, None);
        }
    }

    /// Nothing goes into charging; plugged in, it still draws what it runs on.
    fn idle(&mut self, device: &DeviceSpec, until_h: f64, plugged: Option<(&Slot, &Setup)>) {
        let from_h = self.now_h();
        let contract = self.holds().contract;
        let mut piece = Piece {
            from_h,
            to_h: until_h,
            ..still(self.now_pct)
        };
        if let Some((slot, setup)) = plugged {
            piece.running_w = device.running_w;
            piece.line = Some(line(setup, slot, &contract));
        }
        self.pieces.push(piece);
    }

    /// The state of charge `at_h`.
    pub(super) fn pct_at(&self, device: &DeviceSpec, at_h: f64) -> f64 {
        let kappa = percent_per_wh(device);
        let piece = self.pieces.iter().find(|piece| at_h < piece.to_h);
        match piece {
            Some(piece) if at_h < piece.from_h => device.start_pct,
            Some(piece) => piece.at(at_h, kappa).0,
            None => self.now_pct,
        }
    }
}

/// A piece without power.
fn still(pct: f64) -> Piece {
    Piece {
        from_h: 0.0,
        to_h: 0.0,
        from_pct: pct,
        to_pct: pct,
        from_w: 0.0,
        to_w: 0.0,
        slope: 0.0,
        running_w: 0.0,
        line: None,
    }
}
