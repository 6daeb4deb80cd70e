//! Every charger in use under a rule, in every order that is tried: the best, the worst, and
//! what a person can do about it.

use super::night::{Berth, Charger, Nights, Outcome};
use super::orders::Orders;
use super::{
    Grants, PlugAdvice, PlugOrder, RuleBerth, RuleNight, RuleNights, RuleOutcome, SharingRule,
    hours,
};
use crate::plan::promise::{NEVER, grants};
use crate::plan::schedule::Slot;
use crate::setup::Setup;
use crate::setup::contract::Carries;
use crate::setup::ids::ChargerId;
use crate::solve::budget::Budget;
use crate::units::{from_millionths, millionths};

/// The chargers in use, with the devices on them.
pub(super) struct Bench<'a> {
    setup: &'a Setup,
    slots: &'a [Slot],
    chargers: Vec<(ChargerId, Charger<'a>)>,
}

/// What was tried of one rule on one charger.
pub(super) struct Tried {
    /// Orders.
    count: usize,
    all: bool,
    held: Range,
    handed_on: Range,
}

/// The best and the worst of what was tried, grants held or handed on.
struct Range {
    best: Extreme,
    worst: Extreme,
    /// By the device that an order favours, the longest time of the worst of its orders.
    favoured: Vec<Option<i64>>,
}

/// An order with its night.
#[derive(Clone)]
struct Extreme {
    order: Vec<usize>,
    nights: Nights,
    /// The sorted times if grants lasted the other way: between equals these decide.
    otherwise: Vec<i64>,
}

impl<'a> Bench<'a> {
    /// `carried` is what the slots' cables carry.
    pub(super) fn of(setup: &'a Setup, slots: &'a [Slot], carried: &'a [Carries]) -> Self {
        let floors = grants(setup, slots);
        let chargers = setup.chargers.iter().enumerate();
        let chargers = chargers.filter_map(|(index, spec)| {
            let id = ChargerId(index);
            let of_slots = slots.iter().zip(carried).zip(&floors);
            let berths: Vec<Berth<'a>> = of_slots
                .filter(|((slot, _), _)| slot.port.charger == id)
                .map(|((slot, carried), granted)| Berth::of(setup, slot, carried, granted.floor))
                .collect();
            (!berths.is_empty()).then(|| (id, Charger::of(spec, berths)))
        });
        Self {
            setup,
            slots,
            chargers: chargers.collect(),
        }
    }

    /// Whether every port in use has its watts, whoever else draws.
    pub(super) fn is_assured(&self) -> bool {
        self.chargers
            .iter()
            .all(|(_, charger)| charger.is_assured())
    }

    /// A rule on every charger; none where a limit struck before each was looked at.
    pub(super) fn tried(&self, rule: SharingRule, budget: &mut Budget) -> Option<Vec<Tried>> {
        let count = self.chargers.len();
        let chargers = self.chargers.iter().enumerate();
        chargers
            .map(|(index, (_, charger))| {
                budget.share(count - index, |budget| Tried::of(charger, rule, budget))
            })
            .collect()
    }

    pub(super) fn outcome(&self, rule: SharingRule, tried: &[Tried]) -> RuleOutcome {
        let nights = |of: fn(&Tried) -> &Range| RuleNights {
            best: self.night(tried, of, |range| &range.best),
            worst: rule
                .depends_on()
                .map(|_| self.night(tried, of, |range| &range.worst)),
        };
        let several = tried.iter().zip(&self.chargers);
        let several = several.filter(|(_, (_, charger))| charger.berths.len() > 1);
        RuleOutcome {
            rule,
            source: rule.source().to_owned(),
            depends_on: rule.depends_on(),
            tried: several.map(|(tried, _)| tried.count).sum(),
            tried_all: tried.iter().all(|tried| tried.all),
            held: nights(|tried| &tried.held),
            handed_on: nights(|tried| &tried.handed_on),
        }
    }

    /// All chargers together.
    fn night(
        &self,
        tried: &[Tried],
        of: fn(&Tried) -> &Range,
        end: fn(&Range) -> &Extreme,
    ) -> RuleNight {
        let mut longest = 0;
        let mut orders = Vec::new();
        let mut berths: Vec<(&Slot, RuleBerth)> = Vec::with_capacity(self.slots.len());
        for (tried, (id, charger)) in tried.iter().zip(&self.chargers) {
            let range = of(tried);
            let Extreme { order, nights, .. } = end(range);
            longest = longest.max(nights.longest());
            if range.best.nights.sorted != range.worst.nights.sorted {
                orders.push(PlugOrder {
                    charger: self.setup.chargers[*id].name.clone(),
                    devices: self.names(charger, order),
                });
            }
            for (at, berth) in charger.berths.iter().enumerate() {
                let told = RuleBerth {
                    device: self.setup.devices[berth.slot.device].name.clone(),
                    granted_w: from_millionths(nights.granted[at]),
                    port_w: nights.port_w[at],
                    full_h: hours(nights.times[at]),
                };
                berths.push((berth.slot, told));
            }
        }
        berths.sort_by_key(|(slot, _)| slot.device);
        RuleNight {
            longest_h: hours(longest),
            orders,
            berths: berths.into_iter().map(|(_, told)| told).collect(),
        }
    }

