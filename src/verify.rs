//! Checks a plan against its setup; shares no code with the allocation.
//!
//! Every number of the plan is computed anew from the resolved setup, by code that
//! follows the definitions one by one and need not be fast: what a port offers at a
//! tier, what the cable leaves of it, the contract, the exact time, the rules that
//! berths share, the totals. Whether a better plan exists is not asked here.

mod berths;
mod bounds;
mod carried;
mod causes;
pub(crate) mod formula;
mod held;
mod limiting;
mod located;
mod moves;
mod negotiation;
pub(crate) mod program;
mod promise;
pub(crate) mod proof;
mod reshared;
mod rota;
mod rules;
#[cfg(test)]
mod sample;
mod seat;
mod time;
mod totals;

use std::fmt;

pub(crate) use rota::{rota_subject, verify_rota_berths};
pub use rota::{verify_rota, verify_rota_with_proof};

use crate::diagnostics::Result;
use crate::plan::objective::ObjectiveValue;
use crate::plan::proof::{Proof, plan_digest, setup_digest};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::units::{millionths, rounded};
use program::claimed::Berth;
use proof::{Shown, Subject};

/// What the check found.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Verification {
    /// Every rule broken and every number that is wrong; empty where the plan is
    /// legal and its numbers are right.
    pub violations: Vec<Violation>,
    /// What was not looked at, or not worked out anew.
    pub not_checked: Vec<NotChecked>,
}

/// What a check does not say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum NotChecked {
    /// Whether a better plan exists: at all, or, with a proof, after what that covers.
    Optimality,
    /// How much of a plan that is not proven was proven: its bounds and `settled`.
    Bounds,
    /// The time with re-sharing, which only lies within its bounds.
    Reshared,
    /// Whether a plan that stays near another moves those that it says, and no more: that other
    /// plan is no part of it.
    Moves,
    /// Of a rota, what devices without a berth lack beside the others.
    Causes,
    /// The cautions.
    Cautions,
    /// Why the plan is no better.
    Because,
}

impl NotChecked {
    /// As documents write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Optimality => "optimality",
            Self::Bounds => "bounds",
            Self::Reshared => "reshared_h",
            Self::Moves => "moves",
            Self::Causes => "causes",
            Self::Cautions => "cautions",
            Self::Because => "because",
        }
    }

    /// What is not checked of a plan.
    fn of(plan: &Plan) -> Vec<Self> {
        let applies = [
            (Self::Optimality, true),
            (Self::Bounds, plan.status == Status::Feasible),
            (Self::Reshared, plan.reshared_h.is_some()),
            (Self::Moves, plan.moves.is_some()),
            (Self::Cautions, true),
            (Self::Because, !plan.because.is_empty()),
        ];
        let applies = applies.into_iter().filter(|(_, applies)| *applies);
        applies.map(|(what, _)| what).collect()
    }
}

/// One rule broken, or one number that is wrong.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Violation {
    /// The part of the plan: `berths[2].inlet_w`.
    pub path: String,
    /// One sentence with the numbers.
    pub message: String,
}

/// Checks every rule and recomputes every number of `plan`. Optimality is not
/// checked.
///
/// Numbers agree where they are equal after rounding to 1e-6, give or take one such
/// step, so that a plan read back from its document passes. A plan may hold anything,
/// unknown names and numbers that are none included. Where a berth cannot be
/// recomputed, what depends on it (the watts taken from pools, combinations,
/// `limited_by`) is not judged: the plan is refused already.
///
/// Where nothing else is wrong, each reason of a device without a berth is looked at: it
/// must be true, with its numbers, and its sentence must be that of its cause. Whether
/// another one would hold as well is not asked.
///
/// A plan that names its setup, by `setup_sha256`, must name this one; of a document without
/// that field it is not asked.
///
/// What is not checked is listed in [`Verification::not_checked`]. [`Plan::reshared_h`],
/// where it is there, is held between its bounds only: at most the plan's longest time, at
/// least that of the best contracts alone.
pub fn verify(setup: &Setup, plan: &Plan) -> Verification {
    let (mut findings, places) = found(setup, plan);
    of_this_setup(setup, plan.setup_sha256.as_deref(), &mut findings);
    if let Some(places) = places {
        causes::check(setup, &plan.without_berth, Some(&places), &mut findings);
    }
    Verification {
        violations: findings.violations,
        not_checked: NotChecked::of(plan),
    }
}

