//! Whether a thing's label suits the mains of a place.

use serde::Serialize;

use super::label::{MainsLabel, Rated};
use super::source::{Confidence, Date, Source};
use crate::units::millionths;

/// How far the nominal voltage may lie from a single labelled one, in percent of the
/// nominal: by so much the supply itself may differ (IEC 60038).
const NEAR_PCT: f64 = 10.0;

/// The rule about voltages.
pub const VOLTAGE_RULE: Source = Source::new(
    "IEC 60038: a supply keeps within 10 % of its nominal voltage",
    Date::Read("2026-11-25"),
    Confidence::Read,
);

/// The rule about frequencies.
pub const FREQUENCY_RULE: Source = Source::new(
    "travel advice of the UK Electrical Safety Council, quoted in The Guardian",
    Date::Published("2008-07-20"),
    Confidence::Read,
);

/// How a label suits the nominal values of a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Suits {
    /// One answer for each nominal value, in their order; empty where the label prints
    /// none, where none is known of the place, or where a value is no number above 0.
    pub at: Vec<SuitsAt>,
    /// Whether the label prints several values apart from each other, so that the thing
    /// may have a switch that must be set before it is plugged in.
    pub may_have_switch: bool,
}

/// How a label suits one nominal value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct SuitsAt {
    /// The nominal value of the place: volts or hertz.
    pub nominal: f64,
    /// What on the label answers for it.
    pub held: Held,
}

/// What on a label answers for a nominal value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Held {
    /// A labelled range holds it.
    InRange(Rated),
    /// The same value is labelled.
    Same,
    /// A single labelled voltage lies within 10 % of it.
    Near {
        /// The labelled voltage, in volts.
        labelled: f64,
        /// By how much the labelled voltage is above the nominal one, in percent of the
        /// nominal; below 0 where it is lower.
        off_pct: f64,
    },
    /// Nothing on the label holds it.
    Not {
        /// What comes nearest.
        nearest: Rated,
        /// By how much the nearest end of that is above the nominal value, in percent of
        /// the nominal; below 0 where it is lower.
        off_pct: f64,
    },
}

/// The answer for a place as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Verdict {
    /// Every nominal value is held.
    Suits,
    /// Every nominal value is held, one at least by a voltage that only comes near.
    SuitsNearly,
    /// Some nominal values are held and some are not: it depends on the building.
    Depends,
    /// No nominal value is held.
    SuitsNot,
    /// The label does not say, or nothing is known of the place.
    NotKnown,
}

impl Suits {
    /// The answer for the place as a whole.
    pub fn verdict(&self) -> Verdict {
        let count =
            |matches: fn(Held) -> bool| self.at.iter().filter(|at| matches(at.held)).count();
        let refused = count(|held| matches!(held, Held::Not { .. }));
        let near = count(|held| matches!(held, Held::Near { .. }));
        match () {
            () if self.at.is_empty() => Verdict::NotKnown,
            () if refused == self.at.len() => Verdict::SuitsNot,
            () if refused > 0 => Verdict::Depends,
            () if near > 0 => Verdict::SuitsNearly,
            () => Verdict::Suits,
        }
    }
}

impl MainsLabel {
    /// How a label suits the nominal voltages of a place, in volts.
    ///
    /// A labelled range suits where it holds the nominal voltage: labels are nominal, and
    /// what the supply differs from its own is the maker's business. A single labelled
    /// voltage suits within 10 % of the nominal one.
    pub fn voltage_suits(&self, nominal_v: &[f64]) -> Suits {
        Suits {
            at: answers(&self.voltage_v, nominal_v, NEAR_PCT),
            may_have_switch: self.may_have_switch(),
        }
    }

    /// How a label suits the frequencies of a place, in hertz: a range has to hold it, a
    /// single frequency has to be the same.
    pub fn frequency_suits(&self, frequency_hz: &[f64]) -> Suits {
        Suits {
            at: answers(&self.frequency_hz, frequency_hz, 0.0),
            may_have_switch: false,
        }
    }
}

/// Nothing is known where a value is no number above 0.
fn answers(rated: &[Rated], nominal: &[f64], near_pct: f64) -> Vec<SuitsAt> {
    let is_number = |value: f64| value.is_finite() && value > 0.0;
    let mut all = rated.iter().flat_map(|rated| [rated.low, rated.high]);
    if !all.all(is_number) || !nominal.iter().copied().all(is_number) {
        return Vec::new();
    }
    nominal
        .iter()
        .filter_map(|&nominal| held(rated, nominal, near_pct).map(|held| SuitsAt { nominal, held }))
        .collect()
}

