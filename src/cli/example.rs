//! `wattberth example`: a setup to start from.

use super::Exit;
use super::output::{self, Ended};

/// A string quartet on tour: small, complete, and all full by the morning.
const LIST: &str = include_str!("example.txt");
/// The same as a document.
pub(super) const JSON: &str = include_str!("example.json");
/// A route of three countries.
const TRIP: &str = include_str!("example_trip.txt");

/// Print a small complete list to start from.
///
/// `wattberth example | wattberth assign -` plans it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Print it as a JSON document, which can say more than a list.
    #[arg(long, conflicts_with = "trip")]
    json: bool,
    /// Print one with a route, for `wattberth trip`.
    #[arg(long)]
    trip: bool,
}

pub(super) fn run(args: &Args) -> Result<Exit, Ended> {
    let text = match (args.json, args.trip) {
        (true, _) => JSON,
        (false, true) => TRIP,
        (false, false) => LIST,
    };
    output::data(text)?;
    Ok(Exit::Done)
}
