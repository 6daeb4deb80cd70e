//! Plug systems: what each is called, what it is rated for, and whether it carries
//! an earth.

use std::fmt;
use std::str::FromStr;

use serde::{Serialize, Serializer};

use super::source::{Confidence, Date, Source};

mod face;
mod words;

pub use face::{Face, Pin, PinRole, PinShape};
pub(crate) use words::words;

/// A system of plugs and sockets, by the letters in common use; where one letter
/// stands for several that do not fit each other, each has a name of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Plug {
    /// Two flat blades: NEMA 1-15, JIS C 8303.
    A,
    /// Two flat blades and a round earth pin: NEMA 5-15.
    B,
    /// The flat plug with two thin round pins: CEE 7/16, EN 50075.
    C,
    /// Three round pins, 5 A: BS 546; 6 A: IS 1293.
    D,
    /// Two round pins and a hole for the socket's earth pin: CEE 7/5 and 7/6.
    E,
    /// Two round pins and earth clips: CEE 7/3 and 7/4.
    F,
    /// The plug for sockets of both E and F: CEE 7/7.
    EF,
    /// Three rectangular pins and a fuse: BS 1363.
    G,
    /// SI 32.
    H,
    /// Slanted flat pins: AS/NZS 3112, IRAM 2073, GB 1002 and GB 2099.
    I,
    /// SN 441011, T12 and T13.
    J,
    /// DS 60884-2-D1.
    K,
    /// Three thin round pins in line, 10 A: CEI 23-50 P11 and P17.
    L10,
    /// Three thick round pins in line, 16 A: CEI 23-50.
    L16,
    /// Three thick round pins, 15 A: BS 546, SANS 164-1; 16 A: IS 1293.
    M,
    /// 4.0 mm pins, 10 A: NBR 14136.
    N10,
    /// 4.8 mm pins, 20 A: NBR 14136.
    N20,
    /// 4.5 mm pins: SANS 164-2, IEC 60906-1.
    Nza,
    /// TIS 166-2549.
    O,
}

/// What is known of a system.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct PlugFacts {
    /// Which system.
    pub plug: Plug,
    /// The standard that describes it.
    pub standard: &'static str,
    /// What a plug and a socket of it are rated for, in amps. Where the standards of
    /// several countries differ, the least.
    pub rated_a: f64,
    /// The larger rating of other countries' versions, in amps, where there is one.
    pub rated_up_to_a: Option<f64>,
    /// The voltage up to which it is rated, in volts.
    pub rated_v: f64,
    /// Whether it has an earth contact.
    pub earth: EarthPin,
    /// Its pins, in words.
    pub pins: &'static str,
    /// Where that stands.
    pub source: Source,
}

/// Whether a plug has an earth contact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum EarthPin {
    /// It has one.
    Yes,
    /// It has none.
    No,
    /// It comes with and without: the version with two pins has none.
    ThreePinOnly,
}

/// A system that was named, and what was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct NamedPlug {
    /// Which system.
    pub plug: Plug,
    /// The standard or the words for which the name was taken, with what that rests on.
    pub understood: &'static str,
}

/// Why a name is no plug system.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum PlugNameFault {
    /// It stands for several, and which one decides about the fit or the earth.
    Several(&'static [Plug]),
    /// There is none of that name.
    Unknown,
}

impl fmt::Display for PlugNameFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Several(plugs) => {
                f.write_str("that stands for several that are not alike: write ")?;
                for (index, plug) in plugs.iter().enumerate() {
                    let before = match index {
                        0 => "",
                        _ if index + 1 == plugs.len() => " or ",
                        _ => ", ",
                    };
                    write!(f, "{before}{plug} ({})", plug.facts().pins)?;
                }
                Ok(())
            }
            Self::Unknown => f.write_str(
                "no plug system of that name: they are A to K, EF, L10, L16, M, N10, N20, N-ZA and O; \
                 words such as british and standards such as CEE 7/7 are read, too",
            ),
        }
    }
}

