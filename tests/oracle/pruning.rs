//! The oracle's shortcuts are exact: the search finds what the list of all plans gives when
//! it is gone through level by level, word for word as the page says.

use super::model::options::options_of;
use super::model::search::{best_of_all, best_plan};
use super::model::setup::{Setup, read, read_for_rota};
use super::random_setup::crowd::crowded_setup;
use super::random_setup::{open, small_setup};

/// Plans, whole or begun, that a setup has at most where all of them are looked at.
const MOST_PLANS: usize = 20_000;

#[test]
fn what_is_cut_is_never_the_best() {
    compare(small_setup, read, 400, MOST_PLANS, (150, 50));
}

#[test]
fn what_is_cut_is_never_the_best_where_it_is_crowded() {
    compare(crowded_setup, read, 300, 10 * MOST_PLANS, (30, 20));
}

#[test]
fn what_is_cut_is_never_the_best_where_much_is_open() {
    compare(open::small_setup, read, 1_200, MOST_PLANS, (400, 150));
    compare(open::crowded_setup, read, 300, 10 * MOST_PLANS, (30, 20));
}

#[test]
fn what_is_cut_is_never_the_best_rota() {
    compare(open::night_setup, read_for_rota, 600, MOST_PLANS, (200, 50));
}

/// Compares the setups that are small enough; `wanted` says how many of them there are
/// to be at least, and in how many something is to be cut.
fn compare(
    setup_of: fn(u64) -> String,
    read: fn(&str) -> Setup,
    seeds: u64,
    most: usize,
    wanted: (usize, usize),
) {
    let (mut compared, mut cut) = (0, 0);
    for seed in 0..seeds {
        let setup = read(&setup_of(seed));
        let options = setup
            .devices
            .iter()
            .map(|device| options_of(&setup, device).len() + 1);
        if options.product::<usize>() <= most {
            let (quick, full) = (best_plan(&setup), best_of_all(&setup));
            assert_eq!(quick.least, full.least, "seed {seed}");
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
