//! The contract of a device on a port, from what the port offers at a tier and what
//! the cable leaves of it.
//!
//! Written for reading beside the definition and used by the check alone: the
//! negotiation that plans are built from is other code.

use std::borrow::Cow;

use super::carried::{Carried, connectors_meet, passes, reaches, within_tolerance};
use super::held::held_at;
use crate::setup::document::Voltages;
use crate::setup::{CableSpec, DeviceSpec, PortSpec};
use crate::units::millionths;
use crate::usb::{Accept, Connector, Demand, Offer, Supply};

/// A limit that is taken away to see whether it binds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lifted {
    Nothing,
    /// The port's offered currents and its cap; its voltages stay.
    Port,
    /// The cable; a 240 W cable is in its place, and what its connectors forbid stays.
    Cable,
    /// The device's accepted currents and `max_w`; its voltages and its curve stay.
    Device,
}

/// How what is open is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Open {
    Well,
    /// Badly, and below its cap a USB-C port keeps the printed voltages, or those that the
    /// power rules ask for.
    Badly(Voltages),
}

/// What port and device agree on at the least tier that gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Contract {
    pub(crate) volts: f64,
    pub(crate) amps: f64,
    pub(crate) inlet_w: f64,
    pub(crate) tier_w: f64,
}

impl Contract {
    pub(super) fn port_w(&self) -> f64 {
        self.volts * self.amps
    }

    /// Contracts are the same when volts and amps are equal after rounding.
    fn is_same_as(&self, other: &Self) -> bool {
        millionths(self.volts) == millionths(other.volts)
            && millionths(self.amps) == millionths(other.amps)
    }
}

/// A port, a cable and a device as they meet.
struct Meeting<'a> {
    port: &'a PortSpec,
    offers: Cow<'a, [Offer]>,
    carried: Carried,
    device: &'a DeviceSpec,
    /// What the device takes from such a port.
    accepts: Cow<'a, [Accept]>,
    max_w: f64,
    /// What was found at the tier looked at last.
    found: Vec<Contract>,
}

impl<'a> Meeting<'a> {
    fn of(port: &'a PortSpec, cable: &CableSpec, device: &'a DeviceSpec) -> Self {
        // Of what it is known to take from USB-A, 5 V at that current alone.
        let accepts = match &device.usb_a {
            Some(known) if port.connector == Connector::UsbA => std::slice::from_ref(known),
            _ => &device.accepts,
        };
        Self {
            port,
            offers: Cow::Borrowed(&port.offers),
            carried: Carried::by(cable),
            device,
            accepts: Cow::Borrowed(accepts),
            max_w: device.max_w,
            found: Vec::new(),
        }
    }

    fn without_port(mut self) -> Self {
        for offer in self.offers.to_mut() {
            (offer.amps, offer.watts) = (f64::INFINITY, f64::INFINITY);
        }
        self
    }

    fn without_device(mut self) -> Self {
        for accept in self.accepts.to_mut() {
            (accept.amps, accept.watts) = (f64::INFINITY, f64::INFINITY);
        }
        self.max_w = f64::INFINITY;
        self
    }

    fn without(self, cable: &CableSpec, lifted: Lifted) -> Self {
        match lifted {
            Lifted::Nothing => self,
            Lifted::Port => self.without_port(),
            Lifted::Cable => Self {
                carried: Carried::by_the_best(cable),
                ..self
            },
            Lifted::Device => self.without_device(),
        }
    }
}

/// Every contract of the device on the port through the cable, by rising tier.
pub(super) fn contracts(
    port: &PortSpec,
    cable: &CableSpec,
    device: &DeviceSpec,
    lifted: Lifted,
) -> Vec<Contract> {
    if !connectors_meet(port, cable, device) || !reaches(cable, device) {
        return Vec::new();
    }
    let mut meeting = Meeting::of(port, cable, device).without(cable, lifted);
    let mut found: Vec<Contract> = Vec::new();
    for &tier_w in &port.tiers_w {
        if let Some(contract) = meeting.contract_at(tier_w, Open::Well)
            && !found.iter().any(|lower| lower.is_same_as(&contract))
        {
            found.push(contract);
        }
    }
    found
}

/// The contract on a port whose own limit is lifted and that may supply `room_w`, more
/// than its cap: any of its printed voltages, as much as is asked. It is then held at
/// just that many watts, since no step of the charger's list can mean anything there.
pub(super) fn beyond_cap(
    port: &PortSpec,
    cable: &CableSpec,
    device: &DeviceSpec,
    room_w: f64,
) -> Option<Contract> {
    let mut meeting = Meeting::of(port, cable, device).without_port();
    let mut beyond = meeting.contract_at(room_w, Open::Well)?;
    beyond.tier_w = beyond.port_w();
    Some(beyond)
}

