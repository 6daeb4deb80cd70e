//! What a port offers while it is held at a tier below its cap.
//!
//! By the power rules, a source that can spare only w watts advertises only the voltages
//! that they require of a source of that PDP (USB PD R3.x, 10.2; read in secondary
//! texts), and cuts its ranges likewise. The rules are a minimum: published charger
//! firmware keeps every printed voltage at less current, which needs no code here.

use super::power_rules::threshold_w;
use super::{Connector, Offer, Supply};

/// Voltage range ends of PPS, with the watts above which a source has them
/// (USB PD R3.0, Table 10-8).
const PPS_ENDS: [(f64, f64); 4] = [(5.9, 0.0), (11.0, 15.0), (16.0, 27.0), (21.0, 45.0)];

/// Voltage range ends of AVS, with the watts above which a source has them: the two
/// SPR bands, then the EPR ranges (USB PD R3.2, 10.2.3).
const AVS_ENDS: [(f64, f64); 5] = [
    (15.0, 27.0),
    (20.0, 45.0),
    (28.0, 100.0),
    (36.0, 140.0),
    (48.0, 180.0),
];

/// The highest voltage to which an EPR voltage or range belongs: above it, the source
/// must be in EPR mode.
pub(crate) const SPR_MAX_V: f64 = 21.0;

/// Below or at this many watts a source is not in EPR mode.
const EPR_ABOVE_W: f64 = 100.0;

/// The offers that a port keeps by the power rules while it is held at `tier_w`; as printed
/// at its cap.
pub(crate) fn offers_by_rules(
    offers: &[Offer],
    connector: &Connector,
    cap_w: f64,
    tier_w: f64,
) -> Vec<Offer> {
    if tier_w >= cap_w || *connector != Connector::UsbC {
        return offers.to_vec();
    }
    offers
        .iter()
        .filter_map(|offer| thinned(offer, tier_w))
        .collect()
}

fn thinned(offer: &Offer, tier_w: f64) -> Option<Offer> {
    let supply = match offer.supply {
        Supply::Fixed { volts } => (tier_w > threshold_w(volts)).then_some(offer.supply)?,
        Supply::Pps { low_v, high_v } => {
            let high_v = cut(&PPS_ENDS, tier_w)?.min(high_v);
            (low_v <= high_v).then_some(Supply::Pps { low_v, high_v })?
        }
        Supply::Avs { high_v, .. } if high_v > SPR_MAX_V && tier_w <= EPR_ABOVE_W => return None,
        Supply::Avs { low_v, high_v } => {
            let high_v = cut(&AVS_ENDS, tier_w)?.min(high_v);
            (low_v <= high_v).then_some(Supply::Avs { low_v, high_v })?
        }
    };
    Some(Offer { supply, ..*offer })
}

/// The highest range end that a source of `tier_w` has.
fn cut(ends: &[(f64, f64)], tier_w: f64) -> Option<f64> {
    ends.iter()
        .rev()
        .find(|(_, above)| tier_w > *above)
        .map(|(end, _)| *end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn case(supply: Supply, tier_w: f64, expected: Option<Supply>) {
        let offer = Offer {
            supply,
            amps: 3.0,
            watts: f64::INFINITY,
        };
        let left = offers_by_rules(&[offer], &Connector::UsbC, 240.0, tier_w);
        assert_eq!(left.first().map(|o| o.supply), expected);
    }

    #[test]
    fn fixed_voltages_need_more_than_their_threshold() {
        let fixed = |volts| Supply::Fixed { volts };
        case(fixed(5.0), 0.5, Some(fixed(5.0)));
        case(fixed(9.0), 15.0, None);
        case(fixed(9.0), 15.01, Some(fixed(9.0)));
        case(fixed(12.0), 27.0, None);
        case(fixed(15.0), 27.01, Some(fixed(15.0)));
        case(fixed(20.0), 45.0, None);
        case(fixed(20.0), 45.01, Some(fixed(20.0)));
        case(fixed(28.0), 100.0, None);
        case(fixed(36.0), 140.0, None);
        case(fixed(48.0), 180.0, None);
        case(fixed(48.0), 180.01, Some(fixed(48.0)));
    }

    #[test]
    fn ranges_are_cut() {
        let pps = |low_v, high_v| Supply::Pps { low_v, high_v };
        case(pps(3.3, 21.0), 15.0, Some(pps(3.3, 5.9)));
        case(pps(3.3, 21.0), 27.0, Some(pps(3.3, 11.0)));
        case(pps(3.3, 21.0), 45.0, Some(pps(3.3, 16.0)));
        case(pps(3.3, 21.0), 60.0, Some(pps(3.3, 21.0)));
        case(pps(5.9, 21.0), 15.0, Some(pps(5.9, 5.9)));
        case(pps(6.0, 21.0), 15.0, None);
        let avs = |low_v, high_v| Supply::Avs { low_v, high_v };
        case(avs(9.0, 20.0), 27.0, None);
        case(avs(9.0, 20.0), 30.0, Some(avs(9.0, 15.0)));
        case(avs(9.0, 20.0), 60.0, Some(avs(9.0, 20.0)));
        case(avs(15.0, 48.0), 100.0, None);
        case(avs(15.0, 48.0), 100.01, Some(avs(15.0, 28.0)));
        case(avs(15.0, 48.0), 180.0, Some(avs(15.0, 36.0)));
        case(avs(15.0, 48.0), 200.0, Some(avs(15.0, 48.0)));
    }

    #[test]
    fn other_connectors_and_the_cap_keep_all() {
        let offer = Offer {
            supply: Supply::Fixed { volts: 20.0 },
            amps: 3.0,
            watts: f64::INFINITY,
        };
        let barrel = Connector::Other("barrel".into());
        assert_eq!(offers_by_rules(&[offer], &barrel, 60.0, 7.5), [offer]);
        assert_eq!(
            offers_by_rules(&[offer], &Connector::UsbC, 40.0, 40.0),
            [offer]
        );
    }
}
