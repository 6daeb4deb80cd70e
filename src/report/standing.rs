//! What a plan reached, in one clause.

use crate::plan::objective::ObjectiveValue;
use crate::units::quantity::time;

/// How long it takes: every contract kept, and, where it is known, with sharing anew.
#[derive(Debug, Clone, Copy)]
pub(super) struct Longest {
    pub(super) held_h: f64,
    pub(super) reshared_h: Option<f64>,
    /// How many chargers there are.
    pub(super) chargers: usize,
}

impl Longest {
    /// `2 h 18 min at the latest, 2 h 03 min if the charger re-shares`.
    pub(super) fn at_the_latest(&self) -> String {
        let held = time(self.held_h);
        let Some(reshared_h) = self.reshared_h else {
            return format!("{held} at the latest");
        };
        let who = if self.chargers == 1 {
            "the charger re-shares"
        } else {
            "the chargers re-share"
        };
        let reshared = time(reshared_h);
        if reshared == held {
            format!("{held} at the latest, no sooner if {who}")
        } else {
            format!("{held} at the latest, {reshared} if {who}")
        }
    }
}

/// `all 12 devices full after 2 h 18 min at the latest`; `8 of 12 devices full after
/// 1 h 48 min at the latest, 4 without a berth, 1 late`.
pub(super) fn reached(served: usize, unserved: usize, late: usize, longest: Longest) -> String {
    let total = served + unserved;
    let latest = longest.at_the_latest();
    let berths = match (served, total) {
        (_, 0) => return "nothing to charge: every device is full as it is".to_owned(),
        (0, 1) => "the only device has no berth".to_owned(),
        (0, _) => format!("none of the {total} devices has a berth"),
        (1, 1) => format!("the only device full after {}", time(longest.held_h)),
        (all, of) if all == of => format!("all {of} devices full after {latest}"),
        _ => format!("{served} of {total} devices full after {latest}, {unserved} without a berth"),
    };
    match late {
        0 => berths,
        late => format!("{berths}, {late} late"),
    }
}

/// The same of a standing.
pub(super) fn reached_by(standing: &ObjectiveValue) -> String {
    reached_with(standing, None, 1)
}

/// The same, and with sharing anew where that is known.
pub(super) fn reached_with(
    standing: &ObjectiveValue,
    reshared_h: Option<f64>,
    chargers: usize,
) -> String {
    let ObjectiveValue {
        times_h,
        unserved,
        late,
        longest_h,
        ..
    } = standing;
    let longest = Longest {
        held_h: *longest_h,
        reshared_h,
        chargers,
    };
    reached(times_h.len(), *unserved, *late, longest)
}
