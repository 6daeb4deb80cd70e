//! `wattberth assign`: the best plan of a setup.

use super::Exit;
use super::input::{self, SetupArgs};
use super::limits::{LimitArgs, interrupt_flag};
use super::output::{self, Ended, Output};
use crate::report::{Palette, Report, write_text};
use crate::{Options, assign_with};

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
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let interrupt = interrupt_flag();
    let paths = std::iter::once(&args.setup.setup).chain(&args.setup.chargers);
    let texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    let setup = input::setup(&texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let options = Options {
        interrupt: Some(interrupt),
        ..args.limits.options()
    };
    let plan =
        assign_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    if args.json {
        output::data(&plan.to_json())?;
    } else {
        let report = Report::new(&setup, &plan);
        out.text(|mut out| write_text(&report, &Palette::COLOUR, &mut out))?;
    }
    let served = plan.unserved == 0 && plan.late == 0;
    Ok(if served { Exit::Done } else { Exit::NotServed })
}
