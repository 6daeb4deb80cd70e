//! `wattberth calendar`: on which nights to charge what need not be charged every night.

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::calendar_with;
use crate::report::Page;

/// Find the nights on which to charge what need not be charged every night.
///
/// Devices with `every_nights` n take one of any n nights, so that the worst night is as
/// good as can be, then the next worst.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the calendar document as JSON, with every night's plan.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    page: PageArgs,
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let mut files = args.page.open(args.setup.paths(), out, args.json)?;
    let options = args.limits.interruptible();
    let (texts, setup) = args.setup.read(out, args.json)?;
    let calendar =
        calendar_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_calendar(&setup, &calendar).assuming(&setup.assumed());
    let shown = out.answer(args.json, || calendar.to_json(), page);
    let drawn = || Ok(page());
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::served(calendar.serves_all());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
