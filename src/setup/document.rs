//! The setup document: chargers, cables and devices as their labels describe
//! them, before anything is checked.
//!
//! These are the types a program fills in by hand, the JSON reader fills in from
//! a file, and [`Setup`](crate::Setup) is checked from. Optional fields that are
//! absent take the defaults stated beside them.

mod build;
mod trip;

pub use trip::{Adapter, Appliance, Battery, BatteryKind, Converter, Load, Stop, TripDocument};

use schemars::JsonSchema;
use serde::Serialize;

/// One session: the chargers at hand, the cables in the bag, the devices to fill.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct SetupDocument {
    /// Version of the document's form; 1 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub version: Option<u32>,
    /// A name for people.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Default of every device's `ready_by_h`, in hours. Absent: nothing is late.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub session_h: Option<f64>,
    /// The time of day at which the first session, or the night, begins: `22:30`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<String>,
    /// The sessions of a rota, one after the other without gaps: plugs can be swapped
    /// only where one starts. A plan of one session leaves them out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sessions: Vec<Session>,
    /// The chargers, in the order in which ties are broken.
    pub chargers: Vec<Charger>,
    /// The cables in the bag.
    #[serde(default)]
    pub cables: Vec<Cable>,
    /// The devices to charge.
    pub devices: Vec<Device>,
    /// Where it all goes, for [`trip`](crate::trip()); other questions pass it over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trip: Option<TripDocument>,
}

/// A stretch of time in which nobody moves a plug; at its start somebody may.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Session {
    /// Unique among the sessions.
    pub name: String,
    /// How long it lasts, in hours.
    pub hours: f64,
    /// Whether plugs can be swapped at its start; `true` where absent. Where not, no
    /// berth starts with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub swap: Option<bool>,
}

/// A charger: ports with caps, and the limits they share.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Charger {
    /// Unique among the chargers.
    pub name: String,
    /// The ports, in the order in which ties are broken.
    pub ports: Vec<Port>,
    /// A limit over all ports, in watts: a pool named `total`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_w: Option<f64>,
    /// Further shared limits.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pools: Vec<Pool>,
    /// The label's lines "these ports in use together: so many watts each".
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub combinations: Vec<Combination>,
    /// Power levels between which the ports step when power is shared, in watts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tiers_w: Option<Vec<f64>>,
    /// What a berth takes from the pools; `offer` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reserve: Option<Reserve>,
    /// What its ports give over what it takes from the socket, from 0.3 to 1; the
    /// legal minimum for its rated output where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Weight in grams.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<f64>,
    /// Price, in whatever currency all candidates share.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// Its mains plug, for a trip: `C`, `EF`, `G`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plug: Option<String>,
    /// The mains voltage that it runs on, as printed: `100-240V`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "trip::printed")]
    pub input_v: Option<String>,
    /// The mains frequency that it runs on, as printed: `50/60Hz`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "trip::printed")]
    pub input_hz: Option<String>,
}

/// One outlet of a charger.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Port {
    /// Unique among the ports of its charger.
    pub name: String,
    /// `usb-c` (where absent), `usb-a`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub connector: Option<String>,
    /// The port's PD power in watts: shorthand for the fixed offers that the USB PD
    /// power rules require of such a source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pd_w: Option<f64>,
    /// The offers as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub offers: Option<Label>,
    /// The port's cap in watts; `pd_w`, else the largest offer, where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_w: Option<f64>,
}

/// A limit that several ports of one charger share.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Pool {
    /// Unique among the pools of its charger.
    pub name: String,
    /// The ports that share it.
    pub ports: PoolPorts,
    /// The most that they may take together, in watts.
    pub max_w: f64,
}

/// The ports of a pool.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum PoolPorts {
    /// Every port of the charger, written `"all"`.
    #[default]
    All,
    /// The named ports.
    Named(Vec<String>),
}

/// One line of a combination table: the ports in use together, and the watts that
/// each is then granted. Written as an object, `{"C1": 45, "C2": 20}`.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Combination(pub Vec<(String, f64)>);

