//! A ranking of chargers, drawn.

use super::scatter::Scatter;
use super::table::{Row, Table, columns};
use super::{Drawn, Figure, Picture};
use crate::decide::rank::Ranking;
use crate::report::RankingReport;
use crate::report::printable::sentence;

/// Rows of the table where the caller does not say how many.
const ROWS: usize = 20;

/// The picture of a ranking: its kits by hours and weight, and the first `top` of them as
/// a table (20 where absent).
pub fn ranking(ranking: &Ranking, top: Option<usize>) -> Picture {
    let report = RankingReport::new(ranking, top.unwrap_or(ROWS));
    let figures = Scatter::of(ranking).map(|scatter| {
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
            drawn: Drawn::Scatter(scatter),
        }
    });
    let mut rows: Vec<Row> = Vec::new();
    for row in &report.rows {
        rows.push(Row {
            cells: vec![
                row.kit.clone(),
                row.mark.to_owned(),
                row.unserved.clone(),
                row.late.clone(),
                row.full_after.clone(),
                row.weight.clone(),
                row.price.clone(),
            ],
            chosen: rows.is_empty(),
        });
    }
    let notes = report
        .notes
        .iter()
        .map(|(mark, note)| format!("{mark} {note}"));
    let table = Table {
        title: "The first of the ranking".to_owned(),
        header: columns([
            "Kit",
            "Unbeaten",
            "Without",
            "Late",
            "Full after",
            "Weight",
            "Price",
        ]),
        rows,
        notes: notes.collect(),
        drawn: false,
    };
    Picture {
        title: "Which charger to take".to_owned(),
        headline: match ranking.kits {
            // It begins with a name.
            1 => report.headline.clone(),
            _ => sentence(&report.headline),
        },
        good: report.all_served,
        figures: figures.into_iter().collect(),
        tables: vec![table],
        moments: Vec::new(),
        details: Vec::new(),
        notes: Vec::new(),
    }
}
