//! The rules of the air as data: what each says, in our words, its source and its date.

use serde::Serialize;

use super::{Battery, BatteryKind};
use crate::facts::source::{Confidence, Date, Source};

/// A rule about batteries by air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct AirRule {
    /// A short name that does not change.
    pub id: &'static str,
    /// What it says, in a sentence.
    pub says: &'static str,
    /// How many per person, of which batteries, where the rule is about a number.
    pub limit: Option<(u32, Counted)>,
    /// Where that stands.
    pub source: Source,
}

/// Which batteries a rule counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Counted {
    /// Spares and power banks above 100 Wh or 2 g of lithium.
    LargeSpares,
    /// Spares of up to 100 Wh or 2 g of lithium, power banks apart.
    SmallSpares,
    /// Power banks of any size.
    PowerBanks,
    /// Batteries in their devices.
    Devices,
}

impl Counted {
    pub(super) fn counts(self, battery: Battery) -> bool {
        // One of unknown size may be a large one.
        let (loose, small) = (battery.is_loose(), battery.is_small());
        match self {
            Self::LargeSpares => loose && !small,
            Self::SmallSpares => loose && small && battery.kind != BatteryKind::PowerBank,
            Self::PowerBanks => battery.kind == BatteryKind::PowerBank,
            Self::Devices => !loose,
        }
    }
}

/// A rule of a state that goes beyond those of ICAO.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct NationalRule {
    /// ISO 3166-1 alpha-2 code of the state.
    pub country: &'static str,
    /// What it says, in a sentence.
    pub says: &'static str,
    /// Where that stands.
    pub source: Source,
}

const READ: Date = Date::Read("2026-11-25");
const READ_LATER: Date = Date::Read("2026-11-30");

const LIMITS: Source = Source::new(
    "ICAO Technical Instructions (Doc 9284), table 8-1; IATA Dangerous Goods Regulations 67th \
     edition, table 2.3.A; 49 CFR 175.10(a)(18)",
    Date::Published("2026-01-01"),
    Confidence::Read,
);
const IATA: Source = Source::new(
    "IATA Dangerous Goods Regulations, 67th edition, 2.3",
    Date::Published("2026-01-01"),
    Confidence::Read,
);
const PACK_SAFE: Source = Source::new(
    "US Federal Aviation Administration, PackSafe",
    READ,
    Confidence::Read,
);
const METAL: Source = Source::new(
    "US Federal Aviation Administration, PackSafe; US Transportation Security Administration, \
     lithium batteries in a device",
    READ_LATER,
    Confidence::Agree,
);
const MEDICAL: Source = Source::new(
    "IATA Dangerous Goods Regulations, 55th edition, 2.3, as an adviser's answers give them; US \
     Federal Aviation Administration, PackSafe, as a public data set quotes it",
    READ_LATER,
    Confidence::Agree,
);
const BAGS: Source = Source::new(
    "US Federal Aviation Administration, PackSafe, baggage equipped with lithium batteries; \
     49 CFR 175.10(a)(26)",
    Date::Published("2023-02-22"),
    Confidence::Read,
);
const BAGS_FOR_GOOD: Source = Source::new(
    "IATA Dangerous Goods Regulations, 2.3, as a handbook on the transport of lithium batteries \
     gives it; since 15 January 2018",
    Date::Published("2024"),
    Confidence::Agree,
);
const BANK_IS_SPARE: Source = Source::new(
    "IATA Dangerous Goods Regulations, 67th edition, 2.3; 49 CFR 175.10(a)(18)",
    Date::Published("2026-01-01"),
    Confidence::Read,
);
const ADDENDUM: Source = Source::new(
    "ICAO Addendum No. 1 to the 2025-2026 Technical Instructions, as the UK Civil Aviation \
     Authority gives it",
    Date::Published("2026-03-27"),
    Confidence::Agree,
);

const fn rule(id: &'static str, says: &'static str, source: Source) -> AirRule {
    AirRule {
        id,
        says,
        limit: None,
        source,
    }
}

