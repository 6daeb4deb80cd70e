//! `wattberth assign`: the best plan of a setup.

use super::input::{SetupArgs, Text};
use super::limits::{LimitArgs, from_here};
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use super::whole_file::{Files, OutputFile};
use super::{Exit, proof_file};
use crate::report::Page;
use crate::{Error, Plan, Setup, SolveOptions, Status, assign_with, prove_with, timeline_with};
use std::path::PathBuf;
use std::time::Instant;

/// Find the best plan of a setup.
///
/// Ctrl-C ends the search with the best plan so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    #[command(flatten)]
    answer: AnswerArgs,
}

/// What is wanted of the plan.
#[derive(Debug, clap::Args)]
pub(super) struct AnswerArgs {
    /// Print the plan document as JSON.
    #[arg(long)]
    pub(super) json: bool,
    /// Print the few lines worth a photo: port, device, cable, and when it is full.
    #[arg(long, conflicts_with = "json")]
    card: bool,
    #[command(flatten)]
    limits: LimitArgs,
    /// Write a proof that no plan is better in devices without a berth, with `"aim": "best"`
    /// as far as the longest time, for `wattberth verify --proof`. It is made once the plan
    /// is found, within as many steps again and the time that is left.
    ///
    /// FILE is as for `--svg`.
    #[arg(long, value_name = "FILE")]
    proof: Option<PathBuf>,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let read = || args.setup.read(out, args.answer.json);
    answer(&args.answer, args.setup.paths(), read, out)
}

/// Answers of the setup that is `read`, once the files to write are known to be none of the
/// `inputs`.
pub(super) fn answer<'a>(
    args: &'a AnswerArgs,
    inputs: impl Iterator<Item = &'a PathBuf>,
    read: impl FnOnce() -> Result<(Vec<Text>, Setup), Ended>,
    out: &Output,
) -> Result<Exit, Ended> {
    let wanted = args.pictures.wanted();
    let wanted = wanted.chain(args.proof.iter().map(|path| proof_file::wanted(path)));
    let mut files =
        Files::open(wanted, inputs).map_err(|error| out.refuse(&error, &[], args.json))?;
    let options = args.limits.with_reasons();
    let (texts, setup) = read()?;
    let started = Instant::now();
    let plan =
        assign_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || {
        if args.card {
            Page::card_of_plan(&setup, &plan)
        } else {
            Page::of_plan(&setup, &plan)
        }
    };
    let shown = out.answer(args.json, || plan.to_json(), page);
    let proof = match files.take(proof_file::OPTION) {
        Some(file) => prove(
            args,
            &setup,
            &plan,
            &from_here(&options, started),
            file,
            out,
        ),
        None => Ok(()),
    };
    let drawn = || {
        let timeline = timeline_with(&setup, &plan, &pictures::fine(plan.longest_h))?;
        Ok(Page::of_plan(&setup, &plan).with_night(&setup, &plan, &timeline))
    };
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::of_plan(&plan);
    out.parts(exit, [shown.map_err(Ended::from), proof, pictures])
}

/// Writes the proof of a plan, and says so to people.
fn prove(
    args: &AnswerArgs,
    setup: &Setup,
    plan: &Plan,
    options: &SolveOptions,
    file: OutputFile,
    out: &Output,
) -> Result<(), Ended> {
    let said = proof_file::said(&file.path, plan.aim);
    // The plan is on standard output, and is the whole answer there.
    let made = proven(setup, plan, options, file);
    made.map_err(|error| out.refuse(&error, &[], false))?;
    if !args.json {
        out.aside(&said)?;
    }
    Ok(())
}

/// Writes the proof of a plan.
fn proven(
    setup: &Setup,
    plan: &Plan,
    options: &SolveOptions,
    file: OutputFile,
) -> Result<(), Error> {
    if plan.status != Status::Optimal {
        return Err(Error::NoProof {
            message: "the search was stopped before it knew that the plan is best".to_owned(),
        });
    }
    proof_file::write(file, &prove_with(setup, plan, options)?)
}
