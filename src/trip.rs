//! A trip: will it plug in there, and may it fly?
//!
//! Stop by stop, every charger and appliance against the mains of the place (`thing.rs`,
//! `link.rs`), with its findings in words (`verdict.rs`); each night's plan with the
//! chargers that go into the outlets at the same time (`night.rs`); the batteries against
//! the rules of the air (`air.rs`); and the bag: the fewest adapters, as an integer
//! program (`pack.rs`), and what else is used or stays at home (`bag.rs`). What is known
//! of countries, plugs and rules are [`facts`](crate::facts).

mod air;
mod bag;
mod cautions;
mod finding;
mod link;
mod night;
mod pack;
mod site;
mod thing;
mod verdict;

use std::borrow::Cow;

use schemars::JsonSchema;
use serde::Serialize;

use crate::assign::Options;
use crate::efficiency::{rated_w, wall_w};
use crate::error::{Error, Fault, Result};
use crate::facts::{Confidence, Date, LEAST_RATING_RULE, Source};
use crate::plan::Plan;
use crate::rota::Rota;
use crate::setup::{Setup, TripSpec};
pub use bag::{Missing, Packing, PackingKind, PackingList};
pub use cautions::TripCaution;
use finding::Grounds;
pub use finding::{About, Finding, Verdict};
use link::Link;
use night::{Night, Nights, Plugging, Sources, all_counts, has, plugging};
use pack::{Needs, Packed, pack};
use site::Site;
use thing::{Answer, Role, Thing};
use verdict::{Chosen, Words, converted_ways, plain_ways};

/// A trip answered, as data. Serialises to the trip document.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Trip {
    /// Version of the document's form.
    pub version: u32,
    /// The stops, in the order of the route.
    pub stops: Vec<TripStop>,
    /// What the rules of the air say of the batteries.
    pub air: Vec<Finding>,
    /// What to take, and what to leave at home.
    pub bag: PackingList,
    /// What to keep in mind, each once.
    pub cautions: Vec<TripCaution>,
}

/// One stop of a trip.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct TripStop {
    /// Its name.
    pub name: String,
    /// The country's English name, or its code where it is not known.
    pub country: String,
    /// The nominal voltages there, in volts.
    pub voltages_v: Vec<f64>,
    /// The frequencies there, in hertz.
    pub frequencies_hz: Vec<f64>,
    /// The sockets there, by letter.
    pub sockets: Vec<String>,
    /// Nights spent there.
    pub nights: u32,
    /// What was found of every charger, adapter with ports and appliance.
    pub findings: Vec<Finding>,
    /// The chargers, and adapters with ports, that are plugged in at night.
    pub plugged_in: Vec<String>,
    /// The outlets that they take.
    pub outlets_used: u32,
    /// The night's plan with them; absent where no night is spent, or where it is a rota.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<Plan>,
    /// The night's rota with them, where the setup has sessions and the stop no `session_h`
    /// of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rota: Option<Rota>,
}

/// The law behind what a charger draws at least.
const EFFICIENCY_LAW: Source = Source {
    title: "Commission Regulation (EU) 2019/1782, Annex II: the least average efficiency",
    date: Date::Published("2019-10-01"),
    confidence: Confidence::Read,
};

/// What can be plugged in where, what may fly, and what to take, with the default
/// [`Options`].
///
/// ```
/// use wattberth::{
///     Adapter, Cable, Charger, Device, Port, SetupDocument, Stop, TripDocument, Verdict, trip,
/// };
///
/// let setup = SetupDocument::new()
///     .charger(Charger::new("cube").port(Port::pd("C1", 45.0)).mains("C", "100-240V 50/60Hz"))
///     .cable(Cable::c_to_c("braided"))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
///     .trip(
///         TripDocument::new()
///             .stop(Stop::new("Edinburgh", "GB"))
///             .adapter(Adapter::new("to the UK", ["C", "EF"], ["G"])),
///     )
///     .check()?;
/// let answer = trip(&setup)?;
/// let cube = &answer.stops[0].findings[0];
/// assert_eq!((cube.thing.as_str(), cube.verdict), ("cube", Verdict::Adapter));
/// assert_eq!(answer.bag.take[0].thing, "to the UK");
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] where the setup has no `trip`; those of [`assign`](crate::assign()).
pub fn trip(setup: &Setup) -> Result<Trip> {
    trip_with(setup, &Options::default())
}