impl AirRule {
    const fn per_person(self, number: u32, counted: Counted) -> Self {
        Self {
            limit: Some((number, counted)),
            ..self
        }
    }
}

pub(super) static UP_TO_100_WH: AirRule = rule(
    "up-to-100-wh",
    "A battery of up to 100 Wh needs no approval.",
    LIMITS,
);
pub(super) static UP_TO_160_WH: AirRule = rule(
    "up-to-160-wh",
    "A battery above 100 Wh and up to 160 Wh needs the airline's approval.",
    LIMITS,
);
pub(super) static OVER_160_WH: AirRule = rule(
    "over-160-wh",
    "A battery above 160 Wh may not fly in passengers' baggage; mobility aids have rules of \
     their own.",
    LIMITS,
);
pub(super) static UP_TO_2_G: AirRule = rule(
    "up-to-2-g",
    "A battery of lithium metal, which is not charged again, of up to 2 g of lithium needs no \
     approval.",
    METAL,
);
pub(super) static UP_TO_8_G: AirRule = rule(
    "up-to-8-g",
    "Lithium metal above 2 g and up to 8 g flies only for a portable medical device, in the \
     cabin and with the airline's approval.",
    MEDICAL,
);
pub(super) static OVER_8_G: AirRule = rule(
    "over-8-g",
    "A battery above 8 g of lithium metal may not fly in passengers' baggage.",
    MEDICAL,
);
pub(super) static BAG_TINY: AirRule = rule(
    "bag-up-to-2.7-wh",
    "A bag's battery of up to 2.7 Wh, or 0.3 g of lithium metal, may stay in it, in the hold \
     too.",
    BAGS,
);
pub(super) static BAG_TAKEN_OUT: AirRule = rule(
    "bag-taken-out",
    "A bag with a battery above 2.7 Wh, or 0.3 g of lithium metal, travels in the cabin; before \
     it goes in the hold the battery comes out and stays in the cabin as a spare.",
    BAGS,
);
pub(super) static BAG_FIXED: AirRule = rule(
    "bag-fixed",
    "A bag whose battery does not come out may not fly where that is above 2.7 Wh or 0.3 g of \
     lithium metal.",
    BAGS_FOR_GOOD,
);
pub(super) static LOOK_AT_THE_LABEL: AirRule = rule(
    "look-at-the-label",
    "Up to 100 Wh needs no approval, up to 160 Wh the airline's, and above that it may not fly: \
     the label says how many.",
    LIMITS,
);

/// Which batteries are never in the hold, whatever they look like.
pub static NOT_BUILT_IN: AirRule = rule(
    "not-built-in",
    "What charges other things is a power bank, and a battery that is not in its device is a \
     spare: neither travels in the hold.",
    BANK_IS_SPARE,
);

pub(super) static SPARES_IN_CABIN: AirRule = rule(
    "spares-in-cabin",
    "Spare batteries travel in the cabin, also where a bag is taken from you at the gate.",
    PACK_SAFE,
);
pub(super) static BANKS_IN_CABIN: AirRule = rule(
    "power-banks-in-cabin",
    "Power banks travel in the cabin only.",
    ADDENDUM,
);
pub(super) static INSTALLED: AirRule = rule(
    "installed",
    "A device with its battery in it is best carried in the cabin; in the hold it is switched \
     off fully and kept from switching on.",
    IATA,
);
pub(super) static LARGE_SPARES: AirRule = rule(
    "large-spares",
    "At most two spare batteries above 100 Wh, or 2 g of lithium metal, may be carried per \
     person, with approval.",
    LIMITS,
)
.per_person(2, Counted::LargeSpares);
pub(super) static SMALL_SPARES: AirRule = rule(
    "small-spares",
    "Up to 20 spare batteries of up to 100 Wh, or 2 g of lithium metal, may be carried per \
     person, more with approval.",
    IATA,
)
.per_person(20, Counted::SmallSpares);
pub(super) static POWER_BANKS: AirRule = rule(
    "power-banks",
    "At most two power banks may be carried per person.",
    ADDENDUM,
)
.per_person(2, Counted::PowerBanks);
pub(super) static DEVICES: AirRule = rule(
    "devices",
    "Up to 15 devices with batteries may be carried per person, more with approval.",
    IATA,
)
.per_person(15, Counted::Devices);
pub(super) static TERMINALS: AirRule = rule(
    "terminals",
    "Each spare battery and power bank is kept from short circuits on its own: its contacts \
     covered, or in a pouch or its packaging.",
    ADDENDUM,
);
pub(super) static NO_RECHARGING: AirRule = rule(
    "no-recharging-on-board",
    "A power bank must not be recharged on board.",
    ADDENDUM,
);
pub(super) static NO_CHARGING_FROM: AirRule = rule(
    "no-charging-from-on-board",
    "A power bank should not be used to charge things on board.",
    ADDENDUM,
);
pub(super) static DAMAGED: AirRule = rule(
    "damaged",
    "A battery that is damaged, defective or recalled does not fly.",
    PACK_SAFE,
);

