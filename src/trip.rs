//! A trip: will it plug in there, and may it fly?
//!
//! Stop by stop, every charger and appliance against the mains of the place (`thing.rs`,
//! `link.rs`), with its findings in words (`verdict.rs`); each night's plan with the
//! chargers that go into the outlets at the same time (`night.rs`); the batteries against
//! the rules of the air (`air.rs`); and the bag: the fewest adapters, as an integer
//! program (`pack.rs`), and what else is used or stays at home (`bag.rs`). What is known
//! of countries, plugs and rules are [`facts`](crate::facts).

mod adapters;
mod air;
pub(crate) mod bag;
mod cables;
mod cautions;
mod chosen;
mod finding;
mod home;
mod link;
mod night;
mod other_nights;
mod pack;
pub(crate) mod shopping;
mod site;
mod stay;
mod thing;
mod verdict;

use std::borrow::Cow;
use std::rc::Rc;

use crate::json::document;
use serde::{Deserialize, Serialize};

use crate::diagnostics::{Error, Fault, Result};
use crate::plan::Plan;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::plan::rota::{Rota, plan_of};
use crate::setup::{Setup, TripSpec};
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
pub use adapters::{AdapterNeed, SocketWay, SocketWays};
pub use bag::{Missing, Packing, PackingCosts, PackingKind, PackingList};
pub use cautions::TripCaution;
pub use finding::{About, Finding, Verdict};
use night::{Night, Nights, Sources};
use pack::{Packed, pack};
use site::Site;
use stay::Stay;
use thing::{Answer, Role, Thing};

/// A trip answered, as data. Serialises to the trip document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Trip {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// The adapters that are needed, stop by stop, by letter: those of the bag, and those
    /// that are missing. A stop that needs none is not among them.
    pub adapters: Vec<AdapterNeed>,
    /// The plugs that were asked about by themselves.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plugs: Vec<String>,
    /// The stops, in the order of the route.
    pub stops: Vec<TripStop>,
    /// What the rules of the air say of the batteries.
    pub air: Vec<Finding>,
    /// What to take, and what to leave at home.
    pub bag: PackingList,
    /// What to keep in mind, each once.
    pub cautions: Vec<TripCaution>,
}

document!(Trip, "document that `trip` gives", trip_schema);

/// One stop of a trip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// The kinds of sockets there: a letter may stand for several, such as `L10` and `L16`.
    pub socket_kinds: Vec<String>,
    /// Nights spent there.
    pub nights: u32,
    /// What was found of every charger, adapter with ports and appliance.
    pub findings: Vec<Finding>,
    /// By kind of socket, where there are several and a thing goes into one of them and not
    /// into another, or otherwise; empty where one way serves them all.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub by_socket: Vec<SocketWays>,
    /// The chargers, and adapters with ports, that are plugged in at night.
    pub plugged_in: Vec<String>,
    /// The outlets that they take.
    pub outlets_used: u32,
    /// Sets of these, and of others, that were not planned before a limit struck: one of
    /// them may be better, or do with fewer.
    pub sets_untried: usize,
    /// The night's plan with them; absent where no night is spent, or where it is a rota.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<Plan>,
    /// The night's rota with them, where the setup has sessions and the stop no `session_h`
    /// of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rota: Option<Rota>,
    /// Where not everything is charged every night: every night there, those on which the
    /// same is charged together. The first is the one whose plan or rota stands above.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub calendar: Vec<TripNight>,
}

/// Nights at a stop on which the same is charged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TripNight {
    /// The nights, counted from 1 through the whole route.
    pub nights: Vec<u32>,
    /// What is charged then beside the things of every night.
    pub devices: Vec<String>,
    /// The chargers, and adapters with ports, that are plugged in.
    pub plugged_in: Vec<String>,
    /// The plan; absent where it is a rota.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<Plan>,
    /// The rota, where the setup has sessions and the stop no `session_h` of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rota: Option<Rota>,
}