/// What holds `nominal`, the best first: the value itself, a range, a value near it.
fn held(rated: &[Rated], nominal: f64, near_pct: f64) -> Option<Held> {
    if rated.iter().any(|r| r.is_single() && r.holds(nominal)) {
        return Some(Held::Same);
    }
    if let Some(&range) = rated.iter().find(|r| r.holds(nominal)) {
        return Some(Held::InRange(range));
    }
    let off_pct = |rated: Rated| {
        let end = if rated.high < nominal {
            rated.high
        } else {
            rated.low
        };
        (end - nominal) / nominal * 100.0
    };
    let nearest = |candidates: &mut dyn Iterator<Item = Rated>| {
        candidates.min_by_key(|&rated| millionths(off_pct(rated).abs()))
    };
    let single = nearest(&mut rated.iter().copied().filter(|r| r.is_single()));
    if let Some(single) = single
        && millionths(off_pct(single).abs()) <= millionths(near_pct)
    {
        return Some(Held::Near {
            labelled: single.low,
            off_pct: off_pct(single),
        });
    }
    let nearest = nearest(&mut rated.iter().copied())?;
    Some(Held::Not {
        nearest,
        off_pct: off_pct(nearest),
    })
}

#[cfg(test)]
mod tests {
    use super::super::label::Bare;
    use super::super::mains::Mains;
    use super::*;

    #[track_caller]
    fn case(label: &str, nominal_v: &[f64], expected: Verdict) {
        let label = MainsLabel::parse(label, Bare::Volts).expect("the label is well formed");
        assert_eq!(label.voltage_suits(nominal_v).verdict(), expected);
    }

    #[test]
    fn every_nominal_voltage_is_checked() {
        case("100-240 V", &[100.0], Verdict::Suits);
        case("100-240 V", &[127.0, 220.0], Verdict::Suits);
        case("100-120 V", &[127.0], Verdict::SuitsNot);
        case("220-240 V", &[127.0, 220.0], Verdict::Depends);
        case("110/220 V", &[127.0, 220.0], Verdict::Depends);
        case("230 V", &[230.0], Verdict::Suits);
        case("230 V", &[220.0], Verdict::SuitsNearly);
        case("230 V", &[220.0, 230.0], Verdict::SuitsNearly);
        case("230 V", &[110.0, 230.0], Verdict::Depends);
        case("230 V", &[100.0], Verdict::SuitsNot);
        case("120 V", &[110.0], Verdict::SuitsNearly);
        case("120 V", &[127.0], Verdict::SuitsNearly);
        case("230 V ±10 %", &[240.0], Verdict::Suits);
        case("50/60 Hz", &[240.0], Verdict::NotKnown);
        case("230 V", &[], Verdict::NotKnown);
    }

    #[test]
    fn ten_percent_of_the_nominal_is_the_edge() {
        case("110 V", &[100.0], Verdict::SuitsNearly);
        case("110.1 V", &[100.0], Verdict::SuitsNot);
        case("207 V", &[230.0], Verdict::SuitsNearly);
        case("206.9 V", &[230.0], Verdict::SuitsNot);
    }

    #[test]
    fn the_reason_says_by_how_much() {
        let label = MainsLabel::parse("220 V", Bare::Volts).expect("the label is well formed");
        let suits = label.voltage_suits(&[230.0, 100.0]);
        let Held::Near { labelled, off_pct } = suits.at[0].held else {
            panic!("{:?}", suits.at[0]);
        };
        assert_eq!(labelled, 220.0);
        assert!((off_pct + 4.347_826).abs() < 1e-6);
        let Held::Not { off_pct, .. } = suits.at[1].held else {
            panic!("{:?}", suits.at[1]);
        };
        assert!((off_pct - 120.0).abs() < 1e-9);
    }

    #[test]
    fn frequencies_are_the_same_or_within_a_range() {
        for (label, hertz, expected) in [
            ("50/60 Hz", &[50.0, 60.0][..], Verdict::Suits),
            ("50-60 Hz", &[50.0, 60.0], Verdict::Suits),
            ("47-63 Hz", &[60.0], Verdict::Suits),
            ("50 Hz", &[50.0], Verdict::Suits),
            ("50 Hz", &[60.0], Verdict::SuitsNot),
            ("60 Hz", &[50.0, 60.0], Verdict::Depends),
            ("230 V", &[50.0], Verdict::NotKnown),
        ] {
            let label = MainsLabel::parse(label, Bare::Volts).expect("the label is well formed");
            assert_eq!(
                label.frequency_suits(hertz).verdict(),
                expected,
                "{label:?}"
            );
        }
    }

    /// Electrical Safety Council, 2008: what says so goes everywhere with an adapter.
    #[test]
    fn the_wide_label_suits_every_country() {
        let label =
            MainsLabel::parse("100-240 V 50/60 Hz", Bare::Volts).expect("the label is well formed");
        for mains in Mains::all() {
            let volts = label.voltage_suits(mains.nominal_v);
            let hertz = label.frequency_suits(mains.frequency_hz);
            assert_eq!(volts.verdict(), Verdict::Suits, "{}", mains.code);
            assert_eq!(hertz.verdict(), Verdict::Suits, "{}", mains.code);
        }
    }
}
