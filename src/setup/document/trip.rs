//! The trip of a setup document: where it goes, and what comes along to be plugged in.
//!
//! Mains labels (`input_v`, `input_hz`, `from_v`) are texts as printed; a JSON document
//! may write a plain number instead. Plugs and sockets are the letters of the usual
//! tables (IEC TR 60083): `A` to `O`, with `EF` for the hybrid of E and F, `L10` and
//! `L16`, `N10` and `N20`, `NZA` for South Africa's N.

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Serialize;

use super::{Combination, Pool, Port};

/// A route, and what is in the bag beside the setup's chargers, cables and devices.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct TripDocument {
    /// How many people fly: rules of the air count per person. 1 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub travellers: Option<u32>,
    /// The stops, in the order of the route.
    pub stops: Vec<Stop>,
    /// The plug adapters to choose from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub adapters: Vec<Adapter>,
    /// What runs straight from the mains.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub appliances: Vec<Appliance>,
    /// The voltage converters to choose from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub converters: Vec<Converter>,
    /// The batteries that fly. A device of the setup that is not named here flies too,
    /// as one with its battery built in.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub batteries: Vec<Battery>,
}

/// One place on the route.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Stop {
    /// Unique among the stops.
    pub name: String,
    /// The country's two letters (ISO 3166-1 alpha-2).
    pub country: String,
    /// Nights spent there; 1 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nights: Option<u32>,
    /// The night's length in hours; the setup's `session_h` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub session_h: Option<f64>,
    /// Outlets that can be used at the same time; where absent, as many as are needed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub outlets: Option<u32>,
    /// The nominal voltages there, in volts, where known better than by the country.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub voltages_v: Option<Vec<f64>>,
    /// The frequencies there, in hertz, where known better than by the country.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frequencies_hz: Option<Vec<f64>>,
    /// The kinds of sockets there, where known better than by the country.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sockets: Option<Vec<String>>,
}

/// A plug adapter: another shape, the same voltage. With USB ports of its own it is a
/// charger, too.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Adapter {
    /// Unique among the adapters and the chargers.
    pub name: String,
    /// How many of them; 1 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
    /// The plugs that go into it, one at a time; none where it only has USB ports.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub takes: Vec<String>,
    /// The plugs that it has for the wall: several where they can be chosen.
    pub makes: Vec<String>,
    /// Rated current in amperes; where absent, that of its plug.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_a: Option<f64>,
    /// Whether the earth is led through; `false` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub earthed: Option<bool>,
    /// Its fuse, in amperes, where it has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fuse_a: Option<f64>,
    /// Weight in grams; 0 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<f64>,
    /// USB ports of its own, as a charger's. What is passed through to a plug does not
    /// count against them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ports: Vec<Port>,
    /// A limit over its USB ports, in watts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_w: Option<f64>,
    /// Further limits that its USB ports share.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pools: Vec<Pool>,
    /// Its label's lines "these ports in use together: so many watts each".
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub combinations: Vec<Combination>,
    /// The mains voltage that its USB ports are supplied from, as printed: `100-240V`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "printed")]
    pub input_v: Option<String>,
    /// The mains frequency for them, as printed: `50/60Hz`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "printed")]
    pub input_hz: Option<String>,
}

/// An appliance that runs straight from the mains.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Appliance {
    /// Unique among the appliances.
    pub name: String,
    /// Its plug.
    pub plug: String,
    /// The mains voltage, as printed: `220-240V`.
    #[schemars(schema_with = "printed")]
    pub input_v: String,
    /// The mains frequency, as printed: `50/60Hz`. Absent: the label says none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(schema_with = "printed")]
    pub input_hz: Option<String>,
    /// The most that it draws, in watts.
    pub max_w: f64,
    /// What it does with the power.
    pub kind: Load,
    /// Whether it must have earth (class I); `false` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needs_earth: Option<bool>,
}

/// What an appliance does with its power: converters are made for some kinds only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Load {
    /// It heats: an iron, a kettle, a steamer.
    Heating,
    /// A motor turns with the mains: a fan, a shaver, a record player.
    Motor,
    /// Everything with a power supply of its own.
    #[default]
    Electronic,
}

/// A voltage converter or transformer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Converter {
    /// Unique among the converters.
    pub name: String,
    /// The mains voltages that it runs on, as printed: `100-127V`.
    #[schemars(schema_with = "printed")]
    pub from_v: String,
    /// The voltage that it makes of them, in volts.
    pub to_v: f64,
    /// The most that it gives, in watts.
    pub max_w: f64,
    /// The kinds of load that it is made for.
    pub kinds: Vec<Load>,
    /// Its plug.
    pub plug: String,
    /// The plugs that go into it.
    pub takes: Vec<String>,
    /// Whether the earth is led through; `false` where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub earthed: Option<bool>,
    /// Weight in grams; 0 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<f64>,
}

/// A battery that flies.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[non_exhaustive]
pub struct Battery {
    /// Unique among the batteries. The name of a device of the setup stands for its
    /// battery, and what is absent here is taken from there.
    pub name: String,
    /// Where it is: in a device, loose, or in a power bank.
    pub kind: BatteryKind,
    /// Rated energy in watt-hours, as printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_wh: Option<f64>,
    /// Rated charge in milliampere-hours at `battery_v`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_mah: Option<f64>,
    /// The cells' voltage for `battery_mah`, never the output's; 3.7 where absent (common
    /// practice).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub battery_v: Option<f64>,
    /// How many of them, over all travellers; 1 where absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<u32>,
}

/// Where a battery is, as the rules of the air tell them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum BatteryKind {
    /// Built into a device, or installed in one.
    #[default]
    Installed,
    /// Loose.
    Spare,
    /// A power bank: by the rules a spare battery, with rules of its own.
    PowerBank,
}

impl Load {
    /// As documents write it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Heating => "heating",
            Self::Motor => "motor",
            Self::Electronic => "electronic",
        }
    }
}

/// Label text, or the plain number that it is.
pub(super) fn printed(_: &mut SchemaGenerator) -> Schema {
    json_schema!({
        "anyOf": [
            {"type": "string"},
            {"type": "number", "exclusiveMinimum": 0}
        ]
    })
}
