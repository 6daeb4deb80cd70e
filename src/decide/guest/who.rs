//! Which device comes late.

use crate::diagnostics::{Error, Result, near, shown};
use crate::plan::Plan;
use crate::setup::Setup;

/// The device that is meant: an index into the setup's devices.
pub(super) fn guest_of(setup: &Setup, plan: &Plan, named: Option<&str>) -> Result<usize> {
    let sits = |name: &str| plan.berths.iter().any(|berth| berth.device == name);
    if let Some(name) = named {
        let Some(device) = setup.device_names().position(|device| device == name) else {
            let near = near(name, setup.device_names());
            let near = near.map_or_else(String::new, |near| format!(" (did you mean `{near}`?)"));
            return refused(format!("no device is called \"{}\"{near}", shown(name)));
        };
        if sits(name) {
            return refused(format!(
                "\"{}\" has a berth in the plan at hand",
                shown(name)
            ));
        }
        if !setup.devices[device].needs_berth() {
            return refused(format!("\"{}\" is full as it is", shown(name)));
        }
        return Ok(device);
    }
    let devices = setup.devices.iter().enumerate();
    let out: Vec<usize> = devices
        .filter(|(_, device)| device.needs_berth() && !sits(&device.name))
        .map(|(index, _)| index)
        .collect();
    let left_out = |name: &str| plan.without_berth.iter().any(|left| left.device == name);
    let unknown: Vec<usize> = out
        .iter()
        .copied()
        .filter(|&device| !left_out(&setup.devices[device].name))
        .collect();
    match (unknown.as_slice(), out.as_slice()) {
        ([one], _) | ([], [one]) => Ok(*one),
        ([], []) => refused("every device of the setup has a berth in the plan at hand"),
        ([], several) | (several, _) => {
            let names = several.iter().map(|&device| &setup.devices[device].name);
            let names: Vec<String> = names
                .take(SHOWN)
                .map(|name| format!("\"{}\"", shown(name)))
                .collect();
            let more = several.len() - names.len();
            let more = if more > 0 {
                format!(" and {more} more")
            } else {
                String::new()
            };
            refused(format!(
                "more than one device has no berth in the plan at hand, so say which: {}{more}",
                names.join(", ")
            ))
        }
    }
}

/// Devices that are named where it is not clear which is meant.
const SHOWN: usize = 5;

fn refused<T>(message: impl Into<String>) -> Result<T> {
    Err(Error::Options {
        message: message.into(),
    })
}
