//! Every single change of a setup that is tried, in the order that decides between
//! changes of equal gain: what costs nothing, a cable, then another charger.

use super::Change;
use crate::limits::SESSION_HOURS;
use crate::setup::document::Device;
use crate::setup::{ChargerSpec, DeviceSpec, Setup};
use crate::units::{from_millionths, millionths};
use crate::usb::Connector;

/// All of them, where the night lasts so many hours.
pub(super) fn changes(setup: &Setup, night_h: f64) -> Vec<Change> {
    let mut changes = pins(setup);
    changes.extend(swap(night_h));
    changes.extend(cable(setup, &[]));
    for charger in &setup.chargers {
        changes.extend(pools(charger));
    }
    for charger in &setup.chargers {
        changes.extend(ports(charger));
    }
    for charger in &setup.chargers {
        changes.extend(one_more_port(setup, charger, &[]));
    }
    changes.extend(tables(setup));
    changes
}

/// Each charger's table of combinations.
pub(in crate::decide) fn tables(setup: &Setup) -> impl Iterator<Item = Change> {
    let chargers = setup.document().chargers.iter();
    let with = chargers.filter(|charger| !charger.combinations.is_empty());
    with.map(|charger| Change::Combinations {
        name: charger.name.clone(),
    })
}

pub(in crate::decide) fn pins(setup: &Setup) -> Vec<Change> {
    let mut changes = Vec::new();
    let listed = setup.document().devices.iter();
    let of_each = listed.flat_map(|device| {
        let count = device.count.and_then(|n| usize::try_from(n).ok());
        std::iter::repeat_n(device, count.unwrap_or(1))
    });
    for (spec, Device { port, cable, .. }) in setup.devices.iter().zip(of_each) {
        if !spec.needs_berth() {
            continue;
        }
        let mut drop = |port: &Option<String>, cable: &Option<String>| {
            changes.push(Change::Pin {
                name: spec.name.clone(),
                port: port.clone(),
                cable: cable.clone(),
            });
        };
        if port.is_some() {
            drop(port, &None);
        }
        if cable.is_some() {
            drop(&None, cable);
        }
        if port.is_some() && cable.is_some() {
            drop(port, cable);
        }
    }
    changes
}

/// One swap half-way through the night; none where there is no night to halve.
pub(in crate::decide) fn swap(night_h: f64) -> Option<Change> {
    if !night_h.is_finite() {
        return None;
    }
    // Half up, in whole numbers: half of a millionth is no double.
    let at_h = from_millionths((millionths(night_h) + 1) / 2);
    SESSION_HOURS.holds(at_h).then_some(Change::Swap { at_h })
}

/// One more cable, long enough for every device that it fits, beside others that are more
/// already; none where it fits none.
pub(in crate::decide) fn cable(setup: &Setup, others: &[String]) -> Option<Change> {
    let fitting = |device: &&DeviceSpec| device.inlet == Connector::UsbC;
    let reaches = setup.devices.iter().filter(fitting).map(|d| d.reach_m);
    let length_m = reaches.reduce(f64::max)?;
    let name = unused_name("one more 240 W cable", |name| {
        others.iter().any(|other| other == name)
            || setup.cables.iter().any(|cable| cable.name == name)
    });
    Some(Change::CableAdded { name, length_m })
}

pub(in crate::decide) fn pools(charger: &ChargerSpec) -> impl Iterator<Item = Change> {
    charger.pools.iter().map(|pool| Change::Pool {
        charger: charger.name.clone(),
        name: pool.name.clone(),
        from_w: pool.max_w,
        to_w: None,
    })
}

pub(in crate::decide) fn ports(charger: &ChargerSpec) -> Vec<Change> {
    let mut changes = Vec::new();
    for port in &charger.ports {
        let Some(best) = highest(charger, |connector| *connector == port.connector) else {
            continue;
        };
        let like = &charger.ports[best];
        if millionths(port.cap_w) < millionths(like.cap_w) {
            changes.push(Change::Port {
                charger: charger.name.clone(),
                name: port.name.clone(),
                like: like.name.clone(),
                from_w: port.cap_w,
                to_w: like.cap_w,
            });
        }
    }
    changes
}

/// One more port, beside others of the charger that are more already.
pub(in crate::decide) fn one_more_port(
    setup: &Setup,
    charger: &ChargerSpec,
    others: &[String],
) -> Option<Change> {
    let like = &charger.ports[highest(charger, |_| true)?];
    // Nor may a pin that names another port now mean two.
    let name = unused_name("one more port", |name| {
        let full = format!("{}/{name}", charger.name);
        let mut ports = setup.chargers.iter().flat_map(|charger| &charger.ports);
        others.iter().any(|other| other == name)
            || ports.any(|port| port.name == name)
            || setup
                .document()
                .devices
                .iter()
                .filter_map(|device| device.port.as_ref())
                .any(|pin| *pin == name || *pin == full)
    });
    Some(Change::PortAdded {
        charger: charger.name.clone(),
        name,
        like: like.name.clone(),
        to_w: like.cap_w,
    })
}

/// The first port with the highest cap among those whose connector will do.
fn highest(charger: &ChargerSpec, will_do: impl Fn(&Connector) -> bool) -> Option<usize> {
    let mut best: Option<usize> = None;
    for (index, port) in charger.ports.iter().enumerate() {
        let higher = |best: usize| millionths(port.cap_w) > millionths(charger.ports[best].cap_w);
        if will_do(&port.connector) && best.is_none_or(higher) {
            best = Some(index);
        }
    }
    best
}

/// `name`, or the first of `name 2`, `name 3` … that is not in use.
fn unused_name(name: &str, in_use: impl Fn(&str) -> bool) -> String {
    let mut found = name.to_owned();
    let mut number = 2;
    while in_use(&found) {
        found = format!("{name} {number}");
        number += 1;
    }
    found
}
