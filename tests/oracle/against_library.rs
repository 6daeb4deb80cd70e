//! The library and the oracle on the same random setups: the same verdicts, the
//! same places, the same numbers.

use wattberth::{LimitedBy, Reason, Setup, Status, assign, verify};

use super::model::causes::Cause;
use super::model::limited_by::Limit;
use super::model::plan::{Plan, plan};
use super::random_setup::crowd::crowded_setup;
use super::random_setup::small_setup;

/// How many small setups are compared where `WATTBERTH_CASES` does not say.
const SMALL: u64 = 2_000;

/// How many crowded ones: each has many times as many plans.
const CROWDED: u64 = 1_000;

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

/// Every field in which the library's plan is not the oracle's.
fn differences(json: &str) -> Vec<String> {
    let setup = match Setup::from_json(json) {
        Ok(setup) => setup,
        Err(error) => return vec![format!("a valid setup is refused: {error}")],
    };
    let found = match assign(&setup) {
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
        self.same("status", &found.status, &Status::Optimal);
        self.same("unserved", &found.unserved, &wanted.unserved);
        self.same("late", &found.late, &wanted.late);
        self.near("missing_wh", found.missing_wh, wanted.missing_wh);
        self.near("longest_h", found.longest_h, wanted.longest_h);
        self.near("bound_h", found.bound_h.unwrap_or(-1.0), wanted.longest_h);
        self.berths(found, wanted);
        self.without_berth(found, wanted);
        self.pools(found, wanted);
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
        // The other way round a NaN would pass.
        let near = (found - wanted).abs() <= TOLERANCE * 1.01;
        if !near {
            self.differences
                .push(format!("{what}: {found}, the oracle says {wanted}"));
        }
    }

    fn berths(&mut self, found: &wattberth::Plan, wanted: &Plan) {
        let setup = &wanted.setup;
        self.same(
            "number of berths",
            &found.berths.len(),
            &wanted.berths.len(),
        );
        for (found, wanted) in found.berths.iter().zip(&wanted.berths) {
            let choice = &wanted.choice;
            let charger = &setup.chargers[choice.charger];
            let at = |field: &str| format!("{} {field}", found.device);
            self.same("device", &found.device, &setup.devices[wanted.device].name);
            self.same(&at("charger"), &found.charger, &charger.name);
            self.same(&at("port"), &found.port, &charger.ports[choice.port].name);
            self.same(&at("cable"), &found.cable, &setup.cables[choice.cable].name);
            self.near(&at("volts"), found.volts, choice.contract.volts);
            self.near(&at("amps"), found.amps, choice.contract.amps);
            self.near(&at("tier_w"), found.tier_w, choice.tier_w);
            self.near(&at("port_w"), found.port_w, choice.contract.port_w());
            self.near(&at("inlet_w"), found.inlet_w, choice.contract.inlet_w);
            self.near(&at("hours"), found.hours, choice.hours);
            self.same(&at("late"), &found.late, &choice.late);
            self.same(
                &at("limited_by"),
                &limit(found.limited_by),
                &wanted.limited_by,
            );
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

    fn pools(&mut self, found: &wattberth::Plan, wanted: &Plan) {
        self.same("number of pools", &found.pools.len(), &wanted.pools.len());
        for (found, wanted) in found.pools.iter().zip(&wanted.pools) {
            self.same("pool's charger", &found.charger, &wanted.charger);
            self.same("pool", &found.pool, &wanted.pool);
            self.near(
                &format!("{} used_w", found.pool),
                found.used_w,
                wanted.used_w,
            );
            self.near(&format!("{} max_w", found.pool), found.max_w, wanted.max_w);
        }
    }
}

fn limit(limited_by: LimitedBy) -> Limit {
    match limited_by {
        LimitedBy::Pool => Limit::Pool,
        LimitedBy::Combination => Limit::Combination,
        LimitedBy::Port => Limit::Port,
        LimitedBy::Cable => Limit::Cable,
        LimitedBy::Device => Limit::Device,
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
