//! The setup document: chargers, cables and devices as their labels describe
//! them, before anything is checked.
//!
//! These are the types a program fills in by hand, the JSON reader fills in from
//! a file, and [`Setup`](crate::Setup) is checked from. Optional fields that are
//! absent take the defaults stated beside them.

mod build;
pub(crate) mod fields;
#[cfg(feature = "schema")]
pub(crate) mod rules;
mod shop;
mod trip;

pub use shop::Shop;
pub(crate) use shop::shop_fields;
pub use trip::{Adapter, Appliance, Battery, BatteryKind, Converter, Load, Stop, TripDocument};
pub(crate) use trip::{
    adapter_fields, appliance_fields, battery_fields, converter_fields, stop_fields, trip_fields,
};

use serde::Serialize;

use fields::{fields, words};
#[cfg(feature = "schema")]
pub(crate) use trip::printed;

fields! {
    /// One session: the chargers at hand, the cables in the bag, the devices to fill.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::setup))]
    pub struct SetupDocument, "a setup", handed on by setup_fields {
        /// Version of the document's form; 1 where absent.
        may version: u32, in VERSION;
        /// A name for people.
        may name: String, set into;
        /// Default of every device's `ready_by_h`, in hours. Absent: nothing is late.
        may session_h: f64, in SESSION_H, set value;
        /// By which of its two readings a plan is chosen; `promise` where absent.
        may aim: Aim, set value;
        /// By how much each place in the list of times may exceed its own least, in hours;
        /// 0.05 where absent.
        may tolerance_h: f64, in TOLERANCE_H, set value;
        /// The time of day at which the first session, or the night, begins: `22:30`.
        may start: String, by time_of_day, set into;
        /// The sessions of a rota, one after the other without gaps: plugs can be swapped
        /// only where one starts. A plan of one session leaves them out.
        any sessions: Vec<Session>,
            in SESSIONS, add (session: Session, "Adds a session, after those before it.");
        /// The chargers, in the order in which ties are broken.
        needs chargers: Vec<Charger>, in CHARGERS, add (charger: Charger, "Adds a charger.");
        /// The cables in the bag.
        all cables: Vec<Cable>, in CABLES, add (cable: Cable, "Adds a cable.");
        /// The devices to charge.
        needs devices: Vec<Device>, in DEVICES_LISTED, add (device: Device, "Adds a device.");
        /// Where it all goes, for `trip`; other questions pass it over.
        may trip: TripDocument, set value;
        /// The nights of its calendar where there is no trip; as many as hold every
        /// `every_nights` whole, at most 14, where absent.
        may nights: u32, in CALENDAR_NIGHTS, set value;
        /// What is for sale, for `pack`; other questions pass it over.
        may shop: Shop, set value;
    }
}

fields! {
    /// A stretch of time in which nobody moves a plug; at its start somebody may.
    pub struct Session, "a session", handed on by session_fields {
        /// Unique among the sessions.
        needs name: String, in NAME_CHARS;
        /// How long it lasts, in hours.
        needs hours: f64, in SESSION_HOURS;
        /// Whether plugs can be swapped at its start; `true` where absent. Where not, no
        /// berth starts with it.
        may swap: bool, set value;
    }
}

fields! {
    /// A charger: ports with caps, and the limits they share.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::charger))]
    pub struct Charger, "a charger", handed on by charger_fields {
        /// Unique among the chargers.
        needs name: String, in NAME_CHARS;
        /// The ports, in the order in which ties are broken; at least one, or a `label`.
        any ports: Vec<Port>, in PORTS, add (port: Port, "Adds a port.");
        /// Its whole label as printed: `C1 65W; C2 30W; C1+C2: 45W+20W; Total 65W`. It stands
        /// for `ports`, `combinations` and, where it says a total, `max_w`.
        may label: Label, set into;
        /// A limit over all ports, in watts: a pool named `total`.
        may max_w: f64, in CHARGER_MAX_W, set value;
        /// Further shared limits.
        any pools: Vec<Pool>, in POOLS;
        /// The label's lines "these ports in use together: so many watts each".
        any combinations: Vec<Combination>, in COMBINATIONS;
        /// Power levels between which the ports step when power is shared, in watts.
        may tiers_w: Vec<f64>, in TIERS, each "a tier", of TIER_W, by some, set (each f64);
        /// What a berth takes from the pools; `contract` where absent.
        may reserve: Reserve, set value;
        /// Which fixed voltages a `usb-c` port keeps when it is held below its cap. Absent:
        /// not known, so at best `kept`, promised whichever is worse.
        may voltages: Voltages, set value;
        /// What its ports give over what it takes from the socket, from 0.3 to 1; the
        /// legal minimum for its rated output where absent.
        may efficiency: f64, in EFFICIENCY, set value;
        /// Weight in grams.
        may weight_g: f64, in WEIGHT_G, set value;
        /// Price, in whatever currency all candidates share.
        may price: f64, in PRICE, set value;
        /// Its mains plug, for a trip: `C`, `EF`, `G`.
        may plug: String;
        /// The mains voltage that it runs on, as printed: `100-240V`.
        may input_v: String, as "printed";
        /// The mains frequency that it runs on, as printed: `50/60Hz`.
        may input_hz: String, as "printed", set into;
        /// How many of them a `shop` has; as many as are wanted where absent. Elsewhere each
        /// charger is listed by itself, for people call it by its name.
        may count: u32, in SHOP_COUNT, set value;
    }
}

