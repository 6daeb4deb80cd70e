//! The least sets of changes that grant a wish: sets of few changes first, then cheap ones,
//! and none that contains one that is found.

use std::ops::ControlFlow;

use super::Granted;
use super::changes::{Candidate, MOST_CHANGES, candidates};
use super::grants::{Granting, Verdict};
use crate::assign::options::Choices;
use crate::decide::improve::{Change, Cost};
use crate::diagnostics::{Error, Result};
use crate::plan::objective::ObjectiveValue;
use crate::solve::budget::{Budget, Least};

/// The most sets that are told.
const MOST_TOLD: usize = 5;

/// The most sets that are looked at: of 48 changes there are fewer, and a question each
/// takes seconds.
const MOST_SETS: u64 = 20_000;

/// What was found, and what is not known.
#[derive(Default)]
pub(super) struct Found {
    pub(super) granted: Vec<Granted>,
    pub(super) undecided: u64,
    pub(super) for_others: u64,
}

impl Found {
    /// What is had already.
    pub(super) fn had(granted: Granted) -> Self {
        Self {
            granted: vec![granted],
            ..Self::default()
        }
    }
}

/// The least sets that grant the wish, the empty one first.
pub(super) fn least(
    granting: &Granting<'_>,
    now: &ObjectiveValue,
    budget: &mut Budget,
) -> Result<Found> {
    let (choices, listing) = budget.measured(|budget| Choices::of(granting.setup, budget));
    let candidates = candidates(granting, now, &choices?);
    let mut search = Search {
        granting,
        candidates: &candidates,
        budget,
        least: Least::listing(listing),
        left: (0..=MOST_CHANGES)
            .map(|size| number(&candidates, size))
            .sum(),
        looked_at: 0,
        found: Found::default(),
        parts: Vec::new(),
        failed: None,
    };
    for size in 0..=MOST_CHANGES {
        if each(&candidates, size, &mut |set| search.visit(set)).is_break() {
            break;
        }
    }
    search.ended()
}

struct Search<'a> {
    granting: &'a Granting<'a>,
    candidates: &'a [Candidate],
    budget: &'a mut Budget,
    /// With less than this a set is not looked at.
    least: Least,
    /// Sets that are not visited yet.
    left: u64,
    looked_at: u64,
    found: Found,
    /// By set that grants it, what that changes.
    parts: Vec<Vec<usize>>,
    failed: Option<Error>,
}

impl Search<'_> {
    /// Looks at a set, unless it contains one that was found; breaks off where that is all.
    fn visit(&mut self, set: &[usize]) -> ControlFlow<()> {
        let parts = set.iter().flat_map(|&at| &self.candidates[at].parts);
        let parts: Vec<usize> = parts.copied().collect();
        let contained = |of: &Vec<usize>| of.iter().all(|part| parts.contains(part));
        if self.parts.iter().any(contained) {
            self.left -= 1;
            return ControlFlow::Continue(());
        }
        let changes = set.iter().map(|&at| self.candidates[at].change.clone());
        let verdict = match self.verdict(&changes.collect::<Vec<_>>()) {
            Ok(Some(verdict)) => verdict,
            Ok(None) => return ControlFlow::Break(()),
            Err(error) => {
                self.failed = Some(error);
                return ControlFlow::Break(());
            }
        };
        self.looked_at += 1;
        self.left -= 1;
        match verdict {
            Verdict::Granted(granted) => {
                self.found.granted.push(*granted);
                self.parts.push(parts);
            }
            Verdict::Not => {}
            Verdict::ForOthers => self.found.for_others += 1,
            Verdict::Unknown => self.found.undecided += 1,
        }
        if set.is_empty() && !self.found.granted.is_empty() || self.found.granted.len() == MOST_TOLD
        {
            // Whatever is left is not asked about any more.
            self.left = 0;
            return ControlFlow::Break(());
        }
        ControlFlow::Continue(())
    }

    /// Nothing where a limit struck before it was looked at.
    fn verdict(&mut self, set: &[Change]) -> Result<Option<Verdict>> {
        if self.looked_at == MOST_SETS {
            return Ok(None);
        }
        let granting = self.granting;
        let to_come = usize::try_from(self.left).unwrap_or(usize::MAX);
        let possible = |part: &mut Budget| granting.is_possible(set, part);
        let possible = self.budget.share_among(to_come, &self.least, possible);
        Ok(Some(match possible {
            None => return Ok(None),
            Some(None) => Verdict::Unknown,
            Some(Some(false)) => Verdict::Not,
            Some(Some(true)) => granting.granted(set, self.budget)?,
        }))
    }

    fn ended(self) -> Result<Found> {
        if let Some(error) = self.failed {
            return Err(error);
        }
        let undecided = self.found.undecided + self.left;
        Ok(Found {
            undecided,
            ..self.found
        })
    }
}

