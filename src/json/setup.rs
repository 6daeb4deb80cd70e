//! A syntax tree to a [`SetupDocument`], field by field.

use jsonc_parser::ast::Value;

use super::reader::{Fields, Reader};
use super::trip;
use crate::diagnostics::Path;
use crate::limits::{
    CABLE_COUNT, CABLES, CHARGERS, COMBINATIONS, DEVICE_COUNT, DEVICES, DRAW_POINTS, LABEL_LINES,
    POOLS, PORTS, PRIORITY, SESSIONS, Size, TIERS, VERSION,
};
use crate::setup::document::{
    Cable, Charger, Combination, Device, Label, Pool, PoolPorts, Port, Reserve, Session,
    SetupDocument,
};

pub(crate) const SETUP_FIELDS: [&str; 9] = [
    "version",
    "name",
    "session_h",
    "start",
    "sessions",
    "chargers",
    "cables",
    "devices",
    "trip",
];
pub(crate) const SESSION_FIELDS: [&str; 3] = ["name", "hours", "swap"];
pub(crate) const CHARGER_FIELDS: [&str; 13] = [
    "name",
    "ports",
    "max_w",
    "pools",
    "combinations",
    "tiers_w",
    "reserve",
    "efficiency",
    "weight_g",
    "price",
    "plug",
    "input_v",
    "input_hz",
];
pub(crate) const PORT_FIELDS: [&str; 5] = ["name", "connector", "pd_w", "offers", "max_w"];
pub(crate) const POOL_FIELDS: [&str; 3] = ["name", "ports", "max_w"];
pub(crate) const CABLE_FIELDS: [&str; 10] = [
    "name", "from", "to", "max_a", "max_v", "e_marked", "length_m", "awg", "ohm", "count",
];
pub(crate) const DEVICE_FIELDS: [&str; 21] = [
    "name",
    "count",
    "inlet",
    "accepts",
    "pd_w",
    "max_w",
    "min_w",
    "battery_wh",
    "battery_mah",
    "battery_v",
    "start_pct",
    "target_pct",
    "draw_w",
    "efficiency",
    "running_w",
    "ready_by_h",
    "priority",
    "sessions",
    "reach_m",
    "port",
    "cable",
];

/// Reads a setup document. Where `chargers_elsewhere`, it may lack its own.
pub(crate) fn setup(
    reader: &mut Reader,
    value: &Value<'_>,
    chargers_elsewhere: bool,
) -> SetupDocument {
    let path = Path::default();
    let Some(f) = reader.object(value, &path, "a setup", Some(&SETUP_FIELDS)) else {
        return SetupDocument::default();
    };
    if !chargers_elsewhere {
        reader.require(&f, "chargers", "a setup");
    }
    reader.require(&f, "devices", "a setup");
    SetupDocument {
        version: version(reader, &f, false),
        name: reader.text(&f, "name"),
        session_h: reader.number(&f, "session_h"),
        start: reader.text(&f, "start"),
        sessions: reader
            .list(&f, "sessions", SESSIONS, session)
            .unwrap_or_default(),
        chargers: reader
            .list(&f, "chargers", CHARGERS, charger)
            .unwrap_or_default(),
        cables: reader.list(&f, "cables", CABLES, cable).unwrap_or_default(),
        devices: reader
            .list(&f, "devices", DEVICES_LISTED, device)
            .unwrap_or_default(),
        trip: trip::trip(reader, &f),
    }
}

/// As [`DEVICES`], before counts are expanded.
const DEVICES_LISTED: Size = Size {
    what: "devices",
    most: DEVICES.most,
};

/// The version of a document; `here` where no check of the document follows.
pub(crate) fn version(reader: &mut Reader, f: &Fields<'_, '_>, here: bool) -> Option<u32> {
    let version = reader.whole(f, "version", &VERSION)?;
    if here && version != 1 {
        reader.refuse(f.path.field("version"), VERSION.refusal(f64::from(version)));
    }
    Some(version)
}

