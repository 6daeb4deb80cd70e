//! `wattberth assign`: the best plan of a setup.

use super::Exit;
use super::at_hand::{self, AtHand};
use super::input::{SetupArgs, Text};
use super::limits::{LimitArgs, from_here};
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use super::proof_folder::ProofArgs;
use crate::report::Page;
use crate::{
    Error, Plan, Setup, SolveOptions, TimelineOptions, assign_from_with, assign_near_with,
    assign_with, prove_whole_with, prove_with, timeline_with,
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
    /// Begin the search with this plan, which `assign --json` printed, perhaps of a setup that
    /// was a little different: however soon it is stopped, the plan is no worse than what can
    /// be had of it still. A search that ends comes to the same plan without it.
    #[arg(long, value_name = "PLAN", conflicts_with = "keep")]
    from: Option<PathBuf>,
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
    #[command(flatten)]
    proof: ProofArgs,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let read = || {
        let json = args.answer.json;
        let Some(path) = args.keep.as_ref().or(args.from.as_ref()) else {
            let (texts, setup) = args.setup.read(out, json)?;
            return Ok(Asked {
                texts,
                setup,
                at_hand: None,
                start: None,
            });
        };
        let (texts, setup, known) = at_hand::read(&args.setup, path, out, json)?;
        let (at_hand, start) = if args.keep.is_some() {
            (Some(known), None)
        } else {
            (None, Some(known))
        };
        Ok(Asked {
            texts,
            setup,
            at_hand,
            start,
        })
    };
    answer(
        &args.answer,
        args.setup.paths().chain(&args.keep).chain(&args.from),
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
    /// The plan that the search begins with.
    pub(super) start: Option<AtHand>,
}

impl Asked {
    fn plan(&self, options: &SolveOptions) -> Result<Plan, Error> {
        match (&self.at_hand, &self.start) {
            (Some(at_hand), _) => assign_near_with(&self.setup, &at_hand.plan, options)
                .map_err(|error| at_hand.refused(error)),
            (None, Some(start)) => assign_from_with(&self.setup, &start.plan, options)
                .map_err(|error| start.refused(error)),
            (None, None) => assign_with(&self.setup, options),
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
        match self.at_hand.or(self.start) {
            None => self.texts,
            Some(known) => known.texts(self.texts),
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
    let opened = args.proof.open(args.pictures.wanted(), inputs);
    let (mut files, folder) = opened.map_err(|error| out.refuse(&error, &[], args.json))?;
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
    let proof = folder.map_or(Ok(()), |folder| {
        let options = from_here(&options, started);
        let best = ("plan", plan.status);
        let proof = args.proof.of_best(best, |whole_order| {
            let prove = if whole_order {
                prove_whole_with
            } else {
                prove_with
            };
            prove(setup, &plan, &options)
        });
        folder.fill(proof, args.json, out)
    });
    let drawn = || {
        let timeline = timeline_with(setup, &plan, &TimelineOptions::for_drawing(plan.longest_h))?;
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
