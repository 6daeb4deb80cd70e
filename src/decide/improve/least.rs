//! The least limit of a pool that gives all that no limit gives.
//!
//! A larger limit only adds plans, and promises more of those there are, so what can be reached
//! rises with it, and there is a least whole millionth of a watt from which on it is all:
//! found by halves.

use std::cmp::Ordering;

use super::{Again, Change, accepted};
use crate::assign::{beside_within, reached_within};
use crate::diagnostics::Result;
use crate::limits::POOL_MAX_W;
use crate::plan::Status;
use crate::plan::objective::Reached;
use crate::solve::budget::Budget;
use crate::solve::levels::Cutoff;
use crate::units::{from_millionths, millionths};

/// `change`, which takes the limit of a pool away, with the least limit that does as
/// well as `free`, and what is reached with that. Where a limit of the call stops the
/// search, the least that is known by then, as not proven.
pub(super) fn least_limit(
    again: &Again<'_>,
    change: Change,
    free: Reached,
    budget: &mut Budget,
) -> Result<(Change, Reached)> {
    let Change::Pool {
        charger,
        name,
        from_w,
        ..
    } = change
    else {
        return Ok((change, free));
    };
    let with = |to_w: Option<f64>| Change::Pool {
        charger: charger.clone(),
        name: name.clone(),
        from_w,
        to_w,
    };
    let mut proven = free.status == Status::Optimal;
    // Whether a limit does as well; where that is not known, it does not.
    let mut enough = |limit: i64, budget: &mut Budget| -> Result<bool> {
        let beside = again.beside(&with(Some(from_millionths(limit))), free.cutoff(0), budget)?;
        proven &= beside.is_some();
        Ok(beside.is_some_and(|beside| beside != Ordering::Greater))
    };
    let most = again.most_from(&charger, &name);
    // What is left is for the plan with the limit that is found.
    let (least, ended) = budget.share(2, |part| -> Result<_> {
        let least = halved(millionths(from_w), most, &mut enough, part)?;
        Ok((least, part.is_spent()))
    })?;
    proven &= !ended;
    // Less than there is now is only found where the plan of now is not the best.
    let limited = least.map(|least| with(Some(from_millionths(least.max(millionths(from_w))))));
    let reached = match &limited {
        Some(limited) => again.reached(limited, budget)?,
        None => None,
    };
    let as_good = |reached: &Reached| !reached.stays_behind(&free, again.tolerance);
    let (change, mut reached) = if let Some(found) = limited.zip(reached.filter(as_good)) {
        found
    } else {
        proven &= least.is_none();
        (with(None), free)
    };
    if !proven {
        reached.is_not_the_least();
    }
    Ok((change, reached))
}

/// The least limit above `too_little` that is enough, found by halves below `most`, or below the
/// largest there is; as far as the `budget` goes.
fn halved(
    mut too_little: i64,
    mut most: i64,
    mut enough: impl FnMut(i64, &mut Budget) -> Result<bool>,
    budget: &mut Budget,
) -> Result<Option<i64>> {
    if !enough(most, budget)? {
        most = millionths(POOL_MAX_W.high);
        if !enough(most, budget)? {
            return Ok(None);
        }
    }
    // Every limit between them is still open.
    while most > too_little + 1 && !budget.is_spent() {
        let middle = too_little + (most - too_little) / 2;
        if enough(middle, budget)? {
            most = middle;
        } else {
            too_little = middle;
        }
    }
    Ok(Some(most))
}

impl Again<'_> {
    /// How the best plan with a change stands beside the cutoff; nothing where that is not known.
    fn beside(
        &self,
        change: &Change,
        cutoff: Cutoff,
        budget: &mut Budget,
    ) -> Result<Option<Ordering>> {
        let Some(setup) = self.changed(change)? else {
            return Ok(None);
        };
        accepted(beside_within(&setup, cutoff, budget)).map(Option::flatten)
    }

    /// What the best plan with a change reaches; `None` where there is none.
    fn reached(&self, change: &Change, budget: &mut Budget) -> Result<Option<Reached>> {
        let Some(setup) = self.changed(change)? else {
            return Ok(None);
        };
        let reached = reached_within(&setup, self.wanted, budget);
        Ok(accepted(reached)?.map(|(_, reached)| reached))
    }

    /// What the ports of a pool can take together at most, in whole 1e-6 W.
    fn most_from(&self, charger: &str, pool: &str) -> i64 {
        let charger = self.setup.chargers.iter().find(|of| of.name == charger);
        let ports = charger.and_then(|charger| {
            let pool = charger.pools.iter().find(|of| of.name == pool)?;
            let caps = pool
                .ports
                .iter()
                .map(|&port| millionths(charger.ports[port].cap_w));
            Some(caps.sum::<i64>())
        });
        ports.unwrap_or(i64::MAX).min(millionths(POOL_MAX_W.high))
    }
}
