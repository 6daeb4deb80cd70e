//! The integer-programming engine behind the search: the only file that names it.
//!
//! Only binaries and rows scaled to their caps enter; no big-M, no times. Whatever it
//! answers with is read as 0/1 and checked against the rows in whole numbers by the
//! caller.

use std::collections::BTreeMap;

use ::microlp::{SolveOptions, TerminationReason};
use good_lp::{Expression, ProblemVariables, SolverModel, Variable, constraint, microlp, variable};

use super::budget::Budget;
use super::goal::Goal;
use super::model::small;
use super::program::{Live, Program};
use crate::units::as_float;

/// Nodes of the engine's own tree that one call may take.
const NODES_PER_CALL: u64 = 400;

/// Larger programs are left to our own branching: the engine's time grows faster.
const MAX_WAYS: usize = 4_000;

/// What an engine says about a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Answer {
    /// By device, the way of a seating.
    Taken(Vec<u32>),
    Infeasible,
    /// Not within its limits.
    Unknown,
}

/// What is left of a question at a node whose tables have one line each.
pub(super) struct Remainder<'a> {
    pub(super) program: &'a Program<'a>,
    pub(super) live: &'a Live,
    pub(super) caps: &'a [i64],
    /// By table, the lines left.
    pub(super) lines: &'a [Vec<usize>],
    /// Whether the least cost is wanted, or any within the cutoff.
    pub(super) least: bool,
}

/// An engine for integer programs.
pub(super) trait Engine {
    /// A seating within the cutoff: of least cost, or the first found where
    /// no more is wanted.
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer;
}

/// `microlp`, through `good_lp`.
#[derive(Debug, Default)]
pub(super) struct Microlp;

impl Engine for Microlp {
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer {
        let Remainder {
            program,
            live,
            caps,
            lines,
            least,
        } = *remainder;
        let model = program.model;
        if live.len() > MAX_WAYS {
            return Answer::Unknown;
        }
        let mut variables = ProblemVariables::new();
        let mut taken: Vec<(usize, u32, Variable)> = Vec::new();
        let mut once: Vec<Expression> = Vec::new();
        let mut ports: BTreeMap<usize, Expression> = BTreeMap::new();
        let mut sums: BTreeMap<usize, Expression> = BTreeMap::new();
        let mut objective = Expression::default();
        for (device, ways) in live.each() {
            let mut sum = Expression::default();
            for &way in ways {
                let x = variables.add(variable().binary());
                taken.push((device, way, x));
                sum += x;
                let choice = program.way(way).choice;
                if choice.is_some() {
                    *ports.entry(program.way(way).port).or_default() += x;
                }
                for &(row, takes) in program.takes(way) {
                    let row = row as usize;
                    let share = as_float(takes) / as_float(caps[row].max(1));
                    *sums.entry(row).or_default() += share * x;
                }
                // Watts where any seating will do: a program without an objective
                // branches blindly.
                let price = match (program.goal, choice) {
                    (Goal::Any, Some(choice)) => model.choice(choice).watts,
                    (goal, Some(choice)) => goal.of_choice(model, choice),
                    (goal, None) => goal.of_none(model, device),
                };
                objective += as_float(price) / 1e6 * x;
            }
            once.push(sum);
        }
        let mut problem = variables.minimise(objective).using(microlp);
        for sum in once {
            problem.add_constraint(constraint!(sum == 1.0));
        }
        for (port, sum) in &ports {
            problem.add_constraint(constraint!(
                sum.clone() <= as_float(small(model.seats[*port]))
            ));
        }
        for (row, sum) in sums {
            // Half a unit of slack changes no whole number and keeps rounding out.
            let limit = (as_float(caps[row]) + 0.5) / as_float(caps[row].max(1));
            problem.add_constraint(constraint!(sum <= limit));
        }
        for (table, lines) in model.tables.iter().zip(lines) {
            for set in lines
                .first()
                .map_or(&[][..], |&line| &table.lines[line].needs)
            {
                let sum: Expression = set
                    .iter()
                    .filter_map(|group| ports.get(group))
                    .cloned()
                    .sum();
                problem.add_constraint(constraint!(sum >= 1.0));
            }
        }
        run(&problem, least, &taken, live.devices(), budget)
    }
}

fn run(
    program: &good_lp::solvers::microlp::MicroLpProblem,
    least: bool,
    ways: &[(usize, u32, Variable)],
    devices: usize,
    budget: &mut Budget,
) -> Answer {
    let mut options = SolveOptions::default();
    let nodes = NODES_PER_CALL.min(budget.left()).max(1);
    options.node_limit = Some(nodes);
    options.time_limit = budget.time_left();
    options.mip_gap = if least { 0.0 } else { 1e9 };
    let outcome = match program.as_inner().solve_with(options) {
        Ok(outcome) => outcome,
        Err(::microlp::Error::Infeasible) => {
            budget.spend(1);
            return Answer::Infeasible;
        }
        Err(_) => {
            budget.spend(nodes);
            return Answer::Unknown;
        }
    };
    budget.spend(outcome.stats().nodes_solved + 1);
    let proven = outcome.termination_reason() == TerminationReason::ProvenOptimal;
    match outcome.solution() {
        Some(solution) if proven || !least => {
            let mut taken = vec![None; devices];
            for ((device, way, _), (_, value)) in ways.iter().zip(solution.iter()) {
                if value > 0.5 {
                    taken[*device] = Some(*way);
                }
            }
            let taken: Option<Vec<u32>> = taken.into_iter().collect();
            taken.map_or(Answer::Unknown, Answer::Taken)
        }
        _ => Answer::Unknown,
    }
}
