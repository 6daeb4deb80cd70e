//! `wattberth assign`: the best plan of a setup.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use super::Exit;
use super::input::{self, SetupArgs};
use super::output::{self, Ended, Output};
use super::proof_file;
use crate::report::{Palette, Report, write_text};
use crate::{Error, Options, Plan, Setup, Status, assign_with, prove_with};

/// Find the best plan of a setup.
///
/// Ctrl-C ends the search with the best plan so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the plan document as JSON.
    #[arg(long)]
    json: bool,
    /// Stop the search after so many seconds, with the best plan so far.
    #[arg(long, value_name = "SECONDS", value_parser = seconds, allow_negative_numbers = true)]
    time_limit: Option<Duration>,
    /// Stop the search after so many steps, with the best plan so far; unlike a time,
    /// the same number gives the same plan everywhere.
    #[arg(
        long,
        value_name = "STEPS",
        default_value_t = Options::DEFAULT_BUDGET,
        value_parser = clap::value_parser!(u64).range(1..),
        allow_negative_numbers = true
    )]
    budget: u64,
    /// Write a proof that no plan is better as far as the longest time, for
    /// `wattberth verify --proof`. It is made once the plan is found, within the same
    /// limits again.
    #[arg(long, value_name = "FILE")]
    proof: Option<PathBuf>,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let interrupt = interrupt_flag();
    let paths = std::iter::once(&args.setup.setup).chain(&args.setup.chargers);
    let texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    let setup = input::setup(&texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
    if let Some(path) = &args.proof {
        proof_file::may_be(path).map_err(|error| out.refuse(&error, &[], args.json))?;
    }
    let options = Options {
        budget: args.budget,
        time_limit: args.time_limit,
        interrupt: Some(interrupt),
        ..Options::default()
    };
    let plan =
        assign_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    if args.json {
        output::data(&plan.to_json())?;
    } else {
        let report = Report::new(&setup, &plan);
        out.text(|mut out| write_text(&report, &Palette::COLOUR, &mut out))?;
    }
    if let Some(path) = &args.proof {
        // The plan is on standard output, and is the whole answer there.
        let made = proven(&setup, &plan, &options, path);
        made.map_err(|error| out.refuse(&error, &[], false))?;
        if !args.json {
            out.text(|out| out.write_all(proof_file::said(path).as_bytes()))?;
        }
    }
    let served = plan.unserved == 0 && plan.late == 0;
    Ok(if served { Exit::Done } else { Exit::NotServed })
}

/// Writes the proof of a plan.
fn proven(setup: &Setup, plan: &Plan, options: &Options, path: &Path) -> Result<(), Error> {
    if plan.status != Status::Optimal {
        return Err(Error::NoProof {
            message: "the search was stopped before it knew that the plan is best".to_owned(),
        });
    }
    proof_file::write(path, &prove_with(setup, plan, options)?)
}

/// The flag that the first Ctrl-C sets; a second one ends the process.
fn interrupt_flag() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let seen = Arc::clone(&flag);
    // Where no handler can be set, Ctrl-C ends the process as it always does.
    let _ = ctrlc::set_handler(move || {
        if seen.swap(true, Ordering::SeqCst) {
            std::process::exit(Exit::Interrupted.code().into());
        }
    });
    flag
}

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text
        .parse()
        .map_err(|_| "a number of seconds is needed".to_owned())?;
    Duration::try_from_secs_f64(seconds)
        .map_err(|_| "a number of seconds from 0 is needed".to_owned())
}

#[cfg(test)]
mod tests {
    use super::{Duration, seconds};

    #[test]
    fn seconds_are_finite_and_not_negative() {
        assert_eq!(seconds("1.5"), Ok(Duration::from_millis(1500)));
        for bad in ["-1", "NaN", "inf", "soon", "", "1e300"] {
            assert!(seconds(bad).is_err(), "{bad}");
        }
    }
}
