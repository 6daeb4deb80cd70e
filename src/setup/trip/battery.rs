//! The batteries of a trip: its own, and those of the devices that it does not name.
//!
//! A device's battery is built in unless its kind or its name speaks against that. A kind
//! is an answer; a word of a name is taken for what it says, and the answer asks.

use super::super::DeviceSpec;
use super::super::ask::At;
use super::{Asks, BatterySpec, Doubt, Speaks};
use crate::facts::{self, Energy, Kind, NameSays, kind_says, name_plainly_says, name_says};
use crate::limits::{BATTERY_MAH, BATTERY_V, BATTERY_WH, LITHIUM_G, TRIP_COUNT};
use crate::setup::document::{Battery, BatteryKind, Device, SetupDocument, TripDocument};

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
    let lithium_g = at.number("lithium_g", battery.lithium_g, &LITHIUM_G);
    // Nobody's cells have the voltage of a USB output.
    let charge = volts.map(|cell_v| Energy::Charge { mah: 1.0, cell_v });
    if let Some(Err(fault)) = charge.map(Energy::watt_hours) {
        at.fault("battery_v", fault.to_string());
    }
    if battery.battery_wh.is_some() && battery.battery_mah.is_some() {
        let message = "a battery has `battery_wh` or `battery_mah`, not both";
        at.fault("battery_mah", message);
    }
    if battery.lithium_g.is_some()
        && (battery.battery_wh.is_some() || battery.battery_mah.is_some())
    {
        let message = "a battery of lithium metal has `lithium_g`, no watt-hours";
        at.fault("lithium_g", message);
    }
    let own = wh.map(|wh| (Some(wh), None)).or_else(|| {
        let volts = volts.unwrap_or(DEFAULT_BATTERY_V);
        mah.map(|mah| (Some(mah / 1000.0 * volts), Some((mah, volts))))
    });
    let own = own.or(battery.lithium_g.map(|_| (None, None)));
    let listed = document
        .devices
        .iter()
        .position(|device| device.name == battery.name);
    let device = listed.map(|i| &document.devices[i]);
    let (wh, printed) = match (own, listed) {
        (Some(own), _) => own,
        (None, Some(i)) => {
            let spec = devices.get(first_of(i, document));
            (spec.map(|device| device.battery_wh), None)
        }
        (None, None) => {
            let message = "a battery needs `battery_wh`, `battery_mah` or `lithium_g`, or the name of a device";
            at.findings.add(at.path.clone(), message).about(&[
                "battery_wh",
                "battery_mah",
                "lithium_g",
                "name",
            ]);
            (Some(0.0), None)
        }
    };
    let (kind, doubt) = judged(battery, device);
    BatterySpec {
        name: battery.name.clone(),
        kind,
        doubt,
        wh,
        lithium_g,
        medical: battery.medical.unwrap_or(false),
        assumed_v: printed.is_some() && volts.is_none(),
        mah: printed,
        count: battery
            .count
            .or(device.map(|device| device.count.unwrap_or(1)))
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
            let (kind, doubt) = kind_of(device);
            let stated = device.battery_wh.is_some() || device.battery_mah.is_some();
            // Power banks and drones' batteries come larger than is usual for their kind: they
            // are asked for their label.
            let of_any_size = of_kind(device).is_some_and(|says| says.plainly);
            let known = stated || !of_any_size;
            let spec = devices.get(first_of(i, document))?;
            Some(BatterySpec {
                name: device.name.clone(),
                kind,
                doubt,
                wh: known.then_some(spec.battery_wh),
                lithium_g: None,
                medical: false,
                assumed_v: device.battery_wh.is_none() && device.battery_v.is_none(),
                mah: device
                    .battery_mah
                    .map(|mah| (mah, device.battery_v.unwrap_or(DEFAULT_BATTERY_V))),
                count: device.count.unwrap_or(1),
            })
        })
        .collect()
}

/// What the battery of a device is that nobody declared: what its kind plainly says, else the
/// stricter of what its kind and its name may say, with the question.
fn kind_of(device: &Device) -> (BatteryKind, Option<Doubt>) {
    let by_kind = of_kind(device);
    let by_name = name_says(&device.name);
    match (by_kind, by_name) {
        (Some(kind), Some(name)) if is_bank(&name) && name.plainly && !is_bank(&kind) => {
            asked(name, Speaks::Name)
        }
        (Some(kind), _) if kind.plainly => (kind_said(&kind), None),
        (Some(kind), None) => asked(kind, Speaks::Kind),
        (_, Some(name)) => asked(name, Speaks::Name),
        (None, None) => (BatteryKind::Installed, None),
    }
}

/// What the `kind` of a device says of its battery.
fn of_kind(device: &Device) -> Option<NameSays> {
    Kind::named(device.kind.as_deref()?).and_then(kind_says)
}

fn asked(says: NameSays, by: Speaks) -> (BatteryKind, Option<Doubt>) {
    let kind = kind_said(&says);
    (kind, Some(doubt(says, by, Asks::BuiltIn)))
}

fn is_bank(says: &NameSays) -> bool {
    says.kind == facts::BatteryKind::PowerBank
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
                doubt: Some(doubt(says, Speaks::Name, Asks::AnyBattery)),
                wh: None,
                lithium_g: None,
                medical: false,
                assumed_v: false,
                mah: None,
                count,
            })
        })
        .collect()
}

/// A declared kind stands, and is asked about where the name says something stricter. But a
/// power bank is never built in, nor anything else where the device's kind says that it is one.
fn judged(battery: &Battery, device: Option<&Device>) -> (BatteryKind, Option<Doubt>) {
    if battery.kind == BatteryKind::PowerBank {
        return (battery.kind, None);
    }
    let overruled = |says, by| {
        (
            BatteryKind::PowerBank,
            Some(doubt(says, by, Asks::Overruled)),
        )
    };
    if let Some(says) = device.and_then(of_kind).filter(is_bank) {
        return overruled(says, Speaks::Kind);
    }
    let Some(says) = name_says(&battery.name) else {
        return (battery.kind, None);
    };
    let bank = says.plainly && is_bank(&says);
    let asks = match battery.kind {
        BatteryKind::Installed if bank => return overruled(says, Speaks::Name),
        BatteryKind::Installed => true,
        BatteryKind::Spare | BatteryKind::Bag => bank,
        BatteryKind::BagFixed | BatteryKind::PowerBank => false,
    };
    let asked = asks.then(|| doubt(says, Speaks::Name, Asks::Declared));
    (battery.kind, asked)
}

fn doubt(says: NameSays, by: Speaks, asks: Asks) -> Doubt {
    Doubt {
        words: says.words,
        by,
        asks,
    }
}

fn kind_said(says: &NameSays) -> BatteryKind {
    match says.kind {
        facts::BatteryKind::BuiltIn => BatteryKind::Installed,
        facts::BatteryKind::Spare => BatteryKind::Spare,
        facts::BatteryKind::PowerBank => BatteryKind::PowerBank,
        facts::BatteryKind::Bag => BatteryKind::Bag,
        facts::BatteryKind::BagFixed => BatteryKind::BagFixed,
    }
}