/// As [`verify`], the reasons left aside.
pub(crate) fn verify_berths(setup: &Setup, plan: &Plan) -> Verification {
    let (findings, _) = found(setup, plan);
    Verification {
        violations: findings.violations,
        not_checked: NotChecked::of(plan),
    }
}

/// As [`verify`], and checks that `proof` shows that no plan is better in devices without
/// a berth (by priority, then watt-hours missing), in late ones and in the longest time. What
/// comes after these in the plan's order is not covered by a proof.
///
/// The plan is looked at first; only one without violations has its proof checked. A proof
/// is refused at the first thing that is wrong with it: the violation's path,
/// `proof.longest.pbp:17`, is that line of that file.
pub fn verify_with_proof(setup: &Setup, plan: &Plan, proof: &Proof) -> Verification {
    let mut verification = verify(setup, plan);
    if verification.is_ok() {
        let (_, places) = found(setup, plan);
        let whole = proof.is_of_whole_order();
        let subject = places.map(|places| subject_of(setup, plan, &places, whole));
        verification.violations = proof::violations(subject, &shown_of(plan), proof);
    }
    verification
}

/// A plan as a proof speaks of it; `None` where [`verify`] refuses it.
///
/// # Errors
/// As [`Subject::of`].
pub(crate) fn subject(setup: &Setup, plan: &Plan, whole_order: bool) -> Result<Option<Subject>> {
    match found(setup, plan) {
        (_, Some(places)) => subject_of(setup, plan, &places, whole_order),
        (_, None) => Ok(None),
    }
}

fn subject_of(
    setup: &Setup,
    plan: &Plan,
    places: &[rules::Place],
    whole_order: bool,
) -> Result<Option<Subject>> {
    let berth = |&place: &rules::Place| Berth {
        place,
        first: 0,
        last: 0,
    };
    let berths: Vec<Berth> = places.iter().map(berth).collect();
    Subject::of(
        setup,
        plan_digest(plan),
        &berths,
        plan.bound_h.map(millionths),
        // Near another plan what comes after the times is compared otherwise.
        whole_order && plan.moves.is_none(),
    )
}

fn shown_of(plan: &Plan) -> Shown {
    Shown {
        unserved: plan.unserved,
        missing_wh: plan.missing_wh,
        late: plan.late_by_aim(),
        longest_h: plan.longest_by_aim(),
        bound_h: plan.bound_h.filter(|_| plan.status == Status::Optimal),
    }
}

/// That an answer that names its setup was made for this one.
fn of_this_setup(setup: &Setup, named: Option<&str>, findings: &mut Findings) {
    if named.is_some_and(|named| named != setup_digest(setup)) {
        findings.add("setup_sha256", "it was made for another setup");
    }
}

/// What is wrong with a plan; its places, where nothing is.
fn found(setup: &Setup, plan: &Plan) -> (Findings, Option<Vec<rules::Place>>) {
    let mut findings = Findings::default();
    if plan.version != 1 {
        findings.add("version", format!("is {}, must be 1", plan.version));
    }
    let places = berths::check(setup, plan, &mut findings);
    totals::check(setup, plan, &places, &mut findings);
    moves::check(setup, plan, &mut findings);
    let from_start = |places: Vec<_>| places.into_iter().map(|place| (0.0, place)).collect();
    reshared::check(
        setup,
        plan.reshared_h,
        plan.longest_h,
        places.all().map(from_start),
        &mut findings,
    );
    // Only sound numbers are summed up.
    if !plan.bounds.is_empty() && findings.violations.is_empty() {
        let of = ObjectiveValue::of(setup, plan);
        let values = bounds::Values {
            moves: plan.moves.as_ref().map(Vec::len),
            swaps: None,
            watts: of.total_w,
            of: &of,
        };
        bounds::check(&plan.bounds, plan.status, &values, &mut findings);
    }
    let places = places.all().filter(|_| findings.violations.is_empty());
    (findings, places)
}

