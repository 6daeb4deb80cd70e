//! The nights of a calendar, and the search for the ones on which each thing is charged.
//!
//! A thing with `every_nights` n is charged on the nights p, p + n, p + 2n, … for one p from
//! 1 to n: so of any n nights in a row it has one. Which p each thing takes is searched
//! depth first. With more to charge no night gets better, so what is known of some of the
//! things bounds what can be had with all of them.

use std::cmp::Ordering;
use std::collections::BTreeMap;

use crate::diagnostics::{Error, Fault, Result};
use crate::plan::objective::ObjectiveValue;

/// The most kinds of nights of one calendar: nights at one stop that are the same whatever
/// is charged when are one kind.
const MOST_KINDS: usize = 4_096;

/// The furthest that a calendar goes where nothing says how far.
const MOST_NIGHTS: u32 = 14;

/// A thing that is not charged every night.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Now {
    /// Index into the setup's devices.
    pub(crate) device: usize,
    pub(crate) every: u32,
    /// Whether nothing tells it from the one before it.
    pub(crate) twin: bool,
}

/// Nights that are alike whatever is charged when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Kind {
    /// Which of the stops.
    pub(crate) stop: usize,
    /// The nights, counted from 1 through the whole route.
    pub(crate) nights: Vec<u32>,
}

impl Kind {
    /// Whether a thing that is charged first on night `first`, counted from 0, is charged
    /// on these.
    pub(crate) fn has(&self, every: u32, first: u32) -> bool {
        (self.nights[0] - 1) % every == first
    }
}

/// How many nights hold every thing a whole number of times, at most fourteen.
pub(crate) fn whole(now: &[Now]) -> u32 {
    let cycle = now.iter().map(|now| now.every).fold(1, lcm);
    cycle.min(MOST_NIGHTS)
}

fn lcm(a: u32, b: u32) -> u32 {
    let (mut x, mut y) = (a, b);
    while y > 0 {
        (x, y) = (y, x % y);
    }
    (a / x.max(1)).saturating_mul(b)
}

/// The kinds of nights of a route with so many nights at each stop, in their order.
///
/// # Errors
/// [`Error::Input`] where there are too many.
pub(crate) fn kinds(nights: &[u32], now: &[Now]) -> Result<Vec<Kind>> {
    let mut every: Vec<u32> = now.iter().map(|now| now.every).collect();
    every.sort_unstable();
    every.dedup();
    let mut kinds: Vec<Kind> = Vec::new();
    let mut night = 0_u32;
    for (stop, &count) in nights.iter().enumerate() {
        let mut known: BTreeMap<Vec<u32>, usize> = BTreeMap::new();
        for _ in 0..count {
            let rest: Vec<u32> = every.iter().map(|every| night % every).collect();
            night = night.saturating_add(1);
            if let Some(&kind) = known.get(&rest) {
                kinds[kind].nights.push(night);
                continue;
            }
            if kinds.len() == MOST_KINDS {
                return Err(too_many());
            }
            known.insert(rest, kinds.len());
            kinds.push(Kind {
                stop,
                nights: vec![night],
            });
        }
    }
    Ok(kinds)
}

fn too_many() -> Error {
    Error::Input(vec![Fault {
        path: "devices".to_owned(),
        message: format!(
            "with these `every_nights` there are more than {MOST_KINDS} different nights; let \
             more of them be the same, or divide one another"
        ),
        ..Fault::default()
    }])
}

/// What is charged on nights of a kind, of the things whose first night is settled.
pub(crate) fn charged(kind: &Kind, now: &[Now], first: &[u32]) -> Vec<usize> {
    now.iter()
        .zip(first)
        .filter(|(now, first)| kind.has(now.every, **first))
        .map(|(now, _)| now.device)
        .collect()
}

/// What a night comes to.
pub(crate) trait NightValue: Clone {
    /// The better is the lesser.
    fn order(&self, other: &Self) -> Ordering;

    /// Whether every night on which at least as much is charged is worse than `other`.
    fn stays_worse_than(&self, other: &Self) -> bool;
}

/// Where a night's plan stands in the plan's order.
#[derive(Debug, Clone)]
pub(crate) struct NightStanding {
    pub(crate) value: ObjectiveValue,
    /// By how much each place of its times may exceed its least, in whole 1e-6 h.
    pub(crate) tolerance: i64,
}

