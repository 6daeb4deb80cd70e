//! A stop's night: which chargers go into its outlets at the same time, and the plan with
//! them.
//!
//! Chargers and adapters with USB ports are the sources of a night. A set of sources can
//! be plugged in where every charger among them goes straight into the wall or through an
//! adapter of its own, and the outlets are enough; a charger that goes through an adapter
//! that is a source itself takes no outlet of its own. Of all sets the one with the best
//! plan is taken, in the plan's order; a source without which the plan is as good is left
//! out. Where several sets are as good, that one is taken that needs the fewest adapters
//! over the whole trip (`pack.rs`).

use std::cmp::{Ordering, Reverse};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use super::site::Site;
use super::thing::{Answer, Role};
use crate::assign::{assign_within, rota_within};
use crate::decide::calendar::nights::Now;
use crate::diagnostics::Result;
use crate::plan::objective::ObjectiveValue;
use crate::plan::rota::Rota;
use crate::plan::{Berth, Plan};
use crate::setup::ids::PortId;
use crate::setup::{ChargerSpec, Setup, TripSpec};
use crate::solve::budget::Budget;
use crate::solve::options::Wanted;
use crate::solve::transport::{FORBIDDEN, Transport};
use crate::units::millionths;

/// Sets that are looked at in one night for sources that could be left out.
const MOST_SETS: usize = 256;

/// Each set that is tried with a source less gets one of so many parts of what is left.
const PARTS_TO_LEAVE_OUT: usize = 8;

/// A set of sources, a bit for each.
pub(super) type Sources = u32;

/// The plan of one night.
#[derive(Debug, Clone)]
pub(super) struct Night {
    /// The sources that have berths.
    pub(super) used: Sources,
    /// Of a rota, the plan that it is without its sessions.
    pub(super) plan: Plan,
    /// Where the setup has sessions, and the stop no length of its own for the night.
    pub(super) rota: Option<Rota>,
    pub(super) value: ObjectiveValue,
}

impl Night {
    /// The most at once, over the sessions, of what the berths count for together.
    pub(super) fn most_at_once(&self, count: impl Fn(&Berth) -> f64) -> f64 {
        let Some(rota) = &self.rota else {
            return self.plan.berths.iter().map(count).sum();
        };
        let index = |name: &str| {
            rota.sessions
                .iter()
                .position(|session| session.name == name)
        };
        let in_session = |session: usize| {
            let berths = rota.berths.iter().filter(|berth| {
                index(&berth.session).is_some_and(|first| first <= session)
                    && index(&berth.until_session).is_some_and(|last| session <= last)
            });
            berths.map(|berth| count(&berth.berth)).sum()
        };
        (0..rota.sessions.len()).map(in_session).fold(0.0, f64::max)
    }

    /// The plan, or the rota instead.
    pub(super) fn documents(&self) -> (Option<Plan>, Option<Rota>) {
        match &self.rota {
            Some(rota) => (None, Some(rota.clone())),
            None => (Some(self.plan.clone()), None),
        }
    }

    /// Whether every device has a berth and none is late.
    pub(super) fn serves_all(&self) -> bool {
        self.plan.serves_all()
    }
}

/// How the sources of a night are plugged in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Plugging {
    /// By charger of the set, in order: the adapter that it goes through.
    pub(super) through: Vec<(usize, Option<usize>)>,
    pub(super) outlets: u32,
}

impl Plugging {
    /// The adapter that a charger goes through; `None` where it goes straight, or not at all.
    pub(super) fn of(&self, charger: usize) -> Option<usize> {
        let mut through = self.through.iter();
        through.find(|(at, _)| *at == charger)?.1
    }
}

