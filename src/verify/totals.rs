//! The plan as a whole: who has no berth, what pools give, the totals and the bounds.

use super::berths::{Places, Promised};
use super::rules::{Place, taken};
use super::{Findings, same, shown};
use crate::plan::assumed::GUESSED;
use crate::plan::{Assumed, AssumedValue, Berth, Plan, PoolUse, Status};
use crate::setup::document::Aim;
use crate::setup::{AssumedValue as Stands, Guess, PoolSpec, Setup};
use crate::units::{millionths, rounded};

/// What the berths of a plan come to.
pub(super) struct Counted<'a> {
    /// Per device, how many berths name it.
    pub(super) berths_of: &'a [usize],
    pub(super) longest_h: f64,
    pub(super) late: usize,
    /// Where every place is known.
    pub(super) promised: Option<&'a Promised>,
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
        promised: known.promised.as_ref(),
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
        Status::Optimal => check_proof(setup, plan, findings),
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
        findings.compare(format_args!("{path}.max_w"), shown_use.max_w, pool.max_w);
        if let Some(used) = used {
            findings.compare(format_args!("{path}.used_w"), shown_use.used_w, whole(used));
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
    if let Some(promised) = counted.promised {
        findings.compare_some(
            "promised_longest_h",
            plan.promised_longest_h,
            promised.longest_h,
        );
        compare_count("promised_late", plan.promised_late, promised.late, findings);
    }
    if plan.aim != setup.aim {
        let message = format!("is {}, must be {}", plan.aim.word(), setup.aim.word());
        findings.add("aim", message);
    }
    check_assumed(setup, plan, findings);
}

/// What the kinds of devices stand in for is listed, device by device, field by field.
fn check_assumed(setup: &Setup, plan: &Plan, findings: &mut Findings) {
    let devices = setup.devices.iter();
    let all = devices.flat_map(|device| device.assumed.iter().map(move |one| (device, one)));
    let all: Vec<_> = all.collect();
    let first_guess = plan.assumed.iter().position(|one| one.field == GUESSED);
    let (shown, guessed) = plan
        .assumed
        .split_at(first_guess.unwrap_or(plan.assumed.len()));
    let same_guess = |(shown, guess): (&Assumed, &Guess)| {
        shown.device == guess.of && shown.value == AssumedValue::Text(guess.text.clone())
    };
    if guessed.len() != setup.guesses.len() || !guessed.iter().zip(&setup.guesses).all(same_guess) {
        findings.add(
            "assumed",
            "does not list what the list leaves open".to_owned(),
        );
    }
    if shown.len() != all.len() {
        let (listed, there) = (shown.len(), all.len());
        findings.add("assumed", format!("lists {listed}, but there are {there}"));
    }
    for (index, (shown, (device, one))) in shown.iter().zip(all).enumerate() {
        let (value, low, high) = match one.value {
            Stands::Connector(name) => (AssumedValue::Text(name.to_owned()), None, None),
            Stands::Number(value) => (AssumedValue::Number(value), None, None),
            Stands::Between(value, low, high) => {
                (AssumedValue::Number(value), Some(low), Some(high))
            }
        };
        let equal = match (&shown.value, &value) {
            (AssumedValue::Number(shown), AssumedValue::Number(exact)) => same(*shown, *exact),
            (shown, exact) => shown == exact,
        };
        let is_it = shown.device == device.name
            && shown.field == one.field
            && equal
            && (shown.low, shown.high) == (low, high)
            && shown.source == one.kind.source.title;
        if !is_it {
            let message = format!(
                "is not what `{}` takes for its `{}`",
                device.name, one.field
            );
            findings.add(format!("assumed[{index}]"), message);
        }
    }
}

/// A proven plan meets its bounds.
fn check_proof(setup: &Setup, plan: &Plan, findings: &mut Findings) {
    if plan.bound_h.is_none() && plan.longest_by_aim().is_some() {
        findings.add("bound_h", "is absent from an optimal plan");
    }
    // Devices of priority 3 delay nobody, and nobody waits for them: where one has a berth the
    // longest time may be as long as it takes.
    let waits = |berth: &Berth| {
        let device = setup
            .devices
            .iter()
            .find(|device| device.name == berth.device);
        device.is_none_or(|device| device.priority < 3)
    };
    if let Some(bound_h) = plan.bound_h
        && plan.berths.iter().all(waits)
    {
        let told = match plan.longest_by_aim() {
            Some(longest_h) => {
                let least_h = longest_h - setup.tolerance_h;
                (bound_h < least_h && !same(bound_h, least_h)).then(|| shown(longest_h).to_string())
            }
            // Never is more than any tolerance later than any time.
            None => Some("never full".to_owned()),
        };
        if let Some(longest) = told {
            let message = format!(
                "is {}, but an optimal plan is no more than the tolerance longer, {longest}",
                shown(bound_h)
            );
            findings.add("bound_h", message);
        }
    }
    check_bound_h(plan, findings);
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
    if plan.bound_h.is_none() {
        return;
    }
    if counts(plan)
        .iter()
        .any(|&(_, bound, value)| bound.is_some_and(|bound| bound < value))
    {
        findings.add(
            "bound_h",
            "is given, but unserved or late is above its bound",
        );
    }
    check_bound_h(plan, findings);
}

/// A bound on the longest time is not above it.
fn check_bound_h(plan: &Plan, findings: &mut Findings) {
    let Some(bound_h) = plan.bound_h else {
        return;
    };
    let longest = plan.longest_by_aim();
    let within = |longest: f64| bound_h <= longest || same(bound_h, longest);
    if !(bound_h >= 0.0 && longest.is_none_or(within)) {
        let most = longest.map_or("any time".to_owned(), |h| shown(h).to_string());
        findings.add(
            "bound_h",
            format!(
                "is {}, must be from 0 to the longest time, {most}",
                shown(bound_h)
            ),
        );
    }
}

/// The proven least counts beside the counts of the plan.
fn counts(plan: &Plan) -> [(&'static str, Option<usize>, usize); 2] {
    [
        ("bound_unserved", plan.bound_unserved, plan.unserved),
        (
            "bound_late",
            plan.bound_late,
            match plan.aim {
                Aim::Best => plan.late,
                Aim::Promise => plan.promised_late,
            },
        ),
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
