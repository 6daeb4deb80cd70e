//! What to take and what to leave at home.

use serde::{Deserialize, Serialize};

use super::Ground;
use super::adapters::AdapterNeed;
use super::cables::{Taken, taken};
use super::finding::{Finding, Verdict};
use super::site::listed;
use super::stay::Stay;
use crate::setup::Setup;
use crate::setup::document::fields::words;

/// The bag.
///
/// An appliance that can be used on fewer than half of the nights (of the stops, where no
/// night is spent), and that needs an adapter or a converter that nothing else needs, stays
/// at home: `leave` has it with what it would take.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackingList {
    /// What is used, adapters first.
    pub take: Vec<Packing>,
    /// What no stop needs.
    pub leave: Vec<Packing>,
    /// Whether fewer adapters, or lighter ones of as many, are proven not to do.
    pub least: bool,
    /// The adapters and converters that are taken, together, in grams.
    pub adapters_g: f64,
    /// What cannot be used at a stop, and what would help.
    pub missing: Vec<Missing>,
}

/// One thing of the bag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Packing {
    /// Its name.
    pub thing: String,
    /// What it is.
    pub kind: PackingKind,
    /// How many of them.
    pub count: u32,
    /// Why.
    pub reason: String,
    /// What is to be known of it where no plan uses it: for whom it is taken all the same, or
    /// what it lacks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Of an appliance: the adapters and converters that are taken for it alone or, where it
    /// stays at home, would be. Absent where nothing would be spared.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub costs: Option<PackingCosts>,
}

/// What a thing costs the bag beside itself: the least bag with it against that without.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PackingCosts {
    /// So many adapters more.
    pub adapters: u32,
    /// So many converters more.
    pub converters: u32,
    /// Their grams; below 0 where the bag without it has fewer, but heavier ones.
    pub weight_g: f64,
}

impl PackingCosts {
    /// Whether there is one thing more to carry.
    pub(super) fn is_a_piece(&self) -> bool {
        self.adapters > 0 || self.converters > 0
    }
}

words! {
    /// What a thing of the bag is.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum PackingKind {
        /// A plug adapter.
        Adapter = "adapter",
        /// A voltage converter.
        Converter = "converter",
        /// A charger.
        Charger = "charger",
        /// A cable.
        Cable = "cable",
        /// An appliance.
        Appliance = "appliance",
    }
}

/// A thing that cannot be used at a stop.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Missing {
    /// The stop.
    pub stop: String,
    /// The thing.
    pub thing: String,
    /// Why not, and what would do.
    pub reason: String,
}

