//! The batteries of a trip: its own, and those of the devices that it does not name.
//!
//! A device's battery is built in unless its name speaks against that. Then it is taken for
//! what the name says, and the answer asks.

use super::super::DeviceSpec;
use super::super::ask::At;
use super::{Asks, BatterySpec, Doubt};
use crate::facts::{self, Energy, NameSays, name_plainly_says, name_says};
use crate::limits::{BATTERY_MAH, BATTERY_V, BATTERY_WH, TRIP_COUNT};
use crate::setup::document::{Battery, BatteryKind, SetupDocument, TripDocument};

/// Cell voltage for milliampere-hours (common practice).
const DEFAULT_BATTERY_V: f64 = 3.7;

/// One of the trip's own batteries; what it does not state is that of the device of its
/// name.
pub(super) fn resolve_battery(
    battery: &Battery,
    document: &SetupDocument,
    devices: &[DeviceSpec],
    mut at: At<'_>,
) -> BatterySpec {
    at.name(&battery.name, "a battery");
    let wh = at.number("battery_wh", battery.battery_wh, &BATTERY_WH);
    let mah = at.number("battery_mah", battery.battery_mah, &BATTERY_MAH);
    let volts = at.number("battery_v", battery.battery_v, &BATTERY_V);
    at.number("count", battery.count.map(f64::from), &TRIP_COUNT);
    // Nobody's cells have the voltage of a USB output.
    let charge = volts.map(|cell_v| Energy::Charge { mah: 1.0, cell_v });
    if let Some(Err(fault)) = charge.map(Energy::watt_hours) {
        at.fault("battery_v", fault.to_string());
    }
    if battery.battery_wh.is_some() && battery.battery_mah.is_some() {
        let message = "a battery has `battery_wh` or `battery_mah`, not both";
        at.fault("battery_mah", message);
    }
    let own = wh.map(|wh| (wh, None)).or_else(|| {
        let volts = volts.unwrap_or(DEFAULT_BATTERY_V);
        mah.map(|mah| (mah / 1000.0 * volts, Some((mah, volts))))
    });
    let device = document
        .devices
        .iter()
        .position(|device| device.name == battery.name);
    let device = device.map(|i| {
        (
            document.devices[i].count.unwrap_or(1),
            first_of(i, document),
        )
    });
    let (wh, printed) = match (own, device) {
        (Some(own), _) => own,
        (None, Some((_, at))) => (
            devices.get(at).map_or(0.0, |device| device.battery_wh),
            None,
        ),
        (None, None) => {
            let message = "a battery needs `battery_wh` or `battery_mah`, or the name of a device";
            at.findings
                .add(at.path.clone(), message)
                .about(&["battery_wh", "battery_mah", "name"]);
            (0.0, None)
        }
    };
    BatterySpec {
        name: battery.name.clone(),
        kind: battery.kind,
        doubt: doubt_of_declared(battery),
        wh: Some(wh),
        assumed_v: printed.is_some() && volts.is_none(),
        mah: printed,
        count: battery
            .count
            .or(device.map(|(count, _)| count))
            .unwrap_or(1),
    }
}

/// The index, counts expanded, of the first of the devices listed at `listed`.
fn first_of(listed: usize, document: &SetupDocument) -> usize {
    let before = &document.devices[..listed];
    let count = |n: Option<u32>| usize::try_from(n.unwrap_or(1)).unwrap_or(1);
    before.iter().map(|device| count(device.count)).sum()
}

/// The batteries of the devices that the trip does not name.
pub(super) fn of_devices(
    document: &SetupDocument,
    trip: &TripDocument,
    devices: &[DeviceSpec],
) -> Vec<BatterySpec> {
    let named = |name: &str| trip.batteries.iter().any(|battery| battery.name == name);
    let listed = document.devices.iter().enumerate();
    listed
        .filter(|(_, device)| !named(&device.name))
        .filter_map(|(i, device)| {
            let says = name_says(&device.name);
            Some(BatterySpec {
                name: device.name.clone(),
                kind: says.as_ref().map_or(BatteryKind::Installed, kind_said),
                doubt: says.map(|says| doubt(says, Asks::BuiltIn)),
                wh: Some(devices.get(first_of(i, document))?.battery_wh),
                assumed_v: device.battery_wh.is_none() && device.battery_v.is_none(),
                mah: device
                    .battery_mah
                    .map(|mah| (mah, device.battery_v.unwrap_or(DEFAULT_BATTERY_V))),
                count: device.count.unwrap_or(1),
            })
        })
        .collect()
}

/// The chargers and adapters that are power banks by their name: that there is a battery in
/// them is nowhere said, nor how large it is.
pub(super) fn of_sources(document: &SetupDocument, trip: &TripDocument) -> Vec<BatterySpec> {
    let known = |name: &str| {
        trip.batteries.iter().any(|battery| battery.name == name)
            || document.devices.iter().any(|device| device.name == name)
    };
    let chargers = document.chargers.iter().map(|charger| (&charger.name, 1));
    let adapters = trip
        .adapters
        .iter()
        .map(|adapter| (&adapter.name, adapter.count.unwrap_or(1)));
    chargers
        .chain(adapters)
        .filter(|(name, _)| !known(name))
        .filter_map(|(name, count)| {
            let says = name_plainly_says(name)?;
            Some(BatterySpec {
                name: name.clone(),
                kind: kind_said(&says),
                doubt: Some(doubt(says, Asks::AnyBattery)),
                wh: None,
                assumed_v: false,
                mah: None,
                count,
            })
        })
        .collect()
}

/// A declared kind stands, and is asked about where the name says something stricter.
fn doubt_of_declared(battery: &Battery) -> Option<Doubt> {
    let says = name_says(&battery.name)?;
    let stricter = match battery.kind {
        BatteryKind::Installed => true,
        BatteryKind::Spare => says.plainly && says.kind == facts::BatteryKind::PowerBank,
        BatteryKind::PowerBank => false,
    };
    stricter.then(|| doubt(says, Asks::Declared))
}

fn doubt(says: NameSays, asks: Asks) -> Doubt {
    Doubt {
        words: says.words,
        asks,
    }
}

fn kind_said(says: &NameSays) -> BatteryKind {
    match says.kind {
        facts::BatteryKind::BuiltIn => BatteryKind::Installed,
        facts::BatteryKind::Spare => BatteryKind::Spare,
        facts::BatteryKind::PowerBank => BatteryKind::PowerBank,
    }
}
