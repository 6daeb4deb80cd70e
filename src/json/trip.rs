//! A syntax tree to a [`TripDocument`], field by field.

use jsonc_parser::ast::Value;

use super::reader::{Fields, Reader};
use crate::diagnostics::Path;
use crate::json::setup::{combination, pool, port};
use crate::limits::{
    ADAPTERS, APPLIANCES, BATTERIES, COMBINATIONS, CONVERTERS, MAINS_VALUES, NIGHTS, OUTLETS,
    PLUG_KINDS, POOLS, PORTS, STOPS, TRAVELLERS, TRIP_COUNT,
};
use crate::setup::document::{
    Adapter, Appliance, Battery, BatteryKind, Converter, Load, Stop, TripDocument,
};

pub(crate) const TRIP_FIELDS: [&str; 6] = [
    "travellers",
    "stops",
    "adapters",
    "appliances",
    "converters",
    "batteries",
];
pub(crate) const STOP_FIELDS: [&str; 8] = [
    "name",
    "country",
    "nights",
    "session_h",
    "outlets",
    "voltages_v",
    "frequencies_hz",
    "sockets",
];
pub(crate) const ADAPTER_FIELDS: [&str; 14] = [
    "name",
    "count",
    "takes",
    "makes",
    "max_a",
    "earthed",
    "fuse_a",
    "weight_g",
    "ports",
    "max_w",
    "pools",
    "combinations",
    "input_v",
    "input_hz",
];
pub(crate) const APPLIANCE_FIELDS: [&str; 7] = [
    "name",
    "plug",
    "input_v",
    "input_hz",
    "max_w",
    "kind",
    "needs_earth",
];
pub(crate) const CONVERTER_FIELDS: [&str; 9] = [
    "name", "from_v", "to_v", "max_w", "kinds", "plug", "takes", "earthed", "weight_g",
];
pub(crate) const BATTERY_FIELDS: [&str; 6] = [
    "name",
    "kind",
    "battery_wh",
    "battery_mah",
    "battery_v",
    "count",
];

const LOADS: [(&str, Load); 3] = [
    ("heating", Load::Heating),
    ("motor", Load::Motor),
    ("electronic", Load::Electronic),
];

const BATTERY_KINDS: [(&str, BatteryKind); 3] = [
    ("installed", BatteryKind::Installed),
    ("spare", BatteryKind::Spare),
    ("power-bank", BatteryKind::PowerBank),
];

/// Reads the `trip` of a setup, where it has one.
pub(super) fn trip(reader: &mut Reader, setup: &Fields<'_, '_>) -> Option<TripDocument> {
    let value = reader.any(setup, "trip")?;
    let path = setup.path.field("trip");
    let f = reader.object(value, &path, "a trip", Some(&TRIP_FIELDS))?;
    reader.require(&f, "stops", "a trip");
    Some(TripDocument {
        travellers: reader.whole(&f, "travellers", &TRAVELLERS),
        stops: reader.list(&f, "stops", STOPS, stop).unwrap_or_default(),
        adapters: reader
            .list(&f, "adapters", ADAPTERS, adapter)
            .unwrap_or_default(),
        appliances: reader
            .list(&f, "appliances", APPLIANCES, appliance)
            .unwrap_or_default(),
        converters: reader
            .list(&f, "converters", CONVERTERS, converter)
            .unwrap_or_default(),
        batteries: reader
            .list(&f, "batteries", BATTERIES, battery)
            .unwrap_or_default(),
    })
}

/// Text as printed, or the plain number that it is.
pub(super) fn printed(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> Option<String> {
    let value = reader.any(f, name)?;
    match value {
        Value::StringLit(text) => Some(text.value.clone().into_owned()),
        Value::NumberLit(_) => {
            let number = reader.number(f, name)?;
            Some(number.to_string())
        }
        _ => {
            let wanted = "a text as printed, or a number";
            reader.wrong_type(f.path.field(name), &format!("`{name}`"), wanted, value);
            None
        }
    }
}

fn stop(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Stop {
    let Some(f) = reader.object(value, path, "a stop", Some(&STOP_FIELDS)) else {
        return Stop::default();
    };
    reader.require(&f, "name", "a stop");
    reader.require(&f, "country", "a stop");
    let number = |what: &'static str| {
        move |reader: &mut Reader, value: &Value<'_>, path: &Path| {
            reader.number_of(value, path, what).unwrap_or_default()
        }
    };
    Stop {
        name: reader.text(&f, "name").unwrap_or_default(),
        country: reader.text(&f, "country").unwrap_or_default(),
        nights: reader.whole(&f, "nights", &NIGHTS),
        session_h: reader.number(&f, "session_h"),
        outlets: reader.whole(&f, "outlets", &OUTLETS),
        voltages_v: reader.list(&f, "voltages_v", MAINS_VALUES, number("a voltage")),
        frequencies_hz: reader.list(&f, "frequencies_hz", MAINS_VALUES, number("a frequency")),
        sockets: plugs(reader, &f, "sockets"),
    }
}

