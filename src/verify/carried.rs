//! What a cable joins, and what it carries by its ends, its e-marker and its drop.

use crate::setup::ids::PortId;
use crate::setup::{CableSpec, DeviceSpec, PortSpec};
use crate::usb::{Connector, Supply};

/// Where bounds are included, a decimal that binary fractions miss by a hair is
/// still on the bound.
const HAIR: f64 = 1e-9;

/// Whether a cable is the lead of another port.
pub(super) fn is_elsewhere(cable: &CableSpec, port: PortId) -> bool {
    cable.lead_of.is_some_and(|own| own != port)
}

/// Whether the cable has the port's connector at one end and the inlet's at the other. A port
/// with a lead is joined by leads alone, and nothing else is.
pub(super) fn connectors_meet(port: &PortSpec, cable: &CableSpec, device: &DeviceSpec) -> bool {
    cable.from == port.connector
        && cable.to == device.inlet
        && cable.lead_of.is_some() == port.lead.is_some()
}

/// Whether the cable is long enough; one of unknown length reaches nothing.
pub(super) fn reaches(cable: &CableSpec, device: &DeviceSpec) -> bool {
    cable.length_m >= device.reach_m
}

/// What a cable carries, by its rating, its ends and its resistance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Carried {
    pub(super) amps: f64,
    pub(super) volts: f64,
    pub(super) ohm: f64,
    /// Whether no marker vouches for it, so that a device may take less where much is lost.
    unvouched: bool,
    /// A USB-A end or a micro- or mini-B plug: nothing but fixed 5 V.
    five_volts_only: bool,
    usb_c: bool,
}

impl Carried {
    pub(super) fn by(cable: &CableSpec) -> Self {
        let ends = [&cable.from, &cable.to];
        let mut amps = cable.max_a;
        let mut volts = cable.max_v;
        let usb_c = ends.contains(&&Connector::UsbC);
        if usb_c {
            if !cable.e_marked {
                amps = amps.min(3.0);
            }
            if !(cable.e_marked && cable.max_a >= 5.0) {
                volts = volts.min(21.0);
            }
        }
        let five_volts_only = ends.contains(&&Connector::UsbA)
            || matches!(cable.to, Connector::UsbMicroB | Connector::UsbMiniB);
        Self {
            amps,
            volts,
            ohm: cable.ohm,
            unvouched: !cable.e_marked && ends.iter().any(|end| end.is_usb()),
            five_volts_only,
            usb_c,
        }
    }

    /// A 240 W cable between the same connectors, e-marked with 5 A and 50 V: it loses 0.75 V
    /// at 5 A.
    pub(super) fn by_the_best(cable: &CableSpec) -> Self {
        Self::by(&CableSpec {
            max_a: 5.0,
            max_v: 50.0,
            e_marked: true,
            ohm: 0.75 / 5.0,
            ..cable.clone()
        })
    }

    /// The most current at `volts`, `surely` where what is open turns out badly.
    pub(super) fn most_amps(&self, volts: f64, surely: bool) -> f64 {
        if self.ohm <= 0.0 {
            return self.amps;
        }
        // Half of the voltage lost: more current brings less.
        let most = self.amps.min(volts / 2.0 / self.ohm);
        // The drop that is allowed at 5 V: 0.5 V on VBUS, 0.25 V on ground (USB Type-C, 4.4.1).
        if surely && self.unvouched {
            most.min(0.15 * volts / self.ohm)
        } else {
            most
        }
    }
}

/// Whether the cable lets this kind of supply through at all.
pub(super) fn passes(supply: Supply, printed: Supply, carried: &Carried) -> bool {
    match (supply, printed) {
        (Supply::Fixed { volts }, _) => {
            volts <= carried.volts && (!carried.five_volts_only || within_tolerance(volts, 5.0))
        }
        _ if carried.five_volts_only => false,
        // An AVS source that reaches into EPR needs an EPR cable even for less, where it
        // can ask the cable.
        (_, Supply::Avs { high_v, .. }) => !carried.usb_c || high_v <= 21.0 || carried.volts > 21.0,
        _ => true,
    }
}

/// Within 5 % of `nominal`, the tolerance of a fixed supply, bounds included.
pub(super) fn within_tolerance(volts: f64, nominal: f64) -> bool {
    (volts - nominal).abs() <= 0.05 * nominal + HAIR
}

