//! A person's own way of plugging in: a plan document, or the short form
//! `{"laptop": "C1", "phone": {"port": "C2", "cable": "white"}}`.

use jsonc_parser::ast::Value;
use serde::ser::{SerializeMap, SerializeStruct};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::diagnostics::{Error, Findings, Path, Result, Source, shown};
use crate::json::origins::Origins;
use crate::json::reader::{Fields, Reader, SCHEMA};
use crate::json::{by_reader, gather, read, written};
use crate::limits::{self, CONTRACT_A, CONTRACT_V, PLAN_ENTRIES, Quantity};
use crate::plan::way::{Paths, Plug, Way, resolve};
use crate::setup::Setup;

/// Fields of a plug in the short form.
const PLUG_FIELDS: [&str; 4] = ["port", "cable", "volts", "amps"];
/// The list that makes a document a plan document.
const BERTHS: &str = "berths";
const VERSION: &str = "version";

impl Way {
    /// The way as JSON text, indented, with a line break at its end: the list of its plugs,
    /// `berths`. Numbers are in full.
    pub fn to_json(&self) -> String {
        written(self, |value| value)
    }

    /// Reads a way of plugging in: a plan document, of which the berths count (`charger`,
    /// `cable`, and `volts` with `amps` may be absent there), or the short form, with the
    /// names of the devices as fields: `{"laptop": "C1", "phone": {"port": "C2",
    /// "cable": "white"}}`. Its names are looked up in `setup`.
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found.
    pub fn from_json(setup: &Setup, text: &str) -> Result<Self> {
        Self::from_source(setup, Source { file: "", text })
    }

    /// As [`Way::from_json`], with a name under which faults speak of the text.
    ///
    /// # Errors
    /// As [`Way::from_json`].
    pub fn from_source(setup: &Setup, source: Source<'_>) -> Result<Self> {
        let (mut texts, mut readers) = (Vec::new(), Vec::new());
        let plugs = read(source, &mut texts, &mut readers, |reader, tree| {
            let mut plugs = Vec::new();
            for (plug, paths) in plugged(reader, tree) {
                resolve(setup, &plug, &paths, &mut reader.findings);
                plugs.push(plug);
            }
            plugs
        });
        let faults = gather(&texts, readers, Findings::new(), &Origins::default());
        if faults.is_empty() {
            Ok(Self { plugs })
        } else {
            Err(Error::Input(faults))
        }
    }
}

impl<'de> Deserialize<'de> for Way {
    /// In either form; its names are looked up where it is used.
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        by_reader(from, |reader, tree| Self {
            plugs: plugged(reader, tree)
                .into_iter()
                .map(|(plug, _)| plug)
                .collect(),
        })
    }
}

impl<'de> Deserialize<'de> for Plug {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        by_reader(from, |reader, tree| {
            let plug = berth(reader, tree, &Path::default());
            plug.map(|(plug, _)| plug).unwrap_or_default()
        })
    }
}

/// As the list of its plugs, `berths`, which a plan document has, too.
impl Serialize for Way {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut document = to.serialize_struct("Way", 1)?;
        document.serialize_field(BERTHS, &self.plugs)?;
        document.end()
    }
}

impl Serialize for Plug {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut fields = to.serialize_map(None)?;
        fields.serialize_entry("device", &self.device)?;
        if let Some(charger) = &self.charger {
            fields.serialize_entry("charger", charger)?;
        }
        fields.serialize_entry("port", &self.port)?;
        if let Some(cable) = &self.cable {
            fields.serialize_entry("cable", cable)?;
        }
        if let Some((volts, amps)) = self.contract {
            fields.serialize_entry("volts", &volts)?;
            fields.serialize_entry("amps", &amps)?;
        }
        fields.end()
    }
}

/// The JSON Schema (2020-12) of a way of plugging in: a plan document, of which the berths
/// count, or the short form, with the names of the devices as fields.
#[cfg(feature = "schema")]
pub fn berths_schema() -> serde_json::Value {
    use serde_json::json;

    let contract = json!({"volts": ["amps"], "amps": ["volts"]});
    let (volts, amps) = (CONTRACT_V.schema(), CONTRACT_A.schema());
    let text = json!({"type": "string"});
    let version = json!({"const": 1});
    let schema = json!({
        "$defs": {
            "Berth": {
                "description": "A device plugged in, as plan documents tell it.",
                "type": "object",
                "properties": {
                    "device": text, "charger": text, "port": text, "cable": text,
                    "volts": volts, "amps": amps,
                },
                "required": ["device", "port"],
                "dependentRequired": contract,
            },
            "Plug": {
                "description": "The port of a device, or that with its cable and its contract.",
                "anyOf": [text, {
                    "type": "object",
                    "properties": {"port": text, "cable": text, "volts": volts, "amps": amps},
                    "required": ["port"],
                    "dependentRequired": contract,
                    "additionalProperties": false,
                }],
            },
        },
        "type": "object",
        "if": {"required": [BERTHS], "properties": {BERTHS: {"type": "array"}}},
        "then": {"properties": {
            BERTHS: {
                "type": "array", "items": {"$ref": "#/$defs/Berth"}, "maxItems": PLAN_ENTRIES.most,
            },
            VERSION: version,
        }},
        "else": {
            "properties": {VERSION: {
                "anyOf": [version, {"$ref": "#/$defs/Plug"}],
            }},
            "patternProperties": {"^(?!\\$schema$|version$)": {"$ref": "#/$defs/Plug"}},
        },
    });
    crate::json::schema_by_hand("berths_schema", "way of plugging in", schema)
}

