//! What happens, in order of time.

use super::course::Mark;
use super::track::{Held, Track};
use super::{Event, EventContract, Happening};
use crate::plan::schedule::Schedule;
use crate::setup::Setup;
use crate::setup::ids::DeviceId;
use crate::units::{millionths, rounded};

pub(super) fn events(setup: &Setup, schedule: &Schedule, tracks: &[Track]) -> Vec<Event> {
    let mut events: Vec<(DeviceId, Event)> = Vec::new();
    for (slot, track) in schedule.slots.iter().zip(tracks) {
        let device = &setup.devices[slot.device];
        let mut push = |at_h: f64, what: Happening, held: Option<&Held>| {
            let event = Event {
                at_h,
                what,
                device: Some(device.name.clone()),
                soc_pct: Some(track.pct_at(device, at_h)),
                session: None,
                contract: held.map(|held| EventContract {
                    volts: rounded(held.contract.volts),
                    amps: rounded(held.contract.amps),
                    tier_w: rounded(held.tier_w),
                }),
            };
            events.push((slot.device, event));
        };
        for (i, held) in track.held.iter().enumerate() {
            let what = if i == 0 {
                Happening::PluggedIn
            } else {
                Happening::Contract
            };
            push(held.from_h, what, Some(held));
        }
        for (at_h, mark) in &track.marks {
            let what = match mark {
                Mark::Taper => Happening::Taper,
                Mark::Unfilled => Happening::Unfilled,
                Mark::Full => Happening::Full,
            };
            push(*at_h, what, None);
        }
        let ends_h = schedule.ends_h(slot);
        if ends_h.is_finite() {
            push(ends_h, Happening::Unplugged, None);
        }
    }
    for (index, bounds) in schedule.sessions.iter().enumerate() {
        if bounds.end_h.is_finite() {
            let event = Event {
                at_h: bounds.end_h,
                what: Happening::SessionEnds,
                device: None,
                soc_pct: None,
                session: setup
                    .sessions
                    .get(index)
                    .map(|session| session.name.clone()),
                contract: None,
            };
            events.push((DeviceId(usize::MAX), event));
        }
    }
    events.sort_by_key(|(device, event)| (millionths(event.at_h), event.what, *device));
    events.into_iter().map(|(_, event)| event).collect()
}
