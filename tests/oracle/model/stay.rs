//! How long a berth lasts, and which berths are there in a session (the decisions around
//! a plan, "rota").

use super::options::Choice;
use super::rounding::micro;
use super::setup::{Device, Setup};

/// A berth's time, in sessions and in whole microhours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stay {
    pub(crate) first: usize,
    pub(crate) last: usize,
    /// When the device is full, or would be if it could stay.
    pub(crate) finish: i64,
    /// Whether it is full when the berth ends.
    pub(crate) full: bool,
}

/// When a session starts, in whole microhours after the first: each length is rounded
/// before it is summed.
pub(crate) fn start_of(setup: &Setup, session: usize) -> i64 {
    let before = &setup.sessions[..session];
    before
        .iter()
        .map(|session| micro(session.hours))
        .fold(0, i64::saturating_add)
}

/// When a session ends.
pub(crate) fn end_of(setup: &Setup, session: usize) -> i64 {
    start_of(setup, session).saturating_add(micro(setup.sessions[session].hours))
}

/// When the device is to be ready, in whole microhours: by default when the last session
/// ends.
pub(crate) fn ready_by(setup: &Setup, device: &Device) -> i64 {
    let end = end_of(setup, setup.sessions.len() - 1);
    device.ready_by_h.map_or(end, micro)
}

/// The sessions with which a berth of the device can start.
pub(crate) fn starts(setup: &Setup, device: &Device) -> Vec<usize> {
    (0..setup.sessions.len())
        .filter(|&session| setup.sessions[session].swap && device.at_hand[session])
        .collect()
}

/// A berth that starts with `first` and takes `hours` stays to the end of the session in
/// which the device is full, or as long as it is at hand.
pub(crate) fn stay(setup: &Setup, device: &Device, first: usize, hours: f64) -> Stay {
    let finish = start_of(setup, first).saturating_add(micro(hours));
    let mut last = first;
    while end_of(setup, last) < finish
        && last + 1 < setup.sessions.len()
        && device.at_hand[last + 1]
    {
        last += 1;
    }
    Stay {
        first,
        last,
        finish,
        full: end_of(setup, last) >= finish,
    }
}

/// What a stay holds: watts times the hours of its sessions; the watts where the session
/// has no end.
pub(crate) fn held(setup: &Setup, stay: Stay, watts: f64) -> i64 {
    let sessions = &setup.sessions[stay.first..=stay.last];
    let hours: f64 = sessions.iter().map(|session| session.hours).sum();
    micro(if hours.is_finite() {
        watts * hours
    } else {
        watts
    })
}

/// The berths that are there in a session.
pub(crate) fn during(chosen: &[Choice], session: usize) -> Vec<Choice> {
    chosen
        .iter()
        .filter(|choice| (choice.stay.first..=choice.stay.last).contains(&session))
        .cloned()
        .collect()
}
