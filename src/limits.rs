//! The range of every quantity and the size of every list, each with its name.
//!
//! The ranges are generous: they hold whatever a person could plug in, and keep
//! every sum in whole millionths far inside `i64`.

#[cfg(feature = "schema")]
pub(crate) mod schema;

/// The most ways to sit (port, cable and contract) of all devices together that one plan
/// is made from: what the stated sizes allow in full would not fit into memory.
pub(crate) const MOST_CHOICES: usize = 1_000_000;

/// The most entries of the pools' rows: a way to sit stands in the row of each pool that
/// holds its port, in each session that it lasts.
pub(crate) const MOST_ENTRIES: usize = 4_000_000;

/// The most ways to sit of a setup whose plan has its reasons looked for: several lists of
/// them stand beside each other then.
pub(crate) const MOST_REASONED: usize = 65_536;

/// The most ways in which devices, kinds of ports and kinds of cables can be plugged
/// together, before it is looked at what they negotiate: counted at once, so that what
/// would take long to list is refused before it is begun.
pub(crate) const MOST_JOINED: usize = 1_000_000;

/// The range of one quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Quantity {
    /// As a sentence speaks of it.
    pub(crate) name: &'static str,
    /// Empty for plain numbers.
    pub(crate) unit: &'static str,
    pub(crate) low: f64,
    /// Whether `low` itself is out.
    pub(crate) above: bool,
    pub(crate) high: f64,
}

/// A range that a value is held against as it is read, because no check follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Checked(pub(crate) Quantity);

/// The largest size of one kind of list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Size {
    pub(crate) what: &'static str,
    pub(crate) most: usize,
}

const fn above(name: &'static str, unit: &'static str, low: f64, high: f64) -> Quantity {
    Quantity {
        name,
        unit,
        low,
        above: true,
        high,
    }
}

const fn from(name: &'static str, unit: &'static str, low: f64, high: f64) -> Quantity {
    Quantity {
        name,
        unit,
        low,
        above: false,
        high,
    }
}

const fn size(what: &'static str, most: usize) -> Size {
    Size { what, most }
}

/// The only one there is.
pub(crate) const VERSION: Quantity = from("the version", "", 1.0, 1.0);
/// Of an answer, and of a charger that is a document of its own.
pub(crate) const FORM: Checked = Checked(VERSION);
pub(crate) const SESSION_H: Quantity = from("the session", "h", 0.0, 10_000.0);
pub(crate) const TOLERANCE_H: Quantity = from("the tolerance", "h", 0.0, 10_000.0);
/// A session of a rota.
pub(crate) const SESSION_HOURS: Quantity = above("a session's length", "h", 0.0, 10_000.0);

/// By when all are to be full.
pub(crate) const BY_H: Quantity = from("the time", "h", 0.0, 10_000.0);

pub(crate) const CHARGER_MAX_W: Quantity = above("a charger's limit", "W", 0.0, 10_000.0);
pub(crate) const POOL_MAX_W: Quantity = above("a pool's limit", "W", 0.0, 10_000.0);
pub(crate) const COMBINATION_W: Quantity = above("a combination's power", "W", 0.0, 10_000.0);
pub(crate) const TIER_W: Quantity = above("a tier", "W", 0.0, 10_000.0);
pub(crate) const WEIGHT_G: Quantity = from("a weight", "g", 0.0, 1_000_000.0);
pub(crate) const PRICE: Quantity = from("a price", "", 0.0, 1e9);

/// USB PD R3.2 defines source powers up to 240 W.
pub(crate) const PD_W: Quantity = above("a PD power", "W", 0.0, 240.0);
pub(crate) const PORT_MAX_W: Quantity = above("a port's cap", "W", 0.0, 10_000.0);
/// What a USB cable is rated for at most (USB Type-C R2.1, EPR cables); a barrel plug
/// is held to it too.
pub(crate) const OFFER_V: Quantity = above("an offered voltage", "V", 0.0, 50.0);
/// A wide input may reach far above what is offered; from 90 V on it is the mains.
pub(crate) const ACCEPT_V: Quantity = above("an accepted voltage", "V", 0.0, 89.0);

pub(crate) const CABLE_MAX_A: Quantity = above("a cable's current", "A", 0.0, 100.0);
pub(crate) const CABLE_MAX_V: Quantity = above("a cable's voltage", "V", 0.0, 60.0);
pub(crate) const LENGTH_M: Quantity = from("a cable's length", "m", 0.0, 1_000.0);
/// 0 is 8.25 mm thick, 50 is 0.025 mm: wider than any cable is made.
pub(crate) const AWG: Quantity = from("a gauge", "AWG", 0.0, 50.0);
pub(crate) const OHM: Quantity = from("a cable's resistance", "ohm", 0.0, 1_000.0);
pub(crate) const CABLE_COUNT: Quantity = from("a cable's count", "", 1.0, 1_000.0);

