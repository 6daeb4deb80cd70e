//! Where a plan stands in the plan's order: the numbers by which plans are compared
//! (model.md, section 5), without its last ties.

mod reached;

use std::cmp::Ordering;

use serde::{Deserialize, Serialize};

use crate::json::hours;
use crate::plan::promise::NEVER;
use crate::plan::rota::{Rota, RotaBerth};
use crate::plan::{Berth, Plan, WithoutBerth};
use crate::setup::document::Aim;
use crate::setup::{DeviceSpec, Setup};
use crate::solve::goal::{HOURS_COUNT, class};
use crate::solve::levels::Cutoff;
use crate::units::{from_millionths, millionths};
pub use reached::Reached;

/// The levels of the plan's order, as numbers: times and what is late are those that are
/// promised, or those at best, by the setup's aim.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
    /// The same by priority: 1, 2, 3.
    pub late_by_priority: [usize; 3],
    /// The longest time, in hours; 0 where nothing has a berth. Infinite, in a document null,
    /// where it is never.
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::hours_or_never")
    )]
    pub longest_h: f64,
    /// All times, in hours, the longest first; infinite, in a document null, where never.
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::list_of_hours_or_never")
    )]
    pub times_h: Vec<f64>,
    /// Those of them that are of priority 3; absent where none is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::list_of_hours_or_never")
    )]
    pub times_of_priority_3_h: Vec<f64>,
    /// The sum of the hours at best: those of priority 1 count four times, of 2 twice.
    pub weighted_h: f64,
    /// Volts × amps of all berths, in watts.
    pub total_w: f64,
    /// The times of priority 1 and 2, and those of 3, in whole 1e-6 h.
    #[serde(skip)]
    #[cfg_attr(feature = "schema", schemars(skip))]
    by_class: [Vec<i64>; 2],
}

impl<'de> Deserialize<'de> for ObjectiveValue {
    fn deserialize<D: serde::Deserializer<'de>>(reader: D) -> Result<Self, D::Error> {
        /// What a document has of it.
        #[derive(Deserialize)]
        struct Told {
            unserved: usize,
            unserved_by_priority: [usize; 3],
            missing_wh: f64,
            late: usize,
            late_by_priority: [usize; 3],
            #[serde(deserialize_with = "hours::or_never")]
            longest_h: f64,
            #[serde(deserialize_with = "hours::all_or_never")]
            times_h: Vec<f64>,
            #[serde(default, deserialize_with = "hours::all_or_never")]
            times_of_priority_3_h: Vec<f64>,
            weighted_h: f64,
            total_w: f64,
        }
        let told = Told::deserialize(reader)?;
        let mut urgent: Vec<i64> = told.times_h.iter().copied().map(time_of).collect();
        let spare: Vec<i64> = told
            .times_of_priority_3_h
            .iter()
            .copied()
            .map(time_of)
            .collect();
        for time in &spare {
            if let Some(at) = urgent.iter().position(|other| other == time) {
                urgent.remove(at);
            }
        }
        Ok(Self {
            unserved: told.unserved,
            unserved_by_priority: told.unserved_by_priority,
            missing_wh: told.missing_wh,
            late: told.late,
            late_by_priority: told.late_by_priority,
            longest_h: told.longest_h,
            times_h: told.times_h,
            times_of_priority_3_h: told.times_of_priority_3_h,
            weighted_h: told.weighted_h,
            total_w: told.total_w,
            by_class: [urgent, spare],
        })
    }
}

impl ObjectiveValue {
    /// Where `plan`, a plan of `setup`, stands.
    pub fn of(setup: &Setup, plan: &Plan) -> Self {
        Self::told(setup, &plan.without_berth, full_in_plan(setup, plan))
    }

    /// Where `rota`, a rota of `setup`, stands: its times are those of finishing.
    pub fn of_rota(setup: &Setup, rota: &Rota) -> Self {
        Self::told(setup, &rota.without_berth, full_in_rota(setup, rota))
    }

    fn told<'a>(
        setup: &Setup,
        without: &[WithoutBerth],
        berths: impl Iterator<Item = (&'a Berth, Full)>,
    ) -> Self {
        let served = berths.map(|(berth, full)| Served {
            priority: device_of(setup, berth).map_or(2, |device| device.priority),
            time: full.time,
            best: full.best,
            watts: millionths(berth.port_w),
            late: full.late,
        });
        Self::from_parts(left_out(setup, without), served)
    }

