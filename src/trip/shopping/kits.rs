//! The kit of chargers: by branch and bound over kits, the least worth first.
//!
//! A kit grows by one source at a time, in the order of the goods. How much the needs that
//! it does not meet yet cost at least bounds all kits that it grows into (each need by
//! itself, at the price of who gives the most for it; or all together, at prices with which
//! no source gives more than it is worth); a kit that meets them all is asked what goes with
//! it. The first that no open kit can undercut is the least.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::Targets;
use super::bounds::{Needs, Row};
use super::goods::Worth;
use super::oracle::Oracle;
use super::pieces::{self, Least, Said};
use super::rest::{Ground, Most, Outcome, Rest, least, least_for_appliances};
use crate::diagnostics::Result;
use crate::limits::SOURCES;
use crate::solve::backend::most_within;
use crate::solve::budget::Budget;
use crate::units::as_float;

/// A bag that serves.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Bag {
    /// The sources, those that are alike next to one another.
    pub(super) kit: Vec<usize>,
    pub(super) rest: Rest,
    /// Of all of it.
    pub(super) worth: Worth,
}

/// What the search for a bag came to.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) bag: Option<Bag>,
    /// No bag is below it.
    pub(super) bound: [i64; 3],
    pub(super) proven: bool,
}

/// What kits are searched with.
pub(super) struct Search<'s, 'a> {
    pub(super) ground: &'s Ground<'a>,
    /// By place, what nights of its length need.
    pub(super) needs: &'s [Needs],
    /// By place, its length's place in `needs`.
    pub(super) of_place: &'s [usize],
    /// By place and source.
    pub(super) plugs: &'s [Vec<bool>],
}

/// A good bag gets one of so many parts of the budget.
const PARTS_FOR_A_GOOD_ONE: usize = 4;

/// How often what a kit lacks is counted once more, to find a good one soon.
const GREED: i64 = 3;

/// The most kits that are kept in mind, of about 100 bytes each.
const MOST_OPEN: usize = 1_000_000;

/// How many kits are listed in one step.
const KITS_PER_STEP: usize = 8;

impl Search<'_, '_> {
    /// The least bag within `most`, for less than `below` where that is given. Where nothing is
    /// to be beaten yet, a good bag is looked for first.
    pub(super) fn least(
        &self,
        most: Most,
        below: Option<[i64; 3]>,
        targets: &Targets<'_>,
        oracle: &mut Oracle<'_>,
        budget: &mut Budget,
    ) -> Result<Found> {
        let floor = self.floor()?;
        let good = if below.is_some() {
            None
        } else {
            let found = budget.share(PARTS_FOR_A_GOOD_ONE, |part| {
                self.search(&floor, true, (most, None), targets, oracle, part)
            })?;
            if found.bag.is_none() && found.proven {
                // All were gone through.
                return Ok(found);
            }
            found.bag
        };
        let by = self.ground.by;
        let to_beat = good.as_ref().map(|bag| bag.worth.key(by)).or(below);
        let found = self.search(&floor, false, (most, to_beat), targets, oracle, budget)?;
        let bag = found.bag.or(good);
        let least = bag.as_ref().map(|bag| bag.worth.key(by));
        Ok(Found {
            bound: least.filter(|_| found.proven).unwrap_or(found.bound),
            proven: found.proven,
            bag,
        })
    }

