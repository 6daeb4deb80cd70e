//! A proof as a file, and what is said of it.

use std::path::Path;

use super::whole_file;
use crate::{Error, Proof, report};

/// Refuses, before anything is worked out, what no file can be written to.
pub(super) fn may_be(path: &Path) -> Result<(), Error> {
    match whole_file::refusal(path, "a proof") {
        Some(fault) => Err(Error::Input(vec![fault])),
        None => Ok(()),
    }
}

/// Writes it whole or not at all.
pub(super) fn write(path: &Path, proof: &Proof) -> Result<(), Error> {
    whole_file::write(path, proof.to_json().as_bytes()).map_err(|error| Error::NoProof {
        message: format!("`{}` cannot be written: {error}", path.display()),
    })
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