impl Verification {
    /// Whether the plan is legal and all its numbers are right.
    pub fn is_ok(&self) -> bool {
        self.violations.is_empty()
    }
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.message)
    }
}

/// What was found so far.
#[derive(Default)]
struct Findings {
    violations: Vec<Violation>,
}

impl Findings {
    fn add(&mut self, path: impl Into<String>, message: impl Into<String>) {
        self.violations.push(Violation {
            path: path.into(),
            message: message.into(),
        });
    }

    /// As [`Findings::compare`], of numbers that may be absent.
    fn compare_some(&mut self, path: impl fmt::Display, printed: Option<f64>, exact: Option<f64>) {
        match (printed, exact) {
            (None, None) => {}
            (Some(printed), Some(exact)) => self.compare(path, printed, exact),
            (Some(printed), None) => {
                self.add(
                    path.to_string(),
                    format!("is {}, but there is none", shown(printed)),
                );
            }
            (None, Some(exact)) => {
                self.add(
                    path.to_string(),
                    format!("is absent, must be {}", shown(exact)),
                );
            }
        }
    }

    /// Adds a finding unless `printed` is `exact`.
    fn compare(&mut self, path: impl fmt::Display, printed: f64, exact: f64) {
        if !same(printed, exact) {
            self.add(
                path.to_string(),
                format!("is {}, must be {}", shown(printed), shown(exact)),
            );
        }
    }
}

/// Whether a number of the plan is the exact one, after rounding.
fn same(printed: f64, exact: f64) -> bool {
    // One step of 1e-6 allows for a half that rounded the other way; the relative
    // part matters above a million, where doubles have no millionths to compare.
    let tolerance = 1.5e-6 + 1e-12 * exact.abs();
    printed.is_finite()
        && exact.is_finite()
        && (rounded(printed) - rounded(exact)).abs() <= tolerance
}

/// A number as a message shows it: rounded as documents are, where that is possible.
fn shown(value: f64) -> f64 {
    if value.is_finite() {
        rounded(value)
    } else {
        value
    }
}

#[cfg(test)]
mod tests {
    use super::sample::{line, plan, setup};
    use super::*;
    use crate::plan::LimitedBy;
    use crate::plan::bounds::{BoundedLevel, LevelBound};
    use crate::plan::moves::{Move, Place};
    use crate::setup::ids::{CableId, PortId};

    fn paths(setup: &Setup, plan: &Plan) -> Vec<String> {
        verify(setup, plan)
            .violations
            .into_iter()
            .map(|found| found.path)
            .collect()
    }

    #[test]
    fn the_hand_worked_plan_passes() {
        let found = verify(&setup(), &plan());
        assert!(found.is_ok(), "{found:#?}");
    }

    #[test]
    fn the_same_plan_not_proven_passes_with_its_bounds() {
        let unproven = Plan {
            status: Status::Feasible,
            bound_unserved: Some(1),
            bound_late: Some(1),
            bound_h: Some(1.25),
            ..plan()
        };
        assert_eq!(paths(&setup(), &unproven), [""; 0]);
        let fewer_bounds = Plan {
            bound_late: Some(0),
            bound_h: None,
            ..unproven
        };
        assert_eq!(paths(&setup(), &fewer_bounds), [""; 0]);
    }

    type Change = fn(&mut Plan);

    /// Each change of the plan is refused, in all the places named and no other.
    #[track_caller]
    fn refused(table: &[(&str, Change)]) {
        let mut unexpected = Vec::new();
        for (row, (expected, change)) in table.iter().enumerate() {
            let mut changed = plan();
            change(&mut changed);
            let mut found = paths(&setup(), &changed);
            let mut expected: Vec<_> = expected.split_whitespace().collect();
            found.sort_unstable();
            expected.sort_unstable();
            if found != expected {
                unexpected.push((row, expected, verify(&setup(), &changed).violations));
            }
        }
        assert!(unexpected.is_empty(), "{unexpected:#?}");
    }

