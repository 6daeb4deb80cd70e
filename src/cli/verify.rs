//! `wattberth verify`: a plan held against its setup.

use std::path::PathBuf;

use serde_json::json;

use super::Exit;
use super::input::{self, SetupArgs};
use super::output::{self, Ended, Output};
use crate::{Plan, Violation, report, verify};

/// Check a plan against its setup: every rule and every number, not whether a better
/// plan exists.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// The plan document; `-` reads standard input.
    #[arg(value_name = "PLAN.json")]
    plan: PathBuf,
    /// Print the outcome as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let paths = std::iter::once(&args.setup.setup)
        .chain(&args.setup.chargers)
        .chain([&args.plan]);
    let texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    // The plan was named last; without it there would have been a fault.
    let (setup_texts, plan_text) = texts.split_at(texts.len().saturating_sub(1));
    let setup = input::setup(setup_texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let Some(plan_text) = plan_text.first() else {
        return Ok(Exit::BadInput);
    };
    let plan = Plan::from_source(plan_text.source())
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let found = verify(&setup, &plan).violations;
    if args.json {
        output::data(&to_json(&found))?;
    } else {
        out.text(|out| out.write_all(sentences(&found).as_bytes()))?;
    }
    Ok(if found.is_empty() {
        Exit::Done
    } else {
        Exit::NotServed
    })
}

fn sentences(violations: &[Violation]) -> String {
    if violations.is_empty() {
        return "legal: every rule is kept\nnumbers right: each was computed again\n\
                optimality not checked\n"
            .to_owned();
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

fn to_json(violations: &[Violation]) -> String {
    let listed: Vec<_> = violations
        .iter()
        .map(|violation| json!({ "path": violation.path, "message": violation.message }))
        .collect();
    let outcome = json!({
        "legal": violations.is_empty(),
        "optimality": "not checked",
        "violations": listed,
    });
    format!("{outcome:#}")
}

#[cfg(test)]
mod tests {
    use super::{sentences, to_json};
    use crate::Violation;

    #[test]
    fn each_violation_is_a_line() {
        assert!(sentences(&[]).contains("optimality not checked"));
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
            sentences(&violations),
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
        assert_eq!(read(&to_json(&[]))["legal"], true);
        let refused = read(&to_json(&violations));
        assert_eq!(refused["legal"], false);
        assert_eq!(refused["violations"][0]["path"], "pools[0].used_w");
    }
}
