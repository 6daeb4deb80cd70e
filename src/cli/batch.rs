//! `wattberth batch`: a filter from lines to lines.

use std::fs::File;
use std::io::{self, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use super::Exit;
use super::input::cannot_read;
use super::limits::LimitArgs;
use super::output::{Ended, Output};
use crate::decide::batch::batch;
use crate::{BatchOptions, Error, Fault, SolveOptions, lines};

/// Answer many setups, one JSON object on each line, in the same order.
///
/// A line is {"id": any, "setup": {…}, "charger": {…} or "chargers": […]}; the chargers,
/// where given, replace the setup's. Its answer is {"id": …, "plan": {…}} or {"id": …,
/// "errors": […]}. Blank lines are passed over. A line with faults is answered in its
/// place and the exit code stays 0; lines may have 16 MiB.
///
/// Each line has limits of its own: the time and the steps below are for one plan. Ctrl-C
/// ends the stream after the lines in work, a second one at once.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The lines; `-`, or nothing, reads standard input.
    #[arg(value_name = "LINES.ndjson", default_value = "-")]
    lines: PathBuf,
    /// Work on so many threads; as many as there are cores where absent. The answers are
    /// the same.
    #[arg(long, value_name = "N")]
    threads: Option<usize>,
    /// Also tell the longest time if the chargers renegotiate as devices need less.
    #[arg(long)]
    reshared: bool,
    #[command(flatten)]
    limits: LimitArgs,
}

/// Bytes read from the system at a time.
const BUFFER: usize = 64 << 10;

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let from_stdin = args.lines == Path::new("-");
    let from: Box<dyn Read + Send> = if from_stdin {
        Box::new(io::stdin())
    } else {
        Box::new(open(&args.lines).map_err(|error| out.refuse(&error, &[], false))?)
    };
    let failed = Arc::new(OnceLock::new());
    let failure = Arc::clone(&failed);
    let whole = lines(BufReader::with_capacity(BUFFER, from))
        .map_while(move |line| line.map_err(|error| failure.set(error)).ok());
    // A line that is waited for is not there when the call is stopped.
    let search = args.limits.waiting(|| {
        // Nobody is cut short in the middle of an answer.
        let _whole = io::stdout().lock();
        stopped();
        std::process::exit(Exit::Interrupted.code().into());
    });
    let flag = search.interrupt.clone();
    let is_stopped = move || {
        flag.as_ref()
            .is_some_and(|flag| flag.load(std::sync::atomic::Ordering::SeqCst))
    };
    let until_stopped = is_stopped.clone();
    let whole = whole.take_while(move |_| !until_stopped());
    let options = BatchOptions {
        search: SolveOptions {
            reshared: args.reshared,
            ..search
        },
        threads: args.threads,
    };
    let answers = batch(whole, &options).map_err(|error| out.refuse(&error, &[], false))?;
    for mut answer in answers {
        answer.push('\n');
        // It writes at every line break, so that whoever waits for an answer gets it.
        io::stdout().lock().write_all(answer.as_bytes())?;
    }
    io::stdout().flush()?;
    if is_stopped() {
        stopped();
        return Err(Ended::Said(Exit::Interrupted));
    }
    match failed.get() {
        None => Ok(Exit::Done),
        Some(error) => {
            let error = of_file(&args.lines, cannot_read(error));
            // The lines before it are answered; what is missing is said.
            out.refuse(&error, &[], false);
            Err(Ended::Said(Exit::Failed))
        }
    }
}

/// What a person is told who stopped the stream.
fn stopped() {
    // With standard error gone there is nobody to tell.
    let _ = writeln!(
        io::stderr(),
        "stopped: the lines up to here are answered, those in work with the best plan so far"
    );
}

fn open(path: &Path) -> Result<File, Error> {
    if path.is_dir() {
        return Err(of_file(
            path,
            "this is a directory, not a document".to_owned(),
        ));
    }
    File::open(path).map_err(|error| of_file(path, cannot_read(&error)))
}

fn of_file(path: &Path, message: String) -> Error {
    let file = if path == Path::new("-") {
        "<stdin>".to_owned()
    } else {
        path.display().to_string()
    };
    Error::Input(vec![Fault {
        file,
        message,
        ..Fault::default()
    }])
}
