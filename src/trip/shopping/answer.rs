//! The answer about a bag that was found: what is bought, taken and left, the route with it,
//! and what each thing costs.

use std::collections::BTreeMap;

use super::goods::{From, Goods, Worth, bought};
use super::kits::{Bag, Found};
use super::oracle::Night;
use super::rest::Most;
use super::sorts::other_sorts;
use super::unbeaten::{Timed, by, unbeaten};
use super::{Ask, BagWorth, Luggage, PackOptions, Piece, Question, ThingCost};
use crate::assign::options::same_but_name;
use crate::decide::calendar::nights::charged;
use crate::decide::calendar::{CalendarDevice, calendar_with};
use crate::diagnostics::{Error, Result};
use crate::plan::Status;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::setup::Setup;
use crate::setup::document::SetupDocument;
use crate::solve::budget::Budget;
use crate::solve::options::SolveOptions;
use crate::trip::bag::PackingKind;
use crate::trip::{Trip, trip_with};
use crate::units::{as_float, from_millionths, millionths, rounded};

/// The answer, once a bag is found; where none serves anything it is empty.
pub(super) fn luggage(
    ask: &mut Ask<'_, '_>,
    options: &PackOptions,
    found: &Found,
    budget: &mut Budget,
) -> Result<Luggage> {
    let question = ask.question;
    let setup = question.setup;
    let empty = Bag {
        kit: Vec::new(),
        rest: question.nothing(),
        worth: Worth::default(),
    };
    let bag = found.bag.as_ref().unwrap_or(&empty);
    let appliances = if found.bag.is_some() {
        question.taken()
    } else {
        Vec::new()
    };
    let longest = longest(ask, bag, budget)?;
    let first = Timed {
        bag: bag.clone(),
        longest,
    };
    let known = found.bag.is_some() && found.proven;
    let other_sorts = if options.unbeaten && known {
        budget.share(PARTS, |part| other_sorts(ask, &appliances, bag, part))?
    } else {
        Vec::new()
    };
    let (mut all, complete) = if options.unbeaten && known {
        budget.share(2, |part| unbeaten(ask, &appliances, &first, part))?
    } else {
        (vec![first.clone()], false)
    };
    by(&mut all, options.by);
    let costs = if options.costs && known {
        budget.share(2, |part| costs(ask, &appliances, bag, part))?
    } else {
        Vec::new()
    };
    let told = question.told(bag, &appliances, budget)?;
    let mut luggage = Luggage {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        by: options.by,
        buy: question.pieces(bag, true),
        take: question.own_pieces(bag, &appliances),
        leave: question.left(bag, &appliances),
        bag: question.worth(&first),
        unserved_nights: [0; 3],
        late_nights: [0; 3],
        status: if known {
            Status::Optimal
        } else {
            Status::Feasible
        },
        bound: Question::in_unit(found.bound[0], options),
        costs,
        unbeaten: all.iter().map(|timed| question.worth(timed)).collect(),
        unbeaten_complete: complete,
        other_sorts,
        calendar: told.calendar,
        nights: told.nights,
        trip: told.trip,
        cautions: question.cautions(),
    };
    count(&mut luggage, setup);
    if known && (luggage.unserved_nights, luggage.late_nights) != question.expected(ask, bag) {
        return Err(Error::Internal {
            message: "the bag that was found does not serve as it should".to_owned(),
        });
    }
    Ok(luggage)
}

/// The nights, as they are told.
struct Told {
    calendar: Vec<CalendarDevice>,
    nights: Vec<crate::decide::calendar::CalendarNight>,
    trip: Option<Trip>,
}

/// Counts the nights on which a device is without a berth or late.
fn count(luggage: &mut Luggage, setup: &Setup) {
    let mut all: Vec<(usize, crate::plan::Plan)> = Vec::new();
    for stop in luggage.trip.iter().flat_map(|trip| &trip.stops) {
        if stop.calendar.is_empty() {
            let nights = usize::try_from(stop.nights).unwrap_or(usize::MAX);
            all.extend(stop.night().map(|plan| (nights, plan.into_owned())));
        }
        for night in &stop.calendar {
            let plan = night.night();
            all.extend(plan.map(|plan| (night.nights.len(), plan.into_owned())));
        }
    }
    for night in &luggage.nights {
        let plan = night.night();
        all.extend(plan.map(|plan| (night.nights.len(), plan.into_owned())));
    }
    for (nights, plan) in all {
        let nights = u32::try_from(nights).unwrap_or(u32::MAX);
        let value = crate::plan::objective::ObjectiveValue::of(setup, &plan);
        for rank in 0..3 {
            let times = |count: usize| u32::try_from(count).unwrap_or(u32::MAX) * nights;
            luggage.unserved_nights[rank] += times(value.unserved_by_priority[rank]);
            luggage.late_nights[rank] += times(value.late_by_priority[rank]);
        }
    }
}