/// What a berth takes from its charger's pools.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Reserve {
    /// Its tier: a source must be able to supply what it advertises.
    #[default]
    Offer,
    /// Its volts × amps: a charger known to take back what is not drawn.
    Contract,
}

/// Text printed on a thing: one string, or several that are read as its lines.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Label(pub Vec<String>);

/// A cable in the bag.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Cable {
    /// Unique among the cables.
    pub name: String,
    /// The connector at the charger; `usb-c` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// The connector at the device; `usb-c` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// Rated current in amperes; 5 where e-marked, else 1.8 where `to` is micro- or
    /// mini-B, else 3.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_a: Option<f64>,
    /// Rated voltage in volts; 21 where absent, 50 on an EPR cable.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_v: Option<f64>,
    /// Whether it carries an e-marker; `false` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub e_marked: Option<bool>,
    /// Length in metres. A cable of unknown length reaches only 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub length_m: Option<f64>,
    /// Gauge of the power conductors, AWG.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub awg: Option<f64>,
    /// Loop resistance in ohms, where known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ohm: Option<f64>,
    /// How many of them; 1 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
}

/// A device to charge.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Device {
    /// Unique among the devices, counts expanded.
    pub name: String,
    /// How many of them; 1 where absent. More than one become `NAME 1` … `NAME n`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// The inlet's connector; `usb-c` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inlet: Option<String>,
    /// What it accepts, as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accepts: Option<Label>,
    /// Shorthand: accepts the fixed PD voltages up to this power, in watts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pd_w: Option<f64>,
    /// The most it draws at the port, in watts; `pd_w`, else its largest entry.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_w: Option<f64>,
    /// The least inlet power with which it charges at all, in watts; 0 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub min_w: Option<f64>,
    /// Battery energy in watt-hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_wh: Option<f64>,
    /// Battery charge in milliampere-hours at `battery_v`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_mah: Option<f64>,
    /// Cell voltage for `battery_mah`; 3.7 where absent (common practice).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_v: Option<f64>,
    /// State of charge at the start, in percent; 0 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start_pct: Option<f64>,
    /// State of charge that counts as full, in percent; 100 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub target_pct: Option<f64>,
    /// The charging curve: points (state of charge in percent, watts at the inlet).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub draw_w: Option<Vec<(f64, f64)>>,
    /// Inlet to battery, from 0.3 to 1; 0.88 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<f64>,
    /// Watts at the inlet that the running device uses itself; 0 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub running_w: Option<f64>,
    /// When it must be full, in hours; the setup's `session_h` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ready_by_h: Option<f64>,
    /// 1 (must be charged), 2 (where absent), 3 (if there is room).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub priority: Option<u8>,
    /// The names of the sessions in which it is at hand; all where absent, never where
    /// empty. A plan of one session leaves that out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sessions: Option<Vec<String>>,
    /// How far from the charger it lies, in metres; 0 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach_m: Option<f64>,
    /// Pins the device to a port: `C1`, or `CHARGER/C1`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub port: Option<String>,
    /// Pins the device to a cable.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cable: Option<String>,
}

impl Serialize for PoolPorts {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::All => serializer.serialize_str("all"),
            Self::Named(names) => names.serialize(serializer),
        }
    }
}

impl Serialize for Combination {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(port, watts)| (port, watts)))
    }
}

impl Serialize for Label {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0.as_slice() {
            [one] => serializer.serialize_str(one),
            several => several.serialize(serializer),
        }
    }
}

impl JsonSchema for PoolPorts {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "PoolPorts".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "\"all\", or the names of the ports.",
            "anyOf": [
                {"const": "all"},
                {"type": "array", "items": {"type": "string"}, "minItems": 1}
            ]
        })
    }
}

impl JsonSchema for Combination {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Combination".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "Watts by port, for these ports in use together.",
            "type": "object",
            "minProperties": 1,
            "additionalProperties": {"type": "number", "exclusiveMinimum": 0}
        })
    }
}

impl JsonSchema for Label {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Label".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "Label text: one string, or several that are read as its lines.",
            "anyOf": [
                {"type": "string"},
                {"type": "array", "items": {"type": "string"}, "minItems": 1}
            ]
        })
    }
}
