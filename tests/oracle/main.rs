//! The library against an exhaustive second implementation of the model, on random small
//! setups; and all suites beside this folder that use that implementation, which is compiled
//! once for them.

#[path = "../common/random_setup.rs"]
#[allow(
    dead_code,
    reason = "shared with other suites and the benches, which use other parts of it"
)]
mod random_setup;

#[path = "../improve/mod.rs"]
mod improve;
#[path = "../laws/mod.rs"]
mod laws;
#[path = "../score/mod.rs"]
mod score;
#[path = "../size/mod.rs"]
mod size;
#[path = "../timeline/mod.rs"]
mod timeline;
#[path = "../wish/mod.rs"]
mod wish;

mod against_library;
mod by_hand;
mod by_hand_promises;
mod generator_opens;
mod generator_reaches;
mod guest;
mod model;
mod near;
mod pruning;
mod rotas;
mod sharing;
mod tampered;
mod why;
