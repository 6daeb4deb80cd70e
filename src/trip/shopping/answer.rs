//! The answer about a bag that was found: what is bought, taken and left, the route with it,
//! and what each thing costs.

use std::collections::BTreeMap;

use super::contents::Content;
use super::costs::costs;
use super::goods::Worth;
use super::kits::{Bag, Found};
use super::oracle::Night;
use super::sorts::other_sorts;
use super::unbeaten::{Timed, by, unbeaten};
use super::{Ask, BagWorth, Luggage, PackOptions, Question};
use crate::assign::assign_within;
use crate::decide::calendar::nights::charged;
use crate::decide::calendar::{CalendarDevice, calendar_within};
use crate::diagnostics::{Error, Result};
use crate::plan::Status;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::levels::Level;
use crate::solve::options::Wanted;
use crate::trip::{Trip, trip_within};
use crate::units::{as_float, from_millionths, millionths};

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
    // Who ends the call may leave nights without a plan.
    let planned = known && !budget.is_stopped();
    if planned && (luggage.unserved_nights, luggage.late_nights) != question.expected(ask, bag) {
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
    let question = ask.question;
    let wanted = Wanted {
        until: Level::Longest,
        reshared: false,
        because: false,
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

    /// The nights with a bag, planned like those of any other setup.
    fn told(&self, bag: &Bag, appliances: &[usize], budget: &mut Budget) -> Result<Told> {
        let mut budget = budget.with_steps(budget.left().max(LEAST_FOR_THE_ANSWER));
        let wanted = Wanted {
            until: Level::Everything,
            reshared: false,
            because: false,
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
            let calendar = calendar_within(&setup, wanted, &mut budget)?;
            return Ok(Told {
                calendar: calendar.devices,
                nights: calendar.plans,
                trip: None,
            });
        }
        let trip = trip_within(&setup, wanted, &mut budget)?;
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
