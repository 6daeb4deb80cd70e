//! A trip as a page: what a drawing would not show better than its tables.

use std::borrow::Cow;

use super::table::{Row, Table, columns};
use super::{Notes, Picture};
use crate::report::printable::sentence;
use crate::report::{TripReport, TripRow, printable};
use crate::setup::Setup;
use crate::trip::{About, Finding, Trip, TripStop};

/// The page of `trip`, which is one of `setup`: stops against things, the bag, the flight,
/// what to keep in mind; then for each stop every reason with its source.
pub fn trip(setup: &Setup, trip: &Trip) -> Picture {
    let report = TripReport::new(trip);
    let mut tables = vec![
        overview(&report),
        bag("Take", &report.take),
        bag("Leave at home", &report.leave),
    ];
    tables.retain(|table| !table.rows.is_empty());
    let of_stop =
        |(stop, row): (&TripStop, &TripRow)| findings(&row.stop.join(", "), &stop.findings);
    let mut details: Vec<Table> = trip.stops.iter().zip(&report.stops).map(of_stop).collect();
    details.push(findings("By air", &trip.air));
    details.retain(|table| !table.rows.is_empty());
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
            title: "By air".to_owned(),
            items: report.air.clone(),
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
        details,
    }
}

/// Stops against things, and each night.
fn overview(report: &TripReport) -> Table {
    let things = report.things.iter().cloned().map(Cow::Owned);
    let row = |row: &TripRow| Row {
        cells: std::iter::once(row.stop.join(", "))
            .chain(row.cells.iter().cloned())
            .collect(),
        chosen: false,
    };
    let nights = report.stops.iter().filter(|row| !row.night.is_empty());
    Table {
        title: "Stop by stop".to_owned(),
        header: std::iter::once(Cow::Borrowed("Stop"))
            .chain(things)
            .collect(),
        rows: report.stops.iter().map(row).collect(),
        notes: nights.map(|row| row.night.clone()).collect(),
        drawn: false,
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
        header: columns(["Thing", "Asked", "Answer", "Why", "Source"]),
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
        header: columns(["What", "Which"]),
        rows: rows.collect(),
        notes: Vec::new(),
        drawn: false,
    }
}
