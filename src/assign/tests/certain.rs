//! What is said to make a time certain does, by no more than it takes; and what is not said
//! does not.

use super::random_setup::crowd::crowded_setup;
use super::random_setup::small_setup;
use crate::assign::assign;
use crate::plan::certain::{Help, Uncertain, uncertain};
use crate::plan::promise::{Promise, promises};
use crate::plan::schedule::{Schedule, Slot};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::{from_millionths, millionths};

#[test]
fn helps_are_all_that_help_and_take_no_more_than_they_must() {
    let (mut pools, mut later, mut without) = (0, 0, 0);
    for seed in 300_000..300_600 {
        for setup_of in [small_setup, crowded_setup] {
            let setup = Setup::from_json(&setup_of(seed)).expect("a valid setup");
            let setup = setup.aimed(Aim::Promise);
            let plan = assign(&setup).expect("a plan");
            let slots = Schedule::of_plan(&setup, &plan).expect("its own").slots;
            let found = uncertain(&setup, &slots);
            for at in 0..slots.len() {
                let told = found.iter().find(|one| one.slot == at);
                assert_eq!(
                    told.is_some(),
                    is_behind(&setup, &slots, at),
                    "seed {seed}, {at}"
                );
                let Some(told) = told else { continue };
                check_later(&setup, &slots, told, &format!("seed {seed}"));
                check_pool(&setup, &slots, told, &format!("seed {seed}"));
                let helps = told.helps.iter();
                pools += usize::from(
                    told.helps
                        .iter()
                        .any(|help| matches!(help, Help::Pool { .. })),
                );
                later += helps.filter(|help| matches!(help, Help::Later(_))).count();
                without += usize::from(told.helps.is_empty());
            }
        }
    }
    let seen = (pools, later, without);
    assert!(
        pools > 20 && later > 20 && without > 5,
        "pools, later, neither: {seen:?}"
    );
}

fn tolerance(setup: &Setup) -> i64 {
    millionths(setup.tolerance_h)
}

fn alone(setup: &Setup, slots: &[Slot], at: usize) -> Promise {
    promises(setup, &slots[at..=at])[0]
}

fn is_as_alone(setup: &Setup, slots: &[Slot], at: usize, promise: &Promise) -> bool {
    promise.time()
        <= alone(setup, slots, at)
            .time()
            .saturating_add(tolerance(setup))
}

/// Later than at best by more than the tolerance, with fewer watts, and because of others.
fn is_behind(setup: &Setup, slots: &[Slot], at: usize) -> bool {
    let promise = promises(setup, slots)[at];
    let least = millionths(slots[at].hours).saturating_add(tolerance(setup));
    let sure = promise
        .contract
        .map_or(0, |contract| millionths(contract.port_w()));
    promise.time() > least
        && sure < millionths(slots[at].contract.port_w())
        && !is_as_alone(setup, slots, at, &promise)
}

fn check_later(setup: &Setup, slots: &[Slot], told: &Uncertain, what: &str) {
    for other in (0..slots.len()).filter(|&other| other != told.slot) {
        let device = slots[told.slot].device;
        let fewer: Vec<Slot> = (0..slots.len())
            .filter(|&at| at != other)
            .map(|at| slots[at].clone())
            .collect();
        let here = fewer.iter().position(|slot| slot.device == device);
        let promise = promises(setup, &fewer)[here.expect("it stays")];
        let helps = slots[other].port.charger == slots[told.slot].port.charger
            && is_as_alone(setup, slots, told.slot, &promise);
        let said = told.helps.contains(&Help::Later(other));
        assert_eq!(said, helps, "{what}: {other} later for {}", told.slot);
    }
}

/// Of the pools of its port, the first that alone holds it back; of that the least watts.
fn check_pool(setup: &Setup, slots: &[Slot], told: &Uncertain, what: &str) {
    let own = slots[told.slot].port;
    let charger = &setup.chargers[own.charger];
    let enough = |pool: usize, max_w: i64| {
        let mut raised = setup.clone();
        raised.chargers[own.charger.0].pools[pool].max_w = from_millionths(max_w);
        let promise = promises(&raised, slots)[told.slot];
        is_as_alone(setup, slots, told.slot, &promise)
    };
    let said = told.helps.iter().find_map(|help| match help {
        Help::Pool { name, watts } => Some((name.as_str(), millionths(*watts))),
        Help::Later(_) => None,
    });
    let caps: i64 = charger
        .ports
        .iter()
        .map(|port| millionths(port.cap_w))
        .sum();
    let of_port = charger.pools.iter().enumerate();
    let first = of_port
        .filter(|(_, pool)| pool.ports.contains(&own.index))
        .find(|(at, pool)| enough(*at, millionths(pool.max_w) + caps));
    let expected = first.map(|(_, pool)| pool.name.as_str());
    assert_eq!(
        said.map(|(name, _)| name),
        expected,
        "{what}: pool for {}",
        told.slot
    );
    if let (Some((at, _)), Some((_, watts))) = (first, said) {
        assert!(enough(at, watts), "{what}: {watts} of {expected:?}");
        assert!(
            !enough(at, watts - 1),
            "{what}: less than {watts} of {expected:?}"
        );
    }
}
