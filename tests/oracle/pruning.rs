//! The oracle's one shortcut is exact: with it and without it the best is the same.

use super::model::options::options_of;
use super::model::search::search;
use super::model::setup::read;
use super::random_setup::small_setup;

#[test]
fn what_is_cut_is_never_the_best() {
    let (mut compared, mut cut) = (0, 0);
    for seed in 0..400 {
        let setup = read(&small_setup(seed));
        let options = setup
            .devices
            .iter()
            .map(|device| options_of(&setup, device).len() + 1);
        if options.product::<usize>() <= 20_000 {
            let (quick, full) = (search(&setup, true), search(&setup, false));
            assert_eq!(quick.score, full.score, "seed {seed}");
            assert_eq!(quick.chosen, full.chosen, "seed {seed}");
            compared += 1;
            cut += usize::from(quick.visited < full.visited);
        }
    }
    assert!(
        compared >= 150 && cut >= 100,
        "compared {compared}, cut {cut}"
    );
}
