//! What a plan reached, with the least that is proven of each time.

use std::cmp::Ordering;

use serde::{Deserialize, Serialize};

use super::{ObjectiveValue, TimesDiffer};
use crate::plan::rota::Rota;
use crate::plan::{Level, Plan, Status};
use crate::setup::Setup;
use crate::solve::levels::Cutoff;

/// What a plan reached, and whether it is proven that no plan reaches more.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Reached {
    /// Whether the plan is proven best.
    pub status: Status,
    /// What it reached.
    #[serde(flatten)]
    pub value: ObjectiveValue,
    /// The last level of the plan's order that is proven; present where `status` is `feasible`
    /// and there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settled: Option<Level>,
    /// The least time at each place of two lists, of priority 1 and 2 and of 3, in hours, null
    /// where never: within the tolerance the plan's own may be longer. Absent where none is.
    #[serde(
        rename = "least_h",
        default,
        skip_serializing_if = "Option::is_none",
        with = "least"
    )]
    #[cfg_attr(
        feature = "schema",
        schemars(rename = "least_h", schema_with = "least::schema")
    )]
    pub(crate) least: Option<[Vec<i64>; 2]>,
}

impl Reached {
    /// What a plan reached, with the least time at each place of its two lists.
    pub(crate) fn by(setup: &Setup, plan: &Plan, least: [Vec<i64>; 2]) -> Self {
        let value = ObjectiveValue::of(setup, plan);
        Self::with_least(plan.status, plan.settled, value, least)
    }

    /// As [`Reached::by`], of a rota.
    pub(crate) fn by_rota(setup: &Setup, rota: &Rota, least: [Vec<i64>; 2]) -> Self {
        let value = ObjectiveValue::of_rota(setup, rota);
        Self::with_least(rota.status, rota.settled, value, least)
    }

    /// From its parts.
    pub(crate) fn with_least(
        status: Status,
        settled: Option<Level>,
        value: ObjectiveValue,
        least: [Vec<i64>; 2],
    ) -> Self {
        Self {
            status,
            settled,
            least: (least != value.by_class).then_some(least),
            value,
        }
    }

    /// Of a change of which it is not known whether less would do: its plan is as proven as it
    /// was.
    pub(crate) fn is_not_the_least(&mut self) {
        if self.status == Status::Optimal {
            self.settled = Some(Level::Everything);
        }
        self.status = Status::Feasible;
    }

    /// The least time at each place of the two lists, in whole 1e-6 h, as far as it is known.
    fn least(&self) -> &[Vec<i64>; 2] {
        self.least.as_ref().unwrap_or(&self.value.by_class)
    }

    /// Whether it is worse than what another reached, a time by more than `tolerance`, in whole
    /// 1e-6 h; where a limit left a place open, by the plan's own time.
    pub(crate) fn stays_behind(&self, other: &Self, tolerance: i64) -> bool {
        let times = (&self.least_known(), &other.least_known());
        self.beside(other, times, tolerance).is_gt()
    }

    /// What a search has to better to gain on it, by more than `tolerance` in a time, in whole
    /// 1e-6 h. Where a limit left a place open, it is the plan's own time that is to be bettered:
    /// who does not gain on that gains on no better plan.
    pub(crate) fn cutoff(&self, tolerance: i64) -> Cutoff {
        Cutoff {
            times: self.least_known(),
            tolerance,
            ..self.value.cutoff()
        }
    }

    /// The least time at each place, and the plan's own where that is not known.
    fn least_known(&self) -> [Vec<i64>; 2] {
        let mut times = self.least().clone();
        for (known, own) in times.iter_mut().zip(&self.value.by_class) {
            known.extend(own.iter().skip(known.len()));
        }
        times
    }

    /// Whether the least time at every place is known, and what comes before.
    pub(crate) fn knows_times(&self) -> bool {
        self.status == Status::Optimal || self.settled >= Some(Level::Times)
    }

    /// Whether it is better in levels 1 and 2, or in the first time that differs by more than
    /// the tolerance, in whole 1e-6 h.
    pub(crate) fn gains_on(&self, other: &Self, tolerance: i64) -> bool {
        let times = (self.least(), other.least());
        self.beside(other, times, tolerance).is_lt()
    }

    /// How it stands in levels 1 and 2, then in the first of these times that differs by more
    /// than the tolerance.
    fn beside(
        &self,
        other: &Self,
        (own, others): (&[Vec<i64>; 2], &[Vec<i64>; 2]),
        tolerance: i64,
    ) -> Ordering {
        let times = || TimesDiffer::first(own, others, tolerance);
        let counts = self.value.compare_counts(&other.value);
        counts.then_with(|| times().map_or(Ordering::Equal, |times| times.own.cmp(&times.other)))
    }

    /// Where the least times of two first differ by more than `tolerance`, in whole 1e-6 h.
    pub(crate) fn first_least_beyond(&self, other: &Self, tolerance: i64) -> Option<TimesDiffer> {
        TimesDiffer::first(self.least(), other.least(), tolerance)
    }
}

/// Two lists of times as documents have them.
mod least {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use super::super::{hours_of, time_of};

    type Lists = Option<[Vec<i64>; 2]>;

    pub(super) fn serialize<S: Serializer>(lists: &Lists, to: S) -> Result<S::Ok, S::Error> {
        let hours =
            |times: &Vec<i64>| -> Vec<f64> { times.iter().copied().map(hours_of).collect() };
        let hours = lists.as_ref().map(|lists| lists.each_ref().map(hours));
        hours.serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Lists, D::Error> {
        let lists = <[Vec<Option<f64>>; 2]>::deserialize(from)?;
        let time = |hours: Option<f64>| time_of(hours.unwrap_or(f64::INFINITY));
        Ok(Some(
            lists.map(|hours| hours.into_iter().map(time).collect()),
        ))
    }

    #[cfg(feature = "schema")]
    pub(super) fn schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let list = crate::json::list_of_hours_or_never(generator);
        schemars::json_schema!({"type": "array", "items": list, "minItems": 2, "maxItems": 2})
    }
}
