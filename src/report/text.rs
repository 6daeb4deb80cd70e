//! The report as text of 80 columns, for a terminal or a file.
//!
//! Widths are widths on the screen: what does not fit is wrapped. Colour only
//! repeats what the words say.

use std::io::{self, Write};

use anstyle::{AnsiColor, Style};
use comfy_table::presets::NOTHING;
use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Table, TableStyle, Width,
};

use super::{ChargerReport, Report, Row};

/// Columns of the page.
const WIDTH: u16 = 80;
/// Blanks between two columns of a table.
const GAP: u16 = 2;
/// Where tables and notes begin.
const INDENT: u16 = 2;
/// The columns that may be made narrower when the page is too narrow for all.
const NAMES: [usize; 2] = [1, 2];
const HEADER: [&str; 7] = [
    "Port",
    "Device",
    "Cable",
    "Contract",
    "Watts",
    "Full after",
    "Limited by",
];

/// The styles of a report's parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Palette {
    /// The first line, where every device is served in time.
    pub good: Style,
    /// The first line, where one is not; what is late or without a berth.
    pub bad: Style,
    /// Titles of sections and columns.
    pub title: Style,
    /// The title of the cautions.
    pub caution: Style,
}

impl Palette {
    /// No styles at all: text for a file.
    pub const PLAIN: Self = Self {
        good: Style::new(),
        bad: Style::new(),
        title: Style::new(),
        caution: Style::new(),
    };
    /// Styles as ANSI escapes: text for a terminal.
    pub const COLOUR: Self = Self {
        good: AnsiColor::Green.on_default().bold(),
        bad: AnsiColor::Red.on_default().bold(),
        title: Style::new().bold(),
        caution: AnsiColor::Yellow.on_default().bold(),
    };
}

/// Writes the report as a table and notes, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
pub fn write_text(report: &Report, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    if let Some(bounds) = &report.bounds {
        paragraph(bounds, Style::new(), out)?;
    }
    let widths = widths(report);
    for charger in &report.chargers {
        write_charger(charger, widths, palette, out)?;
    }
    let late = report
        .late
        .iter()
        .map(|n| format!("{}: {}", n.device, n.text));
    notes("Late", palette.bad, late, out)?;
    let without = report
        .without_berth
        .iter()
        .map(|n| format!("{}: {}", n.device, n.text));
    notes("Without a berth", palette.bad, without, out)?;
    notes(
        "Full as they are",
        palette.title,
        report.no_need.iter().cloned(),
        out,
    )?;
    notes(
        "Cautions",
        palette.caution,
        report.cautions.iter().cloned(),
        out,
    )
}

fn write_charger(
    charger: &ChargerReport,
    widths: [u16; HEADER.len()],
    palette: &Palette,
    out: &mut impl Write,
) -> io::Result<()> {
    writeln!(out)?;
    paragraph(&charger.name, palette.title, out)?;
    if charger.rows.is_empty() {
        return writeln!(out, "  not used");
    }
    let mut table = table(charger.rows.iter());
    for (column, width) in table.column_iter_mut().zip(widths) {
        column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(width)));
    }
    table.set_content_arrangement(ContentArrangement::Dynamic);
    // A table cannot be told less than its columns need, so its width is free.
    table.set_width(u16::MAX);
    for (i, line) in table.lines().enumerate() {
        let style = if i == 0 { palette.title } else { Style::new() };
        // The rule below the titles begins where they begin.
        let line = if i == 1 {
            line.replacen("──", "  ", 1)
        } else {
            line
        };
        styled(&line, style, out)?;
    }
    if !charger.pools.is_empty() {
        hanging("pools: ", &charger.pools.join("; "), out)?;
    }
    if !charger.free.is_empty() {
        hanging("free: ", &charger.free.join(", "), out)?;
    }
    Ok(())
}

/// A table of berths, as wide as its content.
fn table<'a>(rows: impl Iterator<Item = &'a Row>) -> Table {
    let mut table = Table::new();
    table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('─')));
    table.set_header(HEADER);
    for row in rows {
        let full_after = if row.late {
            format!("{}\nlate", row.full_after)
        } else {
            row.full_after.clone()
        };
        table.add_row([
            row.port.as_str(),
            &row.device,
            &row.cable,
            &row.contract,
            &row.watts,
            &full_after,
            row.limited_by,
        ]);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        let left = if i == 0 { INDENT } else { 0 };
        let right = if i + 1 == HEADER.len() { 0 } else { GAP };
        column.set_padding((left, right));
    }
    table
}

