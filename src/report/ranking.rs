//! A ranking as a page.

use super::page::{Line, Page, Rows, Section, Shown};
use super::printable::printable;
use crate::decide::rank::{DeviceTime, Ranked, Ranking};
use crate::plan::Status;
use crate::units::quantity::{count, decimals, time};

impl Page {
    /// The page of the first `top` kits of a ranking.
    pub fn of_ranking(ranking: &Ranking, top: usize) -> Self {
        let best = ranking.ranked.first();
        let headline = best.map_or_else(
            || {
                format!(
                    "stopped before any of {} kits was looked at",
                    count(ranking.kits)
                )
            },
            |best| headline(best, ranking),
        );
        let good = best.is_some_and(|best| best.unserved == 0 && best.late == 0);
        let mut page = Self::new("Which charger to take".to_owned(), headline, good);
        page.begins_with_name = ranking.kits == 1;
        let shown = &ranking.ranked[..top.min(ranking.ranked.len())];
        let lines = notes(ranking, shown);
        if !shown.is_empty() {
            let table = rows(shown, "").table();
            page.push(Section::titled("").table(table).shown(Shown::InText));
            let notes = Section::titled("").lines(lines.clone());
            page.push(notes.shown(Shown::InText));
        }
        page.sections.extend(times(shown));
        // A mark is named, and what a row is of comes first, where it is read by itself.
        let rows =
            rows(shown, "Unbeaten").chosen(|kit| best.is_some_and(|best| std::ptr::eq(*kit, best)));
        let table = rows.table().second_first();
        let first = Section::titled("The first of the ranking").table(table);
        page.push(first.lines(lines).shown(Shown::InPictures));
        page
    }

    /// The same with the plan of the kit at a place, whose own page that is.
    #[must_use]
    pub fn with_plan_of(mut self, place: usize, kit: &Ranked, plan: Self) -> Self {
        let title = format!("{}. {}", count(place), name(kit));
        let told = std::iter::once(plan.headline).chain(plan.lead);
        self.push(Section::titled(title).lines(told.map(Line::text)));
        self.sections.extend(plan.sections);
        self
    }
}

/// When each device is full, a column for each kit; nothing where nobody asked.
fn times(shown: &[Ranked]) -> Option<Section> {
    let devices = shown.first().map(|kit| &kit.times)?;
    if devices.is_empty() {
        return None;
    }
    let told = |of: &DeviceTime| of.hours.map_or_else(|| "no port".to_owned(), time);
    let rows = Rows::of(0..devices.len()).names("Device", |&at| printable(&devices[at].device));
    let rows = shown.iter().fold(rows, |rows, kit| {
        rows.answers(&name(kit), |&at| {
            kit.times.get(at).map_or_else(String::new, told)
        })
    });
    Some(Section::titled("When each device is full").table(rows.table()))
}

/// The kits, their marks under a title. What is unknown stays empty.
fn rows<'a>(kits: &'a [Ranked], mark: &str) -> Rows<&'a Ranked> {
    let weight = |kit: &Ranked| kit.weight_g.map(|grams| decimals(grams, 1) + " g");
    let price = |kit: &Ranked| kit.price.map(|price| decimals(price, 2));
    Rows::of(kits)
        .facts(mark, |kit| if kit.unbeaten { "*" } else { "" })
        .names("Kit", |kit| name(kit))
        .facts("Without", |kit| kit.unserved.to_string())
        .facts("Late", |kit| kit.late.to_string())
        .facts("Full after", |kit| full_after(kit))
        .facts("Weight", |kit| weight(kit).unwrap_or_default())
        .facts("Price", |kit| price(kit).unwrap_or_default())
}

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
    let hidden = looked_at(ranking) - shown.len();
    if hidden > 0 {
        let marked = |kits: &[Ranked]| kits.iter().filter(|kit| kit.unbeaten).count();
        notes.push((
            "-",
            format!(
                "kits not shown: {}, of which {} are marked *",
                count(hidden),
                count(marked(&ranking.ranked) - marked(shown)),
            ),
        ));
    }
    if ranking.ruled_out > 0 {
        notes.push((
            "-",
            format!(
                "kits that needed no plan: {} of these; another is at least as good in \
                 everything and better in something, whatever theirs is",
                count(ranking.ruled_out)
            ),
        ));
    }
    if ranking.not_planned > 0 {
        notes.push((
            "-",
            format!(
                "kits not looked at, the search was stopped before: {} of {}",
                count(ranking.not_planned),
                count(ranking.kits)
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
                count(ranking.left_out),
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

/// Kits that were planned, or did not need to be.
fn looked_at(ranking: &Ranking) -> usize {
    ranking.planned + ranking.ruled_out
}

fn headline(best: &Ranked, ranking: &Ranking) -> String {
    let looked_at = match (looked_at(ranking), ranking.kits) {
        (_, 1) => String::new(),
        (all, kits) if all == kits => format!("best of {}: ", count(kits)),
        (some, kits) => format!("best of {} of {}: ", count(some), count(kits)),
    };
    let mut parts = vec![
        format!("{looked_at}{}", name(best)),
        if best.longest_h.is_infinite() {
            "not certain to fill all".to_owned()
        } else {
            format!("full after {} at the latest", time(best.longest_h))
        },
    ];
    if best.unserved > 0 {
        parts.push(format!("{} without a port", best.unserved));
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

fn name(kit: &Ranked) -> String {
    printable(&kit.candidate.join(" + "))
}

/// The time, and below it the one with sharing anew, where that is sooner; `?` behind it
/// where that is not proven to be the least.
fn full_after(kit: &Ranked) -> String {
    let mut full = time(kit.longest_h);
    if let Some(reshared) = kit
        .reshared_h
        .map(time)
        .filter(|reshared| *reshared != full)
    {
        full = format!("{full}\n{reshared} shared anew");
    }
    match kit.status {
        Status::Optimal => full,
        Status::Feasible => full + " ?",
    }
}

#[cfg(all(test, feature = "cli"))]
mod tests {
    use super::*;
    use crate::plan::origin::Program;
    use crate::report::Palette;

    fn ranked(names: &[&str], longest_h: f64, unbeaten: bool, status: Status) -> Ranked {
        Ranked {
            candidate: names.iter().map(|name| (*name).to_owned()).collect(),
            members: Vec::new(),
            unserved: usize::from(!unbeaten),
            unserved_by_priority: [0, 0, usize::from(!unbeaten)],
            late: 0,
            longest_h,
            reshared_h: None,
            weight_g: unbeaten.then_some(210.5),
            price: Some(40.0),
            unbeaten,
            status,
            times: Vec::new(),
            plan: None,
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
            program: Program::this(),
            setup_sha256: String::new(),
            ranked: vec![
                ranked(&["pocket", "half stop"], 1.5, true, Status::Optimal),
                ranked(&[long, "half stop"], 1.75, false, Status::Feasible),
                ranked(&["last"], 1.75, true, Status::Optimal),
            ],
            kits: 4,
            planned: 3,
            ruled_out: 0,
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
        ranking.planned = 0;
        ranking.not_planned = 4;
        assert_eq!(
            page(&ranking, 2),
            "stopped before any of 4 kits was looked at\n"
        );
    }
}