/// The most watts that the device asks for on the port, over everything that meets.
pub(super) fn demand_w(port: &PortSpec, cable: &CableSpec, device: &DeviceSpec) -> f64 {
    let mut meeting = Meeting::of(port, cable, device);
    meeting.find(port.cap_w, Open::Well);
    let found = meeting.found.iter();
    found.map(Contract::port_w).fold(0.0, f64::max)
}

/// What is certain where the port is held at so many watts, its cap or less: where it is not
/// said which voltages it keeps, what gives less, and nothing where either gives none.
pub(super) fn sure_contract(
    port: &PortSpec,
    cable: &CableSpec,
    device: &DeviceSpec,
    held_w: f64,
) -> Option<Contract> {
    let mut meeting = Meeting::of(port, cable, device);
    let mut by = |voltages| meeting.contract_at(held_w, Open::Badly(voltages));
    if let Some(voltages) = port.voltages {
        return by(voltages);
    }
    let (kept, rules) = (by(Voltages::Kept)?, by(Voltages::Rules)?);
    Some(if rules.inlet_w < kept.inlet_w {
        rules
    } else {
        kept
    })
}

impl Meeting<'_> {
    /// The contract at one tier, if there is one.
    fn contract_at(&mut self, tier_w: f64, open: Open) -> Option<Contract> {
        let min_w = match open {
            Open::Well => self.device.min_w,
            Open::Badly(_) => self.device.promised.min_w,
        };
        self.find(tier_w, open);
        let found = self.found.iter();
        let most_w = found.map(|c| c.inlet_w).max_by(f64::total_cmp)?;
        self.found
            .iter()
            .filter(|c| c.inlet_w >= most_w - 1e-9)
            .max_by(|a, b| a.volts.total_cmp(&b.volts).then(b.amps.total_cmp(&a.amps)))
            .filter(|c| flows(c) && millionths(c.port_w()) >= millionths(min_w))
            .copied()
    }

    /// Finds everything on which port and device could agree at one tier.
    fn find(&mut self, tier_w: f64, open: Open) {
        let Self {
            port,
            carried,
            device,
            ..
        } = *self;
        let voltages = match open {
            Open::Well => port.voltages.unwrap_or(Voltages::Kept),
            Open::Badly(voltages) => voltages,
        };
        self.found.clear();
        // What BC 1.2 gives any device; more needs a scheme that both know.
        let open_scheme = port.connector == Connector::UsbA && device.usb_a.is_none();
        let scheme_a = if open != Open::Well && open_scheme {
            1.5
        } else {
            f64::INFINITY
        };
        for printed in &*self.offers {
            let supply = match voltages {
                Voltages::Kept => Some(printed.supply),
                Voltages::Rules => held_at(port, printed.supply, tier_w),
            };
            let passing = supply.filter(|supply| passes(*supply, printed.supply, &carried));
            let Some(supply) = passing else {
                continue;
            };
            for accept in &*self.accepts {
                if let Some(volts) = common_volts(supply, accept.demand, carried.volts, open) {
                    let amps = least_amps(volts, printed, accept, tier_w, self.max_w)
                        .min(carried.most_amps(volts, open != Open::Well))
                        .min(scheme_a);
                    let inlet_w = volts * amps - amps * amps * carried.ohm;
                    self.found.push(Contract {
                        volts,
                        amps,
                        inlet_w,
                        tier_w,
                    });
                }
            }
        }
    }
}

/// Whether anything flows: where current or power is nothing after rounding, nothing does.
fn flows(contract: &Contract) -> bool {
    millionths(contract.amps) > 0 && millionths(contract.inlet_w) > 0
}

/// The voltage at which a supply meets a demand, within what the cable carries.
fn common_volts(supply: Supply, demand: Demand, carried_v: f64, open: Open) -> Option<f64> {
    match (supply, demand) {
        (Supply::Fixed { volts }, Demand::Fixed { volts: wanted }) => {
            within_tolerance(wanted, volts).then_some(volts)
        }
        (Supply::Fixed { volts }, Demand::Wide { low_v, high_v }) => {
            (low_v <= volts && volts <= high_v).then_some(volts)
        }
        (
            Supply::Pps {
                low_v: from_v,
                high_v: to_v,
            },
            Demand::Pps { low_v, high_v },
        ) => {
            let highest = highest_common((from_v, to_v), (low_v, high_v), carried_v)?;
            match open {
                Open::Well => Some(highest),
                // A pack of one cell asks for about 9 V; above, for as little as there is.
                Open::Badly(_) => Some(highest.min(9.0_f64.max(from_v.max(low_v)))),
            }
        }
        (
            Supply::Avs {
                low_v: from_v,
                high_v: to_v,
            },
            Demand::Avs { low_v, high_v },
        ) => highest_common((from_v, to_v), (low_v, high_v), carried_v),
        _ => None,
    }
}

