//! The contract that a port, a cable and a device agree on.
//!
//! Cable limits: USB Type-C R2.1 (3 A unmarked, 5 A e-marked, 50 V EPR) and its
//! section 4.4.1 (the loop may drop 0.75 V); fixed supplies: within 5 % (USB PD R3.2,
//! Table 4.6); read in secondary texts.

use crate::setup::ids::PortId;
use crate::setup::{CableSpec, DeviceSpec, PortSpec};
use crate::units::millionths;
use crate::usb::tier::SPR_MAX_V;
use crate::usb::{Accept, Connector, Demand, Offer, Supply};

/// The loop drop that USB Type-C allows at full current: 0.5 V on the power wires and
/// 0.25 V on ground.
pub(crate) const LOOP_DROP_V: f64 = 0.75;

/// What an unmarked cable with a USB-C end carries at most.
const UNMARKED_MAX_A: f64 = 3.0;

/// The rated current that an EPR cable has at least.
const EPR_MIN_A: f64 = 5.0;

/// What an EPR cable is rated for.
const EPR_MAX_V: f64 = 50.0;

/// The tolerance of a fixed supply.
const FIXED_TOLERANCE: f64 = 0.05;

/// Slack for comparing products of printed decimals.
const EPSILON: f64 = 1e-9;

/// The share of the voltage beyond which a device need not go on taking its current: the
/// drop that is allowed at 5 V, and the same share above (common practice).
const ALLOWED_DROP: f64 = LOOP_DROP_V / 5.0;

/// What a dedicated charging port surely gives (USB Battery Charging 1.2, 4.4.1; from
/// memory): more needs a scheme that both makers share.
const BC_1_2_A: f64 = 1.5;

/// What a pack of one cell asks a programmable supply for: about twice its own voltage
/// (common practice).
const ONE_CELL_PPS_V: f64 = 9.0;

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

/// How what labels leave open is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reading {
    /// It turns out well.
    Best,
    /// It turns out badly.
    Promised,
}

/// A limit that is imagined away, to see what it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Lift {
    Nothing,
    /// The port's offered currents and its cap.
    Port,
    /// The cable: a 240 W cable in its place.
    Cable,
    /// The device's accepted currents and its `max_w`.
    Device,
}

/// What a cable lets through to a device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Carries {
    /// By its rating and its marker.
    pub(crate) max_a: f64,
    pub(crate) max_v: f64,
    pub(crate) ohm: f64,
    /// Whether nothing vouches for its drop, so that it may keep a device from going on.
    pub(crate) may_drop: bool,
    /// Only fixed offers around 5 V: anything higher through these plugs is a
    /// vendor's scheme.
    pub(crate) five_volts_only: bool,
    /// Whether it has a USB-C end and carries no more than the standard range.
    pub(crate) spr_only: bool,
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

    /// The most current at so many volts.
    pub(crate) fn most_amps(&self, volts: f64, reading: Reading) -> f64 {
        if self.ohm <= 0.0 {
            return self.max_a;
        }
        // Beyond half of the voltage lost, more current brings less power.
        let mut most = self.max_a.min(volts / (2.0 * self.ohm));
        if reading == Reading::Promised {
            most = most.min(self.by_drop(volts));
        }
        most
    }

    /// The current at which the drop is as large as is allowed.
    pub(crate) fn by_drop(&self, volts: f64) -> f64 {
        if self.may_drop && self.ohm > 0.0 {
            ALLOWED_DROP * volts / self.ohm
        } else {
            f64::INFINITY
        }
    }
}

/// What `cable` lets through to a device.
pub(crate) fn carries(cable: &CableSpec, lift: Lift) -> Carries {
    let ends = [&cable.from, &cable.to];
    let five_volts_only = ends.contains(&&Connector::UsbA)
        || matches!(cable.to, Connector::UsbMicroB | Connector::UsbMiniB);
    if lift == Lift::Cable {
        return Carries {
            max_a: EPR_MIN_A,
            max_v: EPR_MAX_V,
            ohm: LOOP_DROP_V / EPR_MIN_A,
            may_drop: false,
            five_volts_only,
            spr_only: false,
        };
    }
    let usb_c = ends.contains(&&Connector::UsbC);
    let epr = cable.e_marked && cable.max_a >= EPR_MIN_A;
    let max_v = if usb_c && !epr {
        cable.max_v.min(SPR_MAX_V)
    } else {
        cable.max_v
    };
    let max_a = if usb_c && !cable.e_marked {
        cable.max_a.min(UNMARKED_MAX_A)
    } else {
        cable.max_a
    };
    Carries {
        max_a,
        max_v,
        ohm: cable.ohm,
        may_drop: !cable.e_marked && ends.iter().any(|end| end.is_usb()),
        five_volts_only,
        spr_only: usb_c && max_v <= SPR_MAX_V,
    }
}