    #[test]
    fn a_changed_total_is_refused_where_it_was_changed() {
        refused(&[
            ("version", |p| p.version = 2),
            ("longest_h", |p| {
                p.longest_h = 1.25;
                p.bound_h = Some(1.25);
            }),
            ("promised_longest_h", |p| p.promised_longest_h = None),
            ("promised_longest_h", |p| p.promised_longest_h = Some(1.25)),
            ("promised_late", |p| p.promised_late = 0),
            ("bound_h", |p| p.bound_h = Some(1.85)),
            ("bound_h", |p| p.bound_h = None),
            ("unserved", |p| p.unserved = 0),
            ("bound_unserved", |p| p.bound_unserved = Some(0)),
            ("bound_late", |p| p.bound_late = Some(2)),
            ("missing_wh", |p| p.missing_wh = 20.0),
            ("late", |p| p.late = 0),
        ]);
    }

    #[test]
    fn a_changed_berth_is_refused_where_it_was_changed() {
        refused(&[
            // Names.
            (
                "berths[0].device without_berth unserved missing_wh late",
                |p| {
                    p.berths[0].device = "double bass".to_owned();
                    p.berths[0].late = true;
                },
            ),
            ("berths[0].charger", |p| {
                p.berths[0].charger = "bus".to_owned();
            }),
            ("berths[0].port", |p| p.berths[0].port = "C3".to_owned()),
            ("berths[0].cable", |p| p.berths[0].cable = "long".to_owned()),
            // The contract and its numbers.
            ("berths[0].volts", |p| p.berths[0].volts = 20.0),
            ("berths[0].volts", |p| p.berths[0].volts += 1e-5),
            ("berths[0].amps", |p| p.berths[0].amps = 2.9),
            ("berths[0].amps", |p| p.berths[0].amps += 1e-5),
            ("berths[0].tier_w", |p| p.berths[0].tier_w = 60.0),
            ("berths[0].port_w", |p| p.berths[0].port_w += 1e-5),
            ("berths[0].inlet_w", |p| p.berths[0].inlet_w -= 1e-5),
            ("berths[0].hours", |p| p.berths[0].hours += 1e-5),
            ("berths[0].late", |p| p.berths[0].late = true),
            ("berths[1].late", |p| p.berths[1].late = false),
            ("berths[0].limited_by", |p| {
                p.berths[0].limited_by = LimitedBy::Pool;
            }),
            ("berths[1].limited_by", |p| {
                p.berths[1].limited_by = LimitedBy::Port;
            }),
            ("berths[2].limited_by", |p| {
                p.berths[2].limited_by = LimitedBy::Cable;
            }),
            ("berths[4].limited_by", |p| {
                p.berths[4].limited_by = LimitedBy::Cable;
            }),
            // A contract that is real at another tier: 15 V 2 A at 30 W.
            (
                "berths[0].tier_w berths[0].port_w berths[0].inlet_w berths[0].hours \
                 pools[2].used_w",
                |p| (p.berths[0].volts, p.berths[0].amps) = (15.0, 2.0),
            ),
            // More than its line grants, though the pool has it.
            (
                "berths berths[1].late pools[2].used_w longest_h late",
                |p| {
                    let berth = &mut p.berths[1];
                    (berth.volts, berth.amps, berth.tier_w) = (15.0, 2.0, 30.0);
                    (berth.port_w, berth.inlet_w, berth.hours) = (30.0, 29.6, 36.0 / 29.6);
                },
            ),
            // More than its pools have.
            ("pools[1] pools[1].used_w", |p| {
                let berth = &mut p.berths[2];
                (berth.amps, berth.tier_w, berth.port_w) = (20.0 / 11.0, 20.0, 20.0);
                berth.inlet_w = 20.0 - (20.0_f64 / 11.0).powi(2) * 0.1;
                berth.hours = 16.875 / berth.inlet_w;
                p.pools[0].used_w = 85.0;
            }),
        ]);
    }

