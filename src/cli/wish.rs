//! `wattberth wish`: what would have to change for a wish.

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::report::Page;
use crate::{Wish, wish_with};

/// Find what would have to change for a wish: the least sets of changes that grant it.
///
/// wattberth wish SETUP "laptop by 6:00"
///
/// Other wishes: "laptop and phone by 3 h 30 min", "laptop served", "everybody served",
/// "everything by 23:00", "promised by 7:00". Everybody else keeps a port and stays in time.
///
/// The changes: those of `improve`, one device less, priority 1, an earlier start; up to
/// three of them together, those first that cost nothing. Each set that is told is planned.
///
/// Ctrl-C ends the search with what was found; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// The wish, in quotes or not.
    #[arg(required = true, value_name = "WISH")]
    wish: Vec<String>,
    /// Print the answer as JSON.
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
    let found = Wish::parse(&args.wish.join(" "), &setup)
        .and_then(|wish| wish_with(&setup, &wish, &options))
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_wishes(&setup, &found).assuming(&setup.assumed());
    let shown = out.answer(args.json, || found.to_json(), page);
    let pictures = pictures::write(&mut files, || Ok(page()), out, args.json);
    let exit = Exit::served(!found.granted.is_empty());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
