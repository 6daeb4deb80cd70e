//! The main job held against values from outside the project.
//!
//! Every check takes the public path: a setup as JSON text, [`Setup::from_json`],
//! [`assign`], and the fields of the [`Plan`]. Beside each stands its source and how
//! sure it is: *read* (found in a text that quotes the source), *memory* (not
//! confirmed), *computed* (by arithmetic or by another program, as said there).
//!
//! [`Setup::from_json`]: wattberth::Setup::from_json
//! [`assign`]: wattberth::assign
//! [`Plan`]: wattberth::Plan

mod adjustable;
mod bottleneck;
mod cable_limits;
mod cell_models;
mod common;
mod constant_voltage;
mod copper;
mod five_volts;
mod fixed_tolerance;
mod makespan;
mod power_rules;
