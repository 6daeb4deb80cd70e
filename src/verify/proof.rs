//! Checks a proof that no plan is better: what it is about, and that its trees are whole.
//! Each node must be shown to hold no plan (`node.rs`) or be split in parts that together
//! hold all of its plans. The rules stand in `crate::plan::proof`, and are followed here sum by
//! sum, in 128 bits: short rather than fast.
//!
//! What a proof rests on, beside itself: the check's negotiation and times, and the order of
//! plans, of which it covers the levels up to the longest time.

mod node;
#[cfg(test)]
mod tests;

use super::Findings;
use super::program::{Program, claimed, longest};
use super::rules::Place;
use crate::plan::proof::{MOST_DEPTH, Node, Proof, plan_digest, setup_digest};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::millionths;
use node::{Plans, parts};

/// What is wrong, and in which part.
type Refused = (String, String);

/// Notes the first reason why `proof` does not show that `plan`, legal and sitting at
/// `places`, is best in the claimed numbers.
pub(super) fn check(
    setup: &Setup,
    plan: &Plan,
    places: &[Place],
    proof: &Proof,
    findings: &mut Findings,
) {
    if let Err((path, message)) = checked(setup, plan, places, proof) {
        findings.add(format!("proof.{path}"), message);
    }
}

fn checked(setup: &Setup, plan: &Plan, places: &[Place], proof: &Proof) -> Result<(), Refused> {
    let refuse = |path: &str, message: &str| Err((path.to_owned(), message.to_owned()));
    let body = &proof.body;
    if body.version != 2 {
        return refuse("body.version", "must be 2");
    }
    if !proof.is_whole() {
        return refuse("sha256", "is not the body's: the proof was changed");
    }
    if body.setup_sha256 != setup_digest(setup) {
        return refuse("body.setup_sha256", "the proof is about another setup");
    }
    if body.plan_sha256 != plan_digest(plan) {
        return refuse("body.plan_sha256", "the proof is about another plan");
    }
    if body.claimed != claimed(setup, plan, places) {
        return refuse("body.claimed", "these are not the numbers of the plan");
    }
    let shown = [
        count(plan.unserved) == body.claimed.unserved.iter().sum::<i64>(),
        millionths(plan.missing_wh) == body.claimed.missing,
        plan.aim == Aim::Promise || count(plan.late) == body.claimed.late.iter().sum::<i64>(),
        plan.aim == Aim::Promise || millionths(plan.longest_h) == longest(setup, places),
        plan.aim == Aim::Promise
            || plan.status == Status::Feasible
            || plan.bound_h.map(millionths) == Some(body.claimed.longest),
    ];
    if shown != [true; 5] {
        return refuse(
            "body.claimed",
            "the plan shows other numbers, if only by 1e-6",
        );
    }
    if !body
        .claims
        .iter()
        .map(|claim| claim.less)
        .eq(body.claimed.due())
    {
        let message = "there must be one for each claimed number above 0, in their order";
        return refuse("body.claims", message);
    }
    let program = Program::of(setup).map_err(|error| ("body".to_owned(), error.to_string()))?;
    for (at, claim) in body.claims.iter().enumerate() {
        let better = program.better(&body.claimed, claim.less);
        walk(&better, &claim.nodes)
            .map_err(|(path, message)| (format!("body.claims[{at}].{path}"), message))?;
    }
    Ok(())
}

fn count(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// A split node on the way down, how many of its parts were looked at, and what was closed
/// before.
struct Above {
    node: usize,
    seen: usize,
    closed: usize,
}

/// Whether the nodes are one whole tree that shows that there is no plan.
fn walk(program: &Program, nodes: &[Node]) -> Result<(), Refused> {
    let mut plans = Plans::all(program);
    let mut above: Vec<Above> = Vec::new();
    for (at, node) in nodes.iter().enumerate() {
        let here = |part: &str, message: &str| (format!("nodes[{at}]{part}"), message.to_owned());
        match above.last_mut() {
            None if at > 0 => return Err(here("", "belongs to no tree: that ended before it")),
            None => {}
            Some(split) => {
                plans.reopen(split.closed);
                plans.enter(nodes[split.node].branch.as_ref(), split.seen);
                split.seen += 1;
            }
        }
        let mut empty = plans.settle();
        for (s, step) in node.steps.iter().enumerate() {
            let part = format!(".steps[{s}]");
            if empty {
                return Err(here(&part, "the node is closed already"));
            }
            empty = plans.step(step).map_err(|message| here(&part, &message))?;
        }
        match &node.branch {
            Some(_) if empty => return Err(here(".branch", "the node is closed already")),
            None if !empty => return Err(here("", "is neither closed nor split")),
            None => {}
            Some(branch) => {
                let may = plans.may_split(branch);
                may.map_err(|message| here(".branch", message))?;
                above.push(Above {
                    node: at,
                    seen: 0,
                    closed: plans.closed(),
                });
            }
        }
        if above.len() > MOST_DEPTH {
            return Err(here("", &format!("lies below {MOST_DEPTH} others")));
        }
        let is_done = |last: &Above| last.seen == parts(nodes[last.node].branch.as_ref());
        while above.last().is_some_and(is_done) {
            above.pop();
        }
    }
    if nodes.is_empty() || !above.is_empty() {
        return Err(("nodes".to_owned(), "the tree is not complete".to_owned()));
    }
    Ok(())
}
