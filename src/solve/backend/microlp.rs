//! `microlp`, through `good_lp`.

use ::microlp::{Error, SolveOptions, TerminationReason};
use good_lp::{SolverModel, microlp};

use super::{Answer, Budget, Call, Engine, IntegerProgram, Remainder, Reply, What, answer};

/// The engine where no other is chosen: Rust alone.
#[derive(Debug, Default)]
pub(crate) struct Microlp;

impl Engine for Microlp {
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer {
        answer(remainder, budget, run)
    }
}

pub(crate) fn run(program: IntegerProgram, call: &Call) -> Reply {
    let mut model = program.variables.minimise(program.objective).using(microlp);
    for row in program.rows {
        model.add_constraint(row);
    }
    let mut options = SolveOptions::default();
    options.node_limit = Some(call.nodes);
    options.time_limit = call.time;
    options.mip_gap = if call.least { 0.0 } else { 1e9 };
    // `good_lp` has no limit of nodes and tells no statistics: the model itself does.
    let outcome = match model.as_inner().solve_with(options) {
        Ok(outcome) => outcome,
        Err(Error::Infeasible) => {
            return Reply {
                nodes: 1,
                what: What::Infeasible,
            };
        }
        Err(_) => {
            return Reply {
                nodes: call.nodes,
                what: What::Unknown,
            };
        }
    };
    let proven = outcome.termination_reason() == TerminationReason::ProvenOptimal;
    let what = match outcome.solution() {
        Some(solution) if proven || !call.least => {
            What::Values(solution.iter().map(|(_, value)| value).collect())
        }
        _ => What::Unknown,
    };
    Reply {
        nodes: outcome.stats().nodes_solved + 1,
        what,
    }
}
