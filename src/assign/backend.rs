//! The integer-programming engine behind the search: the only file that names it.
//!
//! Only binaries and rows scaled to their caps enter; no big-M, no times. Whatever it
//! answers with is read as 0/1 and checked against the rows in whole numbers by the
//! caller.

use std::collections::BTreeMap;

use ::microlp::{SolveOptions, TerminationReason};
use good_lp::{Expression, ProblemVariables, SolverModel, Variable, constraint, microlp, variable};

use super::budget::Budget;
use super::goal::{Goal, Open, Rows};
use super::model::{Model, Seating, small};
use super::search::Task;
use crate::units::as_float;

/// Nodes of the engine's own tree that one call may take.
const NODES_PER_CALL: u64 = 400;

/// Larger programs are left to our own branching: the engine's time grows faster.
const MAX_CHOICES: usize = 4_000;

/// What an engine says about a node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Answer {
    Seating(Seating),
    Infeasible,
    /// Not within its limits.
    Unknown,
}

/// What is left of a question at a node whose tables have one line each.
pub(super) struct Remainder<'a> {
    pub(super) model: &'a Model,
    pub(super) task: &'a Task<'a>,
    pub(super) open: &'a Open,
    /// By table, the lines left.
    pub(super) lines: &'a [Vec<usize>],
    pub(super) rows: &'a Rows,
    pub(super) cutoff: i64,
}

/// An engine for integer programs.
pub(super) trait Engine {
    /// A seating within the cutoff: of least cost, or the first found where the task
    /// asks for no more.
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer;
}

/// `microlp`, through `good_lp`.
#[derive(Debug, Default)]
pub(super) struct Microlp;

impl Engine for Microlp {
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer {
        let Remainder {
            model,
            task,
            open,
            lines,
            rows,
            cutoff,
        } = *remainder;
        if open.choices.iter().map(Vec::len).sum::<usize>() > MAX_CHOICES {
            return Answer::Unknown;
        }
        let mut variables = ProblemVariables::new();
        let mut taken: Vec<(usize, Option<u32>, Variable)> = Vec::new();
        let mut once: Vec<Expression> = Vec::new();
        let mut ports: BTreeMap<usize, Expression> = BTreeMap::new();
        let mut sums: BTreeMap<usize, Expression> = BTreeMap::new();
        let mut objective = Expression::default();
        for device in 0..model.len() {
            let mut sum = Expression::default();
            let stay = open.may_stay[device].then_some(None);
            for choice in open.choices[device].iter().map(|&c| Some(c)).chain(stay) {
                let x = variables.add(variable().binary());
                taken.push((device, choice, x));
                sum += x;
                if let Some(choice) = choice {
                    *ports.entry(model.choice(choice).port).or_default() += x;
                }
                rows.each_taken(model, task.limits, device, choice, |row, takes| {
                    if rows.caps[row] != i64::MAX {
                        let share = as_float(takes) / as_float(rows.caps[row].max(1));
                        *sums.entry(row).or_default() += share * x;
                    }
                });
                objective += price(model, task.goal, device, choice) * x;
            }
            once.push(sum);
        }
        let mut program = variables.minimise(objective.clone()).using(microlp);
        for sum in once {
            program.add_constraint(constraint!(sum == 1.0));
        }
        for (port, sum) in &ports {
            program.add_constraint(constraint!(
                sum.clone() <= as_float(small(model.seats[*port]))
            ));
        }
        for (row, sum) in sums {
            let cap = rows.caps[row];
            // Half a unit of slack changes no whole number and keeps rounding out.
            let limit = (as_float(cap) + 0.5) / as_float(cap.max(1));
            program.add_constraint(constraint!(sum <= limit));
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
                program.add_constraint(constraint!(sum >= 1.0));
            }
        }
        if task.goal != Goal::Any {
            let limit = as_float(cutoff) + 0.5;
            program.add_constraint(constraint!(objective * 1e6 <= limit));
        }
        run(&program, task.least, &taken, model.len(), budget)
    }
}

fn run(
    program: &good_lp::solvers::microlp::MicroLpProblem,
    least: bool,
    taken: &[(usize, Option<u32>, Variable)],
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
            let mut seating: Seating = vec![None; devices];
            let values: Vec<f64> = solution.iter().map(|(_, value)| value).collect();
            for ((device, choice, _), value) in taken.iter().zip(values) {
                if value > 0.5 {
                    seating[*device] = *choice;
                }
            }
            Answer::Seating(seating)
        }
        _ => Answer::Unknown,
    }
}

/// The objective of a choice, in whole units of a millionth: the goal's, or the watts
/// where any seating will do, since a program without an objective branches blindly.
fn price(model: &Model, goal: Goal, device: usize, choice: Option<u32>) -> f64 {
    let cost = match (goal, choice) {
        (Goal::Any, Some(choice)) => model.choice(choice).watts,
        (_, Some(choice)) => goal.of_choice(model, choice),
        (_, None) => goal.of_none(model, device),
    };
    as_float(cost) / 1e6
}
