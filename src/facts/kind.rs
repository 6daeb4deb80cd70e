//! What a thing of a kind usually has: inlet, watts, battery. It stands in for what a
//! person does not know of their own.

use std::fmt;
use std::str::FromStr;

use super::source::{Confidence, Date, Source};
use crate::diagnostics::UnknownWord;

/// A kind of device.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Kind {
    /// What it is called.
    pub name: &'static str,
    /// What else it is called.
    pub other_names: &'static [&'static str],
    /// The connector of its inlet, as documents write it.
    pub inlet: &'static str,
    /// The power that it usually takes, in watts.
    pub typical_w: f64,
    /// A small battery of the kind, in watt-hours.
    pub low_wh: f64,
    /// The usual battery, in watt-hours.
    pub typical_wh: f64,
    /// A large battery of the kind, in watt-hours.
    pub high_wh: f64,
    /// What a milliampere-hour of its battery counts at, in volts.
    pub cell_v: f64,
    /// The power from which on it surely charges, in watts, where less may not do.
    pub surely_w: Option<f64>,
    /// Where the numbers come from.
    pub source: Source,
}

impl Kind {
    /// All kinds.
    pub fn all() -> &'static [Self] {
        &KINDS
    }

    /// The kind of a name, or of another name of it.
    ///
    /// ```
    /// use wattberth::facts::Kind;
    ///
    /// assert_eq!(Kind::named("notebook").map(|kind| kind.name), Some("laptop"));
    /// assert_eq!(Kind::named("lute"), None);
    /// ```
    pub fn named(name: &str) -> Option<&'static Self> {
        KINDS
            .iter()
            .find(|kind| kind.name == name || kind.other_names.contains(&name))
    }

    /// Whatever names a kind.
    pub(crate) fn names() -> impl Iterator<Item = &'static str> {
        let others = |kind: &'static Self| kind.other_names.iter().copied();
        let names = move |kind: &'static Self| std::iter::once(kind.name).chain(others(kind));
        Self::all().iter().flat_map(names)
    }
}

impl FromStr for Kind {
    type Err = UnknownWord;

    /// As [`Kind::named`].
    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        let unknown = || UnknownWord::new(text, Self::names().collect());
        Self::named(text).copied().ok_or_else(unknown)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name)
    }
}

/// Of the day on which the lists were read.
const READ: Date = Date::Read("2026-11");

