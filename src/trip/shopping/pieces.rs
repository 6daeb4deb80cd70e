//! The least worth of pieces of some kinds that satisfies whoever is asked, where more
//! pieces never do worse.
//!
//! Counts are looked at in the order of what they are worth (A* search: P. Hart, N. Nilsson,
//! B. Raphael, A formal basis for the heuristic determination of minimum cost paths, 1968).
//! What is missing of a count names the pieces of which at least one more is needed; each of
//! these is the next count in one direction. So the first count to satisfy is the least.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use super::PackBy;
use super::goods::Worth;
use crate::diagnostics::Result;

/// A kind of piece.
#[derive(Debug, Clone, Copy)]
pub(super) struct Kind {
    pub(super) worth: Worth,
    pub(super) most: usize,
}

/// What is said of counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Said {
    /// They do. Who goes on wants more of these kinds.
    Enough(Vec<usize>),
    /// At least one more of these kinds is needed.
    More(Vec<usize>),
    /// So many of these kinds are needed in any case, which they are not.
    Need(Need),
    /// A limit struck.
    Unknown,
}

/// So many of these kinds together are needed: what is known beforehand.
pub(super) type Need = (Vec<usize>, i64);

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Least {
    Counts(Vec<usize>, Worth),
    /// None does, or none below what was asked for.
    None,
    Unknown,
}

/// The search, which may go on after a count that satisfies.
pub(super) struct Search<'s> {
    kinds: &'s [Kind],
    needs: Vec<Need>,
    by: PackBy,
    open: BinaryHeap<Reverse<([i64; 3], Vec<usize>)>>,
    seen: BTreeSet<Vec<usize>>,
}

impl<'s> Search<'s> {
    pub(super) fn new(kinds: &'s [Kind], needs: &[Need], by: PackBy) -> Self {
        let mut search = Self {
            kinds,
            needs: needs.to_vec(),
            by,
            open: BinaryHeap::new(),
            seen: BTreeSet::new(),
        };
        search.put(vec![0; kinds.len()]);
        search
    }

    pub(super) fn worth(&self, counts: &[usize]) -> Worth {
        let mut worth = Worth::default();
        for (kind, &count) in self.kinds.iter().zip(counts) {
            worth += kind.worth.times(count);
        }
        worth
    }

    fn put(&mut self, counts: Vec<usize>) {
        if self.seen.contains(&counts) {
            return;
        }
        if let Some(bound) = self.bound(&counts) {
            self.seen.insert(counts.clone());
            self.open.push(Reverse((bound, counts)));
        }
    }

    /// What counts, and all that they grow into, are worth at least; none where they cannot
    /// grow into enough.
    fn bound(&self, counts: &[usize]) -> Option<[i64; 3]> {
        let mut bound = self.worth(counts).key(self.by);
        bound[0] += self.left(counts)?;
        Some(bound)
    }

    /// What the needs that are not met yet cost at least; none where they cannot be met.
    fn left(&self, counts: &[usize]) -> Option<i64> {
        let mut most = 0;
        for need in &self.needs {
            let mut missing = missing(need, counts);
            if missing <= 0 {
                continue;
            }
            let mut prices: Vec<(i64, usize)> = need
                .0
                .iter()
                .map(|&kind| {
                    let of = &self.kinds[kind];
                    (
                        of.worth.key(self.by)[0],
                        of.most - counts[kind].min(of.most),
                    )
                })
                .collect();
            prices.sort_unstable();
            let mut cost = 0;
            for (price, left) in prices {
                let left = i64::try_from(left).unwrap_or(i64::MAX).min(missing);
                cost += price.saturating_mul(left);
                missing -= left;
            }
            if missing > 0 {
                return None;
            }
            most = most.max(cost);
        }
        Some(most)
    }

    /// The next counts that satisfy, for no more than `most`.
    pub(super) fn next(
        &mut self,
        most: Option<[i64; 3]>,
        mut ask: impl FnMut(&[usize]) -> Result<Said>,
    ) -> Result<Least> {
        while let Some(Reverse((bound, counts))) = self.open.pop() {
            if most.is_some_and(|most| bound > most) {
                self.open.push(Reverse((bound, counts)));
                return Ok(Least::None);
            }
            // Needs that were found meanwhile.
            match self.bound(&counts) {
                None => continue,
                Some(now) if now > bound => {
                    self.open.push(Reverse((now, counts)));
                    continue;
                }
                Some(_) => {}
            }
            let unmet = self.needs.iter().find(|need| missing(need, &counts) > 0);
            let said = match unmet {
                Some((kinds, _)) => Said::More(kinds.clone()),
                None => ask(&counts)?,
            };
            match said {
                Said::Enough(more) => {
                    let worth = self.worth(&counts);
                    self.more(&counts, &more);
                    return Ok(Least::Counts(counts, worth));
                }
                Said::More(kinds) => self.more(&counts, &kinds),
                Said::Need(need) => {
                    debug_assert!(missing(&need, &counts) > 0, "it is not met");
                    self.more(&counts, &need.0);
                    self.needs.push(need);
                }
                Said::Unknown => return Ok(Least::Unknown),
            }
        }
        Ok(Least::None)
    }

    fn more(&mut self, counts: &[usize], kinds: &[usize]) {
        for &kind in kinds {
            if counts[kind] < self.kinds[kind].most {
                let mut next = counts.to_vec();
                next[kind] += 1;
                self.put(next);
            }
        }
    }
}

