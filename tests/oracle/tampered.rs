//! `verify` accepts what `assign` returns and refuses it with any one field changed.

use wattberth::{LimitedBy, Plan, Setup, assign, verify};

use super::random_setup::small_setup;

const SETUPS: u64 = 150;

/// A change of one thing; `None` where the plan has nothing of the kind.
type Tamper = fn(&Plan) -> Option<Plan>;

/// Changes a clone of the plan; `None` where the change finds nothing to change.
fn changed(plan: &Plan, change: impl FnOnce(&mut Plan) -> Option<()>) -> Option<Plan> {
    let mut plan = plan.clone();
    change(&mut plan).map(|()| plan)
}

macro_rules! tampers {
    ($($name:literal: |$plan:ident| $change:expr;)*) => {
        &[$(($name, |plan: &Plan| {
            changed(plan, |$plan: &mut Plan| { $change; Some(()) })
        })),*]
    };
}

const TAMPERS: &[(&str, Tamper)] = tampers! {
    "longest_h": |plan| plan.longest_h += 0.001;
    "bound_h above longest_h": |plan| *plan.bound_h.as_mut()? += 0.001;
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

#[test]
fn every_changed_field_is_refused() {
    let mut tried = vec![0_u32; TAMPERS.len()];
    let mut passed = Vec::new();
    for seed in 0..SETUPS {
        let setup = Setup::from_json(&small_setup(seed)).expect("generated setups are valid");
        let plan = assign(&setup).expect("a generated setup has a plan");
        assert_eq!(verify(&setup, &plan).violations, [], "seed {seed}");
        for ((name, tamper), tried) in TAMPERS.iter().zip(&mut tried) {
            let Some(tampered) = tamper(&plan) else {
                continue;
            };
            *tried += 1;
            if verify(&setup, &tampered).violations.is_empty() {
                passed.push(format!("{name} (seed {seed})"));
            }
        }
    }
    assert!(
        passed.is_empty(),
        "{} changes were accepted: {passed:?}",
        passed.len()
    );
    for ((name, _), tried) in TAMPERS.iter().zip(tried) {
        assert!(tried >= 10, "{name} was tried on {tried} plans only");
    }
}