/// Whether `cable` joins the port to `device`, leaving power aside. A port with a lead of its
/// own is joined by that alone.
pub(crate) fn joins(port: PortId, spec: &PortSpec, cable: &CableSpec, device: &DeviceSpec) -> bool {
    match cable.lead_of {
        Some(own) => own == port && reaches(cable, device),
        None => joins_from_bag(spec, cable, device),
    }
}

/// As [`joins`], for a cable of the bag, whose port may be any of its kind.
pub(crate) fn joins_from_bag(port: &PortSpec, cable: &CableSpec, device: &DeviceSpec) -> bool {
    port.lead.is_none() && cable.from == port.connector && reaches(cable, device)
}

/// Whether a cable ends in the device's inlet and is long enough.
pub(crate) fn reaches(cable: &CableSpec, device: &DeviceSpec) -> bool {
    cable.to == device.inlet && cable.length_m >= device.reach_m
}

/// Two parties and what is between them.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Negotiation<'a> {
    pub(crate) port: &'a PortSpec,
    pub(crate) cable: &'a Carries,
    pub(crate) device: &'a DeviceSpec,
    pub(crate) reading: Reading,
    pub(crate) lift: Lift,
}

impl<'a> Negotiation<'a> {
    /// As far as is known at best.
    pub(crate) fn best(port: &'a PortSpec, cable: &'a Carries, device: &'a DeviceSpec) -> Self {
        Self {
            port,
            cable,
            device,
            reading: Reading::Best,
            lift: Lift::Nothing,
        }
    }

    /// The contract between `offers` of the port, held at `tier_w`, and the device, or none.
    ///
    /// `tier_w` may be infinite for a port whose cap is lifted.
    pub(crate) fn contract(&self, offers: &[Offer], tier_w: f64) -> Option<Contract> {
        let matches = self.matches(offers, tier_w);
        let best = matches.reduce(|best, next| if better(&next, &best) { next } else { best });
        // In whole millionths, as all watts are compared: 5 V × 0.09 A is 0.45 W. What rounds
        // to nothing there is nothing, current or power.
        best.filter(|contract| {
            millionths(contract.inlet_w) > 0
                && millionths(contract.amps) > 0
                && millionths(contract.port_w()) >= millionths(self.min_w())
        })
    }

    /// The most volts × amps of any match on the port at its cap: what the device asks for.
    pub(crate) fn demand_w(&self) -> f64 {
        let matches = self.matches(&self.port.offers, self.port.cap_w);
        matches
            .map(|contract| contract.port_w())
            .fold(0.0, f64::max)
    }

    fn min_w(&self) -> f64 {
        match self.reading {
            Reading::Best => self.device.min_w,
            Reading::Promised => self.device.promised.min_w,
        }
    }

    /// Every offer with every entry that it meets.
    pub(super) fn matches(&self, offers: &[Offer], tier_w: f64) -> impl Iterator<Item = Contract> {
        let passing = offers
            .iter()
            .filter(|offer| self.cable.passes(offer.supply));
        passing.flat_map(move |offer| {
            let accepted = self.accepted().iter();
            accepted.filter_map(move |accept| self.of_pair(offer, accept, tier_w))
        })
    }

    /// What the device accepts from such a port.
    fn accepted(&self) -> &[Accept] {
        match &self.device.usb_a {
            Some(known) if self.port.connector == Connector::UsbA => std::slice::from_ref(known),
            _ => &self.device.accepts,
        }
    }

    fn of_pair(&self, offer: &Offer, accept: &Accept, tier_w: f64) -> Option<Contract> {
        let Self {
            cable,
            device,
            lift,
            ..
        } = *self;
        let volts = self.common_volts(offer.supply, accept.demand)?;
        let offered = offer.amps.min(offer.watts / volts);
        let accepted = accept
            .amps
            .min(accept.watts / volts)
            .min(device.max_w / volts)
            .min(self.surely_from_usb_a());
        let mut amps = cable.most_amps(volts, self.reading).min(tier_w / volts);
        if lift != Lift::Port {
            amps = amps.min(offered);
        }
        if lift != Lift::Device {
            amps = amps.min(accepted);
        }
        Some(Contract {
            volts,
            amps,
            inlet_w: volts * amps - amps * amps * cable.ohm,
        })
    }

    /// The most that is certain of a port that does not say what it can do.
    fn surely_from_usb_a(&self) -> f64 {
        let open = self.reading == Reading::Promised
            && self.port.connector == Connector::UsbA
            && self.device.usb_a.is_none();
        if open { BC_1_2_A } else { f64::INFINITY }
    }

    /// The voltage of a match; `None` where the two do not meet.
    fn common_volts(&self, supply: Supply, demand: Demand) -> Option<f64> {
        let volts = common_volts(supply, demand, self.cable.max_v)?;
        match (supply, demand, self.reading) {
            (Supply::Pps { low_v, .. }, Demand::Pps { low_v: least, .. }, Reading::Promised) => {
                Some(volts.min(ONE_CELL_PPS_V.max(low_v).max(least)))
            }
            _ => Some(volts),
        }
    }
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