pub(crate) const DEVICE_COUNT: Quantity = from("a device's count", "", 1.0, 256.0);
pub(crate) const DEVICE_MAX_W: Quantity = above("a device's power", "W", 0.0, 10_000.0);
pub(crate) const USB_A_A: Quantity = above("a current from a USB-A port", "A", 0.0, 100.0);
pub(crate) const MIN_W: Quantity = from("a least power", "W", 0.0, 10_000.0);
pub(crate) const BATTERY_WH: Quantity = above("a battery", "Wh", 0.0, 100_000.0);
pub(crate) const BATTERY_MAH: Quantity = above("a battery", "mAh", 0.0, 1e9);
pub(crate) const BATTERY_V: Quantity = above("a battery's voltage", "V", 0.0, 1_000.0);
pub(crate) const LITHIUM_G: Quantity = above("a battery's lithium", "g", 0.0, 1_000.0);
pub(crate) const START_PCT: Quantity = from("the charge at the start", "%", 0.0, 100.0);
pub(crate) const TARGET_PCT: Quantity = from("the charge that counts as full", "%", 0.0, 100.0);
pub(crate) const DRAW_PCT: Quantity = from("a state of charge", "%", 0.0, 100.0);
pub(crate) const DRAW_W: Quantity = from("a drawn power", "W", 0.0, 10_000.0);
/// Of a charger or from inlet to battery. Common practice, from no standard: a linear
/// supply from a car's 12 V to 5 V still gives 0.4, so what is below 0.3 is a slip, as a
/// percentage in the place of a share or a loss in the place of what is left.
pub(crate) const EFFICIENCY: Quantity = from("an efficiency", "", 0.3, 1.0);
pub(crate) const RUNNING_W: Quantity = from("a running power", "W", 0.0, 10_000.0);
pub(crate) const READY_BY_H: Quantity = from("a deadline", "h", 0.0, 10_000.0);
pub(crate) const PRIORITY: Quantity = from("a priority", "", 1.0, 3.0);
pub(crate) const REACH_M: Quantity = from("a reach", "m", 0.0, 1_000.0);

/// Nominal; what is printed may reach a tenth further.
pub(crate) const MAINS_V: Quantity = from("a mains voltage", "V", 80.0, 500.0);
/// Railways have 16.7 Hz, aircraft 400 Hz.
pub(crate) const MAINS_HZ: Quantity = from("a mains frequency", "Hz", 10.0, 1_000.0);
pub(crate) const TRAVELLERS: Quantity = from("a number of travellers", "", 1.0, 1_000.0);
pub(crate) const NIGHTS: Quantity = from("a number of nights", "", 0.0, 10_000.0);
pub(crate) const OUTLETS: Quantity = from("a number of outlets", "", 0.0, 1_000.0);
pub(crate) const ADAPTER_A: Quantity = above("an adapter's current", "A", 0.0, 100.0);
pub(crate) const FUSE_A: Quantity = above("a fuse", "A", 0.0, 100.0);
pub(crate) const APPLIANCE_W: Quantity = above("an appliance's power", "W", 0.0, 100_000.0);
pub(crate) const CONVERTER_W: Quantity = above("a converter's power", "W", 0.0, 100_000.0);
pub(crate) const TRIP_COUNT: Quantity = from("a count", "", 1.0, 1_000.0);

/// Of a setup without a trip.
pub(crate) const CALENDAR_NIGHTS: Quantity = from("a number of nights", "", 1.0, 366.0);
/// A fortnight is as far as a calendar without a trip goes.
pub(crate) const EVERY_NIGHTS: Quantity = from("a number of nights", "", 1.0, 14.0);
/// Pieces of one thing in a shop.
pub(crate) const SHOP_COUNT: Quantity = from("a count", "", 1.0, 1_000.0);
pub(crate) const SHOP_CHARGERS: Size = size("chargers for sale", 256);
pub(crate) const SHOP_CABLES: Size = size("kinds of cables for sale", 64);
pub(crate) const SHOP_ADAPTERS: Size = size("kinds of adapters for sale", 64);

pub(crate) const STOPS: Size = size("stops", 64);
/// After counts are expanded.
pub(crate) const ADAPTERS: Size = size("adapters, counts expanded", 32);
/// Chargers, and adapters with USB ports, counts expanded: which of them go into the
/// outlets of a night is chosen among all their subsets.
pub(crate) const SOURCES: Size = size("chargers and adapters with ports on one trip", 10);
pub(crate) const APPLIANCES: Size = size("appliances", 64);
pub(crate) const CONVERTERS: Size = size("converters", 16);
pub(crate) const BATTERIES: Size = size("kinds of batteries", 256);
/// Of a stop, an adapter or a converter.
pub(crate) const PLUG_KINDS: Size = size("kinds of plugs in one list", 32);
pub(crate) const MAINS_VALUES: Size = size("values of one stop's mains", 16);

