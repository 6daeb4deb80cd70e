//! JSON text to a checked setup: faults with their place, all at once.

use crate::document::SetupDocument;
use crate::error::Result;
use crate::setup::Setup;

/// One text of the input, with the name under which faults speak of it.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// A file's name, or `<stdin>`.
    pub file: &'a str,
    /// Its text.
    pub text: &'a str,
}

impl Setup {
    /// Reads and checks a setup document.
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) with every fault found.
    pub fn from_json(_text: &str) -> Result<Self> {
        unimplemented!()
    }

    /// Reads and checks a setup of several texts: the bag, and candidate files whose
    /// chargers, where there are any, replace the bag's.
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) with every fault found in all of them.
    pub fn from_sources(_bag: Source<'_>, _chargers: &[Source<'_>]) -> Result<Self> {
        unimplemented!()
    }
}

impl SetupDocument {
    /// Checks the document; what holds afterwards is said at [`Setup`].
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) with every fault found, by path.
    pub fn check(self) -> Result<Setup> {
        unimplemented!()
    }
}
