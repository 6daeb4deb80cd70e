//! What a port and a device agree on through a cable (section 3).

use super::label::{Entry, Kind};
use super::offers::Offer;
use super::rounding::micro;
use super::setup::{Cable, Device, Port};

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Contract {
    pub(crate) volts: f64,
    pub(crate) amps: f64,
    pub(crate) inlet_w: f64,
}

impl Contract {
    pub(crate) fn port_w(&self) -> f64 {
        self.volts * self.amps
    }

    /// Contracts are the same when volts and amps are, in whole millionths.
    pub(crate) fn same(&self, other: &Self) -> bool {
        micro(self.volts) == micro(other.volts) && micro(self.amps) == micro(other.amps)
    }
}

/// Whether the cable fits both ends and is long enough.
pub(crate) fn joins(port: &Port, cable: &Cable, device: &Device) -> bool {
    cable.from == port.connector && cable.to == device.inlet && cable.length_m >= device.reach_m
}

/// The contract at these offers and at most `limit_w`; the cable is one that joins.
pub(crate) fn negotiate(
    offers: &[Offer],
    limit_w: f64,
    cable: &Cable,
    device: &Device,
) -> Option<Contract> {
    let mut matches = Vec::new();
    for offer in offers.iter().filter(|offer| counts_through(offer, cable)) {
        for accepted in &device.accepts {
            let Some(volts) = common_volts(&offer.entry, accepted, cable.carries_v) else {
                continue;
            };
            let amps = [
                offer.entry.amps_at(volts),
                accepted.amps_at(volts),
                cable.carries_a,
                limit_w / volts,
                device.max_w / volts,
            ]
            .into_iter()
            .fold(f64::INFINITY, f64::min);
            let inlet_w = volts * amps - amps * amps * cable.ohm;
            matches.push(Contract {
                volts,
                amps,
                inlet_w,
            });
        }
    }
    let most_w = matches
        .iter()
        .map(|m| m.inlet_w)
        .fold(f64::NEG_INFINITY, f64::max);
    let best = matches
        .into_iter()
        .filter(|m| m.inlet_w >= most_w - 1e-9)
        .reduce(|a, b| {
            let b_is_better = b.volts > a.volts || (b.volts == a.volts && b.amps < a.amps);
            if b_is_better { b } else { a }
        })?;
    let flows = micro(best.amps) > 0 && micro(best.inlet_w) > 0;
    (flows && micro(best.inlet_w) >= micro(device.min_w)).then_some(best)
}

/// What the cable's plugs rule out, whatever its ratings.
fn counts_through(offer: &Offer, cable: &Cable) -> bool {
    let five_volts_only = cable.from == "usb-a"
        || cable.to == "usb-a"
        || cable.to == "usb-micro-b"
        || cable.to == "usb-mini-b";
    let usb_c_end = cable.from == "usb-c" || cable.to == "usb-c";
    let entry = &offer.entry;
    if five_volts_only && !(entry.kind == Kind::Fixed && within_5_percent(entry.high, 5.0)) {
        return false;
    }
    // Extended-range AVS needs an extended-range cable, even for its lower volts.
    let extended = entry.kind == Kind::Avs && offer.printed_high > 21.0;
    !(extended && usb_c_end && cable.carries_v <= 21.0)
}

/// The volts at which an offer meets an accepted entry.
fn common_volts(offer: &Entry, accepted: &Entry, carries_v: f64) -> Option<f64> {
    match (offer.kind, accepted.kind) {
        (Kind::Fixed, Kind::Fixed) => (within_5_percent(accepted.high, offer.high)
            && offer.high <= carries_v)
            .then_some(offer.high),
        (Kind::Fixed, Kind::Wide) => (accepted.low <= offer.high
            && offer.high <= accepted.high.min(carries_v))
        .then_some(offer.high),
        (Kind::Pps, Kind::Pps) | (Kind::Avs, Kind::Avs) => {
            let volts = offer.high.min(accepted.high).min(carries_v);
            (volts >= offer.low.max(accepted.low)).then_some(volts)
        }
        _ => None,
    }
}

/// Bounds included: the slack is for `9 × 0.05`, which no double is.
fn within_5_percent(volts: f64, of: f64) -> bool {
    (volts - of).abs() <= 0.05 * of + 1e-9
}