pub(crate) const CHARGERS: Size = size("chargers", 64);
/// Over all chargers.
pub(crate) const PORTS: Size = size("ports", 256);
/// Of one charger, as the two below.
pub(crate) const POOLS: Size = size("pools on one charger", 256);
pub(crate) const COMBINATIONS: Size = size("combinations on one charger", 256);
pub(crate) const TIERS: Size = size("tiers", 64);
/// Kinds of cables; each may have a count.
pub(crate) const CABLES: Size = size("kinds of cables", 256);
/// Of one night.
pub(crate) const SESSIONS: Size = size("sessions", 16);
/// After counts are expanded.
pub(crate) const DEVICES: Size = size("devices, counts expanded", 256);
/// Before they are expanded.
pub(crate) const DEVICES_LISTED: Size = size("devices", DEVICES.most);
pub(crate) const DRAW_POINTS: Size = size("points of a charging curve", 1_000);
pub(crate) const LABEL_LINES: Size = size("lines in one label", 1_024);
/// A whole setup at every limit above takes fewer.
pub(crate) const LIST_LINES: Size = size("lines in one list", 10_000);
pub(crate) const LIST_LINE_CHARS: Size = size("characters in one line of a list", 10_000);
pub(crate) const NAME_CHARS: Size = size("characters in one name", 200);

/// A whole setup at every limit above is about a third of this.
pub(crate) const TEXT_BYTES: usize = 16 * 1024 * 1024;

/// What the syntax tree of a text may take, roughly: a whole setup at every limit above takes
/// two thirds of this.
pub(crate) const TREE_BYTES: usize = 200_000_000;

/// A time to full. What would take longer, more than a hundred thousand years, counts as
/// never: further out a double has no millionths of an hour.
pub(crate) const LONGEST_H: Quantity = from("a time to full", "h", 0.0, 1e9);

/// Faults reported of one input; what comes after them is only counted.
pub(crate) const FAULTS: usize = 1_000;

/// Devices counted in a plan document.
pub(crate) const PLAN_COUNT: Quantity = from("a number of devices", "", 0.0, 4_294_967_295.0);

/// Between two points of a timeline.
pub(crate) const STEP_MIN: Quantity = from("a step", "min", 0.01, 1440.0);

/// The most points at even steps that a timeline may have, over all devices.
pub(crate) const TIMELINE_POINTS: f64 = 1_000_000.0;

/// The contract of a way of plugging in: whatever can be, and what cannot is named.
pub(crate) const CONTRACT_V: Quantity = from("a contract's voltage", "V", 0.0, 1_000.0);
pub(crate) const CONTRACT_A: Quantity = from("a contract's current", "A", 0.0, 10_000.0);

/// The lists of a plan document: what no setup can need is refused.
pub(crate) const PLAN_ENTRIES: Size = size("entries in a list of a plan", 100_000);

impl Quantity {
    /// Whether `value` is finite and within the range.
    pub(crate) fn holds(&self, value: f64) -> bool {
        let low = if self.above {
            value > self.low
        } else {
            value >= self.low
        };
        low && value <= self.high
    }

    /// The sentence that refuses `value`.
    pub(crate) fn refusal(&self, value: f64) -> String {
        let Self {
            name,
            unit,
            low,
            high,
            ..
        } = self;
        let space = if unit.is_empty() { "" } else { " " };
        let not = if !value.is_finite() {
            "a number without an end".to_owned()
        } else if value.abs() < 1e15 {
            format!("{value}{space}{unit}")
        } else {
            format!("{value:e}{space}{unit}")
        };
        if low == high {
            format!("{name} must be {low}{space}{unit}, not {not}")
        } else if self.above {
            format!("{name} must be above {low} and at most {high}{space}{unit}, not {not}")
        } else {
            format!("{name} must be from {low} to {high}{space}{unit}, not {not}")
        }
    }
}

impl Size {
    /// Whether so many are accepted.
    pub(crate) fn holds(&self, count: usize) -> bool {
        count <= self.most
    }

    /// The sentence that refuses `count`.
    pub(crate) fn refusal(&self, count: usize) -> String {
        format!("{count} {}; at most {} are accepted", self.what, self.most)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_in_or_out_as_stated_and_nothing_endless_is_in() {
        for (quantity, value, expected) in [
            (PD_W, 0.0, false),
            (PD_W, 1e-9, true),
            (PD_W, 240.0, true),
            (PD_W, 240.000_001, false),
            (START_PCT, 0.0, true),
            (START_PCT, -1e-9, false),
            (START_PCT, 100.0, true),
            (EFFICIENCY, f64::NAN, false),
            (EFFICIENCY, 0.3, true),
            (EFFICIENCY, 0.299_999, false),
            (READY_BY_H, f64::INFINITY, false),
            (READY_BY_H, f64::NEG_INFINITY, false),
        ] {
            assert_eq!(
                quantity.holds(value),
                expected,
                "{}: {value}",
                quantity.name
            );
        }
    }

    #[test]
    fn refusals_name_the_quantity_the_range_and_the_value() {
        assert_eq!(
            PD_W.refusal(300.0),
            "a PD power must be above 0 and at most 240 W, not 300 W"
        );
        assert_eq!(
            PRIORITY.refusal(4.0),
            "a priority must be from 1 to 3, not 4"
        );
        assert_eq!(
            PRIORITY.refusal(1e300),
            "a priority must be from 1 to 3, not 1e300"
        );
        assert_eq!(CHARGERS.refusal(65), "65 chargers; at most 64 are accepted");
    }
}
