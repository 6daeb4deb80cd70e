//! `HiGHS`, through `good_lp`.

use good_lp::{ResolutionError, Solution, SolutionStatus, SolverModel, highs};

use super::{Answer, Budget, Call, Engine, IntegerProgram, Remainder, Reply, What, answer};

/// Tolerance of rows, which are scaled to their caps, and of whole numbers. An assignment
/// that takes more than a row has by less than this is refused by the caller.
const TOLERANCE: f64 = 1e-9;

/// The engine of the feature `highs`.
#[derive(Debug, Default)]
pub(crate) struct Highs;

impl Engine for Highs {
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer {
        answer(remainder, budget, run)
    }
}

pub(crate) fn run(program: IntegerProgram, call: &Call) -> Reply {
    let mut model = program.variables.minimise(program.objective).using(highs);
    for row in program.rows {
        model.add_constraint(row);
    }
    // One thread and a fixed seed: the same steps on every machine.
    let mut model = model
        .set_threads(1)
        .set_option("random_seed", 0)
        .set_option(
            "mip_max_nodes",
            i32::try_from(call.nodes).unwrap_or(i32::MAX),
        )
        .set_option("mip_feasibility_tolerance", TOLERANCE)
        .set_option("primal_feasibility_tolerance", TOLERANCE)
        .set_option("dual_feasibility_tolerance", TOLERANCE);
    model = if call.least {
        model
            .set_option("mip_rel_gap", 0.0)
            .set_option("mip_abs_gap", 0.0)
    } else {
        model.set_option("mip_rel_gap", 1e9)
    };
    if let Some(time) = call.time {
        model = model.set_time_limit(time.as_secs_f64());
    }
    // The nodes that it took are not told: a call counts as one where it answers.
    match model.solve() {
        // What is left of the gap where it says "optimal" is rounding.
        Ok(solution) if !call.least || !matches!(solution.status(), SolutionStatus::TimeLimit) => {
            Reply {
                nodes: 1,
                what: What::Values(
                    program
                        .binaries
                        .iter()
                        .map(|&x| solution.value(x))
                        .collect(),
                ),
            }
        }
        Err(ResolutionError::Infeasible) => Reply {
            nodes: 1,
            what: What::Infeasible,
        },
        _ => Reply {
            nodes: call.nodes,
            what: What::Unknown,
        },
    }
}
