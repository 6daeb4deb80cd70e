//! The line of a plug alone: what it is on is not listed, and adapters are to be found.

use std::ops::Range;

use super::Reading;
use super::line::Line;
use super::plugs::plugs;
use crate::diagnostics::Path;

/// Reads a plug's line: `plug EF`, `plugs C, G`.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    line.take(&["plug", "plugs"]);
    if line.sign(0) == Some(':') {
        line.next();
    }
    let mut found = Vec::new();
    while line.goes_on() {
        if line.word(0) == "plug" || line.word(0) == "plugs" {
            line.next();
        } else {
            let before = line.span(0).start;
            plugs(line, &mut found);
            if line.goes_on() && line.faults.is_empty() {
                line.not_understood(["plug"]);
            }
            // What is wrong was told before: nothing is read twice.
            if line.goes_on() && line.span(0).start == before {
                line.next();
            }
        }
    }
    if !line.faults.is_empty() {
        return;
    }
    if found.is_empty() {
        let message = "which plug? write its letter: `plug EF`";
        return line.fault(whole.clone(), message);
    }
    let trip = into.document.trip.get_or_insert_default();
    for plug in found {
        let path = Path::default()
            .field("trip")
            .field("plugs")
            .index(trip.plugs.len());
        trip.plugs.push(plug);
        into.places.put(path, whole.clone(), false);
    }
}
