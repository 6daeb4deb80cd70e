//! The USB PD power rules: which fixed voltages a power in watts stands for.
//!
//! Source: USB PD R3.2, 10.2 (normative voltages and currents of a source, SPR and
//! EPR).

use super::{Accept, Demand, Offer, Supply};

/// The fixed voltages of the standard power range.
const SPR_V: [f64; 4] = [5.0, 9.0, 15.0, 20.0];

/// The fixed voltages of the extended power range.
const EPR_V: [f64; 3] = [28.0, 36.0, 48.0];

/// What any USB-C cable carries, and so the most that the rules ask for at the
/// standard voltages.
const PLAIN_CABLE_A: f64 = 3.0;

/// What an e-marked cable carries.
const MARKED_CABLE_A: f64 = 5.0;

/// Above this a source of the standard range needs a 5 A cable at 20 V.
const PLAIN_CABLE_W: f64 = 60.0;

/// The power in watts above which the rules give a source this voltage.
///
/// The steps lie at the ends of the programmable ranges, so that a voltage between
/// two of the standard's counts with the next higher one. Voltages above 48 V count
/// as 48 V.
pub(crate) fn threshold_w(volts: f64) -> f64 {
    match volts {
        v if v <= 5.9 => 0.0,
        v if v <= 11.0 => 15.0,
        v if v <= 16.0 => 27.0,
        v if v <= 21.0 => 45.0,
        v if v <= 28.0 => 100.0,
        v if v <= 36.0 => 140.0,
        _ => 180.0,
    }
}

/// The fixed offers that the power rules require of a source of PDP `pd_w`, lowest
/// voltage first. No watts are printed on them: the currents say it all.
pub(crate) fn source_offers(pd_w: f64) -> Vec<Offer> {
    let standard = SPR_V.into_iter().map(|volts| {
        let most_a = if volts == 20.0 && pd_w > PLAIN_CABLE_W {
            MARKED_CABLE_A
        } else {
            PLAIN_CABLE_A
        };
        (volts, most_a)
    });
    let extended = EPR_V.into_iter().map(|volts| (volts, MARKED_CABLE_A));
    standard
        .chain(extended)
        .filter(|&(volts, _)| pd_w > threshold_w(volts))
        .map(|(volts, most_a)| Offer {
            supply: Supply::Fixed { volts },
            amps: most_a.min(pd_w / volts),
            watts: f64::INFINITY,
        })
        .collect()
}

