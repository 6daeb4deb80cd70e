//! The least that goes with a kit: adapters and converters so that it can be plugged in
//! everywhere and the appliances run, then cables so that every night goes well, for some
//! choice of who charges on which night.
//!
//! Adapters are looked at in the order of what they are worth, and for each choice of them
//! the cables in the order of theirs (`pieces.rs`). A choice of cables that fails on some
//! night fails with fewer: kinds are added as far as it still fails, and of the kinds that
//! are left one more is needed. More adapters than are needed are tried only where cables
//! could be saved by them.

use std::collections::BTreeMap;

use super::goods::{Goods, Worth};
use super::oracle::{Night, Oracle};
use super::pieces::{self, Least, Need, Said};
use super::places::{Kit, Place, There};
use super::{PackBy, Targets};
use crate::assign::counts::Counts;
use crate::decide::calendar::nights::{Kind, Now, charged};
use crate::diagnostics::Result;
use crate::setup::TripSpec;
use crate::solve::budget::Budget;
use crate::trip::night::{Sources, plugging};
use crate::trip::pack::Route;
use crate::trip::thing::{Answer, Thing};

/// The sets of each place, and what the adapters leave of the limits.
type Left = (Vec<Vec<Vec<usize>>>, [i64; 3]);

/// What goes with a kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Rest {
    pub(super) worth: Worth,
    /// By adapter of the goods.
    pub(super) adapters: Vec<usize>,
    pub(super) converters: Vec<bool>,
    pub(super) cables: Vec<usize>,
    /// By thing that is not charged every night, its first night, from 0.
    pub(super) first: Vec<u32>,
    /// By place, the sets of sources that can be plugged in, of which one is each night.
    pub(super) sets: Vec<Vec<Vec<usize>>>,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Outcome {
    Least(Rest),
    /// The kit does not do, or only with more than is wanted.
    None,
    /// A limit struck.
    Unknown,
}

/// Everything that all kits have in common.
pub(super) struct Ground<'a> {
    pub(super) goods: &'a Goods,
    pub(super) route: Option<&'a TripSpec>,
    pub(super) places: &'a [Place<'a>],
    pub(super) kinds: &'a [Kind],
    pub(super) now: &'a [Now],
    /// The appliances that come along.
    pub(super) appliances: &'a [Thing<'a>],
    pub(super) by: PackBy,
}

/// What may be taken at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Most {
    pub(super) weight: Option<i64>,
    pub(super) price: Option<i64>,
    pub(super) pieces: Option<i64>,
}

impl Most {
    pub(super) fn holds(&self, worth: &Worth) -> bool {
        let within = |most: Option<i64>, own: i64| most.is_none_or(|most| own <= most);
        within(self.weight, worth.weight)
            && within(self.price, worth.price)
            && within(self.pieces, worth.pieces)
    }
}

impl Ground<'_> {
    pub(super) fn kit_worth(&self, kit: &[usize]) -> Worth {
        let mut worth = Worth::default();
        for &source in kit {
            worth += self.goods.sources[source].worth;
        }
        worth
    }

    /// The kinds of cables, no more of each than there are seats.
    pub(super) fn cables(&self, seats: usize) -> Vec<pieces::Kind> {
        let kind = |good: &super::goods::Good<_>| pieces::Kind {
            worth: good.worth,
            most: good.most.min(seats),
        };
        self.goods.cables.iter().map(kind).collect()
    }
}