/// As [`trip`], within limits for each plan of a night.
///
/// # Errors
/// As [`trip`]; [`Error::Options`] where an option is outside its range.
pub fn trip_with(setup: &Setup, options: &Options) -> Result<Trip> {
    options.check()?;
    let Some(spec) = &setup.trip else {
        return Err(Error::Input(vec![Fault {
            path: "trip".to_owned(),
            message: "the setup has no `trip`: where it goes, and with what".to_owned(),
            ..Fault::default()
        }]));
    };
    let sites: Vec<Site<'_>> = spec.stops.iter().map(Site::of).collect();
    let sources = Thing::sources(&setup.chargers, spec);
    let appliances: Vec<Thing<'_>> = spec.appliances.iter().map(Thing::appliance).collect();
    let mut stays: Vec<Stay<'_>> = sites
        .iter()
        .map(|site| Stay::of(site, &sources, &appliances, spec))
        .collect();
    let ports_alone = settle_nights(setup, spec, &sources, &mut stays, options)?;
    let packed = {
        let needs: Vec<Needs<'_>> = stays.iter().map(Stay::needs).collect();
        pack(&needs, spec)?
    };
    for (stay, &night) in stays.iter_mut().zip(&packed.nights) {
        stay.nights.truncate(night + 1);
        stay.night = stay.nights.pop();
    }
    let ground = Ground {
        trip: spec,
        packed,
        ports_alone,
    };
    for stay in &mut stays {
        stay.find(setup, &ground);
    }
    let bag = bag::bag(setup, &ground, &stays);
    let air = air::air(spec);
    let cautions = cautions::of(spec, &ground.packed, &stays);
    Ok(Trip {
        version: 1,
        stops: stays.into_iter().map(Stay::told).collect(),
        air,
        bag,
        cautions,
    })
}

/// Settles each night. Whether the USB ports of adapters alone serve all devices in time
/// at every stop: then the chargers stay at home, and these are the nights without them.
fn settle_nights(
    setup: &Setup,
    spec: &TripSpec,
    sources: &[Thing<'_>],
    stays: &mut [Stay<'_>],
    options: &Options,
) -> Result<bool> {
    let specs = sources.iter().filter_map(|thing| match thing.role {
        Role::Charger(charger) | Role::Ports(_, charger) => Some(charger),
        Role::Appliance(_) => None,
    });
    let mut nights = Nights::new(setup, specs.collect(), options);
    let mut ports = 0;
    for (i, thing) in sources.iter().enumerate() {
        if matches!(thing.role, Role::Ports(..)) {
            ports |= 1 << i;
        }
    }
    let all: Sources = (1 << sources.len()) - 1;
    for stay in stays.iter_mut().filter(|stay| stay.site.stop.nights > 0) {
        let site = stay.site;
        stay.nights = nights.best(all, &stay.sources, site, spec)?;
        stay.with_all = stay.nights.first().cloned();
        if ports != 0 {
            stay.with_ports = nights.best(ports, &stay.sources, site, spec)?;
        }
    }
    let spent = || stays.iter().filter(|stay| !stay.nights.is_empty());
    let enough = |stay: &Stay<'_>| stay.with_ports.first().is_some_and(Night::serves_all);
    let ports_alone = ports != all && spent().count() > 0 && spent().all(enough);
    if ports_alone {
        for stay in stays {
            stay.nights.clone_from(&stay.with_ports);
        }
    }
    Ok(ports_alone)
}

/// What all stops share once the bag is packed.
struct Ground<'a> {
    trip: &'a TripSpec,
    packed: Packed,
    /// Whether the chargers stay at home.
    ports_alone: bool,
}

/// A stop while it is worked out.
struct Stay<'a> {
    site: &'a Site<'a>,
    sources: Vec<Answer<'a>>,
    appliances: Vec<Answer<'a>>,
    /// The best nights, before it is known what is taken; then the one that is spent.
    nights: Vec<Night>,
    night: Option<Night>,
    /// With the USB ports of adapters alone, where there are any.
    with_ports: Vec<Night>,
    /// With everything that can be plugged in.
    with_all: Option<Night>,
    plugging: Option<Plugging>,
    findings: Vec<Finding>,
}

