//! What current a load draws, and what the parts on its way carry.

use serde::Serialize;

use super::plug::Plug;
use super::source::{Confidence, Date, Source};
use crate::units::millionths;

/// The rule that the least rating governs.
pub const LEAST_RATING_RULE: Source = Source::new(
    "Electrical Safety Foundation International, extension cord advice: never less than the load needs",
    Date::Read("2026-11-25"),
    Confidence::Read,
);

/// A part that carries a load's current.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Part {
    /// The thing's own plug.
    Plug,
    /// An adapter.
    Adapter,
    /// A fuse in a plug or an adapter.
    Fuse,
    /// The socket in the wall.
    Socket,
}

/// What one part carries.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Rating {
    /// Which part.
    pub part: Part,
    /// What it carries, in amps.
    pub amps: f64,
    /// Where that stands; none where it is on the part's own label.
    pub source: Option<Source>,
}

impl Rating {
    /// As the part's own label gives it, in amps.
    pub fn labelled(part: Part, amps: f64) -> Self {
        Self {
            part,
            amps,
            source: None,
        }
    }

    /// A plug of a system.
    pub fn of_plug(plug: Plug) -> Self {
        Self::of(Part::Plug, plug)
    }

    /// A socket of a system.
    pub fn of_socket(socket: Plug) -> Self {
        Self::of(Part::Socket, socket)
    }

    fn of(part: Part, plug: Plug) -> Self {
        let facts = plug.facts();
        Self {
            part,
            amps: facts.rated_a,
            source: Some(facts.source),
        }
    }
}

/// The current of a load of `watts` at `volts`, in amps.
///
/// None where either is no number, the watts are below 0 or the volts not above 0. The
/// power factor is not in it: a supply without correction draws more than its watts say,
/// which the current on its label covers.
pub fn load_a(watts: f64, volts: f64) -> Option<f64> {
    let amps = watts / volts;
    (watts >= 0.0 && volts > 0.0 && volts.is_finite() && amps.is_finite()).then_some(amps)
}

/// The part that carries the least; among equals the first. None without parts, or where what
/// one of them carries is no number from 0.
pub fn least_rating(parts: &[Rating]) -> Option<Rating> {
    if !parts.iter().all(|rating| is_current(rating.amps)) {
        return None;
    }
    parts
        .iter()
        .copied()
        .min_by_key(|rating| millionths(rating.amps))
}

/// A load's current against what the parts on its way carry.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct CurrentCheck {
    /// The load's current, in amps.
    pub load_a: f64,
    /// The part that carries the least.
    pub least: Rating,
    /// Every part that carries less than the load, in the order given.
    pub overloaded: Vec<Rating>,
}

impl CurrentCheck {
    /// Whether every part carries the load.
    pub fn holds(&self) -> bool {
        self.overloaded.is_empty()
    }
}

fn is_current(amps: f64) -> bool {
    amps.is_finite() && amps >= 0.0
}

/// A load's current, in amps, against the parts on its way; none without parts, or where a
/// current is no number from 0. A part carries its rating and no more, to a millionth.
pub fn check_current(load_a: f64, parts: &[Rating]) -> Option<CurrentCheck> {
    if !is_current(load_a) {
        return None;
    }
    let over = |rating: &&Rating| millionths(rating.amps) < millionths(load_a);
    Some(CurrentCheck {
        load_a,
        least: least_rating(parts)?,
        overloaded: parts.iter().filter(over).copied().collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// I = P / U.
    #[test]
    fn the_lower_voltage_draws_more() {
        assert_eq!(load_a(1200.0, 100.0), Some(12.0));
        assert_eq!(load_a(1200.0, 240.0), Some(5.0));
        assert_eq!(load_a(0.0, 240.0), Some(0.0));
        for (watts, volts) in [
            (-1.0, 230.0),
            (60.0, 0.0),
            (60.0, -230.0),
            (f64::NAN, 230.0),
            (60.0, f64::NAN),
            (f64::INFINITY, 230.0),
        ] {
            assert_eq!(load_a(watts, volts), None, "{watts} W at {volts} V");
        }
    }

    #[test]
    fn the_least_rating_governs() {
        let parts = [
            Rating::of_plug(Plug::EF),
            Rating::labelled(Part::Adapter, 10.0),
            Rating::labelled(Part::Fuse, 3.0),
            Rating::of_socket(Plug::G),
        ];
        assert_eq!(least_rating(&parts), Some(parts[2]));
        assert_eq!(least_rating(&[]), None);
        assert_eq!(check_current(1.0, &[]), None);
        for (load_a, over) in [
            (3.0, 0),
            (3.000_01, 1),
            (10.5, 2),
            (13.5, 3),
            (16.0, 3),
            (16.1, 4),
        ] {
            let check = check_current(load_a, &parts).expect("there are parts");
            assert_eq!(check.overloaded.len(), over, "{load_a} A");
            assert_eq!(check.holds(), over == 0);
        }
    }

    /// EN 50075: the flat plug carries 2.5 A, which is 575 W at 230 V and 250 W at 100 V.
    #[test]
    fn the_flat_plug_carries_little() {
        let parts = [Rating::of_plug(Plug::C), Rating::of_socket(Plug::F)];
        for (watts, volts, holds) in [
            (575.0, 230.0, true),
            (576.0, 230.0, false),
            (250.0, 100.0, true),
            (251.0, 100.0, false),
        ] {
            let amps = load_a(watts, volts).expect("both are above 0");
            let check = check_current(amps, &parts).expect("there are parts");
            assert_eq!(check.holds(), holds, "{watts} W at {volts} V");
            assert_eq!(check.least.part, Part::Plug);
        }
    }
}
