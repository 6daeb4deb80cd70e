//! The rules of the USB specifications and of printed labels: what a port offers,
//! what a device accepts, what a cable carries, and the contract they agree on.

pub(crate) mod label;
pub(crate) mod power_rules;
pub(crate) mod tier;

use std::fmt;
use std::str::FromStr;

use crate::diagnostics::UnknownWord;

/// A plug or socket shape. Two things join when theirs are equal.
///
/// ```
/// use wattberth::{Connector, Port};
///
/// let port = Port::usb_c("DC", "15V 3A").connector(Connector::Other("barrel".to_owned()));
/// assert_eq!(port.connector.as_deref(), Some("other:barrel"));
/// assert_eq!("usb-a".parse(), Ok(Connector::UsbA));
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Connector {
    /// `usb-c`.
    UsbC,
    /// `usb-a`.
    UsbA,
    /// `usb-micro-b`.
    UsbMicroB,
    /// `usb-mini-b`.
    UsbMiniB,
    /// Any other plug, by name: `other:NAME`.
    Other(String),
}

const USB_C: &str = "usb-c";
const USB_A: &str = "usb-a";
const USB_MICRO_B: &str = "usb-micro-b";
const USB_MINI_B: &str = "usb-mini-b";

impl Connector {
    /// Those of USB, as documents write them.
    pub(crate) const USB_NAMES: [&str; 4] = [USB_C, USB_A, USB_MICRO_B, USB_MINI_B];

    /// Whether the connector is one of USB's own (`usb-…`).
    pub(crate) fn is_usb(&self) -> bool {
        !matches!(self, Self::Other(_))
    }
}

impl FromStr for Connector {
    type Err = UnknownWord;

    /// Reads `usb-c`, `usb-a`, `usb-micro-b`, `usb-mini-b` or `other:NAME`.
    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        match text {
            USB_C => Ok(Self::UsbC),
            USB_A => Ok(Self::UsbA),
            USB_MICRO_B => Ok(Self::UsbMicroB),
            USB_MINI_B => Ok(Self::UsbMiniB),
            _ => match text.strip_prefix("other:") {
                Some(name) if !name.trim().is_empty() => Ok(Self::Other(name.to_owned())),
                _ => Err(UnknownWord::new(
                    text,
                    [&Self::USB_NAMES[..], &["other:NAME"]].concat(),
                )),
            },
        }
    }
}

impl fmt::Display for Connector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UsbC => f.pad(USB_C),
            Self::UsbA => f.pad(USB_A),
            Self::UsbMicroB => f.pad(USB_MICRO_B),
            Self::UsbMiniB => f.pad(USB_MINI_B),
            Self::Other(name) => write!(f, "other:{name}"),
        }
    }
}

/// As documents write it.
impl From<Connector> for String {
    fn from(connector: Connector) -> Self {
        connector.to_string()
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
