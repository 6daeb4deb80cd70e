//! The rules of the USB specifications and of printed labels: what a port offers,
//! what a device accepts, what a cable carries, and the contract they agree on.

pub(crate) mod label;
pub(crate) mod power_rules;
pub(crate) mod tier;

use std::fmt;

/// A plug or socket shape. Two things join when theirs are equal.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(crate) enum Connector {
    UsbC,
    UsbA,
    UsbMicroB,
    UsbMiniB,
    /// Any other plug, by name.
    Other(String),
}

impl Connector {
    /// Whether the connector is one of USB's own (`usb-…`).
    pub(crate) fn is_usb(&self) -> bool {
        !matches!(self, Self::Other(_))
    }

    /// Reads `usb-c`, `usb-a`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        match text {
            "usb-c" => Some(Self::UsbC),
            "usb-a" => Some(Self::UsbA),
            "usb-micro-b" => Some(Self::UsbMicroB),
            "usb-mini-b" => Some(Self::UsbMiniB),
            _ => match text.strip_prefix("other:") {
                Some(name) if !name.trim().is_empty() => Some(Self::Other(name.to_owned())),
                _ => None,
            },
        }
    }
}

impl fmt::Display for Connector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UsbC => f.write_str("usb-c"),
            Self::UsbA => f.write_str("usb-a"),
            Self::UsbMicroB => f.write_str("usb-micro-b"),
            Self::UsbMiniB => f.write_str("usb-mini-b"),
            Self::Other(name) => write!(f, "other:{name}"),
        }
    }
}

/// How a source supplies: at one voltage, or at any within a range that the device
/// asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Supply {
    Fixed {
        volts: f64,
    },
    /// Programmable Power Supply.
    Pps {
        low_v: f64,
        high_v: f64,
    },
    /// Adjustable Voltage Supply.
    Avs {
        low_v: f64,
        high_v: f64,
    },
}

/// What one entry of a port's label offers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Offer {
    pub(crate) supply: Supply,
    pub(crate) amps: f64,
    /// The watts printed after it: the current is at most this over the contract's
    /// volts. Infinite where none are printed.
    pub(crate) watts: f64,
}

/// What one entry of a device's label accepts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Demand {
    Fixed {
        volts: f64,
    },
    Pps {
        low_v: f64,
        high_v: f64,
    },
    Avs {
        low_v: f64,
        high_v: f64,
    },
    /// Any fixed supply within the range.
    Wide {
        low_v: f64,
        high_v: f64,
    },
}

/// One accepted entry with its currents, as in [`Offer`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Accept {
    pub(crate) demand: Demand,
    pub(crate) amps: f64,
    pub(crate) watts: f64,
}

/// What stands in one entry of a printed label, before it is known whether it
/// offers or accepts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LabelEntry {
    pub(crate) volts: LabelVolts,
    pub(crate) amps: f64,
    /// Infinite where no watts are printed.
    pub(crate) watts: f64,
}

/// The voltage part of a label entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum LabelVolts {
    Single(f64),
    Range { low_v: f64, high_v: f64, mark: Mark },
}

/// What a range is marked as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    None,
    Pps,
    Avs,
}
