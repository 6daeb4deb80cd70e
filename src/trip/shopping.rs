//! What to buy and what to take, for the whole route: the least bag with which every night
//! goes as well as it can with anything that is owned or for sale, as promised.
//!
//! Chargers by branch and bound over kits (`kits.rs`), with what every bag needs as the
//! bound (`bounds.rs`); what goes with a kit, adapters, converters, cables and who charges on
//! which night, in the order of what they are worth (`pieces.rs`), each choice held against
//! every night (`rest.rs`, `oracle.rs`); the bags that nothing beats (`unbeaten.rs`); and the
//! answer (`answer.rs`, `contents.rs`, `costs.rs`), for which the bag is planned once more
//! like any other (`own_setup.rs`).

mod answer;
mod bounds;
mod contents;
mod costs;
mod given_up;
mod goods;
mod kits;
mod oracle;
mod own_setup;
mod pieces;
mod places;
mod rest;
mod sorts;
mod unbeaten;

use serde::{Deserialize, Serialize};

use super::Trip;
use super::bag::PackingKind;
use super::thing::Thing;
use crate::assign::counts::Counts;
use crate::decide::calendar::nights::{self, Kind, Now};
use crate::decide::calendar::{CalendarDevice, CalendarNight};
use crate::diagnostics::{Error, Fault, Result};
use crate::json::document;
use crate::plan::Status;
use crate::plan::origin::Program;
use crate::setup::document::fields::words;
use crate::setup::{Setup, TripSpec};
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, setters};
use bounds::Needs;
use goods::Goods;
use kits::{Found, Search};
use oracle::Oracle;
use places::{Place, places, plugs, usable};
use rest::{Ground, Most};

pub use sorts::{ChargeWith, OtherSort};

words! {
    /// What a bag is to have least of; the other two follow, in the order of this list.
    #[derive(PartialOrd, Ord, Default)]
    #[non_exhaustive]
    pub enum PackBy {
        /// Grams.
        #[default]
        Weight = "weight",
        /// What is bought.
        Price = "price",
        /// How many things they are.
        Pieces = "pieces",
    }
}

/// How [`pack_with`] goes about a bag.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct PackOptions {
    /// The limits of the whole call, [`PackOptions::DEFAULT_BUDGET`] by default.
    pub search: SolveOptions,
    /// What the bag is to have least of.
    pub by: PackBy,
    /// Whether the bags that nothing beats are looked for, too; they are by default.
    pub unbeaten: bool,
    /// Whether it is asked what each thing costs the bag; it is by default.
    pub costs: bool,
}

setters!(PackOptions:
    set search: SolveOptions,
    set by: PackBy,
    set unbeaten: bool,
    set costs: bool,
);

impl PackOptions {
    /// The budget where none is given: many bags are tried.
    pub const DEFAULT_BUDGET: u64 = 2 * SolveOptions::DEFAULT_BUDGET;
}

impl Default for PackOptions {
    fn default() -> Self {
        Self {
            search: SolveOptions {
                budget: Self::DEFAULT_BUDGET,
                ..SolveOptions::default()
            },
            by: PackBy::default(),
            unbeaten: true,
            costs: true,
        }
    }
}

