//! Mains by country: nominal voltages, frequencies and the sockets in the walls.

use serde::{Serialize, Serializer};

use super::plug::Plug;
use super::source::{Confidence, Date, Source};
use crate::diagnostics::near;

mod countries;
mod table;

/// The mains of one country, as the lists give them.
///
/// Where sources differ, everything that one of them gives is listed, and the source's
/// [`proviso`](Source::proviso) says so.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Mains {
    /// ISO 3166-1 alpha-2; `XK`, which the standard leaves to its users, for Kosovo.
    pub code: &'static str,
    /// The country's English name.
    pub name: &'static str,
    /// The sockets that occur, by letter.
    pub sockets: &'static [Socket],
    /// The nominal voltages between live and neutral, in volts, lowest first. More than
    /// one means that it depends on the place, or that sources differ.
    pub nominal_v: &'static [f64],
    /// The frequencies, in hertz, lowest first.
    pub frequency_hz: &'static [f64],
    /// What else there is to know, in a sentence; empty where nothing is.
    pub note: &'static str,
    /// Where that stands.
    pub source: Source,
}

/// A kind of socket, by its letter, as lists by country give it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Socket {
    letter: &'static str,
    systems: &'static [Plug],
}

impl Socket {
    /// The letter: `F`, `L`, `N`.
    pub fn letter(self) -> &'static str {
        self.letter
    }

    /// The systems that the letter stands for in that country, the smaller first. With
    /// more than one (L10 and L16; N10 and N20 in Brazil) either can be met: what fits
    /// the larger alone does not fit everywhere.
    pub fn systems(self) -> &'static [Plug] {
        self.systems
    }

    /// The socket of one system.
    pub fn of(plug: Plug) -> Self {
        match plug {
            Plug::A => Self::A,
            Plug::B => Self::B,
            Plug::C => Self::C,
            Plug::D => Self::D,
            Plug::E => Self::E,
            Plug::F => Self::F,
            Plug::EF => Self::one("EF", &[Plug::EF]),
            Plug::G => Self::G,
            Plug::H => Self::H,
            Plug::I => Self::I,
            Plug::J => Self::J,
            Plug::K => Self::K,
            Plug::L10 => Self::one("L", &[Plug::L10]),
            Plug::L16 => Self::one("L", &[Plug::L16]),
            Plug::M => Self::M,
            Plug::N10 => Self::one("N", &[Plug::N10]),
            Plug::N20 => Self::one("N", &[Plug::N20]),
            Plug::Nza => Self::N_ZA,
            Plug::O => Self::O,
        }
    }

    const fn one(letter: &'static str, systems: &'static [Plug]) -> Self {
        Self { letter, systems }
    }

    const A: Self = Self::one("A", &[Plug::A]);
    const B: Self = Self::one("B", &[Plug::B]);
    const C: Self = Self::one("C", &[Plug::C]);
    const D: Self = Self::one("D", &[Plug::D]);
    const E: Self = Self::one("E", &[Plug::E]);
    const F: Self = Self::one("F", &[Plug::F]);
    const G: Self = Self::one("G", &[Plug::G]);
    const H: Self = Self::one("H", &[Plug::H]);
    const I: Self = Self::one("I", &[Plug::I]);
    const J: Self = Self::one("J", &[Plug::J]);
    const K: Self = Self::one("K", &[Plug::K]);
    const L: Self = Self::one("L", &[Plug::L10, Plug::L16]);
    const M: Self = Self::one("M", &[Plug::M]);
    const N_BR: Self = Self::one("N", &[Plug::N10, Plug::N20]);
    const N_ZA: Self = Self::one("N", &[Plug::Nza]);
    const O: Self = Self::one("O", &[Plug::O]);
}

impl Serialize for Socket {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.letter)
    }
}

impl Mains {
    /// The mains of the country of an ISO 3166-1 alpha-2 code, upper or lower case; none
    /// where the table has no such country, which [`missing`] explains.
    pub fn of(code: &str) -> Option<&'static Self> {
        table::ROWS
            .binary_search_by(|row| compare(row.code, code))
            .ok()
            .map(|index| &table::ROWS[index])
    }

    /// Every country of the table, by code.
    pub fn all() -> &'static [Self] {
        &table::ROWS
    }
}