/// The fixed voltages that a sink of PDP `pd_w` accepts, lowest first, each at up to
/// 5 A: those that a source of that power must have, since it has to work on such a one.
pub(crate) fn sink_accepts(pd_w: f64) -> Vec<Accept> {
    SPR_V
        .into_iter()
        .chain(EPR_V)
        .filter(|&volts| pd_w > threshold_w(volts))
        .map(|volts| Accept {
            demand: Demand::Fixed { volts },
            amps: MARKED_CABLE_A,
            watts: f64::INFINITY,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn source(pd_w: f64, expected: &[(f64, f64)]) {
        let offers = source_offers(pd_w);
        assert_eq!(offers.len(), expected.len(), "{pd_w} W: {offers:?}");
        for (offer, &(volts, amps)) in offers.iter().zip(expected) {
            assert_eq!(offer.supply, Supply::Fixed { volts }, "{pd_w} W");
            // The published tables stop at 10 mA, the unit of a fixed offer, or at
            // four decimals.
            assert!(
                (offer.amps - amps).abs() < 0.01,
                "{pd_w} W at {volts} V: {} A, expected {amps} A",
                offer.amps
            );
            assert!(offer.watts.is_infinite(), "{pd_w} W at {volts} V");
        }
    }

    /// USB PD R3.2, 10.2, by its table: currents rounded down to 10 mA.
    #[test]
    fn the_standard_range_follows_the_rules() {
        source(7.5, &[(5.0, 1.5)]);
        source(10.0, &[(5.0, 2.0)]);
        source(15.0, &[(5.0, 3.0)]);
        source(18.0, &[(5.0, 3.0), (9.0, 2.0)]);
        source(20.0, &[(5.0, 3.0), (9.0, 2.22)]);
        source(25.0, &[(5.0, 3.0), (9.0, 2.77)]);
        source(27.0, &[(5.0, 3.0), (9.0, 3.0)]);
        source(30.0, &[(5.0, 3.0), (9.0, 3.0), (15.0, 2.0)]);
        source(36.0, &[(5.0, 3.0), (9.0, 3.0), (15.0, 2.4)]);
        source(45.0, &[(5.0, 3.0), (9.0, 3.0), (15.0, 3.0)]);
        let up_to_20 = |amps| [(5.0, 3.0), (9.0, 3.0), (15.0, 3.0), (20.0, amps)];
        source(60.0, &up_to_20(3.0));
        source(65.0, &up_to_20(3.25));
        source(87.0, &up_to_20(4.35));
        source(100.0, &up_to_20(5.0));
    }

    /// The example printed in technology dictionaries beside the table of USB PD
    /// R3.x, 10.2: "a USB port rated at 50 watts supports 3 amps at 5, 9 and 15 volts,
    /// as well as 2.5 amps at 20 volts".
    #[test]
    fn the_published_example_of_50_watts() {
        source(50.0, &[(5.0, 3.0), (9.0, 3.0), (15.0, 3.0), (20.0, 2.5)]);
    }

    /// USB PD R3.2, 10.2.3. The bands and voltages were read in articles on the May
    /// 2021 release, the row of currents is from memory.
    #[test]
    fn the_extended_range_follows_the_rules() {
        let extended = |more: &[(f64, f64)]| {
            let mut all = vec![(5.0, 3.0), (9.0, 3.0), (15.0, 3.0), (20.0, 5.0)];
            all.extend_from_slice(more);
            all
        };
        source(120.0, &extended(&[(28.0, 4.2857)]));
        source(140.0, &extended(&[(28.0, 5.0)]));
        source(144.0, &extended(&[(28.0, 5.0), (36.0, 4.0)]));
        source(180.0, &extended(&[(28.0, 5.0), (36.0, 5.0)]));
        source(
            200.0,
            &extended(&[(28.0, 5.0), (36.0, 5.0), (48.0, 4.1667)]),
        );
        source(240.0, &extended(&[(28.0, 5.0), (36.0, 5.0), (48.0, 5.0)]));
    }

    /// USB PD R3.2, 10.2: the bands are open below and closed above.
    #[test]
    fn a_voltage_comes_in_just_above_the_band() {
        for (edge_w, volts_below) in [
            (15.0, 1),
            (27.0, 2),
            (45.0, 3),
            (100.0, 4),
            (140.0, 5),
            (180.0, 6),
        ] {
            assert_eq!(source_offers(edge_w).len(), volts_below, "{edge_w} W");
            let above_w = edge_w + 0.01;
            assert_eq!(source_offers(above_w).len(), volts_below + 1, "{above_w} W");
        }
        assert_eq!(source_offers(60.0)[3].amps, 3.0);
        assert!(source_offers(60.2)[3].amps > 3.0);
    }

    /// No offer exceeds the power that the port is rated for.
    #[test]
    fn no_offer_exceeds_the_rating() {
        for pd_w in (1..=480).map(|half| f64::from(half) / 2.0) {
            for offer in source_offers(pd_w) {
                let Supply::Fixed { volts } = offer.supply else {
                    panic!("{pd_w} W: {offer:?}");
                };
                assert!(volts * offer.amps <= pd_w + 1e-9, "{pd_w} W: {offer:?}");
            }
        }
    }

    #[track_caller]
    fn sink(pd_w: f64, expected_v: &[f64]) {
        let accepts = sink_accepts(pd_w);
        let volts: Vec<f64> = accepts
            .iter()
            .map(|accept| match accept.demand {
                Demand::Fixed { volts } => volts,
                other => panic!("{other:?}"),
            })
            .collect();
        assert_eq!(volts, expected_v, "{pd_w} W");
        assert!(
            accepts
                .iter()
                .all(|accept| accept.amps == 5.0 && accept.watts.is_infinite()),
            "{accepts:?}"
        );
    }

    /// The bands of USB PD R3.2, 10.2 and 10.2.3.
    #[test]
    fn a_sink_takes_what_a_source_of_its_power_must_have() {
        sink(5.0, &[5.0]);
        sink(15.0, &[5.0]);
        sink(20.0, &[5.0, 9.0]);
        sink(30.0, &[5.0, 9.0, 15.0]);
        sink(45.0, &[5.0, 9.0, 15.0]);
        sink(65.0, &[5.0, 9.0, 15.0, 20.0]);
        sink(100.0, &[5.0, 9.0, 15.0, 20.0]);
        sink(100.5, &[5.0, 9.0, 15.0, 20.0, 28.0]);
        sink(180.0, &[5.0, 9.0, 15.0, 20.0, 28.0, 36.0]);
        sink(240.0, &[5.0, 9.0, 15.0, 20.0, 28.0, 36.0, 48.0]);
    }

    /// USB PD R3.0, table 10-8 (the ends of the programmable ranges) with the bands of
    /// R3.2, 10.2.
    #[test]
    fn thresholds_step_at_the_ends_of_the_ranges() {
        for (volts, expected_w) in [
            (3.3, 0.0),
            (5.9, 0.0),
            (6.0, 15.0),
            (11.0, 15.0),
            (12.0, 27.0),
            (16.0, 27.0),
            (20.0, 45.0),
            (21.0, 45.0),
            (21.1, 100.0),
            (28.0, 100.0),
            (36.0, 140.0),
            (48.0, 180.0),
            (50.0, 180.0),
        ] {
            assert_eq!(threshold_w(volts), expected_w, "{volts} V");
        }
    }
}