    #[test]
    fn moves_must_end_where_the_devices_are() {
        let from = |port: &str| Place {
            port: port.to_owned(),
            ..Place::from(&plan().berths[0])
        };
        let moved = |from: Place, to: Option<Place>| Plan {
            moves: Some(vec![Move {
                device: plan().berths[0].device.clone(),
                from,
                to,
            }]),
            ..plan()
        };
        let here = Place::from(&plan().berths[0]);
        let good = moved(from("C9"), Some(here.clone()));
        assert_eq!(paths(&setup(), &good), [""; 0]);
        assert!(
            verify(&setup(), &good)
                .not_checked
                .contains(&NotChecked::Moves)
        );
        let twice = Plan {
            moves: good
                .moves
                .as_ref()
                .map(|moves| [moves.clone(), moves.clone()].concat()),
            ..plan()
        };
        let mut unknown = good.clone();
        unknown.moves.as_mut().expect("it has moves")[0].device = "double bass".to_owned();
        for (changed, expected) in [
            (moved(from("C9"), None), &["moves[0].to"][..]),
            (moved(from("C9"), Some(from("C8"))), &["moves[0].to"]),
            (moved(here.clone(), Some(here)), &["moves[0].from"]),
            (twice, &["moves[1].device"]),
            (unknown, &["moves[0].device", "moves[0].to"]),
        ] {
            assert_eq!(paths(&setup(), &changed), expected);
        }
    }

    #[test]
    fn a_broken_rule_is_refused_where_it_is_broken() {
        refused(&[
            // Uniqueness, order, pins.
            ("berths[1].device", |p| p.berths.swap(0, 1)),
            (
                "berths[5].device berths[5].port berths[5].cable pools[0] pools[0].used_w",
                |p| p.berths.push(p.berths[4].clone()),
            ),
            ("berths[1].port", |p| p.berths[1].port = "C1".to_owned()),
            ("berths[0].inlet_w berths[4].cable", |p| {
                p.berths[0].cable = "marked".to_owned();
            }),
            (
                "berths[4].cable berths[4].cable berths[4].inlet_w berths[4].hours",
                |p| {
                    p.berths[4].cable = "short".to_owned();
                },
            ),
            ("berths[3].cable berths[4].cable", |p| {
                p.berths[3].cable = "marked".to_owned();
            }),
            (
                "berths[4].port berths pools[0].used_w pools[2].used_w",
                |p| {
                    p.berths[4].charger = "van".to_owned();
                    p.berths[0].charger = "hall".to_owned();
                },
            ),
            ("berths[5].device berths[5].port berths[5].cable", |p| {
                let mut full = p.berths[0].clone();
                full.device = "full tablet".to_owned();
                full.port = "C9".to_owned();
                full.cable = "none".to_owned();
                p.berths.push(full);
            }),
        ]);
    }

    #[test]
    fn changed_lists_and_bounds_are_refused_where_they_were_changed() {
        refused(&[
            // Those without a berth.
            ("without_berth", |p| p.without_berth.clear()),
            ("without_berth[1].device", |p| {
                p.without_berth.push(p.without_berth[0].clone());
            }),
            ("without_berth[0].device without_berth", |p| {
                p.without_berth[0].device = "page pedals".to_owned();
            }),
            ("without_berth[0].device without_berth", |p| {
                p.without_berth[0].device = "full tablet".to_owned();
            }),
            ("without_berth[0].device without_berth", |p| {
                p.without_berth[0].device = "double bass".to_owned();
            }),
            // Pools.
            ("pools", |p| {
                p.pools.pop();
            }),
            ("pools", |p| p.pools.push(p.pools[0].clone())),
            ("pools[0].charger", |p| {
                p.pools[0].charger = "van".to_owned();
            }),
            ("pools[0].pool", |p| {
                p.pools[0].pool = "lower bank".to_owned();
            }),
            ("pools[0].used_w", |p| p.pools[0].used_w += 1e-5),
            ("pools[2].used_w", |p| p.pools[2].used_w = 75.0),
            ("pools[1].max_w", |p| p.pools[1].max_w = 25.0),
            // Not proven.
            ("bound_unserved bound_late", |p| p.status = Status::Feasible),
            ("bound_unserved", |p| {
                p.status = Status::Feasible;
                (p.bound_unserved, p.bound_late) = (Some(2), Some(1));
            }),
            ("bound_h", |p| {
                p.status = Status::Feasible;
                (p.bound_unserved, p.bound_late) = (Some(1), Some(0));
            }),
            ("bound_h", |p| {
                p.status = Status::Feasible;
                (p.bound_unserved, p.bound_late) = (Some(1), Some(1));
                p.bound_h = Some(1.9);
            }),
        ]);
    }