/// What the appliances need at least, in what is wanted least, whatever the kit; adapters
/// that a kit may have for their ports count nothing.
pub(super) fn least_for_appliances(ground: &Ground<'_>) -> Result<i64> {
    let Some(route) = ground.route.filter(|_| !ground.appliances.is_empty()) else {
        return Ok(0);
    };
    let kit = Kit::of(ground.goods, route, &[]);
    let things = kit.things();
    let sites = ground.places.iter().filter_map(|place| place.site.as_ref());
    let there: Vec<There<'_>> = sites
        .map(|site| kit.at(site, &things, ground.appliances))
        .collect();
    let asked = Asked {
        ground,
        kit: &[],
        there: &there,
        trip: Some(kit.trip()),
        most: Most::default(),
    };
    let mut kinds = asked.adapters();
    for (kind, good) in kinds.iter_mut().zip(&ground.goods.adapters) {
        if good.spec.charger.is_some() {
            kind.worth = Worth::default();
        }
    }
    let mut search = pieces::Search::new(&kinds, &[], ground.by);
    let found = search.next(None, |counts| {
        let missing = asked.unheld(counts);
        Ok(missing.map_or(Said::Enough(Vec::new()), Said::More))
    })?;
    Ok(match found {
        Least::Counts(_, worth) => worth.key(ground.by)[0],
        Least::None | Least::Unknown => 0,
    })
}

/// A kit while it is asked what goes with it.
struct Asked<'g, 'a> {
    ground: &'g Ground<'a>,
    kit: &'g [usize],
    /// By place of a route, what the kit can do there.
    there: &'g [There<'g>],
    trip: Option<&'g TripSpec>,
    most: Most,
}

/// The least that makes a kit serve, within `most`, for no more than `below` in all.
pub(super) fn least(
    ground: &Ground<'_>,
    kit: &[usize],
    (most, below): (Most, Option<[i64; 3]>),
    hall: &[Need],
    targets: &Targets<'_>,
    oracle: &mut Oracle<'_>,
    budget: &mut Budget,
) -> Result<Outcome> {
    let on_route = ground.route.map(|route| Kit::of(ground.goods, route, kit));
    let things = on_route.as_ref().map(Kit::things).unwrap_or_default();
    let sites = ground.places.iter().filter_map(|place| place.site.as_ref());
    let there: Vec<There<'_>> = match &on_route {
        Some(kit) => sites
            .map(|site| kit.at(site, &things, ground.appliances))
            .collect(),
        None => Vec::new(),
    };
    let asked = Asked {
        ground,
        kit,
        there: &there,
        trip: on_route.as_ref().map(Kit::trip),
        most,
    };
    asked.least(below, hall, targets, oracle, budget)
}

