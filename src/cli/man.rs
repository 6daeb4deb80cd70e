//! `wattberth man`: the pages of the manual, in the form that `man` reads.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::CommandFactory;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use super::output::{self, Ended, Output};
use super::whole_file::{Files, Wanted};
use super::{Cli, Exit};
use crate::diagnostics::near;
use crate::report;
use crate::{Error, Fault};

const DIR: &str = "--dir";

/// Print a page of the manual, or write all of them into a folder.
///
/// `wattberth man assign | man -l -` reads one.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The page of this subcommand; that of the whole command where absent.
    #[arg(value_name = "SUBCOMMAND")]
    subcommand: Vec<String>,
    /// Write every page into this folder, which must be there: `wattberth.1`,
    /// `wattberth-assign.1` and so on. Only plain files are written over.
    #[arg(long, value_name = "DIR", conflicts_with = "subcommand")]
    dir: Option<PathBuf>,
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let mut command = Cli::command().disable_help_subcommand(true);
    command.build();
    let Some(dir) = &args.dir else {
        let one = find(&command, &args.subcommand);
        let one = one.map_err(|error| out.refuse(&error, &[], false))?;
        output::data(&page(one)?)?;
        return Ok(Exit::Done);
    };
    let commands = all(&command);
    let paths: Vec<PathBuf> = commands
        .iter()
        .map(|command| dir.join(file_name(command)))
        .collect();
    let refuse = |error: Error| out.refuse(&error, &[], false);
    replaceable(dir, &paths).map_err(refuse)?;
    let wanted = paths.iter().map(|path| Wanted {
        option: DIR,
        what: "a page",
        path,
    });
    let mut files = Files::open(wanted, std::iter::empty()).map_err(refuse)?;
    for command in commands {
        if let Some(file) = files.take(DIR) {
            file.write(page(command)?.as_bytes())?;
        }
    }
    let said = format!(
        "{} pages: {}\n",
        paths.len(),
        report::printable(&dir.display().to_string())
    );
    out.aside(&said)?;
    Ok(Exit::Done)
}

/// The command and its subcommands, those of these too.
fn all(command: &clap::Command) -> Vec<&clap::Command> {
    let below = command.get_subcommands().flat_map(all);
    std::iter::once(command).chain(below).collect()
}

/// The subcommand that words name, one below the other.
fn find<'a>(command: &'a clap::Command, words: &[String]) -> Result<&'a clap::Command, Error> {
    let Some((first, rest)) = words.split_first() else {
        return Ok(command);
    };
    if let Some(below) = command.find_subcommand(first) {
        return find(below, rest);
    }
    let names = command.get_subcommands().map(clap::Command::get_name);
    Err(Error::Input(vec![Fault {
        message: format!("there is no subcommand `{}`", report::printable(first)),
        suggestion: near(first, names),
        ..Fault::default()
    }]))
}

/// `wattberth-assign`.
fn title(command: &clap::Command) -> &str {
    command
        .get_display_name()
        .unwrap_or_else(|| command.get_name())
}

fn file_name(command: &clap::Command) -> String {
    format!("{}.1", title(command))
}

/// That a folder is there, and that nothing stands where a page goes but plain files.
fn replaceable(dir: &Path, paths: &[PathBuf]) -> Result<(), Error> {
    let fault = |path: &Path, message: &str| Fault {
        file: path.display().to_string(),
        message: message.to_owned(),
        ..Fault::default()
    };
    let mut faults = Vec::new();
    match fs::metadata(dir) {
        Ok(about) if about.is_dir() => {
            let taken = |path: &&PathBuf| fs::metadata(path).is_ok_and(|about| !about.is_file());
            let taken = paths.iter().filter(taken);
            faults.extend(taken.map(|path| fault(path, "this is no plain file: it stays")));
        }
        Ok(_) => faults.push(fault(dir, "this is no directory")),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            faults.push(fault(dir, "there is no such directory"));
        }
        Err(error) => faults.push(fault(dir, &format!("this cannot be looked at: {error}"))),
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Error::Input(faults))
    }
}

fn page(command: &clap::Command) -> io::Result<String> {
    let is_whole = command.get_subcommands().next().is_some();
    let version = Cli::command().get_version().unwrap_or_default().to_owned();
    let man = Man::new(command.clone())
        .title(title(command))
        .source(format!("wattberth {version}"));
    let mut bytes = Vec::new();
    man.render_title(&mut bytes)?;
    man.render_name_section(&mut bytes)?;
    man.render_synopsis_section(&mut bytes)?;
    man.render_description_section(&mut bytes)?;
    man.render_options_section(&mut bytes)?;
    if is_whole {
        man.render_subcommands_section(&mut bytes)?;
    }
    exit_status().to_writer(&mut bytes)?;
    if !is_whole {
        let mut also = Roff::new();
        also.control("SH", ["SEE ALSO"]);
        also.text([bold("wattberth"), roman("(1)")]);
        also.to_writer(&mut bytes)?;
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn exit_status() -> Roff {
    let mut roff = Roff::new();
    roff.control("SH", ["EXIT STATUS"]);
    for exit in Exit::ALL {
        roff.control("TP", []);
        roff.text([bold(exit.code().to_string())]);
        roff.text([roman(exit.meaning().replace('\n', " "))]);
    }
    roff
}