    /// Opens a level of a plan of which all else is sound.
    fn open(p: &mut Plan, level: BoundedLevel, value: Option<f64>, bound: f64) {
        p.status = Status::Feasible;
        (p.bound_unserved, p.bound_late) = (Some(1), Some(1));
        p.bounds.push(LevelBound {
            level,
            priority: None,
            place: None,
            value,
            bound,
        });
    }

    #[test]
    fn a_bound_that_is_beside_what_there_is_is_refused() {
        let mut sound = plan();
        let missing_wh = sound.missing_wh;
        open(&mut sound, BoundedLevel::Missing, Some(missing_wh), 0.0);
        assert_eq!(paths(&setup(), &sound), [""; 0]);
        refused(&[
            ("bounds", |p| {
                let wh = p.missing_wh;
                open(p, BoundedLevel::Missing, Some(wh), 0.0);
                p.status = Status::Optimal;
                (p.bound_unserved, p.bound_late) = (None, None);
            }),
            ("bounds[0].value", |p| {
                let wh = p.missing_wh;
                open(p, BoundedLevel::Missing, Some(wh + 1e-5), 0.0);
            }),
            ("bounds[0].value", |p| {
                open(p, BoundedLevel::Missing, None, 0.0);
            }),
            ("bounds[0].bound", |p| {
                let wh = p.missing_wh;
                open(p, BoundedLevel::Missing, Some(wh), wh + 1.0);
            }),
            ("bounds[0].bound", |p| {
                let wh = p.missing_wh;
                open(p, BoundedLevel::Missing, Some(wh), f64::NAN);
            }),
            ("bounds[0]", |p| {
                open(p, BoundedLevel::Swaps, Some(0.0), 0.0);
            }),
            ("bounds[0]", |p| {
                open(p, BoundedLevel::Moves, Some(0.0), 0.0);
            }),
            ("bounds[0]", |p| open(p, BoundedLevel::Late, Some(1.0), 0.0)),
            ("bounds[0]", |p| open(p, BoundedLevel::Time, Some(1.0), 0.0)),
            ("bounds[0]", |p| {
                open(p, BoundedLevel::Time, Some(1.0), 0.0);
                p.bounds[0].place = Some(100);
            }),
            ("bounds[0]", |p| {
                let wh = p.missing_wh;
                open(p, BoundedLevel::Missing, Some(wh), 0.0);
                p.bounds[0].priority = Some(2);
            }),
            ("bounds[1]", |p| {
                for _ in 0..2 {
                    let wh = p.missing_wh;
                    open(p, BoundedLevel::Missing, Some(wh), 0.0);
                }
            }),
        ]);
    }

