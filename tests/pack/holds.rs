//! What must hold of any answer.

use wattberth::{PackBy, PackOptions, pack_with};

use super::rows::{at_home, on_tour};

/// No bag of those that nothing beats beats another, and the least by each order is one of
/// them.
#[test]
fn the_unbeaten_hold_the_least_by_every_order() {
    let mut several = 0;
    for seed in 100..130 {
        let document = if seed % 2 == 0 {
            at_home(seed)
        } else {
            on_tour(seed)
        };
        let setup = document.check().expect("a valid setup");
        let answer = pack_with(&setup, &PackOptions::default()).expect("an answer");
        if !answer.all_served() {
            continue;
        }
        assert!(answer.unbeaten_complete, "seed {seed}");
        several += u32::from(answer.unbeaten.len() > 1);
        let merits = |bag: &wattberth::BagWorth| {
            [
                bag.weight_g,
                bag.price,
                f64::from(bag.pieces),
                bag.longest_h,
            ]
        };
        for one in &answer.unbeaten {
            for other in &answer.unbeaten {
                let (a, b) = (merits(one), merits(other));
                let beats = a != b && a.iter().zip(&b).all(|(a, b)| a <= b);
                assert!(!beats, "seed {seed}: {one:?} beats {other:?}");
            }
        }
        for by in [PackBy::Weight, PackBy::Price, PackBy::Pieces] {
            let mut options = PackOptions::default();
            options.by = by;
            options.unbeaten = false;
            options.costs = false;
            let least = pack_with(&setup, &options).expect("an answer").bag;
            let there = answer.unbeaten.iter().any(|bag| {
                (bag.weight_g, bag.price, bag.pieces) == (least.weight_g, least.price, least.pieces)
            });
            assert!(
                there,
                "seed {seed}: {least:?} is not among {:#?}",
                answer.unbeaten
            );
        }
    }
    assert!(several > 3, "only {several} have more than one");
}

/// The same question has the same answer, byte for byte.
#[test]
fn the_same_again() {
    for seed in 200..206 {
        let setup = on_tour(seed).check().expect("a valid setup");
        let answer = || pack_with(&setup, &PackOptions::default()).map(|answer| answer.to_json());
        assert_eq!(answer(), answer(), "seed {seed}");
    }
}
