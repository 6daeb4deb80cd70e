//! The rules of a plan that a way of plugging in breaks, as data with their numbers, and
//! their wording (model.md, sections 3 to 5).

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::units::watts_text;

/// One rule that is broken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct BrokenRule {
    /// Which, with its numbers.
    #[serde(flatten)]
    pub rule: Broken,
    /// The same in a sentence for people.
    pub text: String,
}

impl From<Broken> for BrokenRule {
    fn from(rule: Broken) -> Self {
        let text = rule.to_string();
        Self { rule, text }
    }
}

/// A rule of a plan, broken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "rule", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Broken {
    /// A device has at most one berth.
    DeviceTwice {
        /// The device.
        device: String,
        /// How many it has.
        berths: usize,
    },
    /// A port has at most one device.
    PortTwice {
        /// The charger.
        charger: String,
        /// The port.
        port: String,
        /// The devices on it.
        devices: Vec<String>,
    },
    /// A cable is used no more often than there are.
    TooFewCables {
        /// The cable.
        cable: String,
        /// How often it is used.
        used: usize,
        /// How many there are.
        count: u32,
    },
    /// A device pinned to a port is on it.
    PortPin {
        /// The device.
        device: String,
        /// Its pin, `CHARGER/PORT`.
        pinned: String,
        /// Where it is.
        port: String,
    },
    /// A device pinned to a cable hangs on it.
    CablePin {
        /// The device.
        device: String,
        /// Its pin.
        pinned: String,
        /// What it hangs on.
        cable: String,
    },
    /// A cable joins a port and a device when its ends are their connectors.
    NotJoined {
        /// The device.
        device: String,
        /// The cable.
        cable: String,
        /// The cable's ends: at the charger, at the device.
        ends: [String; 2],
        /// The port's connector and the device's inlet.
        needed: [String; 2],
    },
    /// A cable is at least as long as the device lies away.
    TooShort {
        /// The device.
        device: String,
        /// The cable.
        cable: String,
        /// How long it is, in metres; 0 where that is not known.
        length_m: f64,
        /// How far the device lies away, in metres.
        reach_m: f64,
    },
    /// No cable was named, and none in the bag joins the two.
    NoCable {
        /// The device.
        device: String,
        /// The port's connector and the device's inlet.
        needed: [String; 2],
    },
    /// A contract is one that port, cable and device agree on.
    NoSuchContract {
        /// The device.
        device: String,
        /// The volts given.
        volts: f64,
        /// The amperes given.
        amps: f64,
        /// Volts and amperes of the contracts that there are.
        there_is: Vec<(f64, f64)>,
    },
    /// Port, cable and device agree on nothing.
    NoCommonSupply {
        /// The device.
        device: String,
        /// The charger.
        charger: String,
        /// The port.
        port: String,
        /// The cable.
        cable: String,
    },
    /// What arrives is at least what the device needs.
    BelowMinimum {
        /// The device.
        device: String,
        /// The most that the port gives it, in watts.
        port_w: f64,
        /// The least it needs of a port, in watts.
        min_w: f64,
    },
    /// A device gets full in some time.
    NeverFull {
        /// The device.
        device: String,
        /// What arrives, in watts.
        inlet_w: f64,
    },
    /// What a pool's ports hold is at most its limit.
    Pool {
        /// The charger.
        charger: String,
        /// The pool.
        pool: String,
        /// Watts held, by the charger's `reserve`.
        used_w: f64,
        /// Watts allowed.
        max_w: f64,
    },
    /// Some line of a charger's combinations governs the ports in use.
    NoCombination {
        /// The charger.
        charger: String,
        /// The ports in use.
        ports: Vec<String>,
    },
    /// A port in use has a tier of at most the watts of the line that governs; where
    /// several govern and none is respected, of the one that the fewest ports are above.
    AboveCombination {
        /// The charger.
        charger: String,
        /// The port.
        port: String,
        /// Its tier, in watts.
        tier_w: f64,
        /// The line's watts for it.
        max_w: f64,
        /// The line: ports and watts.
        line_w: Vec<(String, f64)>,
    },
}