/// What to buy and what to take, as data. Serialises to the pack document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Luggage {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults as they were read, white space aside.
    pub setup_sha256: String,
    /// What the bag has least of.
    pub by: PackBy,
    /// What to buy.
    pub buy: Vec<Piece>,
    /// What of one's own to take.
    pub take: Vec<Piece>,
    /// What of one's own stays at home.
    pub leave: Vec<Piece>,
    /// What the bag comes to.
    pub bag: BagWorth,
    /// Nights that a device that is charged then is without a berth, over the whole route,
    /// by priority: 1, 2, 3. No bag has fewer where `status` is optimal.
    pub unserved_nights: [u32; 3],
    /// The same of devices that are late, as promised.
    pub late_nights: [u32; 3],
    /// Whether no bag serves better, nor as well for less.
    pub status: Status,
    /// Of what the bag is to have least, the least that any bag has as far as that is
    /// proven, in its unit: the bag's own where `status` is optimal.
    pub bound: f64,
    /// What each device and appliance costs the bag, where something would be saved without
    /// it or nobody knows; those that are left at home: what they would cost.
    pub costs: Vec<ThingCost>,
    /// The bags that no other beats in all of weight, price, pieces and the longest time.
    pub unbeaten: Vec<BagWorth>,
    /// Whether these are all of them.
    pub unbeaten_complete: bool,
    /// Where there are both chargers and adapters with ports of their own: the least bag
    /// with each of the two alone, but for the one that the bag is.
    pub other_sorts: Vec<OtherSort>,
    /// The things that are not charged every night, with their nights.
    pub calendar: Vec<CalendarDevice>,
    /// Without a trip: the nights, those with one plan together.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub nights: Vec<CalendarNight>,
    /// The trip with this bag.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trip: Option<Trip>,
    /// What to keep in mind of the answer.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

document!(Luggage, "document that `pack` gives", pack_schema);

/// What is bought, taken or left, alike things together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Piece {
    /// Its name.
    pub thing: String,
    /// What it is.
    pub kind: PackingKind,
    /// How many.
    pub count: u32,
    /// Grams of one; absent where nobody said it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<f64>,
    /// Price of one, where it is bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// Why it stays at home, where that is to be said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// What a bag comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BagWorth {
    /// What is in it, by name: `2 × C-C 60 W 1 m`.
    pub things: Vec<String>,
    /// Grams of all chargers, cables, adapters and converters; what nobody weighed counts
    /// nothing.
    pub weight_g: f64,
    /// The price of what is bought.
    pub price: f64,
    /// Chargers, cables, adapters and converters.
    pub pieces: u32,
    /// The longest time to full of its worst night by the setup's aim, in hours; infinite,
    /// in a document null, where it is never.
    #[serde(deserialize_with = "crate::json::hours::or_never")]
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::hours_or_never")
    )]
    pub longest_h: f64,
}

/// What a device or an appliance costs the bag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ThingCost {
    /// Its name; of several that are alike, that of all: `score tablet 1 to 4`.
    pub thing: String,
    /// Whether it comes along; else these would be the costs.
    pub taken: bool,
    /// What the bag weighs less without it, in grams.
    pub weight_g: f64,
    /// What is to be bought for less without it.
    pub price: f64,
    /// How many pieces fewer.
    pub pieces: i64,
    /// What is not needed without it, and what is instead, each `1 × name`.
    pub spared: Vec<String>,
    /// What is needed instead.
    pub instead: Vec<String>,
    /// On how many nights of all it can be used, of an appliance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nights: Option<[u32; 2]>,
    /// Whether the difference is proven.
    pub proven: bool,
}

/// What to buy and what to take, with the default [`PackOptions`].
///
/// ```
/// use wattberth::{Cable, Charger, Device, Port, SetupDocument, Shop, pack};
///
/// let cube = |watts: f64| {
///     Charger::new(format!("cube {watts} W")).port(Port::pd("C1", watts))
/// };
/// let shop = Shop::default()
///     .charger(cube(20.0).weight_g(40.0).price(12.0))
///     .charger(cube(65.0).weight_g(110.0).price(30.0))
///     .cable(Cable::c_to_c("braided").weight_g(30.0).price(8.0));
/// let setup = SetupDocument::new()
///     .device(Device::new("laptop", 56.0).pd_w(65.0))
///     .session_h(8.0)
///     .shop(shop)
///     .check()?;
/// let luggage = pack(&setup)?;
/// let names: Vec<&str> = luggage.buy.iter().map(|piece| piece.thing.as_str()).collect();
/// assert_eq!(names, ["cube 20 W", "braided"]);
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// As [`pack_with`].
pub fn pack(setup: &Setup) -> Result<Luggage> {
    pack_with(setup, &PackOptions::default())
}

