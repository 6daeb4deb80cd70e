//! Tables within the page of 80 columns, as every report lays them out.

use std::io::{self, Write};

use anstyle::Style;
use comfy_table::{ColumnConstraint, ContentArrangement, LineStyle, Table, TableStyle, Width};

use super::layout::{INDENT, WIDTH, styled};

/// Blanks between two columns.
const GAP: u16 = 2;
/// The first column of a matrix is not made wider than this.
const WIDEST_FIRST: u16 = 28;
/// A column is not made narrower than this while others can be.
const NARROWEST: u16 = 8;

/// The columns of one or of several tables below each other.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns<const N: usize> {
    pub(super) header: [&'static str; N],
    /// Those that may be made narrower when the page is too narrow for all.
    pub(super) yielding: &'static [usize],
}

impl<const N: usize> Columns<N> {
    /// The columns' widths with their padding, the same for all tables with these rows:
    /// as the content needs, and the yielding ones as narrow as the page asks for.
    pub(super) fn widths(&self, rows: &[[String; N]]) -> Vec<u16> {
        if rows.is_empty() && !self.titled() {
            // Such a table has no columns that could be asked.
            return vec![0; N];
        }
        let last = N - 1;
        let mut widths = self.table(rows).column_max_content_widths();
        for width in &mut widths {
            *width += GAP;
        }
        widths[0] += INDENT;
        widths[last] -= GAP;
        while widths.iter().sum::<u16>() > WIDTH {
            let by_width = |&a: &usize, &b: &usize| widths[a].cmp(&widths[b]);
            // The first of several that are equally wide.
            let widest = self.yielding.iter().rev().copied().max_by(by_width);
            let narrowed = widest
                .filter(|&widest| widths[widest] > NARROWEST + GAP)
                .or_else(|| (0..widths.len()).max_by(by_width))
                .unwrap_or(0);
            widths[narrowed] -= 1;
        }
        widths
    }

    /// Writes a table with these widths.
    ///
    /// # Errors
    /// Those of `out`.
    pub(super) fn write(
        &self,
        rows: &[[String; N]],
        widths: &[u16],
        title: Style,
        out: &mut impl Write,
    ) -> io::Result<()> {
        let mut table = self.table(rows);
        for (column, width) in table.column_iter_mut().zip(widths) {
            column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(*width)));
        }
        table.set_content_arrangement(ContentArrangement::Dynamic);
        // A table cannot be told less than its columns need, so its width is free.
        table.set_width(u16::MAX);
        write_lines(&table, title, out)
    }

    /// Whether the columns have titles at all.
    fn titled(&self) -> bool {
        self.header.iter().any(|title| !title.is_empty())
    }

    /// As wide as its content.
    fn table(&self, rows: &[[String; N]]) -> Table {
        let mut table = Table::new();
        table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('─')));
        if self.titled() {
            table.set_header(self.header);
        }
        for row in rows {
            table.add_row(row);
        }
        for (i, column) in table.column_iter_mut().enumerate() {
            let left = if i == 0 { INDENT } else { 0 };
            let right = if i + 1 == N { 0 } else { GAP };
            column.set_padding((left, right));
        }
        table
    }
}

/// Writes a table with as many columns as `header` has, the page wide at most: the first
/// as wide as its content, the others share what is left.
///
/// # Errors
/// Those of `out`.
pub(super) fn write_matrix(
    header: &[String],
    rows: &[Vec<String>],
    title: Style,
    out: &mut impl Write,
) -> io::Result<()> {
    let mut table = Table::new();
    table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('─')));
    table.set_header(header);
    for row in rows {
        table.add_row(row);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        let left = if i == 0 { INDENT } else { 0 };
        let right = if i + 1 == header.len() { 0 } else { GAP };
        column.set_padding((left, right));
    }
    let widths = table.column_max_content_widths();
    if let Some(first) = table.column_mut(0) {
        // Names may be as wide as the page: the other columns need their part of it.
        first.set_constraint(match widths.first() {
            Some(&width) if width > WIDEST_FIRST => {
                ColumnConstraint::Absolute(Width::Fixed(WIDEST_FIRST + INDENT + GAP))
            }
            _ => ColumnConstraint::ContentWidth,
        });
    }
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(WIDTH);
    write_lines(&table, title, out)
}

/// Writes the lines of a table, its titles in a style of their own.
fn write_lines(table: &Table, title: Style, out: &mut impl Write) -> io::Result<()> {
    let titled = table.header().is_some();
    let mut above = if titled { title } else { Style::new() };
    for line in table.lines() {
        // The rule below the titles begins where they begin.
        let rule = titled && line.trim_start_matches('─').is_empty() && !line.is_empty();
        let line = if rule {
            line.replacen("──", "  ", 1)
        } else {
            line
        };
        if rule {
            above = Style::new();
        }
        styled(&line, above, out)?;
    }
    Ok(())
}
