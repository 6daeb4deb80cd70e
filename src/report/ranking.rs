//! A ranking as a page.

use super::page::{Block, Cells, Line, Page, Section, Shown, Table};
use super::printable::printable;
use crate::decide::rank::{Ranked, Ranking};
use crate::plan::Status;
use crate::units::quantity::{decimals, time};

impl Page {
    /// The page of the first `top` kits of a ranking.
    pub fn of_ranking(ranking: &Ranking, top: usize) -> Self {
        let best = ranking.ranked.first();
        let headline = best.map_or_else(
            || format!("stopped before any of {} kits was looked at", ranking.kits),
            |best| headline(best, ranking.ranked.len(), ranking.kits),
        );
        let good = best.is_some_and(|best| best.unserved == 0 && best.late == 0);
        let mut page = Self::new("Which charger to take".to_owned(), headline, good);
        page.begins_with_name = ranking.kits == 1;
        let shown = &ranking.ranked[..top.min(ranking.ranked.len())];
        let lines: Vec<Block> = notes(ranking, shown).into_iter().map(Block::Line).collect();
        let mut columns = COLUMNS;
        let table = Table::new(columns, shown.iter().map(row));
        if !shown.is_empty() {
            page.sections.extend([
                Section::new("", [table.into()]).shown(Shown::InText),
                Section::new("", lines.clone()).shown(Shown::InText),
            ]);
        }
        // What a row is of comes first, and a mark is named, where it is read by itself.
        columns[0].0 = "Unbeaten";
        columns.swap(0, 1);
        let rows = shown.iter().map(|kit| {
            let mut cells = row(kit);
            cells.swap(0, 1);
            cells
        });
        let mut table = Table::new(columns, rows);
        if let Some(first) = table.rows.first_mut() {
            first.chosen = true;
        }
        let blocks = std::iter::once(table.into()).chain(lines);
        page.sections
            .push(Section::new("The first of the ranking", blocks).shown(Shown::InPictures));
        page
    }
}

const COLUMNS: [(&str, Cells); 7] = [
    ("", Cells::Facts),
    ("Kit", Cells::Names),
    ("Without", Cells::Facts),
    ("Late", Cells::Facts),
    ("Full after", Cells::Facts),
    ("Weight", Cells::Facts),
    ("Price", Cells::Facts),
];

/// What the marks mean, and what is not shown.
fn notes(ranking: &Ranking, shown: &[Ranked]) -> Vec<Line> {
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
    let left_out = ranking.ranked.len() - shown.len();
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
    let lines = notes.into_iter().map(|(mark, note)| Line {
        mark,
        ..Line::text(note)
    });
    lines.collect()
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

/// `*` where nothing beats it; its candidates; devices without a berth, and late; when
/// the last one is full, `?` behind it where that is not proven to be the least; weight
/// and price, empty where unknown.
fn row(ranked: &Ranked) -> [String; 7] {
    let doubt = match ranked.status {
        Status::Optimal => "",
        Status::Feasible => " ?",
    };
    let grams = |grams| format!("{} g", decimals(grams, 1));
    [
        if ranked.unbeaten { "*" } else { "" }.to_owned(),
        kit(ranked),
        ranked.unserved.to_string(),
        ranked.late.to_string(),
        full_after(ranked) + doubt,
        ranked.weight_g.map_or_else(String::new, grams),
        ranked
            .price
            .map_or_else(String::new, |price| decimals(price, 2)),
    ]
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
        let written = Page::of_ranking(ranking, top).write_text(&Palette::PLAIN, &mut bytes);
        written.expect("a vector takes every byte");
        String::from_utf8(bytes).expect("the page is text")
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
