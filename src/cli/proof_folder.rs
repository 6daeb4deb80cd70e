//! `--proof`: a proof as a folder of files, and what is said of it.

use std::fmt::Write as _;
use std::fs::{self, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::input::{self, Text};
use super::output::{Ended, Output};
use super::whole_file::{Files, Wanted};
use crate::{Error, Fault, Proof, ProofFile, Result, Status, report};

/// The argument that asks for a proof.
#[derive(Debug, clap::Args)]
pub(super) struct ProofArgs {
    /// Write a proof that nothing is better in devices without a berth, in late ones and in the
    /// longest time, for `wattberth verify --proof` and for any checker of `VeriPB`'s format. It
    /// is made once the answer is found, within as many steps again and the time that is left.
    ///
    /// DIR is a new name or an empty folder. `claims.json` in it says what is claimed and what
    /// is not covered.
    #[arg(long, value_name = "DIR")]
    proof: Option<PathBuf>,
    /// Claim what comes after the longest time, too, level by level, where a proof is found:
    /// the other times, the hours, the watts. That is as many formulas more as there are devices, and
    /// may take many times as long; what no proof is found of is said in `claims.json`.
    #[arg(long, requires = "proof")]
    whole_order: bool,
}

/// A folder that may be written into, and has not been yet.
#[derive(Debug)]
pub(super) struct Folder {
    /// As it was named.
    path: PathBuf,
    is_new: bool,
}

impl ProofArgs {
    /// The proof of an answer, called `what`, that is known to be best.
    pub(super) fn of_best(
        &self,
        (what, status): (&str, Status),
        prove: impl FnOnce(bool) -> Result<Proof>,
    ) -> Result<Proof> {
        if status != Status::Optimal {
            return Err(Error::NoProof {
                message: format!("the search was stopped before it knew that the {what} is best"),
            });
        }
        prove(self.whole_order)
    }

    /// Opens what is asked for, the folder of a proof and other files, before anything is
    /// worked out, or refuses all that cannot be written.
    pub(super) fn open<'a>(
        &self,
        wanted: impl Iterator<Item = Wanted<'a>>,
        inputs: impl Iterator<Item = &'a PathBuf>,
    ) -> Result<(Files, Option<Folder>)> {
        let folder = self.proof.as_deref().map(Folder::open).transpose();
        let files = Files::open(wanted, inputs);
        match (files, folder) {
            (Ok(files), Ok(folder)) => Ok((files, folder)),
            (Ok(_), Err(fault)) => Err(Error::Input(vec![*fault])),
            (Err(Error::Input(mut faults)), Err(fault)) => {
                faults.push(*fault);
                Err(Error::Input(faults))
            }
            (Err(error), _) => Err(error),
        }
    }
}

impl Folder {
    fn open(path: &Path) -> Result<Self, Box<Fault>> {
        let fault = |message: String| {
            Box::new(Fault {
                file: path.display().to_string(),
                message,
                ..Fault::default()
            })
        };
        if path == Path::new("-") {
            let message = "a proof is written to a folder: standard output is the answer's";
            return Err(fault(message.to_owned()));
        }
        let is_new = match fs::metadata(path) {
            Ok(about) if !about.is_dir() => {
                return Err(fault("this is a file, and a proof is a folder".to_owned()));
            }
            Ok(_) => false,
            Err(error) if error.kind() == io::ErrorKind::NotFound => true,
            Err(error) => return Err(fault(cannot_write(&error))),
        };
        if is_new {
            // Made and taken away again: then it can be made, and none is left behind.
            let tried = fs::create_dir(path).and_then(|()| fs::remove_dir(path));
            tried.map_err(|error| fault(cannot_write(&error)))?;
        } else {
            let mut entries = fs::read_dir(path).map_err(|error| fault(cannot_write(&error)))?;
            if entries.next().is_some() {
                let message = "there are other things in this folder; a proof needs a new or an \
                               empty one";
                return Err(fault(message.to_owned()));
            }
        }
        Ok(Self {
            path: path.to_owned(),
            is_new,
        })
    }

