//! A plan: who sits where, at which contract, full when, and how sure that is.

pub(crate) mod cautions;
pub(crate) mod limiting;
pub(crate) mod proof;
mod reading;
pub(crate) mod rota;
pub(crate) mod schedule;
pub(crate) mod sessions;
pub(crate) mod shared;
pub(crate) mod standing;
pub(crate) mod way;

use crate::json::document;
pub(crate) use crate::solve::levels::Until;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The answer to a setup, as data. Serialises to the plan document.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Plan {
    /// Version of the document's form.
    pub version: u32,
    /// Whether the plan is proven best.
    pub status: Status,
    /// The last level of the plan's order that is proven; present where `status` is
    /// `feasible` and there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settled: Option<Until>,
    /// The longest time to full, in hours; 0 where nothing has a berth.
    pub longest_h: f64,
    /// The longest time if the chargers renegotiate as devices need less, in hours; absent
    /// where nobody asked ([`reshared`](crate::reshared())).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reshared_h: Option<f64>,
    /// A proven bound on the longest time among plans with the shown numbers
    /// unserved and late; absent unless these equal their own bounds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound_h: Option<f64>,
    /// Devices that need a berth and have none.
    pub unserved: usize,
    /// Proven least number unserved; present where `status` is `feasible`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound_unserved: Option<usize>,
    /// Watt-hours missing in devices without a berth.
    pub missing_wh: f64,
    /// Devices that are full later than they must be.
    pub late: usize,
    /// Proven least number late; present where `status` is `feasible`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bound_late: Option<usize>,
    /// The berths, in the order of the devices.
    pub berths: Vec<Berth>,
    /// Devices that need a berth and have none, with the reason.
    pub without_berth: Vec<WithoutBerth>,
    /// Every pool of every charger, with what is taken from it.
    pub pools: Vec<PoolUse>,
    /// What to keep in mind, each once.
    pub cautions: Vec<String>,
}

document!(Plan, "plan document", plan_schema);

/// Whether the search ended with a proof.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// No plan is better in the plan's order.
    Optimal,
    /// A limit struck first; the bounds say what is proven.
    Feasible,
}

/// One device's place.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Berth {
    /// The device, with its number where there are several of it.
    pub device: String,
    /// The charger.
    pub charger: String,
    /// The port, as the charger names it.
    pub port: String,
    /// The cable.
    pub cable: String,
    /// Volts of the contract.
    pub volts: f64,
    /// Amperes of the contract.
    pub amps: f64,
    /// The power level at which the port is held, in watts.
    pub tier_w: f64,
    /// Volts × amperes.
    pub port_w: f64,
    /// What arrives at the device, in watts.
    pub inlet_w: f64,
    /// Time to full, in hours.
    pub hours: f64,
    /// Whether that is later than it must be.
    pub late: bool,
    /// What keeps it from being full sooner.
    pub limited_by: LimitedBy,
}

/// The limit whose removal alone would shorten a berth's time the most.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum LimitedBy {
    /// A pool of the charger.
    Pool,
    /// A line of the combination table.
    Combination,
    /// The port's currents or its cap.
    Port,
    /// The cable's resistance, amperes or volts.
    Cable,
    /// The device itself.
    Device,
}

/// A device without a berth.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct WithoutBerth {
    /// The device.
    pub device: String,
    /// Why, in a sentence for people; [`Reason`] has the same as data.
    pub reason: String,
    /// Why, as data.
    pub cause: Reason,
}

/// Why a device has no berth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Reason {
    /// It is pinned onto a place that can never charge it.
    PinnedImpossible {
        /// What the pin names.
        pin: String,
        /// Why it cannot be used.
        because: Box<Reason>,
    },
    /// No cable in the bag ends in its inlet.
    NoCableForInlet {
        /// The inlet's connector.
        inlet: String,
    },
    /// Cables fit its inlet, but none of them is long enough.
    NoCableReaches {
        /// How far from the charger it lies, in metres.
        reach_m: f64,
        /// The longest cable that fits it, in metres.
        longest_m: f64,
    },
    /// Cables fit and reach, but no port takes their other end.
    NoPortForCable {
        /// The connectors at the charger's end of those cables.
        connectors: Vec<String>,
    },
    /// Joined, but no offer of any port, as far as the cables let it through, meets what
    /// it accepts.
    NoCommonSupply,
    /// It negotiates, but never gets the least it needs.
    BelowMinimum {
        /// The most that arrives at its inlet, in watts.
        best_w: f64,
        /// The least it needs, in watts.
        min_w: f64,
    },
    /// It negotiates, but the battery never reaches its target.
    NeverFull {
        /// The most that arrives at its inlet, in watts.
        best_w: f64,
    },
    /// Every place that suits it is needed by devices that come before it.
    FewerPorts {
        /// Devices that compete for those places, itself included.
        devices: usize,
        /// Ports that suit any of them.
        ports: usize,
    },
    /// Ports are free that suit it, but every cable that would join it is in use.
    FewerCables {
        /// The cables that would join it.
        cables: Vec<String>,
    },
    /// A port is free that suits it, but a pool has not enough left.
    PoolTooSmall {
        /// The charger.
        charger: String,
        /// The pool.
        pool: String,
        /// What is left of it, in watts.
        left_w: f64,
        /// The least that the device would take, in watts.
        needs_w: f64,
    },
    /// A port is free that suits it, but no line of the charger's table allows it
    /// beside those in use.
    NoCombination {
        /// The charger.
        charger: String,
    },
    /// In a rota: it is at hand in no session at whose start plugs can be swapped.
    NeverAtHand,
    /// There is a place for it beside the others: a limit of the call stopped the search
    /// before it was used.
    SearchStopped,
    /// Places are free that suit it one by one; together with the others none
    /// fits.
    NoRoom,
}

/// What is taken from a pool.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct PoolUse {
    /// The charger.
    pub charger: String,
    /// The pool.
    pub pool: String,
    /// Watts taken, by the charger's `reserve`.
    pub used_w: f64,
    /// Watts allowed.
    pub max_w: f64,
}
