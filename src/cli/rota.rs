//! `wattberth rota`: who charges in which session, where plugs are swapped between them.

use super::Exit;
use super::at_hand;
use super::input::SetupArgs;
use super::limits::{LimitArgs, from_here};
use super::output::{Ended, Output};
use super::pictures::{self, PictureArgs};
use super::proof_folder::ProofArgs;
use crate::report::Page;
use crate::{
    Rota, TimelineOptions, prove_rota_with, prove_whole_rota_with, rota_from_with,
    rota_timeline_with, rota_with,
};
use std::path::PathBuf;
use std::time::Instant;

/// Find the best rota of a setup with sessions: who charges when, and what to swap.
///
/// Ctrl-C ends the search with the best rota so far; a second one ends at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Begin the search with this rota, which `rota --json` printed, perhaps of a setup that
    /// was a little different: however soon it is stopped, the rota is no worse than what can
    /// be had of it still. A search that ends comes to the same rota without it.
    #[arg(long, value_name = "ROTA")]
    from: Option<PathBuf>,
    /// Print the rota document as JSON.
    #[arg(long)]
    json: bool,
    /// Print the few lines worth a photo: when to plug what where, and when it is full.
    #[arg(long, conflicts_with = "json")]
    card: bool,
    #[command(flatten)]
    limits: LimitArgs,
    #[command(flatten)]
    proof: ProofArgs,
    #[command(flatten)]
    pictures: PictureArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let inputs = args.setup.paths().chain(&args.from);
    let opened = args.proof.open(args.pictures.wanted(), inputs);
    let (mut files, folder) = opened.map_err(|error| out.refuse(&error, &[], args.json))?;
    let options = args.limits.with_reasons();
    let started = Instant::now();
    let (rota, setup) = match &args.from {
        None => {
            let (texts, setup) = args.setup.read(out, args.json)?;
            let rota = rota_with(&setup, &options);
            (
                rota.map_err(|error| out.refuse(&error, &texts, args.json))?,
                setup,
            )
        }
        Some(path) => {
            let (texts, setup, start) = at_hand::read::<Rota>(&args.setup, path, out, args.json)?;
            let rota = rota_from_with(&setup, &start.plan, &options);
            let rota = rota.map_err(|error| {
                let error = start.refused(error);
                out.refuse(&error, &start.texts(texts), args.json)
            })?;
            (rota, setup)
        }
    };
    let page = || {
        if args.card {
            Page::card_of_rota(&setup, &rota)
        } else {
            Page::of_rota(&setup, &rota)
        }
    };
    let shown = out.answer(args.json, || rota.to_json(), page);
    let proof = folder.map_or(Ok(()), |folder| {
        let options = from_here(&options, started);
        let best = ("rota", rota.status);
        let proof = args.proof.of_best(best, |whole_order| {
            let prove = if whole_order {
                prove_whole_rota_with
            } else {
                prove_rota_with
            };
            prove(&setup, &rota, &options)
        });
        folder.fill(proof, args.json, out)
    });
    let ends_h = rota.sessions.last().map_or(0.0, |last| last.end_h);
    let drawn = || {
        let timeline = rota_timeline_with(&setup, &rota, &TimelineOptions::for_drawing(ends_h))?;
        Ok(Page::of_rota(&setup, &rota).with_rota_night(&setup, &rota, &timeline))
    };
    let pictures = pictures::write(&mut files, drawn, out, args.json);
    let exit = Exit::of_rota(&rota);
    out.parts(exit, [shown.map_err(Ended::from), proof, pictures])
}