/// The highest voltage of two ranges that the cable carries.
fn highest_common(
    (from_v, to_v): (f64, f64),
    (low_v, high_v): (f64, f64),
    carried_v: f64,
) -> Option<f64> {
    let volts = to_v.min(high_v).min(carried_v);
    (volts >= from_v && volts >= low_v).then_some(volts)
}

/// The least of all currents but the cable's.
fn least_amps(volts: f64, offer: &Offer, accept: &Accept, tier_w: f64, max_w: f64) -> f64 {
    [
        offer.amps,
        offer.watts / volts,
        accept.amps,
        accept.watts / volts,
        tier_w / volts,
        max_w / volts,
    ]
    .into_iter()
    .fold(f64::INFINITY, f64::min)
}

#[cfg(test)]
mod tests {
    use super::super::sample::{
        cable, device, epr, fixed, port, possible, pps, settles, takes, takes_avs, takes_pps,
        takes_wide,
    };
    use super::*;
    use crate::units::rounded;
    use crate::usb::Connector;

    #[test]
    fn what_rounds_to_no_current_or_no_power_does_not_flow() {
        for (amps, inlet_w, expected) in [
            (0.000_001, 0.000_005, true),
            // Half a millionth rounds up, less does not.
            (0.000_000_5, 0.000_002_5, true),
            (0.000_000_4, 0.000_002, false),
            (0.000_001, 0.000_000_4, false),
        ] {
            let contract = Contract {
                volts: 5.0,
                amps,
                inlet_w,
                tier_w: 15.0,
            };
            assert_eq!(flows(&contract), expected, "{amps} A, {inlet_w} W");
        }
    }

    #[test]
    fn offers_meet_what_is_accepted() {
        let range = [pps(5.0, 11.0, 3.0)];
        for (offers, accept, volts) in [
            // Within 5 % of the offer, bounds included.
            (&[fixed(9.0, 3.0)][..], takes(9.45, 3.0), Some(9.0)),
            (&[fixed(9.0, 3.0)], takes(8.55, 3.0), Some(9.0)),
            (&[fixed(9.0, 3.0)], takes(9.46, 3.0), None),
            (&[fixed(12.0, 3.0)], takes(11.4, 3.0), Some(12.0)),
            (&[fixed(12.0, 3.0)], takes_wide(12.0, 20.0, 3.0), Some(12.0)),
            (&[fixed(12.0, 3.0)], takes_wide(12.1, 20.0, 3.0), None),
            (&range, takes_pps(3.3, 9.0, 3.0), Some(9.0)),
            (&range, takes_pps(3.3, 5.0, 3.0), Some(5.0)),
            (&range, takes_pps(3.3, 4.9, 3.0), None),
            (&range, takes_pps(11.1, 21.0, 3.0), None),
            (&range, takes_avs(5.0, 11.0, 3.0), None),
            (&range, takes_wide(5.0, 11.0, 3.0), None),
            (&range, takes(9.0, 3.0), None),
            (&[fixed(9.0, 3.0)], takes_pps(5.0, 11.0, 3.0), None),
        ] {
            let found = possible(offers, &[65.0], &[accept], &epr(), Lifted::Nothing);
            assert_eq!(found.first().map(|c| c.1), volts, "{offers:?} {accept:?}");
        }
    }

