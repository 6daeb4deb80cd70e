//! The socket's side: watts and watt-hours by each charger's efficiency.

use super::piece::percent_per_wh;
use super::series::{jumps, steps};
use super::track::Track;
use super::{Energy, Wall};
use crate::plan::schedule::Schedule;
use crate::setup::Setup;
use crate::setup::efficiency::wall_w;

/// Where the energy goes, and how much of it comes from the socket.
pub(super) fn energy(setup: &Setup, schedule: &Schedule, tracks: &[Track]) -> (Energy, f64) {
    let mut energy = Energy::default();
    let mut wall_wh = 0.0;
    for (slot, track) in schedule.slots.iter().zip(tracks) {
        let device = &setup.devices[slot.device];
        let kappa = percent_per_wh(device);
        let (mut port_wh, mut charging_wh, mut running_wh) = (0.0, 0.0, 0.0);
        for piece in &track.pieces {
            port_wh += piece.port_wh(kappa);
            charging_wh += piece.charging_wh(kappa);
            running_wh += piece.running_w * piece.hours();
        }
        let from_wall_wh = wall_w(&setup.chargers[slot.port.charger], port_wh);
        wall_wh += from_wall_wh;
        energy.stored_wh += charging_wh * device.efficiency;
        energy.charging_lost_wh += charging_wh * (1.0 - device.efficiency);
        energy.running_wh += running_wh;
        energy.cable_lost_wh += port_wh - charging_wh - running_wh;
        energy.charger_lost_wh += from_wall_wh - port_wh;
    }
    (energy, wall_wh)
}

/// Between two boundaries each device's watts are convex in time (a constant or an
/// exponential, through a cable), and so is their sum: the most of it is at a boundary.
pub(super) fn wall(setup: &Setup, schedule: &Schedule, tracks: &[Track], step_h: f64) -> Wall {
    let mut times: Vec<f64> = vec![0.0];
    for piece in tracks.iter().flat_map(|track| &track.pieces) {
        times.push(piece.to_h);
    }
    times.sort_by(f64::total_cmp);
    times.dedup();
    let mut wall = Wall::default();
    let mut pieces = vec![0; tracks.len()];
    for pair in times.windows(2) {
        let (from_h, to_h) = (pair[0], pair[1]);
        for (index, track) in pieces.iter_mut().zip(tracks) {
            while track
                .pieces
                .get(*index)
                .is_some_and(|piece| piece.to_h <= from_h)
            {
                *index += 1;
            }
        }
        let watts = |at_h: f64| -> f64 {
            let running = schedule.slots.iter().zip(tracks).zip(&pieces);
            running
                .filter_map(|((slot, track), index)| {
                    let piece = track.pieces.get(*index)?;
                    let kappa = percent_per_wh(&setup.devices[slot.device]);
                    let port_w = piece.port_w(piece.at(at_h, kappa).1);
                    Some(wall_w(&setup.chargers[slot.port.charger], port_w))
                })
                .sum()
        };
        let first = watts(from_h);
        if wall.watts.last().is_none_or(|last| jumps(*last, first)) {
            wall.push(from_h, first);
        }
        for at_h in steps(from_h, to_h, step_h) {
            wall.push(at_h, watts(at_h));
        }
        wall.push(to_h, watts(to_h));
    }
    if wall.at_h.is_empty() {
        wall.push(0.0, 0.0);
    }
    wall.peak_w = wall.watts.iter().copied().fold(0.0, f64::max);
    wall
}

impl Wall {
    fn push(&mut self, at_h: f64, watts: f64) {
        self.at_h.push(at_h);
        self.watts.push(watts);
    }
}
