//! What a port and a device agree on through a cable, in both readings (section 3).

use super::label::{Entry, Kind};
use super::offers::{Offer, promised_offers_at};
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

/// How what is open turns out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Reading {
    Best,
    Promised,
}

/// Whether the cable fits both ends and is long enough; a fixed lead alone joins its port.
pub(crate) fn joins(port: &Port, cable: &Cable, device: &Device) -> bool {
    let own = match &cable.lead_of {
        Some((charger, name)) => *charger == port.charger && *name == port.name,
        None => !port.has_lead,
    };
    own && cable.from == port.connector
        && cable.to == device.inlet
        && cable.length_m >= device.reach_m
}

/// The contract at these offers and at most `limit_w`, at best; the cable is one that
/// joins.
pub(crate) fn negotiate(
    offers: &[Offer],
    limit_w: f64,
    cable: &Cable,
    device: &Device,
) -> Option<Contract> {
    let matches = matches(offers, limit_w, cable, device, Reading::Best);
    most_power(&matches).filter(|best| suffices(best, device))
}

/// The contract with the port at `limit_w`, promised; the device is as promised. Where
/// it is not known which voltages the port keeps there, the one of less power.
pub(crate) fn promised_contract(
    port: &Port,
    limit_w: f64,
    cable: &Cable,
    device: &Device,
) -> Option<Contract> {
    let contracts = promised_offers_at(port, limit_w).into_iter().map(|offers| {
        let matches = matches(&offers, limit_w, cable, device, Reading::Promised);
        most_power(&matches).filter(|best| suffices(best, device))
    });
    contracts
        .min_by_key(|contract| contract.map(|contract| micro(contract.inlet_w)))
        .flatten()
}

/// The most volts × amps that a device asks for at these offers: of all matches, at best
/// (section 6).
pub(crate) fn most_asked_w(offers: &[Offer], limit_w: f64, cable: &Cable, device: &Device) -> f64 {
    let matches = matches(offers, limit_w, cable, device, Reading::Best);
    matches.iter().map(Contract::port_w).fold(0.0, f64::max)
}

/// Every offer with every accepted entry that it meets.
fn matches(
    offers: &[Offer],
    limit_w: f64,
    cable: &Cable,
    device: &Device,
    reading: Reading,
) -> Vec<Contract> {
    let accepts = match device.usb_a_a {
        // All that it accepts there.
        Some(amps) if cable.from == "usb-a" => vec![Entry::fixed(5.0, amps)],
        _ => device.accepts.clone(),
    };
    let mut matches = Vec::new();
    for offer in offers.iter().filter(|offer| counts_through(offer, cable)) {
        for accepted in &accepts {
            let Some(volts) = common_volts(&offer.entry, accepted, cable.carries_v, reading) else {
                continue;
            };
            let amps = [
                offer.entry.amps_at(volts),
                accepted.amps_at(volts),
                cable.carries_a,
                limit_w / volts,
                device.max_w / volts,
                // Beyond this, more current brings less power.
                volts / (2.0 * cable.ohm),
                if reading == Reading::Promised {
                    promised_amps(volts, cable, device)
                } else {
                    f64::INFINITY
                },
            ]
            .into_iter()
            .fold(f64::INFINITY, f64::min);
            matches.push(Contract {
                volts,
                amps,
                inlet_w: volts * amps - amps * amps * cable.ohm,
            });
        }
    }
    matches
}

/// What only the promise limits: the drop along a cable for which no marker vouches, and
/// what every device takes from a `usb-a` port.
fn promised_amps(volts: f64, cable: &Cable, device: &Device) -> f64 {
    let usb_end = cable.from.starts_with("usb-") || cable.to.starts_with("usb-");
    let mut amps = f64::INFINITY;
    if usb_end && !cable.e_marked && cable.ohm > 0.0 {
        amps = amps.min(0.15 * volts / cable.ohm);
    }
    if cable.from == "usb-a" && device.usb_a_a.is_none() {
        amps = amps.min(1.5);
    }
    amps
}

/// The match of the most power at the inlet; of those, the highest voltage, then the
/// least current.
fn most_power(matches: &[Contract]) -> Option<Contract> {
    let most_w = matches
        .iter()
        .map(|m| m.inlet_w)
        .fold(f64::NEG_INFINITY, f64::max);
    matches
        .iter()
        .copied()
        .filter(|m| m.inlet_w >= most_w - 1e-9)
        .reduce(|a, b| {
            let b_is_better = b.volts > a.volts || (b.volts == a.volts && b.amps < a.amps);
            if b_is_better { b } else { a }
        })
}

/// Whether something flows, and at the port no less than the device needs.
fn suffices(contract: &Contract, device: &Device) -> bool {
    let flows = micro(contract.amps) > 0 && micro(contract.inlet_w) > 0;
    flows && micro(contract.port_w()) >= micro(device.min_w)
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
fn common_volts(offer: &Entry, accepted: &Entry, carries_v: f64, reading: Reading) -> Option<f64> {
    match (offer.kind, accepted.kind) {
        (Kind::Fixed, Kind::Fixed) => (within_5_percent(accepted.high, offer.high)
            && offer.high <= carries_v)
            .then_some(offer.high),
        (Kind::Fixed, Kind::Wide) => (accepted.low <= offer.high
            && offer.high <= accepted.high.min(carries_v))
        .then_some(offer.high),
        (Kind::Pps, Kind::Pps) | (Kind::Avs, Kind::Avs) => {
            let highest = offer.high.min(accepted.high).min(carries_v);
            let lowest = offer.low.max(accepted.low);
            // A pack of one cell asks for about twice its voltage.
            let asked = match (offer.kind, reading) {
                (Kind::Pps, Reading::Promised) => highest.min(9.0).max(lowest),
                _ => highest,
            };
            (highest >= lowest).then_some(asked)
        }
        _ => None,
    }
}

/// Bounds included: the slack is for `9 × 0.05`, which no double is.
fn within_5_percent(volts: f64, of: f64) -> bool {
    (volts - of).abs() <= 0.05 * of + 1e-9
}
