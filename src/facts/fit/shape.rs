//! What follows from the pins alone: which plugs cannot go into which sockets, because of
//! their shape, their distance, their thickness, or an earth pin without a hole.
//!
//! It says only what does not go in. That the pins go in would not yet mean that the plug
//! does: there are recesses and shutters, so that stands in the table or is not known.

use super::{Earth, Fit, Fits};
use crate::facts::plug::Plug;
use crate::facts::source::{Confidence, Date, Source};

const READ: Date = Date::Read("2026-11-30");

/// The shape of pins, as the summary of plug types gives it.
pub(super) const SHAPES: Source = Source::new(
    "the pins of the two systems as their summary gives them",
    Date::Read("2026-11-25"),
    Confidence::Read,
);
const SIZES: Source = Source::new(
    "the pins of the two systems as their summary gives them; Digital Museum of Plugs and \
     Sockets, configurations of earthed sockets; World Standards, types D, K, M and O, as copied",
    READ,
    Confidence::Read,
);

/// Pins of another shape, or so far apart that they miss the holes.
pub(super) const OTHER_PINS: &str = "the pins differ in shape or distance";
const THICK: &str = "its pins are too thick for the holes";
/// An earth pin that meets the face of the socket.
pub(super) const NO_HOLE: &str = "its earth pin has no hole";
const ELSEWHERE: &str = "its earth pin lies elsewhere than the hole for it";

/// From here on a pin does not find its hole: holes are wider than their pins by less.
const ASIDE_MM: f64 = 1.5;
/// A pin that is thicker than the holes are made for by less may still go in.
const THICKER_MM: f64 = 0.35;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Face {
    /// Two parallel blades.
    Flat,
    /// Two slanted blades.
    Slanted,
    Rectangular,
    Round,
}

/// The pins of a plug, and so what the holes of its own system are made for.
#[derive(Debug, Clone, Copy)]
struct Pins {
    face: Face,
    /// Between live and neutral, from middle to middle.
    apart_mm: f64,
    /// Of live and neutral, where they are round.
    thick_mm: f64,
    /// How far off the line between live and neutral the earth pin lies, where the plug has
    /// one, and so a hole in the socket.
    earth_mm: Option<f64>,
}

const fn round(apart_mm: f64, thick_mm: f64, earth_mm: Option<f64>) -> Pins {
    Pins {
        face: Face::Round,
        apart_mm,
        thick_mm,
        earth_mm,
    }
}

const fn blades(face: Face) -> Pins {
    Pins {
        face,
        apart_mm: 0.0,
        thick_mm: 0.0,
        earth_mm: None,
    }
}

/// Half-round and flat pins count as the round ones that they stand beside. C is any socket
/// with two round holes, EF either of E and F.
const fn pins(plug: Plug) -> Pins {
    match plug {
        Plug::A | Plug::B => blades(Face::Flat),
        Plug::I => blades(Face::Slanted),
        Plug::G => blades(Face::Rectangular),
        Plug::C => round(19.0, 4.0, None),
        Plug::E | Plug::F | Plug::EF => round(19.0, 4.8, None),
        Plug::D => round(19.1, 5.1, Some(22.2)),
        Plug::H => round(19.0, 4.5, Some(9.8)),
        Plug::J => round(19.0, 4.0, Some(5.0)),
        Plug::K => round(19.0, 4.8, Some(13.0)),
        Plug::L10 => round(19.0, 4.0, Some(0.0)),
        Plug::L16 => round(26.0, 5.0, Some(0.0)),
        Plug::M => round(25.4, 7.1, Some(28.6)),
        Plug::N10 => round(19.0, 4.0, Some(3.0)),
        Plug::N20 => round(19.0, 4.8, Some(3.0)),
        Plug::Nza => round(19.0, 4.5, Some(3.0)),
        Plug::O => round(19.0, 4.8, Some(11.9)),
    }
}

/// The thickest pins that the holes of a socket take.
const fn holes_mm(socket: Plug) -> f64 {
    match socket {
        // Old outlets with two holes take those of E and F.
        Plug::C => 4.8,
        _ => pins(socket).thick_mm,
    }
}

/// That `plug` does not go into a socket of the system `socket`, where its pins say so.
pub(super) fn kept_out(plug: Plug, socket: Plug) -> Option<Fit> {
    let (note, source) = reason(plug, socket)?;
    Some(Fit {
        plug,
        socket,
        fits: Fits::No,
        earth: Earth::NotKnown,
        note,
        source,
    })
}

fn reason(plug: Plug, socket: Plug) -> Option<(&'static str, Source)> {
    let (own, holes) = (pins(plug), pins(socket));
    if own.face != holes.face {
        return Some((OTHER_PINS, SHAPES));
    }
    if own.face != Face::Round {
        return None;
    }
    if (own.apart_mm - holes.apart_mm).abs() > ASIDE_MM {
        return Some((OTHER_PINS, SIZES));
    }
    match (own.earth_mm, holes.earth_mm) {
        (Some(_), None) => return Some((NO_HOLE, SIZES)),
        (Some(own), Some(hole)) if (own - hole).abs() > ASIDE_MM => {
            return Some((ELSEWHERE, SIZES));
        }
        _ => {}
    }
    (own.thick_mm - holes_mm(socket) > THICKER_MM).then_some((THICK, SIZES))
}