impl std::error::Error for PlugNameFault {}

impl Plug {
    /// Every system, in the order of the letters.
    pub const ALL: [Self; 19] = [
        Self::A,
        Self::B,
        Self::C,
        Self::D,
        Self::E,
        Self::F,
        Self::EF,
        Self::G,
        Self::H,
        Self::I,
        Self::J,
        Self::K,
        Self::L10,
        Self::L16,
        Self::M,
        Self::N10,
        Self::N20,
        Self::Nza,
        Self::O,
    ];

    /// Its name: the letter, with what tells it apart where several share it.
    pub fn name(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
            Self::E => "E",
            Self::F => "F",
            Self::EF => "EF",
            Self::G => "G",
            Self::H => "H",
            Self::I => "I",
            Self::J => "J",
            Self::K => "K",
            Self::L10 => "L10",
            Self::L16 => "L16",
            Self::M => "M",
            Self::N10 => "N10",
            Self::N20 => "N20",
            Self::Nza => "N-ZA",
            Self::O => "O",
        }
    }

    /// Reads a name as people use it, with what was understood: the letter, a standard
    /// (`CEE 7/7`, `BS 1363`), the country (`british`, `swiss`), the pins (`three rectangular
    /// pins`). Upper and lower case, blanks, hyphens, `plug` and `type` do not matter.
    ///
    /// ```
    /// use wattberth::facts::Plug;
    ///
    /// let named = Plug::named("British plug").expect("there is one");
    /// assert_eq!(named.plug, Plug::G);
    /// assert!(named.understood.starts_with("BS 1363"));
    /// ```
    ///
    /// # Errors
    ///
    /// What stands for several, as `L`, `european` or `US` do: a guess could be wrong about
    /// the fit or the earth. What nothing is called.
    pub fn named(text: &str) -> Result<NamedPlug, PlugNameFault> {
        words::named(text)
    }

    /// What is known of it.
    pub fn facts(self) -> PlugFacts {
        use EarthPin::{No, ThreePinOnly, Yes};
        match self {
            Self::A => summary(self, "NEMA 1-15 (ANSI/NEMA WD 6); JIS C 8303", 15.0, No)
                .up_to_v(125.0)
                .pins("two flat blades"),
            Self::B => summary(self, "NEMA 5-15 (ANSI/NEMA WD 6)", 15.0, Yes)
                .up_to_v(125.0)
                .pins("two flat blades and a round pin"),
            Self::C => summary(self, "CEE 7/16 alternative II, EN 50075", 2.5, No)
                .pins("two round pins of 4.0 mm, 19 mm apart at the base"),
            Self::D => summary(self, "BS 546 5 A; IS 1293 6 A", 5.0, Yes)
                .up_to_a(6.0)
                .pins("three round pins in a large triangle")
                .from(INDIA),
            Self::E => summary(self, "CEE 7/5 socket, CEE 7/6 plug", 16.0, Yes)
                .pins("two round pins of 4.8 mm and a hole"),
            Self::F => summary(self, "CEE 7/3 socket, CEE 7/4 plug", 16.0, Yes)
                .pins("two round pins of 4.8 mm and side clips"),
            Self::EF => summary(self, "CEE 7/7 plug", 16.0, Yes)
                .pins("two round pins of 4.8 mm, a hole and side clips")
                .from(CEE_7_7),
            Self::G => summary(self, "BS 1363", 13.0, Yes)
                .pins("three rectangular pins, with a fuse of at most 13 A in the plug"),
            Self::H => {
                summary(self, "SI 32", 16.0, Yes).pins("three round pins; flat ones on older plugs")
            }
            Self::I => summary(
                self,
                "AS/NZS 3112; IRAM 2073 (AR); GB 1002 and GB 2099 (CN)",
                10.0,
                ThreePinOnly,
            )
            .pins("two or three flat pins, slanted"),
            Self::J => summary(self, "SN 441011 (was SEV 1011) T12 and T13", 10.0, Yes)
                .pins("three round pins of 4.0 mm"),
            Self::K => summary(self, "DS 60884-2-D1 (was 107-2-D1)", 13.0, Yes)
                .up_to_a(16.0)
                .pins("two round pins of 4.8 mm and a half-round one")
                .from(DENMARK),
            Self::L10 => summary(self, "CEI 23-50 P11 and P17", 10.0, Yes)
                .pins("three round pins of 4.0 mm in line"),
            Self::L16 => summary(self, "CEI 23-50 P17 16 A", 16.0, Yes)
                .pins("three round pins of 5.0 mm in line"),
            Self::M => summary(self, "BS 546 15 A; SANS 164-1; IS 1293 16 A", 15.0, Yes)
                .up_to_a(16.0)
                .pins("three thick round pins in a large triangle")
                .from(LARGE_ROUND),
            Self::N10 => {
                summary(self, "NBR 14136 10 A", 10.0, Yes).pins("three round pins of 4.0 mm")
            }
            Self::N20 => {
                summary(self, "NBR 14136 20 A", 20.0, Yes).pins("three round pins of 4.8 mm")
            }
            Self::Nza => summary(self, "SANS 164-2 (IEC 60906-1)", 16.0, Yes)
                .pins("three round pins of 4.5 mm")
                .from(SOUTH_AFRICA),
            Self::O => summary(self, "TIS 166-2549", 16.0, Yes)
                .pins("three round pins of 4.8 mm")
                .from(THAILAND),
        }
    }
}

