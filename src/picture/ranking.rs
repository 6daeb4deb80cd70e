//! A ranking of chargers, drawn.

use super::scatter::Scatter;
use super::table::{Row, Table};
use super::{Drawn, Figure, Picture};
use crate::rank::Ranking;
use crate::report::RankingReport;

/// Rows of the table where the caller does not say how many.
const ROWS: usize = 20;

/// The picture of a ranking: its kits by hours and weight, and the first `top` of them as
/// a table (20 where absent).
pub fn ranking(ranking: &Ranking, top: Option<usize>) -> Picture {
    let report = RankingReport::new(ranking, top.unwrap_or(ROWS));
    let figures = Scatter::of(ranking).map(|scatter| {
        let mut caption = vec![
            "Down is lighter, left is sooner. A ring: no other kit is at least as good in \
             everything and better in something. The line joins those that nothing beats in time \
             and weight alone; the other rings are there for their price."
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
        header: vec![
            "Kit",
            "Unbeaten",
            "Without",
            "Late",
            "Full after",
            "Weight",
            "Price",
        ],
        rows,
        notes: notes.collect(),
        drawn: false,
    };
    Picture {
        title: "Which charger to take".to_owned(),
        headline: report.headline.clone(),
        good: report.all_served,
        figures: figures.into_iter().collect(),
        tables: vec![table],
        notes: Vec::new(),
    }
}
