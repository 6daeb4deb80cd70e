//! The plan as a whole: who has no berth, what pools give, the totals and the bounds.

use super::berths::Places;
use super::rules::{Place, taken};
use super::{Findings, same, shown};
use crate::plan::{Plan, PoolUse, Status};
use crate::setup::{PoolSpec, Setup};
use crate::units::{millionths, rounded};

/// What the berths of a plan come to.
pub(super) struct Counted<'a> {
    /// Per device, how many berths name it.
    pub(super) berths_of: &'a [usize],
    pub(super) longest_h: f64,
    pub(super) late: usize,
}

/// Checks everything that is said of the plan as a whole.
pub(super) fn check(setup: &Setup, plan: &Plan, known: &Places, findings: &mut Findings) {
    let pools: usize = setup.chargers.iter().map(|c| c.pools.len()).sum();
    if plan.pools.len() != pools {
        let listed = plan.pools.len();
        findings.add(
            "pools",
            format!("lists {listed}, but the setup has {pools}"),
        );
    }
    check_pools(setup, &plan.pools, 0, known.all().as_deref(), findings);
    let counted = Counted {
        berths_of: &known.berths_of,
        longest_h: known.hours.iter().copied().fold(0.0, f64::max),
        late: known.late,
    };
    check_headline(setup, plan, &counted, findings);
}

/// Checks who has no berth, the counts and sums, and the bounds.
pub(super) fn check_headline(
    setup: &Setup,
    plan: &Plan,
    counted: &Counted<'_>,
    findings: &mut Findings,
) {
    check_without_berth(setup, plan, counted.berths_of, findings);
    check_sums(setup, plan, counted, findings);
    match plan.status {
        Status::Optimal => check_proof(plan, findings),
        Status::Feasible => check_bounds(plan, findings),
    }
}

/// A device that needs a berth and has none is listed once, and no other is.
fn check_without_berth(setup: &Setup, plan: &Plan, berths_of: &[usize], findings: &mut Findings) {
    let mut listed = vec![false; setup.devices.len()];
    for (index, without) in plan.without_berth.iter().enumerate() {
        let path = format!("without_berth[{index}].device");
        let name = &without.device;
        let Some(device) = setup.devices.iter().position(|d| d.name == *name) else {
            findings.add(path, format!("the setup has no device `{name}`"));
            continue;
        };
        if std::mem::replace(&mut listed[device], true) {
            findings.add(path, format!("`{name}` is listed before"));
        } else if berths_of[device] > 0 {
            findings.add(path, format!("`{name}` has a berth"));
        } else if !setup.devices[device].needs_berth() {
            findings.add(path, format!("`{name}` is full and needs no berth"));
        }
    }
    for (device, spec) in setup.devices.iter().enumerate() {
        if spec.needs_berth() && berths_of[device] == 0 && !listed[device] {
            findings.add(
                "without_berth",
                format!("`{}` needs a berth, has none and is not listed", spec.name),
            );
        }
    }
}

/// Every pool of every charger is listed in order, with what is taken and allowed.
/// What is taken is judged only where all places are known. `listed` begins at the place
/// `from` of the document's list.
pub(super) fn check_pools(
    setup: &Setup,
    listed: &[PoolUse],
    from: usize,
    places: Option<&[Place]>,
    findings: &mut Findings,
) {
    let all: Vec<(usize, &PoolSpec)> = setup
        .chargers
        .iter()
        .enumerate()
        .flat_map(|(index, charger)| charger.pools.iter().map(move |pool| (index, pool)))
        .collect();
    for (index, &(charger, pool)) in all.iter().enumerate() {
        let path = format!("pools[{}]", from + index);
        let name = &setup.chargers[charger].name;
        let used = places.map(|places| taken(&setup.chargers[charger], places, charger, pool));
        if let Some(used) = used.filter(|&used| used > millionths(pool.max_w)) {
            findings.add(
                &path,
                format!(
                    "pool `{}` of `{name}` gives {} W and may give {} W",
                    pool.name,
                    whole(used),
                    shown(pool.max_w)
                ),
            );
        }
        let Some(shown_use) = listed.get(index) else {
            continue;
        };
        if shown_use.charger != *name {
            findings.add(
                format!("{path}.charger"),
                format!("is `{}`, must be `{name}`", shown_use.charger),
            );
        }
        if shown_use.pool != pool.name {
            findings.add(
                format!("{path}.pool"),
                format!("is `{}`, must be `{}`", shown_use.pool, pool.name),
            );
        }
        findings.compare(format!("{path}.max_w"), shown_use.max_w, pool.max_w);
        if let Some(used) = used {
            findings.compare(format!("{path}.used_w"), shown_use.used_w, whole(used));
        }
    }
}