/// What can be plugged in where, what may fly, and what to take, with the default
/// [`SolveOptions`].
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
    trip_with(setup, &SolveOptions::default())
}

/// As [`trip`], within limits for all of it ([`SolveOptions`]).
///
/// # Errors
/// As [`trip`]; [`Error::Options`] where an option is outside its range.
pub fn trip_with(setup: &Setup, options: &SolveOptions) -> Result<Trip> {
    options.check()?;
    let (mut budget, wanted) = options.begin();
    trip_within(setup, wanted, &mut budget)
}

/// As [`trip_with`], as a part of a call.
pub(crate) fn trip_within(setup: &Setup, wanted: Wanted, budget: &mut Budget) -> Result<Trip> {
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
    let plugs: Vec<Thing<'_>> = spec.plugs.iter().map(Thing::plug).collect();
    let mut stays: Vec<Stay<'_>> = sites
        .iter()
        .map(|site| Stay::of(site, &sources, &appliances, &plugs, spec))
        .collect();
    for stay in &mut stays {
        stay.bare = setup.devices.is_empty();
    }
    let chargers = sources.iter().filter_map(|thing| match thing.role {
        Role::Charger(charger) | Role::Ports(_, charger) => Some(charger),
        Role::Appliance(_) | Role::Plug => None,
    });
    let nights = Nights::new(setup, chargers.collect(), wanted);
    // A part is kept for the adapters.
    let ports_alone = budget.share(2, |part| {
        settle_nights(setup, nights, spec, &sources, &mut stays, part)
    })?;
    let packed = {
        let needs = other_nights::all_needs(&stays);
        budget.share(PARTS_FOR_ADAPTERS, |part| pack(&needs, spec, part))?
    };
    let (packed, costs) = budget.share(PARTS_FOR_ADAPTERS, |part| {
        home::settle(&mut stays, packed, spec, part)
    })?;
    let mut chosen = packed.nights.iter().copied();
    let taken = |nights: &mut Vec<Rc<Night>>, chosen: Option<usize>| {
        nights.truncate(chosen? + 1);
        nights.pop()
    };
    for stay in &mut stays {
        stay.night = taken(&mut stay.nights, chosen.next());
    }
    for other in stays.iter_mut().flat_map(|stay| &mut stay.others) {
        other.night = taken(&mut other.nights, chosen.next());
    }
    let ground = Ground {
        trip: spec,
        packed,
        ports_alone,
        costs,
    };
    for stay in &mut stays {
        stay.find(setup, &ground);
    }
    let adapters = stays.iter().flat_map(|stay| adapters::needs(stay, &ground));
    let adapters: Vec<AdapterNeed> = adapters.collect();
    let bag = bag::bag(setup, &ground, &stays, &adapters);
    let air = air::air(spec);
    let cautions = cautions::of(spec, &ground.packed, &stays);
    Ok(Trip {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        adapters,
        plugs: spec.plugs.iter().map(ToString::to_string).collect(),
        stops: stays.into_iter().map(|stay| stay.told(setup)).collect(),
        air,
        bag,
        cautions,
    })
}

/// The adapters get one of so many parts of what the nights leave: a second or two, since
/// the engine hears no flag.
const PARTS_FOR_ADAPTERS: usize = 4;

