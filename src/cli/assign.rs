//! `wattberth assign`: the best plan of a setup.

use super::at_hand::{self, AtHand};
use super::input::{SetupArgs, Text};
use super::limits::{LimitArgs, from_here};
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use super::whole_file::{Files, OutputFile};
use super::{Exit, proof_file};
use crate::report::Page;
use crate::{
    Error, Plan, Setup, SolveOptions, Status, assign_near_with, assign_with, prove_with,
    timeline_with,
};
use std::path::PathBuf;
use std::time::Instant;

/// Find the best plan of a setup.
///
/// Ctrl-C ends the search with the best plan so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Of the best plans, take the one that moves the fewest devices of this plan, which
    /// `assign --json` printed, and print only what is to be moved; ports that are alike
    /// count as one, and so do cables. `--json` and `--card` have the whole plan.
    #[arg(long, value_name = "PLAN")]
    keep: Option<PathBuf>,
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
    let read = || {
        let json = args.answer.json;
        let (texts, setup, at_hand) = match &args.keep {
            None => {
                let (texts, setup) = args.setup.read(out, json)?;
                (texts, setup, None)
            }
            Some(path) => {
                let (texts, setup, at_hand) = at_hand::read(&args.setup, path, out, json)?;
                (texts, setup, Some(at_hand))
            }
        };
        Ok(Asked {
            texts,
            setup,
            at_hand,
        })
    };
    answer(
        &args.answer,
        args.setup.paths().chain(&args.keep),
        read,
        out,
    )
}

/// What is to be planned.
pub(super) struct Asked {
    pub(super) texts: Vec<Text>,
    pub(super) setup: Setup,
    /// The plan that is to be stayed near.
    pub(super) at_hand: Option<AtHand>,
}

impl Asked {
    fn plan(&self, options: &SolveOptions) -> Result<Plan, Error> {
        match &self.at_hand {
            None => assign_with(&self.setup, options),
            Some(at_hand) => assign_near_with(&self.setup, &at_hand.plan, options)
                .map_err(|error| at_hand.refused(error)),
        }
    }

    fn page(&self, plan: &Plan) -> Page {
        match &self.at_hand {
            None => Page::of_plan(&self.setup, plan),
            Some(at_hand) => Page::of_moves(&self.setup, &at_hand.plan, plan),
        }
    }

    /// The texts that faults may be about.
    fn texts(self) -> Vec<Text> {
        match self.at_hand {
            None => self.texts,
            Some(at_hand) => at_hand.texts(self.texts),
        }
    }
}

/// Answers of the setup that is `read`, once the files to write are known to be none of the
/// `inputs`.
pub(super) fn answer<'a>(
    args: &'a AnswerArgs,
    inputs: impl Iterator<Item = &'a PathBuf>,
    read: impl FnOnce() -> Result<Asked, Ended>,
    out: &Output,
) -> Result<Exit, Ended> {
    let wanted = args.pictures.wanted();
    let wanted = wanted.chain(args.proof.iter().map(|path| proof_file::wanted(path)));
    let mut files =
        Files::open(wanted, inputs).map_err(|error| out.refuse(&error, &[], args.json))?;
    let options = args.limits.with_reasons();
    let asked = read()?;
    let started = Instant::now();
    let plan = match asked.plan(&options) {
        Ok(plan) => plan,
        Err(error) => return Err(out.refuse(&error, &asked.texts(), args.json)),
    };
    let setup = &asked.setup;
    let page = || {
        if args.card {
            Page::card_of_plan(setup, &plan)
        } else {
            asked.page(&plan)
        }
    };
    let shown = out.answer(args.json, || plan.to_json(), page);
    let proof = match files.take(proof_file::OPTION) {
        Some(file) => prove(args, setup, &plan, &from_here(&options, started), file, out),
        None => Ok(()),
    };
    let drawn = || {
        let timeline = timeline_with(setup, &plan, &pictures::fine(plan.longest_h))?;
        let page = Page::of_plan(setup, &plan).with_night(setup, &plan, &timeline);
        Ok(match &asked.at_hand {
            None => page,
            Some(at_hand) => page.with_moves(setup, &at_hand.plan, &plan),
        })
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
