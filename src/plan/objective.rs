//! Where a plan stands in the plan's order: the numbers by which plans are compared
//! (model.md, section 5), without its last ties.

use std::cmp::Ordering;

use schemars::JsonSchema;
use serde::Serialize;

use crate::plan::rota::Rota;
use crate::plan::{Plan, Status, WithoutBerth};
use crate::setup::{DeviceSpec, Setup};
use crate::units::{from_millionths, millionths};

/// The levels of the plan's order, as numbers.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct ObjectiveValue {
    /// Devices that need a berth and have none.
    pub unserved: usize,
    /// The same by priority: 1, 2, 3.
    pub unserved_by_priority: [usize; 3],
    /// Watt-hours missing in them.
    pub missing_wh: f64,
    /// Devices that are full later than they must be.
    pub late: usize,
    /// The longest time, in hours; 0 where nothing has a berth.
    pub longest_h: f64,
    /// All times, in hours, the longest first.
    pub times_h: Vec<f64>,
    /// Volts × amps of all berths, in watts.
    pub total_w: f64,
}

/// What a plan reached, and whether it is proven that no plan reaches more.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Reached {
    /// Whether the plan is proven best.
    pub status: Status,
    /// What it reached.
    #[serde(flatten)]
    pub value: ObjectiveValue,
}

impl ObjectiveValue {
    /// Where `plan`, a plan of `setup`, stands.
    pub fn of(setup: &Setup, plan: &Plan) -> Self {
        let berths = plan.berths.iter().map(|berth| Served {
            time: millionths(berth.hours),
            watts: millionths(berth.port_w),
            late: berth.late,
        });
        Self::from_parts(left_out(setup, &plan.without_berth), berths)
    }

    /// Where `rota`, a rota of `setup`, stands: its times are those of finishing.
    pub fn of_rota(setup: &Setup, rota: &Rota) -> Self {
        let berths = rota.berths.iter().map(|of| Served {
            time: millionths(of.finish_h),
            watts: millionths(of.berth.port_w),
            late: of.berth.late,
        });
        Self::from_parts(left_out(setup, &rota.without_berth), berths)
    }

    /// From the priority and the missing watt-hours of each device without a berth, and
    /// the berths of the others.
    pub(crate) fn from_parts(
        without: impl Iterator<Item = (u8, i64)>,
        berths: impl Iterator<Item = Served>,
    ) -> Self {
        let mut value = Self::default();
        let mut missing = 0;
        for (priority, wh) in without {
            let rank = usize::from(priority.clamp(1, 3)) - 1;
            value.unserved_by_priority[rank] += 1;
            value.unserved += 1;
            missing += wh;
        }
        let (mut times, mut watts) = (Vec::new(), 0);
        for berth in berths {
            times.push(berth.time);
            watts += berth.watts;
            value.late += usize::from(berth.late);
        }
        times.sort_unstable_by(|a, b| b.cmp(a));
        value.missing_wh = from_millionths(missing);
        value.times_h = times.into_iter().map(from_millionths).collect();
        value.longest_h = value.times_h.first().copied().unwrap_or(0.0);
        value.total_w = from_millionths(watts);
        value
    }

    /// Compares by levels 1 to 3 of the plan's order: without a berth, late, the sorted
    /// times. The better is the lesser; watts and listed order are left out.
    pub fn compare(&self, other: &Self) -> Ordering {
        let whole = |hours: &[f64]| hours.iter().copied().map(millionths).collect::<Vec<_>>();
        self.unserved_by_priority
            .cmp(&other.unserved_by_priority)
            .then(millionths(self.missing_wh).cmp(&millionths(other.missing_wh)))
            .then(self.late.cmp(&other.late))
            .then_with(|| whole(&self.times_h).cmp(&whole(&other.times_h)))
    }

    /// As [`compare`](Self::compare), then by total watts.
    pub fn compare_with_watts(&self, other: &Self) -> Ordering {
        self.compare(other)
            .then(millionths(self.total_w).cmp(&millionths(other.total_w)))
    }
}

/// The priority and the missing watt-hours of each device without a berth.
fn left_out<'a>(
    setup: &'a Setup,
    without: &'a [WithoutBerth],
) -> impl Iterator<Item = (u8, i64)> + 'a {
    without.iter().filter_map(|left| {
        let named = |device: &&DeviceSpec| device.name == left.device;
        let device = setup.devices.iter().find(named)?;
        Some((device.priority, millionths(device.missing_wh())))
    })
}

/// One berth's part in a [`ObjectiveValue`], in whole millionths.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Served {
    pub(crate) time: i64,
    pub(crate) watts: i64,
    pub(crate) late: bool,
}

impl Reached {
    pub(crate) fn by(setup: &Setup, plan: &Plan) -> Self {
        Self {
            status: plan.status,
            value: ObjectiveValue::of(setup, plan),
        }
    }

    pub(crate) fn by_rota(setup: &Setup, rota: &Rota) -> Self {
        Self {
            status: rota.status,
            value: ObjectiveValue::of_rota(setup, rota),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(without: &[(u8, i64)], berths: &[(i64, i64, bool)]) -> ObjectiveValue {
        let berths = berths
            .iter()
            .map(|&(time, watts, late)| Served { time, watts, late });
        ObjectiveValue::from_parts(without.iter().copied(), berths)
    }

    #[test]
    fn the_levels_are_compared_one_after_the_other() {
        // Each is better than the one after it.
        let falling = [
            value(&[(3, 9)], &[(2, 5, false), (9, 5, true)]),
            value(&[(2, 3)], &[(2, 5, false), (3, 5, false)]),
            value(&[(2, 4)], &[(2, 5, false), (3, 5, false)]),
            value(&[(2, 4)], &[(3, 5, true), (2, 5, false)]),
            value(&[(2, 4)], &[(3, 5, false), (3, 5, true)]),
            value(&[(2, 4), (3, 0)], &[(1, 5, false)]),
            value(&[(1, 0)], &[(1, 5, false)]),
        ];
        for (i, better) in falling.iter().enumerate() {
            assert_eq!(better.compare(better), Ordering::Equal);
            for worse in &falling[i + 1..] {
                assert_eq!(
                    better.compare(worse),
                    Ordering::Less,
                    "{better:?} {worse:?}"
                );
                assert_eq!(worse.compare(better), Ordering::Greater);
            }
        }
    }

    #[test]
    fn watts_decide_only_where_they_are_asked_for() {
        let (less, more) = (value(&[], &[(2, 5, false)]), value(&[], &[(2, 6, false)]));
        assert_eq!(less.compare(&more), Ordering::Equal);
        assert_eq!(less.compare_with_watts(&more), Ordering::Less);
    }

    #[test]
    fn the_numbers_are_summed_up() {
        let found = value(
            &[(1, 1_500_000), (3, 250_000)],
            &[(1_000_000, 5_000_000, false), (2_000_000, 7_500_000, true)],
        );
        assert_eq!(
            (found.unserved, found.unserved_by_priority, found.late),
            (2, [1, 0, 1], 1)
        );
        assert_eq!((found.missing_wh, found.total_w), (1.75, 12.5));
        assert_eq!(
            (found.longest_h, found.times_h.as_slice()),
            (2.0, &[2.0, 1.0][..])
        );
    }
}