/// The English name of the country of an ISO 3166-1 alpha-2 code, upper or lower case,
/// whether its mains are known or not.
pub fn country_name(code: &str) -> Option<&'static str> {
    if let Some(mains) = Mains::of(code) {
        return Some(mains.name);
    }
    countries::WITHOUT_MAINS
        .iter()
        .find(|(other, _)| compare(other, code).is_eq())
        .map(|&(_, name)| name)
}

/// Why there are no mains for a code, and what was probably meant.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Missing {
    /// A country of that code exists, and nothing is known of its mains: look, and say
    /// it in the setup.
    Unknown {
        /// The country's English name.
        name: &'static str,
    },
    /// No country has that code.
    NoSuchCode {
        /// The code and the name of the country that was probably meant.
        near: Option<(&'static str, &'static str)>,
    },
}

/// Why [`Mains::of`] has nothing for `code`, which may also be a name; none where it has.
pub fn missing(code: &str) -> Option<Missing> {
    if Mains::of(code).is_some() {
        return None;
    }
    if let Some(name) = country_name(code) {
        return Some(Missing::Unknown { name });
    }
    Some(Missing::NoSuchCode {
        near: near_country(code),
    })
}

/// The country that somebody probably meant who wrote its name, another code of it or
/// nearly its code.
fn near_country(text: &str) -> Option<(&'static str, &'static str)> {
    let text = text.trim();
    let by_code = |code: &'static str| country_name(code).map(|name| (code, name));
    let other = countries::OTHER_NAMES
        .iter()
        .find(|(name, _)| name.eq_ignore_ascii_case(text));
    if let Some(&(_, code)) = other {
        return by_code(code);
    }
    let names = || {
        let known = table::ROWS.iter().map(|row| (row.code, row.name));
        known.chain(countries::WITHOUT_MAINS.iter().copied())
    };
    let lower = text.to_lowercase();
    if let Some(found) = names().find(|(_, name)| name.to_lowercase() == lower) {
        return Some(found);
    }
    // Nearly every pair of letters is one letter from a code: that would be a guess.
    if text.chars().count() <= 3 {
        return None;
    }
    let other = countries::OTHER_NAMES.iter().map(|&(name, _)| name);
    let name = near(text, names().map(|(_, name)| name).chain(other))?;
    countries::OTHER_NAMES
        .iter()
        .find(|(other, _)| *other == name)
        .and_then(|&(_, code)| by_code(code))
        .or_else(|| names().find(|(_, other)| *other == name))
}

/// The order of codes, upper and lower case alike.
fn compare(code: &str, other: &str) -> std::cmp::Ordering {
    code.bytes()
        .cmp(other.bytes().map(|byte| byte.to_ascii_uppercase()))
}

const LISTS: &str = "IEC World Plugs, an encyclopaedia's list of 2017 and a list after World \
                     Standards, all as copied in public";
const ONE_LIST: &str = "IEC World Plugs, as copied in public";
const READ: Date = Date::Read("2026-11-25");

/// A row on which the lists agree.
const fn agree(
    code: &'static str,
    name: &'static str,
    sockets: &'static [Socket],
    nominal_v: &'static [f64],
    frequency_hz: &'static [f64],
) -> Mains {
    Mains {
        code,
        name,
        sockets,
        nominal_v,
        frequency_hz,
        note: "",
        source: Source::new(LISTS, READ, Confidence::Agree),
    }
}

/// A row whose sockets one list has.
const fn single(
    code: &'static str,
    name: &'static str,
    sockets: &'static [Socket],
    nominal_v: &'static [f64],
    frequency_hz: &'static [f64],
) -> Mains {
    Mains {
        source: Source::new(ONE_LIST, READ, Confidence::OneSource),
        ..agree(code, name, sockets, nominal_v, frequency_hz)
    }
}

/// A row on which the lists differ: all that they give.
const fn differ(
    code: &'static str,
    name: &'static str,
    sockets: &'static [Socket],
    nominal_v: &'static [f64],
    frequency_hz: &'static [f64],
) -> Mains {
    Mains {
        source: Source::new(LISTS, READ, Confidence::Differ),
        ..agree(code, name, sockets, nominal_v, frequency_hz)
    }
}

impl Mains {
    const fn note(self, note: &'static str) -> Self {
        Self { note, ..self }
    }

    const fn from(self, source: Source) -> Self {
        Self { source, ..self }
    }
}
