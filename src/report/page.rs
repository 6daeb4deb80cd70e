//! A page of 80 columns: paragraphs, lists and tables, as every report lays them out.
//!
//! Widths are widths on the screen: what does not fit is wrapped.

use std::io::{self, Write};

use anstyle::Style;
use comfy_table::presets::NOTHING;
use comfy_table::{ColumnConstraint, ContentArrangement, LineStyle, Table, TableStyle, Width};

/// Columns of the page.
pub(super) const WIDTH: u16 = 80;
/// Blanks between two columns of a table.
const GAP: u16 = 2;
/// Where tables and notes begin.
const INDENT: u16 = 2;
/// A column of names is not made narrower than this while others can be.
const NARROWEST: u16 = 8;

/// A table: titles, rows of cells, and which of its columns hold names, to be wrapped
/// first where the page is too narrow for all.
pub(super) struct Grid<'a> {
    pub(super) header: &'a [&'a str],
    pub(super) names: &'a [usize],
    pub(super) rows: Vec<Vec<String>>,
}

impl Grid<'_> {
    /// The columns' widths with their padding: as the content needs, and the names as
    /// narrow as the page asks for.
    pub(super) fn widths(&self) -> Vec<u16> {
        let last = self.header.len().saturating_sub(1);
        let mut widths: Vec<u16> = self
            .table()
            .column_max_content_widths()
            .into_iter()
            .enumerate()
            .map(|(i, content)| {
                let left = if i == 0 { INDENT } else { 0 };
                let right = if i == last { 0 } else { GAP };
                left + content + right
            })
            .collect();
        while widths.iter().sum::<u16>() > WIDTH {
            let by_width = |&a: &usize, &b: &usize| widths[a].cmp(&widths[b]);
            let widest_name = self.names.iter().rev().copied().max_by(by_width);
            let narrowed = widest_name
                .filter(|&name| widths[name] > NARROWEST + GAP)
                .or_else(|| (0..widths.len()).max_by(by_width));
            let Some(narrowed) = narrowed else { break };
            widths[narrowed] -= 1;
        }
        widths
    }

    /// Writes the table with these widths.
    ///
    /// # Errors
    /// Those of `out`.
    pub(super) fn write(
        &self,
        widths: &[u16],
        title: Style,
        out: &mut impl Write,
    ) -> io::Result<()> {
        let mut table = self.table();
        for (column, &width) in table.column_iter_mut().zip(widths) {
            column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(width)));
        }
        table.set_content_arrangement(ContentArrangement::Dynamic);
        // A table cannot be told less than its columns need, so its width is free.
        table.set_width(u16::MAX);
        for (i, line) in table.lines().enumerate() {
            let style = if i == 0 { title } else { Style::new() };
            // The rule below the titles begins where they begin.
            let line = if i == 1 {
                line.replacen("──", "  ", 1)
            } else {
                line
            };
            styled(&line, style, out)?;
        }
        Ok(())
    }

    /// As wide as its content.
    fn table(&self) -> Table {
        let mut table = Table::new();
        table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('─')));
        table.set_header(self.header);
        for row in &self.rows {
            table.add_row(row);
        }
        for (i, column) in table.column_iter_mut().enumerate() {
            let left = if i == 0 { INDENT } else { 0 };
            let right = if i + 1 == self.header.len() { 0 } else { GAP };
            column.set_padding((left, right));
        }
        table
    }
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
pub(super) fn notes(
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
