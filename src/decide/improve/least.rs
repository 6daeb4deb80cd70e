//! The least limit of a pool that gives all that no limit gives.
//!
//! A larger limit only adds plans, so what is reached rises with it, and there is a
//! least whole millionth of a watt from which on it is all. A plan that reaches it under
//! some limit reaches it under its own use, too: each success brings the upper end down
//! to that, and the question "one millionth less?" ends the search as soon as it fails.

use std::cmp::Ordering;

use super::{Again, Answer, Change};
use crate::diagnostics::Result;
use crate::limits::POOL_MAX_W;
use crate::plan::objective::Reached;
use crate::plan::{Plan, Status};
use crate::solve::budget::Budget;
use crate::units::{from_millionths, millionths};

/// `change`, which takes the limit of a pool away, with the least limit that does as
/// well as `free`, and what is reached with that. Where a limit of the call stops the
/// search, the least that is known by then, as not proven.
pub(super) fn least_limit(
    again: &Again<'_>,
    change: Change,
    free: Answer,
    budget: &mut Budget,
) -> Result<(Change, Reached)> {
    let Change::Pool {
        charger,
        name,
        from_w,
        ..
    } = change
    else {
        return Ok((change, free.reached));
    };
    let with = |to_w: Option<f64>| Change::Pool {
        charger: charger.clone(),
        name: name.clone(),
        from_w,
        to_w,
    };
    let aim = free.reached.value.clone();
    // Without its limit the pool is in no plan: what its ports take there is not known
    // from the plan, but the widest limit shows it.
    let mut proven = free.reached.status == Status::Optimal;
    let mut reaching = |limit: i64, budget: &mut Budget| -> Result<Option<(i64, Reached)>> {
        let answer = again.solve(&with(Some(from_millionths(limit))), budget)?;
        let Some(Answer {
            plan: Some(plan),
            mut reached,
        }) = answer
        else {
            proven = false;
            return Ok(None);
        };
        if reached.value.compare(&aim) == Ordering::Greater {
            proven &= reached.status == Status::Optimal;
            return Ok(None);
        }
        if free.reached.status != Status::Optimal {
            reached.status = Status::Feasible;
        }
        Ok(Some((used(&plan, &charger, &name).min(limit), reached)))
    };
    let Some((mut most, mut reached)) = reaching(millionths(POOL_MAX_W.high), budget)? else {
        let mut reached = free.reached;
        if !proven {
            reached.status = Status::Feasible;
        }
        return Ok((with(None), reached));
    };
    let mut too_little = millionths(from_w);
    // Every limit above `too_little` and below `most` is still open.
    while most > too_little + 1 && !budget.is_spent() {
        match reaching(most - 1, budget)? {
            Some(better) => (most, reached) = better,
            None => break,
        }
        let middle = too_little + (most - too_little) / 2;
        if middle <= too_little {
            break;
        }
        match reaching(middle, budget)? {
            Some(better) => (most, reached) = better,
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

/// What a plan takes from the pool, in whole 1e-6 W.
fn used(plan: &Plan, charger: &str, pool: &str) -> i64 {
    plan.pools
        .iter()
        .find(|entry| entry.charger == charger && entry.pool == pool)
        .map_or(i64::MAX, |entry| millionths(entry.used_w))
}
