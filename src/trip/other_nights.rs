//! A stop's nights where not everything is charged every night: on which of them what is
//! charged, and the nights that differ from the one that is told first.

use std::rc::Rc;

use super::night::{Night, Nights, Sources, has};
use super::pack::Needs;
use super::stay::Stay;
use crate::decide::calendar::nights::{Found, Kind, NightStanding, Now, best, charged, kinds};
use crate::diagnostics::Result;
use crate::setup::TripSpec;
use crate::solve::budget::Budget;
use crate::units::millionths;

/// Nights of a stop on which the same is charged, other than on those told first.
#[derive(Debug, Clone, Default)]
pub(super) struct OtherNights {
    /// The devices beside those of every night.
    pub(super) charged: Vec<usize>,
    /// The nights, counted from 1 through the whole route.
    pub(super) on: Vec<u32>,
    /// As [`Stay::nights`].
    pub(super) nights: Vec<Rc<Night>>,
    pub(super) night: Option<Rc<Night>>,
    pub(super) with_ports: Vec<Rc<Night>>,
}

/// On which nights each thing is charged, so that the worst night of the route is best.
pub(super) fn calendar(
    nights: &mut Nights<'_>,
    now: &[Now],
    stays: &[Stay<'_>],
    spec: &TripSpec,
    all: Sources,
    budget: &mut Budget,
) -> Result<(Vec<Kind>, Found)> {
    let counts: Vec<u32> = stays.iter().map(|stay| stay.site.stop.nights).collect();
    let kinds = kinds(&counts, now)?;
    let tolerance = millionths(nights.tolerance_h());
    let mut first = true;
    let found = best(&kinds, now, |stop, charged| {
        if budget.is_spent() && !first {
            return Ok(None);
        }
        first = false;
        let stay = &stays[stop];
        let found = budget.share(PARTS, |part| {
            nights.best(all, charged, &stay.sources, stay.site, spec, part)
        })?;
        let value = |night: &Rc<Night>| NightStanding {
            value: night.value.clone(),
            tolerance,
        };
        Ok(found.nights.first().map(value))
    })?;
    Ok((kinds, found))
}

/// A night gets one of so many parts of what is left for all.
const PARTS: usize = 4;

/// Gives each stop its nights: the one on which most is charged is told first.
pub(super) fn share_out(stays: &mut [Stay<'_>], kinds: &[Kind], now: &[Now], first: &[u32]) {
    for (stop, stay) in stays.iter_mut().enumerate() {
        let mut all: Vec<OtherNights> = Vec::new();
        for kind in kinds.iter().filter(|kind| kind.stop == stop) {
            let charged = charged(kind, now, first);
            match all.iter_mut().find(|known| known.charged == charged) {
                Some(known) => known.on.extend(&kind.nights),
                None => all.push(OtherNights {
                    charged,
                    on: kind.nights.clone(),
                    ..OtherNights::default()
                }),
            }
        }
        for nights in &mut all {
            nights.on.sort_unstable();
        }
        all.sort_by_key(|nights| {
            (
                std::cmp::Reverse(nights.charged.len()),
                nights.on.first().copied(),
            )
        });
        let mut all = all.into_iter();
        if let Some(told) = all.next() {
            stay.charged = told.charged;
            stay.on = told.on;
        }
        stay.others = all.collect();
    }
}

/// What all nights of all stops need adapters for: those told first, by stop, then the
/// others.
pub(super) fn all_needs<'s>(stays: &'s [Stay<'_>]) -> Vec<Needs<'s>> {
    let others = stays.iter().flat_map(Stay::other_needs);
    stays.iter().map(Stay::needs).chain(others).collect()
}

impl Stay<'_> {
    /// Every night that is spent there, the one that is told first before the others.
    pub(super) fn all_nights(&self) -> impl Iterator<Item = &Rc<Night>> {
        let others = self.others.iter().filter_map(|other| other.night.as_ref());
        self.night.iter().chain(others)
    }

    /// Whether a source is plugged in on any night.
    pub(super) fn uses(&self, source: usize) -> bool {
        self.all_nights().any(|night| has(night.used, source))
    }

    /// Whether every night serves all that is charged then.
    pub(super) fn serves_all(&self) -> bool {
        self.all_nights().all(|night| night.serves_all())
    }

    /// What the other nights need adapters for.
    pub(super) fn other_needs(&self) -> impl Iterator<Item = Needs<'_>> {
        self.others.iter().map(|other| Needs {
            site: self.site,
            sources: &self.sources,
            nights: other.nights.iter().map(|night| night.used).collect(),
            appliances: Vec::new(),
            sockets: Vec::new(),
        })
    }

    /// The sources that are plugged in on a night, by name.
    pub(super) fn plugged_in(&self, used: Sources) -> Vec<String> {
        let sources = self.sources.iter().enumerate();
        let used = sources.filter(|(at, _)| has(used, *at));
        used.map(|(_, answer)| answer.thing.name.to_owned())
            .collect()
    }
}