impl Asked<'_, '_> {
    fn least(
        &self,
        below: Option<[i64; 3]>,
        hall: &[Need],
        targets: &Targets<'_>,
        oracle: &mut Oracle<'_>,
        budget: &mut Budget,
    ) -> Result<Outcome> {
        let (ground, by) = (self.ground, self.ground.by);
        let own = ground.kit_worth(self.kit);
        let seats = |&source: &usize| ground.goods.sources[source].spec.charger.ports.len();
        let cables = ground.cables(self.kit.iter().map(seats).sum());
        // What the cables are worth at least, whatever is plugged in where.
        let bare =
            pieces::Search::new(&cables, hall, by).next(None, |_| Ok(Said::Enough(Vec::new())))?;
        let Least::Counts(_, least_cables) = bare else {
            return Ok(Outcome::None);
        };
        let adapters = self.adapters();
        // What fails with all of them fails with fewer.
        let all: Vec<usize> = adapters.iter().map(|kind| kind.most).collect();
        match self.plugged(&all, targets, oracle, budget)? {
            Said::Enough(_) => {}
            Said::More(_) | Said::Need(_) => return Ok(Outcome::None),
            Said::Unknown => return Ok(Outcome::Unknown),
        }
        let with_all = self.sets(&all);
        let every_cable: Vec<usize> = cables.iter().map(|kind| kind.most).collect();
        match self.calendar(&with_all, &every_cable, targets, oracle, budget)? {
            Nights::Go(_) => {}
            Nights::Fail => return Ok(Outcome::None),
            Nights::Unknown => return Ok(Outcome::Unknown),
        }
        let mut search = pieces::Search::new(&adapters, &[], by);
        let mut best: Option<Rest> = None;
        // By the sets, and within limits also by what the adapters leave of them.
        let mut known: BTreeMap<Left, Option<Taken>> = BTreeMap::new();
        loop {
            let to_beat = match &best {
                Some(rest) => Some((own + rest.worth).key(by)),
                None => below,
            };
            // What adapters may be worth beside the kit and the least cables.
            let base = (own + least_cables).key(by);
            let left = to_beat.map(|most| minus(most, base));
            let found = search.next(left, |counts| {
                Ok(match self.plugged(counts, targets, oracle, budget)? {
                    // More of what brings nothing more into the wall is of no use.
                    Said::Enough(_) => Said::Enough(self.would_plug_more(counts, &with_all)),
                    other => other,
                })
            })?;
            let (counts, worth) = match found {
                Least::Counts(counts, worth) => (counts, worth),
                Least::None => break,
                Least::Unknown => return Ok(Outcome::Unknown),
            };
            let sets = self.sets(&counts);
            if !self.most.holds(&(own + worth)) {
                continue;
            }
            let beside = own + worth;
            let limited = self.most != Most::default();
            let asked = (sets, if limited { beside.key(by) } else { [0; 3] });
            let served = if let Some(served) = known.get(&asked) {
                served.clone()
            } else {
                let left = to_beat.map(|most| minus(most, beside.key(by)));
                let served = self.cables(
                    (&cables, hall),
                    beside,
                    left,
                    &asked.0,
                    targets,
                    oracle,
                    budget,
                )?;
                let served = match served {
                    Served::By(cables, first) => Some((cables, first)),
                    Served::None => None,
                    Served::Unknown => return Ok(Outcome::Unknown),
                };
                known.insert(asked.clone(), served.clone());
                served
            };
            let Some((taken, first)) = served else {
                if budget.is_spent() {
                    return Ok(Outcome::Unknown);
                }
                continue;
            };
            let mut all = worth;
            for (kind, &count) in cables.iter().zip(&taken) {
                all += kind.worth.times(count);
            }
            let key = (own + all).key(by);
            if to_beat.is_none_or(|to_beat| key < to_beat || best.is_none()) {
                let (adapters, converters) = counts.split_at(ground.goods.adapters.len());
                best = Some(Rest {
                    worth: all,
                    adapters: adapters.to_vec(),
                    converters: converters.iter().map(|&count| count > 0).collect(),
                    cables: taken,
                    first,
                    sets: asked.0,
                });
            }
        }
        Ok(best.map_or(Outcome::None, Outcome::Least))
    }

    /// The kinds of adapters and, after them, the converters.
    fn adapters(&self) -> Vec<pieces::Kind> {
        let Some(trip) = self.trip else {
            return Vec::new();
        };
        let goods = self.ground.goods;
        let adapters = trip.adapters.iter().zip(&goods.adapters);
        let adapters = adapters.map(|(adapter, good)| pieces::Kind {
            worth: good.worth,
            most: usize::try_from(adapter.count).unwrap_or(0),
        });
        let converters = goods.converters.iter().map(|good| pieces::Kind {
            worth: good.worth,
            most: 1,
        });
        adapters.chain(converters).collect()
    }

    /// With so many adapters, and the kit's own, how many there are of each of the trip's.
    fn counts(&self, counts: &[usize]) -> Vec<usize> {
        let of_goods = self.ground.goods.adapters.len();
        let own = self.trip.map_or(0, |trip| trip.adapters.len() - of_goods);
        let mut all = counts[..of_goods].to_vec();
        all.extend(std::iter::repeat_n(1, own));
        all
    }

