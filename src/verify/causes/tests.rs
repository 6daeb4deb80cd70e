//! True causes pass, and each changed one is refused.

use super::super::verify;
use crate::plan::Plan;
use crate::setup::document::{Cable, Charger, Device, Port, SetupDocument};
use crate::{Setup, assign};

fn answered(document: SetupDocument) -> (Setup, Plan) {
    let setup = document.check().expect("a setup without faults");
    let plan = assign(&setup).expect("a plan");
    (setup, plan)
}

fn paths(setup: &Setup, plan: &Plan) -> Vec<String> {
    let found = verify(setup, plan).violations;
    found.into_iter().map(|found| found.path).collect()
}

/// Two tablets for one port, and pedals that no cable fits.
fn crowded() -> (Setup, Plan) {
    answered(
        SetupDocument::new()
            .charger(Charger::new("cube").port(Port::pd("C1", 45.0)))
            .cable(Cable::c_to_c("braided").count(3))
            .device(Device::new("tablet", 28.6).pd_w(30.0).count(2))
            .device(
                Device::new("pedals", 3.0)
                    .accepts("5V 1A")
                    .inlet("usb-mini-b"),
            ),
    )
}

#[test]
fn true_causes_pass_and_changed_ones_do_not() {
    use crate::plan::Reason;
    let (setup, plan) = crowded();
    assert_eq!(paths(&setup, &plan), [""; 0]);
    let told = &plan.without_berth;
    assert_eq!(
        told[0].cause,
        Reason::FewerPorts {
            devices: 2,
            ports: 1
        }
    );
    for (at, cause) in [
        (
            0,
            Reason::FewerPorts {
                devices: 99,
                ports: 1,
            },
        ),
        (
            0,
            Reason::FewerPorts {
                devices: 2,
                ports: 8,
            },
        ),
        (
            0,
            Reason::FewerCables {
                cables: vec!["braided".to_owned()],
            },
        ),
        (0, Reason::NoCommonSupply),
        (0, Reason::SearchStopped),
        (0, Reason::NeverAtHand),
        (
            1,
            Reason::FewerPorts {
                devices: 2,
                ports: 1,
            },
        ),
        (
            1,
            Reason::NoCableForInlet {
                inlet: "usb-c".to_owned(),
            },
        ),
        (1, Reason::NoCommonSupply),
        (
            1,
            Reason::NoPortForCable {
                connectors: vec!["usb-a".to_owned()],
            },
        ),
    ] {
        let mut changed = plan.clone();
        let without = &mut changed.without_berth[at];
        without.reason = cause.to_string();
        without.cause = cause.clone();
        let found = paths(&setup, &changed);
        let expected = format!("without_berth[{at}].cause");
        assert_eq!(found, [expected], "{cause:?}");
    }
    let mut said = plan.clone();
    said.without_berth[0].reason = "the laptop is on fire".to_owned();
    assert_eq!(paths(&setup, &said), ["without_berth[0].reason"]);
}

#[test]
fn what_a_pool_a_table_or_the_cables_lack_is_looked_at() {
    use crate::plan::Reason;
    let cube = || {
        Charger::new("cube")
            .port(Port::pd("C1", 30.0))
            .port(Port::pd("C2", 30.0))
    };
    let tablets = |charger| {
        SetupDocument::new()
            .charger(charger)
            .device(Device::new("tablet", 28.6).pd_w(30.0).min_w(20.0).count(2))
    };
    let braided = || Cable::c_to_c("braided").count(2);
    let (setup, plan) = answered(tablets(cube().max_w(38.0)).cable(braided()));
    let Reason::PoolTooSmall {
        left_w, needs_w, ..
    } = plan.without_berth[0].cause.clone()
    else {
        panic!("{:?}", plan.without_berth)
    };
    assert_eq!(paths(&setup, &plan), [""; 0]);
    for (left, needs) in [(left_w + 1.0, needs_w), (left_w, needs_w + 1.0)] {
        let mut changed = plan.clone();
        let Reason::PoolTooSmall {
            left_w, needs_w, ..
        } = &mut changed.without_berth[0].cause
        else {
            panic!("it was one")
        };
        (*left_w, *needs_w) = (left, needs);
        changed.without_berth[0].reason = changed.without_berth[0].cause.to_string();
        assert_eq!(paths(&setup, &changed), ["without_berth[0].cause"]);
    }
    let (setup, plan) = answered(tablets(cube()).cable(Cable::c_to_c("braided")));
    assert!(matches!(
        plan.without_berth[0].cause,
        Reason::FewerCables { .. }
    ));
    assert_eq!(paths(&setup, &plan), [""; 0]);
    let mut changed = plan.clone();
    changed.without_berth[0].cause = Reason::FewerCables {
        cables: vec!["other".to_owned()],
    };
    changed.without_berth[0].reason = changed.without_berth[0].cause.to_string();
    assert_eq!(paths(&setup, &changed), ["without_berth[0].cause"]);
}
