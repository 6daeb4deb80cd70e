//! `verify` accepts what `assign` returns and refuses it with any one field changed;
//! `verify_rota` does so with what `rota` returns.

use serde_json::json;
use wattberth::{Aim, LimitedBy, Plan, Rota, Setup, Violation, assign, rota, verify, verify_rota};

use super::random_setup::night::night_setup;
use super::random_setup::{open, small_setup};

const SETUPS: u64 = 150;

/// A change of one thing; `None` where the plan has nothing of the kind.
type Tamper<T> = fn(&T) -> Option<T>;

/// Changes a clone of the plan; `None` where the change finds nothing to change.
fn changed<T: Clone>(plan: &T, change: impl FnOnce(&mut T) -> Option<()>) -> Option<T> {
    let mut plan = plan.clone();
    change(&mut plan).map(|()| plan)
}

macro_rules! tampers {
    ($type:ty; $($name:literal: |$plan:ident| $change:expr;)*) => {
        &[$(($name, |plan: &$type| {
            changed(plan, |$plan: &mut $type| { $change; Some(()) })
        })),*]
    };
}

const TAMPERS: &[(&str, Tamper<Plan>)] = tampers! {
    Plan;
    "longest_h": |plan| plan.longest_h += 0.001;
    "bound_h above the longest time": |plan| {
        plan.bound_h = Some(match plan.aim {
            Aim::Promise => plan.promised_longest_h?,
            Aim::Best => plan.longest_h,
        } + 0.001);
    };
    "aim": |plan| plan.aim = other(plan.aim);
    "promised_longest_h": |plan| *plan.promised_longest_h.as_mut()? += 0.001;
    "promised_longest_h, never": |plan| plan.promised_longest_h.take().map(|_| ())?;
    "promised_late": |plan| plan.promised_late += 1;
    "promised_w": |plan| *plan.berths.last_mut()?.promised_w.as_mut()? += 0.001;
    "promised_h": |plan| *plan.berths.last_mut()?.promised_h.as_mut()? += 0.001;
    "promised_h, never": |plan| plan.berths.last_mut()?.promised_h.take().map(|_| ())?;
    "unserved": |plan| plan.unserved += 1;
    "missing_wh": |plan| plan.missing_wh += 0.001;
    "late": |plan| plan.late += 1;
    "a berth's device": |plan| plan.berths.last_mut()?.device.push('x');
    "a berth's charger": |plan| plan.berths.last_mut()?.charger.push('x');
    "a berth's port": |plan| plan.berths.last_mut()?.port.push('x');
    "a berth's cable": |plan| plan.berths.last_mut()?.cable.push('x');
    "volts": |plan| plan.berths.last_mut()?.volts += 0.001;
    "amps": |plan| plan.berths.last_mut()?.amps += 0.001;
    "tier_w": |plan| plan.berths.last_mut()?.tier_w += 0.001;
    "port_w": |plan| plan.berths.last_mut()?.port_w += 0.001;
    "inlet_w": |plan| plan.berths.last_mut()?.inlet_w += 0.001;
    "hours": |plan| plan.berths.last_mut()?.hours += 0.001;
    "hours, not a number": |plan| plan.berths.last_mut()?.hours = f64::NAN;
    "a berth's lateness": |plan| plan.berths.last_mut()?.late ^= true;
    "limited_by": |plan| {
        let limited_by = &mut plan.berths.last_mut()?.limited_by;
        *limited_by = match limited_by {
            LimitedBy::Cable => LimitedBy::Port,
            _ => LimitedBy::Cable,
        }
    };
    "a berth dropped": |plan| plan.berths.pop()?;
    "a berth twice": |plan| plan.berths.push(plan.berths.last()?.clone());
    "a berth and its reason": |plan| plan.berths.push({
        let mut berth = plan.berths.last()?.clone();
        berth.device.clone_from(&plan.without_berth.last()?.device);
        berth
    });
    "two devices on one port": |plan| {
        let [.., a, b] = plan.berths.as_mut_slice() else { return None };
        a.charger.clone_from(&b.charger);
        a.port.clone_from(&b.port);
    };
    "a reason dropped": |plan| plan.without_berth.pop()?;
    "a device without berth renamed": |plan| plan.without_berth.last_mut()?.device.push('x');
    "a pool dropped": |plan| plan.pools.pop()?;
    "a pool renamed": |plan| plan.pools.last_mut()?.pool.push('x');
    "used_w": |plan| plan.pools.last_mut()?.used_w += 0.001;
    "a pool's max_w": |plan| plan.pools.last_mut()?.max_w += 0.001;
};

