//! Points of the closed forms: at every event, and at even steps between.

use super::Series;
use super::course::line;
use super::piece::percent_per_wh;
use super::track::Track;
use crate::plan::schedule::Schedule;
use crate::setup::Setup;
use crate::units::millionths;

/// Steps and boundaries nearer than this are one point: far below what documents print.
const SAME_H: f64 = 1e-9;

pub(super) fn series(
    setup: &Setup,
    schedule: &Schedule,
    tracks: &[Track],
    step_h: f64,
) -> Vec<Series> {
    let of_stay = schedule.slots.iter().zip(tracks);
    of_stay
        .map(|(slot, track)| {
            let device = &setup.devices[slot.device];
            let charger = &setup.chargers[slot.port.charger];
            let kappa = percent_per_wh(device);
            let mut series = Series {
                device: device.name.clone(),
                charger: charger.name.clone(),
                port: charger.ports[slot.port.index].name.clone(),
                full_h: track.full_h,
                at_h: Vec::new(),
                soc_pct: Vec::new(),
                watts: Vec::new(),
            };
            for piece in &track.pieces {
                let first = piece.port_w(piece.from_w);
                if series.watts.last().is_none_or(|last| jumps(*last, first)) {
                    series.push(piece.from_h, piece.from_pct, first);
                }
                for at_h in steps(piece.from_h, piece.to_h, step_h) {
                    let (pct, charging_w) = piece.at(at_h, kappa);
                    series.push(at_h, pct, piece.port_w(charging_w));
                }
                series.push(piece.to_h, piece.to_pct, piece.port_w(piece.to_w));
            }
            if series.at_h.is_empty() {
                // A night without a length: full as it is, and running.
                let plugged = line(setup, slot, &slot.contract);
                series.push(0.0, device.start_pct, plugged.port_w(device.running_w));
            }
            series
        })
        .collect()
}

impl Series {
    fn push(&mut self, at_h: f64, pct: f64, watts: f64) {
        self.at_h.push(at_h);
        self.soc_pct.push(pct);
        self.watts.push(watts);
    }
}

/// Whether two watts at one time are printed apart.
pub(super) fn jumps(before: f64, after: f64) -> bool {
    (millionths(before) - millionths(after)).abs() > 1
}

/// The even steps strictly between two times.
pub(super) fn steps(from_h: f64, to_h: f64, step_h: f64) -> impl Iterator<Item = f64> {
    let first = ((from_h + SAME_H) / step_h).floor() + 1.0;
    std::iter::successors(Some(first), |step| Some(step + 1.0))
        .map(move |step| step * step_h)
        .take_while(move |at_h| *at_h < to_h - SAME_H)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_lie_strictly_between() {
        for (from_h, to_h, step_h, expected) in [
            (0.0, 1.0, 0.25, &[0.25, 0.5, 0.75][..]),
            (0.25, 0.5, 0.25, &[]),
            (0.24, 0.51, 0.25, &[0.25, 0.5]),
            (0.3, 0.3, 0.25, &[]),
            (0.25 - 1e-12, 0.6, 0.25, &[0.5]),
        ] {
            let got: Vec<f64> = steps(from_h, to_h, step_h).collect();
            assert_eq!(got, expected);
        }
    }
}
