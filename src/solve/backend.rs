//! The integer program of what is left at a node, for an engine to answer: `microlp`, or
//! `HiGHS` where the feature `highs` is on. Only this file and those below it name them.
//!
//! Only binaries and rows scaled to their caps enter; no big-M, no times. Whatever it
//! answers with is read as 0/1 and checked against the rows in whole numbers by the
//! caller.

use std::collections::BTreeMap;
use std::time::Duration;

use good_lp::{Constraint, Expression, ProblemVariables, Variable, constraint, variable};

use super::goal::Goal;
use super::model::small;
use crate::solve::budget::Budget;
use crate::solve::subproblem::{NodeDomains, Subproblem};
use crate::units::as_float;

mod cover;
mod game;
#[cfg(feature = "highs")]
mod highs;
mod linear;
#[cfg(any(test, not(feature = "highs")))]
mod microlp;

pub(crate) use cover::{Cover, Covered};
pub(crate) use game::{Game, between, sum_to_one};
#[cfg(feature = "highs")]
pub(crate) use highs::Highs;
#[cfg(feature = "highs")]
use highs::run;
pub(crate) use linear::most_within;
#[cfg(any(test, not(feature = "highs")))]
pub(crate) use microlp::Microlp;
#[cfg(not(feature = "highs"))]
use microlp::run;

/// The engine that answers.
#[cfg(feature = "highs")]
pub(crate) const ENGINE: Highs = Highs;
/// The engine that answers.
#[cfg(not(feature = "highs"))]
pub(crate) const ENGINE: Microlp = Microlp;

/// Nodes of the engine's own tree that one call may take.
const NODES_PER_CALL: u64 = 400;

/// Larger programs are left to our own branching: the engine's time grows faster.
const MAX_WAYS: usize = 4_000;

/// What an engine says about a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Answer {
    /// By device, the way of an assignment.
    Taken(Vec<u32>),
    Infeasible,
    /// Not within its limits.
    Unknown,
}

/// What is left of a question at a node whose tables have one line each.
pub(crate) struct Remainder<'a> {
    pub(crate) subproblem: &'a Subproblem<'a>,
    pub(crate) live: &'a NodeDomains,
    pub(crate) caps: &'a [i64],
    /// By table, the lines left.
    pub(crate) lines: &'a [Vec<usize>],
    /// Whether the least cost is wanted, or any within the cutoff.
    pub(crate) least: bool,
}

/// An engine for integer programs.
pub(crate) trait Engine {
    /// An assignment within the cutoff: of least cost, or the first found where
    /// no more is wanted.
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer;
}

/// An integer program of binaries, as any engine behind `good_lp` takes it.
struct IntegerProgram {
    variables: ProblemVariables,
    objective: Expression,
    rows: Vec<Constraint>,
    /// In the order in which they were added.
    #[cfg(feature = "highs")]
    binaries: Vec<Variable>,
}

/// How far one call may go.
struct Call {
    /// Whether the least cost is wanted, or any solution.
    least: bool,
    nodes: u64,
    time: Option<Duration>,
}

/// What a call came to, and the nodes that it took.
struct Reply {
    nodes: u64,
    what: What,
}

enum What {
    /// The values of the binaries; of least cost where that was wanted.
    Values(Vec<f64>),
    Infeasible,
    Unknown,
}

/// Asks an engine, given as a function, about a node.
fn answer(
    remainder: &Remainder<'_>,
    budget: &mut Budget,
    run: impl FnOnce(IntegerProgram, &Call) -> Reply,
) -> Answer {
    let Remainder {
        subproblem,
        live,
        caps,
        lines,
        least,
    } = *remainder;
    let model = subproblem.model;
    if live.len() > MAX_WAYS {
        return Answer::Unknown;
    }
    let mut variables = ProblemVariables::new();
    let mut taken: Vec<(usize, u32, Variable)> = Vec::new();
    let mut once: Vec<Expression> = Vec::new();
    let mut ports: BTreeMap<usize, Expression> = BTreeMap::new();
    let mut in_tables: BTreeMap<(usize, usize), Expression> = BTreeMap::new();
    let mut sums: BTreeMap<usize, Expression> = BTreeMap::new();
    let mut objective = Expression::default();
    for (device, ways) in live.each() {
        let mut sum = Expression::default();
        for &way in ways {
            let x = variables.add(variable().binary());
            taken.push((device, way, x));
            sum += x;
            let column = subproblem.way(way).column;
            if let Some(column) = column {
                *ports.entry(subproblem.way(way).port).or_default() += x;
                for of_table in model.in_tables(column) {
                    *in_tables.entry(of_table).or_default() += x;
                }
            }
            for &(row, takes) in subproblem.takes(way) {
                let row = row as usize;
                let share = as_float(takes) / as_float(caps[row].max(1));
                *sums.entry(row).or_default() += share * x;
            }
            // Watts where any assignment will do: a program without an objective
            // branches blindly.
            let multiplier = match (subproblem.goal, column) {
                (Goal::Any, Some(column)) => model.column(column).watts,
                (goal, Some(column)) => goal.of_column(model, device, column),
                (goal, None) => goal.of_none(model, device),
            };
            objective += as_float(multiplier) / 1e6 * x;
        }
        once.push(sum);
    }
    let mut rows = Vec::new();
    for sum in once {
        rows.push(constraint!(sum == 1.0));
    }
    for (port, sum) in &ports {
        rows.push(constraint!(
            sum.clone() <= as_float(small(model.seats[*port]))
        ));
    }
    for (row, sum) in sums {
        // Half a unit of slack changes no whole number and keeps rounding out.
        let limit = (as_float(caps[row]) + 0.5) / as_float(caps[row].max(1));
        rows.push(constraint!(sum <= limit));
    }
    for (t, (table, lines)) in model.tables.iter().zip(lines).enumerate() {
        for set in lines
            .first()
            .map_or(&[][..], |&line| &table.lines[line].needs)
        {
            let sum: Expression = set
                .iter()
                .filter_map(|&place| in_tables.get(&(t, place)))
                .cloned()
                .sum();
            rows.push(constraint!(sum >= 1.0));
        }
    }
    let problem = IntegerProgram {
        variables,
        objective,
        rows,
        #[cfg(feature = "highs")]
        binaries: taken.iter().map(|(_, _, x)| *x).collect(),
    };
    let call = Call {
        least,
        nodes: NODES_PER_CALL.min(budget.left()).max(1),
        time: budget.time_left(),
    };
    let reply = run(problem, &call);
    budget.spend(reply.nodes);
    match reply.what {
        What::Values(values) => {
            let mut ways = vec![None; live.devices()];
            for ((device, way, _), value) in taken.iter().zip(values) {
                if value > 0.5 {
                    ways[*device] = Some(*way);
                }
            }
            let ways: Option<Vec<u32>> = ways.into_iter().collect();
            ways.map_or(Answer::Unknown, Answer::Taken)
        }
        What::Infeasible => Answer::Infeasible,
        What::Unknown => Answer::Unknown,
    }
}
