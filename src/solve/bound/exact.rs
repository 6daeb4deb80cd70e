//! The exact dual: where subgradient steps stall, the best multipliers there are, as a matrix
//! game. One side puts weights on the rows, the other answers with the cheapest assignment at
//! these weights; a small linear program over the answers so far gives the next weights.

use super::{Bound, Bounded, FULL_ROW, MAX_PRICE, Multipliers, Question, step_cost, whole};
use crate::solve::backend::{Game, between, sum_to_one};
use crate::solve::budget::{Budget, steps_for};
use crate::solve::model::small;
use crate::solve::subproblem::NodeDomains;
use crate::units::as_float;

/// At most so many answers.
const ROUNDS: usize = 60;

/// Forced prices and repairs are tried every so many rounds.
const ROUNDS_PER_FORCED: usize = 8;

/// The weights are optimal when no others gain more than this.
const NO_GAIN: f64 = 1e-10;

/// A weight of the goal below this is none.
const LEAST_GOAL: f64 = 1e-6;

/// What a round of the linear program costs, in steps of innermost loops, for each row and
/// answer.
const WORK_PER_ENTRY: usize = 64;

/// By how much each answer weighs more than the one before it in a column's share.
const SHARE_GROWTH: f64 = 0.1;

impl Bound {
    /// As [`Bound::run`], with the best multipliers that there are. `seats` is as in an effort.
    pub(crate) fn run_exact(
        &mut self,
        question: &Question<'_>,
        live: &mut NodeDomains,
        multipliers: &mut Multipliers,
        budget: &mut Budget,
        seats: bool,
        mut repair: impl FnMut(&[u32], &NodeDomains, &mut Budget) -> Option<Vec<u32>>,
    ) -> Bounded {
        let Question { subproblem, caps } = *question;
        let rows = caps.len();
        if rows == 0 {
            return Bounded::Undecided;
        }
        let scale = as_float(FULL_ROW) * as_float(small(rows.min(64)));
        let of_caps: Vec<f64> = caps.iter().map(|&cap| as_float(cap.max(1))).collect();
        let mut weights = multipliers.start(subproblem);
        if let Some(goal) = subproblem.goal_row {
            weights[goal] = 1.0;
        }
        sum_to_one(&mut weights);
        let mut best = (f64::NEG_INFINITY, weights.clone());
        let mut game = Game::of(rows, 1);
        self.share.clear();
        self.share.resize(subproblem.number_of_ways(), 0.0);
        for round in 0..ROUNDS {
            budget.spend(step_cost(subproblem.model, live));
            if budget.is_spent() {
                break;
            }
            let prices: Vec<i64> = weights
                .iter()
                .zip(&of_caps)
                .map(|(weight, cap)| whole(weight * scale / cap))
                .collect();
            let Some(excess) = self.excess(question, live, prices.into_iter()) else {
                self.record();
                return Bounded::Impossible;
            };
            if excess > 0 {
                self.record();
                return Bounded::Impossible;
            }
            if self.delete(subproblem, live, -excess) {
                self.record();
            }
            if self.recorded.is_none() && round % ROUNDS_PER_FORCED + 1 == ROUNDS_PER_FORCED {
                self.delete_forced(subproblem, live, -excess, budget);
            }
            if live.is_stuck() {
                return Bounded::Impossible;
            }
            self.read_taken(subproblem.model);
            for &way in &self.taken {
                self.share[way as usize] += 1.0 + as_float(small(round)) * SHARE_GROWTH;
            }
            subproblem.sum_used(&self.taken, &mut self.used);
            if seats && self.keeps(question) {
                return Bounded::Found(self.taken.clone());
            }
            if seats
                && round % ROUNDS_PER_FORCED == 0
                && let Some(found) = repair(&self.taken, live, budget)
            {
                return Bounded::Found(found);
            }
            let over = self.used.iter().zip(caps).zip(&of_caps);
            let gains: Vec<f64> = over
                .map(|((used, cap), of_cap)| as_float(used - cap) / of_cap)
                .collect();
            let value: f64 = gains.iter().zip(&weights).map(|(gain, w)| gain * w).sum();
            if value > best.0 {
                best = (value, weights.clone());
            }
            budget.spend(steps_for(WORK_PER_ENTRY * rows * (round + 2)));
            let answered = game.answer(0, &gains);
            let Some(next) = answered.and_then(|()| game.weights()) else {
                break;
            };
            if next.value - best.0 < NO_GAIN {
                break;
            }
            weights = between(&best.1, &next.weights, round);
        }
        let goal = subproblem.goal_row.map(|goal| best.1[goal].max(LEAST_GOAL));
        let unit = goal.unwrap_or(1.0 / as_float(small(rows)));
        let kept: Vec<f64> = best.1.iter().map(|w| (w / unit).min(MAX_PRICE)).collect();
        multipliers.keep(subproblem, &kept);
        Bounded::Undecided
    }
}
