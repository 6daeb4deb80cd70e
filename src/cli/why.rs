//! `wattberth why`: what keeps a plan from being better, in full.

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::assign_with;
use crate::report::Page;

/// Tell why the plan is no better: every least reason, with its devices and numbers.
///
/// For the longest time, and for each device that is late, not certain or without a port:
/// limits that together forbid more, while without any one of them it could be had. Each of
/// them was left out, and the rest tried again.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the plan document, with its reasons as `because`.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    page: PageArgs,
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let mut files = args.page.open(args.setup.paths(), out, args.json)?;
    let options = args.limits.with_reasons();
    let (texts, setup) = args.setup.read(out, args.json)?;
    let plan =
        assign_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_reasons(&setup, &plan).assuming(&setup.assumed());
    let shown = out.answer(args.json, || plan.to_json(), page);
    let pictures = pictures::write(&mut files, || Ok(page()), out, args.json);
    out.parts(Exit::Done, [shown.map_err(Ended::from), pictures])
}
