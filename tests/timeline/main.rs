//! The night as it happens, against code that is written differently: a small-step
//! integrator, integrals over the state of charge, and every vector of contracts at every
//! event.

#[path = "../oracle/model.rs"]
#[allow(
    dead_code,
    reason = "shared with the oracle's own tests, which use other parts of it"
)]
mod model;
#[path = "../common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the benches")]
mod random_setup;

mod brute_force;
mod by_hand;
mod energy;
mod limits;
mod rotas;
mod seated;
mod stepped;

use random_setup::crowd::crowded_setup;
use random_setup::small_setup;
use seated::Seated;
use wattberth::{Sharing, TimelineOptions};

/// The nights of random setups, of both kinds, that have a berth at all.
fn nights(cases: u64, sharing: Sharing, look: impl Fn(&Seated)) {
    let cases = std::env::var("WATTBERTH_CASES")
        .ok()
        .and_then(|n| n.parse().ok())
        .unwrap_or(cases);
    let mut options = TimelineOptions::default();
    options.sharing = sharing;
    let mut seen = 0;
    for seed in 0..cases {
        for json in [small_setup(seed), crowded_setup(seed)] {
            let seated = Seated::of(&json, &options);
            if !seated.berths.is_empty() {
                look(&seated);
                seen += 1;
            }
        }
    }
    assert!(seen > cases, "most setups have a plan with berths");
}
