//! The oracle's one shortcut is exact: with it and without it the best is the same.

use super::model::options::options_of;
use super::model::search::search;
use super::model::setup::read;
use super::random_setup::crowd::crowded_setup;
use super::random_setup::small_setup;

/// Plans, whole or begun, that a setup has at most where all of them are looked at.
const MOST_PLANS: usize = 20_000;

#[test]
fn what_is_cut_is_never_the_best() {
    compare(small_setup, 400, MOST_PLANS, (150, 100));
}

#[test]
fn what_is_cut_is_never_the_best_where_it_is_crowded() {
    compare(crowded_setup, 800, 10 * MOST_PLANS, (100, 100));
}

/// Compares the setups that are small enough; `wanted` says how many of them there are
/// to be at least, and in how many something is to be cut.
fn compare(setup_of: fn(u64) -> String, seeds: u64, most: usize, wanted: (usize, usize)) {
    let (mut compared, mut cut) = (0, 0);
    for seed in 0..seeds {
        let setup = read(&setup_of(seed));
        let options = setup
            .devices
            .iter()
            .map(|device| options_of(&setup, device).len() + 1);
        if options.product::<usize>() <= most {
            let (quick, full) = (search(&setup, true), search(&setup, false));
            assert_eq!(quick.score, full.score, "seed {seed}");
            assert_eq!(quick.chosen, full.chosen, "seed {seed}");
            compared += 1;
            cut += usize::from(quick.visited < full.visited);
        }
    }
    assert!(
        compared >= wanted.0 && cut >= wanted.1,
        "compared {compared}, cut {cut}"
    );
}
