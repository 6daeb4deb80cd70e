//! A ranking of chargers, drawn.

use super::scatter::Scatter;
use super::{Drawn, Figure};
use crate::decide::rank::Ranking;
use crate::report::page::Page;
use crate::units::quantity::count;

impl Page {
    /// The page of `ranking` with its kits drawn by hours and weight.
    #[must_use]
    pub fn with_kits(mut self, ranking: &Ranking) -> Self {
        self.figures.extend(Scatter::of(ranking).map(|mut scatter| {
            let beaten = ranking.planned + ranking.ruled_out - ranking.ranked.len();
            if beaten > 0 {
                scatter.left_out.push(format!("{} beaten", count(beaten)));
            }
            figure(scatter)
        }));
        self
    }
}

fn figure(scatter: Scatter) -> Figure {
    let mut caption = vec![
        "Down is lighter, left is sooner. The large marks are the kits that no other equals or \
         betters in everything, the price included; each line joins those of one kind that \
         nothing beats in time and weight. The small dots are beaten."
            .to_owned(),
    ];
    if !scatter.left_out.is_empty() {
        caption.push(format!("Kits not drawn: {}.", scatter.left_out.join("; ")));
    }
    Figure {
        title: "Time until the last one is full, and weight".to_owned(),
        words: scatter.words(),
        caption,
        under: None,
        drawn: Drawn::Scatter(scatter),
    }
}
