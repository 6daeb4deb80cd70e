//! The search: each agent takes one column or none, columns take from rows with capacities,
//! and of all ways to do that the best is found, level by level. It knows whole numbers and
//! no chargers.

pub(crate) mod backend;
pub(crate) mod bound;
pub(crate) mod budget;
pub(crate) mod goal;
pub(crate) mod levels;
mod mend;
pub(crate) mod model;
pub(crate) mod program;
mod propagate;
pub(crate) mod search;
mod split;
pub(crate) mod stairs;
pub(crate) mod transport;