fields! {
    /// One outlet of a charger.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::port))]
    pub struct Port, "a port", handed on by port_fields {
        /// Unique among the ports of its charger.
        needs name: String, in NAME_CHARS;
        /// `usb-c` (where absent), `usb-a`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
        may connector: String, by connector, set into;
        /// The port's PD power in watts: shorthand for the fixed offers that the USB PD
        /// power rules require of such a source.
        may pd_w: f64, in PD_W, set value;
        /// The offers as printed.
        may offers: Label, set into;
        /// The port's cap in watts; `pd_w`, else the largest offer, where absent.
        may max_w: f64, in PORT_MAX_W, set value;
        /// The charger's own fixed lead, which alone joins this port.
        may lead: Lead, set value;
    }
}

fields! {
    /// The fixed lead of a port: a cable that cannot be taken off.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::lead))]
    pub struct Lead, "a lead", handed on by lead_fields {
        /// The connector at the device; `usb-c` where absent.
        may to: String, by connector, set into;
        /// Watts as printed: 60, 100 or 240. It stands for `max_a`, `max_v` and `e_marked`.
        may watts: f64, by cable_watts, set value;
        /// Rated current in amperes; 1.8 where `to` is micro-B, 1 where mini-B, else 3.
        may max_a: f64, in CABLE_MAX_A, set value;
        /// Rated voltage in volts; 21 where absent.
        may max_v: f64, in CABLE_MAX_V, set value;
        /// Of no effect: a charger need not ask a lead of its own.
        may e_marked: bool;
        /// Length in metres. A lead of unknown length reaches only 0.
        may length_m: f64, in LENGTH_M, set value;
        /// Gauge of the power conductors, AWG.
        may awg: f64, in AWG, set value;
        /// Loop resistance in ohms, where known.
        may ohm: f64, in OHM, set value;
    }
}

fields! {
    /// A limit that several ports of one charger share.
    pub struct Pool, "a pool", handed on by pool_fields {
        /// Unique among the pools of its charger.
        needs name: String, in NAME_CHARS;
        /// The ports that share it.
        needs ports: PoolPorts;
        /// The most that they may take together, in watts.
        needs max_w: f64, in POOL_MAX_W;
    }
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

words! {
    /// What a berth takes from its charger's pools.
    #[derive(Default)]
    pub enum Reserve {
        /// Its volts × amps: what is advertised and not drawn is there for others.
        #[default]
        Contract = "contract",
        /// Its tier: a charger known to hold back what it advertises.
        Offer = "offer",
    }
}

words! {
    /// Which fixed voltages a `usb-c` port keeps when it is held below its cap.
    pub enum Voltages {
        /// All that are printed, at less current.
        Kept = "kept",
        /// Those that the power rules require of a source of so many watts.
        Rules = "rules",
    }
}

words! {
    /// By which of its two readings a plan is chosen.
    #[derive(Default)]
    pub enum Aim {
        /// By what is certain whatever rule the charger follows.
        #[default]
        Promise = "promise",
        /// By what can be had where the charger shares as the plan would have it.
        Best = "best",
    }
}

/// A number, or a pair from lowest to highest where it is not known exactly. Written as a
/// number or as `[low, high]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Span {
    /// Known.
    Of(f64),
    /// Between two values.
    Between(f64, f64),
}

/// Text printed on a thing: one string, or several that are read as its lines.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Label(pub Vec<String>);

fields! {
    /// A cable in the bag.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::cable))]
    pub struct Cable, "a cable", handed on by cable_fields {
        /// Unique among the cables.
        needs name: String, in NAME_CHARS;
        /// The connector at the charger; `usb-c` where absent.
        may from: String, by connector;
        /// The connector at the device; `usb-c` where absent.
        may to: String, by connector;
        /// Watts as printed: 60, 100 or 240. It stands for `max_a`, `max_v` and `e_marked`,
        /// which it excludes.
        may watts: f64, by cable_watts, set value;
        /// Rated current in amperes; 1.8 where `to` is micro-B, 1 where mini-B, 3 for any
        /// other cable of USB, e-marked or not; no limit for one with an `other:` end.
        may max_a: f64, in CABLE_MAX_A, set value;
        /// Rated voltage in volts; 21 where absent, 50 on an EPR cable.
        may max_v: f64, in CABLE_MAX_V, set value;
        /// Whether it carries an e-marker; `false` where absent.
        may e_marked: bool,
            set (flag "Says that it carries an e-marker, most of which are for 3 A.");
        /// Length in metres. A cable of unknown length reaches only 0.
        may length_m: f64, in LENGTH_M, set value;
        /// Gauge of the power conductors, AWG.
        may awg: f64, in AWG, set value;
        /// Loop resistance in ohms, where known.
        may ohm: f64, in OHM, set value;
        /// How many of them; 1 where absent, in a `shop` as many as are wanted.
        may count: u32, in CABLE_COUNT, set value;
        /// Weight of one in grams, for `pack`.
        may weight_g: f64, in WEIGHT_G, set value;
        /// Price of one, in whatever currency all prices share.
        may price: f64, in PRICE, set value;
    }
}