    fn names(&self, charger: &Charger<'_>, order: &[usize]) -> Vec<String> {
        let devices = order.iter().map(|&at| charger.berths[at].slot.device);
        devices
            .map(|device| self.setup.devices[device].name.clone())
            .collect()
    }

    /// Charger by charger, where the order is worth more than the tolerance.
    pub(super) fn advice(&self, rule: SharingRule, tried: &[Tried]) -> Vec<PlugAdvice> {
        let Some(place) = rule.place() else {
            return Vec::new();
        };
        let tolerance = millionths(self.setup.tolerance_h);
        let advised = |tried: &Tried, (id, charger): &(ChargerId, Charger<'_>), grants| {
            let range = match grants {
                Grants::Held => &tried.held,
                Grants::HandedOn => &tried.handed_on,
            };
            let (best, worst) = (range.best.nights.longest(), range.worst.nights.longest());
            if worst <= best + tolerance {
                return None;
            }
            let enough = best + tolerance;
            let at = range.most_worth(rule, tried.all.then_some(enough))?;
            let then = range.favoured[at].unwrap_or(worst);
            Some(PlugAdvice {
                rule,
                grants,
                charger: self.setup.chargers[*id].name.clone(),
                device: self.names(charger, &[at]).pop()?,
                place,
                best_h: hours(best),
                worst_h: hours(worst),
                then_h: hours(then),
                is_enough: then <= enough,
                order: self.names(charger, &range.best.order),
                tried_all: tried.all,
            })
        };
        let chargers = tried.iter().zip(&self.chargers);
        chargers
            .filter_map(|(tried, charger)| {
                let held = advised(tried, charger, Grants::Held);
                held.or_else(|| advised(tried, charger, Grants::HandedOn))
            })
            .collect()
    }
}

impl Tried {
    fn of(charger: &Charger<'_>, rule: SharingRule, budget: &mut Budget) -> Option<Self> {
        let asks: Vec<i64> = charger.berths.iter().map(Berth::demand).collect();
        let times: Vec<i64> = charger
            .berths
            .iter()
            .map(|berth| millionths(berth.slot.hours))
            .collect();
        let Orders { tried, are_all } = Orders::of(rule, &asks, &times);
        let orders = tried.len();
        let mut found: Option<Self> = None;
        for order in tried {
            let Some(outcome) = charger.outcome(rule, &order, budget) else {
                break;
            };
            let Outcome { held, handed_on } = outcome;
            let (held, handed_on) = (
                Extreme::of(&order, &held, &handed_on),
                Extreme::of(&order, &handed_on, &held),
            );
            let found = found.get_or_insert_with(|| Self {
                count: 0,
                all: false,
                held: Range::of(&held),
                handed_on: Range::of(&handed_on),
            });
            found.count += 1;
            found.held.take(rule, held);
            found.handed_on.take(rule, handed_on);
        }
        found.map(|found| Self {
            all: are_all && found.count == orders,
            ..found
        })
    }
}

impl Extreme {
    fn of(order: &[usize], nights: &Nights, otherwise: &Nights) -> Self {
        Self {
            order: order.to_vec(),
            nights: nights.clone(),
            otherwise: otherwise.sorted.clone(),
        }
    }

    fn key(&self) -> (&[i64], &[i64]) {
        (&self.nights.sorted, &self.otherwise)
    }
}

impl Range {
    fn of(first: &Extreme) -> Self {
        Self {
            best: first.clone(),
            worst: first.clone(),
            favoured: vec![None; first.order.len()],
        }
    }

    /// Takes in what is better than the best or worse than the worst; among equals the first.
    fn take(&mut self, rule: SharingRule, found: Extreme) {
        if let Some(at) = rule.favoured(&found.order) {
            let longest = found.nights.longest();
            let worst = &mut self.favoured[at];
            *worst = Some(worst.map_or(longest, |worst| worst.max(longest)));
        }
        if found.key() < self.best.key() {
            self.best = found;
        } else if found.key() > self.worst.key() {
            self.worst = found;
        }
    }

    /// Which device is worth favouring: the one with which, whatever comes after, it takes no
    /// longer than `enough`; where there is none, or where not all orders were tried, that of
    /// the best order.
    fn most_worth(&self, rule: SharingRule, enough: Option<i64>) -> Option<usize> {
        let of_best = rule.favoured(&self.best.order)?;
        let longest = |at: usize| self.favoured[at].unwrap_or(NEVER);
        let least = (0..self.favoured.len()).min_by_key(|&at| longest(at));
        let least = least.filter(|&at| enough.is_some_and(|enough| longest(at) <= enough));
        Some(least.unwrap_or(of_best))
    }
}