fn session(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Session {
    let Some(f) = reader.object(value, path, "a session", Some(&SESSION_FIELDS)) else {
        return Session::default();
    };
    reader.require(&f, "name", "a session");
    reader.require(&f, "hours", "a session");
    Session {
        name: reader.text(&f, "name").unwrap_or_default(),
        hours: reader.number(&f, "hours").unwrap_or_default(),
        swap: reader.flag(&f, "swap"),
    }
}

/// Reads one charger.
pub(crate) fn charger(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Charger {
    match reader.object(value, path, "a charger", Some(&CHARGER_FIELDS)) {
        Some(f) => charger_fields(reader, &f),
        None => Charger::default(),
    }
}

/// Reads one charger that is a document of its own, and may carry its version.
pub(crate) fn charger_alone(reader: &mut Reader, value: &Value<'_>) -> Charger {
    let mut known = vec!["version"];
    known.extend(CHARGER_FIELDS);
    let Some(f) = reader.object(value, &Path::default(), "a charger", Some(&known)) else {
        return Charger::default();
    };
    version(reader, &f, true);
    charger_fields(reader, &f)
}

fn charger_fields(reader: &mut Reader, f: &Fields<'_, '_>) -> Charger {
    reader.require(f, "name", "a charger");
    reader.require(f, "ports", "a charger");
    let reserves = [("offer", Reserve::Offer), ("contract", Reserve::Contract)];
    Charger {
        name: reader.text(f, "name").unwrap_or_default(),
        ports: reader.list(f, "ports", PORTS, port).unwrap_or_default(),
        max_w: reader.number(f, "max_w"),
        pools: reader.list(f, "pools", POOLS, pool).unwrap_or_default(),
        combinations: reader
            .list(f, "combinations", COMBINATIONS, combination)
            .unwrap_or_default(),
        tiers_w: reader.list(f, "tiers_w", TIERS, tier),
        reserve: reader.word(f, "reserve", &reserves),
        efficiency: reader.number(f, "efficiency"),
        weight_g: reader.number(f, "weight_g"),
        price: reader.number(f, "price"),
        plug: reader.text(f, "plug"),
        input_v: trip::printed(reader, f, "input_v"),
        input_hz: trip::printed(reader, f, "input_hz"),
    }
}

fn tier(reader: &mut Reader, value: &Value<'_>, path: &Path) -> f64 {
    reader.number_of(value, path, "a tier").unwrap_or_default()
}

pub(super) fn port(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Port {
    let Some(f) = reader.object(value, path, "a port", Some(&PORT_FIELDS)) else {
        return Port::default();
    };
    reader.require(&f, "name", "a port");
    Port {
        name: reader.text(&f, "name").unwrap_or_default(),
        connector: reader.text(&f, "connector"),
        pd_w: reader.number(&f, "pd_w"),
        offers: label(reader, &f, "offers"),
        max_w: reader.number(&f, "max_w"),
    }
}

pub(super) fn pool(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Pool {
    let Some(f) = reader.object(value, path, "a pool", Some(&POOL_FIELDS)) else {
        return Pool::default();
    };
    for field in POOL_FIELDS {
        reader.require(&f, field, "a pool");
    }
    Pool {
        name: reader.text(&f, "name").unwrap_or_default(),
        ports: pool_ports(reader, &f).unwrap_or_default(),
        max_w: reader.number(&f, "max_w").unwrap_or_default(),
    }
}

fn pool_ports(reader: &mut Reader, f: &Fields<'_, '_>) -> Option<PoolPorts> {
    let value = reader.any(f, "ports")?;
    let path = f.path.field("ports");
    match value {
        Value::StringLit(text) if text.value == "all" => Some(PoolPorts::All),
        Value::Array(_) => {
            let read = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
                reader
                    .text_of(value, path, "the name of a port")
                    .unwrap_or_default()
            };
            reader
                .list_of(value, &path, "`ports`", PORTS, read)
                .map(PoolPorts::Named)
        }
        _ => {
            reader.wrong_type(path, "`ports`", "\"all\" or a list of port names", value);
            None
        }
    }
}

pub(super) fn combination(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Combination {
    let Some(f) = reader.object(value, path, "a combination", None) else {
        return Combination::default();
    };
    let mut line = Vec::new();
    for (port, value) in f.entries().take(PORTS.most + 1) {
        let watts = reader.number_of(value, &path.field(port), "a combination's power");
        line.push((port.to_owned(), watts.unwrap_or_default()));
    }
    Combination(line)
}

fn label(reader: &mut Reader, f: &Fields<'_, '_>, name: &str) -> Option<Label> {
    let value = reader.any(f, name)?;
    let path = f.path.field(name);
    match value {
        Value::StringLit(text) => Some(Label(vec![text.value.clone().into_owned()])),
        Value::Array(_) => {
            let read = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
                reader
                    .text_of(value, path, "a line of a label")
                    .unwrap_or_default()
            };
            reader
                .list_of(value, &path, &format!("`{name}`"), LABEL_LINES, read)
                .map(Label)
        }
        _ => {
            reader.wrong_type(
                path,
                &format!("`{name}`"),
                "a text or a list of texts",
                value,
            );
            None
        }
    }
}

fn cable(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Cable {
    let Some(f) = reader.object(value, path, "a cable", Some(&CABLE_FIELDS)) else {
        return Cable::default();
    };
    reader.require(&f, "name", "a cable");
    Cable {
        name: reader.text(&f, "name").unwrap_or_default(),
        from: reader.text(&f, "from"),
        to: reader.text(&f, "to"),
        max_a: reader.number(&f, "max_a"),
        max_v: reader.number(&f, "max_v"),
        e_marked: reader.flag(&f, "e_marked"),
        length_m: reader.number(&f, "length_m"),
        awg: reader.number(&f, "awg"),
        ohm: reader.number(&f, "ohm"),
        count: reader.whole(&f, "count", &CABLE_COUNT),
    }
}

fn device(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Device {
    let Some(f) = reader.object(value, path, "a device", Some(&DEVICE_FIELDS)) else {
        return Device::default();
    };
    reader.require(&f, "name", "a device");
    Device {
        name: reader.text(&f, "name").unwrap_or_default(),
        count: reader.whole(&f, "count", &DEVICE_COUNT),
        inlet: reader.text(&f, "inlet"),
        accepts: label(reader, &f, "accepts"),
        pd_w: reader.number(&f, "pd_w"),
        max_w: reader.number(&f, "max_w"),
        min_w: reader.number(&f, "min_w"),
        battery_wh: reader.number(&f, "battery_wh"),
        battery_mah: reader.number(&f, "battery_mah"),
        battery_v: reader.number(&f, "battery_v"),
        start_pct: reader.number(&f, "start_pct"),
        target_pct: reader.number(&f, "target_pct"),
        draw_w: reader.list(&f, "draw_w", DRAW_POINTS, draw_point),
        efficiency: reader.number(&f, "efficiency"),
        running_w: reader.number(&f, "running_w"),
        ready_by_h: reader.number(&f, "ready_by_h"),
        priority: priority(reader, &f),
        sessions: reader.list(&f, "sessions", SESSIONS, session_name),
        reach_m: reader.number(&f, "reach_m"),
        port: reader.text(&f, "port"),
        cable: reader.text(&f, "cable"),
    }
}

fn session_name(reader: &mut Reader, value: &Value<'_>, path: &Path) -> String {
    reader
        .text_of(value, path, "the name of a session")
        .unwrap_or_default()
}

fn priority(reader: &mut Reader, f: &Fields<'_, '_>) -> Option<u8> {
    let number = reader.whole(f, "priority", &PRIORITY)?;
    let small = u8::try_from(number).ok();
    if small.is_none() {
        reader.refuse(
            f.path.field("priority"),
            PRIORITY.refusal(f64::from(number)),
        );
    }
    small
}

fn draw_point(reader: &mut Reader, value: &Value<'_>, path: &Path) -> (f64, f64) {
    const PAIR: Size = Size {
        what: "numbers in one point",
        most: 2,
    };
    let what = "a point of `draw_w`";
    if let Value::Array(pair) = value
        && pair.elements.len() != 2
    {
        let count = pair.elements.len();
        let message =
            format!("a point of `draw_w` is two numbers, [percent, watts], not a list of {count}");
        reader.refuse(path.clone(), message);
        return (0.0, 0.0);
    }
    let read = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
        reader
            .number_of(value, path, "a number of a point of `draw_w`")
            .unwrap_or_default()
    };
    match reader.list_of(value, path, what, PAIR, read).as_deref() {
        Some(&[percent, watts]) => (percent, watts),
        _ => (0.0, 0.0),
    }
}
