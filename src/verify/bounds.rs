//! The bounds of what a limit left open, as far as the answer itself tells: each is of a level
//! of the plan's order, in that order, beside what the answer has, and below it. Whether it is
//! proven is not asked.

use super::{Findings, same, shown};
use crate::plan::Status;
use crate::plan::bounds::{BoundedLevel, LevelBound};
use crate::plan::objective::ObjectiveValue;
use crate::units::as_float;

/// What an answer has of the levels.
pub(super) struct Values<'a> {
    pub(super) of: &'a ObjectiveValue,
    pub(super) moves: Option<usize>,
    /// Of a rota.
    pub(super) swaps: Option<usize>,
    /// Watts, or watt-hours of a rota.
    pub(super) watts: f64,
}

/// What an answer must have where a bound stands.
enum Must {
    Be(Option<f64>),
    /// There is no such level.
    NotBe(&'static str),
}

/// Checks the bounds of an answer.
pub(super) fn check(
    bounds: &[LevelBound],
    status: Status,
    values: &Values<'_>,
    findings: &mut Findings,
) {
    if status == Status::Optimal && !bounds.is_empty() {
        findings.add("bounds", "is there, but nothing is open");
        return;
    }
    let mut before = None;
    for (i, of) in bounds.iter().enumerate() {
        let path = format!("bounds[{i}]");
        let place = Some((of.level, of.priority, of.place));
        if place <= before {
            findings.add(
                &path,
                "must come after those before it in the order, and only once",
            );
        }
        before = place.max(before);
        match values.must(of) {
            Must::NotBe(why) => findings.add(path, why),
            Must::Be(value) => {
                findings.compare_some(format!("{path}.value"), of.value, value);
                let below = value.is_none_or(|value| of.bound <= value || same(of.bound, value));
                if !(of.bound >= 0.0 && below) {
                    let most = value.map_or("any time".to_owned(), |v| shown(v).to_string());
                    let message = format!(
                        "is {}, must be from 0 to what there is, {most}",
                        shown(of.bound)
                    );
                    findings.add(format!("{path}.bound"), message);
                }
            }
        }
    }
}

impl Values<'_> {
    fn must(&self, of: &LevelBound) -> Must {
        let finite = |hours: f64| hours.is_finite().then_some(hours);
        let count = |count: usize| Must::Be(Some(as_float_of(count)));
        let by_priority = |counts: [usize; 3]| match of.priority {
            Some(priority @ 1..=3) => count(counts[priority - 1]),
            _ => Must::NotBe("is of no priority"),
        };
        let goes_by_it = matches!(
            of.level,
            BoundedLevel::Unserved | BoundedLevel::Late | BoundedLevel::Time
        );
        if of.priority.is_some() && !goes_by_it {
            return Must::NotBe("goes by no priority");
        }
        if of.place.is_some() != (of.level == BoundedLevel::Time) {
            return Must::NotBe("must have a place where it is a time, and only there");
        }
        match of.level {
            BoundedLevel::Unserved => by_priority(self.of.unserved_by_priority),
            BoundedLevel::Late => by_priority(self.of.late_by_priority),
            BoundedLevel::Missing => Must::Be(Some(self.of.missing_wh)),
            BoundedLevel::Longest => Must::Be(finite(self.of.longest_h)),
            BoundedLevel::Time => {
                let list = match of.priority {
                    None => self.of.times_of(0),
                    Some(3) => self.of.times_of(1),
                    Some(_) => return Must::NotBe("is of a priority that has no list of its own"),
                };
                let place = of.place.and_then(|place| place.checked_sub(1));
                match place.and_then(|place| list.get(place)) {
                    Some(&hours) => Must::Be(finite(hours)),
                    None => Must::NotBe("is a place that the list of times has not"),
                }
            }
            BoundedLevel::Moves => self
                .moves
                .map_or(Must::NotBe("counts no moves here"), count),
            BoundedLevel::Swaps => self.swaps.map_or(Must::NotBe("is of rotas alone"), count),
            BoundedLevel::Hours => Must::Be(Some(self.of.weighted_h)),
            BoundedLevel::Watts => Must::Be(Some(self.watts)),
        }
    }
}

fn as_float_of(count: usize) -> f64 {
    i64::try_from(count).map_or(f64::INFINITY, as_float)
}