impl FromStr for Plug {
    type Err = PlugNameFault;

    /// Reads a name: `A` to `O`, `EF` or `E/F` for the plug that fits both, `L10` and `L16`,
    /// `N10`, `N20` and `N-ZA`, and what [`named`](Self::named) reads.
    fn from_str(text: &str) -> Result<Self, PlugNameFault> {
        Self::named(text).map(|named| named.plug)
    }
}

impl fmt::Display for Plug {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

impl Serialize for Plug {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.name())
    }
}

const READ: Date = Date::Read("2026-11-25");

const fn read(title: &'static str, date: Date) -> Source {
    Source::new(title, date, Confidence::Read)
}

const SUMMARY: Source = read(
    "summary of plug types by the letters of the US International Trade Administration",
    READ,
);
// What the summary leaves open, or gives for one country only.
const INDIA: Source = read(
    "encyclopaedia article on AC plugs, section BS 546 (5 A; IS 1293: 6 A)",
    READ,
);
const CEE_7_7: Source = read(
    "encyclopaedia article on AC plugs, section CEE 7/7 (16 A)",
    READ,
);
const DENMARK: Source = read(
    "DS 60884-2-D1, Danish section text (13 A); World Standards, type K (16 A)",
    READ,
);
const LARGE_ROUND: Source = read(
    "BS 546 (15 A), SANS 164-1 (16 A): Digital Museum of Plugs and Sockets, South Africa page",
    READ,
);
const SOUTH_AFRICA: Source = read(
    "Digital Museum of Plugs and Sockets, IEC 60906-1 page (16 A)",
    READ,
);
const THAILAND: Source = read("World Standards, type O", Date::Published("2024-01-23"));

/// A system as the lettered summary gives it, at 250 V.
fn summary(plug: Plug, standard: &'static str, rated_a: f64, earth: EarthPin) -> PlugFacts {
    PlugFacts {
        plug,
        standard,
        rated_a,
        rated_up_to_a: None,
        rated_v: 250.0,
        earth,
        pins: "",
        source: SUMMARY,
    }
}

impl PlugFacts {
    fn up_to_v(mut self, rated_v: f64) -> Self {
        self.rated_v = rated_v;
        self
    }

    fn up_to_a(mut self, rated_a: f64) -> Self {
        self.rated_up_to_a = Some(rated_a);
        self
    }

    fn from(mut self, source: Source) -> Self {
        self.source = source;
        self
    }

    fn pins(mut self, pins: &'static str) -> Self {
        self.pins = pins;
        self
    }
}