    /// By place with a night, the sets of sources that can be plugged in there, none of which
    /// is part of another.
    fn sets(&self, counts: &[usize]) -> Vec<Vec<Vec<usize>>> {
        let of_place = |(at, place): (usize, &Place<'_>)| -> Vec<Vec<usize>> {
            let Some((there, trip)) = self.there.get(at).zip(self.trip) else {
                return vec![self.kit.to_vec()];
            };
            let Some(site) = place.site.as_ref().filter(|_| place.nights > 0) else {
                return Vec::new();
            };
            let counts = self.counts(counts);
            let can = |set: Sources| plugging(set, &there.answers, site, trip, &counts).is_some();
            let mut largest: Vec<Sources> = Vec::new();
            for &set in there.sets.iter().rev() {
                if !largest.iter().any(|larger| set & !larger == 0) && can(set) {
                    largest.push(set);
                }
            }
            let sources = |set: Sources| -> Vec<usize> {
                let kit = self.kit.iter().enumerate();
                let there = kit.filter(|(at, _)| set >> at & 1 == 1);
                there.map(|(_, &source)| source).collect()
            };
            let mut sets: Vec<Vec<usize>> = largest.into_iter().map(sources).collect();
            sets.sort_unstable();
            sets.dedup();
            sets
        };
        self.ground
            .places
            .iter()
            .enumerate()
            .map(of_place)
            .collect()
    }

    /// Whether with so many adapters the things of every night are served everywhere, given
    /// all cables, and every appliance has its way.
    fn plugged(
        &self,
        counts: &[usize],
        targets: &Targets<'_>,
        oracle: &mut Oracle<'_>,
        budget: &mut Budget,
    ) -> Result<Said> {
        budget.spend(1);
        if budget.is_spent() {
            return Ok(Said::Unknown);
        }
        if let Some(missing) = self.unheld(counts) {
            return Ok(Said::More(missing));
        }
        let sets = self.sets(counts);
        let cables = self.ground.goods.every_cable();
        for (at, place) in self.ground.places.iter().enumerate() {
            if place.nights == 0 {
                continue;
            }
            let night = Night {
                session: place.session,
                charged: Vec::new(),
            };
            let target = targets.of(at, &[]);
            match passes(&sets[at], &night, &cables, &target, oracle, budget)? {
                Some(true) => {}
                Some(false) => return Ok(Said::More(self.would_plug(at))),
                None => return Ok(Said::Unknown),
            }
        }
        Ok(Said::Enough(Vec::new()))
    }

    /// The adapters that could bring more of the kit into the wall anywhere than so many do.
    fn would_plug_more(&self, counts: &[usize], with_all: &[Vec<Vec<usize>>]) -> Vec<usize> {
        let now = self.sets(counts);
        let places = (0..with_all.len()).filter(|&place| now[place] != with_all[place]);
        let mut more: Vec<usize> = places.flat_map(|place| self.would_plug(place)).collect();
        more.sort_unstable();
        more.dedup();
        more
    }

    /// What an appliance lacks that has no way somewhere.
    fn unheld(&self, counts: &[usize]) -> Option<Vec<usize>> {
        let mut all = self.there.iter().flat_map(|there| &there.appliances);
        let without =
            all.find(|ways| !ways.is_empty() && !ways.iter().any(|way| self.holds(*way, counts)));
        without.map(|ways| self.would_hold(ways, counts))
    }

    fn holds(&self, way: Route, counts: &[usize]) -> bool {
        let adapters = self.ground.goods.adapters.len();
        let adapter = way.adapter.filter(|&adapter| adapter < adapters);
        adapter.is_none_or(|adapter| counts[adapter] > 0)
            && way
                .converter
                .is_none_or(|converter| counts[adapters + converter] > 0)
    }

