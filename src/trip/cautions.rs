//! What to keep in mind on a trip, each once, where it applies.

use serde::{Deserialize, Serialize};

use super::finding::{About, Finding, Verdict};
use super::pack::Packed;
use super::stay::Stay;
use crate::facts::{Confidence, Earth, Local, Plug, When, cautions, local_notes};
use crate::setup::TripSpec;
use crate::setup::document::Load;

/// What to keep in mind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TripCaution {
    /// What to beware of.
    pub reason: String,
    /// Where that stands.
    pub source: String,
    /// The date of the source.
    pub date: String,
    /// Whether it holds wherever something is plugged in, charged or flown; where not, it is
    /// something of this trip that brings it up.
    pub general: bool,
}

/// The cautions that apply, in a fixed order.
pub(super) fn of(trip: &TripSpec, packed: &Packed, stays: &[Stay<'_>]) -> Vec<TripCaution> {
    let case = Case {
        trip,
        packed,
        stays,
    };
    let facts: Vec<When> = [
        (When::Adapter, case.adapter()),
        (When::NotWide, case.not_wide()),
        (When::HeatingOrMotor, case.heats_or_turns()),
        (When::NeedsEarth, case.needs_earth()),
        (When::EarthLost, case.earth_lost()),
        (When::ManyPlugAdapter, case.many_plugs()),
        (When::NarrowSlots, case.narrow_slots()),
        (When::Chained, case.chained()),
        (When::FusedCountry, case.fused()),
        (When::Charging, stays.iter().any(|stay| stay.used() != 0)),
        (When::Flight, !trip.batteries.is_empty()),
        (When::UsbCable, stays.iter().any(|stay| stay.used() != 0)),
        (When::WeakFact, case.weak()),
    ]
    .into_iter()
    .filter(|(_, is)| *is)
    .map(|(when, _)| when)
    .collect();
    cautions(&facts)
        .map(|caution| TripCaution {
            reason: caution.says.to_owned(),
            source: caution.source.title.to_owned(),
            date: caution.source.date.to_string(),
            general: !caution
                .when
                .iter()
                .any(|when| own(*when) && facts.contains(when)),
        })
        .collect()
}

/// Whether it is something that this trip has and others have not.
fn own(when: When) -> bool {
    matches!(
        when,
        When::NotWide
            | When::HeatingOrMotor
            | When::NeedsEarth
            | When::EarthLost
            | When::ManyPlugAdapter
            | When::Chained
            | When::FusedCountry
    )
}

struct Case<'a> {
    trip: &'a TripSpec,
    packed: &'a Packed,
    stays: &'a [Stay<'a>],
}

impl Case<'_> {
    fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.stays.iter().flat_map(|stay| &stay.findings)
    }

    fn adapter(&self) -> bool {
        self.packed.adapters.iter().any(|&count| count > 0)
    }

    fn not_wide(&self) -> bool {
        let asked = |found: &Finding| matches!(found.about, About::Voltage | About::Frequency);
        self.findings()
            .any(|found| asked(found) && found.verdict != Verdict::Fine)
    }

    fn heats_or_turns(&self) -> bool {
        let mut appliances = self.trip.appliances.iter();
        appliances.any(|appliance| appliance.kind != Load::Electronic)
    }

    fn needs_earth(&self) -> bool {
        self.trip
            .appliances
            .iter()
            .any(|appliance| appliance.needs_earth)
    }

    /// Straight into a socket in which the plug's earth meets nothing.
    fn earth_lost(&self) -> bool {
        let answers = self
            .stays
            .iter()
            .flat_map(|stay| stay.sources.iter().chain(&stay.appliances));
        answers
            .filter_map(|answer| answer.links.first())
            .flat_map(|straight| &straight.contacts)
            .any(|contact| contact.fit.earth == Earth::Lost)
    }

    /// Sockets for several plugs beside those that C, E and F share.
    fn many_plugs(&self) -> bool {
        let round = |plug: &Plug| matches!(plug, Plug::C | Plug::E | Plug::F | Plug::EF);
        let several = |takes: &[Plug]| takes.len() > 1 && !takes.iter().all(round);
        let adapters = self.trip.adapters.iter().zip(&self.packed.adapters);
        let converters = self.trip.converters.iter().zip(&self.packed.converters);
        adapters
            .into_iter()
            .any(|(adapter, &count)| count > 0 && several(&adapter.takes))
            || converters
                .into_iter()
                .any(|(converter, &taken)| taken && several(&converter.takes))
    }

    /// Outlets for plugs of which the country has old ones that take not all of them.
    fn narrow_slots(&self) -> bool {
        self.stays.iter().any(|stay| {
            let systems = stay.site.sockets.iter().flat_map(|socket| socket.systems());
            let notes = systems.flat_map(|plug| local_notes(&stay.site.stop.country, *plug));
            notes
                .into_iter()
                .any(|note| note.what == Local::NarrowSlots)
        })
    }

    fn chained(&self) -> bool {
        self.findings()
            .any(|found| found.about == About::Use && found.with.len() > 1)
    }

    fn fused(&self) -> bool {
        let makes = |name: &String| {
            let mut adapters = self.trip.adapters.iter();
            adapters.any(|adapter| adapter.name == *name && adapter.makes.contains(&Plug::G))
        };
        self.stays.iter().any(|stay| {
            let fused = |system: &Plug| *system == Plug::G;
            let sockets = stay.site.sockets.iter().flat_map(|socket| socket.systems());
            sockets.into_iter().any(fused)
                && stay
                    .findings
                    .iter()
                    .any(|found| found.about == About::Use && found.with.iter().any(makes))
        })
    }

    /// Whether anything rests on a fact that is not quite sure.
    fn weak(&self) -> bool {
        let provisos = [
            Confidence::OneSource,
            Confidence::Differ,
            Confidence::Memory,
        ];
        let mut provisos = provisos.into_iter().filter_map(Confidence::proviso);
        provisos.any(|proviso| self.findings().any(|found| found.source.contains(proviso)))
    }
}
