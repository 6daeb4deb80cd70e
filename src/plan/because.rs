//! Why a plan is no better: least reasons, as data.

use crate::setup::document::fields::{answer_fields, words};

words! {
    /// What of a plan a reason is about.
    #[non_exhaustive]
    pub enum Shortfall {
        /// A device has no berth.
        Unserved = "unserved",
        /// A device is late, by the aim.
        Late = "late",
        /// It is not certain that a device is ever full.
        Uncertain = "uncertain",
        /// The last device is full no sooner, beyond the tolerance.
        Longest = "longest",
        /// What was wished cannot be had; not of a plan.
        Wish = "wish",
    }
}

answer_fields! {
    /// A least reason: limits that together forbid a plan that is better in one thing, while
    /// without any one of them it could be had. A device among them stands for what it can
    /// take itself, on every port and cable that it could have; without it, it may stay
    /// unplugged.
    ///
    /// What all reasons take as given: the devices with a berth keep one, and the lateness
    /// and the times that come first in the plan's order stay as good as they are.
    pub struct Because, "a reason", handed on by because_fields {
        /// What it is about.
        needs about: Shortfall;
        /// Whom it is about: those without a berth, late, or not certain; of the longest time
        /// those that take it, within the tolerance.
        needs devices: Vec<String>, in PLAN_ENTRIES, each "a name";
        /// Of what devices of priority 3 are short of in time: the devices that come before
        /// them and keep the times that they have. They are given, no part of the limits.
        any beside: Vec<String>, in PLAN_ENTRIES, each "a name";
        /// The limits, first the devices among them.
        needs limits: Vec<BindingLimit>, in PLAN_ENTRIES;
        /// Whether each of them is known to be needed. A limit of the call can end the
        /// search before that; then one or the other may not matter.
        needs least: bool;
    }
}

words! {
    /// What kind of limit one is.
    #[non_exhaustive]
    pub enum LimitKind {
        /// What a device takes itself, and by when it is to be full.
        Device = "device",
        /// A pool of a charger.
        Pool = "pool",
        /// A charger's table of combinations.
        Combinations = "combinations",
        /// The number of ports with a connector.
        Ports = "ports",
        /// The number of alike cables.
        Cables = "cables",
    }
}

answer_fields! {
    /// One of the limits of a reason.
    pub struct BindingLimit, "a limit", handed on by binding_limit_fields {
        /// What kind of limit it is; which fields follow depends on it.
        needs limit: LimitKind;
        /// Of a device: its name.
        may device: String;
        /// Of a device: the time by which it cannot be full together with the rest, in hours;
        /// absent where any time would do.
        may by_h: f64;
        /// Of a device without `by_h`: true where it must be full at some time; absent where
        /// a berth is all that is asked for it.
        may full: bool;
        /// Of a device: its least time by the aim where no limit is shared, in hours; absent
        /// where that is never.
        may alone_h: f64;
        /// Of a pool or a table: the charger.
        may charger: String;
        /// Of a pool: its name.
        may pool: String;
        /// Of a pool: its limit, in watts.
        may max_w: f64;
        /// Of a pool: what the devices of the reason, each on its most modest place there
        /// that is good enough, hold at best or can draw where it is about what is certain,
        /// together, in watts.
        may asked_w: f64;
        /// Of ports: their connector.
        may connector: String;
        /// Of cables: the names of those that are alike.
        any cables: Vec<String>, in PLAN_ENTRIES, each "a name";
        /// Of ports or cables: how many there are.
        may count: usize, in PLAN_COUNT;
    }
}

impl BindingLimit {
    /// A limit of a kind, of which nothing else is said yet.
    pub(crate) fn of(limit: LimitKind) -> Self {
        Self {
            limit,
            device: None,
            by_h: None,
            full: None,
            alone_h: None,
            charger: None,
            pool: None,
            max_w: None,
            asked_w: None,
            connector: None,
            cables: Vec::new(),
            count: None,
        }
    }
}