    /// Goes through the kits by their bounds; `greedily` by what is known of them with what
    /// they lack counted more than once, up to the first bag.
    fn search(
        &self,
        floor: &Floor,
        greedily: bool,
        (most, below): (Most, Option<[i64; 3]>),
        targets: &Targets<'_>,
        oracle: &mut Oracle<'_>,
        budget: &mut Budget,
    ) -> Result<Found> {
        let goods = self.ground.goods;
        let by = self.ground.by;
        let Floor { rows, beside } = floor;
        let mut open = BinaryHeap::new();
        let mut found = Found {
            bag: None,
            bound: [0; 3],
            proven: true,
        };
        let mut to_beat = below;
        let mut bag: Option<Bag> = None;
        if let Some(more) = rows.left(&[], 0) {
            let bound = [more + beside, 0, 0];
            open.push(Reverse((0, bound, Vec::<usize>::new())));
        }
        let mut listed = 0_usize;
        while let Some(Reverse((_, bound, kit))) = open.pop() {
            found.bound = bound;
            if to_beat.is_some_and(|to_beat| bound >= to_beat) {
                found.bound = to_beat.unwrap_or(bound);
                break;
            }
            if greedily && bag.is_some() {
                break;
            }
            if budget.is_spent() || open.len() > MOST_OPEN {
                found.proven = false;
                break;
            }
            if !kit.is_empty() && rows.are_met(&kit) {
                let hall = self.hall(&kit);
                match least(
                    self.ground,
                    &kit,
                    (most, to_beat),
                    &hall,
                    targets,
                    oracle,
                    budget,
                )? {
                    Outcome::None => {}
                    Outcome::Unknown => found.proven = false,
                    Outcome::Least(rest) => {
                        let worth = self.ground.kit_worth(&kit) + rest.worth;
                        let key = worth.key(by);
                        if to_beat.is_none_or(|to_beat| key < to_beat) && most.holds(&worth) {
                            to_beat = Some(key);
                            bag = Some(Bag {
                                kit: kit.clone(),
                                rest,
                                worth,
                            });
                        }
                    }
                }
            }
            if kit.len() == SOURCES.most {
                continue;
            }
            for next in kit.last().copied().unwrap_or(0)..goods.sources.len() {
                let taken = kit
                    .iter()
                    .rev()
                    .take_while(|&&source| source == next)
                    .count();
                if taken >= goods.sources[next].most {
                    continue;
                }
                listed += 1;
                if listed.is_multiple_of(KITS_PER_STEP) {
                    budget.spend(1);
                }
                let mut more = kit.clone();
                more.push(next);
                let worth = self.ground.kit_worth(&more);
                let [least, second, third] = worth.key(by);
                let Some(left) = rows.left(&more, next) else {
                    continue;
                };
                let bound = [least + left + beside, second, third];
                if most.holds(&worth) && to_beat.is_none_or(|to_beat| bound < to_beat) {
                    let lacks = if greedily { GREED * left } else { 0 };
                    open.push(Reverse((bound[0] + lacks, bound, more)));
                }
            }
        }
        found.bag = bag;
        Ok(found)
    }

    /// What every kit is held against.
    fn floor(&self) -> Result<Floor> {
        let sources = &self.ground.goods.sources;
        let by = self.ground.by;
        let first: Vec<i64> = sources.iter().map(|s| s.worth.key(by)[0]).collect();
        let passes = sources.iter().map(|source| source.spec.adapter.is_some());
        Ok(Floor {
            rows: Rows::of(self.rows(), &first, passes.collect()),
            beside: self.least_cables()? + least_for_appliances(self.ground)?,
        })
    }

    fn rows(&self) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        for (at, place) in self.ground.places.iter().enumerate() {
            if place.nights > 0 {
                let needs = &self.needs[self.of_place[at]];
                rows.extend(needs.rows(&self.plugs[at], place.nights, self.most_at(at)));
            }
        }
        rows.sort_unstable();
        rows.dedup();
        rows
    }

    /// How many chargers go into the outlets of a place at most, and how many adapters with
    /// ports: a charger may go through one of those, and takes then no outlet of its own.
    fn most_at(&self, place: usize) -> Option<usize> {
        let site = self.ground.places[place].site.as_ref()?;
        usize::try_from(site.stop.outlets?).ok()
    }

    /// The cables that a kit needs wherever it is plugged in.
    fn hall(&self, kit: &[usize]) -> Vec<(Vec<usize>, i64)> {
        let mut rows = Vec::new();
        for (at, place) in self.ground.places.iter().enumerate() {
            if place.nights > 0 {
                let plugs = &self.plugs[at];
                let mut sources: Vec<usize> = kit
                    .iter()
                    .copied()
                    .filter(|&source| plugs[source])
                    .collect();
                sources.dedup();
                rows.extend(self.needs[self.of_place[at]].cables(&sources, place.nights));
            }
        }
        rows.sort_unstable();
        rows.dedup();
        rows
    }

    /// What the cables are worth at least, in what is wanted least, whatever the kit.
    fn least_cables(&self) -> Result<i64> {
        let goods = self.ground.goods;
        let all: Vec<usize> = (0..goods.sources.len()).collect();
        let kinds = self.ground.cables(usize::MAX);
        let needs = self.hall(&all);
        let mut search = pieces::Search::new(&kinds, &needs, self.ground.by);
        Ok(match search.next(None, |_| Ok(Said::Enough(Vec::new())))? {
            Least::Counts(_, worth) => worth.key(self.ground.by)[0],
            Least::None | Least::Unknown => 0,
        })
    }
}

