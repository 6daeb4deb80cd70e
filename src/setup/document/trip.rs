//! The trip of a setup document: where it goes, and what comes along to be plugged in.
//!
//! Mains labels (`input_v`, `input_hz`, `from_v`) are texts as printed; a JSON document
//! may write a plain number instead. Plugs and sockets are the letters of the usual
//! tables (IEC TR 60083): `A` to `O`, with `EF` for the hybrid of E and F, `L10` and
//! `L16`, `N10` and `N20`, `NZA` for South Africa's N.

use super::fields::{fields, words};
use super::{Combination, Pool, Port};

fields! {
    /// A route, and what is in the bag beside the setup's chargers, cables and devices.
    pub struct TripDocument, "a trip", handed on by trip_fields {
        /// How many people fly: rules of the air count per person. 1 where absent.
        may travellers: u32, in TRAVELLERS, set value;
        /// The stops, in the order of the route.
        needs stops: Vec<Stop>, in STOPS, by some, add (stop: Stop, "Adds a stop.");
        /// The plug adapters to choose from.
        any adapters: Vec<Adapter>, in ADAPTERS, add (adapter: Adapter, "Adds an adapter.");
        /// Plugs of things that are not listed, to which adapters are to be found as well.
        any plugs: Vec<String>, in PLUG_KINDS, each "the name of a plug";
        /// What runs straight from the mains.
        any appliances: Vec<Appliance>,
            in APPLIANCES, add (appliance: Appliance, "Adds an appliance.");
        /// The voltage converters to choose from.
        any converters: Vec<Converter>,
            in CONVERTERS, add (converter: Converter, "Adds a converter.");
        /// The batteries that fly. A device of the setup that is not named here flies too,
        /// as one with its battery built in.
        any batteries: Vec<Battery>, in BATTERIES, add (battery: Battery, "Adds a battery.");
    }
}

fields! {
    /// One place on the route.
    pub struct Stop, "a stop", handed on by stop_fields {
        /// Unique among the stops.
        needs name: String, in NAME_CHARS;
        /// The country's two letters (ISO 3166-1 alpha-2).
        needs country: String, by country;
        /// Nights spent there; 1 where absent.
        may nights: u32, in NIGHTS, set value;
        /// The night's length in hours; the setup's `session_h` where absent.
        may session_h: f64, in SESSION_H, set value;
        /// Outlets that can be used at the same time; where absent, as many as are needed.
        may outlets: u32, in OUTLETS, set value;
        /// The nominal voltages there, in volts, where known better than by the country.
        may voltages_v: Vec<f64>, in MAINS_VALUES, each "a voltage", of MAINS_V, by some, set (each f64);
        /// The frequencies there, in hertz, where known better than by the country.
        may frequencies_hz: Vec<f64>, in MAINS_VALUES, each "a frequency", of MAINS_HZ, by some, set (each f64);
        /// The kinds of sockets there, where known better than by the country.
        may sockets: Vec<String>, in PLUG_KINDS, each "the name of a plug", by some, set texts;
    }
}

fields! {
    /// A plug adapter: another shape, the same voltage. With USB ports of its own it is a
    /// charger, too.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::adapter))]
    pub struct Adapter, "an adapter", handed on by adapter_fields {
        /// Unique among the adapters and the chargers.
        needs name: String, in NAME_CHARS;
        /// How many of them; 1 where absent, in a `shop` as many as are wanted.
        may count: u32, in TRIP_COUNT, set value;
        /// The plugs that go into it, one at a time; none where it only has USB ports.
        any takes: Vec<String>, in PLUG_KINDS, each "the name of a plug";
        /// The plugs that it has for the wall: several where they can be chosen.
        needs makes: Vec<String>, in PLUG_KINDS, each "the name of a plug", by some;
        /// Rated current in amperes; where absent, that of its plug.
        may max_a: f64, in ADAPTER_A, set value;
        /// Whether the earth is led through; `false` where absent.
        may earthed: bool, set (flag "Says that it leads the earth through.");
        /// Its fuse, in amperes, where it has one.
        may fuse_a: f64, in FUSE_A, set value;
        /// Weight in grams; 0 where absent.
        may weight_g: f64, in WEIGHT_G, set value;
        /// USB ports of its own, as a charger's. What is passed through to a plug does not
        /// count against them.
        any ports: Vec<Port>, in PORTS, add (port: Port, "Adds a USB port of its own.");
        /// A limit over its USB ports, in watts.
        may max_w: f64, in CHARGER_MAX_W, set value;
        /// Further limits that its USB ports share.
        any pools: Vec<Pool>, in POOLS;
        /// Its label's lines "these ports in use together: so many watts each".
        any combinations: Vec<Combination>, in COMBINATIONS;
        /// The mains voltage that its USB ports are supplied from, as printed: `100-240V`.
        may input_v: String, as "printed";
        /// The mains frequency for them, as printed: `50/60Hz`.
        may input_hz: String, as "printed";
        /// Price of one, in whatever currency all prices share.
        may price: f64, in PRICE, set value;
    }
}