/// The columns' widths with their padding, the same for all chargers: as the content
/// needs, and the names as narrow as the page asks for.
fn widths(report: &Report) -> [u16; HEADER.len()] {
    let probe = table(report.chargers.iter().flat_map(|charger| &charger.rows));
    let mut widths = [0; HEADER.len()];
    for (width, content) in widths.iter_mut().zip(probe.column_max_content_widths()) {
        *width = content + GAP;
    }
    widths[0] += INDENT;
    widths[HEADER.len() - 1] -= GAP;
    while widths.iter().sum::<u16>() > WIDTH {
        let widest = if widths[NAMES[0]] >= widths[NAMES[1]] {
            NAMES[0]
        } else {
            NAMES[1]
        };
        let floor = 8 + GAP;
        let narrowed = if widths[widest] > floor {
            widest
        } else {
            let by_width = |&a: &usize, &b: &usize| widths[a].cmp(&widths[b]);
            (0..widths.len()).max_by(by_width).unwrap_or(widest)
        };
        widths[narrowed] -= 1;
    }
    widths
}

/// The lines of a table with a rule below its titles: columns as wide as they need, the
/// one that is `wrapped` as narrow as the page asks for, numbers to the right.
pub(super) fn lines_of<'r, const N: usize>(
    header: [&str; N],
    rows: impl Iterator<Item = [&'r str; N]>,
    wrapped: usize,
    numbers: &[usize],
) -> Vec<String> {
    let mut table = Table::new();
    table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('─')));
    table.set_header(header);
    for row in rows {
        table.add_row(row);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        let left = if i == 0 { INDENT } else { 0 };
        let right = if i + 1 == N { 0 } else { GAP };
        column.set_padding((left, right));
        if numbers.contains(&i) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let widths = table.column_max_content_widths();
    let gaps = INDENT + GAP * u16::try_from(N - 1).unwrap_or(0);
    let others: u16 = widths.iter().sum::<u16>() - widths[wrapped];
    let room = WIDTH.saturating_sub(gaps + others).max(8);
    if let Some(column) = table.column_mut(wrapped) {
        let width = widths[wrapped].min(room) + GAP;
        column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(width)));
    }
    table.set_content_arrangement(ContentArrangement::Dynamic);
    // A table cannot be told less than its columns need, so its width is free.
    table.set_width(u16::MAX);
    table
        .lines()
        .enumerate()
        .map(|(i, line)| match i {
            // The rule below the titles begins where they begin.
            1 => line.replacen("──", "  ", 1),
            _ => line,
        })
        .collect()
}

