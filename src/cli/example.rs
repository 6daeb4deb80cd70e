//! `wattberth example`: a setup to start from.

use super::Exit;
use super::output::{self, Ended};

/// A string quartet on tour: small, complete, and all full by the morning.
pub(super) const EXAMPLE: &str = include_str!("example.json");

/// Print a small complete setup to start from.
///
/// `wattberth example | wattberth assign -` plans it.
#[derive(Debug, clap::Args)]
pub(super) struct Args {}

pub(super) fn run() -> Result<Exit, Ended> {
    output::data(EXAMPLE)?;
    Ok(Exit::Done)
}
