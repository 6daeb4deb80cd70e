//! `wattberth read`: the setup that a list was understood as.

use super::Exit;
use super::input::SetupArgs;
use super::output::{self, Ended, Output};
use crate::Setup;

/// Print the setup that a list was understood as, with every guess marked.
///
/// The answer is a list again, one thing on a line; what nobody said stands behind a `#`.
/// It reads back to the same setup, and can be edited. A setup that says what no list can is
/// printed as JSON.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Print the setup as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let (_, setup) = args.setup.read(out, args.json)?;
    if args.json {
        output::data(&setup.document().to_json())?;
        return Ok(Exit::Done);
    }
    as_understood(&setup)
}

/// Prints what a setup was understood as: a list, or a document where it says what none can.
pub(super) fn as_understood(setup: &Setup) -> Result<Exit, Ended> {
    let list = setup.to_list();
    output::data(&list.unwrap_or_else(|| setup.document().to_json()))?;
    Ok(Exit::Done)
}