impl NightValue for NightStanding {
    fn order(&self, other: &Self) -> Ordering {
        self.value.compare(&other.value)
    }

    fn stays_worse_than(&self, other: &Self) -> bool {
        self.value.stays_worse_than(&other.value, self.tolerance)
    }
}

/// The calendar that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Found {
    /// By thing, the first night on which it is charged, counted from 0.
    pub(crate) first: Vec<u32>,
    /// Whether no other is known to be better.
    pub(crate) proven: bool,
}

/// The calendar whose worst night is best, then whose next worst is, night by night.
pub(crate) fn best<V: NightValue>(
    kinds: &[Kind],
    now: &[Now],
    value: impl FnMut(usize, &[usize]) -> Result<Option<V>>,
) -> Result<Found> {
    let mut search = Search {
        kinds,
        now,
        value,
        known: BTreeMap::new(),
        best: None,
        proven: true,
    };
    search.from(&mut Vec::new())?;
    let proven = search.proven;
    let first = match search.best {
        Some((first, _)) => first,
        // Nothing could be looked at: one after the other.
        None => (0..).zip(now).map(|(at, now)| at % now.every).collect(),
    };
    Ok(Found { first, proven })
}

/// A night's value, and how many nights have it.
type Nights<V> = Vec<(V, usize)>;

struct Search<'a, V, F> {
    kinds: &'a [Kind],
    now: &'a [Now],
    /// Of a stop, with the things that are charged beside those of every night; none where a
    /// limit struck.
    value: F,
    known: BTreeMap<(usize, Vec<usize>), V>,
    best: Option<(Vec<u32>, Nights<V>)>,
    proven: bool,
}

impl<V: NightValue, F: FnMut(usize, &[usize]) -> Result<Option<V>>> Search<'_, V, F> {
    /// Goes on from what is settled of the first things.
    fn from(&mut self, first: &mut Vec<u32>) -> Result<()> {
        let Some(nights) = self.nights(first)? else {
            self.proven = false;
            return Ok(());
        };
        if let Some((_, best)) = &self.best
            && let (Some((worst, _)), Some((to_beat, _))) = (nights.first(), best.first())
            && worst.stays_worse_than(to_beat)
        {
            return Ok(());
        }
        let Some(next) = self.now.get(first.len()) else {
            let better = |best: &Nights<V>| worse_first(&nights, best) == Ordering::Less;
            if self.best.as_ref().is_none_or(|(_, best)| better(best)) {
                self.best = Some((first.clone(), nights));
            }
            return Ok(());
        };
        // The emptiest nights first: mostly that is the answer.
        let least = first.last().filter(|_| next.twin).copied().unwrap_or(0);
        let mut open: Vec<u32> = (least..next.every).collect();
        let busy = |night: u32| {
            let others = self.now.iter().zip(first.iter());
            let with = others.filter(|(now, first)| night % now.every == **first);
            with.count()
        };
        open.sort_by_key(|&night| busy(night));
        for night in open {
            first.push(night);
            self.from(first)?;
            first.pop();
            if !self.proven && self.best.is_some() {
                break;
            }
        }
        Ok(())
    }

    /// The nights with what is settled, the worst first.
    fn nights(&mut self, first: &[u32]) -> Result<Option<Nights<V>>> {
        let mut nights: Nights<V> = Vec::with_capacity(self.kinds.len());
        for kind in self.kinds {
            let key = (kind.stop, charged(kind, self.now, first));
            let value = match self.known.get(&key) {
                Some(known) => known.clone(),
                None => match (self.value)(key.0, &key.1)? {
                    Some(value) => {
                        self.known.insert(key, value.clone());
                        value
                    }
                    None => return Ok(None),
                },
            };
            nights.push((value, kind.nights.len()));
        }
        nights.sort_by(|(one, _), (other, _)| other.order(one));
        Ok(Some(nights))
    }
}

