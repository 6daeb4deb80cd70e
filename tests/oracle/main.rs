//! The library against an exhaustive second implementation of the model, on
//! random small setups.

#[path = "../common/random_setup.rs"]
#[allow(
    dead_code,
    reason = "shared with the laws and the benches, which use other parts of it"
)]
mod random_setup;

mod against_library;
mod by_hand;
mod generator_reaches;
mod model;
mod pruning;
mod rotas;
mod tampered;