    /// Writes a proof that is made by then, and says so to people.
    pub(super) fn fill(self, proof: Result<Proof>, json: bool, out: &Output) -> Result<(), Ended> {
        let said = proof.as_ref().map(|proof| said(&self.path, proof));
        let said = said.unwrap_or_default();
        let written = proof.and_then(|proof| self.write(&proof));
        // The answer is on standard output, and is all of it there.
        written.map_err(|error| out.refuse(&error, &[], false))?;
        if !json {
            out.aside(&said)?;
        }
        Ok(())
    }

    /// Writes all files or none.
    fn write(&self, proof: &Proof) -> Result<()> {
        let mut done = Vec::new();
        let made = if self.is_new {
            fs::create_dir(&self.path)
        } else {
            Ok(())
        };
        let written = made.and_then(|()| {
            proof.files().iter().try_for_each(|file| {
                let path = self.path.join(&file.name);
                let mut to = OpenOptions::new()
                    .write(true)
                    .create_new(true)
                    .open(&path)?;
                done.push(path);
                to.write_all(file.text.as_bytes())
            })
        });
        written.map_err(|error| {
            // What is there in part must go; the reason is told in any case.
            for path in done {
                let _ = fs::remove_file(path);
            }
            if self.is_new {
                let _ = fs::remove_dir(&self.path);
            }
            Error::NoProof {
                message: format!("it cannot be written: `{}`: {error}", self.path.display()),
            }
        })
    }
}

fn cannot_write(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no directory for it".to_owned(),
        io::ErrorKind::PermissionDenied => "this folder may not be written".to_owned(),
        _ => format!("this cannot be written: {error}"),
    }
}

/// Reads the files of a folder that have the names of a proof's. Beside what is wrong, the texts
/// that it is about.
pub(super) fn read(path: &Path) -> Result<Proof, (Error, Vec<Text>)> {
    let named = texts(path).map_err(|error| (error, Vec::new()))?;
    let files = named
        .iter()
        .map(|(name, text)| ProofFile::new(name.clone(), text.text.clone()));
    Proof::of_files(files).map_err(|error| match error {
        Error::Input(faults) => {
            let in_folder = |of: Fault| Fault {
                file: path.join(&of.file).display().to_string(),
                ..of
            };
            let faults = faults.into_iter().map(in_folder).collect();
            let texts = named.into_iter().map(|(_, text)| text).collect();
            (Error::Input(faults), texts)
        }
        error => (error, Vec::new()),
    })
}

/// By name.
fn texts(path: &Path) -> Result<Vec<(String, Text)>> {
    let fault = |message: String| {
        Error::Input(vec![Fault {
            file: path.display().to_string(),
            message,
            ..Fault::default()
        }])
    };
    let entries = fs::read_dir(path).map_err(|error| {
        fault(match error.kind() {
            io::ErrorKind::NotFound => "there is no such folder".to_owned(),
            io::ErrorKind::NotADirectory => "this is a file, and a proof is a folder".to_owned(),
            _ => input::cannot_read(&error),
        })
    })?;
    let mut paths = Vec::new();
    for entry in entries {
        let path = entry
            .map_err(|error| fault(input::cannot_read(&error)))?
            .path();
        let form = path.extension().and_then(|form| form.to_str());
        if matches!(form, Some("json" | "opb" | "pbp")) {
            paths.push(path);
        }
    }
    paths.sort();
    let texts = input::read_all(paths.iter())?;
    let name = |path: &PathBuf| {
        path.file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned()
    };
    Ok(paths.iter().map(name).zip(texts).collect())
}

/// What a person is told once it is written.
fn said(path: &Path, proof: &Proof) -> String {
    let mut text = format!(
        "\nProof: {}\n",
        report::printable(&path.display().to_string())
    );
    text.push_str(if proof.is_of_whole_order() {
        "  - nothing is better in the order of plans, as far as it is covered:\n    `wattberth \
         verify --proof` checks that, and so does VeriPB\n"
    } else if proof.is_of_times() {
        "  - nothing is better in devices without a port, in late ones and in the\n    longest \
         time: `wattberth verify --proof` checks that, and so does VeriPB\n"
    } else {
        "  - nothing is better in devices without a port: `wattberth verify --proof`\n    checks \
         that, and so does VeriPB\n"
    });
    text.push_str("  - not covered:\n");
    for what in proof.not_covered() {
        // Text can be written to.
        let _ = writeln!(text, "    - {what}");
    }
    text
}
