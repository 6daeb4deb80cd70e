//! Where a document comes from: the program that wrote it, and the setup that it is of.

use crate::plan::Plan;
use crate::plan::proof::setup_digest;
use crate::plan::rota::Rota;
use crate::setup::Setup;
use crate::setup::document::fields::answer_fields;

answer_fields! {
    /// The program that wrote a document.
    pub struct Program, "a program", handed on by program_fields {
        /// Its name.
        needs name: String;
        /// Its version.
        needs version: String;
    }
}

impl Program {
    /// This one.
    pub(crate) fn this() -> Self {
        Self {
            name: env!("CARGO_PKG_NAME").to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        }
    }
}

impl Plan {
    /// The same, with where it comes from: that takes a digest of the whole setup.
    pub(crate) fn signed(self, setup: &Setup) -> Self {
        Self {
            program: Some(Program::this()),
            setup_sha256: Some(setup_digest(setup)),
            ..self
        }
    }
}

impl Rota {
    /// As [`Plan::signed`].
    pub(crate) fn signed(self, setup: &Setup) -> Self {
        Self {
            program: Some(Program::this()),
            setup_sha256: Some(setup_digest(setup)),
            ..self
        }
    }
}
