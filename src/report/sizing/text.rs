//! The least charger as text of 80 columns.

use std::io::{self, Write};

use super::super::Palette;
use super::super::layout::{hanging, notes, paragraph};
use super::super::table::Columns;
use super::{FrontierRow, Note, SizeReport, SizeRow};

const PORTS: Columns<6> = Columns {
    header: ["Port", "Device", "Cable", "Contract", "Watts", "Full after"],
    yielding: &[1, 2],
};
const FRONTIER: Columns<3> = Columns {
    header: ["All full after", "Watts together", ""],
    yielding: &[],
};

/// Writes the report as tables and notes, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
pub fn write_size_text(
    report: &SizeReport,
    palette: &Palette,
    out: &mut impl Write,
) -> io::Result<()> {
    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    if !report.ports.is_empty() {
        writeln!(out)?;
        paragraph("Ports to look for", palette.title, out)?;
        write_table(&PORTS, &ports(report), palette, out)?;
        hanging("in all: ", &report.tiers, out)?;
        writeln!(out)?;
        paragraph("The least watts for each time", palette.title, out)?;
        write_table(&FRONTIER, &frontier(report), palette, out)?;
        if report.frontier_size > report.frontier.len() {
            let (some, all) = (report.frontier.len(), report.frontier_size);
            hanging("", &format!("{some} of {all}; --json has all of them"), out)?;
        }
        let beside = report.sums.iter().cloned();
        notes("Beside it", palette.title, beside, out)?;
    }
    let late = report.too_late.iter().map(Note::to_string);
    notes("Too late with any charger", palette.bad, late, out)?;
    let unreached = report.unreached.iter().map(Note::to_string);
    notes("Without a cable", palette.bad, unreached, out)?;
    let no_need = report.no_need.iter().cloned();
    notes("Full as they are", palette.title, no_need, out)?;
    let cautions = report.cautions.iter().cloned();
    notes("Cautions", palette.caution, cautions, out)
}

fn write_table<const N: usize>(
    columns: &Columns<N>,
    rows: &[[String; N]],
    palette: &Palette,
    out: &mut impl Write,
) -> io::Result<()> {
    columns.write(rows, &columns.widths(rows), palette.title, out)
}

fn ports(report: &SizeReport) -> Vec<[String; 6]> {
    let cells = |row: &SizeRow| {
        [
            row.port.clone(),
            row.device.clone(),
            row.cable.clone(),
            row.contract.clone(),
            row.watts.clone(),
            row.full_after.clone(),
        ]
    };
    report.ports.iter().map(cells).collect()
}

fn frontier(report: &SizeReport) -> Vec<[String; 3]> {
    let cells = |row: &FrontierRow| {
        let mark = if row.chosen { "as above" } else { "" };
        [row.full_after.clone(), row.watts.clone(), mark.to_owned()]
    };
    report.frontier.iter().map(cells).collect()
}
