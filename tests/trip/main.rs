//! Trips: verdicts worked out by hand, and laws on random ones.

mod by_hand;
mod cases;
mod hand_rows;
mod laws;

/// The quartet's tour, as text.
fn tour() -> String {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/quartet-tour.json");
    std::fs::read_to_string(path).expect("the tour is in the repository")
}
