//! The command line: arguments in, streams and an exit code out.
//!
//! Each subcommand is a short file that reads its texts, asks the library one
//! question and writes the answer: results on standard output, what went wrong on
//! standard error (with `--json`, faults are the result).

mod answer;
mod assign;
mod at_hand;
mod batch;
mod calendar;
mod check;
mod completions;
mod example;
mod exit;
mod faults;
mod forms;
mod guest;
mod improve;
mod input;
mod limits;
mod man;
mod output;
mod pack;
mod pictures;
mod proof_folder;
mod rank;
mod read;
mod rota;
mod schema;
mod score;
mod size;
mod things;
mod timeline;
mod trip;
mod verify;
mod whole_file;
mod why;
mod wish;

use std::ffi::OsString;
use std::io::Write;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

pub use exit::Exit;
use output::{Ended, Output, read_enough};

use crate::report;
use crate::report::printable::is_hostile;

/// Finds which device goes on which charger port, through which cable, so that the
/// last one is full as early as possible, and proves it.
#[derive(Debug, Parser)]
#[command(name = "wattberth", version, after_help = Exit::help(), arg_required_else_help = true)]
struct Cli {
    /// When to use colour; the environment's `NO_COLOR` is obeyed by `auto`.
    #[arg(long, global = true, value_enum, default_value_t = Colour::Auto, value_name = "WHEN")]
    color: Colour,
    /// Say only what was reached, the first paragraph of an answer, and show no progress. A
    /// document (`--json`, `--csv`) stays whole.
    #[arg(short, long, global = true)]
    quiet: bool,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Assign(assign::Args),
    Rota(rota::Args),
    Check(check::Args),
    Verify(verify::Args),
    Score(score::Args),
    Why(why::Args),
    Improve(improve::Args),
    Guest(guest::Args),
    Wish(wish::Args),
    Size(size::Args),
    Rank(rank::Args),
    Calendar(calendar::Args),
    Trip(trip::Args),
    Pack(pack::Args),
    Batch(batch::Args),
    Timeline(timeline::Args),
    Read(read::Args),
    Try(things::Args),
    Example(example::Args),
    Schema(schema::Args),
    Completions(completions::Args),
    Man(man::Args),
}

/// When to use colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Colour {
    /// On a terminal only.
    Auto,
    /// Even into a file or a pipe.
    Always,
    /// Not at all.
    Never,
}

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(message) => {
            let message = clearer(message, std::env::args_os());
            return Output::new(Colour::Auto, false).end(usage(&message)).into();
        }
    };
    let out = Output::new(cli.color, cli.quiet);
    let ended = match cli.command {
        Command::Assign(args) => assign::run(&args, &out),
        Command::Rota(args) => rota::run(&args, &out),
        Command::Check(args) => check::run(&args, &out),
        Command::Verify(args) => verify::run(&args, &out),
        Command::Score(args) => score::run(&args, &out),
        Command::Why(args) => why::run(&args, &out),
        Command::Improve(args) => improve::run(&args, &out),
        Command::Guest(args) => guest::run(&args, &out),
        Command::Wish(args) => wish::run(&args, &out),
        Command::Size(args) => size::run(&args, &out),
        Command::Rank(args) => rank::run(&args, &out),
        Command::Calendar(args) => calendar::run(&args, &out),
        Command::Trip(args) => trip::run(&args, &out),
        Command::Pack(args) => pack::run(&args, &out),
        Command::Batch(args) => batch::run(&args, &out),
        Command::Timeline(args) => timeline::run(&args, &out),
        Command::Read(args) => read::run(&args, &out),
        Command::Try(args) => things::run(&args, &out),
        Command::Example(args) => example::run(&args),
        Command::Schema(args) => schema::run(&args),
        Command::Completions(args) => completions::run(&args),
        Command::Man(args) => man::run(&args, &out),
    };
    out.end(ended).into()
}

/// What is wrong with the arguments, without characters that are not visible by themselves,
/// and in the words of the subcommand where an answer has no such form.
fn clearer(message: clap::Error, args: impl Iterator<Item = OsString>) -> clap::Error {
    let mut escaped = false;
    let shown: Vec<String> = args
        .map(|arg| {
            let text = arg.to_string_lossy();
            escaped |= text.contains(is_hostile);
            report::printable(&text)
        })
        .collect();
    let message = match Cli::try_parse_from(&shown) {
        Err(visible) if escaped => visible,
        _ => message,
    };
    forms::refused(&message, &shown).unwrap_or(message)
}

/// Help and the version on standard output; wrong usage on standard error.
fn usage(message: &clap::Error) -> Result<Exit, Ended> {
    let printed = message.print();
    if message.use_stderr() {
        // With standard error gone, the code alone must say it.
        return Ok(Exit::BadInput);
    }
    read_enough(printed.and_then(|()| std::io::stdout().flush()))?;
    Ok(Exit::Done)
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::Cli;

    #[test]
    fn the_arguments_are_consistent() {
        Cli::command().debug_assert();
    }
}
