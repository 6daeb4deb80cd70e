//! A result as a file: whole or not at all.

use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

use crate::Fault;

/// What no file can be written to, to be known before anything is worked out. `what` is
/// said where it is standard output: `a proof`.
pub(super) fn refusal(path: &Path, what: &str) -> Option<Fault> {
    let folder = folder(path);
    let message = if path == Path::new("-") {
        format!("{what} is written to a file: standard output is the answer's")
    } else if path.is_dir() {
        "this is a directory, not a file".to_owned()
    } else if !folder.is_dir() {
        format!("there is no directory `{}`", folder.display())
    } else {
        return None;
    };
    Some(Fault {
        file: path.display().to_string(),
        message,
        ..Fault::default()
    })
}

/// Writes beside the file first, so that it is never there in part.
pub(super) fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut beside: OsString = path.as_os_str().to_owned();
    beside.push(format!(".{}.part", std::process::id()));
    let beside = PathBuf::from(beside);
    let written = std::fs::write(&beside, bytes).and_then(|()| std::fs::rename(&beside, path));
    written.inspect_err(|_| {
        // It may never have been made.
        let _ = std::fs::remove_file(&beside);
    })
}

fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    }
}
