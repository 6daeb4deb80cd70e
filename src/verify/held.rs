//! What a port still offers where it is held at a tier (USB PD R3.2, 10.2).

use crate::setup::PortSpec;
use crate::usb::{Connector, Supply};

/// What is left of a printed supply where the port is held at a tier; at its cap, as
/// printed. Only USB-C ports give voltages up as they step down.
pub(super) fn held_at(port: &PortSpec, printed: Supply, tier_w: f64) -> Option<Supply> {
    if tier_w >= port.cap_w || port.connector != Connector::UsbC {
        return Some(printed);
    }
    match printed {
        Supply::Fixed { volts } => (tier_w > power_above(volts)).then_some(printed),
        Supply::Pps { low_v, high_v } => {
            let cut_v = greatest(&[5.9, 11.0, 16.0, 21.0], |v| power_above(v) < tier_w)?;
            (low_v <= cut_v).then(|| Supply::Pps {
                low_v,
                high_v: high_v.min(cut_v),
            })
        }
        Supply::Avs { low_v, high_v } => {
            if high_v > 21.0 && tier_w <= 100.0 {
                return None;
            }
            let cut_v = greatest(&[15.0, 20.0, 28.0, 36.0, 48.0], |v| {
                let more_than_w = match v {
                    ..=15.0 => 27.0,
                    ..=20.0 => 45.0,
                    ..=28.0 => 100.0,
                    ..=36.0 => 140.0,
                    _ => 180.0,
                };
                tier_w > more_than_w
            })?;
            (low_v <= cut_v).then(|| Supply::Avs {
                low_v,
                high_v: high_v.min(cut_v),
            })
        }
    }
}

/// The watts that a source must be held above to offer a voltage.
fn power_above(volts: f64) -> f64 {
    match volts {
        ..=5.9 => 0.0,
        ..=11.0 => 15.0,
        ..=16.0 => 27.0,
        ..=21.0 => 45.0,
        ..=28.0 => 100.0,
        ..=36.0 => 140.0,
        _ => 180.0,
    }
}

fn greatest(rising: &[f64], allowed: impl Fn(f64) -> bool) -> Option<f64> {
    rising.iter().copied().rfind(|&v| allowed(v))
}

#[cfg(test)]
mod tests {
    use super::super::sample::{
        STEPS_65, avs, cable, epr, fixed, pps, settles, takes, takes_avs, takes_pps,
    };
    use super::*;
    use crate::setup::CableSpec;

    const EPR_STEPS: [f64; 7] = [65.0, 100.0, 140.0, 140.1, 180.0, 180.1, 240.0];

    #[test]
    fn tiers_take_fixed_voltages_away_from_usb_c_only() {
        // 20 V needs more than 45 W, 15 V more than 27, 9 V more than 15.
        let offers = [fixed(9.0, 3.0), fixed(15.0, 3.0), fixed(20.0, 3.25)];
        for (volts, expected) in [
            (20.0, &[(60.0, 20.0, 3.0), (65.0, 20.0, 3.25)][..]),
            (15.0, &[(30.0, 15.0, 2.0), (45.0, 15.0, 3.0)]),
            (
                9.0,
                &[(18.0, 9.0, 2.0), (20.0, 9.0, 2.222), (27.0, 9.0, 3.0)],
            ),
        ] {
            settles(&offers, &STEPS_65, &[takes(volts, 5.0)], &epr(), expected);
        }
        let barrel = CableSpec {
            from: Connector::Other("barrel".to_owned()),
            to: Connector::Other("barrel".to_owned()),
            ..cable("barrel", 5.0, 0.0)
        };
        settles(
            &offers,
            &[7.5, 60.0],
            &[takes(20.0, 5.0)],
            &barrel,
            &[(7.5, 20.0, 0.375), (60.0, 20.0, 3.0)],
        );
        // At its cap a port offers what is printed, whatever its cap.
        settles(
            &[fixed(20.0, 1.0)],
            &[20.0],
            &[takes(20.0, 3.0)],
            &epr(),
            &[(20.0, 20.0, 1.0)],
        );
    }

    #[test]
    fn tiers_cut_ranges() {
        // PPS: 5.9 V up to 15 W, 11 V up to 27 W, 16 V up to 45 W; as printed at the cap.
        settles(
            &[pps(3.3, 21.0, 3.0)],
            &[15.0, 15.1, 27.0, 27.1, 45.0, 45.1, 65.0],
            &[takes_pps(3.3, 21.0, 5.0)],
            &epr(),
            &[
                (15.0, 5.9, 2.542),
                (15.1, 11.0, 1.373),
                (27.0, 11.0, 2.455),
                (27.1, 16.0, 1.694),
                (45.0, 16.0, 2.813),
                (45.1, 21.0, 2.148),
                (65.0, 21.0, 3.0),
            ],
        );
        // A range that begins at its cut is one voltage; beyond it, none.
        for (low_v, expected) in [
            (11.0, &[(20.0, 11.0, 1.818), (30.0, 21.0, 1.429)][..]),
            (11.1, &[(30.0, 21.0, 1.429)]),
        ] {
            settles(
                &[pps(low_v, 21.0, 3.0)],
                &[20.0, 30.0],
                &[takes_pps(3.3, 21.0, 5.0)],
                &epr(),
                expected,
            );
        }
        // AVS in the standard range: from above 27 W to 15 V, from above 45 W to 20 V.
        settles(
            &[avs(9.0, 20.0, 3.0)],
            &[27.0, 30.0, 45.0, 60.0, 65.0],
            &[takes_avs(9.0, 48.0, 5.0)],
            &epr(),
            &[(30.0, 15.0, 2.0), (45.0, 15.0, 3.0), (60.0, 20.0, 3.0)],
        );
        // AVS that reaches into EPR: nothing up to 100 W, then 28, 36, 48 V.
        settles(
            &[avs(15.0, 48.0, 3.0)],
            &EPR_STEPS,
            &[takes_avs(15.0, 48.0, 5.0)],
            &epr(),
            &[(140.0, 28.0, 3.0), (140.1, 36.0, 3.0), (180.1, 48.0, 3.0)],
        );
    }
}
