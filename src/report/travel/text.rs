//! The report of a trip as text of 80 columns.

use std::io::{self, Write};

use anstyle::Style;

use super::super::layout::{hanging, notes, paragraph};
use super::super::table::write_matrix;
use super::super::text::Palette;
use super::TripReport;

/// Things beside each other in one table; what is more goes into a table below.
const THINGS_ACROSS: usize = 5;

/// Writes the report as a table of stops against things, and notes, at most 80 columns
/// wide.
///
/// # Errors
/// Those of `out`.
pub fn write_trip(report: &TripReport, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    for start in (0..report.things.len()).step_by(THINGS_ACROSS) {
        let end = (start + THINGS_ACROSS).min(report.things.len());
        let mut header = vec!["Stop".to_owned()];
        header.extend_from_slice(&report.things[start..end]);
        let rows: Vec<Vec<String>> = report
            .stops
            .iter()
            .map(|stop| {
                let mut row = vec![stop.stop.join("\n")];
                row.extend_from_slice(&stop.cells[start..end]);
                row
            })
            .collect();
        writeln!(out)?;
        write_matrix(&header, &rows, palette.title, out)?;
    }
    let nights = report.stops.iter().map(|stop| stop.night.clone());
    let nights = nights.filter(|night| !night.is_empty());
    notes("Nights", palette.title, nights, out)?;
    listed("Take", &report.take, palette.title, out)?;
    listed("Leave at home", &report.leave, palette.title, out)?;
    notes(
        "Cannot be used",
        palette.bad,
        report.missing.iter().cloned(),
        out,
    )?;
    notes("To know", palette.title, report.notes.iter().cloned(), out)?;
    notes("By air", palette.title, report.air.iter().cloned(), out)?;
    notes(
        "Cautions",
        palette.caution,
        report.cautions.iter().cloned(),
        out,
    )
}

/// A titled list with a label before each line; nothing at all where it is empty.
fn listed(
    title: &str,
    lines: &[(String, String)],
    style: Style,
    out: &mut impl Write,
) -> io::Result<()> {
    for (i, (label, text)) in lines.iter().enumerate() {
        if i == 0 {
            writeln!(out)?;
            paragraph(title, style, out)?;
        }
        hanging(&format!("- {label}: "), text, out)?;
    }
    Ok(())
}