fields! {
    /// A device to charge.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::device))]
    pub struct Device, "a device", handed on by device_fields {
        /// Unique among the devices, counts expanded.
        needs name: String, in NAME_CHARS;
        /// How many of them; 1 where absent. More than one become `NAME 1` … `NAME n`.
        may count: u32, in DEVICE_COUNT, set value;
        /// What kind of thing it is: `laptop`, `tablet`, `phone`. It stands in for what is
        /// not said.
        may kind: String, by kind, set into;
        /// The inlet's connector; by kind, else `usb-c`, where absent.
        may inlet: String, by connector, set into;
        /// What it accepts, as printed.
        may accepts: Label, set into;
        /// Shorthand, in watts: accepts the fixed voltages that a source of this power has.
        may pd_w: f64, in PD_W, set value;
        /// Amperes that it is known to take at 5 V from a `usb-a` port, where it accepts
        /// nothing else.
        may usb_a_a: f64, in USB_A_A, set value;
        /// The most it draws at the port, in watts; `pd_w`, else its largest entry.
        may max_w: f64, in DEVICE_MAX_W, set value;
        /// The least power at the port with which it charges at all, in watts; 0 where absent.
        may min_w: f64, in MIN_W, set value;
        /// Battery energy in watt-hours; a pair where it is known only between two values.
        may battery_wh: Span, in BATTERY_WH, set into;
        /// Battery charge in milliampere-hours at `battery_v`.
        may battery_mah: f64, in BATTERY_MAH;
        /// Cell voltage for `battery_mah`; by kind, else 3.7, where absent (common practice).
        may battery_v: f64, in BATTERY_V, set value;
        /// State of charge at the start, in percent; 0 where absent. A pair where it is known
        /// only between two values.
        may start_pct: Span, in START_PCT, set into;
        /// State of charge that counts as full, in percent; 100 where absent.
        may target_pct: f64, in TARGET_PCT, set value;
        /// The charging curve: points (state of charge in percent, watts at the inlet).
        may draw_w: Vec<(f64, f64)>, in DRAW_POINTS, by points, set (each (f64, f64));
        /// Inlet to battery, from 0.3 to 1; 0.88 where absent.
        may efficiency: f64, in EFFICIENCY, set value;
        /// Watts at the inlet that the running device uses itself; 0 where absent.
        may running_w: f64, in RUNNING_W, set value;
        /// When it must be full, in hours; the setup's `session_h` where absent.
        may ready_by_h: f64, in READY_BY_H, set value;
        /// 1 (must be charged), 2 (where absent), 3 (if there is room).
        may priority: u8, in PRIORITY, set value;
        /// The names of the sessions in which it is at hand; all where absent, never where
        /// empty. A plan of one session leaves that out.
        may sessions: Vec<String>, in SESSIONS, each "the name of a session", by each_once, set texts;
        /// How far from the charger it lies, in metres; 0 where absent.
        may reach_m: f64, in REACH_M, set value;
        /// Pins the device to a port: `C1`, or `CHARGER/C1`.
        may port: String, set into;
        /// Pins the device to a cable.
        may cable: String, set into;
        /// It is charged on one of so many nights; on every night where absent. A plan is of
        /// one night and passes that over; `calendar`, `trip` and `pack` do not.
        may every_nights: u32, in EVERY_NIGHTS, set value;
    }
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

impl Serialize for Span {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match *self {
            Self::Of(value) => serializer.serialize_f64(value),
            Self::Between(low, high) => [low, high].serialize(serializer),
        }
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Span {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Span".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "A number, or [low, high] where it is not known exactly.",
            "anyOf": [
                {"type": "number"},
                {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
            ]
        })
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for PoolPorts {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "PoolPorts".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "\"all\", or the names of the ports.",
            "anyOf": [
                {"const": "all"},
                {
                    "type": "array", "items": {"type": "string"},
                    "minItems": 1, "maxItems": crate::limits::PORTS.most, "uniqueItems": true
                }
            ]
        })
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Combination {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Combination".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "Watts by port, for these ports in use together.",
            "type": "object",
            "minProperties": 1,
            "maxProperties": crate::limits::PORTS.most,
            "additionalProperties": crate::limits::COMBINATION_W.schema()
        })
    }
}

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Label {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Label".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({
            "description": "Label text: one string, or several that are read as its lines.",
            "anyOf": [
                {"type": "string", "minLength": 1},
                {
                    "type": "array", "items": {"type": "string"}, "contains": {"minLength": 1},
                    "maxItems": crate::limits::LABEL_LINES.most
                }
            ]
        })
    }
}
