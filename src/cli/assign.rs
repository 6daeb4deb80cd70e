//! `wattberth assign`: the best plan of a setup.

use super::Exit;
use super::input::SetupArgs;
use super::limits::{LimitArgs, from_here};
use super::output::{self, Ended, Output};
use super::pictures::{self, PictureArgs};
use super::proof_file;
use crate::picture;
use crate::report::{Card, Palette, Report, write_card, write_text};
use crate::{Error, Options, Plan, Setup, Status, assign_with, prove_with, timeline};
use std::path::{Path, PathBuf};
use std::time::Instant;

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
    /// Print the few lines worth a photo: port, device, cable, and when it is full.
    #[arg(long, conflicts_with = "json")]
    card: bool,
    #[command(flatten)]
    limits: LimitArgs,
    /// Write a proof that no plan is better as far as the longest time, for
    /// `wattberth verify --proof`. It is made once the plan is found, within as many steps
    /// again and the time that is left.
    #[arg(long, value_name = "FILE")]
    proof: Option<PathBuf>,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    args.pictures.check(out, args.json)?;
    let options = args.limits.with_reshared();
    let (texts, setup) = args.setup.read(out, args.json)?;
    if let Some(path) = &args.proof {
        proof_file::may_be(path).map_err(|error| out.refuse(&error, &[], args.json))?;
    }
    let started = Instant::now();
    let plan =
        assign_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    if args.json {
        output::data(&plan.to_json())?;
    } else if args.card {
        let card = Card::new(&setup, &plan);
        out.text(|mut out| write_card(&card, &Palette::COLOUR, &mut out))?;
    } else {
        let report = Report::new(&setup, &plan);
        out.text(|mut out| write_text(&report, &Palette::COLOUR, &mut out))?;
    }
    if let Some(path) = &args.proof {
        // The plan is on standard output, and is the whole answer there.
        let made = proven(&setup, &plan, &from_here(&options, started), path);
        made.map_err(|error| out.refuse(&error, &[], false))?;
        if !args.json {
            out.text(|out| out.write_all(proof_file::said(path).as_bytes()))?;
        }
    }
    let drawn = || {
        let timeline = timeline(&setup, &plan, &pictures::fine(plan.longest_h))?;
        Ok(picture::night(&setup, &plan, &timeline))
    };
    args.pictures.write(drawn, out, args.json)?;
    Ok(Exit::of(plan.unserved, plan.late))
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
