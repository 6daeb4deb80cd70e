//! The bags that nothing beats, drawn by hours and weight.

use super::scatter::{BagDot, Scatter};
use super::{Drawn, Figure};
use crate::report::counted;
use crate::report::luggage::UNBEATEN;
use crate::report::luggage::unbeaten::with;
use crate::setup::Setup;
use crate::trip::shopping::Luggage;
use crate::units::quantity::decimals;

/// Each bag a mark: its price beside it, its pieces told by its shape.
pub(super) fn figure(setup: &Setup, luggage: &Luggage) -> Option<Figure> {
    let certain = || {
        luggage
            .unbeaten
            .iter()
            .filter(|bag| bag.longest_h.is_finite())
    };
    let mut pieces: Vec<u32> = certain().map(|bag| bag.pieces).collect();
    pieces.sort_unstable();
    pieces.dedup();
    let kind = |pieces: u32| counted(pieces, "piece");
    let dots = certain().map(|bag| {
        let price = decimals(bag.price, 2);
        let beside = if *bag == luggage.bag {
            format!("this bag, {price}")
        } else {
            price.clone()
        };
        BagDot {
            longest_h: bag.longest_h,
            weight_g: bag.weight_g,
            name: format!("{}, price {price}, {}", with(setup, bag), kind(bag.pieces)),
            beside,
            kind: kind(bag.pieces),
        }
    });
    let scatter = Scatter::of_bags(dots.collect(), pieces.into_iter().map(kind).collect())?;
    let mut caption = vec![
        "Down is lighter, left is sooner; beside each bag stands its price. The shape says of how \
         many pieces it is; each line joins those of as many that nothing beats in time and \
         weight."
            .to_owned(),
    ];
    let left_out = luggage.unbeaten.len() - certain().count();
    if left_out > 0 {
        caption.push(format!(
            "Not drawn, as not certain to fill all: {left_out}."
        ));
    }
    Some(Figure {
        title: "Weight, and time until the last one is full".to_owned(),
        words: scatter.words(),
        caption,
        under: Some(UNBEATEN.to_owned()),
        drawn: Drawn::Scatter(scatter),
    })
}