/// What the kinds of devices stand in for.
const OF_KINDS: &[(&str, Tamper<Plan>)] = tampers! {
    Plan;
    "an assumption dropped": |plan| plan.assumed.pop()?;
    "an assumption's device": |plan| plan.assumed.last_mut()?.device.push('x');
    "an assumption's field": |plan| plan.assumed.last_mut()?.field.push('x');
    "an assumption's source": |plan| plan.assumed.last_mut()?.source.push('x');
    "low": |plan| *plan.assumed.iter_mut().find_map(|of| of.low.as_mut())? += 0.001;
    "high": |plan| *plan.assumed.iter_mut().find_map(|of| of.high.as_mut())? += 0.001;
};

fn other(aim: Aim) -> Aim {
    match aim {
        Aim::Promise => Aim::Best,
        Aim::Best => Aim::Promise,
    }
}

/// What a rota adds, and what is otherwise judged session by session.
const OF_ROTAS: &[(&str, Tamper<Rota>)] = tampers! {
    Rota;
    "longest_h": |rota| rota.longest_h += 0.001;
    "aim": |rota| rota.aim = other(rota.aim);
    "promised_longest_h": |rota| *rota.promised_longest_h.as_mut()? += 0.001;
    "promised_late": |rota| rota.promised_late += 1;
    "promised_w": |rota| *rota.berths.last_mut()?.berth.promised_w.as_mut()? += 0.001;
    "promised_h": |rota| *rota.berths.last_mut()?.berth.promised_h.as_mut()? += 0.001;
    "promised_finish_h": |rota| *rota.berths.last_mut()?.promised_finish_h.as_mut()? += 0.001;
    "unserved": |rota| rota.unserved += 1;
    "missing_wh": |rota| rota.missing_wh += 0.001;
    "late": |rota| rota.late += 1;
    "swaps": |rota| rota.swaps += 1;
    "held_wh": |rota| rota.held_wh += 0.001;
    "start": |rota| rota.start = Some("03:33".to_owned());
    "a session dropped": |rota| rota.sessions.pop()?;
    "a session renamed": |rota| rota.sessions.last_mut()?.name.push('x');
    "start_h": |rota| rota.sessions.last_mut()?.start_h += 0.001;
    "end_h": |rota| rota.sessions.last_mut()?.end_h += 0.001;
    "a berth's first session, unknown": |rota| rota.berths.last_mut()?.session.push('x');
    "a berth's last session, unknown": |rota| rota.berths.last_mut()?.until_session.push('x');
    "a berth one session later": |rota| {
        let names: Vec<String> = rota.sessions.iter().map(|s| s.name.clone()).collect();
        let berth = rota.berths.last_mut()?;
        let first = names.iter().position(|name| *name == berth.session)?;
        berth.session.clone_from(names.get(first + 1)?);
    };
    "a berth that ends one session later": |rota| {
        let names: Vec<String> = rota.sessions.iter().map(|s| s.name.clone()).collect();
        let berth = rota.berths.last_mut()?;
        let last = names.iter().position(|name| *name == berth.until_session)?;
        berth.until_session.clone_from(names.get(last + 1)?);
    };
    "finish_h": |rota| rota.berths.last_mut()?.finish_h += 0.001;
    "finish_h, not a number": |rota| rota.berths.last_mut()?.finish_h = f64::NAN;
    "hours": |rota| rota.berths.last_mut()?.berth.hours += 0.001;
    "amps": |rota| rota.berths.last_mut()?.berth.amps += 0.001;
    "a berth's lateness": |rota| rota.berths.last_mut()?.berth.late ^= true;
    "limited_by": |rota| {
        let limited_by = &mut rota.berths.last_mut()?.berth.limited_by;
        *limited_by = match limited_by {
            LimitedBy::Cable => LimitedBy::Port,
            _ => LimitedBy::Cable,
        }
    };
    "a berth dropped": |rota| rota.berths.pop()?;
    "a berth twice": |rota| rota.berths.push(rota.berths.last()?.clone());
    "two devices on one port": |rota| {
        let [.., a, b] = rota.berths.as_mut_slice() else { return None };
        if a.session != b.session {
            return None;
        }
        a.berth.charger.clone_from(&b.berth.charger);
        a.berth.port.clone_from(&b.berth.port);
    };
    "a reason dropped": |rota| rota.without_berth.pop()?;
    "a pool dropped": |rota| rota.pools.pop()?;
    "a pool's session": |rota| rota.pools.last_mut()?.session.push('x');
    "used_w": |rota| rota.pools.last_mut()?.of.used_w += 0.001;
    "max_w": |rota| rota.pools.last_mut()?.of.max_w += 0.001;
};