/// The least bag with which every device has its berth and is ready in time, on every night
/// at every stop, as promised: of what is owned and what the setup's shop sells. Without a
/// shop it is what of one's own to take; without a trip it is one place with nothing to
/// adapt, for the setup's `nights`.
///
/// Where not everything can be served, first as little as can be is left out. A device that
/// no charger could serve at a stop counts there whatever the bag; an appliance that can be
/// used on fewer than half of the nights stays at home, and it is said what it would cost.
/// Weights are compared in tenths of a gram, prices in hundredths. The setup's sessions are
/// left out.
///
/// # Errors
/// [`Error::Input`] where there is neither a charger nor a shop with one, or as
/// [`assign`](crate::assign()); [`Error::Options`] where an option is outside its range;
/// [`Error::Internal`] where the bag does not keep what was found of it.
pub fn pack_with(setup: &Setup, options: &PackOptions) -> Result<Luggage> {
    options.search.check()?;
    let (mut budget, _) = options.search.begin();
    let route = setup.trip.as_ref();
    let goods = Goods::of(setup, route);
    if goods.sources.is_empty() {
        return Err(Error::Input(vec![Fault {
            path: "shop".to_owned(),
            message: "there is no charger, in the bag or in the `shop`".to_owned(),
            ..Fault::default()
        }]));
    }
    let question = Question::of(setup, route, &goods)?;
    let mut ask = question.ask(options.by, &mut budget)?;
    let mut found = budget.share(2, |part| ask.best(part))?;
    if found.bag.is_none() {
        found = given_up::best(setup, route, &goods, options.by, &mut budget)?;
    }
    answer::luggage(&mut ask, options, &found, &mut budget)
}

/// The setup with all that is looked at once.
pub(crate) struct Question<'a> {
    setup: &'a Setup,
    route: Option<&'a TripSpec>,
    goods: &'a Goods,
    places: Vec<Place<'a>>,
    now: Vec<Now>,
    kinds: Vec<Kind>,
    /// By place and source, whether it can be plugged in there.
    plugs: Vec<Vec<bool>>,
    /// By appliance, the nights on which it can be used, and all.
    usable: Vec<(u32, u32)>,
}

impl<'a> Question<'a> {
    fn of(setup: &'a Setup, route: Option<&'a TripSpec>, goods: &'a Goods) -> Result<Self> {
        let now = setup.not_every_night();
        let cycle = nights::whole(&now);
        let places = places(setup, route, setup.document().nights.unwrap_or(cycle));
        let counts: Vec<u32> = places.iter().map(|place| place.nights).collect();
        let kinds = nights::kinds(&counts, &now)?;
        Ok(Self {
            setup,
            route,
            goods,
            kinds,
            plugs: places
                .iter()
                .map(|place| plugs(goods, route, place))
                .collect(),
            usable: route.map_or(Vec::new(), |route| usable(goods, route, &places)),
            places,
            now,
        })
    }

    fn ask<'q>(&'q self, by: PackBy, budget: &mut Budget) -> Result<Ask<'q, 'a>> {
        let mut ask = Ask {
            question: self,
            by,
            oracle: Oracle::new(self.setup, self.goods, &self.now),
            needs: Vec::new(),
            unhurried: Vec::new(),
            of_place: Vec::new(),
        };
        let sessions = ask.by_time(None, budget)?;
        for (needs, &session) in ask.needs.iter_mut().zip(&sessions) {
            needs.ask_together(&mut ask.oracle, session, budget)?;
        }
        ask.unhurried.clone_from(&ask.needs);
        Ok(ask)
    }

    /// The appliances that come along: each can be used on at least half of the nights.
    fn taken(&self) -> Vec<usize> {
        let often = |&at: &usize| {
            let (nights, all) = self.usable[at];
            nights > 0 && 2 * nights >= all
        };
        (0..self.usable.len()).filter(often).collect()
    }
}

