//! Which device goes on which port, through which cable, so that the last one is
//! full as early as possible: proven, not guessed.

mod assign;
#[cfg(feature = "cli")]
pub mod cli;
mod curve;
mod document;
mod error;
mod input;
mod limits;
mod options;
mod plan;
mod setup;
mod units;
mod usb;
mod verify;

pub use assign::{Options, assign, assign_with};
pub use document::{
    Cable, Charger, Combination, Device, Label, Pool, PoolPorts, Port, Reserve, SetupDocument,
};
pub use error::{Error, Fault, Result};
pub use input::{Source, plan_schema, setup_schema};
pub use plan::{Berth, LimitedBy, Plan, PoolUse, Reason, Status, WithoutBerth};
pub use setup::Setup;
pub use verify::{Verification, Violation, verify};
