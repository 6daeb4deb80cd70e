//! The USB PD power rules: what a PDP stands for, and how tiers thin it out.

use super::{Accept, Offer};

/// The fixed offers that the power rules require of a source of PDP `pd_w`.
pub(crate) fn source_offers(_pd_w: f64) -> Vec<Offer> {
    unimplemented!()
}

/// The fixed voltages that a sink of PDP `pd_w` accepts.
pub(crate) fn sink_accepts(_pd_w: f64) -> Vec<Accept> {
    unimplemented!()
}
