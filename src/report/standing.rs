//! What a plan reached, in one clause.

use super::quantity::time;
use crate::standing::Standing;

/// `all 12 devices full after 2 h 18 min at the latest`; `8 of 12 devices full after
/// 1 h 48 min at the latest, 4 without a berth, 1 late`.
pub(super) fn reached(served: usize, unserved: usize, late: usize, longest_h: f64) -> String {
    let total = served + unserved;
    let longest = time(longest_h);
    let berths = match (served, total) {
        (_, 0) => return "nothing to charge: every device is full as it is".to_owned(),
        (0, 1) => "the only device has no berth".to_owned(),
        (0, _) => format!("none of the {total} devices has a berth"),
        (1, 1) => format!("the only device full after {longest}"),
        (all, of) if all == of => format!("all {of} devices full after {longest} at the latest"),
        _ => format!(
            "{served} of {total} devices full after {longest} at the latest, {unserved} without a \
             berth"
        ),
    };
    match late {
        0 => berths,
        late => format!("{berths}, {late} late"),
    }
}

/// The same of a standing.
pub(super) fn reached_by(standing: &Standing) -> String {
    let Standing {
        times_h,
        unserved,
        late,
        longest_h,
        ..
    } = standing;
    reached(times_h.len(), *unserved, *late, *longest_h)
}