impl<'a> Stay<'a> {
    fn of(
        site: &'a Site<'a>,
        sources: &'a [Thing<'a>],
        appliances: &'a [Thing<'a>],
        spec: &TripSpec,
    ) -> Self {
        let answers = |things: &'a [Thing<'a>]| -> Vec<Answer<'a>> {
            things
                .iter()
                .map(|thing| Answer::of(thing, site, spec))
                .collect()
        };
        Self {
            site,
            sources: answers(sources),
            appliances: answers(appliances),
            nights: Vec::new(),
            night: None,
            with_ports: Vec::new(),
            with_all: None,
            plugging: None,
            findings: Vec::new(),
        }
    }

    fn used(&self) -> Sources {
        self.night.as_ref().map_or(0, |night| night.used)
    }

    fn needs(&self) -> Needs<'_> {
        let mut appliances = Vec::with_capacity(self.appliances.len() * 2);
        for answer in &self.appliances {
            appliances.push(plain_ways(answer));
            appliances.push(converted_ways(answer));
        }
        Needs {
            site: self.site,
            sources: &self.sources,
            nights: self.nights.iter().map(|night| night.used).collect(),
            appliances,
        }
    }

    /// Puts everything into words, now that it is known what is taken.
    fn find(&mut self, setup: &Setup, ground: &Ground<'_>) {
        let plugging = ground
            .packed
            .plugging(self.used(), &self.needs(), ground.trip);
        let mut findings = Vec::new();
        for (i, answer) in self.sources.iter().enumerate() {
            let at_night = self.night_link(i, plugging.as_ref());
            let chosen = Chosen {
                link: self.source_link(answer, at_night, &ground.packed),
                converted: None,
            };
            let words = self.words(answer, chosen, ground.trip);
            findings.extend(words.findings());
            if let Some(night) = &self.night {
                findings.push(self.at_night(i, night, at_night, ground));
                findings.extend(self.draw(i, night));
            }
        }
        findings.extend(self.alone(ground));
        for answer in &self.appliances {
            let chosen = Chosen::of(answer, &ground.packed);
            findings.extend(self.words(answer, chosen, ground.trip).findings());
        }
        // The label of a charger that stays at home everywhere matters at no stop.
        if ground.ports_alone {
            findings.retain(|found| !setup.charger_names().any(|name| name == found.thing));
        }
        self.plugging = plugging;
        self.findings = findings;
    }

    fn words<'w>(
        &'w self,
        answer: &'w Answer<'w>,
        chosen: Chosen<'w>,
        trip: &'w TripSpec,
    ) -> Words<'w> {
        Words {
            answer,
            site: self.site,
            trip,
            chosen,
        }
    }

    /// The way of a charger at night: where outlets are few it may go through an adapter
    /// though it goes in straight, too.
    fn night_link(&self, source: usize, plugging: Option<&Plugging>) -> Option<&Link> {
        let through = plugging.and_then(|plugging| plugging.of(source))?;
        self.sources[source]
            .usable()
            .find(|link| link.adapter == through)
    }

    /// The way of a charger: straight, else as at night, else with what is taken, else the
    /// first there is.
    fn source_link<'l>(
        &self,
        answer: &'l Answer<'_>,
        at_night: Option<&'l Link>,
        packed: &Packed,
    ) -> Option<&'l Link> {
        let straight = |link: &&Link| link.adapter.is_none();
        let taken = |link: &&Link| link.adapter.is_none_or(|at| packed.adapters[at] > 0);
        let first = answer.usable().find(straight).or(at_night);
        first
            .or_else(|| answer.usable().find(taken))
            .or_else(|| answer.usable().next())
    }

    fn at_night(
        &self,
        source: usize,
        night: &Night,
        link: Option<&Link>,
        ground: &Ground<'_>,
    ) -> Finding {
        let answer = &self.sources[source];
        let name = answer.thing.name;
        let grounds = self.grounds(link);
        let about = About::Night;
        if has(night.used, source) {
            let berths = night.plan.berths.iter();
            let devices = berths.filter(|berth| berth.charger == name).count();
            let through = link.and_then(|link| link.adapter);
            let through =
                through.map(|at| format!(" through \"{}\"", ground.trip.adapters[at].name));
            let reason = format!(
                "plugged in{}, with {} on it",
                through.unwrap_or_default(),
                counted(devices, "device")
            );
            let with = link.and_then(|link| link.adapter);
            let with = with.map(|at| ground.trip.adapters[at].name.clone());
            return grounds
                .find(name, about, Verdict::Fine, reason)
                .through(with);
        }
        if !answer.is_plain() {
            let reason = "not plugged in: see its plug and its voltage";
            return grounds.find(name, about, Verdict::No, reason);
        }
        let beside = night.used | 1 << source;
        let counts = all_counts(ground.trip);
        let fits = plugging(beside, &self.sources, self.site, ground.trip, &counts).is_some();
        let (verdict, reason) = if fits {
            (
                Verdict::Fine,
                "not plugged in: the night is as good without it".to_owned(),
            )
        } else {
            let outlets = self.site.stop.outlets.map_or(String::new(), |outlets| {
                format!("{} and ", counted_u32(outlets, "outlet"))
            });
            let reason = format!(
                "not plugged in: {outlets}the adapters do not reach for it beside the others"
            );
            (Verdict::Caution, reason)
        };
        grounds.find(name, about, verdict, reason)
    }

    /// What it draws at night, by the plan; and at worst, by its label.
    fn draw(&self, source: usize, night: &Night) -> Option<Finding> {
        if !has(night.used, source) {
            return None;
        }
        let thing = self.sources[source].thing;
        let (Role::Charger(charger) | Role::Ports(_, charger)) = thing.role else {
            return None;
        };
        let output = night.most_at_once(|berth| {
            let here = berth.charger == charger.name;
            if here { berth.port_w } else { 0.0 }
        });
        let wall = wall_w(charger, output);
        let volts = *self.site.volts.first()?;
        let worst = rated_w(charger);
        let tenth = |value: f64| (value * 10.0).round() / 10.0;
        let two = |value: f64| (value * 100.0).round() / 100.0;
        let reason = format!(
            "gives {} W by the plan and draws about {} W for it, {} A at {volts} V; at worst {} W \
             by its label, {} W from the wall, {} A",
            tenth(output),
            tenth(wall),
            two(wall / volts),
            tenth(worst),
            tenth(thing.most_w),
            two(thing.amps(volts)),
        );
        let grounds = Grounds::of(EFFICIENCY_LAW).with(&self.site.of_volts);
        Some(grounds.find(thing.name, About::Draw, Verdict::Fine, reason))
    }

    /// Whether the USB ports of the adapters alone are enough.
    fn alone(&self, ground: &Ground<'_>) -> Option<Finding> {
        let ports = self.with_ports.first()?;
        let all = self.with_all.as_ref()?;
        let names: Vec<&str> = self
            .sources
            .iter()
            .filter(|answer| matches!(answer.thing.role, Role::Ports(..)))
            .map(|answer| answer.thing.name)
            .collect();
        if names.len() == self.sources.len() {
            return None;
        }
        let time = |night: &Night| crate::report::quantity::time(night.plan.longest_h);
        let (verdict, reason) = if ports.serves_all() {
            let stay = if ground.ports_alone {
                "stay at home"
            } else {
                "can stay packed here"
            };
            let reason = format!(
                "its USB ports alone are enough: all full after {}, with the chargers after {}; \
                 the chargers {stay}",
                time(ports),
                time(all)
            );
            (Verdict::Fine, reason)
        } else {
            let plan = &ports.plan;
            let reason = format!(
                "its USB ports alone are not enough: {} without a berth, {} late",
                plan.unserved, plan.late
            );
            (Verdict::No, reason)
        };
        let grounds = self.grounds(None);
        Some(grounds.find(&names.join(", "), About::PortsAlone, verdict, reason))
    }

    /// What an answer about the night rests on beside the setup.
    fn grounds(&self, link: Option<&Link>) -> Grounds {
        let mut grounds = Grounds::of(LEAST_RATING_RULE).with(&self.site.of_sockets);
        for contact in link.iter().flat_map(|link| &link.contacts) {
            grounds = grounds.and(contact.fit.source);
        }
        grounds.and_said("its labels, and the plan worked out from them")
    }

    /// The things that go through something of that name at this stop.
    fn through(&self, name: &str) -> Vec<String> {
        let appliance = |thing: &str| self.appliances.iter().any(|a| a.thing.name == thing);
        let in_use = |found: &&Finding| {
            let about = if appliance(&found.thing) {
                About::Use
            } else {
                About::Night
            };
            found.about == about && found.with.iter().any(|with| with == name)
        };
        let found = self.findings.iter().filter(in_use);
        found.map(|found| found.thing.clone()).collect()
    }

    /// Whether the adapter's USB ports are in use at night.
    fn charges_with_adapter(&self, adapter: usize) -> bool {
        self.sources.iter().enumerate().any(|(i, answer)| {
            matches!(answer.thing.role, Role::Ports(at, _) if at == adapter) && has(self.used(), i)
        })
    }

    /// What the findings of a thing come to.
    fn in_use(&self, thing: &str) -> Option<&Finding> {
        let mut findings = self.findings.iter();
        findings.find(|found| found.about == About::Use && found.thing == thing)
    }

    fn told(self) -> TripStop {
        let site = self.site;
        let used = self.used();
        let sources = self.sources.iter().enumerate();
        let (plan, rota) = match self.night {
            None => (None, None),
            Some(Night {
                rota: Some(rota), ..
            }) => (None, Some(rota)),
            Some(Night { plan, .. }) => (Some(plan), None),
        };
        TripStop {
            name: site.stop.name.clone(),
            country: site.country().to_owned(),
            voltages_v: site.volts.clone(),
            frequencies_hz: site.hertz.clone(),
            sockets: site
                .sockets
                .iter()
                .map(|socket| socket.letter().to_owned())
                .collect(),
            nights: site.stop.nights,
            plugged_in: sources
                .filter(|(i, _)| has(used, *i))
                .map(|(_, answer)| answer.thing.name.to_owned())
                .collect(),
            outlets_used: self
                .plugging
                .as_ref()
                .map_or(0, |plugging| plugging.outlets),
            findings: self.findings,
            plan,
            rota,
        }
    }
}

impl TripStop {
    /// The night's plan; of a rota, what it is without its sessions.
    pub fn night(&self) -> Option<Cow<'_, Plan>> {
        let rota = self
            .rota
            .as_ref()
            .map(|rota| Cow::Owned(rota.without_sessions()));
        self.plan.as_ref().map(Cow::Borrowed).or(rota)
    }
}

impl Trip {
    /// Whether every night serves all devices in time, every appliance has its way at every
    /// stop, and every battery may fly.
    pub fn all_served(&self) -> bool {
        let mut nights = self.stops.iter().filter_map(TripStop::night);
        nights.all(|plan| plan.unserved == 0 && plan.late == 0)
            && self.bag.missing.is_empty()
            && self.air.iter().all(|found| found.verdict != Verdict::No)
    }
}

/// `1 device`, `3 devices`.
fn counted(count: usize, what: &str) -> String {
    if count == 1 {
        format!("1 {what}")
    } else {
        format!("{count} {what}s")
    }
}

fn counted_u32(count: u32, what: &str) -> String {
    counted(usize::try_from(count).unwrap_or(usize::MAX), what)
}
