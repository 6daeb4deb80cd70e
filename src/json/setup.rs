//! A syntax tree to a [`SetupDocument`], field by field as they are declared.

use jsonc_parser::ast::Value;

use super::fields::{Element, Field, Part, part, word};
use super::reader::{Fields, Reader, finite};
use crate::diagnostics::Path;
use crate::limits::{FORM, LABEL_LINES, PORTS, Quantity, Size};
use crate::setup::document::{
    Adapter, Aim, Appliance, Battery, BatteryKind, Cable, Charger, Combination, Converter, Device,
    Label, Lead, Load, Pool, PoolPorts, Port, Reserve, Session, SetupDocument, Shop, Span, Stop,
    TripDocument, Voltages, adapter_fields, appliance_fields, battery_fields, cable_fields,
    charger_fields, converter_fields, device_fields, lead_fields, pool_fields, port_fields,
    session_fields, setup_fields, shop_fields, stop_fields, trip_fields,
};

setup_fields!(part);
session_fields!(part);
charger_fields!(part);
port_fields!(part);
pool_fields!(part);
lead_fields!(part);
cable_fields!(part);
device_fields!(part);
shop_fields!(part);
trip_fields!(part);
stop_fields!(part);
adapter_fields!(part);
appliance_fields!(part);
converter_fields!(part);
battery_fields!(part);

word!(Aim, Reserve, Voltages, Load, BatteryKind);

/// Reads a setup document. Where `chargers_elsewhere`, it may lack its own.
pub(crate) fn setup(
    reader: &mut Reader,
    value: &Value<'_>,
    chargers_elsewhere: bool,
) -> SetupDocument {
    let known = SetupDocument::FIELDS;
    let Some(f) = reader.object(value, &Path::default(), SetupDocument::WHAT, Some(known)) else {
        return SetupDocument::default();
    };
    // A route may lack both; what must not be empty the check knows.
    let is_route = f.has("trip");
    for name in SetupDocument::NEEDED {
        if !(is_route || chargers_elsewhere && *name == "chargers") {
            reader.require(&f, name, SetupDocument::WHAT);
        }
    }
    SetupDocument::of(reader, &f).unwrap_or_default()
}

/// The version of a document that no check follows.
pub(crate) fn version(reader: &mut Reader, f: &Fields<'_, '_>) -> Option<u32> {
    Field::field(reader, f, "version", FORM)
}

/// Reads one charger that is a document of its own, and may carry its version.
pub(crate) fn charger_alone(reader: &mut Reader, value: &Value<'_>) -> Charger {
    let known = [&["version"], Charger::FIELDS].concat();
    let Some(f) = reader.object(value, &Path::default(), Charger::WHAT, Some(&known)) else {
        return Charger::default();
    };
    version(reader, &f);
    Charger::require(reader, &f);
    Charger::of(reader, &f).unwrap_or_default()
}

/// A field that is an object with fields of its own.
macro_rules! object_field {
    ($($name:ident),+) => {$(
        impl Field<()> for $name {
            fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
                let value = reader.any(f, name)?;
                Self::object(reader, value, &f.path.field(name))
            }
        }
    )+};
}

object_field!(TripDocument, Shop, Lead);

/// The check of its range follows.
impl Field<Quantity> for Span {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, _: Quantity) -> Option<Self> {
        const PAIR: Size = Size {
            what: "numbers in a pair",
            most: 2,
        };
        let value = reader.any(f, name)?;
        let (path, what) = (f.path.field(name), format!("`{name}`"));
        let Value::Array(pair) = value else {
            if let Value::NumberLit(_) = value {
                return reader.number(f, name).map(Self::Of);
            }
            reader.wrong_type(path, &what, "a number, or a pair [low, high]", value);
            return None;
        };
        if pair.elements.len() != 2 {
            let count = pair.elements.len();
            reader.refuse(
                path,
                format!("{what} is a number, or two of them, [low, high], not a list of {count}"),
            );
            return None;
        }
        let list = reader.list_of(value, &path, &what, PAIR, |reader, value, path| {
            reader.number_of(value, path, &what)
        })?;
        match list.as_slice() {
            &[Some(low), Some(high)] => Some(Self::Between(low, high)),
            _ => None,
        }
    }
}

impl Field<()> for PoolPorts {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        let value = reader.any(f, name)?;
        if let Value::StringLit(text) = value
            && text.value == "all"
        {
            return Some(Self::All);
        }
        let wanted = "\"all\" or a list of port names";
        texts(reader, f, name, (PORTS, "the name of a port", wanted)).map(Self::Named)
    }
}

impl Field<()> for Label {
    fn field(reader: &mut Reader, f: &Fields<'_, '_>, name: &str, (): ()) -> Option<Self> {
        let value = reader.any(f, name)?;
        if let Value::StringLit(text) = value {
            return Some(Self(vec![text.value.clone().into_owned()]));
        }
        let wanted = "a text or a list of texts";
        texts(reader, f, name, (LABEL_LINES, "a line of a label", wanted)).map(Self)
    }
}

/// A list of texts where something else is `wanted`, too.
fn texts(
    reader: &mut Reader,
    f: &Fields<'_, '_>,
    name: &str,
    (size, each, wanted): (Size, &'static str, &str),
) -> Option<Vec<String>> {
    let value = reader.any(f, name)?;
    let (path, what) = (f.path.field(name), format!("`{name}`"));
    let Value::Array(_) = value else {
        reader.wrong_type(path, &what, wanted, value);
        return None;
    };
    reader.list_of(value, &path, &what, size, |reader, value, path| {
        reader.text_of(value, path, each).unwrap_or_default()
    })
}

impl Element for Combination {
    fn element(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Self> {
        let Some(f) = reader.object(value, path, "a combination", None) else {
            return Some(Self::default());
        };
        let mut line = Vec::new();
        for (port, value) in f.entries().take(PORTS.most + 1) {
            let watts = finite(value)
                .or_else(|| reader.number_of(value, &path.field(port), "a combination's power"));
            line.push((port.to_owned(), watts.unwrap_or_default()));
        }
        Some(Self(line))
    }
}

/// A point of a charging curve.
impl Element for (f64, f64) {
    fn element(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<Self> {
        const PAIR: Size = Size {
            what: "numbers in one point",
            most: 2,
        };
        let what = "a point of `draw_w`";
        if let Value::Array(pair) = value
            && pair.elements.len() != 2
        {
            let count = pair.elements.len();
            let message = format!("{what} is two numbers, [percent, watts], not a list of {count}");
            reader.refuse(path.clone(), message);
            return Some((0.0, 0.0));
        }
        let read = |reader: &mut Reader, value: &Value<'_>, path: &Path| {
            reader
                .number_of(value, path, "a number of a point of `draw_w`")
                .unwrap_or_default()
        };
        match reader.list_of(value, path, what, PAIR, read).as_deref() {
            Some(&[percent, watts]) => Some((percent, watts)),
            _ => Some((0.0, 0.0)),
        }
    }
}
