//! Every contract kept to the end: what the plan promises.

use super::track::Track;
use crate::plan::night::Night;
use crate::setup::Setup;

/// By stay, its night until its plug is pulled.
pub(super) fn held(setup: &Setup, night: &Night) -> Vec<Track> {
    let stays = night.stays.iter();
    stays
        .map(|stay| {
            let mut track = Track::new(setup, night, stay);
            let course = track.course(setup, stay);
            track.follow(setup, stay, &course, night.ends_h(stay));
            track
        })
        .collect()
}
