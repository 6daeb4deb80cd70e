//! The rota as text of 80 columns.

use std::io::{self, Write};

use anstyle::Style;

use super::super::Palette;
use super::super::page::{hanging, notes, paragraph};
use super::super::table::Columns;
use super::super::text::full_after;
use super::{MomentReport, Note, RotaReport, RotaRow};

const COLUMNS: Columns<6> = Columns {
    header: [
        "Device",
        "Sessions",
        "Charges for",
        "Full",
        "Needed",
        "Limited by",
    ],
    yielding: &[0, 1],
};

/// Writes the report as lists and a table, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
pub fn write_rota(report: &RotaReport, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    paragraph(&report.totals, Style::new(), out)?;
    if let Some(bounds) = &report.bounds {
        paragraph(bounds, Style::new(), out)?;
    }
    for moment in &report.moments {
        write_moment(moment, palette, out)?;
    }
    if !report.rows.is_empty() {
        writeln!(out)?;
        let rows: Vec<_> = report.rows.iter().map(cells).collect();
        COLUMNS.write(&rows, &COLUMNS.widths(&rows), palette.title, out)?;
    }
    let late = report.late.iter().map(Note::to_string);
    notes("Late", palette.bad, late, out)?;
    let without = report.without_berth.iter().map(Note::to_string);
    notes("Without a berth", palette.bad, without, out)?;
    let no_need = report.no_need.iter().cloned();
    notes("Full as they are", palette.title, no_need, out)?;
    let cautions = report.cautions.iter().cloned();
    notes("Cautions", palette.caution, cautions, out)
}

fn write_moment(moment: &MomentReport, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    paragraph(
        &format!("{}  {}", moment.at, moment.begins),
        palette.title,
        out,
    )?;
    if !moment.take_out.is_empty() {
        hanging("take out: ", &moment.take_out.join(", "), out)?;
    }
    for plug_in in &moment.plug_in {
        hanging("plug in: ", plug_in, out)?;
    }
    if !moment.pools.is_empty() {
        hanging("pools: ", &moment.pools.join("; "), out)?;
    }
    Ok(())
}

fn cells(row: &RotaRow) -> [String; 6] {
    [
        row.device.clone(),
        row.sessions.clone(),
        row.charges_for.clone(),
        match row.late {
            Some("late") => full_after(&row.full, true),
            Some(other) => format!("{}\n{other}", row.full),
            None => row.full.clone(),
        },
        row.needed.clone(),
        row.limited_by.to_owned(),
    ]
}
