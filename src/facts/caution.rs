//! What to beware of on the road: each caution with its source, and when it applies.

use serde::Serialize;

use super::source::{Confidence, Date, Source};

/// A caution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Caution {
    /// A short name that does not change.
    pub id: &'static str,
    /// What to beware of, in a sentence or two.
    pub says: &'static str,
    /// When it applies: where any of these is the case.
    pub when: &'static [When],
    /// Where that stands.
    pub source: Source,
}

/// What can be the case on a trip, so that cautions apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum When {
    /// Anything is plugged in at all.
    Always,
    /// Something goes in through an adapter.
    Adapter,
    /// A thing's label does not hold every voltage and frequency of the trip.
    NotWide,
    /// A thing heats or has a motor.
    HeatingOrMotor,
    /// A thing needs an earth.
    NeedsEarth,
    /// A plug goes in with its earth lost: E, F or both in K.
    EarthLost,
    /// An adapter takes plugs of several systems.
    ManyPlugAdapter,
    /// A stop where old outlets have two equal narrow slots.
    NarrowSlots,
    /// An adapter, a strip or a cord carries several things or follows another.
    Chained,
    /// A plug with two pins goes into a socket for fused plugs (G), through an adapter.
    FusedCountry,
    /// Something with a battery is charged.
    Charging,
    /// A battery flies.
    Flight,
    /// A USB cable is used.
    UsbCable,
    /// A fact that is used is from memory, from one source, or one on which sources
    /// differ.
    WeakFact,
}

const READ: Date = Date::Read("2026-11-25");

const fn read(title: &'static str) -> Source {
    Source::new(title, READ, Confidence::Read)
}

const fn memory(title: &'static str) -> Source {
    Source::new(title, READ, Confidence::Memory)
}

const fn scope() -> Source {
    Source::new("what this program knows", READ, Confidence::Definition)
}

const COUNCIL: Source = Source::new(
    "UK Electrical Safety Council, quoted in The Guardian",
    Date::Published("2008-07-20"),
    Confidence::Read,
);
const ESFI: Source = read("Electrical Safety Foundation International, extension cord advice");
const ELECTRICIANS: Source = read("electricians' travel advice");