    #[test]
    fn the_contract_is_the_most_at_the_inlet() {
        // 27 W each at the port; the higher voltage loses less: 9 V wins over 5 V.
        let thin = CableSpec { ohm: 0.14, ..epr() };
        settles(
            &[fixed(5.0, 5.0), fixed(9.0, 3.0)],
            &[27.0],
            &[takes(5.0, 5.0), takes(9.0, 5.0)],
            &thin,
            &[(27.0, 9.0, 3.0)],
        );
        // Equal at the inlet: the highest voltage.
        settles(
            &[fixed(9.0, 2.0), fixed(18.0, 1.0)],
            &[65.0],
            &[takes_wide(5.0, 20.0, 5.0)],
            &epr(),
            &[(65.0, 18.0, 1.0)],
        );
        // Not quite equal: the most.
        settles(
            &[fixed(9.0, 2.001), fixed(18.0, 1.0)],
            &[65.0],
            &[takes_wide(5.0, 20.0, 5.0)],
            &epr(),
            &[(65.0, 9.0, 2.001)],
        );
        // At 1 ohm half of 10 V is lost at 5 A; more current would bring less.
        let plug = || Connector::Other("barrel".to_owned());
        let poor = CableSpec {
            from: plug(),
            to: plug(),
            ..cable("poor", 6.0, 1.0)
        };
        settles(
            &[fixed(10.0, 6.0), fixed(10.0, 4.0)],
            &[65.0],
            &[takes(10.0, 6.0)],
            &poor,
            &[(65.0, 10.0, 5.0)],
        );
        // Printed watts limit a current, on either side.
        let offer = Offer {
            watts: 18.0,
            ..fixed(9.0, 3.0)
        };
        settles(
            &[offer],
            &[65.0],
            &[takes(9.0, 3.0)],
            &epr(),
            &[(65.0, 9.0, 2.0)],
        );
        let accept = Accept {
            watts: 13.5,
            ..takes(9.0, 3.0)
        };
        settles(&[offer], &[65.0], &[accept], &epr(), &[(65.0, 9.0, 1.5)]);
    }

    #[test]
    fn of_what_is_equally_certain_the_voltages_are_kept() {
        let offers = vec![fixed(5.0, 3.0), fixed(9.0, 3.0), fixed(20.0, 3.25)];
        let open = PortSpec {
            voltages: None,
            ..port("C1", Connector::UsbC, offers, &[27.0, 65.0])
        };
        let tablet = DeviceSpec {
            accepts: vec![takes_wide(5.0, 20.0, 5.0)],
            ..device("tablet", 18.0)
        };
        // Held at 27 W the power rules have 9 V at most: 18 W either way, but for losses.
        let sure = |ohm| sure_contract(&open, &cable("c", 3.0, ohm), &tablet, 27.0);
        let volts = |ohm| sure(ohm).map(|contract| contract.volts);
        assert_eq!((volts(0.0), volts(0.1)), (Some(20.0), Some(9.0)));
    }

    #[test]
    fn too_little_is_no_contract() {
        let offers = vec![fixed(5.0, 3.0)];
        let port = port("C1", Connector::UsbC, offers, &[7.5, 15.0]);
        for (min_w, count) in [(0.0, 2), (7.5, 2), (7.6, 1), (15.0, 1), (15.1, 0)] {
            let device = DeviceSpec {
                min_w,
                accepts: vec![takes(5.0, 3.0)],
                ..device("pedals", 15.0)
            };
            let found = contracts(&port, &cable("c", 3.0, 0.0), &device, Lifted::Nothing);
            assert_eq!(found.len(), count, "min_w {min_w}");
        }
    }

    #[test]
    fn lifted_limits_leave_the_voltages() {
        let offers = [fixed(5.0, 2.0), fixed(9.0, 2.0)];
        let accepts = [Accept {
            watts: 20.0,
            ..takes(9.0, 3.0)
        }];
        let thin = cable("thin", 3.0, 0.5);
        let last = |lifted| possible(&offers, &[15.0, 18.0], &accepts, &thin, lifted).pop();
        // Below its cap of 18 W the port has 5 V only. Nothing but the port's 2 A limits.
        assert_eq!(last(Lifted::Nothing), Some((18.0, 9.0, 2.0)));
        assert_eq!(last(Lifted::Cable), Some((18.0, 9.0, 2.0)));
        assert_eq!(last(Lifted::Device), Some((18.0, 9.0, 2.0)));
        // With a good cable, the port's own limit is the next: 20 W are accepted.
        let good = cable("good", 3.0, 0.0);
        let small = port("C1", Connector::UsbC, offers.to_vec(), &[15.0, 18.0]);
        let tablet = DeviceSpec {
            accepts: accepts.to_vec(),
            ..device("tablet", 100.0)
        };
        let beyond = |room_w| {
            let found = beyond_cap(&small, &good, &tablet, room_w)?;
            Some((rounded(found.tier_w), found.volts, rounded(found.amps)))
        };
        assert_eq!(beyond(f64::INFINITY), Some((20.0, 9.0, 2.222_222)));
        assert_eq!(beyond(19.8), Some((19.8, 9.0, 2.2)));
        // Without its limit a port is not held lower than with it.
        let modest = possible(
            &[fixed(9.0, 2.0)],
            &[15.0, 18.0],
            &[takes(9.0, 1.0)],
            &good,
            Lifted::Port,
        );
        assert_eq!(modest, [(18.0, 9.0, 1.0)]);
    }
}