#[test]
fn every_changed_field_of_a_plan_is_refused() {
    let answer = |setup: &Setup| assign(setup).expect("a generated setup has a plan");
    let check = |setup: &Setup, plan: &Plan| verify(setup, plan).violations;
    every_change_is_refused(small_setup, answer, check, TAMPERS);
    every_change_is_refused(open::small_setup, answer, check, OF_KINDS);
}

/// Two ports of 30 W share `max_w`, and each device needs 20 W.
fn two_that_need_20_w(max_w: f64) -> (Setup, Plan) {
    let device = json!({"name": "d", "count": 2, "pd_w": 30, "min_w": 20, "battery_wh": 20});
    let port = |name: &str| json!({"name": name, "pd_w": 30});
    let setup = json!({
        "chargers": [{"name": "cube", "max_w": max_w, "ports": [port("C1"), port("C2")]}],
        "cables": [{"name": "white", "count": 2}],
        "devices": [device],
    });
    let setup = Setup::from_json(&setup.to_string()).expect("a setup");
    let plan = assign(&setup).expect("a plan");
    (setup, plan)
}

#[test]
fn a_bound_lies_no_further_below_than_the_tolerance() {
    let bound = |(setup, plan): &(Setup, Plan), bound_h: Option<f64>| {
        let mut plan = plan.clone();
        plan.bound_h = bound_h;
        let found = verify(setup, &plan).violations;
        found.iter().map(|of| of.path.clone()).collect::<Vec<_>>()
    };
    // 60 W are enough for both, whoever comes first.
    let surely = two_that_need_20_w(60.0);
    let longest_h = surely.1.promised_longest_h.expect("both are full");
    for (below_h, expected) in [
        (0.0, &[][..]),
        (0.049, &[]),
        (0.051, &["bound_h"]),
        (-0.001, &["bound_h"]),
    ] {
        assert_eq!(
            bound(&surely, Some(longest_h - below_h)),
            expected,
            "{below_h}"
        );
    }
    assert_eq!(bound(&surely, None), ["bound_h"]);

    // Of 45 W the one may take 30 W, and 15 W are too few for the other.
    let never = two_that_need_20_w(45.0);
    assert_eq!((never.1.unserved, never.1.promised_longest_h), (0, None));
    assert_eq!(never.1.bound_h, None);
    assert_eq!(bound(&never, Some(1.0)), ["bound_h"]);
}

#[test]
fn every_changed_field_of_a_rota_is_refused() {
    let answer = |setup: &Setup| rota(setup).expect("a generated setup has a rota");
    let check = |setup: &Setup, rota: &Rota| verify_rota(setup, rota).violations;
    every_change_is_refused(night_setup, answer, check, OF_ROTAS);
}

fn every_change_is_refused<T>(
    setup_of: fn(u64) -> String,
    answer: fn(&Setup) -> T,
    check: fn(&Setup, &T) -> Vec<Violation>,
    tampers: &[(&str, Tamper<T>)],
) {
    let mut tried = vec![0_u32; tampers.len()];
    let mut passed = Vec::new();
    for seed in 0..SETUPS {
        let setup = Setup::from_json(&setup_of(seed)).expect("generated setups are valid");
        let answer = answer(&setup);
        assert_eq!(check(&setup, &answer), [], "seed {seed}");
        for ((name, tamper), tried) in tampers.iter().zip(&mut tried) {
            let Some(tampered) = tamper(&answer) else {
                continue;
            };
            *tried += 1;
            if check(&setup, &tampered).is_empty() {
                passed.push(format!("{name} (seed {seed})"));
            }
        }
    }
    assert!(
        passed.is_empty(),
        "{} changes were accepted: {passed:?}",
        passed.len()
    );
    for ((name, _), tried) in tampers.iter().zip(tried) {
        assert!(tried >= 10, "{name} was tried on {tried} answers only");
    }
}