    /// What is missing of the ways of an appliance.
    fn would_hold(&self, ways: &[Route], counts: &[usize]) -> Vec<usize> {
        let adapters = self.ground.goods.adapters.len();
        let parts = ways.iter().flat_map(|way| {
            let adapter = way.adapter.filter(|&adapter| adapter < adapters);
            let converter = way.converter.map(|converter| adapters + converter);
            adapter.into_iter().chain(converter)
        });
        let mut missing: Vec<usize> = parts.filter(|&part| counts[part] == 0).collect();
        missing.sort_unstable();
        missing.dedup();
        missing
    }

    /// The adapters that could bring something of the kit into the wall at a place.
    fn would_plug(&self, place: usize) -> Vec<usize> {
        let Some(there) = self.there.get(place) else {
            return Vec::new();
        };
        let adapters = self.ground.goods.adapters.len();
        let links = there.answers.iter().flat_map(Answer::usable);
        let through = links.filter_map(|link| link.adapter);
        let mut through: Vec<usize> = through.filter(|&at| at < adapters).collect();
        through.sort_unstable();
        through.dedup();
        through
    }

    /// The least cables with which every night goes well, with what can be plugged in.
    #[expect(clippy::too_many_arguments, reason = "what a question is made of")]
    fn cables(
        &self,
        (kinds, hall): (&[pieces::Kind], &[Need]),
        beside: Worth,
        left: Option<[i64; 3]>,
        sets: &[Vec<Vec<usize>>],
        targets: &Targets<'_>,
        oracle: &mut Oracle<'_>,
        budget: &mut Budget,
    ) -> Result<Served> {
        // What has failed: with at most so many of each.
        let mut failed: Vec<Vec<usize>> = Vec::new();
        let mut first = Vec::new();
        let sorts = self.ground.goods.sorts(&oracle.setup.devices);
        let mut search = pieces::Search::new(kinds, hall, self.ground.by);
        let worth = |counts: &[usize]| {
            let mut worth = beside;
            for (kind, &count) in kinds.iter().zip(counts) {
                worth += kind.worth.times(count);
            }
            worth
        };
        let beyond = |counts: &[usize], failed: &[usize]| -> Option<Vec<usize>> {
            let more = counts
                .iter()
                .zip(failed)
                .any(|(count, failed)| count > failed);
            (!more).then(|| {
                let kinds = (0..kinds.len()).filter(|&kind| failed[kind] < kinds[kind].most);
                kinds.collect()
            })
        };
        let most = self.most;
        let found = search.next(left, |counts| {
            if let Some(more) = failed.iter().find_map(|failed| beyond(counts, failed)) {
                return Ok(Said::More(more));
            }
            if !most.holds(&worth(counts)) {
                return Ok(Said::More(Vec::new()));
            }
            let mut fails = |counts: &[usize], budget: &mut Budget| {
                self.calendar(sets, counts, targets, oracle, budget)
            };
            match fails(counts, budget)? {
                Nights::Go(calendar) => {
                    first = calendar;
                    Ok(Said::Enough(Vec::new()))
                }
                Nights::Unknown => Ok(Said::Unknown),
                Nights::Fail => {
                    // With as many of each sort, all of them the best of it.
                    for (sort, best) in &sorts {
                        let there: usize = sort.iter().map(|&kind| counts[kind]).sum();
                        let mut better: Vec<usize> = kinds.iter().map(|kind| kind.most).collect();
                        for &kind in sort {
                            better[kind] = 0;
                        }
                        better[*best] = there;
                        if matches!(fails(&better, budget)?, Nights::Fail) {
                            let needs = i64::try_from(there).unwrap_or(i64::MAX) + 1;
                            return Ok(Said::Need((sort.clone(), needs)));
                        }
                    }
                    let mut weak = counts.to_vec();
                    for kind in 0..kinds.len() {
                        if weak[kind] < kinds[kind].most {
                            let mut more = weak.clone();
                            more[kind] = kinds[kind].most;
                            if matches!(fails(&more, budget)?, Nights::Fail) {
                                weak = more;
                            }
                        }
                    }
                    let more = beyond(counts, &weak).unwrap_or_default();
                    failed.push(weak);
                    Ok(Said::More(more))
                }
            }
        })?;
        Ok(match found {
            Least::Counts(counts, _) => Served::By(counts, first),
            Least::None => Served::None,
            Least::Unknown => Served::Unknown,
        })
    }

