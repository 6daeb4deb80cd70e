//! The face of a plug: its pins by shape, size and place, in millimetres.
//!
//! Places are seen from the front, x to the right and y down, from the middle between the
//! two pins that carry the current.

use serde::Serialize;

use super::Plug;
use crate::facts::source::{Confidence, Date, Source};

/// A plug or a socket from the front.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Face {
    /// Which system.
    pub plug: Plug,
    /// Its pins; of a socket, the holes for them.
    pub pins: Vec<Pin>,
    /// Where the distances stand.
    pub source: Source,
}

/// A pin, with its place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Pin {
    /// Its middle, in millimetres to the right.
    pub x_mm: f64,
    /// And down.
    pub y_mm: f64,
    /// What it looks like.
    pub shape: PinShape,
    /// What it is.
    pub role: PinRole,
}

/// The section of a pin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum PinShape {
    /// Round, with its diameter in millimetres.
    Round(f64),
    /// A rectangle.
    Flat {
        /// How wide it is, in millimetres.
        wide_mm: f64,
        /// How high.
        high_mm: f64,
        /// By how much it is turned, in degrees, clockwise.
        turned_deg: f64,
    },
}

/// What a pin is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum PinRole {
    /// One of the two that carry the current.
    Current,
    /// The earth: a pin of the plug, a hole in the socket.
    Earth,
    /// The earth the other way round: a pin of the socket, a hole in the plug (E).
    EarthOfSocket,
    /// The earth as a clip at the edge (F).
    EarthClip,
}

const READ: Date = Date::Read("2026-11-25");
const LATER: Date = Date::Read("2026-11-30");

const fn memory(title: &'static str) -> Source {
    Source::new(title, READ, Confidence::Memory)
}

const EN_50075: Source = Source::new(
    "EN 50075, quoted: pins of 4.0 mm, 19 mm apart",
    READ,
    Confidence::Read,
);
/// Offsets are read there; diameters in the table of plugs.
const OFFSETS: Source = Source::new(
    "Digital Museum of Plugs and Sockets, earth contacts of sockets with 19 mm between the pins",
    LATER,
    Confidence::Read,
);
const BS_1363: Source = Source::new(
    "BS 1363-1, quoted: 6.4 by 4.0 mm, 22.2 mm apart; earth 8.0 by 4.0 mm, 22.2 mm above",
    LATER,
    Confidence::Read,
);

fn current(apart: f64, shape: PinShape) -> Vec<Pin> {
    let pin = |x_mm: f64, shape| Pin {
        x_mm,
        y_mm: 0.0,
        shape,
        role: PinRole::Current,
    };
    vec![pin(-apart / 2.0, shape), pin(apart / 2.0, shape)]
}

fn earth(y_mm: f64, shape: PinShape) -> Pin {
    Pin {
        x_mm: 0.0,
        y_mm,
        shape,
        role: PinRole::Earth,
    }
}

/// A rectangle that stands upright.
fn flat(wide_mm: f64, high_mm: f64) -> PinShape {
    PinShape::Flat {
        wide_mm,
        high_mm,
        turned_deg: 0.0,
    }
}

/// The hole of E, and the clips of F, above and below.
fn of_socket() -> Pin {
    Pin {
        role: PinRole::EarthOfSocket,
        ..earth(-10.0, PinShape::Round(4.8))
    }
}

fn clips() -> [Pin; 2] {
    [-16.5, 16.5].map(|y_mm| Pin {
        role: PinRole::EarthClip,
        ..earth(y_mm, flat(6.0, 2.0))
    })
}