/// The longest time of the worst night with a bag, in whole 1e-6 h: the least that there is
/// each night.
pub(super) fn longest(ask: &mut Ask<'_, '_>, bag: &Bag, budget: &mut Budget) -> Result<i64> {
    use crate::assign::assign_within;
    use crate::solve::levels::Level;
    use crate::solve::options::Wanted;

    let question = ask.question;
    let wanted = Wanted {
        until: Level::Longest,
        reshared: false,
    };
    let mut known: BTreeMap<(Vec<usize>, Night), i64> = BTreeMap::new();
    let mut worst = 0;
    for kind in &question.kinds {
        let night = Night {
            session: question.places[kind.stop].session,
            charged: charged(kind, &question.now, &bag.rest.first),
        };
        let mut least = i64::MAX / 4;
        for set in bag.rest.sets.get(kind.stop).into_iter().flatten() {
            let key = (set.clone(), night.clone());
            let longest = if let Some(&known) = known.get(&key) {
                known
            } else {
                let mut setup = ask.oracle.setup_of(set, &night, &bag.rest.cables);
                setup.tolerance_h = 0.0;
                let plan = budget.share(PARTS, |part| assign_within(&setup, wanted, part))?;
                plan.longest_by_aim().map_or(i64::MAX / 4, millionths)
            };
            known.insert(key, longest);
            least = least.min(longest);
        }
        worst = worst.max(least);
    }
    Ok(worst)
}

/// A plan gets one of so many parts of what is left.
const PARTS: usize = 16;