/// Every plug that could be read whole; the others left a fault behind.
fn plugged(reader: &mut Reader, tree: &Value<'_>) -> Vec<(Plug, Paths)> {
    let top = Path::default();
    let Some(f) = reader.object(tree, &top, "a way of plugging in", None) else {
        return Vec::new();
    };
    // Devices have a text or an object for a value, so that one may have these names.
    let is_plan =
        |(name, value): &(&str, &Value<'_>)| *name == BERTHS && matches!(value, Value::Array(_));
    if f.entries().any(|entry| is_plan(&entry)) {
        version(reader, &f);
        let berths = reader
            .list(&f, BERTHS, PLAN_ENTRIES, berth)
            .unwrap_or_default();
        return berths.into_iter().flatten().collect();
    }
    let mut plugs = Vec::new();
    for (name, value) in f.entries() {
        if name == VERSION && matches!(value, Value::NumberLit(_)) {
            version(reader, &f);
        } else if name != SCHEMA
            && !plugs
                .iter()
                .any(|(plug, _): &(Plug, _)| plug.device == name)
        {
            plugs.extend(short(reader, name, value, &top.field(name)));
        }
    }
    plugs
}

fn version(reader: &mut Reader, f: &Fields<'_, '_>) {
    let Some(version) = reader.number(f, VERSION) else {
        return;
    };
    if !limits::VERSION.holds(version) {
        let refusal = limits::VERSION.refusal(version);
        reader.refuse(f.path.field(VERSION), refusal);
    }
}

/// One device of the short form.
fn short(
    reader: &mut Reader,
    device: &str,
    value: &Value<'_>,
    path: &Path,
) -> Option<(Plug, Paths)> {
    let mut paths = Paths::within(path);
    paths.device = path.clone();
    let mut plug = Plug::default();
    device.clone_into(&mut plug.device);
    match value {
        Value::StringLit(port) => {
            paths.port = path.clone();
            plug.port = port.value.clone().into_owned();
        }
        Value::Object(_) => {
            let f = reader.object(value, path, "a plugged device", Some(&PLUG_FIELDS))?;
            reader.require(&f, "port", "a plugged device");
            plug.cable = reader.text(&f, "cable");
            plug.contract = contract(reader, &f);
            plug.port = reader.text(&f, "port")?;
            if refused(reader, &f) {
                return None;
            }
        }
        other => {
            let what = format!("the place of \"{}\"", shown(device));
            let wanted = "a port's name in quotes, or an object with `port`";
            reader.wrong_type(path.clone(), &what, wanted, other);
            return None;
        }
    }
    Some((plug, paths))
}

/// One berth of a plan document.
fn berth(reader: &mut Reader, value: &Value<'_>, path: &Path) -> Option<(Plug, Paths)> {
    let f = reader.object(value, path, "a berth", None)?;
    for field in ["device", "port"] {
        reader.require(&f, field, "a berth");
    }
    let (device, port) = (reader.text(&f, "device"), reader.text(&f, "port"));
    let plug = Plug {
        charger: reader.text(&f, "charger"),
        cable: reader.text(&f, "cable"),
        contract: contract(reader, &f),
        device: device?,
        port: port?,
    };
    (!refused(reader, &f)).then(|| (plug, Paths::within(path)))
}

/// Whether a field that says where the device is could not be read: what is left would
/// mean another place.
fn refused(reader: &Reader, f: &Fields<'_, '_>) -> bool {
    let of_place = ["charger", "port", "cable"];
    of_place
        .iter()
        .any(|name| reader.refused.contains(&f.path.field(name)))
}

/// The contract; `None` where it is absent, or not to be read.
fn contract(reader: &mut Reader, f: &Fields<'_, '_>) -> Option<(f64, f64)> {
    let mut number = |name: &str, range: &Quantity| {
        let value = reader.number(f, name)?;
        if range.holds(value) {
            return Some(value);
        }
        reader.refuse(f.path.field(name), range.refusal(value));
        None
    };
    match (f.has("volts"), f.has("amps")) {
        (true, true) => {
            let (volts, amps) = (number("volts", &CONTRACT_V), number("amps", &CONTRACT_A));
            Some((volts?, amps?))
        }
        (false, false) => None,
        _ => {
            let message = "a contract has `volts` and `amps`: give both, or neither";
            reader.findings.add(f.path.clone(), message);
            None
        }
    }
}