static CAUTIONS: [Caution; 23] = [
    Caution {
        id: "adapter-is-shape",
        says: "An adapter changes the shape of a plug and nothing else: not the voltage, not the \
               frequency.",
        when: &[When::Adapter],
        source: COUNCIL,
    },
    Caution {
        id: "read-the-label",
        says: "Read the label: with 100-240 V and 50/60 Hz on it an adapter is enough anywhere. A \
               thing for one voltage can be ruined or catch fire on another.",
        when: &[When::NotWide],
        source: COUNCIL,
    },
    Caution {
        id: "heat-and-motors",
        says: "What heats or turns needs a converter for more than its watts, or stays at home. \
               Motors and clocks also depend on 50 or 60 Hz.",
        when: &[When::HeatingOrMotor],
        source: COUNCIL,
    },
    Caution {
        id: "earth",
        says: "What needs an earth must have it, and many adapters carry none.",
        when: &[When::NeedsEarth],
        source: COUNCIL,
    },
    Caution {
        id: "earth-lost",
        says: "A plug of E, F or both fits a Danish outlet of type K, but its earth is not \
               connected there.",
        when: &[When::EarthLost],
        source: read("DS 60884-2-D1, Danish section text; World Standards, type K"),
    },
    Caution {
        id: "never-cut",
        says: "Never cut off an earth pin or get round it, and never force a plug.",
        when: &[When::NeedsEarth, When::EarthLost, When::Adapter],
        source: ESFI,
    },
    Caution {
        id: "no-chains",
        says: "No adapter, cord or strip goes into another one.",
        when: &[When::Chained, When::Adapter],
        source: ESFI,
    },
    Caution {
        id: "least-rating",
        says: "The lowest current printed on plug, adapter, strip or cord is the limit for all of \
               them.",
        when: &[When::Adapter, When::HeatingOrMotor],
        source: ESFI,
    },
    Caution {
        id: "heat-and-smell",
        says: "Pull the plug on anything that gets hot, smells, hums or is scorched.",
        when: &[When::Always],
        source: ESFI,
    },
    Caution {
        id: "do-not-cover",
        says: "Chargers and cords give off heat: leave them uncovered.",
        when: &[When::Charging],
        source: ESFI,
    },
    Caution {
        id: "damaged",
        says: "Leave damaged cords, plugs, outlets and batteries alone.",
        when: &[When::Always],
        source: read("Electrical Safety Foundation International; FAA PackSafe for batteries"),
    },
    Caution {
        id: "bathroom",
        says: "Nothing on the mains in the bathroom.",
        when: &[When::Always],
        source: ELECTRICIANS,
    },
    Caution {
        id: "unattended",
        says: "Charge batteries where somebody is near, not on a bed or a sofa, and away from \
               water.",
        when: &[When::Charging],
        source: memory("common safety advice"),
    },
    Caution {
        id: "adapter-standard",
        says: "Look for a standard on an adapter: BS 8546, BS 5733, IEC 60884-2-5, or listed by \
               UL, CSA or ETL.",
        when: &[When::Adapter],
        source: memory(
            "The Guardian, 2008 (BS 5733) and ESFI (UL, ETL, CSA), read; the other two from memory",
        ),
    },
    Caution {
        id: "many-plug-adapter",
        says: "A socket for every plug may leave plugs of E and F without an earth, and may swap \
               live and neutral.",
        when: &[When::ManyPlugAdapter],
        source: read("encyclopaedia article on AC plugs, section on universal sockets"),
    },
    Caution {
        id: "narrow-slots",
        says: "Old outlets in Japan have two equal narrow slots: take a plug A with two equal \
               blades, since one with a wide blade or with a round pin does not go in.",
        when: &[When::NarrowSlots],
        source: Source::new(
            "travel pages on Japanese outlets, of 2008-06-30 and 2009-10-19",
            Date::Read("2026-11-30"),
            Confidence::Agree,
        ),
    },
    Caution {
        id: "adapter-fuse",
        says: "Where plugs carry a fuse, an adapter for a plug with two pins should carry one, of \
               3 or 13 A.",
        when: &[When::FusedCountry],
        source: memory("BS 1363"),
    },
    Caution {
        id: "supply-tolerance",
        says: "The supply may be 10 % above or below its nominal voltage: 207 to 253 V at 230 V.",
        when: &[When::NotWide],
        source: read("IEC 60038"),
    },
    Caution {
        id: "flight",
        says: "Lithium batteries have rules by air, and airlines may be stricter than those: ask \
               yours before you fly.",
        when: &[When::Flight],
        source: Source::new(
            "ICAO Addendum No. 1 to the 2025-2026 Technical Instructions; UK Civil Aviation \
             Authority",
            Date::Published("2026-03-27"),
            Confidence::Agree,
        ),
    },
    Caution {
        id: "cable-rating",
        says: "A USB cable's rating, 3 A or with its chip 5 A, is a limit of safety.",
        when: &[When::UsbCable],
        source: read("USB Type-C specification"),
    },
    Caution {
        id: "labels-only",
        says: "Everything here is worked out from labels; what has none may not keep to it.",
        when: &[When::Charging, When::UsbCable],
        source: scope(),
    },
    Caution {
        id: "look-at-the-outlet",
        says: "Facts may be old, or not hold in a building: look at the outlet, keep to the local \
               rules, and leave fixed wiring to a licensed electrician.",
        when: &[When::Always, When::WeakFact],
        source: ESFI,
    },
    Caution {
        id: "no-approval",
        says: "This is no safety approval: the makers' instructions come first.",
        when: &[When::Always],
        source: scope(),
    },
];

/// Every caution.
pub fn all_cautions() -> &'static [Caution] {
    &CAUTIONS
}

/// The cautions that apply where `facts` are the case, each once and in a fixed order.
/// [`When::Always`] goes without saying.
pub fn cautions(facts: &[When]) -> impl Iterator<Item = &'static Caution> {
    CAUTIONS.iter().filter(move |caution| {
        caution
            .when
            .iter()
            .any(|when| *when == When::Always || facts.contains(when))
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn each_caution_is_shown_once_and_where_it_applies() {
        let shown = |facts: &[When]| -> Vec<&str> { cautions(facts).map(|c| c.id).collect() };
        let always = [
            "heat-and-smell",
            "damaged",
            "bathroom",
            "look-at-the-outlet",
            "no-approval",
        ];
        assert_eq!(shown(&[]), always);
        assert_eq!(shown(&[When::WeakFact, When::Always]), always);
        let adapter = shown(&[When::Adapter, When::NeedsEarth]);
        for id in [
            "adapter-is-shape",
            "earth",
            "never-cut",
            "no-chains",
            "least-rating",
        ] {
            assert_eq!(
                adapter.iter().filter(|shown| **shown == id).count(),
                1,
                "{id}"
            );
        }
        assert!(!adapter.contains(&"flight"));
        assert!(shown(&[When::Flight]).contains(&"flight"));
    }

    #[test]
    fn each_condition_brings_a_caution_and_names_do_not_repeat() {
        for when in [
            When::Always,
            When::Adapter,
            When::NotWide,
            When::HeatingOrMotor,
            When::NeedsEarth,
            When::EarthLost,
            When::ManyPlugAdapter,
            When::NarrowSlots,
            When::Chained,
            When::FusedCountry,
            When::Charging,
            When::Flight,
            When::UsbCable,
            When::WeakFact,
        ] {
            assert!(
                all_cautions().iter().any(|c| c.when.contains(&when)),
                "{when:?}"
            );
        }
        let ids: BTreeSet<&str> = all_cautions().iter().map(|c| c.id).collect();
        assert_eq!(ids.len(), all_cautions().len());
    }
}