/// How the sources of a set can be plugged in at the same time with so many of each
/// adapter, in the fewest outlets, or with as few adapters as the outlets allow.
pub(super) fn plugging(
    set: Sources,
    answers: &[Answer<'_>],
    site: &Site<'_>,
    trip: &TripSpec,
    counts: &[usize],
) -> Option<Plugging> {
    let mut chargers = Vec::new();
    let mut as_source = vec![false; trip.adapters.len()];
    let mut sources = 0_u32;
    for (i, answer) in answers.iter().enumerate().filter(|&(i, _)| has(set, i)) {
        match answer.thing.role {
            Role::Ports(adapter, _) => {
                // Itself in the wall; that needs one.
                if counts[adapter] == 0 || !answer.is_plain() {
                    return None;
                }
                as_source[adapter] = true;
                sources += 1;
            }
            _ if answer.is_plain() => chargers.push(i),
            _ => return None,
        }
    }
    // Straight first; then the adapters as listed.
    let mut seats = vec![chargers.len()];
    seats.extend(counts);
    let cost_of = |passing: i64, straight: i64| -> Vec<i64> {
        let mut cost = Vec::with_capacity(chargers.len() * seats.len());
        for &charger in &chargers {
            let start = cost.len();
            cost.resize(start + seats.len(), FORBIDDEN);
            for link in answers[charger].usable() {
                let (at, price) = match link.adapter {
                    None => (0, straight),
                    Some(adapter) if as_source[adapter] => (adapter + 1, passing),
                    Some(adapter) => (adapter + 1, 1),
                };
                cost[start + at] = price;
            }
        }
        cost
    };
    let alone = vec![FORBIDDEN; chargers.len()];
    let mut transport = Transport::default();
    let enough = |outlets: u32| site.stop.outlets.is_none_or(|most| outlets <= most);
    // As few adapters as can be; else as few outlets.
    for (passing, straight) in [(1, 0), (0, 1)] {
        transport.solve(&cost_of(passing, straight), &alone, &seats)?;
        let through: Vec<(usize, Option<usize>)> = chargers
            .iter()
            .zip(&transport.group)
            .filter_map(|(&charger, group)| Some((charger, (*group)?.checked_sub(1))))
            .collect();
        let passed = through
            .iter()
            .filter(|(_, adapter)| adapter.is_some_and(|adapter| as_source[adapter]))
            .count();
        let own = u32::try_from(chargers.len() - passed).unwrap_or(u32::MAX);
        let outlets = sources.saturating_add(own);
        if enough(outlets) {
            return Some(Plugging { through, outlets });
        }
    }
    None
}

/// What a night hangs on: the set, and everything else that its plan is made from.
type Asked = (Sources, Vec<usize>, bool, Option<i64>);

/// The nights of a trip: plans are made once for each set and length of the night.
#[derive(Debug)]
pub(super) struct Nights<'a> {
    setup: &'a Setup,
    sources: Vec<&'a ChargerSpec>,
    wanted: Wanted,
    now: Vec<Now>,
    made: BTreeMap<Asked, Rc<Night>>,
}

/// What a stop's nights came to.
#[derive(Debug, Clone, Default)]
pub(super) struct Best {
    /// Equally good, the one with the fewest sources first.
    pub(super) nights: Vec<Rc<Night>>,
    /// Sets of sources that were not planned before a limit struck.
    pub(super) sets_untried: usize,
}

impl<'a> Nights<'a> {
    pub(super) fn new(setup: &'a Setup, sources: Vec<&'a ChargerSpec>, wanted: Wanted) -> Self {
        Self {
            setup,
            sources,
            wanted,
            now: setup.not_every_night(),
            made: BTreeMap::new(),
        }
    }

    pub(super) fn tolerance_h(&self) -> f64 {
        self.setup.tolerance_h
    }

