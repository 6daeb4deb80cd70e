//! `wattberth score`: a person's own way of plugging in, held against the best.

use std::path::PathBuf;

use super::Exit;
use super::input::{self, SetupArgs};
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PageArgs};
use crate::report::Page;
use crate::{Way, score_with};

/// Hold your own way of plugging in against the rules and against the best plan.
///
/// BERTHS.json is a plan document, or short: `{"laptop": "C1", "phone": {"port": "C2",
/// "cable": "white"}}`; a cable that is not given is the best. Ctrl-C ends the search for
/// the best plan with the best so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Who is plugged in where; `-` reads standard input.
    #[arg(value_name = "BERTHS.json")]
    berths: PathBuf,
    /// Print the score as JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    page: PageArgs,
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let inputs = args.setup.paths().chain([&args.berths]);
    let mut files = args.page.open(inputs, out, args.json)?;
    let options = args.limits.with_reshared();
    let paths = args.setup.paths().chain([&args.berths]);
    let texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    // The berths were named last; without them there would have been a fault.
    let (setup_texts, berths) = texts.split_at(texts.len().saturating_sub(1));
    let setup = args
        .setup
        .setup_of(setup_texts)
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let Some(berths) = berths.first() else {
        return Ok(Exit::BadInput);
    };
    let found = Way::from_source(&setup, berths.source())
        .and_then(|way| score_with(&setup, &way, &options))
        .map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_score(&setup, &found).assuming(&setup.assumed());
    let shown = out.answer(args.json, || found.to_json(), page);
    let pictures = pictures::write(&mut files, || Ok(page()), out, args.json);
    let exit = Exit::served(found.all_served());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
