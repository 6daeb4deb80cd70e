//! `wattberth pack`: what to buy and what to take, for the whole route.

use std::path::PathBuf;

use clap::{ValueEnum, ValueHint};

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use crate::report::Page;
use crate::{PackBy, PackOptions, pack_with};

/// Find what to buy and what to take, so that every night of the route goes well.
///
/// Of what is owned and what the setup's `shop` sells: the bag with which everything is
/// charged in time, as promised, at every stop on every night, that weighs least. Without a
/// shop it is packed from what is owned.
///
/// The first Ctrl-C ends the search with the best bag so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// A list or a document whose shop replaces the setup's; may be given several times, for
    /// several shops together. Nothing else in it is taken.
    #[arg(long = "shop", value_name = "FILE", value_hint = ValueHint::FilePath)]
    shops: Vec<PathBuf>,
    /// What the bag is to have least of.
    #[arg(long, value_enum, default_value_t = By::Weight)]
    by: By,
    /// Find the bag alone: not the bags that nothing beats, nor what each thing costs.
    #[arg(long)]
    alone: bool,
    /// Print the pack document as JSON, with the trip and every night's plan.
    #[arg(long)]
    json: bool,
    /// Also write the answer as one HTML page that asks for nothing else; FILE is as for
    /// `assign --svg`.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    #[command(flatten)]
    limits: LimitArgs,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum By {
    /// Grams.
    Weight,
    /// The price of what is bought.
    Price,
    /// How many things there are in it.
    Pieces,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let wanted = PictureArgs::page(args.html.as_deref());
    let inputs = args.setup.paths().chain(&args.shops);
    let mut files = wanted.open(inputs, out, args.json)?;
    let options = PackOptions {
        search: args.limits.of_many(PackOptions::DEFAULT_BUDGET),
        by: match args.by {
            By::Weight => PackBy::Weight,
            By::Price => PackBy::Price,
            By::Pieces => PackBy::Pieces,
        },
        unbeaten: !args.alone,
        costs: !args.alone,
    };
    let (texts, setup) = args.setup.read_with(&args.shops, out, args.json)?;
    let luggage =
        pack_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || Page::of_luggage(&setup, &luggage).assuming(&setup.assumed());
    let shown = out.answer(args.json, || luggage.to_json(), page);
    let drawn = || Ok(page());
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::served(luggage.all_served());
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
