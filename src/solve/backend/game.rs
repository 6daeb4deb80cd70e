//! Matrix games, play by play: weights on rows against players who each answer with what gains
//! the least. Only ever a proposal of multipliers: what they prove is worked out in whole
//! numbers by who asks.

use std::time::Duration;

use ::microlp::{ComparisonOp, OptimizationDirection, Problem, Solution, Variable};

use crate::solve::model::small;
use crate::units::as_float;

/// One solution of a small linear program takes milliseconds; the engine is stopped should it
/// ever turn in circles.
const AT_MOST: Duration = Duration::from_secs(1);

/// The weights by which the players' answers seen so far gain the most in sum.
pub(crate) struct Game {
    /// By player, what it comes to.
    values: Vec<Variable>,
    weights: Vec<Variable>,
    state: Option<State>,
}

enum State {
    Blank(Problem),
    Solved(Box<Solution>),
}

/// By row its weight, in sum 1, and what the answers come to.
pub(crate) struct Weights {
    pub(crate) weights: Vec<f64>,
    pub(crate) value: f64,
}

impl Game {
    /// Each player must have answered once before there is anything to solve.
    pub(crate) fn of(rows: usize, players: usize) -> Self {
        let mut problem = Problem::new(OptimizationDirection::Maximize);
        problem.set_time_limit(AT_MOST);
        let values = (0..players)
            .map(|_| problem.add_var(1.0, (f64::NEG_INFINITY, f64::INFINITY)))
            .collect();
        let weights: Vec<Variable> = (0..rows)
            .map(|_| problem.add_var(0.0, (0.0, 1.0)))
            .collect();
        let sum: Vec<(Variable, f64)> = weights.iter().map(|&weight| (weight, 1.0)).collect();
        problem.add_constraint(sum, ComparisonOp::Eq, 1.0);
        Self {
            values,
            weights,
            state: Some(State::Blank(problem)),
        }
    }

    /// Adds an answer of a player, by row what it gains at weight 1. `None` where the engine gives
    /// up.
    pub(crate) fn answer(&mut self, player: usize, gains: &[f64]) -> Option<()> {
        let mut terms = vec![(self.values[player], 1.0)];
        let priced = self.weights.iter().zip(gains);
        let priced = priced.filter(|(_, gain)| **gain != 0.0);
        terms.extend(priced.map(|(&weight, &gain)| (weight, -gain)));
        self.state = Some(match self.state.take()? {
            State::Blank(mut problem) => {
                problem.add_constraint(terms, ComparisonOp::Le, 0.0);
                State::Blank(problem)
            }
            State::Solved(solution) => {
                let outcome = solution.add_constraint(terms, ComparisonOp::Le, 0.0);
                State::Solved(Box::new(outcome.ok()?.into_solution().ok()?))
            }
        });
        Some(())
    }

    /// The best weights against the answers so far. `None` where the engine gives up.
    pub(crate) fn weights(&mut self) -> Option<Weights> {
        let solution = match self.state.take()? {
            State::Blank(problem) => Box::new(problem.solve().ok()?.into_solution().ok()?),
            State::Solved(solution) => solution,
        };
        let weights = self.weights.iter();
        let found = Weights {
            weights: weights
                .map(|&weight| solution.var_value(weight).max(0.0))
                .collect(),
            value: self
                .values
                .iter()
                .map(|&value| solution.var_value(value))
                .sum(),
        };
        self.state = Some(State::Solved(solution));
        Some(found)
    }
}

/// What a round keeps of the best weights so far: those that the answers ask for swing to and fro.
const SMOOTHED: f64 = 0.5;

/// Every so many rounds just these are tried.
const ROUNDS_PER_BARE: usize = 3;

/// The weights of the next round, in sum 1: between the best so far and those that the answers ask
/// for.
pub(crate) fn between(best: &[f64], asked: &[f64], round: usize) -> Vec<f64> {
    let bare = round % ROUNDS_PER_BARE + 1 == ROUNDS_PER_BARE;
    let kept = if bare { 0.0 } else { SMOOTHED };
    let both = best.iter().zip(asked);
    let mut weights: Vec<f64> = both.map(|(b, a)| kept * b + (1.0 - kept) * a).collect();
    sum_to_one(&mut weights);
    weights
}

/// Makes weights come to 1 in sum; even ones where all are 0.
pub(crate) fn sum_to_one(weights: &mut [f64]) {
    let sum: f64 = weights.iter().sum();
    let even = 1.0 / as_float(small(weights.len()));
    for weight in weights {
        *weight = if sum > 0.0 { *weight / sum } else { even };
    }
}
