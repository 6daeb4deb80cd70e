//! `wattberth improve`: what would help most.

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::improve_with;
use crate::report::Page;

/// Find what would help most, if one thing changes: each single change is planned again.
///
/// The changes: first what costs nothing, one swap at half time and a pin dropped; then one
/// more 240 W cable, a pool without its limit (and the least watts that give all of that), a
/// port raised to the highest cap on its charger, one more port, the combinations dropped.
/// What does not help is not listed.
///
/// Ctrl-C ends the search with what was found; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the changes as JSON.
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
    let found =
        improve_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_improvements(&found).assuming(&setup.assumed());
    let shown = out.answer(args.json, || found.to_json(), page);
    let pictures = pictures::write(&mut files, || Ok(page()), out, args.json);
    out.parts(Exit::Done, [shown.map_err(Ended::from), pictures])
}