fn missing((kinds, needs): &Need, counts: &[usize]) -> i64 {
    let there: usize = kinds.iter().map(|&kind| counts[kind]).sum();
    needs - i64::try_from(there).unwrap_or(i64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(weights: &[(i64, usize)]) -> Vec<Kind> {
        let kind = |&(weight, most): &(i64, usize)| Kind {
            worth: Worth {
                weight,
                price: 0,
                pieces: 1,
            },
            most,
        };
        weights.iter().map(kind).collect()
    }

    fn least(kinds: &[Kind], needs: &[Need], ask: impl FnMut(&[usize]) -> Result<Said>) -> Least {
        let mut search = Search::new(kinds, needs, PackBy::Weight);
        search.next(None, ask).expect("no plan is made")
    }

    /// Cormen, Leiserson, Rivest, Stein: Introduction to Algorithms, section "The
    /// set-covering problem", figure of twelve points and six sets: three sets cover, where
    /// the greedy choice takes four (from memory).
    #[test]
    fn a_textbook_s_points_are_covered_by_three_sets() {
        let sets: [&[usize]; 6] = [
            &[1, 2, 3, 4, 5, 6],
            &[5, 6, 8, 9],
            &[1, 4, 7, 10],
            &[2, 5, 7, 8, 11],
            &[3, 6, 9, 12],
            &[10, 11],
        ];
        let found = least(&kinds(&[(1, 1); 6]), &[], |counts| {
            let holds = |point: usize| -> Vec<usize> {
                (0..6).filter(|&set| sets[set].contains(&point)).collect()
            };
            let open = (1..=12)
                .map(holds)
                .find(|sets| sets.iter().all(|&set| counts[set] == 0));
            Ok(open.map_or(Said::Enough(Vec::new()), Said::More))
        });
        let Least::Counts(counts, worth) = found else {
            panic!("{found:?}");
        };
        assert_eq!((counts, worth.weight), (vec![0, 0, 1, 1, 1, 0], 3));
    }

    /// A knapsack told by its covering side: Martello, Toth: Knapsack Problems, 1990, the
    /// bounded example of section 3 has capacities like these (numbers from memory, so each
    /// is checked against trying every count).
    #[test]
    fn a_knapsack_is_covered_for_the_least() {
        let gives = [4, 7, 9, 15];
        let weights = [(11, 3), (20, 2), (24, 2), (43, 1)];
        let kinds = kinds(&weights);
        for needs in 1..=56_i64 {
            let found = least(&kinds, &[], |counts| {
                let sum: i64 = counts
                    .iter()
                    .zip(gives)
                    .map(|(&count, give)| i64::try_from(count).expect("small") * give)
                    .sum();
                Ok(if sum >= needs {
                    Said::Enough(Vec::new())
                } else {
                    Said::More(vec![0, 1, 2, 3])
                })
            });
            let mut best = None;
            for a in 0..=3 {
                for b in 0..=2 {
                    for c in 0..=2 {
                        for d in 0..=1 {
                            let sum = 4 * a + 7 * b + 9 * c + 15 * d;
                            let weight = 11 * a + 20 * b + 24 * c + 43 * d;
                            if sum >= needs && best.is_none_or(|best| weight < best) {
                                best = Some(weight);
                            }
                        }
                    }
                }
            }
            match (found, best) {
                (Least::Counts(_, worth), Some(best)) => assert_eq!(worth.weight, best, "{needs}"),
                (Least::None, None) => {}
                other => panic!("{needs}: {other:?}"),
            }
        }
    }

    #[test]
    fn what_is_needed_beforehand_is_met_and_what_cannot_be_is_none() {
        let kinds = kinds(&[(3, 2), (5, 9)]);
        let enough = |_: &[usize]| Ok(Said::Enough(Vec::new()));
        let needs = [(vec![0, 1], 4), (vec![1], 1)];
        let found = least(&kinds, &needs, enough);
        let Least::Counts(counts, worth) = found else {
            panic!("{found:?}");
        };
        assert_eq!((counts, worth.weight), (vec![2, 2], 16));
        assert_eq!(least(&kinds, &[(vec![0], 3)], enough), Least::None);
    }

    /// A need that is only found out by asking is kept for all that follow.
    #[test]
    fn what_is_found_to_be_needed_is_asked_once() {
        let kinds = kinds(&[(3, 9), (4, 9), (5, 9)]);
        let mut asked = 0;
        let found = least(&kinds, &[], |counts| {
            asked += 1;
            Ok(if counts.iter().sum::<usize>() < 7 {
                Said::Need((vec![0, 1, 2], 7))
            } else {
                Said::Enough(Vec::new())
            })
        });
        let Least::Counts(counts, worth) = found else {
            panic!("{found:?}");
        };
        assert_eq!((counts, worth.weight, asked), (vec![7, 0, 0], 21, 2));
    }

    #[test]
    fn whoever_goes_on_is_given_the_next() {
        let kinds = kinds(&[(3, 2), (5, 1)]);
        let mut search = Search::new(&kinds, &[], PackBy::Weight);
        let mut weights = Vec::new();
        while let Least::Counts(_, worth) = search
            .next(None, |_| Ok(Said::Enough(vec![0, 1])))
            .expect("no plan")
        {
            weights.push(worth.weight);
        }
        assert_eq!(weights, [0, 3, 5, 6, 8, 11]);
    }
}