    #[test]
    fn a_setup_in_which_a_rule_fails_refuses_the_plan() {
        type Change = fn(&mut Setup);
        let table: &[(&str, Change)] = &[
            ("pools[0]", |s| s.chargers[0].pools[0].max_w = 82.0),
            ("pools[2]", |s| s.chargers[1].pools[0].max_w = 64.999_999),
            ("berths", |s| {
                s.chargers[1].lines[0] = line(&[Some(44.0), Some(20.0)]);
            }),
            ("berths", |s| {
                s.chargers[1].lines.remove(0);
            }),
            ("berths[2].cable", |s| s.cables[0].count = 2),
            ("berths[3].cable", |s| s.devices[3].reach_m = 1.1),
            ("berths[0].port", |s| {
                s.devices[0].pinned_port = Some(PortId::new(1, 1));
            }),
            ("berths[0].cable", |s| {
                s.devices[0].pinned_cable = Some(CableId(1));
            }),
            ("berths[0].volts", |s| s.devices[0].min_w = 45.1),
            ("berths[4].volts", |s| s.cables[1].max_v = 19.0),
            ("berths[4].hours", |s| {
                s.devices[4].draw_w = vec![(0.0, 60.0), (100.0, 0.0)];
            }),
            ("berths[1].late", |s| s.devices[1].ready_by_h = None),
            ("missing_wh", |s| s.devices[6].start_pct = 60.0),
            ("without_berth[0].device", |s| {
                s.devices[6].target_pct = 50.0;
            }),
            ("without_berth", |s| s.devices[5].running_w = 1.0),
        ];
        for (row, (expected, change)) in table.iter().enumerate() {
            let mut changed = setup();
            change(&mut changed);
            let found = paths(&changed, &plan());
            assert!(
                found.iter().any(|path| path == expected),
                "row {row}: {found:?}"
            );
        }
    }

    #[test]
    fn numbers_that_are_none_or_far_off_are_refused() {
        type Number = fn(&mut Plan) -> &mut f64;
        let numbers: &[Number] = &[
            |p| &mut p.longest_h,
            |p| p.bound_h.get_or_insert(0.0),
            |p| &mut p.missing_wh,
            |p| &mut p.berths[2].volts,
            |p| &mut p.berths[2].amps,
            |p| &mut p.berths[2].tier_w,
            |p| &mut p.berths[2].port_w,
            |p| &mut p.berths[2].inlet_w,
            |p| &mut p.berths[2].hours,
            |p| &mut p.pools[1].used_w,
            |p| &mut p.pools[1].max_w,
        ];
        let nonsense = [
            f64::NAN,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::MAX,
            f64::MIN,
            -1.0,
            0.0,
            1e-300,
        ];
        for (which, number) in numbers.iter().enumerate() {
            for value in nonsense {
                for status in [Status::Optimal, Status::Feasible] {
                    let mut changed = plan();
                    changed.status = status;
                    (changed.bound_unserved, changed.bound_late) = (Some(1), Some(1));
                    *number(&mut changed) = value;
                    // A bound of 0 h is weak, not wrong.
                    let fair = which == 1 && status == Status::Feasible && value.abs() < 1e-6;
                    let found = verify(&setup(), &changed);
                    assert_eq!(found.is_ok(), fair, "number {which}, {value}: {found:?}");
                }
            }
        }
    }

    #[test]
    fn an_empty_plan_of_an_empty_setup_passes() {
        let mut setup = setup();
        setup.devices.clear();
        setup.chargers.clear();
        let empty = Plan {
            longest_h: 0.0,
            promised_longest_h: Some(0.0),
            promised_late: 0,
            bound_h: Some(0.0),
            unserved: 0,
            missing_wh: 0.0,
            late: 0,
            berths: Vec::new(),
            without_berth: Vec::new(),
            pools: Vec::new(),
            ..plan()
        };
        assert_eq!(paths(&setup, &empty), [""; 0]);
        let full = verify(&setup, &plan());
        assert!(!full.is_ok());
    }

    #[test]
    fn a_finding_reads_as_one_line() {
        let mut changed = plan();
        changed.berths[0].amps = 2.5;
        let found = verify(&setup(), &changed);
        let lines: Vec<_> = found.violations.iter().map(ToString::to_string).collect();
        assert_eq!(
            lines,
            [
                "berths[0].amps: no tier of `C1` gives `first violin tablet` 15 V 2.5 A through \
              `short`; there is 5 V 1.5 A, 5 V 3 A, 9 V 2 A, 9 V 2.222222 A, 9 V 3 A, 15 V 2 A, \
              15 V 3 A"
            ]
        );
    }
}
