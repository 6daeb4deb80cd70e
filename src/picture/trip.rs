//! A trip as a page: what a drawing would not show better than its tables.

use super::table::{Row, Table};
use super::{Notes, Picture, sentence};
use crate::report::{TripReport, printable};
use crate::setup::Setup;
use crate::trip::{About, Finding, Trip, TripStop};

/// The page of `trip`, which is one of `setup`: a table for each stop, with every reason
/// and its source; the bag; the flight; what to keep in mind.
pub fn trip(setup: &Setup, trip: &Trip) -> Picture {
    let report = TripReport::new(trip);
    let mut tables: Vec<Table> = trip
        .stops
        .iter()
        .zip(&report.stops)
        .map(|(stop, row)| of_stop(stop, &row.stop, &row.night))
        .collect();
    tables.push(bag("Take", &report.take));
    tables.push(bag("Leave at home", &report.leave));
    tables.push(findings("By air", &trip.air));
    tables.retain(|table| !table.rows.is_empty());
    let cautions = trip.cautions.iter().map(|caution| {
        let text = format!("{} ({}, {})", caution.reason, caution.source, caution.date);
        printable(&text)
    });
    let mut notes = vec![
        Notes {
            title: "Cannot be used".to_owned(),
            items: report.missing.clone(),
        },
        Notes {
            title: "To know".to_owned(),
            items: report.notes.clone(),
        },
        Notes {
            title: "Cautions".to_owned(),
            items: cautions.collect(),
        },
    ];
    notes.retain(|notes| !notes.items.is_empty());
    Picture {
        title: setup
            .name()
            .map_or_else(|| "The trip".to_owned(), printable),
        headline: sentence(&report.headline),
        good: report.all_served,
        moments: Vec::new(),
        figures: Vec::new(),
        tables,
        notes,
    }
}

/// What each thing comes to at a stop, and then all that was asked of it.
fn of_stop(stop: &TripStop, names: &[String; 3], night: &str) -> Table {
    let title = format!("{}: {}, {}", names[0], names[1], names[2]);
    let night = if night.is_empty() {
        Vec::new()
    } else {
        vec![night.to_owned()]
    };
    Table {
        notes: night,
        ..findings(&title, &stop.findings)
    }
}

fn findings(title: &str, findings: &[Finding]) -> Table {
    let rows = findings.iter().map(|found| Row {
        cells: vec![
            printable(&found.thing),
            found.about.word().to_owned(),
            found.verdict.word().to_owned(),
            printable(&found.reason),
            printable(&format!("{}, {}", found.source, found.date)),
        ],
        chosen: found.about == About::Use,
    });
    Table {
        title: title.to_owned(),
        header: vec!["Thing", "Asked", "Answer", "Why", "Source"],
        rows: rows.collect(),
        notes: Vec::new(),
        drawn: false,
    }
}

fn bag(title: &str, lines: &[(String, String)]) -> Table {
    let rows = lines.iter().map(|(kind, names)| Row {
        cells: vec![kind.clone(), names.clone()],
        chosen: false,
    });
    Table {
        title: title.to_owned(),
        header: vec!["What", "Which"],
        rows: rows.collect(),
        notes: Vec::new(),
        drawn: false,
    }
}
