//! A proof that a plan is best, as far as the longest time: found here, written down for
//! anybody to check.
//!
//! The rows and ways are those of the check (`verify::program`), from its own negotiation,
//! so whatever is proven is proven of them and not of the model that plans come from. Each
//! claim becomes a problem of the kernel (`quotient.rs`), equal ports and equal cables taken
//! together, and the kernel's tree is grown on it: its lines of tables, its bound with its
//! multipliers, its splits. The bound keeps a record of what closed a node or deleted a way
//! by which whole prices; the record is cut down to what the node needs and written with
//! shorter numbers (`node.rs`), the splits in the words of a proof (`split.rs`). A finished
//! proof is checked before it is returned.
//!
//! Two things are not the search's: it has no engine and repairs nothing, and every node
//! starts from the multipliers of the one above it, with more steps, since a node that is
//! closed at once is a node that nobody has to read. A plan from a wrong model has no proof,
//! or a proof of what it really is. What a proof may use is what the check can see from the
//! file: prices are equal within classes, a twin is a device whose open ways are equal number
//! by number, though the kernel may see more devices alike; and what a step deletes is worked
//! out from its whole numbers as the check does, not taken from the bound.
//!
//! A change of a rule is a change in `plan/proof.rs` (the words), `verify/proof/node.rs` and
//! `node.rs` here, of the rule for lines also in `solve/node.rs`; a change of the meaning of a
//! file raises its version.

mod node;
mod quotient;
mod split;

use crate::diagnostics::{Error, Result};
use crate::plan::Plan;
use crate::plan::proof::{
    Body, Claim, Claimed, MOST_DEPTH, MOST_NODES, MOST_STEPS, Node, Number, Proof, plan_digest,
    setup_digest,
};
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::options::SolveOptions;
use crate::verify::program::Program;
use crate::verify::{claimed, verify_with_proof};
use node::{Outcome, Prover};
use quotient::Quotient;

/// A proof that no plan is better than this one as far as a [`Proof`] goes, with the default
/// [`SolveOptions`].
///
/// # Errors
/// As [`prove_with`].
pub fn prove(setup: &Setup, plan: &Plan) -> Result<Proof> {
    prove_with(setup, plan, &SolveOptions::default())
}

/// A proof that no plan is better than this one in devices without a berth (by priority,
/// then watt-hours missing) and, by `"aim": "best"`, in late ones and in the longest time,
/// within limits. How far
/// the search for the plan came, its status, does not matter: a plan whose status is
/// `feasible` may be best all the same.
///
/// # Errors
/// [`Error::NoProof`] where the plan is refused by [`verify`](crate::verify()), where a
/// better one exists, or where a limit struck; [`Error::Input`] where the devices have
/// more than 1 000 000 ways to sit, counted port by port and cable by cable;
/// [`Error::Options`] where an option is outside its range; [`Error::Internal`] where a
/// proof did not survive its check.
pub fn prove_with(setup: &Setup, plan: &Plan, options: &SolveOptions) -> Result<Proof> {
    options.check()?;
    setup.check_plannable()?;
    let Some(claimed) = claimed(setup, plan) else {
        return Err(no_proof("the plan breaks a rule or has a wrong number"));
    };
    let program = Program::of(setup)?;
    let (mut budget, _) = options.begin();
    let mut claims = Vec::new();
    for less in claimed.due() {
        let nodes = tree(&program, &claimed, less, &mut budget)?;
        claims.push(Claim { less, nodes });
    }
    let proof = Proof::of(Body {
        version: 2,
        setup_sha256: setup_digest(setup),
        plan_sha256: plan_digest(plan),
        claimed,
        claims,
    });
    if proof.nodes() > MOST_NODES || proof.steps() > MOST_STEPS {
        return Err(too_large());
    }
    match verify_with_proof(setup, plan, &proof).violations.first() {
        None => Ok(proof),
        Some(first) => Err(Error::Internal {
            message: first.to_string(),
        }),
    }
}

impl Plan {
    /// A proof that no plan is better than this one in devices without a berth, late ones
    /// and longest time; see [`prove`].
    ///
    /// ```
    /// use wattberth::{Cable, Charger, Device, Port, SetupDocument, assign, verify_with_proof};
    ///
    /// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 30.0));
    /// let setup = SetupDocument::new()
    ///     .charger(cube.max_w(60.0))
    ///     .cable(Cable::c_to_c("braided").count(2))
    ///     .device(Device::new("laptop", 56.0).pd_w(65.0))
    ///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
    ///     .check()?;
    /// let plan = assign(&setup)?;
    /// let proof = plan.proof(&setup)?;
    /// assert!(verify_with_proof(&setup, &plan, &proof).is_ok());
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`prove_with`].
    pub fn proof(&self, setup: &Setup) -> Result<Proof> {
        prove(setup, self)
    }
}

fn no_proof(message: impl Into<String>) -> Error {
    Error::NoProof {
        message: message.into(),
    }
}

fn too_large() -> Error {
    no_proof(format!(
        "it would be larger than {MOST_NODES} nodes, {MOST_STEPS} steps or {MOST_DEPTH} branches \
         one below the other"
    ))
}

/// The tree that shows that `less` cannot be lowered.
fn tree(
    program: &Program,
    claimed: &Claimed,
    less: Number,
    budget: &mut Budget,
) -> Result<Vec<Node>> {
    let quotient = Quotient::of(program, claimed, less);
    let subproblem = quotient.subproblem();
    let mut prover = Prover::new(&quotient, &subproblem);
    let mut nodes = Vec::new();
    // The last one is the next node, its siblings below it: each node before its children.
    let mut open = vec![prover.root()];
    while let Some(next) = open.pop() {
        if nodes.len() >= MOST_NODES || next.depth >= MOST_DEPTH {
            return Err(too_large());
        }
        match prover.node(next, budget) {
            Outcome::Closed(node) => nodes.push(node),
            Outcome::Split(node, children) => {
                nodes.push(node);
                open.extend(children.into_iter().rev());
            }
            Outcome::Plan => {
                return Err(no_proof("there is a better plan"));
            }
            Outcome::Stopped => {
                return Err(no_proof(
                    "a limit struck before it was complete: there may be one within a larger \
                     budget",
                ));
            }
        }
    }
    Ok(nodes)
}