    /// From the priority and the missing watt-hours of each device without a berth, and
    /// the berths of the others.
    pub(crate) fn from_parts(
        without: impl Iterator<Item = (u8, i64)>,
        berths: impl Iterator<Item = Served>,
    ) -> Self {
        let mut value = Self::default();
        let mut missing = 0;
        let rank = |priority: u8| usize::from(priority.clamp(1, 3)) - 1;
        for (priority, wh) in without {
            value.unserved_by_priority[rank(priority)] += 1;
            value.unserved += 1;
            missing = i64::saturating_add(missing, wh);
        }
        // A plan that was read may say anything; of a legal one no sum comes near the ends.
        let (mut hours, mut watts) = (0_i64, 0_i64);
        for berth in berths {
            let rank = rank(berth.priority);
            value.by_class[class(rank)].push(berth.time);
            hours = hours.saturating_add(berth.best.saturating_mul(HOURS_COUNT[rank]));
            watts = watts.saturating_add(berth.watts);
            value.late += usize::from(berth.late);
            value.late_by_priority[rank] += usize::from(berth.late);
        }
        let longest_first = |times: &mut Vec<i64>| times.sort_unstable_by(|a, b| b.cmp(a));
        value.by_class.iter_mut().for_each(longest_first);
        let mut times = value.by_class.concat();
        longest_first(&mut times);
        value.missing_wh = from_millionths(missing);
        value.times_h = times.into_iter().map(hours_of).collect();
        value.times_of_priority_3_h = value.times_of(class(2));
        value.longest_h = value.times_h.first().copied().unwrap_or(0.0);
        value.weighted_h = from_millionths(hours);
        value.total_w = from_millionths(watts);
        value
    }

    /// The same for a search that is to better it.
    pub(crate) fn cutoff(&self) -> Cutoff {
        let whole = |counts: [usize; 3]| counts.map(|n| i64::try_from(n).unwrap_or(i64::MAX));
        Cutoff {
            unserved: whole(self.unserved_by_priority),
            missing: millionths(self.missing_wh),
            late: whole(self.late_by_priority),
            times: self.by_class.clone(),
            tolerance: 0,
        }
    }

    /// The times of priority 1 and 2, or those of 3, in hours, the longest first; infinite where
    /// it is never.
    pub(crate) fn times_of(&self, class: usize) -> Vec<f64> {
        self.by_class[class].iter().copied().map(hours_of).collect()
    }

    /// Compares by levels 1 to 3 of the plan's order: without a berth, late by priority, the
    /// sorted times of priority 1 and 2, then those of 3. The better is the lesser; hours,
    /// watts and listed order are left out, and so is the tolerance.
    pub fn compare(&self, other: &Self) -> Ordering {
        self.compare_counts(other)
            .then_with(|| self.by_class.cmp(&other.by_class))
    }

    /// As [`compare`](Self::compare), then by the weighted hours, then by total watts.
    pub fn compare_whole(&self, other: &Self) -> Ordering {
        let rest = |value: &Self| [value.weighted_h, value.total_w].map(millionths);
        self.compare(other).then(rest(self).cmp(&rest(other)))
    }

    /// Compares the times of priority 1 and 2, then those of 3, by the first place that differs
    /// by more than `tolerance`, in whole 1e-6 h.
    pub(crate) fn compare_times(&self, other: &Self, tolerance: i64) -> Ordering {
        let first = self.first_time_beyond(other, tolerance);
        first.map_or(Ordering::Equal, |times| times.own.cmp(&times.other))
    }

    /// Where the times of two first differ by more than `tolerance`, in whole 1e-6 h.
    pub(crate) fn first_time_beyond(&self, other: &Self, tolerance: i64) -> Option<TimesDiffer> {
        TimesDiffer::first(&self.by_class, &other.by_class, tolerance)
    }

    /// Whether every plan of at least the same devices is worse than `other`, each place of
    /// whose times may exceed its least by `tolerance`, in whole 1e-6 h.
    pub(crate) fn stays_worse_than(&self, other: &Self, tolerance: i64) -> bool {
        let longest = |value: &Self| value.by_class[0].first().copied().unwrap_or(0);
        let later = longest(self).saturating_sub(tolerance) > longest(other);
        self.compare_counts(other).then(later.cmp(&false)).is_gt()
    }

    /// Compares by levels 1 and 2.
    fn compare_counts(&self, other: &Self) -> Ordering {
        self.unserved_by_priority
            .cmp(&other.unserved_by_priority)
            .then(millionths(self.missing_wh).cmp(&millionths(other.missing_wh)))
            .then(self.late_by_priority.cmp(&other.late_by_priority))
    }
}

/// When a device with a berth is full.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Full {
    /// By the aim, in whole 1e-6 h; [`NEVER`] where it is never.
    pub(crate) time: i64,
    /// At best.
    pub(crate) best: i64,
    /// By the aim.
    pub(crate) late: bool,
}