#[cfg(test)]
mod tests {
    use super::super::negotiation::{Lifted, contracts};
    use super::super::sample::{
        avs, cable, device, epr, fixed, port, pps, settles, takes, takes_avs, takes_pps, takes_wide,
    };
    use super::*;

    #[test]
    fn cables_carry_what_their_ends_and_marks_allow() {
        let offers = [fixed(20.0, 5.0), fixed(28.0, 5.0)];
        let accepts = [takes(20.0, 5.0), takes(28.0, 5.0)];
        let base = || cable("c", 5.0, 0.0);
        let other = || Connector::Other("barrel".to_owned());
        for (cable, expected) in [
            // 3 A without e-marker, 21 V without EPR marking.
            (
                CableSpec {
                    max_v: 50.0,
                    ..base()
                },
                (20.0, 3.0),
            ),
            (
                CableSpec {
                    e_marked: true,
                    ..base()
                },
                (20.0, 5.0),
            ),
            (epr(), (28.0, 5.0)),
            (
                CableSpec {
                    max_a: 4.0,
                    ..epr()
                },
                (20.0, 4.0),
            ),
            // Half of the voltage lost: 4 ohm leave 3.5 A.
            (CableSpec { ohm: 4.0, ..epr() }, (28.0, 3.5)),
            // No USB-C end: the marks do not matter.
            (
                CableSpec {
                    from: other(),
                    to: other(),
                    max_v: 50.0,
                    ohm: 0.3,
                    ..base()
                },
                (28.0, 5.0),
            ),
        ] {
            settles(
                &offers,
                &[240.0],
                &accepts,
                &cable,
                &[(240.0, expected.0, expected.1)],
            );
        }
        // The highest common voltage of a range is that of the cable, too.
        let low = CableSpec {
            max_v: 12.0,
            ..epr()
        };
        settles(
            &[pps(3.3, 21.0, 3.0)],
            &[65.0],
            &[takes_pps(3.3, 16.0, 5.0)],
            &low,
            &[(65.0, 12.0, 3.0)],
        );
        // AVS from an EPR source does not count through a cable without EPR.
        let spr = CableSpec {
            e_marked: true,
            ..base()
        };
        settles(
            &[avs(15.0, 28.0, 5.0)],
            &[140.0],
            &[takes_avs(9.0, 20.0, 5.0)],
            &spr,
            &[],
        );
        settles(
            &[avs(15.0, 28.0, 5.0)],
            &[140.0],
            &[takes_avs(9.0, 20.0, 5.0)],
            &epr(),
            &[(140.0, 20.0, 5.0)],
        );
    }

    #[test]
    fn usb_a_and_small_plugs_carry_five_volts_only() {
        let offers = [
            fixed(5.25, 2.0),
            fixed(5.3, 3.0),
            fixed(9.0, 3.0),
            pps(4.0, 6.0, 3.0),
        ];
        let accepts = [takes_wide(4.0, 12.0, 3.0), takes_pps(3.3, 11.0, 3.0)];
        for (from, to) in [
            (Connector::UsbA, Connector::UsbC),
            (Connector::UsbC, Connector::UsbA),
            (Connector::UsbC, Connector::UsbMicroB),
            (Connector::UsbA, Connector::UsbMiniB),
        ] {
            let cable = CableSpec {
                from,
                to,
                ..cable("five", 3.0, 0.0)
            };
            settles(&offers, &[27.0], &accepts, &cable, &[(27.0, 5.25, 2.0)]);
        }
    }

    #[test]
    fn only_what_joins_negotiates() {
        let port = port("C1", Connector::UsbC, vec![fixed(5.0, 3.0)], &[15.0]);
        let device = DeviceSpec {
            accepts: vec![takes(5.0, 3.0)],
            reach_m: 1.0,
            ..device("pedals", 15.0)
        };
        for (cable, joined) in [
            (cable("c", 3.0, 0.0), true),
            (
                CableSpec {
                    length_m: 0.9,
                    ..cable("short", 3.0, 0.0)
                },
                false,
            ),
            (
                CableSpec {
                    from: Connector::UsbA,
                    ..cable("a", 3.0, 0.0)
                },
                false,
            ),
            (
                CableSpec {
                    to: Connector::UsbMicroB,
                    ..cable("micro", 3.0, 0.0)
                },
                false,
            ),
        ] {
            let found = contracts(&port, &cable, &device, Lifted::Nothing);
            assert_eq!(!found.is_empty(), joined, "{}", cable.name);
        }
    }
}