/// A list of the letters of plugs or sockets.
fn plugs(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> Option<Vec<String>> {
    let read = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
        reader
            .text_of(value, path, "the name of a plug")
            .unwrap_or_default()
    };
    reader.list(f, name, PLUG_KINDS, read)
}

fn adapter(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Adapter {
    let Some(f) = reader.object(value, path, "an adapter", Some(&ADAPTER_FIELDS)) else {
        return Adapter::default();
    };
    reader.require(&f, "name", "an adapter");
    reader.require(&f, "makes", "an adapter");
    Adapter {
        name: reader.text(&f, "name").unwrap_or_default(),
        count: reader.whole(&f, "count", &TRIP_COUNT),
        takes: plugs(reader, &f, "takes").unwrap_or_default(),
        makes: plugs(reader, &f, "makes").unwrap_or_default(),
        max_a: reader.number(&f, "max_a"),
        earthed: reader.flag(&f, "earthed"),
        fuse_a: reader.number(&f, "fuse_a"),
        weight_g: reader.number(&f, "weight_g"),
        ports: reader.list(&f, "ports", PORTS, port).unwrap_or_default(),
        max_w: reader.number(&f, "max_w"),
        pools: reader.list(&f, "pools", POOLS, pool).unwrap_or_default(),
        combinations: reader
            .list(&f, "combinations", COMBINATIONS, combination)
            .unwrap_or_default(),
        input_v: printed(reader, &f, "input_v"),
        input_hz: printed(reader, &f, "input_hz"),
    }
}

fn appliance(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Appliance {
    let Some(f) = reader.object(value, path, "an appliance", Some(&APPLIANCE_FIELDS)) else {
        return Appliance::default();
    };
    for field in ["name", "plug", "input_v", "max_w", "kind"] {
        reader.require(&f, field, "an appliance");
    }
    Appliance {
        name: reader.text(&f, "name").unwrap_or_default(),
        plug: reader.text(&f, "plug").unwrap_or_default(),
        input_v: printed(reader, &f, "input_v").unwrap_or_default(),
        input_hz: printed(reader, &f, "input_hz"),
        max_w: reader.number(&f, "max_w").unwrap_or_default(),
        kind: reader.word(&f, "kind", &LOADS).unwrap_or_default(),
        needs_earth: reader.flag(&f, "needs_earth"),
    }
}

fn converter(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Converter {
    let Some(f) = reader.object(value, path, "a converter", Some(&CONVERTER_FIELDS)) else {
        return Converter::default();
    };
    for field in ["name", "from_v", "to_v", "max_w", "kinds", "plug", "takes"] {
        reader.require(&f, field, "a converter");
    }
    let load = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
        reader
            .word_of(value, path, "a kind of load", &LOADS)
            .unwrap_or_default()
    };
    Converter {
        name: reader.text(&f, "name").unwrap_or_default(),
        from_v: printed(reader, &f, "from_v").unwrap_or_default(),
        to_v: reader.number(&f, "to_v").unwrap_or_default(),
        max_w: reader.number(&f, "max_w").unwrap_or_default(),
        kinds: reader
            .list(&f, "kinds", PLUG_KINDS, load)
            .unwrap_or_default(),
        plug: reader.text(&f, "plug").unwrap_or_default(),
        takes: plugs(reader, &f, "takes").unwrap_or_default(),
        earthed: reader.flag(&f, "earthed"),
        weight_g: reader.number(&f, "weight_g"),
    }
}

fn battery(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Battery {
    let Some(f) = reader.object(value, path, "a battery", Some(&BATTERY_FIELDS)) else {
        return Battery::default();
    };
    reader.require(&f, "name", "a battery");
    reader.require(&f, "kind", "a battery");
    Battery {
        name: reader.text(&f, "name").unwrap_or_default(),
        kind: reader.word(&f, "kind", &BATTERY_KINDS).unwrap_or_default(),
        battery_wh: reader.number(&f, "battery_wh"),
        battery_mah: reader.number(&f, "battery_mah"),
        battery_v: reader.number(&f, "battery_v"),
        count: reader.whole(&f, "count", &TRIP_COUNT),
    }
}
