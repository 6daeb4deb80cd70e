//! `wattberth rota`: who charges in which session, where plugs are swapped between them.

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use crate::report::Page;
use crate::{rota_timeline_with, rota_with};

/// Find the best rota of a setup with sessions: who charges when, and what to swap.
///
/// Ctrl-C ends the search with the best rota so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the rota document as JSON.
    #[arg(long)]
    json: bool,
    /// Print the few lines worth a photo: when to plug what where, and when it is full.
    #[arg(long, conflicts_with = "json")]
    card: bool,
    #[command(flatten)]
    limits: LimitArgs,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let mut files = args.pictures.open(args.setup.paths(), out, args.json)?;
    let options = args.limits.with_reasons();
    let (texts, setup) = args.setup.read(out, args.json)?;
    let rota =
        rota_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    let page = || {
        if args.card {
            Page::card_of_rota(&setup, &rota)
        } else {
            Page::of_rota(&setup, &rota)
        }
    };
    let shown = out.answer(args.json, || rota.to_json(), page);
    let ends_h = rota.sessions.last().map_or(0.0, |last| last.end_h);
    let drawn = || {
        let timeline = rota_timeline_with(&setup, &rota, &pictures::fine(ends_h))?;
        Ok(Page::of_rota(&setup, &rota).with_rota_night(&setup, &rota, &timeline))
    };
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::of_rota(&rota);
    out.parts(exit, [shown.map_err(Ended::from), pictures])
}
