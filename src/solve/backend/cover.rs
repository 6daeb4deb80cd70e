//! Integer programs that are no assignment: stated as data in whole numbers, answered by the
//! same engine.

use good_lp::{Expression, ProblemVariables, Variable, constraint, variable};

use super::{Call, IntegerProgram, What, run};
use crate::solve::budget::{Budget, steps_for};
use crate::units::as_float;

/// Nodes of the engine's tree that one program may take.
const NODES: u64 = 20_000;

/// What a node costs for each entry of the rows, in steps of innermost loops.
const WORK_PER_TERM: usize = 256;

/// A program of binaries: the least cost that keeps every row.
#[derive(Debug, Clone, Default)]
pub(crate) struct Cover {
    /// By variable, what it costs.
    pub(crate) costs: Vec<i64>,
    pub(crate) rows: Vec<AtLeast>,
}

/// A row: the sum of the terms (variable, factor) is at least `least`.
#[derive(Debug, Clone)]
pub(crate) struct AtLeast {
    pub(crate) terms: Vec<(usize, i64)>,
    pub(crate) least: i64,
}

/// What an engine says about a [`Cover`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Covered {
    /// By variable whether it is taken: keeps every row, checked in whole numbers. By the
    /// engine's word there is no cheaper one.
    By(Vec<bool>),
    Impossible,
    /// Not within its limits.
    Unknown,
}

impl Cover {
    /// Adds a variable and gives its index.
    pub(crate) fn variable(&mut self, cost: i64) -> usize {
        self.costs.push(cost);
        self.costs.len() - 1
    }

    /// Adds the row "the sum of `terms` is at least `least`".
    pub(crate) fn at_least(&mut self, least: i64, terms: impl IntoIterator<Item = (usize, i64)>) {
        let terms = terms.into_iter().collect();
        self.rows.push(AtLeast { terms, least });
    }

    /// What `taken` costs.
    pub(crate) fn cost(&self, taken: &[bool]) -> i64 {
        let costs = self.costs.iter().zip(taken);
        costs
            .map(|(&cost, &taken)| if taken { cost } else { 0 })
            .sum()
    }

    /// Whether `taken` keeps every row.
    pub(crate) fn is_kept_by(&self, taken: &[bool]) -> bool {
        self.rows.iter().all(|row| {
            let sum: i64 = row
                .terms
                .iter()
                .map(|&(at, factor)| if taken[at] { factor } else { 0 })
                .sum();
            sum >= row.least
        })
    }

    /// The least cost.
    pub(crate) fn solve(&self, budget: &mut Budget) -> Covered {
        let terms: usize = self.rows.iter().map(|row| row.terms.len()).sum();
        let steps_per_node = steps_for(WORK_PER_TERM * terms);
        let nodes = NODES.min(budget.left() / steps_per_node);
        if nodes == 0 || budget.is_stopped() {
            return Covered::Unknown;
        }
        let largest = self.costs.iter().copied().max().unwrap_or(0).max(1);
        let mut variables = ProblemVariables::new();
        let binaries: Vec<Variable> = self
            .costs
            .iter()
            .map(|_| variables.add(variable().binary()))
            .collect();
        let mut objective = Expression::default();
        for (&x, &cost) in binaries.iter().zip(&self.costs) {
            objective += as_float(cost) / as_float(largest) * x;
        }
        let mut rows = Vec::with_capacity(self.rows.len());
        for row in &self.rows {
            let mut sum = Expression::default();
            for &(at, factor) in &row.terms {
                sum += as_float(factor) * binaries[at];
            }
            // Half a unit of slack changes no whole number and keeps rounding out.
            rows.push(constraint!(sum >= as_float(row.least) - 0.5));
        }
        let problem = IntegerProgram {
            variables,
            objective,
            rows,
            #[cfg(feature = "highs")]
            binaries,
        };
        let call = Call {
            least: true,
            nodes,
            time: budget.time_left(),
        };
        let reply = run(problem, &call);
        budget.spend(reply.nodes.saturating_mul(steps_per_node));
        match reply.what {
            What::Values(values) => {
                let taken: Vec<bool> = values.iter().map(|&value| value > 0.5).collect();
                if taken.len() == self.costs.len() && self.is_kept_by(&taken) {
                    Covered::By(taken)
                } else {
                    Covered::Unknown
                }
            }
            What::Infeasible => Covered::Impossible,
            What::Unknown => Covered::Unknown,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sets(universe: usize, sets: &[(i64, &[usize])]) -> Cover {
        let mut cover = Cover::default();
        for (cost, _) in sets {
            cover.variable(*cost);
        }
        for element in 1..=universe {
            let holding = sets.iter().enumerate();
            let holding = holding.filter(|(_, (_, set))| set.contains(&element));
            cover.at_least(1, holding.map(|(at, _)| (at, 1)));
        }
        cover
    }

    /// Cormen, Leiserson, Rivest, Stein: Introduction to Algorithms, section "The
    /// set-covering problem", figure of twelve points and six sets: the least cover is of
    /// three sets, {S3, S4, S5}; the greedy one takes four (from memory).
    #[test]
    fn a_textbook_s_points_are_covered_by_three_sets() {
        let cover = sets(
            12,
            &[
                (1, &[1, 2, 3, 4, 5, 6]),
                (1, &[5, 6, 8, 9]),
                (1, &[1, 4, 7, 10]),
                (1, &[2, 5, 7, 8, 11]),
                (1, &[3, 6, 9, 12]),
                (1, &[10, 11]),
            ],
        );
        assert_eq!(
            cover.solve(&mut Budget::of_steps(u64::MAX)),
            Covered::By(vec![false, false, true, true, true, false])
        );
    }

    #[test]
    fn what_cannot_be_covered_is_said_so() {
        assert_eq!(
            sets(2, &[(1, &[1])]).solve(&mut Budget::of_steps(u64::MAX)),
            Covered::Impossible
        );
        assert_eq!(
            sets(0, &[]).solve(&mut Budget::of_steps(u64::MAX)),
            Covered::By(Vec::new())
        );
    }

    #[test]
    fn the_cheaper_cover_is_found_though_it_has_more_sets() {
        let cover = sets(3, &[(10, &[1, 2, 3]), (3, &[1]), (3, &[2]), (3, &[3])]);
        let found = Covered::By(vec![false, true, true, true]);
        assert_eq!(cover.solve(&mut Budget::of_steps(u64::MAX)), found);
    }
}
