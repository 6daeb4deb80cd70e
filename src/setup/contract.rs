//! The contract that a port, a cable and a device agree on.
//!
//! Cable limits: USB Type-C R2.1 (3 A unmarked, 5 A e-marked, 50 V EPR) and its
//! section 4.4.1 (the loop may drop 0.75 V); fixed supplies: within 5 % (USB PD R3.2,
//! Table 4.6); read in secondary texts.

use crate::setup::{CableSpec, DeviceSpec};
use crate::units::millionths;
use crate::usb::tier::SPR_MAX_V;
use crate::usb::{Connector, Demand, Offer, Supply};

/// The loop drop that USB Type-C allows at full current: 0.5 V on the power wires and
/// 0.25 V on ground.
pub(crate) const LOOP_DROP_V: f64 = 0.75;

/// What an unmarked cable with a USB-C end carries at most.
const UNMARKED_MAX_A: f64 = 3.0;

/// The rated current that an EPR cable has at least.
const EPR_MIN_A: f64 = 5.0;

/// The tolerance of a fixed supply.
const FIXED_TOLERANCE: f64 = 0.05;

/// Slack for comparing products of printed decimals.
const EPSILON: f64 = 1e-9;

/// Contracts whose inlet power differs by no more than this are equally good.
const SAME_POWER_W: f64 = 1e-9;

/// What is negotiated: the voltage and current at the port, and what arrives.
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

    /// Whether these are its volts and amps in whole millionths. Either may have been
    /// rounded on its way through a document: one more or less is the same.
    pub(crate) fn is(&self, (volts, amps): (i64, i64)) -> bool {
        (millionths(self.volts) - volts).abs() <= 1 && (millionths(self.amps) - amps).abs() <= 1
    }
}

/// A limit that is imagined away, to see what it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Lift {
    Nothing,
    /// The port's offered currents and its cap.
    Port,
    /// The cable's resistance, amperes and volts.
    Cable,
    /// The device's accepted currents and its `max_w`.
    Device,
}

/// What a cable lets through to a device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Carries {
    pub(crate) max_a: f64,
    pub(crate) max_v: f64,
    pub(crate) ohm: f64,
    /// Only fixed offers around 5 V: anything higher through these plugs is a
    /// vendor's scheme.
    pub(crate) five_volts_only: bool,
    /// Whether it has a USB-C end and carries no more than the standard range.
    pub(crate) spr_only: bool,
    /// Whether the loop drop, not the rating, limits the current.
    pub(crate) throttled: bool,
}

impl Carries {
    /// Whether the cable lets this kind of supply through at all, its volts aside.
    pub(crate) fn passes(&self, supply: Supply) -> bool {
        if self.five_volts_only {
            return is_five_volts(supply);
        }
        // An EPR range needs an EPR cable, even for a voltage that SPR has too.
        !matches!(supply, Supply::Avs { high_v, .. } if self.spr_only && high_v > SPR_MAX_V)
    }
}

/// What `cable` lets through to a device.
pub(crate) fn carries(cable: &CableSpec, lift: Lift) -> Carries {
    let ends = [&cable.from, &cable.to];
    let five_volts_only = ends.contains(&&Connector::UsbA)
        || matches!(cable.to, Connector::UsbMicroB | Connector::UsbMiniB);
    if lift == Lift::Cable {
        return Carries {
            max_a: f64::INFINITY,
            max_v: f64::INFINITY,
            ohm: 0.0,
            five_volts_only,
            spr_only: false,
            throttled: false,
        };
    }
    let usb_c = ends.contains(&&Connector::UsbC);
    let epr = cable.e_marked && cable.max_a >= EPR_MIN_A;
    let max_v = if usb_c && !epr {
        cable.max_v.min(SPR_MAX_V)
    } else {
        cable.max_v
    };
    let rated_a = if usb_c && !cable.e_marked {
        cable.max_a.min(UNMARKED_MAX_A)
    } else {
        cable.max_a
    };
    let by_drop = if ends.iter().any(|end| end.is_usb()) && cable.ohm > 0.0 {
        LOOP_DROP_V / cable.ohm
    } else {
        f64::INFINITY
    };
    Carries {
        max_a: rated_a.min(by_drop),
        max_v,
        ohm: cable.ohm,
        five_volts_only,
        spr_only: usb_c && max_v <= SPR_MAX_V,
        throttled: by_drop < rated_a - EPSILON,
    }
}

