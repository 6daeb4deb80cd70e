//! The moves of a plan, as far as the plan itself tells: the plan that it stays near is no part of
//! it.

use super::Findings;
use crate::plan::Plan;
use crate::plan::moves::{Move, Place};
use crate::setup::Setup;

/// Each device once, in the order of the setup, from another place to the one of its berth.
pub(super) fn check(setup: &Setup, plan: &Plan, findings: &mut Findings) {
    let mut before = None;
    for (i, of) in plan.moves.iter().flatten().enumerate() {
        let path = format!("moves[{i}]");
        let device = setup.devices.iter().position(|d| d.name == of.device);
        if device.is_none() {
            findings.add(format!("{path}.device"), "no device is called so");
        } else if device <= before {
            let message = "must come after those before it in the setup, and only once";
            findings.add(format!("{path}.device"), message);
        }
        before = before.max(device);
        place(plan, of, &path, findings);
    }
}

fn place(plan: &Plan, of: &Move, path: &str, findings: &mut Findings) {
    let berth = plan.berths.iter().find(|berth| berth.device == of.device);
    let to = berth.map(Place::from);
    if of.to != to {
        let message = match to {
            Some(_) => "is not the place of its berth",
            None => "is there, but the device has no berth",
        };
        findings.add(format!("{path}.to"), message);
    } else if to.is_some_and(|to| to == of.from) {
        findings.add(format!("{path}.from"), "is where it is now");
    }
}
