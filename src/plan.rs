//! A plan: who sits where, at which contract, full when, and how sure that is.

pub(crate) mod assumed;
pub(crate) mod because;
pub(crate) mod bounds;
pub(crate) mod cautions;
pub(crate) mod certain;
pub(crate) mod limiting;
pub(crate) mod moves;
pub(crate) mod objective;
pub(crate) mod origin;
pub(crate) mod promise;
pub(crate) mod proof;
mod reading;
#[cfg(feature = "schema")]
pub use reading::berths_schema;
pub(crate) mod rota;
pub(crate) mod schedule;
pub(crate) mod sessions;
pub(crate) mod shared;
pub(crate) mod way;

use crate::json::document;
use crate::plan::because::Because;
use crate::plan::bounds::LevelBound;
use crate::plan::moves::Move;
use crate::plan::origin::Program;
use crate::setup::document::Aim;
use crate::setup::document::fields::{answer_fields, words};
pub(crate) use crate::solve::levels::Level;

use serde::{Deserialize, Serialize};

answer_fields! {
    /// The answer to a setup, as data. Serialises to the plan document.
    pub struct Plan, "a plan", handed on by plan_fields {
        /// Version of the document's form.
        needs version: u32, in FORM;
        /// The program that wrote it; absent where the plan is a part of another document.
        may program: Program;
        /// SHA-256 of the setup's document, defaults and chargers from other files as they
        /// were read, white space aside: that of a proof. Absent as `program` is.
        may setup_sha256: String;
        /// Whether the plan is proven best.
        needs status: Status;
        /// The last level of the plan's order that is proven; present where `status` is
        /// `feasible` and there is one.
        may settled: Level;
        /// By which of its two readings it was chosen: what is bounded and counted as proven
        /// is meant so.
        needs aim: Aim;
        /// The longest time to full at best, in hours; 0 where nothing has a berth.
        needs longest_h: f64;
        /// The longest time to full that is promised whatever rule the chargers follow, in
        /// hours; absent where that of some berth is never.
        may promised_longest_h: f64;
        /// The longest time if the chargers renegotiate as devices need less, in hours; absent
        /// where nobody asked ([`reshared`](crate::reshared())).
        may reshared_h: f64;
        /// A proven bound on the longest time among plans with the shown numbers
        /// unserved and late; absent unless these equal their own bounds.
        may bound_h: f64;
        /// Devices that need a berth and have none.
        needs unserved: usize, in PLAN_COUNT;
        /// Proven least number unserved; present where `status` is `feasible`.
        may bound_unserved: usize, in PLAN_COUNT;
        /// Watt-hours missing in devices without a berth.
        needs missing_wh: f64;
        /// Devices that are full later than they must be, at best.
        needs late: usize, in PLAN_COUNT;
        /// Devices that are not promised to be full in time.
        needs promised_late: usize, in PLAN_COUNT;
        /// Proven least number late; present where `status` is `feasible`.
        may bound_late: usize, in PLAN_COUNT;
        /// What is proven of the levels of the plan's order that a limit left open, in that
        /// order; absent where none is, the listed order aside, or none more was wanted.
        any bounds: Vec<LevelBound>, in PLAN_ENTRIES;
        /// The berths, in the order of the devices.
        needs berths: Vec<Berth>, in PLAN_ENTRIES;
        /// What the kinds of devices stood in for.
        needs assumed: Vec<Assumed>, in PLAN_ENTRIES;
        /// Devices that need a berth and have none, with the reason.
        needs without_berth: Vec<WithoutBerth>, in PLAN_ENTRIES;
        /// Devices that are elsewhere than in the plan that this one is to stay near, in the
        /// order of the devices; absent where nobody asked ([`assign_near`](crate::assign_near())).
        may moves: Vec<Move>, in PLAN_ENTRIES;
        /// Every pool of every charger, with what is taken from it.
        needs pools: Vec<PoolUse>, in PLAN_ENTRIES;
        /// What to keep in mind, each once.
        needs cautions: Vec<String>, in PLAN_ENTRIES, each "a caution";
        /// Why it is no better, thing by thing; absent where nobody asked
        /// ([`why`](crate::why())).
        any because: Vec<Because>, in PLAN_ENTRIES;
    }
}