impl fmt::Display for Broken {
    #[expect(clippy::too_many_lines, reason = "one sentence for each rule")]
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::DeviceTwice { device, berths } => {
                write!(f, "{device}: plugged in {berths} times")
            }
            Self::PortTwice {
                charger,
                port,
                devices,
            } => write!(
                f,
                "port {port} of {charger}: {} devices on it ({})",
                devices.len(),
                devices.join(", ")
            ),
            Self::TooFewCables { cable, used, count } => {
                write!(f, "cable {cable}: used {used} times, there is {count}")
            }
            Self::PortPin {
                device,
                pinned,
                port,
            } => write!(f, "{device}: pinned to {pinned}, plugged into {port}"),
            Self::CablePin {
                device,
                pinned,
                cable,
            } => write!(
                f,
                "{device}: pinned to cable {pinned}, plugged in with {cable}"
            ),
            Self::NotJoined {
                device,
                cable,
                ends: [from, to],
                needed: [port, inlet],
            } => write!(
                f,
                "{device}: cable {cable} joins {from} to {to}, not {port} to {inlet}"
            ),
            Self::TooShort {
                device,
                cable,
                length_m,
                reach_m,
            } => {
                let long = if *length_m > 0.0 {
                    format!("is {length_m} m long")
                } else {
                    "is of unknown length".to_owned()
                };
                write!(
                    f,
                    "{device}: cable {cable} {long}, and it lies {reach_m} m away"
                )
            }
            Self::NoCable {
                device,
                needed: [port, inlet],
            } => write!(
                f,
                "{device}: no cable joins {port} to {inlet} as far as it lies"
            ),
            Self::NoSuchContract {
                device,
                volts,
                amps,
                there_is,
            } => {
                let listed: Vec<String> = there_is
                    .iter()
                    .map(|(volts, amps)| format!("{volts} V {amps} A"))
                    .collect();
                let listed = match listed.as_slice() {
                    [] => "nothing".to_owned(),
                    some => some.join(", "),
                };
                write!(
                    f,
                    "{device}: no contract of {volts} V {amps} A; there is {listed}"
                )
            }
            Self::NoCommonSupply {
                device,
                charger,
                port,
                cable,
            } => write!(
                f,
                "{device}: {port} of {charger} offers nothing through {cable} that it accepts"
            ),
            Self::BelowMinimum {
                device,
                port_w,
                min_w,
            } => write!(
                f,
                "{device}: gets {} and needs at least {}",
                apart(*port_w, *min_w).0,
                apart(*port_w, *min_w).1
            ),
            Self::NeverFull { device, inlet_w } => {
                write!(f, "{device}: never gets full with {}", watts_text(*inlet_w))
            }
            Self::Pool {
                charger,
                pool,
                used_w,
                max_w,
            } => write!(
                f,
                "pool {pool} of {charger}: {} held, {} allowed",
                apart(*used_w, *max_w).0,
                apart(*used_w, *max_w).1
            ),
            Self::NoCombination { charger, ports } => write!(
                f,
                "{charger}: no combination allows {} together",
                ports.join(", ")
            ),
            Self::AboveCombination {
                charger,
                port,
                tier_w,
                max_w,
                line_w,
            } => {
                let line: Vec<String> = line_w
                    .iter()
                    .map(|(port, watts)| format!("{port} {}", watts_text(*watts)))
                    .collect();
                write!(
                    f,
                    "{port} of {charger}: held at {}, {} allowed by the combination {}",
                    apart(*tier_w, *max_w).0,
                    apart(*tier_w, *max_w).1,
                    line.join(" + ")
                )
            }
        }
    }
}

/// Two powers as people read them, in full where they would otherwise read alike.
fn apart(one: f64, other: f64) -> (String, String) {
    let texts = (watts_text(one), watts_text(other));
    if texts.0 == texts.1 {
        (format!("{one} W"), format!("{other} W"))
    } else {
        texts
    }
}