impl Plug {
    /// What it looks like from the front.
    pub fn face(self) -> Face {
        use PinShape::Round;
        let round = |apart: f64, thick: f64| current(apart, Round(thick));
        let (mut pins, earthed, source) = match self {
            Self::A => (current(12.7, flat(1.5, 6.35)), None, memory("NEMA 1-15")),
            Self::B => (
                current(12.7, flat(1.5, 6.35)),
                Some(earth(11.9, Round(4.8))),
                memory("NEMA 5-15"),
            ),
            Self::C => (round(19.0, 4.0), None, EN_50075),
            Self::D => (
                round(19.05, 5.1),
                Some(earth(-22.2, Round(7.1))),
                memory("BS 546, 5 A"),
            ),
            Self::E => (round(19.0, 4.8), Some(of_socket()), OFFSETS),
            Self::F => (
                round(19.0, 4.8),
                None,
                memory("CEE 7/4: the place of the clips"),
            ),
            Self::EF => (
                round(19.0, 4.8),
                Some(of_socket()),
                memory("CEE 7/7: the place of the clips"),
            ),
            Self::G => (
                current(22.2, flat(6.4, 4.0)),
                Some(earth(-22.2, flat(4.0, 8.0))),
                BS_1363,
            ),
            Self::H => (
                round(19.0, 4.5),
                Some(earth(9.8, Round(4.5))),
                memory("SI 32: the thickness of the pins; 19 and 9.8 mm are read"),
            ),
            Self::I => (
                slanted(),
                Some(earth(14.3, flat(1.6, 6.35))),
                memory("AS/NZS 3112"),
            ),
            Self::J => (round(19.0, 4.0), Some(earth(5.0, Round(4.0))), OFFSETS),
            Self::K => (
                round(19.0, 4.8),
                Some(earth(15.0, Round(6.5))),
                memory("DS 60884-2-D1: the thickness of the half-round pin; 15 mm is read"),
            ),
            Self::L10 => (round(19.0, 4.0), Some(earth(0.0, Round(4.0))), OFFSETS),
            Self::L16 => (
                round(26.0, 5.0),
                Some(earth(0.0, Round(5.0))),
                memory("CEI 23-50, 16 A: 26 mm; the 5.0 mm are read"),
            ),
            Self::M => (
                round(25.4, 7.1),
                Some(earth(-28.6, Round(8.7))),
                memory("BS 546, 15 A"),
            ),
            Self::N10 => (
                round(19.0, 4.0),
                Some(earth(3.0, Round(4.0))),
                memory("NBR 14136, after IEC 60906-1"),
            ),
            Self::N20 => (
                round(19.0, 4.8),
                Some(earth(3.0, Round(4.8))),
                memory("NBR 14136, after IEC 60906-1"),
            ),
            Self::Nza => (round(19.0, 4.5), Some(earth(3.0, Round(4.5))), OFFSETS),
            Self::O => (round(19.0, 4.8), Some(earth(11.9, Round(4.8))), OFFSETS),
        };
        pins.extend(earthed);
        if matches!(self, Self::F | Self::EF) {
            pins.extend(clips());
        }
        Face {
            plug: self,
            pins,
            source,
        }
    }
}

/// The two pins of I, each turned by 30°, nearer to each other above.
fn slanted() -> Vec<Pin> {
    let mut pins = current(13.7, flat(1.6, 6.35));
    for pin in &mut pins {
        let turned_deg = if pin.x_mm < 0.0 { 30.0 } else { -30.0 };
        pin.shape = PinShape::Flat {
            wide_mm: 1.6,
            high_mm: 6.35,
            turned_deg,
        };
    }
    pins
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_face_has_its_pins_apart_and_its_source() {
        for plug in Plug::ALL {
            let face = plug.face();
            let current = |pin: &&Pin| pin.role == PinRole::Current;
            assert_eq!(face.pins.iter().filter(current).count(), 2, "{plug}");
            let earthed = face.pins.iter().any(|pin| pin.role != PinRole::Current);
            let has_earth = plug.facts().earth != crate::facts::EarthPin::No;
            assert_eq!(earthed, has_earth, "{plug}");
            assert!(!face.source.title.is_empty(), "{plug}");
            for (at, one) in face.pins.iter().enumerate() {
                assert!(one.x_mm.abs() < 20.0 && one.y_mm.abs() < 30.0, "{plug}");
                for other in &face.pins[at + 1..] {
                    let apart = (one.x_mm - other.x_mm).hypot(one.y_mm - other.y_mm);
                    assert!(apart > 6.0, "{plug}: {apart}");
                }
            }
        }
    }
}
