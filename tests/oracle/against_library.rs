//! The library and the oracle on the same random setups: the same verdicts, the
//! same places, the same numbers.

use serde_json::Value;
use wattberth::{Reason, Setup, SolveOptions, assign_with, verify};

use super::model::causes::Cause;
use super::model::document::document;
use super::model::plan::{Plan, plan};
use super::random_setup::crowd::crowded_setup;
use super::random_setup::{open, small_setup};

/// How many small setups are compared where `WATTBERTH_CASES` does not say.
const SMALL: u64 = 2_000;

/// How many crowded ones: each has many times as many plans.
const CROWDED: u64 = 400;

/// Plans print their numbers rounded to this.
const TOLERANCE: f64 = 1e-6;

#[test]
fn same_plan_as_the_oracle() {
    compare_all(small_setup, SMALL, differences);
}

#[test]
fn same_plan_as_the_oracle_where_it_is_crowded() {
    compare_all(crowded_setup, CROWDED, differences);
}

#[test]
fn same_plan_as_the_oracle_where_much_is_open() {
    compare_all(open::small_setup, SMALL, differences);
}

#[test]
fn same_plan_as_the_oracle_where_it_is_crowded_and_much_is_open() {
    compare_all(open::crowded_setup, CROWDED, differences);
}

/// Compares so many setups, or as many as `WATTBERTH_CASES` says.
pub(crate) fn compare_all(
    setup_of: fn(u64) -> String,
    cases: u64,
    differences: fn(&str) -> Vec<String>,
) {
    let cases = std::env::var("WATTBERTH_CASES")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(cases);
    let mut wrong = Vec::new();
    for seed in 0..cases {
        let json = setup_of(seed);
        let differences = differences(&json);
        if !differences.is_empty() {
            wrong.push(format!(
                "seed {seed}:\n  {}\n  {json}",
                differences.join("\n  ")
            ));
        }
    }
    let shown = wrong.iter().take(5).cloned().collect::<Vec<_>>().join("\n");
    assert!(
        wrong.is_empty(),
        "{} of {cases} setups differ; the first:\n{shown}",
        wrong.len()
    );
}

/// The last levels have a share of the budget only, and few plans need more than that of the
/// default.
pub(crate) fn patient() -> SolveOptions {
    let mut options = SolveOptions::default();
    options.budget *= 32;
    options
}

/// Every field in which the library's plan is not the oracle's.
fn differences(json: &str) -> Vec<String> {
    let setup = match Setup::from_json(json) {
        Ok(setup) => setup,
        Err(error) => return vec![format!("a valid setup is refused: {error}")],
    };
    let found = match assign_with(&setup, &patient()) {
        Ok(found) => found,
        Err(error) => return vec![format!("no plan: {error}")],
    };
    let wanted = plan(json);
    let mut compare = Compare::default();
    let violations = verify(&setup, &found).violations;
    compare.same("violations", &violations.len(), &0);
    compare.plan(&found, &wanted);
    compare.differences
}

#[derive(Default)]
pub(crate) struct Compare {
    pub(crate) differences: Vec<String>,
}

impl Compare {
    /// Everything that a plan document says.
    pub(crate) fn plan(&mut self, found: &wattberth::Plan, wanted: &Plan) {
        let read = |json: &str| serde_json::from_str(json).expect("a plan document is JSON");
        let told: Value = read(&found.to_json());
        self.document("", &told, &document(wanted, false));
        self.bounds(&told, wanted);
        self.without_berth(found, wanted);
    }

