//! A ranking in words and cells, and its text of 80 columns.

#[cfg(feature = "cli")]
use std::io::{self, Write};

use super::printable::printable;
use crate::decide::rank::{Ranked, Ranking};
use crate::plan::Status;
use crate::units::quantity::{decimals, time};

/// A ranking in words and cells.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct RankingReport {
    /// What the best kit reaches, in one line.
    pub headline: String,
    /// Whether the best kit serves every device in time.
    pub all_served: bool,
    /// The kits, the best first.
    pub rows: Vec<RankingRow>,
    /// What the marks mean, and what is not shown: the mark or a dash, and a sentence.
    pub notes: Vec<(&'static str, String)>,
}

/// One kit.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct RankingRow {
    /// `*` where nothing beats it.
    pub mark: &'static str,
    /// Its candidates.
    pub kit: String,
    /// Devices without a berth.
    pub unserved: String,
    /// Devices that are late.
    pub late: String,
    /// When the last one is full: `3 h 05 min`, rounded up; `?` behind it where that is
    /// not proven to be the least.
    pub full_after: String,
    /// `210 g`; empty where unknown.
    pub weight: String,
    /// The price; empty where unknown.
    pub price: String,
}

impl RankingReport {
    /// The report of the first `top` kits.
    pub fn new(ranking: &Ranking, top: usize) -> Self {
        let best = ranking.ranked.first();
        let rows: Vec<RankingRow> = ranking.ranked.iter().take(top).map(row).collect();
        let shown = &ranking.ranked[..rows.len()];
        let unproven = shown.iter().any(|kit| kit.status == Status::Feasible);
        let mut notes = vec![(
            "*",
            "no other kit is at least as good in everything shown and better in something; what \
             is unknown counts as worst"
                .to_owned(),
        )];
        if unproven {
            notes.push(("?", "the search was stopped: the best so far".to_owned()));
        }
        let left_out = ranking.ranked.len() - rows.len();
        if left_out > 0 {
            let marked = |kits: &[Ranked]| kits.iter().filter(|kit| kit.unbeaten).count();
            notes.push((
                "-",
                format!(
                    "kits not shown: {left_out}, of which {} are marked *",
                    marked(&ranking.ranked) - marked(shown),
                ),
            ));
        }
        if ranking.not_planned > 0 {
            notes.push((
                "-",
                format!(
                    "kits not looked at, the search was stopped before: {} of {}",
                    ranking.not_planned, ranking.kits
                ),
            ));
        }
        if let Some(first) = ranking.left_out_kits.first() {
            let kits: Vec<String> = first
                .candidate
                .iter()
                .map(|title| printable(title))
                .collect();
            notes.push((
                "-",
                format!(
                    "kits left out: {}; first {}, {}",
                    ranking.left_out,
                    kits.join(" + "),
                    printable(&first.reason)
                ),
            ));
        }
        let cautions = ranking.cautions.iter();
        notes.extend(cautions.map(|caution| ("-", printable(caution))));
        Self {
            headline: best.map_or_else(
                || format!("stopped before any of {} kits was looked at", ranking.kits),
                |best| headline(best, ranking.ranked.len(), ranking.kits),
            ),
            all_served: best.is_some_and(|best| best.unserved == 0 && best.late == 0),
            rows,
            notes,
        }
    }
}

fn headline(best: &Ranked, planned: usize, kits: usize) -> String {
    let looked_at = match (planned, kits) {
        (_, 1) => String::new(),
        (planned, kits) if planned == kits => format!("best of {kits}: "),
        (planned, kits) => format!("best of {planned} of {kits}: "),
    };
    let mut parts = vec![
        format!("{looked_at}{}", kit(best)),
        format!("full after {} at the latest", time(best.longest_h)),
    ];
    if best.unserved > 0 {
        parts.push(format!("{} without a berth", best.unserved));
    }
    if best.late > 0 {
        parts.push(format!("{} late", best.late));
    }
    let proven = match best.status {
        Status::Optimal => "",
        Status::Feasible => "; not proven",
    };
    parts.join(", ") + proven
}

fn kit(ranked: &Ranked) -> String {
    printable(&ranked.candidate.join(" + "))
}

/// The time, and below it the one with sharing anew, where that is sooner.
fn full_after(ranked: &Ranked) -> String {
    let held = time(ranked.longest_h);
    match ranked.reshared_h.map(time) {
        Some(reshared) if reshared != held => format!("{held}\n{reshared} re-shared"),
        _ => held,
    }
}