    /// A choice of nights with which all of them go well.
    fn calendar(
        &self,
        sets: &[Vec<Vec<usize>>],
        cables: &[usize],
        targets: &Targets<'_>,
        oracle: &mut Oracle<'_>,
        budget: &mut Budget,
    ) -> Result<Nights> {
        let mut first = Vec::new();
        let mut unknown = false;
        let mut asked = (targets, oracle, budget);
        let found = self.from(&mut first, (sets, cables), &mut unknown, &mut asked)?;
        Ok(match (found, unknown) {
            (true, _) => Nights::Go(first),
            (false, true) => Nights::Unknown,
            (false, false) => Nights::Fail,
        })
    }

    /// Goes on from the first nights of the first things: with them alone every night goes
    /// well, or no choice for the others helps.
    fn from(
        &self,
        first: &mut Vec<u32>,
        (sets, cables): (&[Vec<Vec<usize>>], &[usize]),
        unknown: &mut bool,
        asked: &mut (&Targets<'_>, &mut Oracle<'_>, &mut Budget),
    ) -> Result<bool> {
        let now = self.ground.now;
        for kind in self.ground.kinds {
            let night = Night {
                session: self.ground.places[kind.stop].session,
                charged: charged(kind, now, first),
            };
            let (targets, oracle, budget) = asked;
            let target = targets.of(kind.stop, &night.charged);
            match passes(&sets[kind.stop], &night, cables, &target, oracle, budget)? {
                Some(true) => {}
                Some(false) => return Ok(false),
                None => {
                    *unknown = true;
                    return Ok(false);
                }
            }
        }
        let Some(next) = now.get(first.len()) else {
            return Ok(true);
        };
        let least = first.last().filter(|_| next.twin).copied().unwrap_or(0);
        let busy = |night: u32| {
            let others = now.iter().zip(first.iter());
            others
                .filter(|(now, first)| night % now.every == **first)
                .count()
        };
        let mut open: Vec<u32> = (least..next.every).collect();
        open.sort_by_key(|&night| busy(night));
        for night in open {
            first.push(night);
            if self.from(first, (sets, cables), unknown, asked)? {
                return Ok(true);
            }
            first.pop();
        }
        Ok(false)
    }
}

/// Cables by kind, and by thing its first night.
type Taken = (Vec<usize>, Vec<u32>);

/// The cables that serve, with the nights on which things are charged.
enum Served {
    By(Vec<usize>, Vec<u32>),
    None,
    Unknown,
}

enum Nights {
    /// By thing, its first night.
    Go(Vec<u32>),
    Fail,
    Unknown,
}

/// Whether a night goes as well as it can with one of these sets; none where that is not
/// known.
fn passes(
    sets: &[Vec<usize>],
    night: &Night,
    cables: &[usize],
    target: &Counts,
    oracle: &mut Oracle<'_>,
    budget: &mut Budget,
) -> Result<Option<bool>> {
    let mut known = true;
    // Nothing plugged in, where nothing can be.
    let none = [Vec::new()];
    let sets = if sets.is_empty() { &none } else { sets };
    for set in sets {
        if budget.is_spent() {
            return Ok(None);
        }
        let (counts, proven) = oracle.counts(set, night, cables, budget)?;
        if counts <= *target {
            return Ok(Some(true));
        }
        known &= proven;
    }
    Ok(known.then_some(false))
}

/// The difference of two keys: what is left for the rest. As keys are compared in order, it
/// is in order, too.
fn minus(most: [i64; 3], own: [i64; 3]) -> [i64; 3] {
    [0, 1, 2].map(|at| most[at] - own[at])
}
