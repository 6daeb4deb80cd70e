//! The bags that nothing beats in weight, price, pieces and the worst night's longest time.
//!
//! Each is the least bag within limits on all four. From a bag that is found no other that is
//! not beaten has all four as high: so the limits are split at it, into boxes each of which
//! asks for less of one (K. Dächert, K. Klamroth, A linear bound on the number of
//! scalarizations needed to solve discrete tricriteria optimization problems, 2015, has the
//! same for three). When no box is left there is no other.

use super::answer::longest;
use super::kits::Bag;
use super::rest::Most;
use super::{Ask, PackBy};
use crate::diagnostics::Result;
use crate::solve::budget::Budget;

/// The most bags that are looked for.
const MOST_BAGS: usize = 48;

/// Each box gets one of so many parts of what is left.
const PARTS: usize = 12;

/// A bag with its longest time, in whole 1e-6 h.
#[derive(Debug, Clone)]
pub(super) struct Timed {
    pub(super) bag: Bag,
    pub(super) longest: i64,
}

impl Timed {
    fn merits(&self) -> [i64; 4] {
        let worth = &self.bag.worth;
        [worth.weight, worth.price, worth.pieces, self.longest]
    }

    fn is_beaten_by(&self, other: &Self) -> bool {
        let (own, other) = (self.merits(), other.merits());
        own != other && own.iter().zip(&other).all(|(own, other)| other <= own)
    }
}

/// The bags that nothing beats, by weight, with the one that is known; and whether these
/// are all.
pub(super) fn unbeaten(
    ask: &mut Ask<'_, '_>,
    appliances: &[usize],
    first: &Timed,
    budget: &mut Budget,
) -> Result<(Vec<Timed>, bool)> {
    let mut found = vec![first.clone()];
    let mut complete = true;
    // At most so much of weight, price and pieces, and sooner than this.
    let mut open: Vec<[i64; 4]> = vec![[i64::MAX; 4]];
    split(&mut open, first.merits());
    while let Some(limits) = open.pop() {
        if budget.is_spent() || found.len() >= MOST_BAGS {
            complete = false;
            break;
        }
        let inside = |merits: [i64; 4]| merits.iter().zip(&limits).all(|(own, most)| own < most);
        if found.iter().any(|known| inside(known.merits())) {
            // Split off before it was known.
            let known = found.iter().find(|known| inside(known.merits()));
            let merits = known.map_or(limits, Timed::merits);
            open.push(limits);
            split(&mut open, merits);
            continue;
        }
        let below = |limit: i64| (limit < i64::MAX).then(|| limit - 1);
        let most = Most {
            weight: below(limits[0]),
            price: below(limits[1]),
            pieces: below(limits[2]),
        };
        let bag = budget.share(PARTS, |part| -> Result<_> {
            ask.by_time(below(limits[3]), part)?;
            ask.least(appliances, most, None, part)
        })?;
        complete &= bag.proven;
        let Some(bag) = bag.bag else { continue };
        ask.oracle.by(None);
        let longest = budget.share(PARTS, |part| longest(ask, &bag, part))?;
        let timed = Timed { bag, longest };
        let merits = timed.merits();
        open.push(limits);
        split(&mut open, merits);
        found.push(timed);
    }
    ask.by_time(None, budget)?;
    let all = found.clone();
    found.retain(|own| !all.iter().any(|other| own.is_beaten_by(other)));
    found.sort_by_key(Timed::merits);
    found.dedup_by_key(|timed| timed.merits());
    Ok((found, complete))
}

/// Splits every box that a bag lies in: in each part it is below the bag in one merit.
fn split(open: &mut Vec<[i64; 4]>, bag: [i64; 4]) {
    let holds = |limits: &[i64; 4]| bag.iter().zip(limits).all(|(own, most)| own < most);
    let mut parts: Vec<[i64; 4]> = Vec::new();
    open.retain(|limits| {
        if !holds(limits) {
            return true;
        }
        for merit in 0..4 {
            let mut part = *limits;
            part[merit] = bag[merit];
            parts.push(part);
        }
        false
    });
    parts.retain(|part| part.iter().all(|&most| most > 0));
    open.extend(parts);
    open.sort_unstable();
    open.dedup();
    // What lies in another box is looked at there.
    let all = open.clone();
    let within = |inner: &[i64; 4], outer: &[i64; 4]| {
        inner != outer && inner.iter().zip(outer).all(|(inner, outer)| inner <= outer)
    };
    open.retain(|own| !all.iter().any(|other| within(own, other)));
}

/// So that a reader sees the order: by what is wanted least.
pub(super) fn by(found: &mut [Timed], order: PackBy) {
    found.sort_by_key(|timed| (timed.bag.worth.key(order), timed.longest));
}

#[cfg(test)]
mod tests {
    use super::split;

    /// Three bags of which none beats another, and every corner below them.
    #[test]
    fn boxes_hold_what_no_bag_beats_and_nothing_else() {
        let bags = [[3, 1, 2, 2], [1, 3, 2, 2], [2, 2, 1, 3]];
        let mut open = vec![[i64::MAX; 4]];
        for bag in bags {
            split(&mut open, bag);
        }
        for weight in 0..5 {
            for price in 0..5 {
                for pieces in 0..5 {
                    for time in 0..5 {
                        let point = [weight, price, pieces, time];
                        let beaten = bags
                            .iter()
                            .any(|bag| bag.iter().zip(&point).all(|(bag, own)| bag <= own));
                        let held = open
                            .iter()
                            .any(|limits| point.iter().zip(limits).all(|(own, most)| own < most));
                        assert_eq!(held, !beaten, "{point:?}");
                    }
                }
            }
        }
    }
}
