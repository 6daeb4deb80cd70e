//! Rotas in which cables are scarce are proven in few steps: counted, not timed.

use super::random_setup::measured::Measured;
use crate::plan::Status;
use crate::plan::rota::Rota;
use crate::setup::Setup;
use crate::{SolveOptions, rota_with};

fn within(text: &str, budget: u64) -> Rota {
    let setup = Setup::from_json(text).expect("a valid setup");
    let options = SolveOptions {
        budget,
        ..SolveOptions::default()
    };
    rota_with(&setup, &options).expect("a rota")
}

/// Nine devices, one cable, two starts: that the one that could be full when it starts
/// at once would take both is ruled out where the number of berths is settled, not line by
/// line of nine tables at every time.
#[test]
fn one_cable_for_nine_devices() {
    let rota = within(include_str!("one_cable.json"), 6_000);
    assert_eq!(rota.status, Status::Optimal);
    // One from the start, one from the third session on: nobody swaps before the second.
    assert_eq!((rota.berths.len(), rota.unserved, rota.late), (2, 7, 1));
    let sessions: Vec<&str> = rota.berths.iter().map(|b| b.session.as_str()).collect();
    assert_eq!(sessions, ["s0", "s2"]);
}

/// Each took more than two million steps when the priorities were one sum, or when a
/// level that was settled closed nothing.
#[test]
fn few_cables_for_many_devices() {
    for (size, seed) in [(8, 0), (8, 35), (10, 0), (12, 51)] {
        let rota = within(&Measured::Scarce.setup(seed, size), 20_000);
        assert_eq!(rota.status, Status::Optimal, "{size} devices, seed {seed}");
    }
}