impl Full {
    /// From what a document tells at best and as promised: hours, and whether that is late.
    fn by_aim(aim: Aim, (hours, late): (f64, bool), promised: (Option<f64>, bool)) -> Self {
        let best = millionths(hours);
        let (time, late) = match aim {
            Aim::Best => (best, late),
            Aim::Promise => (promised.0.map_or(NEVER, millionths), promised.1),
        };
        Self { time, best, late }
    }

    /// Whether it is in time; who is never full is so nowhere.
    pub(crate) fn is_in_time(self) -> bool {
        !self.late && self.time < NEVER
    }
}

/// When the devices of a plan are full.
pub(crate) fn full_in_plan<'a>(
    setup: &'a Setup,
    plan: &'a Plan,
) -> impl Iterator<Item = (&'a Berth, Full)> {
    plan.berths.iter().map(|berth| {
        let promised = (berth.promised_h, promised_late(setup, berth));
        let full = Full::by_aim(setup.aim, (berth.hours, berth.late), promised);
        (berth, full)
    })
}

/// The same of a rota: its times are those of finishing.
pub(crate) fn full_in_rota<'a>(
    setup: &'a Setup,
    rota: &'a Rota,
) -> impl Iterator<Item = (&'a Berth, Full)> {
    rota.berths.iter().map(|of| {
        let promised = (of.promised_finish_h, promised_late_in(setup, rota, of));
        let full = Full::by_aim(setup.aim, (of.finish_h, of.berth.late), promised);
        (&of.berth, full)
    })
}

fn device_of<'a>(setup: &'a Setup, berth: &Berth) -> Option<&'a DeviceSpec> {
    setup
        .devices
        .iter()
        .find(|device| device.name == berth.device)
}

/// Whether it is not certain that a device of a plan is ready in time.
pub(crate) fn promised_late(setup: &Setup, berth: &Berth) -> bool {
    let ready_by = device_of(setup, berth).and_then(|device| device.ready_by_h);
    ready_by.is_some_and(|ready_by| {
        berth
            .promised_h
            .is_none_or(|hours| millionths(hours) > millionths(ready_by))
    })
}

/// Whether it is not certain that a device of a rota is ready in time, and before it is taken
/// out.
pub(crate) fn promised_late_in(setup: &Setup, rota: &Rota, of: &RotaBerth) -> bool {
    of.promised_finish_h.is_none_or(|hours| {
        let mut sessions = rota.sessions.iter();
        let last = sessions.find(|session| session.name == of.until_session);
        let end_h = last.map_or(0.0, |session| session.end_h);
        let night_h = rota.sessions.last().map_or(0.0, |session| session.end_h);
        let device = device_of(setup, &of.berth);
        let ready_by = device
            .and_then(|device| device.ready_by_h)
            .unwrap_or(night_h);
        millionths(hours) > millionths(end_h).min(millionths(ready_by))
    })
}

/// A time as documents have it: infinite where it is never.
fn hours_of(time: i64) -> f64 {
    if time < NEVER {
        from_millionths(time)
    } else {
        f64::INFINITY
    }
}

/// The same the other way round.
fn time_of(hours: f64) -> i64 {
    if hours.is_finite() {
        millionths(hours)
    } else {
        NEVER
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
    pub(crate) priority: u8,
    /// By the aim; [`NEVER`] where it is never.
    pub(crate) time: i64,
    /// At best.
    pub(crate) best: i64,
    pub(crate) watts: i64,
    pub(crate) late: bool,
}

/// A place in the lists of times of two plans that differs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct TimesDiffer {
    /// Of which of the two lists: 0 for priority 1 and 2, 1 for priority 3.
    class: usize,
    /// In that list, from 0.
    pub(crate) place: usize,
    /// Whether there is another list than that.
    several: bool,
    /// In whole 1e-6 h; [`NEVER`] where it is never.
    own: i64,
    other: i64,
}

impl TimesDiffer {
    /// The first place that differs by more than the tolerance.
    fn first(own: &[Vec<i64>; 2], other: &[Vec<i64>; 2], tolerance: i64) -> Option<Self> {
        let (flat, others) = (own.concat(), other.concat());
        let mut both = flat.iter().zip(&others).enumerate();
        let beyond = |own: i64, other: i64| own.abs_diff(other) > tolerance.unsigned_abs();
        let (at, (&one, &another)) = both.find(|&(_, (own, other))| beyond(*own, *other))?;
        let class = usize::from(at >= own[0].len());
        Some(Self {
            class,
            place: at - class * own[0].len(),
            several: own.iter().all(|times| !times.is_empty()),
            own: one,
            other: another,
        })
    }