/// Settles each night. Whether the USB ports of adapters alone serve all devices in time
/// at every stop: then the chargers stay at home, and these are the nights without them.
fn settle_nights(
    setup: &Setup,
    mut nights: Nights<'_>,
    spec: &TripSpec,
    sources: &[Thing<'_>],
    stays: &mut [Stay<'_>],
    budget: &mut Budget,
) -> Result<bool> {
    let mut ports = 0;
    for (i, thing) in sources.iter().enumerate() {
        if matches!(thing.role, Role::Ports(..)) {
            ports |= 1 << i;
        }
    }
    let all: Sources = (1 << sources.len()) - 1;
    let now = setup.not_every_night();
    if !now.is_empty() {
        let (kinds, found) = budget.share(2, |part| {
            other_nights::calendar(&mut nights, &now, stays, spec, all, part)
        })?;
        other_nights::share_out(stays, &kinds, &now, &found.first);
    }
    let each = 1 + usize::from(ports != 0 && ports != all);
    let spent = stays.iter().filter(|stay| stay.has_night());
    let mut questions = each * spent.map(|stay| 1 + stay.others.len()).sum::<usize>();
    for stay in stays.iter_mut().filter(|stay| stay.has_night()) {
        let site = stay.site;
        let mut best = |among: Sources, charged: &[usize], answers: &[Answer<'_>]| {
            let parts = questions;
            questions -= 1;
            budget.share(parts, |part| {
                nights.best(among, charged, answers, site, spec, part)
            })
        };
        for other in &mut stay.others {
            let with_all = best(all, &other.charged, &stay.sources)?;
            stay.sets_untried += with_all.sets_untried;
            other.nights = with_all.nights;
            if ports == all {
                other.with_ports.clone_from(&other.nights);
            } else if ports != 0 {
                other.with_ports = best(ports, &other.charged, &stay.sources)?.nights;
            }
        }
        let with_all = best(all, &stay.charged, &stay.sources)?;
        stay.sets_untried += with_all.sets_untried;
        stay.nights = with_all.nights;
        stay.with_all = stay.nights.first().cloned();
        if ports == all {
            stay.with_ports.clone_from(&stay.nights);
        } else if ports != 0 {
            stay.with_ports = best(ports, &stay.charged, &stay.sources)?.nights;
        }
    }
    let spent = || stays.iter().filter(|stay| !stay.nights.is_empty());
    let serves = |nights: &[Rc<Night>]| nights.first().is_some_and(|night| night.serves_all());
    let enough = |stay: &Stay<'_>| {
        serves(&stay.with_ports) && stay.others.iter().all(|other| serves(&other.with_ports))
    };
    let ports_alone = ports != all && spent().count() > 0 && spent().all(enough);
    if ports_alone {
        for stay in stays {
            stay.nights.clone_from(&stay.with_ports);
            for other in &mut stay.others {
                other.nights.clone_from(&other.with_ports);
            }
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
    /// By appliance, what taking it adds to the bag.
    costs: Vec<home::Cost>,
}

impl Ground<'_> {
    /// Whether it is a charger that stays at home for the ports of the adapters.
    fn stays_at_home(&self, answer: &Answer<'_>) -> bool {
        self.ports_alone && matches!(answer.thing.role, Role::Charger(_))
    }
}

impl TripStop {
    /// The night's plan; of a rota, what it is without its sessions.
    pub fn night(&self) -> Option<Cow<'_, Plan>> {
        plan_of(self.plan.as_ref(), self.rota.as_ref())
    }
}

impl TripNight {
    /// The night's plan; of a rota, what it is without its sessions.
    pub fn night(&self) -> Option<Cow<'_, Plan>> {
        plan_of(self.plan.as_ref(), self.rota.as_ref())
    }
}

impl Trip {
    /// The plans of the nights that are not told first at their stop.
    fn other_nights(&self) -> impl Iterator<Item = Cow<'_, Plan>> {
        let all = self.stops.iter().flat_map(|stop| &stop.calendar);
        all.filter_map(TripNight::night)
    }

    /// Whether every night serves all devices in time, every appliance has its way at every
    /// stop, and every battery may fly.
    pub fn all_served(&self) -> bool {
        let mut nights = self.stops.iter().filter_map(TripStop::night);
        nights.all(|plan| plan.serves_all())
            && self.other_nights().all(|plan| plan.serves_all())
            && self.bag.missing.is_empty()
            && self.air.iter().all(|found| found.verdict != Verdict::No)
    }
}
