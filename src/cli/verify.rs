//! `wattberth verify`: a plan, or a rota, held against its setup.

use std::path::PathBuf;

use serde_json::json;

use super::Exit;
use super::answer::Answer;
use super::input::{self, SetupArgs};
use super::output::{self, Ended, Output};
use crate::{Error, Proof, Violation, report, verify_with_proof};

/// Check a plan or a rota against its setup: every rule and every number; with a proof,
/// also that no plan is better as far as the longest time.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// The plan or rota document; `-` reads standard input.
    #[arg(value_name = "PLAN.json")]
    plan: PathBuf,
    /// The proof that `wattberth assign --proof` wrote; `-` reads standard input.
    #[arg(long, value_name = "FILE")]
    proof: Option<PathBuf>,
    /// Print the outcome as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let paths = args.setup.paths().chain([&args.plan]).chain(&args.proof);
    let mut texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    // Every text was read, or there would have been a fault: the plan and the proof were
    // named last.
    let proof_text = args.proof.as_ref().and_then(|_| texts.pop());
    let plan_text = texts.pop();
    let setup = input::setup(&texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let Some(plan_text) = plan_text else {
        return Ok(Exit::BadInput);
    };
    let texts = [plan_text];
    let refused = |error: Error| out.refuse(&error, &texts, args.json);
    let answer = Answer::read(&texts[0]).map_err(refused)?;
    let (found, optimality) = match (proof_text, &answer) {
        (None, answer) => (answer.violations(&setup), Optimality::NotChecked),
        (Some(_), Answer::Rota(_)) => {
            return Err(refused(Error::Options {
                message: "this is a rota, and a proof is of a plan".to_owned(),
            }));
        }
        (Some(text), Answer::Plan(plan)) => {
            let proof = Proof::from_source(text.source())
                .map_err(|error| out.refuse(&error, &[text], args.json))?;
            let found = verify_with_proof(&setup, plan, &proof).violations;
            (found, Optimality::Proven)
        }
    };
    if args.json {
        output::data(&to_json(&found, optimality))?;
    } else {
        let mut text = sentences(&found, optimality);
        if found.is_empty() && answer.reshared_h().is_some() {
            text.push_str(
                "the time with re-sharing lies within its bounds; it is not computed again\n",
            );
        }
        out.text(|out| out.write_all(text.as_bytes()))?;
    }
    Ok(if found.is_empty() {
        Exit::Done
    } else {
        Exit::NotServed
    })
}

/// What is known, where nothing is wrong, of better plans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Optimality {
    NotChecked,
    /// As far as the longest time.
    Proven,
}

fn sentences(violations: &[Violation], optimality: Optimality) -> String {
    if violations.is_empty() {
        let better = match optimality {
            Optimality::NotChecked => "optimality not checked\n",
            Optimality::Proven => {
                "proven: no plan is better in devices without a berth, late ones and longest\n\
                 time; what comes after these is proven by the search only\n"
            }
        };
        return format!(
            "legal: every rule is kept\nnumbers right: each was computed again\n{better}"
        );
    }
    let mut text = match violations.len() {
        1 => "refused: 1 violation\n".to_owned(),
        several => format!("refused: {several} violations\n"),
    };
    for violation in violations {
        let Violation { path, message, .. } = violation;
        let at = if path.is_empty() {
            String::new()
        } else {
            format!("{path}: ")
        };
        text.push_str(&report::printable(&format!("  {at}{message}")));
        text.push('\n');
    }
    text
}

fn to_json(violations: &[Violation], optimality: Optimality) -> String {
    let of_proof = |violation: &Violation| violation.path.starts_with("proof.");
    let optimality = match optimality {
        Optimality::NotChecked => "not checked",
        Optimality::Proven if violations.is_empty() => "proven as far as the longest time",
        Optimality::Proven => "not proven",
    };
    let listed: Vec<_> = violations
        .iter()
        .map(|violation| json!({ "path": violation.path, "message": violation.message }))
        .collect();
    let outcome = json!({
        "legal": violations.iter().all(of_proof),
        "optimality": optimality,
        "violations": listed,
    });
    format!("{outcome:#}")
}

#[cfg(test)]
mod tests {
    use super::{Optimality, sentences, to_json};
    use crate::Violation;

    #[test]
    fn each_violation_is_a_line() {
        assert!(sentences(&[], Optimality::NotChecked).contains("optimality not checked"));
        let violations = [
            Violation {
                path: "berths[2].inlet_w".to_owned(),
                message: "is 44, should be 44.2".to_owned(),
            },
            Violation {
                path: String::new(),
                message: "device `a\nb` has no berth".to_owned(),
            },
        ];
        assert_eq!(
            sentences(&violations, Optimality::NotChecked),
            "refused: 2 violations\n  berths[2].inlet_w: is 44, should be 44.2\n  device \
             `a\\u{a}b` has no berth\n"
        );
    }

    #[test]
    fn the_outcome_as_data() {
        let violations = [Violation {
            path: "pools[0].used_w".to_owned(),
            message: "is 4".to_owned(),
        }];
        let read = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
        assert_eq!(read(&to_json(&[], Optimality::NotChecked))["legal"], true);
        let refused = read(&to_json(&violations, Optimality::NotChecked));
        assert_eq!(refused["legal"], false);
        assert_eq!(refused["violations"][0]["path"], "pools[0].used_w");
    }
}
