//! The least limit of a pool that gives all that no limit gives.
//!
//! A larger limit only adds plans, and promises more of those there are, so what can be reached
//! rises with it, and there is a least whole millionth of a watt from which on it is all:
//! found by halves.

use std::cmp::Ordering;

use super::{Again, Change};
use crate::diagnostics::Result;
use crate::limits::POOL_MAX_W;
use crate::plan::Status;
use crate::plan::objective::Reached;
use crate::solve::budget::Budget;
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
    let mut reaching = |limit: i64, budget: &mut Budget| -> Result<Option<Reached>> {
        let answer = again.solve(&with(Some(from_millionths(limit))), budget)?;
        let Some(mut reached) = answer else {
            proven = false;
            return Ok(None);
        };
        if reached.compare_least(&free) == Ordering::Greater {
            proven &= reached.status == Status::Optimal;
            return Ok(None);
        }
        if free.status != Status::Optimal {
            reached.status = Status::Feasible;
        }
        Ok(Some(reached))
    };
    let mut most = again.most_from(&charger, &name);
    let mut found = reaching(most, budget)?;
    if found.is_none() {
        most = millionths(POOL_MAX_W.high);
        found = reaching(most, budget)?;
    }
    let Some(mut reached) = found else {
        let mut reached = free;
        if !proven {
            reached.status = Status::Feasible;
        }
        return Ok((with(None), reached));
    };
    let mut too_little = millionths(from_w);
    // Every limit above `too_little` and below `most` is still open.
    while most > too_little + 1 && !budget.is_spent() {
        let middle = too_little + (most - too_little) / 2;
        match reaching(middle, budget)? {
            Some(better) => (most, reached) = (middle, better),
            None => too_little = middle,
        }
    }
    if !proven || budget.is_spent() {
        reached.status = Status::Feasible;
    }
    // Less than there is now is only found where the plan of now is not the best.
    let most = most.max(millionths(from_w));
    Ok((with(Some(from_millionths(most))), reached))
}

impl Again<'_> {
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