const KINDS: [Kind; 20] = [
    Kind {
        name: "phone",
        other_names: &["smartphone", "mobile"],
        inlet: "usb-c",
        typical_w: 25.0,
        low_wh: 15.4,
        typical_wh: 19.3,
        high_wh: 21.2,
        cell_v: 3.85,
        surely_w: None,
        source: Source::new(
            "966 phones of a public list of 2023 and 958 of 2024-25, their median mAh times 3.85 V; watts from memory",
            READ,
            Confidence::Read,
        ),
    },
    Kind {
        name: "small phone",
        other_names: &["old phone"],
        inlet: "usb-c",
        typical_w: 18.0,
        low_wh: 10.0,
        typical_wh: 12.5,
        high_wh: 15.4,
        cell_v: 3.85,
        surely_w: None,
        source: Source::new(
            "the same lists of phones, 5th percentile; the lower end and the watts from memory",
            READ,
            Confidence::OneSource,
        ),
    },
    Kind {
        name: "tablet",
        other_names: &["score tablet", "slate"],
        inlet: "usb-c",
        typical_w: 30.0,
        low_wh: 19.0,
        typical_wh: 28.6,
        high_wh: 43.0,
        cell_v: 3.8,
        surely_w: None,
        source: Source::new(
            "a comparison table, 7538 mAh at 3.8 V for 11 inches; large ones and the watts from memory",
            READ,
            Confidence::OneSource,
        ),
    },
    Kind {
        name: "laptop",
        other_names: &["notebook"],
        inlet: "usb-c",
        typical_w: 65.0,
        low_wh: 41.0,
        typical_wh: 54.0,
        high_wh: 76.0,
        cell_v: 11.4,
        surely_w: Some(27.0),
        source: Source::new(
            "608 laptops of 13 to 14 inches and 879 of 15 inches of a public list of December 2024; watts from memory",
            READ,
            Confidence::Read,
        ),
    },
    Kind {
        name: "large laptop",
        other_names: &["workstation"],
        inlet: "usb-c",
        typical_w: 100.0,
        low_wh: 53.0,
        typical_wh: 80.0,
        high_wh: 99.0,
        cell_v: 11.4,
        surely_w: Some(45.0),
        source: Source::new(
            "386 laptops of 16 to 17 inches of the same list; watts from memory",
            READ,
            Confidence::Read,
        ),
    },
    Kind {
        name: "earbuds",
        other_names: &["earbud case", "earphones"],
        inlet: "usb-c",
        typical_w: 2.5,
        low_wh: 1.0,
        typical_wh: 1.9,
        high_wh: 3.0,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new(
            "a comparison table, a case of 519 mAh times 3.7 V",
            READ,
            Confidence::OneSource,
        ),
    },
    Kind {
        name: "headphones",
        other_names: &["headset"],
        inlet: "usb-c",
        typical_w: 2.5,
        low_wh: 1.9,
        typical_wh: 2.6,
        high_wh: 4.4,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new(
            "full in 2 to 3 h by five how-to pages; mAh from memory",
            READ,
            Confidence::Memory,
        ),
    },
    Kind {
        name: "watch",
        other_names: &["smartwatch", "tracker"],
        inlet: "other:puck",
        typical_w: 2.5,
        low_wh: 1.0,
        typical_wh: 1.2,
        high_wh: 2.2,
        cell_v: 3.85,
        surely_w: None,
        source: Source::new("a comparison table, 308 mAh", READ, Confidence::OneSource),
    },
    Kind {
        name: "game console",
        other_names: &["handheld console"],
        inlet: "usb-c",
        typical_w: 18.0,
        low_wh: 13.6,
        typical_wh: 16.0,
        high_wh: 19.3,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new(
            "5220 mAh of one of 2025; the lower end and the watts from memory",
            READ,
            Confidence::OneSource,
        ),
    },
    Kind {
        name: "handheld computer",
        other_names: &["handheld pc"],
        inlet: "usb-c",
        typical_w: 45.0,
        low_wh: 40.0,
        typical_wh: 50.0,
        high_wh: 80.0,
        cell_v: 7.7,
        surely_w: Some(27.0),
        source: Source::new(
            "a table of three, 50, 60 and 80 Wh; the lower end from memory",
            READ,
            Confidence::OneSource,
        ),
    },
    Kind {
        name: "e-reader",
        other_names: &["reader"],
        inlet: "usb-c",
        typical_w: 5.0,
        low_wh: 3.7,
        typical_wh: 5.6,
        high_wh: 7.4,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new(
            "full in 2 h with an adapter, in 4 h at 500 mA, about 6 Wh; mAh from memory",
            READ,
            Confidence::Memory,
        ),
    },
    Kind {
        name: "camera",
        other_names: &["mirrorless", "reflex camera"],
        inlet: "usb-c",
        typical_w: 18.0,
        low_wh: 8.0,
        typical_wh: 14.4,
        high_wh: 17.0,
        cell_v: 7.2,
        surely_w: None,
        source: Source::new(
            "a worked example, 2000 mAh at 7.2 V; 10 to 20 Wh for a reflex camera; watts from memory",
            READ,
            Confidence::Read,
        ),
    },
    Kind {
        name: "action camera",
        other_names: &["compact camera"],
        inlet: "usb-c",
        typical_w: 7.5,
        low_wh: 4.0,
        typical_wh: 5.5,
        high_wh: 7.0,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new("from memory", READ, Confidence::Memory),
    },
    Kind {
        name: "camcorder",
        other_names: &[],
        inlet: "usb-c",
        typical_w: 18.0,
        low_wh: 20.0,
        typical_wh: 25.0,
        high_wh: 40.0,
        cell_v: 7.2,
        surely_w: None,
        source: Source::new(
            "20 to 40 Wh, one source; watts from memory",
            READ,
            Confidence::OneSource,
        ),
    },
    Kind {
        name: "drone battery",
        other_names: &[],
        inlet: "usb-c",
        typical_w: 30.0,
        low_wh: 17.0,
        typical_wh: 43.6,
        high_wh: 77.0,
        cell_v: 11.1,
        surely_w: None,
        source: Source::new(
            "3830 mAh at 11.4 V; small ones just under 20 Wh; watts from memory",
            READ,
            Confidence::Read,
        ),
    },
    Kind {
        name: "toothbrush",
        other_names: &[],
        inlet: "other:stand",
        typical_w: 1.5,
        low_wh: 1.8,
        typical_wh: 2.6,
        high_wh: 3.0,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new("from memory", READ, Confidence::Memory),
    },
    Kind {
        name: "shaver",
        other_names: &["trimmer"],
        inlet: "usb-c",
        typical_w: 5.0,
        low_wh: 2.0,
        typical_wh: 3.0,
        high_wh: 7.4,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new("from memory", READ, Confidence::Memory),
    },
    Kind {
        name: "speaker",
        other_names: &[],
        inlet: "usb-c",
        typical_w: 10.0,
        low_wh: 7.0,
        typical_wh: 18.0,
        high_wh: 27.0,
        cell_v: 3.6,
        surely_w: None,
        source: Source::new("from memory", READ, Confidence::Memory),
    },
    Kind {
        name: "hotspot",
        other_names: &["mobile router"],
        inlet: "usb-c",
        typical_w: 10.0,
        low_wh: 8.0,
        typical_wh: 11.0,
        high_wh: 19.0,
        cell_v: 3.8,
        surely_w: None,
        source: Source::new("from memory", READ, Confidence::Memory),
    },
    Kind {
        name: "power bank",
        other_names: &["battery pack"],
        inlet: "usb-c",
        typical_w: 18.0,
        low_wh: 36.0,
        typical_wh: 37.0,
        high_wh: 74.0,
        cell_v: 3.7,
        surely_w: None,
        source: Source::new(
            "mAh times 3.7 V (49 CFR 171.8); one of 10000 mAh prints 36 to 37 Wh, of 20000 mAh 74 Wh; watts from memory",
            READ,
            Confidence::Read,
        ),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_by_each_of_its_names_and_no_name_is_there_twice() {
        let mut names = Vec::new();
        for own in Kind::all() {
            for name in own.other_names.iter().chain([&own.name]) {
                assert_eq!(Kind::named(name), Some(own), "{name}");
                assert!(!names.contains(name), "{name}");
                names.push(name);
            }
        }
    }

    #[test]
    fn batteries_are_in_order_and_every_power_is_above_nothing() {
        for kind in Kind::all() {
            assert!(
                kind.low_wh > 0.0 && kind.low_wh <= kind.typical_wh,
                "{kind:?}"
            );
            assert!(kind.typical_wh <= kind.high_wh, "{kind:?}");
            assert!(kind.surely_w.is_none_or(|w| w > 0.0 && w <= kind.typical_w));
            assert!((1.0..=15.0).contains(&kind.cell_v), "{kind:?}");
        }
    }
}