pub(super) static SOME_AIRLINES: AirRule = rule(
    "some-airlines",
    "Some airlines allow one power bank per person, of up to 100 Wh and switched off, and no use \
     of it on board.",
    Source::new(
        "the press on airlines' own rules since 1 October 2025",
        Date::Published("2025-10-23"),
        Confidence::OneSource,
    ),
);

/// That what holds for all airlines may not be all that holds on one.
pub static AIRLINES: AirRule = rule("airlines", "Airlines may be stricter: ask yours.", ADDENDUM);

static NATIONAL: [NationalRule; 5] = [
    NationalRule {
        country: "CN",
        says: "On flights within China a power bank needs a clear CCC (3C) mark and must not be \
               of a recalled model.",
        source: Source::new(
            "Civil Aviation Administration of China",
            Date::Published("2025-06-28"),
            Confidence::Read,
        ),
    },
    NationalRule {
        country: "HK",
        says: "On airlines of Hong Kong a power bank is neither used nor charged on board, nor \
               kept in the overhead bins.",
        source: Source::new(
            "Civil Aviation Department of Hong Kong",
            Date::Published("2025-04-07"),
            Confidence::Read,
        ),
    },
    // The circular itself was not read: several papers of 4 January 2026 and after give it
    // alike, and date it to November 2025.
    NationalRule {
        country: "IN",
        says: "On flights of India a power bank is neither used nor charged on board, nor kept in \
               the overhead bins.",
        source: Source::new(
            "Indian Directorate General of Civil Aviation, advisory circular on dangerous goods \
             of November 2025, as the press gives it",
            Date::Published("2026-01-04"),
            Confidence::Agree,
        ),
    },
    // Announced by its ministry in February 2026 for April; the final text was not found.
    NationalRule {
        country: "JP",
        says: "On flights of Japan nothing is charged from a power bank on board, nor a power bank \
               itself, and it is kept within sight.",
        source: Source::new(
            "Japanese Ministry of Land, Infrastructure, Transport and Tourism, as the press \
             announced it for April 2026",
            Date::Published("2026-02-27"),
            Confidence::Agree,
        ),
    },
    // Confirmed by Korea's broadcaster (KBS, 2025-03-04) and the Straits Times. The limit
    // of five, older than ICAO's two, is left out.
    NationalRule {
        country: "KR",
        says: "On flights of Korea a power bank stays on you or in the seat pocket, never in the \
               overhead bins, its contacts covered or each in a bag, and is not charged on board.",
        source: Source::new(
            "South Korean Ministry of Land, Infrastructure and Transport",
            Date::Published("2025-03-01"),
            Confidence::Agree,
        ),
    },
];

/// What a state asks beyond the rules for all, by its ISO 3166-1 alpha-2 code, upper or
/// lower case. States that are not listed may do so as well.
pub fn national_rules(country: &str) -> impl Iterator<Item = &'static NationalRule> {
    NATIONAL
        .iter()
        .filter(move |rule| rule.country.eq_ignore_ascii_case(country))
}
