//! `wattberth completions`: what a shell needs to complete the command's arguments.

use clap::CommandFactory;
use clap_complete::Shell;

use super::output::{self, Ended};
use super::{Cli, Exit};

/// Print a script with which a shell completes the command's arguments.
///
/// For bash, in its start-up file: `source <(wattberth completions bash)`. The others read it
/// from a file in the folder where they look for completions.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Which shell.
    #[arg(value_enum)]
    shell: Shell,
}

pub(super) fn run(args: &Args) -> Result<Exit, Ended> {
    let mut command = Cli::command();
    let name = command.get_name().to_owned();
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut command, name, &mut script);
    output::data(&String::from_utf8_lossy(&script))?;
    Ok(Exit::Done)
}
