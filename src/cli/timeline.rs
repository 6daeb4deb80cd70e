//! `wattberth timeline`: the night as it happens.

use std::path::PathBuf;
use std::time::Instant;

use super::Exit;
use super::answer::Answer;
use super::input::{self, SetupArgs};
use super::limits::{LimitArgs, from_here};
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use crate::report::Page;
use crate::{Error, Sharing, SolveOptions, TimelineOptions, assign_with, rota_with};

/// Show the night as it happens: who is full when, and what the socket gives.
///
/// Without --plan the setup is planned as `assign` does it, or as `rota` with --rota. Every
/// contract is kept to its end; with --reshared the charger negotiates anew whenever a device
/// needs less.
#[derive(Debug, clap::Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of its own")]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// A document that `assign --json` or `rota --json` printed; `-` reads standard input.
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// The night of the setup's rota, session by session.
    #[arg(long, conflicts_with = "plan")]
    rota: bool,
    /// Let the charger share anew at each event, ports and cables as they are.
    #[arg(long)]
    reshared: bool,
    /// Tell what the plan comes to under each rule by which chargers are known to share, and
    /// in which order to plug in where one is better.
    #[arg(long, conflicts_with = "rota")]
    rules: bool,
    /// Minutes between the even steps of the series in the JSON document; 5, and 576 steps
    /// of a night that is longer than two days, where absent.
    #[arg(long, value_name = "MIN", allow_negative_numbers = true)]
    step: Option<f64>,
    /// Print the timeline as JSON, with every device's series.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitArgs,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let inputs = args.setup.paths().chain(&args.plan);
    let mut files = args.pictures.open(inputs, out, args.json)?;
    let search = args.limits.interruptible();
    let started = Instant::now();
    let paths = args.setup.paths().chain(&args.plan);
    let mut texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    // Every text was read, or there would have been a fault: the plan was named last.
    let plan_text = args.plan.as_ref().and_then(|_| texts.pop());
    let setup = args
        .setup
        .setup_of(&texts)
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let answer = match plan_text {
        None if args.rota => rota_with(&setup, &search).map(Answer::Rota),
        None => assign_with(&setup, &search).map(Answer::Plan),
        Some(text) => {
            let read = Answer::read_sound(&setup, &text);
            Ok(read.map_err(|error| out.refuse(&error, &[text], args.json))?)
        }
    };
    let refuse = |error: Error| out.refuse(&error, &texts, args.json);
    let answer = answer.map_err(refuse)?;
    let options = TimelineOptions {
        sharing: if args.reshared {
            Sharing::Reshared
        } else {
            Sharing::Held
        },
        step_min: args.step,
        search: SolveOptions {
            budget: TimelineOptions::DEFAULT_BUDGET,
            ..from_here(&search, started)
        },
    };
    let mut night = answer.timeline(&setup, &options).map_err(refuse)?;
    if night.reshared_h.is_none() {
        let reshared = answer.reshared(&setup, &options).map_err(refuse)?;
        night.reshared_h = Some(reshared.last_h);
        night.reshared_status = Some(reshared.status);
    }
    if args.rules {
        let told = answer.sharing_rules(&setup, &options).map_err(refuse)?;
        night.rules = Some(told);
    }
    let page = || Page::of_timeline(&setup, &night).assuming(&setup.assumed());
    let shown = out.answer(args.json, || night.to_json(), page);
    let drawn = || {
        let step_min = TimelineOptions::for_drawing(night.until_h).step_min;
        let options = TimelineOptions {
            step_min,
            ..options.clone()
        };
        let drawn = answer.timeline(&setup, &options)?;
        Ok(answer.with_night(page(), &setup, &drawn))
    };
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    out.parts(answer.exit(), [shown.map_err(Ended::from), pictures])
}