/// Whether `cable` joins a port with `connector` to `device`, leaving power aside.
pub(crate) fn joins(connector: &Connector, cable: &CableSpec, device: &DeviceSpec) -> bool {
    cable.from == *connector && cable.to == device.inlet && cable.length_m >= device.reach_m
}

/// The contract between the offers of a port held at `tier_w` and a device, or none.
///
/// `tier_w` may be infinite for a port whose cap is lifted.
pub(crate) fn contract(
    offers: &[Offer],
    tier_w: f64,
    cable: &Carries,
    device: &DeviceSpec,
    lift: Lift,
) -> Option<Contract> {
    let mut best: Option<Contract> = None;
    for offer in offers {
        if !cable.passes(offer.supply) {
            continue;
        }
        for accept in &device.accepts {
            let Some(volts) = common_volts(offer.supply, accept.demand, cable.max_v) else {
                continue;
            };
            let offered = offer.amps.min(offer.watts / volts);
            let accepted = accept
                .amps
                .min(accept.watts / volts)
                .min(device.max_w / volts);
            let amps = cable
                .max_a
                .min(if lift == Lift::Port {
                    f64::INFINITY
                } else {
                    offered
                })
                .min(if lift == Lift::Device {
                    f64::INFINITY
                } else {
                    accepted
                })
                .min(tier_w / volts);
            let inlet_w = volts * amps - amps * amps * cable.ohm;
            let candidate = Contract {
                volts,
                amps,
                inlet_w,
            };
            if best.is_none_or(|b| better(&candidate, &b)) {
                best = Some(candidate);
            }
        }
    }
    // In whole millionths, as all watts are compared: 5 V × 0.09 A is 0.45 W. What rounds
    // to nothing there is nothing, current or power.
    best.filter(|contract| {
        let inlet = millionths(contract.inlet_w);
        inlet > 0 && millionths(contract.amps) > 0 && inlet >= millionths(device.min_w)
    })
}

fn better(a: &Contract, b: &Contract) -> bool {
    if (a.inlet_w - b.inlet_w).abs() > SAME_POWER_W {
        return a.inlet_w > b.inlet_w;
    }
    a.volts > b.volts || (a.volts == b.volts && a.amps < b.amps)
}

pub(crate) fn is_five_volts(supply: Supply) -> bool {
    matches!(supply, Supply::Fixed { volts } if within_tolerance(volts, 5.0))
}

/// Whether `volts` lies within the tolerance of a fixed supply of `nominal` volts.
fn within_tolerance(volts: f64, nominal: f64) -> bool {
    (volts - nominal).abs() <= nominal * FIXED_TOLERANCE + EPSILON
}

/// The voltage of a match, at most `max_v`; `None` where the two do not meet.
pub(crate) fn common_volts(supply: Supply, demand: Demand, max_v: f64) -> Option<f64> {
    match (supply, demand) {
        (Supply::Fixed { volts }, Demand::Fixed { volts: accepted }) => {
            (volts <= max_v && within_tolerance(accepted, volts)).then_some(volts)
        }
        (Supply::Fixed { volts }, Demand::Wide { low_v, high_v }) => {
            (volts <= max_v && low_v <= volts && volts <= high_v).then_some(volts)
        }
        (
            Supply::Pps { low_v, high_v },
            Demand::Pps {
                low_v: least,
                high_v: most,
            },
        )
        | (
            Supply::Avs { low_v, high_v },
            Demand::Avs {
                low_v: least,
                high_v: most,
            },
        ) => highest_common(low_v.max(least), high_v.min(most), max_v),
        _ => None,
    }
}

fn highest_common(low_v: f64, high_v: f64, max_v: f64) -> Option<f64> {
    let high_v = high_v.min(max_v);
    (low_v <= high_v).then_some(high_v)
}
