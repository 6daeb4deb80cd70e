//! Setups of a real size: the family is what it says, and every plan is proven.

use wattberth::{Level, Setup, SolveOptions, Status, assign_with, verify};

use crate::model::options::options_of;
use crate::model::setup::read;
use crate::random_setup::mid::{Family, mid_setup};

#[test]
fn the_generator_keeps_to_the_sizes() {
    for family in Family::ALL {
        for (seed, (devices, ports)) in [(4, 5), (8, 8), (16, 18), (32, 36)].into_iter().enumerate()
        {
            let setup = read(&mid_setup(seed as u64, devices, ports, family));
            assert_eq!(setup.devices.len(), devices, "{family:?}");
            let made: usize = setup
                .chargers
                .iter()
                .map(|charger| charger.ports.len())
                .sum();
            assert_eq!(made, ports, "{family:?}");
            let placed = setup
                .devices
                .iter()
                .filter(|device| !options_of(&setup, device).is_empty())
                .count();
            assert!(
                placed * 3 >= devices,
                "{family:?}: {placed} of {devices} have an option"
            );
        }
    }
}

/// What anybody notices is settled of nearly all of them, and the whole order of most: a sum of
/// hours over sixteen devices has a share of the budget.
#[test]
fn sixteen_devices_on_eighteen_ports_are_proven() {
    let (mut plans, mut noticed, mut whole) = (0, 0, 0);
    for family in Family::ALL {
        for seed in 0..2 {
            let json = mid_setup(seed, 16, 18, family);
            let setup = Setup::from_json(&json).expect("generated setups are valid");
            let mut options = SolveOptions::default();
            options.budget = 400_000;
            let plan = assign_with(&setup, &options).expect("a generated setup has a plan");
            let settled = match plan.status {
                Status::Optimal => Some(Level::Everything),
                Status::Feasible => plan.settled,
            };
            plans += 1;
            noticed += usize::from(settled >= Some(Level::Times));
            whole += usize::from(settled == Some(Level::Everything));
            assert!(settled.is_some(), "{family:?}, seed {seed}");
            assert_eq!(
                verify(&setup, &plan).violations,
                [],
                "{family:?}, seed {seed}"
            );
        }
    }
    assert!(
        plans == noticed + 1 && 4 * whole >= 3 * plans,
        "{noticed} and {whole} of {plans}"
    );
}