    /// Of whose times it is, where that needs to be said: ` of priority 3`.
    pub(crate) fn whose(&self) -> &'static str {
        match (self.several, self.class) {
            (false, _) => "",
            (true, 0) => " of priority 1 and 2",
            (true, _) => " of priority 3",
        }
    }

    /// Both, in hours; infinite where it is never.
    pub(crate) fn hours(&self) -> (f64, f64) {
        (hours_of(self.own), hours_of(self.other))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(without: &[(u8, i64)], berths: &[(u8, i64, i64, bool)]) -> ObjectiveValue {
        let berths = berths.iter().map(|&(priority, time, watts, late)| Served {
            priority,
            time,
            best: time.min(9),
            watts,
            late,
        });
        ObjectiveValue::from_parts(without.iter().copied(), berths)
    }

    #[test]
    fn the_levels_are_compared_one_after_the_other() {
        // Each is better than the one after it.
        let falling = [
            value(&[(3, 9)], &[(2, 2, 5, false), (3, 9, 5, true)]),
            value(&[(3, 9)], &[(2, 2, 5, false), (2, 9, 5, true)]),
            value(&[(2, 3)], &[(2, 2, 5, false), (2, 3, 5, false)]),
            value(&[(2, 4)], &[(2, 2, 5, false), (3, 30, 5, false)]),
            value(&[(2, 4)], &[(2, 2, 5, false), (3, 31, 5, false)]),
            value(&[(2, 4)], &[(2, 2, 5, false), (2, 3, 5, false)]),
            value(&[(2, 4)], &[(2, NEVER, 5, false), (2, 3, 5, false)]),
            value(&[(2, 4)], &[(2, 3, 5, true), (2, 2, 5, false)]),
            value(&[(2, 4)], &[(2, 3, 5, false), (1, 3, 5, true)]),
            value(&[(2, 4), (3, 0)], &[(2, 1, 5, false)]),
            value(&[(1, 0)], &[(2, 1, 5, false)]),
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
        let (less, more) = (
            value(&[], &[(2, 2, 5, false)]),
            value(&[], &[(2, 2, 6, false)]),
        );
        assert_eq!(less.compare(&more), Ordering::Equal);
        assert_eq!(less.compare_whole(&more), Ordering::Less);
    }

    #[test]
    fn the_numbers_are_summed_up() {
        let found = value(
            &[(1, 1_500_000), (3, 250_000)],
            &[
                (1, 1_000_000, 5_000_000, false),
                (2, 2_000_000, 7_500_000, true),
                (3, NEVER, 1_000_000, false),
            ],
        );
        assert_eq!(
            (found.unserved, found.unserved_by_priority, found.late),
            (2, [1, 0, 1], 1)
        );
        assert_eq!(found.late_by_priority, [0, 1, 0]);
        assert_eq!((found.missing_wh, found.total_w), (1.75, 13.5));
        assert_eq!(found.times_h, [f64::INFINITY, 2.0, 1.0]);
        assert_eq!(found.longest_h, f64::INFINITY);
        // 9 millionths at most in these tests: 4 × 9 + 2 × 9 + 9.
        assert_eq!(found.weighted_h, 63e-6);
    }

    /// Sessions are for a rota: a plan leaves them out, and with them the end of the night.
    #[test]
    fn never_is_late_in_a_plan_only_where_a_time_is_given() {
        let with = |ready_by: &str| {
            let text = format!(
                r#"{{"chargers": [{{"name": "cube", "max_w": 25,
                     "ports": [{{"name": "C1", "pd_w": 20}}, {{"name": "C2", "pd_w": 20}}]}}],
                   "cables": [{{"name": "white", "count": 2}}],
                   "devices": [{{"name": "tablet", "pd_w": 20, "min_w": 15, "battery_wh": 20{ready_by}}},
                               {{"name": "phone", "pd_w": 20, "battery_wh": 15}}],
                   "sessions": [{{"name": "evening", "hours": 2}}, {{"name": "night", "hours": 8}}]}}"#
            );
            let setup = Setup::from_json(&text).expect("a valid setup");
            let plan = crate::assign::assign(&setup).expect("a plan");
            assert_eq!(plan.promised_longest_h, None, "the tablet is never certain");
            (plan.promised_late, ObjectiveValue::of(&setup, &plan).late)
        };
        assert_eq!(with(""), (0, 0));
        assert_eq!(with(r#", "ready_by_h": 8"#), (1, 1));
    }
}
