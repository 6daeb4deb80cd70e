//! `wattberth trip`: will it plug in there, and may it fly?

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::report::Page;
use crate::trip_with;

/// Walk the setup's trip: what plugs in where, each night's plan, what may fly, and what
/// to pack.
///
/// The first Ctrl-C ends each search for a plan with the best so far; a second one ends at
/// once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the trip document as JSON: every finding with its reason, source and date.
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
    let trip =
        trip_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_trip(&setup, &trip).assuming(&setup.assumed());
    let shown = out.answer(args.json, || trip.to_json(), page);
    let drawn = || Ok(page());
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::served(trip.all_served());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
