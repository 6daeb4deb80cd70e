//! A proof as a file: whole or not at all.

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

use crate::{Error, Fault, Proof, report};

/// Refuses, before anything is worked out, what no file can be written to.
pub(super) fn may_be(path: &Path) -> Result<(), Error> {
    let folder = folder(path);
    let message = if path == Path::new("-") {
        "a proof is written to a file: standard output is the plan's".to_owned()
    } else if path.is_dir() {
        "this is a directory, not a file".to_owned()
    } else if !folder.is_dir() {
        format!("there is no directory `{}`", folder.display())
    } else {
        return Ok(());
    };
    Err(Error::Input(vec![Fault {
        file: path.display().to_string(),
        message,
        ..Fault::default()
    }]))
}

/// Writes beside the file first, so that it is never there in part.
pub(super) fn write(path: &Path, proof: &Proof) -> Result<(), Error> {
    let mut beside: OsString = path.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let written =
        std::fs::write(&beside, proof.to_json()).and_then(|()| std::fs::rename(&beside, path));
    written.map_err(|error| {
        // It may never have been made.
        let _ = std::fs::remove_file(&beside);
        not_written(path, &error)
    })
}

fn not_written(path: &Path, error: &io::Error) -> Error {
    Error::NoProof {
        message: format!("`{}` cannot be written: {error}", path.display()),
    }
}

/// What a person is told once it is written.
pub(super) fn said(path: &Path) -> String {
    format!(
        "\nProof: {}\n  \
         - no plan is better in devices without a berth, in late ones and in the\n    \
         longest time: `wattberth verify --proof` checks that\n  \
         - what comes after these is proven by the search only\n",
        report::printable(&path.display().to_string())
    )
}

fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    }
}
