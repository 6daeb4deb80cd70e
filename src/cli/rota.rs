//! `wattberth rota`: who charges in which session, where plugs are swapped between them.

use super::Exit;
use super::input::SetupArgs;
use super::limits::LimitArgs;
use super::output::{self, Ended, Output};
use crate::report::{Palette, RotaReport, write_rota};
use crate::rota_with;

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
    #[command(flatten)]
    limits: LimitArgs,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let options = args.limits.with_reshared();
    let (texts, setup) = args.setup.read(out, args.json)?;
    let rota =
        rota_with(&setup, &options).map_err(|error| out.refuse(&error, &texts, args.json))?;
    if args.json {
        output::data(&rota.to_json())?;
    } else {
        let report = RotaReport::new(&setup, &rota);
        out.text(|mut out| write_rota(&report, &Palette::COLOUR, &mut out))?;
    }
    let served = rota.unserved == 0 && rota.late == 0;
    Ok(if served { Exit::Done } else { Exit::NotServed })
}