impl Question<'_> {
    /// A bag without anything.
    fn nothing(&self) -> super::rest::Rest {
        super::rest::Rest {
            sets: Vec::new(),
            worth: Worth::default(),
            adapters: vec![0; self.goods.adapters.len()],
            converters: vec![false; self.goods.converters.len()],
            cables: vec![0; self.goods.cables.len()],
            first: (0..)
                .zip(&self.now)
                .map(|(at, now)| at % now.every)
                .collect(),
        }
    }

    fn in_unit(bound: i64, options: &PackOptions) -> f64 {
        let worth = |weight: i64, price: i64| Worth {
            weight,
            price,
            pieces: 0,
        };
        match options.by {
            super::PackBy::Weight => worth(bound, 0).weight_g(),
            super::PackBy::Price => worth(0, bound).price(),
            super::PackBy::Pieces => as_float(bound),
        }
    }

    /// What the nights are expected to come to: what nothing for sale could serve.
    pub(super) fn expected(&self, ask: &Ask<'_, '_>, bag: &Bag) -> ([u32; 3], [u32; 3]) {
        let mut sum = crate::assign::counts::Counts::default();
        let targets = super::Targets::new(self, &ask.unhurried, &ask.of_place);
        for kind in &self.kinds {
            let charged = charged(kind, &self.now, &bag.rest.first);
            let nights = u32::try_from(kind.nights.len()).unwrap_or(u32::MAX);
            sum.add(&targets.of(kind.stop, &charged), nights);
        }
        (sum.unserved, sum.late)
    }

    /// Everything of a bag by kind, place and count.
    fn contents(&self, bag: &Bag) -> Vec<Content> {
        let Goods {
            sources,
            cables,
            adapters,
            converters,
        } = self.goods;
        let mut all = Vec::new();
        let mut kit = bag.kit.clone();
        kit.dedup();
        for source in kit {
            let good = &sources[source];
            let count = bag.kit.iter().filter(|&&other| other == source).count();
            let (kind, name) = match &good.spec.adapter {
                None => (PackingKind::Charger, &good.spec.charger.name),
                Some(adapter) => (PackingKind::Adapter, &adapter.name),
            };
            all.push(Content::of(kind, name, good.from, good.worth, count));
        }
        for (good, &count) in adapters.iter().zip(&bag.rest.adapters) {
            let kind = PackingKind::Adapter;
            let content = Content::of(kind, &good.spec.name, good.from, good.worth, count);
            match all.iter_mut().find(|known| known.is_like(&content)) {
                Some(known) => known.count += count,
                None => all.push(content),
            }
        }
        for (good, &taken) in converters.iter().zip(&bag.rest.converters) {
            let kind = PackingKind::Converter;
            let count = usize::from(taken);
            all.push(Content::of(
                kind,
                &good.spec.name,
                good.from,
                good.worth,
                count,
            ));
        }
        for (good, &count) in cables.iter().zip(&bag.rest.cables) {
            let kind = PackingKind::Cable;
            all.push(Content::of(
                kind,
                &good.spec.name,
                good.from,
                good.worth,
                count,
            ));
        }
        all.retain(|content| content.count > 0);
        all
    }

    pub(super) fn worth(&self, timed: &Timed) -> BagWorth {
        let Timed { bag, longest } = timed;
        let things = self.contents(bag);
        BagWorth {
            things: things.iter().map(Content::counted).collect(),
            weight_g: bag.worth.weight_g(),
            price: bag.worth.price(),
            pieces: u32::try_from(bag.worth.pieces).unwrap_or(u32::MAX),
            longest_h: if *longest < i64::MAX / 4 {
                from_millionths(*longest)
            } else {
                f64::INFINITY
            },
        }
    }

    fn pieces(&self, bag: &Bag, buy: bool) -> Vec<Piece> {
        let all = self.contents(bag).into_iter();
        let mut all: Vec<Piece> = all
            .filter(|content| content.from.is_bought() == buy)
            .map(|content| self.piece(&content, None))
            .collect();
        all.sort_by_key(|piece| piece.kind);
        all
    }

    /// What of one's own is taken, the appliances last.
    fn own_pieces(&self, bag: &Bag, appliances: &[usize]) -> Vec<Piece> {
        let mut all = self.pieces(bag, false);
        all.extend(self.setup.trip.iter().flat_map(|trip| {
            let taken = appliances.iter().map(|&at| &trip.appliances[at].name);
            taken.map(|name| plain(name, PackingKind::Appliance, None))
        }));
        all
    }

    fn piece(&self, content: &Content, reason: Option<String>) -> Piece {
        let weighed = match content.from {
            From::Shop(_) => true,
            From::Bag(at) => self.is_weighed(content.kind, at, &content.name),
        };
        Piece {
            thing: content.name.clone(),
            kind: content.kind,
            count: u32::try_from(content.count).unwrap_or(u32::MAX),
            weight_g: weighed.then(|| content.worth.weight_g()),
            price: content.from.is_bought().then(|| content.worth.price()),
            reason,
        }
    }

    /// Whether somebody said what a thing of the bag weighs.
    fn is_weighed(&self, kind: PackingKind, at: usize, name: &str) -> bool {
        let document = self.setup.document();
        match kind {
            PackingKind::Charger => document.chargers[at].weight_g.is_some(),
            PackingKind::Cable => document.cables[at].weight_g.is_some(),
            PackingKind::Converter => {
                let trip = document.trip.as_ref();
                trip.is_some_and(|trip| trip.converters[at].weight_g.is_some())
            }
            PackingKind::Adapter => {
                let trip = document.trip.iter();
                let mut adapters = trip.flat_map(|trip| &trip.adapters);
                // Those with ports of their own may be numbered.
                adapters.any(|own| name.starts_with(&own.name) && own.weight_g.is_some())
            }
            PackingKind::Appliance => false,
        }
    }

    /// What of one's own is not taken.
    fn left(&self, bag: &Bag, appliances: &[usize]) -> Vec<Piece> {
        let taken = self.contents(bag);
        let count = |kind: PackingKind, from: From| {
            let same = taken
                .iter()
                .filter(|one| one.kind == kind && one.from == from);
            same.map(|one| one.count).sum::<usize>()
        };
        let mut left = Vec::new();
        let mut put = |kind: PackingKind, name: &str, from: From, worth: Worth, most: usize| {
            let rest = most.saturating_sub(count(kind, from));
            if rest > 0 && !from.is_bought() {
                left.push(self.piece(&Content::of(kind, name, from, worth, rest), None));
            }
        };
        for good in &self.goods.adapters {
            put(
                PackingKind::Adapter,
                &good.spec.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        for good in &self.goods.converters {
            put(
                PackingKind::Converter,
                &good.spec.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        for good in self
            .goods
            .sources
            .iter()
            .filter(|good| good.spec.adapter.is_none())
        {
            put(
                PackingKind::Charger,
                &good.spec.charger.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        for good in &self.goods.cables {
            put(
                PackingKind::Cable,
                &good.spec.name,
                good.from,
                good.worth,
                good.most,
            );
        }
        let all = self.setup.trip.iter().flat_map(|trip| &trip.appliances);
        for (at, appliance) in all.enumerate() {
            if !appliances.contains(&at) {
                let (nights, all) = self.usable[at];
                let reason = match nights {
                    0 => "it can be used at no stop, with nothing that is there".to_owned(),
                    _ => format!("it can be used on {nights} of {all} nights only"),
                };
                left.push(plain(&appliance.name, PackingKind::Appliance, Some(reason)));
            }
        }
        left
    }

    fn cautions(&self) -> Vec<String> {
        let mut cautions: Vec<String> = crate::plan::cautions::sessions_unused(self.setup)
            .into_iter()
            .collect();
        let document = self.setup.document();
        let chargers = document.chargers.iter().map(|c| (&c.name, c.weight_g));
        let cables = document.cables.iter().map(|c| (&c.name, c.weight_g));
        let unknown: Vec<&str> = chargers
            .chain(cables)
            .filter(|(_, weight_g)| weight_g.is_none())
            .map(|(name, _)| name.as_str())
            .collect();
        if !unknown.is_empty() {
            cautions.push(format!(
                "nobody said what these weigh, so they count as nothing: {}",
                unknown.join(", ")
            ));
        }
        if document.shop.is_some() {
            cautions.push(
                "whether a thing is sold as listed, and keeps to its label, is for you to see"
                    .to_owned(),
            );
        }
        cautions
    }

    /// The setup of a bag: what is bought is one's own.
    pub(super) fn document(&self, bag: &Bag, appliances: &[usize]) -> SetupDocument {
        let mut document = self.setup.document().clone();
        let shop = document.shop.take().unwrap_or_default();
        document.sessions.clear();
        for device in &mut document.devices {
            device.sessions = None;
        }
        let own_chargers = std::mem::take(&mut document.chargers);
        let own_cables = std::mem::take(&mut document.cables);
        let mut adapters = bag.rest.adapters.clone();
        let mut numbered: BTreeMap<usize, usize> = BTreeMap::new();
        for &source in &bag.kit {
            let good = &self.goods.sources[source];
            if good.spec.adapter.is_some() {
                let same = |other: &super::goods::Good<_>| other.from == good.from;
                if let Some(at) = self.goods.adapters.iter().position(same) {
                    adapters[at] += 1;
                }
                continue;
            }
            document.chargers.push(match good.from {
                From::Bag(at) => own_chargers[at].clone(),
                From::Shop(at) => {
                    let charger = &shop.chargers[at];
                    let number = numbered.entry(source).or_default();
                    *number += 1;
                    let several = bag.kit.iter().filter(|&&other| other == source).count() > 1;
                    let name = if several {
                        format!("{} {number}", charger.name)
                    } else {
                        charger.name.clone()
                    };
                    bought(charger, name)
                }
            });
        }
        for (good, &count) in self.goods.cables.iter().zip(&bag.rest.cables) {
            if count == 0 {
                continue;
            }
            let mut cable = match good.from {
                From::Bag(at) => own_cables[at].clone(),
                From::Shop(at) => shop.cables[at].clone(),
            };
            cable.count = u32::try_from(count).ok();
            document.cables.push(cable);
        }
        self.unpin(&mut document);
        let Some(trip) = &mut document.trip else {
            return document;
        };
        let own = std::mem::take(&mut trip.adapters);
        // As the route has them: those with ports of their own are listed piece by piece.
        let of_route = own.iter().enumerate().flat_map(|(at, adapter)| {
            let pieces = if adapter.ports.is_empty() {
                1
            } else {
                adapter.count.unwrap_or(1)
            };
            (0..pieces).map(move |_| at)
        });
        let of_route: Vec<usize> = of_route.collect();
        for (good, &count) in self.goods.adapters.iter().zip(&adapters) {
            if count == 0 {
                continue;
            }
            let adapter = match good.from {
                From::Bag(at) => &own[of_route[at]],
                From::Shop(at) => &shop.adapters[at],
            };
            let count = u32::try_from(count).unwrap_or(u32::MAX);
            match trip
                .adapters
                .iter_mut()
                .find(|known| known.name == adapter.name)
            {
                Some(known) => known.count = Some(known.count.unwrap_or(1) + count),
                None => trip.adapters.push(crate::setup::document::Adapter {
                    count: Some(count),
                    ..adapter.clone()
                }),
            }
        }
        let own = std::mem::take(&mut trip.converters);
        for (good, &taken) in self.goods.converters.iter().zip(&bag.rest.converters) {
            if taken {
                trip.converters.push(match good.from {
                    From::Bag(at) => own[at].clone(),
                    From::Shop(at) => shop.converters[at].clone(),
                });
            }
        }
        let all = std::mem::take(&mut trip.appliances).into_iter().enumerate();
        let taken = all.filter(|(at, _)| appliances.contains(at));
        trip.appliances = taken.map(|(_, appliance)| appliance).collect();
        document
    }

    /// A pin onto what stays at home holds nothing.
    fn unpin(&self, document: &mut SetupDocument) {
        let mut expanded = self.setup.devices.iter();
        for device in &mut document.devices {
            let count = usize::try_from(device.count.unwrap_or(1)).unwrap_or(1);
            let Some(spec) = expanded.by_ref().take(count).last() else {
                continue;
            };
            let charger = spec
                .pinned_port
                .map(|port| &self.setup.chargers[port.charger.0].name);
            if charger.is_some_and(|name| document.chargers.iter().all(|c| c.name != *name)) {
                device.port = None;
            }
            let cable = device.cable.as_ref();
            if cable.is_some_and(|name| document.cables.iter().all(|c| c.name != *name)) {
                device.cable = None;
            }
        }
    }

    /// The nights with a bag, planned like those of any other setup.
    fn told(&self, bag: &Bag, appliances: &[usize], budget: &mut Budget) -> Result<Told> {
        let options = SolveOptions {
            budget: budget.left().max(LEAST_FOR_THE_ANSWER),
            time_limit: budget.time_left(),
            ..SolveOptions::default()
        };
        let document = self.document(bag, appliances);
        if bag.kit.is_empty() {
            return Ok(Told {
                calendar: Vec::new(),
                nights: Vec::new(),
                trip: None,
            });
        }
        let setup = document.check()?;
        if setup.trip.is_none() {
            let calendar = calendar_with(&setup, &options)?;
            return Ok(Told {
                calendar: calendar.devices,
                nights: calendar.plans,
                trip: None,
            });
        }
        let trip = trip_with(&setup, &options)?;
        let device = |now: &crate::decide::calendar::nights::Now| {
            let name = &setup.devices[now.device].name;
            let nights = trip.stops.iter().flat_map(|stop| &stop.calendar);
            let nights = nights.filter(|night| night.devices.contains(name));
            let mut nights: Vec<u32> = nights.flat_map(|night| &night.nights).copied().collect();
            nights.sort_unstable();
            CalendarDevice {
                device: name.clone(),
                every_nights: now.every,
                nights,
            }
        };
        Ok(Told {
            calendar: self.now.iter().map(device).collect(),
            nights: Vec::new(),
            trip: Some(trip),
        })
    }
}

/// What the nights of the answer may take, though all else is spent.
const LEAST_FOR_THE_ANSWER: u64 = 200_000;

/// A thing without a worth.
fn plain(name: &str, kind: PackingKind, reason: Option<String>) -> Piece {
    Piece {
        thing: name.to_owned(),
        kind,
        count: 1,
        weight_g: None,
        price: None,
        reason,
    }
}

/// So many of one thing in a bag.
#[derive(Debug, Clone, PartialEq)]
struct Content {
    kind: PackingKind,
    name: String,
    from: From,
    /// Of one.
    worth: Worth,
    count: usize,
}

impl Content {
    fn of(kind: PackingKind, name: &str, from: From, worth: Worth, count: usize) -> Self {
        Self {
            kind,
            name: name.to_owned(),
            from,
            worth,
            count,
        }
    }

    fn is_like(&self, other: &Self) -> bool {
        (self.kind, self.from) == (other.kind, other.from)
    }

    fn counted(&self) -> String {
        format!("{} × {}", self.count, self.name)
    }
}

/// What each device and each appliance costs the bag: what it comes to without.
fn costs(
    ask: &mut Ask<'_, '_>,
    appliances: &[usize],
    bag: &Bag,
    budget: &mut Budget,
) -> Result<Vec<ThingCost>> {
    let question = ask.question;
    let route = question.setup.trip.as_ref();
    let groups = alike(question.setup);
    let all = route.map_or(0, |route| route.appliances.len());
    let mut parts = groups.len() + all;
    let mut costs = Vec::new();
    for appliance in 0..all {
        let (nights, of) = question.usable[appliance];
        if nights == 0 {
            parts -= 1;
            continue;
        }
        let taken = appliances.contains(&appliance);
        let mut other: Vec<usize> = appliances.to_vec();
        if taken {
            other.retain(|&at| at != appliance);
        } else {
            other.push(appliance);
            other.sort_unstable();
        }
        let found = budget.share(parts, |part| ask.least(&other, Most::default(), None, part))?;
        parts -= 1;
        let name = route.map(|route| route.appliances[appliance].name.clone());
        let cost = question.cost(name.unwrap_or_default(), taken, bag, &found);
        costs.extend(cost.map(|cost| ThingCost {
            nights: Some([nights, of]),
            ..cost
        }));
    }
    for devices in groups {
        let fewer = question.setup.resting(&devices);
        let left = fewer
            .devices
            .iter()
            .any(crate::setup::DeviceSpec::needs_berth);
        let found = budget.share(parts, |part| -> Result<Option<Found>> {
            if !left {
                return Ok(None);
            }
            let other = Question::of(&fewer, question.route, question.goods)?;
            let mut other = other.ask(ask.by, part)?;
            other
                .least(appliances, Most::default(), None, part)
                .map(Some)
        })?;
        parts -= 1;
        let Some(found) = found else { continue };
        let name = named(question.setup, &devices);
        costs.extend(question.cost(name, true, bag, &found));
    }
    costs.retain(|cost| {
        let nothing = cost.weight_g == 0.0 && cost.price == 0.0 && cost.pieces == 0;
        !(nothing && cost.taken && cost.proven)
    });
    Ok(costs)
}

impl Question<'_> {
    /// What a thing costs, by the bag with it and the one without.
    fn cost(&self, thing: String, taken: bool, bag: &Bag, found: &Found) -> Option<ThingCost> {
        let other = found.bag.as_ref()?;
        let (with, without) = if taken { (bag, other) } else { (other, bag) };
        let (more, less) = (self.contents(with), self.contents(without));
        let beyond = |one: &[Content], other: &[Content]| -> Vec<String> {
            let rest = one.iter().filter_map(|content| {
                let there = other.iter().find(|other| other.is_like(content));
                let count = content
                    .count
                    .saturating_sub(there.map_or(0, |there| there.count));
                (count > 0).then(|| Content {
                    count,
                    ..content.clone()
                })
            });
            rest.map(|content| content.counted()).collect()
        };
        let (own, rest) = (with.worth, without.worth);
        Some(ThingCost {
            thing,
            taken,
            weight_g: rounded(own.weight_g() - rest.weight_g()),
            price: rounded(own.price() - rest.price()),
            pieces: own.pieces - rest.pieces,
            spared: beyond(&more, &less),
            instead: beyond(&less, &more),
            nights: None,
            proven: found.proven,
        })
    }
}

/// The devices that need a berth, those that nothing tells apart together.
fn alike(setup: &Setup) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, device) in setup.devices.iter().enumerate() {
        if !device.needs_berth() {
            continue;
        }
        let same = |group: &&mut Vec<usize>| {
            let other = &setup.devices[group[0]];
            other.every_nights == device.every_nights && same_but_name(other, device)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    groups
}

/// `laptop`; `score tablet 1 to 4`; `lamp, fan`.
fn named(setup: &Setup, devices: &[usize]) -> String {
    let names: Vec<&str> = devices
        .iter()
        .map(|&device| setup.devices[device].name.as_str())
        .collect();
    let (first, last) = (names[0], names[names.len() - 1]);
    let stem = |name: &str| {
        name.rsplit_once(' ')
            .map(|(stem, number)| (stem.to_owned(), number.to_owned()))
    };
    match (stem(first), stem(last)) {
        (Some((one, from)), Some((other, to)))
            if names.len() > 1
                && one == other
                && names.iter().all(|name| name.starts_with(&one))
                && from.parse::<u32>().is_ok()
                && to.parse::<u32>().is_ok() =>
        {
            format!("{one} {from} to {to}")
        }
        _ => names.join(", "),
    }
}