/// What every kit is held against: its needs, and what goes with it at least, in what is
/// wanted least.
struct Floor {
    rows: Rows,
    beside: i64,
}

/// The needs, and what meeting them costs at least.
struct Rows {
    all: Vec<Row>,
    /// By row and source: the least price of one of what the row counts, of this source and
    /// those after it; infinite where none gives any.
    rate: Vec<Vec<f64>>,
    /// By row, what one of what it counts is worth at least where all rows are met together:
    /// no source gives more than it is worth.
    together: Vec<f64>,
    /// By source, whether a plug goes into it: an adapter.
    passes: Vec<bool>,
}

impl Rows {
    fn of(rows: Vec<Row>, first: &[i64], passes: Vec<bool>) -> Self {
        let rate = |row: &Row| {
            let mut least = f64::INFINITY;
            let mut rates = vec![least; first.len()];
            for at in (0..first.len()).rev() {
                if row.gives[at] > 0 {
                    least = least.min(as_float(first[at]) / as_float(row.gives[at]));
                }
                rates[at] = least;
            }
            rates
        };
        let rate = rows.iter().map(rate).collect();
        let together = prices(&rows, first);
        Self {
            all: rows,
            rate,
            together,
            passes,
        }
    }

    /// What a kit still lacks. Of so many of a sort at most together, where it does not have
    /// enough at least one is another.
    fn missing(&self, row: &Row, kit: &[usize]) -> i64 {
        let Some(most) = row.most else {
            return row.needs - kit.iter().map(|&source| row.gives[source]).sum::<i64>();
        };
        let (mut sum, mut least) = (0, i64::MAX);
        for passes in [false, true] {
            let of_sort = kit.iter().filter(|&&source| self.passes[source] == passes);
            let mut gives: Vec<i64> = of_sort.map(|&source| row.gives[source]).collect();
            gives.sort_unstable_by(|a, b| b.cmp(a));
            gives.truncate(most);
            sum += gives.iter().sum::<i64>();
            let full = gives.len() == most;
            least = least.min(if full {
                gives.last().copied().unwrap_or(0)
            } else {
                0
            });
        }
        if sum >= row.needs {
            return row.needs - sum;
        }
        row.needs - (sum - least)
    }

    fn are_met(&self, kit: &[usize]) -> bool {
        self.all.iter().all(|row| self.missing(row, kit) <= 0)
    }

    /// What the sources from `from` on cost at least that a kit still lacks; none where they
    /// cannot meet a need.
    fn left(&self, kit: &[usize], from: usize) -> Option<i64> {
        let (mut most, mut all) = (0.0_f64, 0.0);
        for ((row, rate), price) in self.all.iter().zip(&self.rate).zip(&self.together) {
            let missing = self.missing(row, kit);
            if missing <= 0 {
                continue;
            }
            let rate = rate.get(from).copied().unwrap_or(f64::INFINITY);
            if rate.is_infinite() {
                return None;
            }
            most = most.max(rate * as_float(missing));
            all += price * as_float(missing);
        }
        #[expect(
            clippy::cast_possible_truncation,
            reason = "worths of a few things are far below 2^53"
        )]
        let least = (most.max(all) - 1e-6).ceil() as i64;
        Some(least.max(0))
    }
}

/// Prices of what rows count with which their needs come to the most, and no source gives
/// more than it is worth: the dual of the covering program.
fn prices(rows: &[Row], worth: &[i64]) -> Vec<f64> {
    let gives = |source: usize| rows.iter().map(|row| row.gives[source]).collect();
    let limits: Vec<(Vec<i64>, i64)> = (0..worth.len())
        .map(|source| (gives(source), worth[source]))
        .collect();
    let needs: Vec<i64> = rows.iter().map(|row| row.needs).collect();
    let mut prices = most_within(&needs, &limits);
    // Rounding must not make a source look dearer than it is.
    let mut over = 1.0_f64;
    for (gives, worth) in &limits {
        let sum: f64 = gives
            .iter()
            .zip(&prices)
            .map(|(&gives, price)| as_float(gives) * price)
            .sum();
        if sum > as_float(*worth) {
            over = if *worth > 0 {
                over.max(sum / as_float(*worth))
            } else {
                f64::INFINITY
            };
        }
    }
    let scale = if over.is_finite() {
        (1.0 - 1e-9) / over
    } else {
        0.0
    };
    for price in &mut prices {
        *price *= scale;
    }
    prices
}