fn row(ranked: &Ranked) -> RankingRow {
    let doubt = match ranked.status {
        Status::Optimal => "",
        Status::Feasible => " ?",
    };
    RankingRow {
        mark: if ranked.unbeaten { "*" } else { "" },
        kit: kit(ranked),
        unserved: ranked.unserved.to_string(),
        late: ranked.late.to_string(),
        full_after: full_after(ranked) + doubt,
        weight: ranked
            .weight_g
            .map_or_else(String::new, |grams| format!("{} g", decimals(grams, 1))),
        price: ranked
            .price
            .map_or_else(String::new, |price| decimals(price, 2)),
    }
}

/// Writes the ranking as a table and notes, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
#[cfg(feature = "cli")]
pub fn write_ranking(
    report: &RankingReport,
    palette: &super::Palette,
    out: &mut impl Write,
) -> io::Result<()> {
    use super::layout::{hanging, paragraph};
    use super::table::Columns;

    const COLUMNS: Columns<7> = Columns {
        header: [
            "",
            "Kit",
            "Without",
            "Late",
            "Full after",
            "Weight",
            "Price",
        ],
        yielding: &[1],
    };

    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    if report.rows.is_empty() {
        return Ok(());
    }
    writeln!(out)?;
    let cells = |row: &RankingRow| {
        [
            row.mark.to_owned(),
            row.kit.clone(),
            row.unserved.clone(),
            row.late.clone(),
            row.full_after.clone(),
            row.weight.clone(),
            row.price.clone(),
        ]
    };
    let rows: Vec<[String; 7]> = report.rows.iter().map(cells).collect();
    COLUMNS.write(&rows, &COLUMNS.widths(&rows), palette.title, out)?;
    writeln!(out)?;
    for (mark, note) in &report.notes {
        hanging(&format!("{mark} "), note, out)?;
    }
    Ok(())
}

#[cfg(all(test, feature = "cli"))]
mod tests {
    use super::*;
    use crate::report::Palette;

    fn ranked(names: &[&str], longest_h: f64, unbeaten: bool, status: Status) -> Ranked {
        Ranked {
            candidate: names.iter().map(|name| (*name).to_owned()).collect(),
            unserved: usize::from(!unbeaten),
            unserved_by_priority: [0, 0, usize::from(!unbeaten)],
            late: 0,
            longest_h,
            reshared_h: None,
            weight_g: unbeaten.then_some(210.5),
            price: Some(40.0),
            unbeaten,
            status,
        }
    }

    fn page(ranking: &Ranking, top: usize) -> String {
        let mut bytes = Vec::new();
        let report = RankingReport::new(ranking, top);
        write_ranking(&report, &Palette::PLAIN, &mut bytes).expect("a vector takes every byte");
        String::from_utf8(bytes).expect("the report is text")
    }

    #[test]
    fn the_page_of_a_ranking() {
        let long = "a charger with the longest name of all that are on the table tonight";
        let mut ranking = Ranking {
            version: 1,
            ranked: vec![
                ranked(&["pocket", "half stop"], 1.5, true, Status::Optimal),
                ranked(&[long, "half stop"], 1.75, false, Status::Feasible),
                ranked(&["last"], 1.75, true, Status::Optimal),
            ],
            kits: 4,
            not_planned: 0,
            left_out: 1,
            left_out_kits: vec![crate::decide::rank::LeftOutKit {
                candidate: vec!["mute".to_owned()],
                reason: "no port is called C2".to_owned(),
            }],
            cautions: Vec::new(),
        };
        let shown = page(&ranking, 2);
        assert!(
            shown.lines().all(|line| line.chars().count() <= 80),
            "{shown}"
        );
        insta::assert_snapshot!(shown, @r"
        best of 3 of 4: pocket + half stop, full after 1 h 30 min at the latest

             Kit                             Without  Late  Full after    Weight   Price
          ──────────────────────────────────────────────────────────────────────────────
          *  pocket + half stop              0        0     1 h 30 min    210.5 g  40
             a charger with the longest      1        0     1 h 45 min ?           40
             name of all that are on the
             table tonight + half stop

          * no other kit is at least as good in everything shown and better in
            something; what is unknown counts as worst
          ? the search was stopped: the best so far
          - kits not shown: 1, of which 1 are marked *
          - kits left out: 1; first mute, no port is called C2
        ");
        ranking.ranked.clear();
        ranking.left_out = 0;
        ranking.left_out_kits.clear();
        ranking.not_planned = 4;
        assert_eq!(
            page(&ranking, 2),
            "stopped before any of 4 kits was looked at\n"
        );
    }
}