/// Compares two calendars of as many nights by the worst night, then by the next.
fn worse_first<V: NightValue>(one: &Nights<V>, other: &Nights<V>) -> Ordering {
    let (mut one_at, mut other_at) = ((0, 0), (0, 0));
    loop {
        let (Some((a, most_a)), Some((b, most_b))) = (one.get(one_at.0), other.get(other_at.0))
        else {
            return Ordering::Equal;
        };
        let order = a.order(b);
        if order != Ordering::Equal {
            return order;
        }
        let step = (most_a - one_at.1).min(most_b - other_at.1);
        for (at, most) in [(&mut one_at, most_a), (&mut other_at, most_b)] {
            at.1 += step;
            if at.1 == *most {
                *at = (at.0 + 1, 0);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How much is charged.
    impl NightValue for u32 {
        fn order(&self, other: &Self) -> Ordering {
            self.cmp(other)
        }

        fn stays_worse_than(&self, other: &Self) -> bool {
            self > other
        }
    }

    fn now(every: &[u32]) -> Vec<Now> {
        let things = every.iter().enumerate();
        let thing = |(device, &every): (usize, &u32)| Now {
            device,
            every,
            twin: false,
        };
        things.map(thing).collect()
    }

    fn loads(nights: &[u32], now: &[Now], loads: &[u32]) -> (Vec<u32>, bool) {
        let kinds = kinds(nights, now).expect("few");
        let found = best(&kinds, now, |_, charged| {
            Ok(Some(
                charged.iter().map(|&device| loads[device]).sum::<u32>(),
            ))
        });
        let found = found.expect("sums");
        (found.first, found.proven)
    }

    /// Six things over three nights, as loads are levelled: 9 + 2, 7 + 4 and 6 + 5 are 11
    /// each, and no three nights do better, for 33 in all are 11 a night.
    #[test]
    fn loads_are_levelled() {
        let every = [3; 6];
        let things = now(&every);
        let (first, proven) = loads(&[3], &things, &[9, 7, 6, 5, 4, 2]);
        assert!(proven);
        let mut nights = [0; 3];
        for (at, load) in first.iter().zip([9, 7, 6, 5, 4, 2]) {
            nights[usize::try_from(*at).expect("small")] += load;
        }
        assert_eq!(nights, [11, 11, 11]);
    }

    /// The worst night, then the next, against trying every calendar.
    #[test]
    fn nothing_is_better_than_the_best() {
        let mut seed = 11_u32;
        let mut next = |below: u32| {
            seed = seed.wrapping_mul(1_103_515_245).wrapping_add(12_345);
            (seed >> 16) % below
        };
        for _ in 0..200 {
            let every: Vec<u32> = (0..4).map(|_| 1 + next(4)).collect();
            let weights: Vec<u32> = (0..4).map(|_| 1 + next(9)).collect();
            let things = now(&every);
            let route = [1 + next(3), next(5)];
            let worst_first = |first: &[u32]| {
                let all = kinds(&route, &things).expect("few");
                let mut nights: Vec<u32> = Vec::new();
                for kind in &all {
                    let load = (0..4).filter(|&at| kind.has(every[at], first[at]));
                    let load: u32 = load.map(|at| weights[at]).sum();
                    nights.extend(kind.nights.iter().map(|_| load));
                }
                nights.sort_unstable_by(|a, b| b.cmp(a));
                nights
            };
            let mut least: Option<Vec<u32>> = None;
            let all = every.iter().product();
            for mut number in 0..all {
                let first: Vec<u32> = every
                    .iter()
                    .map(|every| {
                        let at = number % every;
                        number /= every;
                        at
                    })
                    .collect();
                let nights = worst_first(&first);
                if least.as_ref().is_none_or(|least| nights < *least) {
                    least = Some(nights);
                }
            }
            let (first, proven) = loads(&route, &things, &weights);
            assert!(proven);
            assert_eq!(Some(worst_first(&first)), least, "{every:?} {route:?}");
        }
    }

    #[test]
    fn a_route_has_as_many_kinds_as_nights_can_differ() {
        let things = now(&[3, 2]);
        assert_eq!(whole(&things), 6);
        assert_eq!(whole(&now(&[5, 3])), 14, "and no further");
        assert_eq!(whole(&[]), 1);
        let all = kinds(&[90, 0, 1], &things).expect("few");
        assert_eq!(all.len(), 7);
        assert_eq!(all[1].nights[..3], [2, 8, 14]);
        assert_eq!((all[6].stop, &all[6].nights[..]), (2, &[91][..]));
        assert!(kinds(&[10_000; 64], &now(&[14, 13, 11, 9])).is_err());
    }

    #[test]
    fn what_could_not_be_looked_at_is_not_proven() {
        let things = now(&[2, 2]);
        let all = kinds(&[2], &things).expect("few");
        let found = best(&all, &things, |_, _| Ok(None::<u32>)).expect("nothing");
        assert_eq!((found.first, found.proven), (vec![0, 1], false));
    }
}