fields! {
    /// An appliance that runs straight from the mains.
    pub struct Appliance, "an appliance", handed on by appliance_fields {
        /// Unique among the appliances.
        needs name: String, in NAME_CHARS;
        /// Its plug.
        needs plug: String;
        /// The mains voltage, as printed: `220-240V`.
        needs input_v: String, as "printed";
        /// The mains frequency, as printed: `50/60Hz`. Absent: the label says none.
        may input_hz: String, as "printed", set into;
        /// The most that it draws, in watts.
        needs max_w: f64, in APPLIANCE_W;
        /// What it does with the power.
        needs kind: Load;
        /// Whether it must have earth (class I); `false` where absent.
        may needs_earth: bool, set (flag "Says that it must have earth.");
    }
}

words! {
    /// What an appliance does with its power: converters are made for some kinds only.
    #[derive(PartialOrd, Ord, Default)]
    pub enum Load {
        /// It heats: an iron, a kettle, a steamer.
        Heating = "heating",
        /// A motor turns with the mains: a fan, a shaver, a record player.
        Motor = "motor",
        /// Everything with a power supply of its own.
        #[default]
        Electronic = "electronic",
    }
}

fields! {
    /// A voltage converter or transformer.
    pub struct Converter, "a converter", handed on by converter_fields {
        /// Unique among the converters.
        needs name: String, in NAME_CHARS;
        /// The mains voltages that it runs on, as printed: `100-127V`.
        needs from_v: String, as "printed";
        /// The voltage that it makes of them, in volts.
        needs to_v: f64, in MAINS_V;
        /// The most that it gives, in watts.
        needs max_w: f64, in CONVERTER_W;
        /// The kinds of load that it is made for.
        needs kinds: Vec<Load>, in PLUG_KINDS, each "a kind of load", by some;
        /// Its plug.
        needs plug: String;
        /// The plugs that go into it.
        needs takes: Vec<String>, in PLUG_KINDS, each "the name of a plug", by some;
        /// Whether the earth is led through; `false` where absent.
        may earthed: bool, set (flag "Says that it leads the earth through.");
        /// Weight in grams; 0 where absent.
        may weight_g: f64, in WEIGHT_G, set value;
        /// Its price, in whatever currency all prices share.
        may price: f64, in PRICE, set value;
    }
}

fields! {
    /// A battery that flies.
    #[cfg_attr(feature = "schema", schemars(transform = crate::setup::document::rules::battery))]
    pub struct Battery, "a battery", handed on by battery_fields {
        /// Unique among the batteries. The name of a device of the setup stands for its
        /// battery, and what is absent here is taken from there.
        needs name: String, in NAME_CHARS;
        /// Where it is: in a device, loose, in a power bank, or in a bag.
        needs kind: BatteryKind;
        /// Rated energy in watt-hours, as printed.
        may battery_wh: f64, in BATTERY_WH;
        /// Rated charge in milliampere-hours at `battery_v`.
        may battery_mah: f64, in BATTERY_MAH;
        /// The cells' voltage for `battery_mah`, never the output's; 3.7 where absent (common
        /// practice).
        may battery_v: f64, in BATTERY_V;
        /// How many of them, over all travellers; 1 where absent.
        may count: u32, in TRIP_COUNT, set value;
        /// Grams of lithium in each, where it is lithium metal, which is not charged again:
        /// then it needs no watt-hours.
        may lithium_g: f64, in LITHIUM_G, set value;
        /// Whether it is of a portable medical device; `false` where absent.
        may medical: bool, set (flag "Says that it is of a portable medical device.");
    }
}

words! {
    /// Where a battery is, as the rules of the air tell them apart.
    #[derive(PartialOrd, Ord, Default)]
    pub enum BatteryKind {
        /// Built into a device, or installed in one.
        #[default]
        Installed = "installed",
        /// Loose.
        Spare = "spare",
        /// A power bank: by the rules a spare battery, with rules of its own.
        PowerBank = "power-bank",
        /// In a bag, from which it comes out.
        Bag = "bag",
        /// In a bag, from which it does not come out.
        BagFixed = "bag-fixed",
    }
}

/// Label text, or the plain number that it is.
#[cfg(feature = "schema")]
pub(crate) fn printed(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
    schemars::json_schema!({
        "anyOf": [
            {"type": "string"},
            {"type": "number", "exclusiveMinimum": 0}
        ]
    })
}
