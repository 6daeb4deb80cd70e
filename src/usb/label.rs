//! Label text as people type it from the thing, to entries.

use std::ops::Range;

use super::{Accept, LabelEntry, Offer};

/// A part of a label that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct LabelFault {
    /// Which line of the label (string of the list) it is in.
    pub(crate) line: usize,
    /// Byte range in that string.
    pub(crate) span: Range<usize>,
    /// One sentence.
    pub(crate) message: String,
}

/// Reads the lines of a label; every fault found, or every entry in order.
pub(crate) fn parse(_lines: &[String]) -> Result<Vec<LabelEntry>, Vec<LabelFault>> {
    unimplemented!()
}

impl LabelEntry {
    /// The entry as something a port offers.
    pub(crate) fn offered(self) -> Offer {
        unimplemented!()
    }

    /// The entry as something a device accepts.
    pub(crate) fn accepted(self) -> Accept {
        unimplemented!()
    }
}