    /// The best nights of a stop with sources of `among` only: equally good, none with a
    /// source that could be left out, as far as the budget goes. Of the things that are not
    /// charged every night, `charged` are.
    pub(super) fn best(
        &mut self,
        among: Sources,
        charged: &[usize],
        answers: &[Answer<'_>],
        site: &Site<'_>,
        trip: &TripSpec,
        budget: &mut Budget,
    ) -> Result<Best> {
        let counts = all_counts(trip);
        let can = |set: Sources| plugging(set, answers, site, trip, &counts).is_some();
        let mut sets_untried = 0;
        let mut best = vec![self.night(0, charged, site, &mut budget.with_steps(1))?];
        let sets = largest(among, can);
        for (tried, &set) in sets.iter().enumerate() {
            if tried > 0 && budget.is_spent() {
                sets_untried = sets.len() - tried;
                break;
            }
            // What is left over when all have their part is for leaving sources out.
            let parts = 2 * (sets.len() - tried);
            let night = budget.share(parts, |part| self.night(set, charged, site, part))?;
            match night.value.compare(&best[0].value) {
                Ordering::Less => best = vec![night],
                Ordering::Equal => best.push(night),
                Ordering::Greater => {}
            }
        }
        let value = best[0].value.clone();
        let mut open = best;
        let mut seen: BTreeSet<Sources> = open.iter().map(|night| night.used).collect();
        let mut least: BTreeMap<Sources, Rc<Night>> = BTreeMap::new();
        while let Some(night) = open.pop() {
            let mut can_be_less = false;
            for source in (0..self.sources.len()).filter(|&source| has(night.used, source)) {
                if budget.is_spent() {
                    sets_untried += 1;
                    continue;
                }
                let set = night.used & !(1 << source);
                let fewer = budget.share(PARTS_TO_LEAVE_OUT, |part| {
                    self.night(set, charged, site, part)
                })?;
                if fewer.value.compare(&value) != Ordering::Equal {
                    continue;
                }
                can_be_less = true;
                if seen.contains(&fewer.used) {
                    continue;
                }
                if seen.len() < MOST_SETS {
                    seen.insert(fewer.used);
                    open.push(fewer);
                } else {
                    sets_untried += 1;
                }
            }
            if !can_be_less || open.is_empty() && least.is_empty() {
                least.insert(night.used, night);
            }
        }
        let mut nights: Vec<Rc<Night>> = least.into_values().collect();
        nights.sort_by_key(|night| by_size(night.used));
        Ok(Best {
            nights,
            sets_untried,
        })
    }

    /// The night with a set of sources.
    fn night(
        &mut self,
        set: Sources,
        charged: &[usize],
        site: &Site<'_>,
        budget: &mut Budget,
    ) -> Result<Rc<Night>> {
        let session_h = site.stop.session_h.or(self.setup.document.session_h);
        let own = site.stop.session_h.is_some();
        let key = (set, charged.to_vec(), own, session_h.map(millionths));
        if let Some(night) = self.made.get(&key) {
            return Ok(Rc::clone(night));
        }
        let setup = self.with(set, charged, session_h);
        let by_rota = site.stop.session_h.is_none() && !setup.sessions.is_empty();
        let rota = if by_rota {
            Some(rota_within(&setup, self.wanted, budget)?)
        } else {
            None
        };
        let plan = match &rota {
            Some(rota) => rota.without_sessions(),
            None => assign_within(&setup, self.wanted, budget)?,
        };
        let mut used = 0;
        for (i, source) in self.sources.iter().enumerate() {
            if has(set, i) && plan.berths.iter().any(|berth| berth.charger == source.name) {
                used |= 1 << i;
            }
        }
        let value = match &rota {
            Some(rota) => ObjectiveValue::of_rota(&setup, rota),
            None => ObjectiveValue::of(&setup, &plan),
        };
        let night = Rc::new(Night {
            used,
            plan,
            rota,
            value,
        });
        self.made.insert(key, Rc::clone(&night));
        Ok(night)
    }

    /// The setup with a set of sources, and a night of so many hours. A device that is
    /// pinned to a port that is not there is free.
    fn with(&self, set: Sources, charged: &[usize], session_h: Option<f64>) -> Setup {
        let mut setup = self.setup.with_rest(&self.now, charged);
        let mut place = vec![None; self.sources.len()];
        setup.chargers.clear();
        for (i, source) in self.sources.iter().enumerate() {
            if has(set, i) {
                place[i] = Some(setup.chargers.len());
                setup.chargers.push((*source).clone());
            }
        }
        let own: Vec<Option<f64>> = self.setup.own_deadlines().collect();
        for (device, own) in setup.devices.iter_mut().zip(own) {
            device.ready_by_h = own.or(session_h);
            device.pinned_port = device
                .pinned_port
                .and_then(|port| Some(PortId::new(place[port.charger.0]?, port.index)));
        }
        setup
    }
}

/// Every adapter that there is.
pub(super) fn all_counts(trip: &TripSpec) -> Vec<usize> {
    let count = |count: u32| usize::try_from(count).unwrap_or(usize::MAX);
    trip.adapters
        .iter()
        .map(|adapter| count(adapter.count))
        .collect()
}

pub(super) fn has(set: Sources, source: usize) -> bool {
    set >> source & 1 == 1
}

/// The order of sets: the larger first; among equals what is listed first.
fn by_size_falling(set: Sources) -> impl Ord {
    Reverse((set.count_ones(), set.reverse_bits()))
}

/// The order of sets: the smaller first; among equals what is listed first.
fn by_size(set: Sources) -> impl Ord {
    (set.count_ones(), Reverse(set.reverse_bits()))
}

/// The sets within `among` that can be had and are part of no other such set. What is
/// part of a set that can be had can be had, too.
fn largest(among: Sources, can: impl Fn(Sources) -> bool) -> Vec<Sources> {
    let mut sets: Vec<Sources> = (1..=among).filter(|set| set & !among == 0).collect();
    sets.sort_by_key(|set| by_size_falling(*set));
    let mut found: Vec<Sources> = Vec::new();
    for set in sets {
        if !found.iter().any(|larger| set & !larger == 0) && can(set) {
            found.push(set);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::largest;

    #[test]
    fn only_the_largest_sets_are_tried() {
        let at_most_two = |set: u32| set.count_ones() <= 2;
        assert_eq!(largest(0b111, at_most_two), [0b011, 0b101, 0b110]);
        assert_eq!(largest(0b101, |_| true), [0b101]);
        assert_eq!(largest(0b111, |set| set == 0b010), [0b010]);
        assert!(largest(0b111, |_| false).is_empty());
        assert!(largest(0, |_| true).is_empty());
    }
}
