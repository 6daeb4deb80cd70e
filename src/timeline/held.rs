//! Every contract kept to the end: what the plan promises.

use super::track::Track;
use crate::plan::schedule::Schedule;
use crate::setup::Setup;

/// By stay, its night until its plug is pulled.
pub(super) fn held(setup: &Setup, schedule: &Schedule) -> Vec<Track> {
    let slots = schedule.slots.iter();
    slots
        .map(|slot| {
            let mut track = Track::new(setup, schedule, slot);
            let course = track.course(setup, slot);
            track.follow(setup, slot, &course, schedule.ends_h(slot));
            track
        })
        .collect()
}