document! {
    /// Only its form is read, and what is no part of it is a fault;
    /// [`verify`](crate::verify()) checks what it says.
    Plan, "plan document", plan_schema
}

words! {
    /// Whether the search ended with a proof.
    pub enum Status {
        /// No plan is better in the plan's order.
        Optimal = "optimal",
        /// A limit struck first; the bounds say what is proven.
        Feasible = "feasible",
    }
}

answer_fields! {
    /// One device's place.
    pub struct Berth, "a berth", handed on by berth_fields {
        /// The device, with its number where there are several of it.
        needs device: String;
        /// The charger.
        needs charger: String;
        /// The port, as the charger names it.
        needs port: String;
        /// The cable.
        needs cable: String;
        /// Volts of the contract.
        needs volts: f64;
        /// Amperes of the contract.
        needs amps: f64;
        /// The power level at which the port is held, in watts.
        needs tier_w: f64;
        /// Volts × amperes.
        needs port_w: f64;
        /// What arrives at the device, in watts.
        needs inlet_w: f64;
        /// Time to full at best, in hours.
        needs hours: f64;
        /// Whether that is later than it must be.
        needs late: bool;
        /// Volts × amperes of the contract that is certain, in watts; absent where none is.
        may promised_w: f64;
        /// Time to full that is certain, in hours; absent where it is never.
        may promised_h: f64;
        /// What keeps it from being full sooner.
        needs limited_by: LimitedBy;
    }
}

words! {
    /// The limit whose removal alone would shorten a berth's time the most.
    #[non_exhaustive]
    pub enum LimitedBy {
        /// A pool of the charger.
        Pool = "pool",
        /// A line of the combination table.
        Combination = "combination",
        /// The port's currents or its cap.
        Port = "port",
        /// The cable's resistance, amperes or volts.
        Cable = "cable",
        /// The device itself.
        Device = "device",
    }
}

answer_fields! {
    /// What the kind of a device stood in for.
    pub struct Assumed, "an assumed value", handed on by assumed_fields {
        /// The device, with its number where there are several of it; of what a list leaves
        /// open, the thing that its line is of.
        needs device: String;
        /// The field of the setup document that was not given; `list` for what a list leaves
        /// open, which is told in words.
        needs field: String;
        /// What is taken for it; text for a connector.
        needs value: AssumedValue;
        /// The low end of what is usual.
        may low: f64;
        /// The high end of what is usual.
        may high: f64;
        /// Where that comes from.
        needs source: String;
    }
}

/// What is assumed: a number, or a connector. Written as it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(untagged)]
#[non_exhaustive]
pub enum AssumedValue {
    /// In the unit of the field.
    Number(f64),
    /// A connector, as setups write it.
    Text(String),
}

answer_fields! {
    /// A device without a berth.
    pub struct WithoutBerth, "a device without a berth", handed on by without_berth_fields {
        /// The device.
        needs device: String;
        /// Why, in a sentence for people; [`Reason`] has the same as data.
        needs reason: String;
        /// Why, as data.
        needs cause: Reason;
    }
}

/// Why a device has no berth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
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
        /// The most that any port gives it, in watts.
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

answer_fields! {
    /// What is taken from a pool.
    pub struct PoolUse, "a pool's use", handed on by pool_use_fields {
        /// The charger.
        needs charger: String;
        /// The pool.
        needs pool: String;
        /// Watts taken, by the charger's `reserve`.
        needs used_w: f64;
        /// Watts allowed.
        needs max_w: f64;
    }
}

impl Plan {
    /// Devices late by what the plan was chosen by.
    pub fn late_by_aim(&self) -> usize {
        match self.aim {
            Aim::Best => self.late,
            Aim::Promise => self.promised_late,
        }
    }

    /// The longest time by what the plan was chosen by; `None` where it is never.
    pub fn longest_by_aim(&self) -> Option<f64> {
        match self.aim {
            Aim::Best => Some(self.longest_h),
            Aim::Promise => self.promised_longest_h,
        }
    }

    /// The berth of a device, by its name, with its number where there are several of it.
    pub fn berth(&self, device: &str) -> Option<&Berth> {
        self.berths.iter().find(|berth| berth.device == device)
    }

    /// Whether every device has a berth and, by what the plan was chosen by, none is late.
    pub fn serves_all(&self) -> bool {
        self.unserved == 0 && self.late_by_aim() == 0
    }
}