    /// Every field that the oracle's document has, and no promise that it has not.
    pub(crate) fn document(&mut self, at: &str, found: &Value, wanted: &Value) {
        match (found, wanted) {
            (Value::Object(found), Value::Object(wanted)) => {
                for (field, wanted) in wanted {
                    // Worded by each in its own way; told or not.
                    if !["reason", "source"].contains(&field.as_str()) {
                        let found = found.get(field).unwrap_or(&Value::Null);
                        self.document(&format!("{at}.{field}"), found, wanted);
                    }
                }
                for absent in ["promised_longest_h", "promised_w", "promised_h"] {
                    let is = (found.contains_key(absent), wanted.contains_key(absent));
                    self.same(&format!("{at} has {absent}"), &is.0, &is.1);
                }
            }
            (Value::Array(found), Value::Array(wanted)) => {
                self.same(&format!("{at}: how many"), &found.len(), &wanted.len());
                for (i, (found, wanted)) in found.iter().zip(wanted).enumerate() {
                    self.document(&format!("{at}[{i}]"), found, wanted);
                }
            }
            _ => match (found.as_f64(), wanted.as_f64()) {
                (Some(found), Some(wanted)) => self.near(at, found, wanted),
                _ => self.same(at, found, wanted),
            },
        }
    }

    /// What is proven needs no numbers proven for it; a bound on the longest time, where it
    /// is told, is the least that it can be.
    fn bounds(&mut self, told: &Value, wanted: &Plan) {
        for field in ["bound_unserved", "bound_late"] {
            self.same(field, &told.get(field), &None);
        }
        if let Some(bound_h) = told.get("bound_h").and_then(Value::as_f64) {
            self.near("bound_h", bound_h, wanted.bound_h().unwrap_or(f64::NAN));
        }
    }

    pub(crate) fn same<T: PartialEq + std::fmt::Debug>(
        &mut self,
        what: &str,
        found: &T,
        wanted: &T,
    ) {
        if found != wanted {
            self.differences
                .push(format!("{what}: {found:?}, the oracle says {wanted:?}"));
        }
    }

    pub(crate) fn near(&mut self, what: &str, found: f64, wanted: f64) {
        // What a pool surely leaves is a millionth of a watt apart, as each rounds; it counts over
        // many hours.
        let most = TOLERANCE * f64::max(1.01, found.abs() / 5.0);
        // The other way round a NaN would pass.
        let near = (found - wanted).abs() <= most;
        if !near {
            self.differences
                .push(format!("{what}: {found}, the oracle says {wanted}"));
        }
    }

    fn without_berth(&mut self, found: &wattberth::Plan, wanted: &Plan) {
        let number = found.without_berth.len();
        self.same("number without berth", &number, &wanted.without_berth.len());
        for (found, &(device, cause)) in found.without_berth.iter().zip(&wanted.without_berth) {
            self.same(
                "without berth",
                &found.device,
                &wanted.setup.devices[device].name,
            );
            if !may_be_told(cause, &found.cause) {
                let (device, told) = (&found.device, &found.cause);
                self.differences
                    .push(format!("{device}: {told:?}, the oracle says {cause:?}"));
            }
        }
    }
}

/// Whether the told reason is one for the oracle's cause. What a device lacks of
/// itself is told exactly; which of several shortages is named is the library's
/// choice, since the model names no order of them.
fn may_be_told(cause: Cause, told: &Reason) -> bool {
    let told_cause = match told {
        // The reason within is told for the pinned place alone: what a device lacks
        // of itself may be another thing there, a shortage is one that holds even
        // where nobody else is about.
        Reason::PinnedImpossible { because, .. } => {
            let shortage = matches!(
                **because,
                Reason::PoolTooSmall { .. } | Reason::NoCombination { .. } | Reason::NoRoom
            );
            return cause.of_itself() || shortage;
        }
        Reason::NeverAtHand => Cause::NeverAtHand,
        Reason::NoCableForInlet { .. } => Cause::NoCableForInlet,
        Reason::NoCableReaches { .. } => Cause::NoCableReaches,
        Reason::NoPortForCable { .. } => Cause::NoPortForCable,
        Reason::NoCommonSupply => Cause::NoCommonSupply,
        Reason::BelowMinimum { .. } => Cause::BelowMinimum,
        Reason::NeverFull { .. } => Cause::NeverFull,
        _ => return !cause.of_itself(),
    };
    told_cause == cause
}
