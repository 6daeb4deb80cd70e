//! The questions around a plan, one folder each: what a person's own way is worth, what
//! would make a plan better, what grants a wish, which charger to get; and many setups one by one.

pub(crate) mod bag;
pub(crate) mod batch;
pub(crate) mod calendar;
pub(crate) mod guest;
pub(crate) mod improve;
pub(crate) mod rank;
pub(crate) mod score;
pub(crate) mod size;
mod threads;
pub(crate) mod wish;
