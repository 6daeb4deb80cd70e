//! `wattberth size`: the least charger for a bag.

use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use super::{Exit, input};
use crate::report::Page;
use crate::size_with;

/// Find the least charger for the devices of a setup, with the cables of its bag.
///
/// Every device gets a USB-C port of its own. The setup's chargers are not looked at and
/// may be missing. Ctrl-C ends the search with what was found; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The setup document; `-` reads standard input.
    #[arg(value_name = "SETUP.json")]
    setup: std::path::PathBuf,
    /// All are to be full after so many hours; the setup's `session_h` where absent, and
    /// as early as any charger can where that is absent too.
    #[arg(long, value_name = "HOURS", allow_negative_numbers = true)]
    by: Option<f64>,
    /// Print the size document as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    limits: LimitArgs,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let inputs = std::iter::once(&args.setup);
    let mut files = args.pictures.open(inputs, out, args.json)?;
    let options = args.limits.interruptible();
    let texts = input::read_all(std::iter::once(&args.setup))
        .map_err(|error| out.refuse(&error, &[], args.json))?;
    let bag = input::bag(&texts).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let sizing = size_with(&bag, args.by, &options)
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_sizing(&bag, &sizing).assuming(&bag.assumed());
    let shown = out.answer(args.json, || sizing.to_json(), page);
    let drawn = || Ok(page().with_ports(&bag, &sizing));
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::served(sizing.all_served());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
