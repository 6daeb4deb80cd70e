//! What a plan reached, in one clause.

use super::clock::Clock;
use crate::plan::objective::ObjectiveValue;

/// How long it takes: every contract kept, and, where it is known, with sharing anew.
#[derive(Debug, Clone, Copy)]
pub(super) struct Longest {
    pub(super) held_h: f64,
    pub(super) reshared_h: Option<f64>,
    /// How many chargers there are.
    pub(super) chargers: usize,
    /// Whether it is told beside what is certain, and is less than that.
    pub(super) at_best: bool,
    pub(super) clock: Clock,
}

impl Longest {
    /// `2 h 18 min at the latest, 2 h 03 min if the charger re-shares`.
    pub(super) fn at_the_latest(&self) -> String {
        let held = self.clock.by(self.held_h);
        let told = if self.at_best {
            "at best"
        } else {
            "at the latest"
        };
        let Some(reshared_h) = self.reshared_h else {
            return format!("{held} {told}");
        };
        let who = if self.chargers == 1 {
            "the charger shares anew"
        } else {
            "the chargers share anew"
        };
        let reshared = self.clock.or_by(reshared_h);
        if self.clock.by(reshared_h) == held {
            format!("{held} {told}, no sooner if {who}")
        } else {
            format!("{held} {told}, {reshared} if {who}")
        }
    }
}

/// What is promised of devices with a berth, and the rest.
pub(super) struct Promised {
    pub(super) served: usize,
    pub(super) unserved: usize,
    pub(super) late: usize,
    /// By device with a berth; none where it is never.
    pub(super) hours: Vec<Option<f64>>,
    pub(super) best_h: f64,
    pub(super) chargers: usize,
    pub(super) clock: Clock,
}

/// How a promise is told of so many chargers.
pub(super) fn whatever_the_rule(chargers: usize) -> &'static str {
    match chargers {
        1 => "however the charger shares",
        _ => "however the chargers share",
    }
}

impl Promised {
    /// `all 5 devices full after 3 h 05 min, whatever the charger's rule, 2 h 10 min at best`.
    pub(super) fn told(&self) -> String {
        let rule = whatever_the_rule(self.chargers);
        let sure = self.hours.iter().flatten().count();
        let longest = self.hours.iter().flatten().copied().fold(0.0, f64::max);
        let clock = self.clock;
        let best = clock.by(self.best_h);
        let total = self.served + self.unserved;
        let full = match (sure, total) {
            (0, 1) => format!("the only device full {best} at best; nothing is certain"),
            (1, 1) => format!("the only device full {}, {rule}", clock.by(longest)),
            (0, all) => {
                format!(
                    "{} of {all} devices full {best} at best; nothing is certain",
                    self.served
                )
            }
            (sure, all) => {
                let who = if sure == all {
                    format!("all {all} devices")
                } else {
                    format!("{sure} of {all} devices")
                };
                format!("{who} full {}, {rule}", clock.by(longest))
            }
        };
        let mut parts = vec![full];
        if sure > 0 && (sure < self.served || clock.by(longest) != best) {
            parts.push(if sure < self.served {
                format!("all on a port {best} at best")
            } else {
                format!("{} at best", clock.or_by(self.best_h))
            });
        }
        if self.unserved > 0 {
            parts.push(format!("{} without a port", self.unserved));
        }
        if self.late > 0 {
            parts.push(format!("{} late", self.late));
        }
        parts.join(", ")
    }
}

/// `all 12 devices full after 2 h 18 min at the latest`; `8 of 12 devices full after
/// 1 h 48 min at the latest, 4 without a berth, 1 late`.
pub(super) fn reached(served: usize, unserved: usize, late: usize, longest: Longest) -> String {
    let total = served + unserved;
    let latest = longest.at_the_latest();
    let berths = match (served, total) {
        (_, 0) => return "nothing to charge: every device is full as it is".to_owned(),
        (0, 1) => "the only device has no port".to_owned(),
        (0, _) => format!("none of the {total} devices has a port"),
        (1, 1) if longest.held_h.is_infinite() => {
            "the only device on a port, not certain to be full".to_owned()
        }
        (1, 1) => format!("the only device full {}", longest.clock.by(longest.held_h)),
        _ if longest.held_h.is_infinite() => {
            let left = match unserved {
                0 => String::new(),
                left => format!(", {left} without a port"),
            };
            let on_ports = format!("{served} of {total} devices on a port");
            format!("{on_ports}, not all of them certain to be full{left}")
        }
        (all, of) if all == of => format!("all {of} devices full {latest}"),
        _ => format!("{served} of {total} devices full {latest}, {unserved} without a port"),
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
        at_best: false,
        clock: Clock::of(None),
    };
    reached(times_h.len(), *unserved, *late, longest)
}
