//! `wattberth timeline`: the night as it happens.

use std::path::PathBuf;

use super::Exit;
use super::input::{self, SetupArgs, Text};
use super::limits::LimitArgs;
use super::output::{self, Ended, Output};
use crate::report::{Palette, TimelineReport, write_timeline};
use crate::{
    Error, Fault, Plan, Result, Setup, Sharing, TimelineOptions, assign_with, reshared, timeline,
    verify,
};

/// Show the night as it happens: who is full when, and what the socket gives.
///
/// Without --plan the setup is planned as `assign` does it. Every contract is kept to its
/// end; with --reshared the charger negotiates anew whenever a device needs less.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// A plan document that `assign --json` printed; `-` reads standard input.
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// Let the charger share anew at each event, ports and cables as they are.
    #[arg(long)]
    reshared: bool,
    /// Minutes between the even steps of the series in the JSON document; 5, and 576 steps
    /// of a night that is longer than two days, where absent.
    #[arg(long, value_name = "MIN", allow_negative_numbers = true)]
    step: Option<f64>,
    /// Print the timeline as JSON, with every device's series.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let search = args.limits.interruptible();
    let paths = args.setup.paths().chain(&args.plan);
    let mut texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    // Every text was read, or there would have been a fault: the plan was named last.
    let plan_text = args.plan.as_ref().and_then(|_| texts.pop());
    let setup = input::setup(&texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let plan = match plan_text {
        None => {
            assign_with(&setup, &search).map_err(|error| out.refuse(&error, &texts, args.json))?
        }
        Some(text) => {
            let read = read(&setup, &text);
            read.map_err(|error| out.refuse(&error, &[text], args.json))?
        }
    };
    let refuse = |error: Error| out.refuse(&error, &texts, args.json);
    let options = TimelineOptions {
        sharing: if args.reshared {
            Sharing::Reshared
        } else {
            Sharing::Held
        },
        step_min: args.step,
        ..TimelineOptions::default()
    };
    let mut night = timeline(&setup, &plan, &options).map_err(refuse)?;
    if night.reshared_h.is_none() {
        let reshared = reshared(&setup, &plan, options.budget).map_err(refuse)?;
        night.reshared_h = Some(reshared.last_h);
        night.reshared_status = Some(reshared.status);
    }
    if args.json {
        output::data(&night.to_json())?;
    } else {
        let report = TimelineReport::new(&setup, &night);
        out.text(|mut out| write_timeline(&report, &Palette::COLOUR, &mut out))?;
    }
    let served = plan.unserved == 0 && plan.late == 0;
    Ok(if served { Exit::Done } else { Exit::NotServed })
}

/// A plan that is one of the setup.
fn read(setup: &Setup, text: &Text) -> Result<Plan> {
    let plan = Plan::from_source(text.source())?;
    let found = verify(setup, &plan).violations;
    if found.is_empty() {
        return Ok(plan);
    }
    let faults = found.into_iter().map(|violation| Fault {
        file: text.file.clone(),
        path: violation.path,
        message: violation.message,
        ..Fault::default()
    });
    Err(Error::Input(faults.collect()))
}