/// Calls `visit` for each set of so many of the candidates, those for which less is to be
/// bought first, then as listed.
fn each(
    candidates: &[Candidate],
    size: usize,
    visit: &mut impl FnMut(&[usize]) -> ControlFlow<()>,
) -> ControlFlow<()> {
    for chargers in 0..=size {
        for cables in 0..=size - chargers {
            let left = [size - chargers - cables, cables, chargers];
            pick(candidates, left, &mut Vec::new(), visit)?;
        }
    }
    ControlFlow::Continue(())
}

/// The same of sets that begin with `chosen` and go on with so many of each cost.
fn pick(
    candidates: &[Candidate],
    left: [usize; 3],
    chosen: &mut Vec<usize>,
    visit: &mut impl FnMut(&[usize]) -> ControlFlow<()>,
) -> ControlFlow<()> {
    if left == [0; 3] {
        return visit(chosen);
    }
    let from = chosen.last().map_or(0, |last| last + 1);
    for (at, candidate) in candidates.iter().enumerate().skip(from) {
        let cost = place(candidate.cost);
        let follows = candidate.after.is_none_or(|after| chosen.contains(&after));
        if left[cost] == 0 || !follows {
            continue;
        }
        let mut rest = left;
        rest[cost] -= 1;
        chosen.push(at);
        let ended = pick(candidates, rest, chosen, visit);
        chosen.pop();
        ended?;
    }
    ControlFlow::Continue(())
}

fn place(cost: Cost) -> usize {
    match cost {
        Cost::Nothing => 0,
        Cost::Cable => 1,
        Cost::Charger => 2,
    }
}

/// How many sets of so many candidates there are: of those that are alike, a set has the
/// first ones.
fn number(candidates: &[Candidate], size: usize) -> u64 {
    let mut chains: Vec<usize> = Vec::new();
    let mut chain_of = Vec::with_capacity(candidates.len());
    for candidate in candidates {
        let chain = if let Some(after) = candidate.after {
            chain_of[after]
        } else {
            chains.push(0);
            chains.len() - 1
        };
        chains[chain] += 1;
        chain_of.push(chain);
    }
    let mut sets = vec![0_u64; size + 1];
    sets[0] = 1;
    for length in chains {
        for of in (1..=size).rev() {
            let with = (1..=length.min(of)).map(|taken| sets[of - taken]);
            sets[of] = with.fold(sets[of], u64::saturating_add);
        }
    }
    sets[size]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn candidates(of: &[(Cost, Option<usize>)]) -> Vec<Candidate> {
        let each = of.iter().enumerate().map(|(at, &(cost, after))| Candidate {
            change: Change::Swap { at_h: 1.0 },
            cost,
            after,
            parts: vec![at],
        });
        each.collect()
    }

    #[test]
    fn sets_come_by_size_then_by_cost_and_are_counted() {
        use Cost::{Cable, Charger, Nothing};
        let of = [
            (Nothing, None),
            (Nothing, None),
            (Cable, None),
            (Cable, Some(2)),
            (Charger, None),
        ];
        let candidates = candidates(&of);
        let mut all: Vec<Vec<usize>> = Vec::new();
        for size in 0..=3 {
            let before = all.len();
            let ended = each(&candidates, size, &mut |set| {
                all.push(set.to_vec());
                ControlFlow::Continue(())
            });
            assert!(ended.is_continue());
            let visited = u64::try_from(all.len() - before).expect("a few");
            assert_eq!(visited, number(&candidates, size));
        }
        let expected: [&[usize]; 9] = [
            &[],
            &[0],
            &[1],
            &[2],
            &[4],
            &[0, 1],
            &[0, 2],
            &[1, 2],
            &[2, 3],
        ];
        assert_eq!(all[..9], expected);
    }
}
