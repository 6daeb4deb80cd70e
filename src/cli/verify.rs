//! `wattberth verify`: a plan, or a rota, held against its setup.

use std::path::PathBuf;

use serde_json::json;

use super::Exit;
use super::answer::Answer;
use super::input::{self, SetupArgs};
use super::output::{self, Ended, Output};
use super::proof_folder;
use crate::{
    NotChecked, Verification, Violation, report, verify_rota_with_proof, verify_with_proof,
};

/// Check a plan or a rota against its setup: every rule and every number; with a proof,
/// also that no plan is better as far as the proof goes.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// The plan or rota document; `-` reads standard input.
    #[arg(value_name = "PLAN.json")]
    plan: PathBuf,
    /// The folder that `--proof` of `wattberth assign` or `rota` wrote.
    #[arg(long, value_name = "DIR")]
    proof: Option<PathBuf>,
    /// Print the outcome as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let paths = args.setup.paths().chain([&args.plan]);
    let mut texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    // Every text was read, or there would have been a fault: the plan was named last.
    let plan_text = texts.pop();
    let setup = args
        .setup
        .setup_of(&texts)
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let Some(plan_text) = plan_text else {
        return Ok(Exit::BadInput);
    };
    let texts = [plan_text];
    let answer = Answer::read(&texts[0]).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let proof = args.proof.as_deref().map(proof_folder::read).transpose();
    let proof = proof.map_err(|(error, texts)| out.refuse(&error, &texts, args.json))?;
    let optimality = match &proof {
        None => Optimality::NotChecked,
        Some(proof) if proof.is_of_whole_order() => Optimality::Whole,
        Some(proof) if proof.is_of_times() => Optimality::AsFarAsLongest,
        Some(_) => Optimality::Berths,
    };
    let found = match (&proof, &answer) {
        (None, answer) => answer.verified(&setup),
        (Some(proof), Answer::Plan(plan)) => verify_with_proof(&setup, plan, proof),
        (Some(proof), Answer::Rota(rota)) => verify_rota_with_proof(&setup, rota, proof),
    };
    if args.json {
        output::data(&to_json(&found, optimality))?;
    } else {
        let text = sentences(&found, optimality, answer.has_causes());
        out.lines(&text)?;
    }
    Ok(if found.is_ok() {
        Exit::Done
    } else {
        Exit::NotServed
    })
}

/// What is known, where nothing is wrong, of better plans.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Optimality {
    NotChecked,
    /// Proven as far as the longest time.
    AsFarAsLongest,
    /// Proven in who has a berth.
    Berths,
    /// Proven in the whole order, as far as the proof says that it covers it.
    Whole,
}

fn sentences(found: &Verification, optimality: Optimality, has_causes: bool) -> String {
    if found.is_ok() {
        let mut text =
            "legal: every rule is kept\nnumbers right: each was computed again\n".to_owned();
        if has_causes {
            text.push_str("reasons true: those of the devices without a port were looked at\n");
        }
        text.push_str(match optimality {
            Optimality::NotChecked => "optimality not checked\n",
            Optimality::Whole => {
                "proven: nothing is better in the order of plans, but for what the proof says\n\
                 that it does not cover\n"
            }
            Optimality::Berths => {
                "proven: nothing is better in devices without a port; what comes after these\n\
                 is proven by the search only\n"
            }
            Optimality::AsFarAsLongest => {
                "proven: nothing is better in devices without a port, late ones and longest\n\
                 time; what comes after these is proven by the search only\n"
            }
        });
        for what in found.not_checked.iter().filter_map(|what| sentence(*what)) {
            text.push_str(what);
        }
        return text;
    }
    let violations = &found.violations;
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
        let mut line = Vec::new();
        // A vector takes every byte, and the wrapped text is text.
        let _ = report::indented(&report::printable(&format!("{at}{message}")), &mut line);
        text.push_str(&String::from_utf8_lossy(&line));
    }
    text
}

/// What was not checked beside optimality, which has a line of its own.
fn sentence(what: NotChecked) -> Option<&'static str> {
    match what {
        NotChecked::Bounds => Some("bounds not checked: only that none is above its value\n"),
        NotChecked::Reshared => {
            Some("the time with sharing anew lies within its bounds; it is not computed again\n")
        }
        NotChecked::Moves => Some("moves not checked: only that each ends where its device is\n"),
        NotChecked::Causes => {
            Some("reasons not checked: what devices lack beside the others in a rota\n")
        }
        NotChecked::Cautions => Some("cautions not checked\n"),
        NotChecked::Because => Some("why it is no better: not checked\n"),
        _ => None,
    }
}

fn to_json(found: &Verification, optimality: Optimality) -> String {
    let violations = &found.violations;
    let of_proof = |violation: &Violation| violation.path.starts_with("proof.");
    let optimality = match optimality {
        Optimality::NotChecked => "not checked",
        _ if !violations.is_empty() => "not proven",
        Optimality::AsFarAsLongest => "proven as far as the longest time",
        Optimality::Berths => "proven in devices without a berth",
        Optimality::Whole => "proven as far as the proof covers the order",
    };
    let listed: Vec<_> = violations
        .iter()
        .map(|violation| json!({ "path": violation.path, "message": violation.message }))
        .collect();
    let not_checked: Vec<&str> = found.not_checked.iter().map(|what| what.word()).collect();
    let outcome = json!({
        "legal": violations.iter().all(of_proof),
        "not_checked": not_checked,
        "optimality": optimality,
        "violations": listed,
    });
    format!("{outcome:#}")
}

#[cfg(test)]
mod tests {
    use super::{NotChecked, Optimality, Verification, sentences, to_json};
    use crate::Violation;

    fn found(violations: Vec<Violation>) -> Verification {
        Verification {
            violations,
            not_checked: vec![NotChecked::Optimality, NotChecked::Cautions],
        }
    }

    #[test]
    fn each_violation_is_a_line() {
        let sound = sentences(&found(Vec::new()), Optimality::NotChecked, false);
        assert!(sound.ends_with("optimality not checked\ncautions not checked\n"));
        let violations = vec![
            Violation {
                path: "berths[2].inlet_w".to_owned(),
                message: "is 44, should be 44.2".to_owned(),
            },
            Violation {
                path: String::new(),
                message: "device `a\nb` has no port".to_owned(),
            },
        ];
        assert_eq!(
            sentences(&found(violations), Optimality::NotChecked, false),
            "refused: 2 violations\n  berths[2].inlet_w: is 44, should be 44.2\n  device \
             `a\\u{a}b` has no port\n"
        );
    }

    #[test]
    fn the_outcome_as_data() {
        let violations = vec![Violation {
            path: "pools[0].used_w".to_owned(),
            message: "is 4".to_owned(),
        }];
        let read = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
        let sound = read(&to_json(&found(Vec::new()), Optimality::NotChecked));
        assert_eq!(sound["legal"], true);
        assert_eq!(sound["not_checked"][1], "cautions");
        let refused = read(&to_json(&found(violations), Optimality::NotChecked));
        assert_eq!(refused["legal"], false);
        assert_eq!(refused["violations"][0]["path"], "pools[0].used_w");
    }
}