/// One style over a line, without blanks at its end.
pub(super) fn styled(line: &str, style: Style, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{style}{}{style:#}", line.trim_end())
}

/// Text from the left edge, wrapped.
pub(super) fn paragraph(text: &str, style: Style, out: &mut impl Write) -> io::Result<()> {
    for line in wrapped("", text).lines() {
        styled(&line, style, out)?;
    }
    Ok(())
}

/// Indented text behind a label, its further lines below its first.
pub(super) fn hanging(label: &str, text: &str, out: &mut impl Write) -> io::Result<()> {
    for line in wrapped(&format!("{:1$}{label}", "", usize::from(INDENT)), text).lines() {
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

/// A titled list; nothing at all where it is empty.
fn notes(
    title: &str,
    style: Style,
    items: impl Iterator<Item = String>,
    out: &mut impl Write,
) -> io::Result<()> {
    for (i, item) in items.enumerate() {
        if i == 0 {
            writeln!(out)?;
            styled(title, style, out)?;
        }
        hanging("- ", &item, out)?;
    }
    Ok(())
}

/// `text` wrapped to the page, beside `label`.
fn wrapped(label: &str, text: &str) -> Table {
    let mut table = Table::new();
    table
        .load_style(NOTHING)
        .set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(WIDTH);
    if label.is_empty() {
        table.add_row([text]);
    } else {
        table.add_row([label, text]);
        if let Some(column) = table.column_mut(0) {
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    for column in table.column_iter_mut() {
        column.set_padding((0, 0));
    }
    table
}

#[cfg(test)]
mod tests {
    use super::super::tests::{berth, charger, device, plan, setup};
    use super::*;
    use crate::plan::{Plan, PoolUse};
    use crate::setup::Setup;

    fn text(report: &Report, palette: &Palette) -> String {
        let mut bytes = Vec::new();
        write_text(report, palette, &mut bytes).expect("a vector takes every byte");
        String::from_utf8(bytes).expect("the report is text")
    }

    fn plain(setup: &Setup, plan: &Plan) -> String {
        text(&Report::new(setup, plan), &Palette::PLAIN)
    }

    /// Columns on the screen, by the table's own measure.
    fn width(line: &str) -> u16 {
        let mut table = Table::new();
        table.add_row([line]);
        table
            .column_max_content_widths()
            .first()
            .copied()
            .unwrap_or(0)
    }

    #[test]
    fn the_page_of_a_plain_plan() {
        let setup = setup(
            vec![
                charger("two-bank charger", &["C1", "C2", "A1"]),
                charger("cube", &["C1"]),
            ],
            vec![
                device("laptop", 20.0),
                device("phone 1", 20.0),
                device("recorder", 20.0),
            ],
        );
        let mut plan = plan(
            vec![
                berth("laptop", "two-bank charger", "C2", 9.0 + 10.0 / 60.0),
                berth("phone 2", "two-bank charger", "C1", 0.75),
            ],
            1,
        );
        plan.pools = vec![PoolUse {
            charger: "two-bank charger".to_owned(),
            pool: "total".to_owned(),
            used_w: 72.5,
            max_w: 100.0,
        }];
        plan.cautions = vec![
            "a pool binds: the charger divides by its own rule, so this is the best case"
                .to_owned(),
        ];
        insta::assert_snapshot!(plain(&setup, &plan), @r"
            2 of 3 devices full after 9 h 10 min at the latest, 1 without a berth, 1 late;
            proven: no plan is better

            two-bank charger
              Port  Device   Cable        Contract     Watts  Full after  Limited by
              ──────────────────────────────────────────────────────────────────────
              C1    phone 2  braided 2 m  20 V 3.25 A  65 W   45 min      device
              C2    laptop   braided 2 m  20 V 3.25 A  65 W   9 h 10 min  device
                                                              late
              pools: total 72.5 of 100 W
              free: A1

            cube
              not used

            Late
              - laptop: full after 9 h 10 min, needed after 8 h 00 min: 1 h 10 min late

            Without a berth
              - phone 1: no cable in the bag ends in its inlet, usb-micro-b

            Cautions
              - a pool binds: the charger divides by its own rule, so this is the best case
            ");
    }

    #[test]
    fn every_line_fits_the_page() {
        let names = [
            "x".repeat(200),
            "<script>alert('1')</script> & \"quotes\"".to_owned(),
            "טאבלט של התווים הראשון במעלה".to_owned(),
            "👩‍🚀🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻".to_owned(),
            "譜面用タブレットの一番目の非常に長い名前".to_owned(),
            "many short words that go on and on until the cell has to break".to_owned(),
            "esc\u{1b}[2Jape\r\n".to_owned(),
        ];
        for name in &names {
            let setup = setup(vec![charger(name, &["C1", name])], vec![device(name, 0.0)]);
            let mut plan = plan(
                vec![berth(name, name, "C1", 12.5), berth(name, name, name, 12.0)],
                2,
            );
            plan.berths[1].cable.clone_from(name);
            plan.without_berth[0].device.clone_from(name);
            plan.cautions = vec![format!("the cable `{name}` is long")];
            plan.pools = vec![PoolUse {
                charger: name.clone(),
                pool: name.clone(),
                used_w: 60.0,
                max_w: 60.0,
            }];
            let page = plain(&setup, &plan);
            for line in page.lines() {
                assert!(width(line) <= 80, "{} columns: {line}", width(line));
                assert!(!line.ends_with(' '), "blanks at the end: {line:?}");
            }
            assert!(!page.contains(['\u{1b}', '\r']), "{page:?}");
            assert!(page.contains("late"));
        }
    }

    #[test]
    fn colour_adds_only_escapes() {
        let setup = setup(
            vec![charger("bank", &["C1", "C2"])],
            vec![device("laptop", 20.0)],
        );
        let mut plan = plan(vec![berth("laptop", "bank", "C1", 9.0)], 1);
        plan.cautions = vec!["a caution".to_owned()];
        let report = Report::new(&setup, &plan);
        let coloured = text(&report, &Palette::COLOUR);
        assert!(coloured.contains('\u{1b}'));
        let stripped = anstream::adapter::strip_str(&coloured).to_string();
        assert_eq!(stripped, text(&report, &Palette::PLAIN));
    }
}
