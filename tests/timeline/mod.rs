//! The night as it happens, against code that is written differently: a small-step
//! integrator, integrals over the state of charge, and every vector of contracts at every
//! event.

mod brute_force;
mod by_hand;
mod energy;
mod limits;
mod rotas;
mod seated;
mod sharing_rules;
mod stepped;

use crate::random_setup::crowd::crowded_setup;
use crate::random_setup::small_setup;
use seated::Seated;
use wattberth::{Sharing, TimelineOptions};

/// So many cases as are asked for from outside.
fn cases_or(cases: u64) -> u64 {
    let asked = std::env::var("WATTBERTH_CASES").ok();
    asked.and_then(|n| n.parse().ok()).unwrap_or(cases)
}

/// The nights of random setups, of both kinds, that have a berth at all.
fn nights(cases: u64, sharing: Sharing, look: impl Fn(&Seated)) {
    let cases = cases_or(cases);
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
