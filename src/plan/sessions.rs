//! When a berth may start and how long it then lasts: once for the whole night, or
//! from the start of one of several sessions.

use crate::setup::Setup;
use crate::units::millionths;

/// The sessions, as far as berths depend on them.
#[derive(Debug, Clone)]
pub(crate) struct Sessions {
    /// Whole 1e-6 h from the start to the end of each; one that never ends where there
    /// is no rota.
    ends: Vec<i64>,
    /// Hours of each.
    hours: Vec<f64>,
    /// By device, in which it is at hand and in which of these a berth may start.
    devices: Vec<Device>,
}

#[derive(Debug, Clone)]
struct Device {
    at_hand: Vec<bool>,
    starts: Vec<usize>,
    ready_by: i64,
}

/// How a berth goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Occupancy {
    /// The last session that it takes.
    pub(crate) last: usize,
    /// When the device is full, or would be, in whole 1e-6 h from the start.
    pub(crate) time: i64,
    /// Watts, or the watt-hours held over the sessions taken; in whole millionths.
    pub(crate) held: i64,
    pub(crate) late: bool,
}

impl Sessions {
    /// One session that lasts as long as it takes.
    pub(crate) fn one() -> Self {
        Self {
            ends: Vec::new(),
            hours: Vec::new(),
            devices: Vec::new(),
        }
    }

    /// The sessions of a setup that has some.
    pub(crate) fn of(setup: &Setup) -> Self {
        let hours: Vec<f64> = setup.sessions.iter().map(|session| session.hours).collect();
        let mut end = 0;
        let ends: Vec<i64> = hours
            .iter()
            .map(|&hours| {
                end += millionths(hours);
                end
            })
            .collect();
        let device = |device: &crate::setup::DeviceSpec| {
            let at_hand: Vec<bool> = (0..ends.len()).map(|s| device.is_at_hand(s)).collect();
            Device {
                starts: (0..ends.len())
                    .filter(|&s| at_hand[s] && setup.sessions[s].swap)
                    .collect(),
                at_hand,
                ready_by: device.ready_by_h.map_or(end, millionths),
            }
        };
        Self {
            devices: setup.devices.iter().map(device).collect(),
            ends,
            hours,
        }
    }

    /// Whether it is one that lasts as long as it takes.
    pub(crate) fn is_one(&self) -> bool {
        self.ends.is_empty()
    }

    pub(crate) fn len(&self) -> usize {
        self.ends.len().max(1)
    }

    /// Whole 1e-6 h from the start to that of a session.
    pub(crate) fn start(&self, session: usize) -> i64 {
        session.checked_sub(1).map_or(0, |before| self.ends[before])
    }

    /// Whole 1e-6 h from the start to the end of a session.
    pub(crate) fn end(&self, session: usize) -> i64 {
        self.ends[session]
    }

    /// The sessions with which a berth of the device may start.
    pub(crate) fn starts(&self, device: usize) -> impl Iterator<Item = usize> {
        let one = self.ends.is_empty().then_some(0);
        let several = self.devices.get(device).map_or(&[][..], |d| &d.starts);
        one.into_iter().chain(several.iter().copied())
    }

    /// How a berth at `port_w` goes that starts with session `first`, where `alone` is how
    /// it goes in one session without an end.
    pub(crate) fn stay(
        &self,
        device: usize,
        first: usize,
        alone: Occupancy,
        port_w: f64,
    ) -> Occupancy {
        if self.ends.is_empty() {
            return alone;
        }
        self.lasting(device, first, alone.time, port_w)
    }

    /// As [`Sessions::stay`], for a time to full in whole 1e-6 h at `port_w`.
    pub(crate) fn lasting(&self, device: usize, first: usize, time: i64, port_w: f64) -> Occupancy {
        let time = self.start(first).saturating_add(time);
        let own = &self.devices[device];
        let mut last = first;
        while self.ends[last] < time && own.at_hand.get(last + 1) == Some(&true) {
            last += 1;
        }
        let hours: f64 = self.hours[first..=last].iter().sum();
        Occupancy {
            last,
            time,
            held: millionths(port_w * hours),
            late: self.is_late(device, last, time),
        }
    }

    /// Whether a berth through session `last` that comes to full at `time`, in whole 1e-6 h
    /// from the start, is late: later than it must be, or than its plug is pulled.
    pub(crate) fn is_late(&self, device: usize, last: usize, time: i64) -> bool {
        time > self.ends[last] || time > self.devices[device].ready_by
    }
}