/// The bag of a trip whose stops are settled.
pub(super) fn bag(
    setup: &Setup,
    ground: &Ground<'_>,
    stays: &[Stay<'_>],
    needs: &[AdapterNeed],
) -> PackingList {
    let mut list = Lists {
        bag: PackingList::default(),
    };
    list.adapters(ground, stays, needs);
    list.converters(ground, stays);
    list.chargers(setup, ground, stays);
    list.cables(setup, stays);
    list.appliances(ground, stays);
    list.idle(stays);
    let mut bag = list.bag;
    bag.least = ground.packed.least;
    let spec = ground.trip;
    for (adapter, &count) in spec.adapters.iter().zip(&ground.packed.adapters) {
        bag.adapters_g += adapter.weight_g * f64::from(u32::try_from(count).unwrap_or(0));
    }
    for (converter, taken) in spec.converters.iter().zip(&ground.packed.converters) {
        bag.adapters_g += if *taken { converter.weight_g } else { 0.0 };
    }
    bag
}

struct Lists {
    bag: PackingList,
}

impl Lists {
    /// Takes `used` of `count`, and leaves the others.
    fn share(
        &mut self,
        thing: &str,
        kind: PackingKind,
        (used, count): (u32, u32),
        why: impl Into<String>,
        why_not: impl Into<String>,
    ) {
        let entry = |count: u32, reason: String| Packing {
            thing: thing.to_owned(),
            kind,
            count,
            reason,
            note: None,
            costs: None,
        };
        if used > 0 {
            self.bag.take.push(entry(used, why.into()));
        }
        if count > used {
            self.bag.leave.push(entry(count - used, why_not.into()));
        }
    }

    fn adapters(&mut self, ground: &Ground<'_>, stays: &[Stay<'_>], needs: &[AdapterNeed]) {
        for (at, adapter) in ground.trip.adapters.iter().enumerate() {
            let used = u32::try_from(ground.packed.adapters[at]).unwrap_or(0);
            let mut uses = Vec::new();
            for stay in stays {
                let mut things: Vec<String> = Vec::new();
                let of_stop = needs.iter().filter(|need| {
                    need.stop == stay.site.stop.name && need.have.as_ref() == Some(&adapter.name)
                });
                for thing in of_stop.flat_map(|need| &need.things) {
                    if !things.contains(thing) {
                        things.push(thing.clone());
                    }
                }
                if stay.charges_with_adapter(at) {
                    things.push("its own USB ports".to_owned());
                }
                if !things.is_empty() {
                    uses.push(format!("{} ({})", stay.site.stop.name, things.join(", ")));
                }
            }
            let why_not = if used > 0 {
                "one more is not needed"
            } else {
                "no stop needs it"
            };
            let counts = (used, adapter.count);
            self.share(
                &adapter.name,
                PackingKind::Adapter,
                counts,
                uses.join("; "),
                why_not,
            );
        }
    }

    fn converters(&mut self, ground: &Ground<'_>, stays: &[Stay<'_>]) {
        for (at, converter) in ground.trip.converters.iter().enumerate() {
            let mut uses = Vec::new();
            for stay in stays {
                let things = stay.through(&converter.name);
                if !things.is_empty() {
                    uses.push(format!("{} ({})", stay.site.stop.name, things.join(", ")));
                }
            }
            let used = u32::from(ground.packed.converters[at]);
            let why_not = "nothing runs on it";
            self.share(
                &converter.name,
                PackingKind::Converter,
                (used, 1),
                uses.join("; "),
                why_not,
            );
        }
    }

    fn chargers(&mut self, setup: &Setup, ground: &Ground<'_>, stays: &[Stay<'_>]) {
        for (at, charger) in setup.chargers.iter().enumerate() {
            let names: Vec<&str> = stays
                .iter()
                .filter(|stay| stay.uses(at))
                .map(|stay| stay.site.stop.name.as_str())
                .collect();
            let lacking = lacks_a_plug(at, stays);
            let bare = stays.first().is_some_and(|stay| stay.bare);
            let used = u32::from(bare || !names.is_empty() || !lacking.is_empty());
            let everywhere = if names.len() == stays.len() {
                "at every stop".to_owned()
            } else {
                listed(&names, "and")
            };
            let why_not = if ground.ports_alone {
                "the USB ports of the adapters are enough at every stop"
            } else {
                "no plan uses it"
            };
            let (why, note) = if bare {
                ("it is listed, and nothing is charged".to_owned(), None)
            } else if names.is_empty() {
                let lacks = format!("lacks an adapter in {}", listed(&lacking, "and"));
                let why = format!("it {lacks}, and is needed: see what cannot be used");
                (why, Some(lacks))
            } else {
                (everywhere, None)
            };
            let counts = (used, 1);
            self.share(&charger.name, PackingKind::Charger, counts, why, why_not);
            self.note_last(used, note);
        }
    }

    /// Puts a note to what was taken last.
    fn note_last(&mut self, used: u32, note: Option<String>) {
        if let (true, Some(last)) = (used > 0, self.bag.take.last_mut()) {
            last.note = note;
        }
    }

    fn cables(&mut self, setup: &Setup, stays: &[Stay<'_>]) {
        for (cable, taken) in setup.bag_cables().iter().zip(taken(setup, stays)) {
            let Taken { planned, waiting } = taken;
            let used = u32::try_from(planned + waiting.len()).unwrap_or(cable.count);
            let for_them = format!(
                "for {}, without a port on some night",
                listed(&waiting, "and")
            );
            let why = match (planned, waiting.len()) {
                (_, 0) => "the plans use it".to_owned(),
                (0, _) => for_them.clone(),
                (_, more) => format!("the plans use it; {more} more {for_them}"),
            };
            let why_not = if used > 0 {
                "never in use with the others"
            } else {
                "no plan uses it"
            };
            let counts = (used, cable.count);
            self.share(&cable.name, PackingKind::Cable, counts, why, why_not);
            let note = (!waiting.is_empty()).then_some(for_them);
            self.note_last(used, note);
        }
    }

    fn appliances(&mut self, ground: &Ground<'_>, stays: &[Stay<'_>]) {
        for (at, appliance) in ground.trip.appliances.iter().enumerate() {
            let (mut works, mut depends) = (Vec::new(), Vec::new());
            for stay in stays {
                let Some(found) = stay.in_use(&appliance.name) else {
                    continue;
                };
                match found.verdict {
                    Verdict::Depends => depends.push(stay.site.stop.name.as_str()),
                    Verdict::No | Verdict::Unknown => self.misses(stay, found),
                    _ => works.push(stay.site.stop.name.as_str()),
                }
            }
            let mut why = Vec::new();
            if works.len() == stays.len() {
                why.push("works at every stop".to_owned());
            } else if !works.is_empty() {
                why.push(format!("works in {}", listed(&works, "and")));
            }
            if !depends.is_empty() {
                why.push(format!(
                    "ask for the voltage in {}",
                    listed(&depends, "and")
                ));
            }
            let used = u32::from(!why.is_empty());
            let cost = &ground.costs[at];
            let at_home = stays.first().is_some_and(|stay| stay.at_home[at]);
            let why_not = if at_home {
                let what = if cost.by_stops { "stops" } else { "nights" };
                format!("it works on {} of {} {what}", cost.works, cost.of)
            } else {
                "it works at no stop".to_owned()
            };
            let counts = (if at_home { 0 } else { used }, 1);
            let why = why.join("; ");
            let kind = PackingKind::Appliance;
            self.share(&appliance.name, kind, counts, why, why_not);
            let list = match counts {
                (0, _) => &mut self.bag.leave,
                _ => &mut self.bag.take,
            };
            if let Some(last) = list.last_mut() {
                last.costs.clone_from(&cost.costs);
            }
        }
    }

    /// The chargers that cannot be plugged in where more of them would help.
    fn idle(&mut self, stays: &[Stay<'_>]) {
        for stay in stays {
            if stay.serves_all() {
                continue;
            }
            for answer in &stay.sources {
                let found = stay.in_use(answer.thing.name);
                let found = found.filter(|found| {
                    matches!(
                        found.verdict,
                        Verdict::No | Verdict::Unknown | Verdict::Depends
                    )
                });
                if let Some(found) = found {
                    self.misses(stay, found);
                }
            }
        }
    }

    fn misses(&mut self, stay: &Stay<'_>, found: &Finding) {
        self.bag.missing.push(Missing {
            stop: stay.site.stop.name.clone(),
            thing: found.thing.clone(),
            reason: found.reason.clone(),
        });
    }
}

/// The stops at which a charger is missed, and lacks nothing but a way of its plug into the
/// wall, as far as is known.
fn lacks_a_plug<'a>(source: usize, stays: &[Stay<'a>]) -> Vec<&'a str> {
    let missed = |stay: &&Stay<'_>| !stay.serves_all() && stay.sources[source].lacks_a_plug();
    let stays = stays.iter().filter(missed);
    stays.map(|stay| stay.site.stop.name.as_str()).collect()
}