/// The question while it is asked.
pub(crate) struct Ask<'q, 'a> {
    question: &'q Question<'a>,
    by: PackBy,
    oracle: Oracle<'q>,
    /// By length of the night.
    needs: Vec<Needs>,
    /// The same where nothing is wanted sooner: whom nothing can serve is told by these.
    unhurried: Vec<Needs>,
    of_place: Vec<usize>,
}

impl Ask<'_, '_> {
    /// From here on everything is to be full by then, too, in whole 1e-6 h. Gives the
    /// lengths of the nights.
    fn by_time(&mut self, by: Option<i64>, budget: &mut Budget) -> Result<Vec<Option<i64>>> {
        self.oracle.by(by);
        let mut sessions: Vec<Option<i64>> = Vec::new();
        self.of_place.clear();
        for place in &self.question.places {
            let known = sessions.iter().position(|known| *known == place.session);
            self.of_place.push(known.unwrap_or(sessions.len()));
            if known.is_none() {
                sessions.push(place.session);
            }
        }
        if by.is_none() && !self.unhurried.is_empty() {
            self.needs.clone_from(&self.unhurried);
            return Ok(sessions);
        }
        self.needs.clear();
        for (at, &session) in sessions.iter().enumerate() {
            let needs = Needs::of(&mut self.oracle, session, budget)?;
            self.needs.push(match self.unhurried.get(at) {
                Some(unhurried) => needs.with_together(unhurried),
                None => needs,
            });
        }
        Ok(sessions)
    }

    /// The least bag, with the appliances that are worth it.
    fn best(&mut self, budget: &mut Budget) -> Result<Found> {
        self.least(&self.question.taken(), Most::default(), None, budget)
    }

    /// The least bag with these appliances, within limits.
    fn least(
        &mut self,
        appliances: &[usize],
        most: Most,
        below: Option<[i64; 3]>,
        budget: &mut Budget,
    ) -> Result<Found> {
        let question = self.question;
        let route = question.route;
        let wanted = |at: &usize| route.map(|route| Thing::appliance(&route.appliances[*at]));
        let things: Vec<Thing<'_>> = appliances.iter().filter_map(wanted).collect();
        let ground = Ground {
            goods: question.goods,
            route: question.route,
            places: &question.places,
            kinds: &question.kinds,
            now: &question.now,
            appliances: &things,
            by: self.by,
        };
        let search = Search {
            ground: &ground,
            needs: &self.needs,
            of_place: &self.of_place,
            plugs: &question.plugs,
        };
        let targets = Targets::new(question, &self.unhurried, &self.of_place);
        search.least(most, below, &targets, &mut self.oracle, budget)
    }
}

/// What a night comes to at best, whatever is bought: the devices that nothing could serve.
pub(crate) struct Targets<'t> {
    setup: &'t Setup,
    needs: &'t [Needs],
    of_place: &'t [usize],
    plugs: &'t [Vec<bool>],
    now: &'t [Now],
}

impl<'t> Targets<'t> {
    fn new(question: &'t Question<'_>, needs: &'t [Needs], of_place: &'t [usize]) -> Self {
        Self {
            setup: question.setup,
            needs,
            of_place,
            plugs: &question.plugs,
            now: &question.now,
        }
    }

    fn of(&self, place: usize, charged: &[usize]) -> Counts {
        let needs = &self.needs[self.of_place[place]];
        let plugs = &self.plugs[place];
        let mut counts = Counts::default();
        for (at, device) in self.setup.devices.iter().enumerate() {
            let seldom = self.now.iter().any(|now| now.device == at);
            if !device.needs_berth() || (seldom && !charged.contains(&at)) {
                continue;
            }
            let rank = usize::from(device.priority.clamp(1, 3)) - 1;
            match needs.can_be(at, plugs) {
                (true, _) => {}
                (false, true) => counts.late[rank] += 1,
                (false, false) => counts.unserved[rank] += 1,
            }
        }
        counts
    }
}