fn check_sums(setup: &Setup, plan: &Plan, counted: &Counted<'_>, findings: &mut Findings) {
    findings.compare("longest_h", plan.longest_h, counted.longest_h);

    let unserved: Vec<_> = setup
        .devices
        .iter()
        .zip(counted.berths_of)
        .filter(|&(device, &berths)| device.needs_berth() && berths == 0)
        .map(|(device, _)| device)
        .collect();
    compare_count("unserved", plan.unserved, unserved.len(), findings);
    let missing = unserved
        .iter()
        .map(|device| millionths(device.missing_wh()))
        .fold(0, i64::saturating_add);
    findings.compare("missing_wh", plan.missing_wh, whole(missing));
    compare_count("late", plan.late, counted.late, findings);
}

/// A proven plan meets its bounds.
fn check_proof(plan: &Plan, findings: &mut Findings) {
    match plan.bound_h {
        Some(bound_h) if same(bound_h, plan.longest_h) => {}
        Some(bound_h) => findings.add(
            "bound_h",
            format!(
                "is {}, but an optimal plan's bound is its longest_h, {}",
                shown(bound_h),
                shown(plan.longest_h)
            ),
        ),
        None => findings.add("bound_h", "is absent from an optimal plan"),
    }
    for (path, bound, value) in counts(plan) {
        if let Some(bound) = bound {
            compare_count(path, bound, value, findings);
        }
    }
}

/// A plan that is not proven says what is: no bound is above its value, and that on
/// the time is given only where both counts meet theirs.
fn check_bounds(plan: &Plan, findings: &mut Findings) {
    for (path, bound, value) in counts(plan) {
        match bound {
            None => findings.add(path, "is absent from a plan that is not proven"),
            Some(bound) if bound > value => {
                findings.add(path, format!("is {bound}, but the plan has {value}"));
            }
            Some(_) => {}
        }
    }
    let Some(bound_h) = plan.bound_h else {
        return;
    };
    if counts(plan)
        .iter()
        .any(|&(_, bound, value)| bound.is_some_and(|bound| bound < value))
    {
        findings.add(
            "bound_h",
            "is given, but unserved or late is above its bound",
        );
    }
    let within = bound_h >= 0.0 && (bound_h <= plan.longest_h || same(bound_h, plan.longest_h));
    if !within {
        findings.add(
            "bound_h",
            format!(
                "is {}, must be from 0 to longest_h, {}",
                shown(bound_h),
                shown(plan.longest_h)
            ),
        );
    }
}

/// The proven least counts beside the counts of the plan.
fn counts(plan: &Plan) -> [(&'static str, Option<usize>, usize); 2] {
    [
        ("bound_unserved", plan.bound_unserved, plan.unserved),
        ("bound_late", plan.bound_late, plan.late),
    ]
}

pub(super) fn compare_count(path: &str, printed: usize, exact: usize, findings: &mut Findings) {
    if printed != exact {
        findings.add(path, format!("is {printed}, must be {exact}"));
    }
}

/// A sum of whole millionths as a quantity.
#[expect(
    clippy::cast_precision_loss,
    reason = "sums of checked quantities stay below 2^53"
)]
pub(super) fn whole(sum: i64) -> f64 {
    rounded(sum as f64 / 1e6)
}
