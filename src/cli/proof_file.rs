//! A proof as a file, and what is said of it.

use std::path::Path;

use super::whole_file::{OutputFile, Wanted};
use crate::{Aim, Error, Proof, report};

/// The option that names it.
pub(super) const OPTION: &str = "--proof";

/// The file that is asked for.
pub(super) fn wanted(path: &Path) -> Wanted<'_> {
    Wanted {
        option: OPTION,
        what: "a proof",
        path,
    }
}

/// Writes it whole or not at all.
pub(super) fn write(file: OutputFile, proof: &Proof) -> Result<(), Error> {
    let written = file.write(proof.to_json().as_bytes());
    written.map_err(|error| Error::NoProof {
        message: format!("it cannot be written: {error}"),
    })
}

/// What a person is told once it is written, of a plan that was chosen by `aim`.
pub(super) fn said(path: &Path, aim: Aim) -> String {
    let covers = match aim {
        Aim::Best => {
            "no plan is better in devices without a port, in late ones and in the\n    \
             longest time: `wattberth verify --proof` checks that"
        }
        Aim::Promise => {
            "no plan is better in devices without a port:\n    \
             `wattberth verify --proof` checks that"
        }
    };
    format!(
        "\nProof: {}\n  - {covers}\n  - what comes after these is proven by the search only\n",
        report::printable(&path.display().to_string())
    )
}
