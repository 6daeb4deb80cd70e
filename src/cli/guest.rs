//! `wattberth guest`: where a device that comes late may go.

use std::path::PathBuf;

use super::Exit;
use super::at_hand;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::guest_with;
use crate::report::Page;

/// Find the best places for a device that comes late, and what each costs the others.
///
/// First without moving anybody, then with one move, then freely, where that gains anything.
/// The setup has the device already; PLAN is what `assign --json` printed without it.
///
/// Ctrl-C ends the search with what was found; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// The plan at hand; `-` reads standard input.
    #[arg(value_name = "PLAN")]
    plan: PathBuf,
    /// The device; need not be named where the setup has just one more than the plan.
    #[arg(long, value_name = "NAME")]
    device: Option<String>,
    /// Print the places and plans as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    page: PageArgs,
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let inputs = args.setup.paths().chain([&args.plan]);
    let mut files = args.page.open(inputs, out, args.json)?;
    let options = args.limits.interruptible();
    let (texts, setup, at_hand) = at_hand::read(&args.setup, &args.plan, out, args.json)?;
    let found = guest_with(&setup, &at_hand.plan, args.device.as_deref(), &options);
    let found = match found {
        Ok(found) => found,
        Err(error) => {
            let error = at_hand.refused(error);
            return Err(out.refuse(&error, &at_hand.texts(texts), args.json));
        }
    };
    let page = || Page::of_guest(&setup, &at_hand.plan, &found).assuming(&setup.assumed());
    let shown = out.answer(args.json, || found.to_json(), page);
    let pictures = pictures::write(&mut files, || Ok(page()), out, args.json);
    let exit = Exit::served(!found.places.is_empty());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
