//! Tables within the page of 80 columns.

use std::io::{self, Write};

use anstyle::Style;
use comfy_table::{
    ColumnConstraint, ContentArrangement, LineStyle, Table as Grid, TableStyle, Width,
};

use super::layout::{INDENT, WIDTH, styled};
use crate::report::page::{Cells, Column, Row, Table};

/// Blanks between two columns.
const GAP: u16 = 2;
/// The first of columns that share the page is not made wider than this.
const WIDEST_FIRST: u16 = 28;
/// Answers beside each other in one table; what is more goes into a table below.
const ANSWERS_ACROSS: usize = 5;
/// A column is not made narrower than this while others can be.
const NARROWEST: u16 = 8;

/// How wide the columns of a page's tables are with their padding.
pub(super) struct Widths<'p> {
    known: Vec<(&'p [Column], Vec<u16>)>,
}

impl<'p> Widths<'p> {
    /// As the content of all tables with the same columns needs, and names as narrow as
    /// the page asks for.
    pub(super) fn of(tables: impl Iterator<Item = &'p Table>) -> Self {
        let mut alike: Vec<(&[Column], Vec<&Row>)> = Vec::new();
        for table in tables.filter(|table| !has_answers(&table.columns)) {
            match alike.iter_mut().find(|(known, _)| *known == table.columns) {
                Some((_, rows)) => rows.extend(&table.rows),
                None => alike.push((&table.columns, table.rows.iter().collect())),
            }
        }
        let known = alike.into_iter();
        Self {
            known: known
                .map(|(columns, rows)| (columns, widths(columns, rows)))
                .collect(),
        }
    }

    /// Writes one of these tables.
    pub(super) fn write(
        &self,
        table: &Table,
        title: Style,
        out: &mut impl Write,
    ) -> io::Result<()> {
        let Table { columns, rows, .. } = table;
        if has_answers(columns) {
            return write_answers(columns, rows, title, out);
        }
        let mut grid = grid(columns, rows.iter().map(|row| &row.cells));
        let widths = self.known.iter().find(|(known, _)| known == columns);
        let widths = widths.map_or(&[][..], |(_, widths)| widths);
        for (column, width) in grid.column_iter_mut().zip(widths) {
            column.set_constraint(ColumnConstraint::Absolute(Width::Fixed(*width)));
        }
        grid.set_content_arrangement(ContentArrangement::Dynamic);
        // A table cannot be told less than its columns need, so its width is free.
        grid.set_width(u16::MAX);
        write_lines(&grid, title, out)
    }
}

fn has_answers(columns: &[Column]) -> bool {
    columns.iter().any(|column| column.cells == Cells::Answers)
}

fn widths(columns: &[Column], rows: Vec<&Row>) -> Vec<u16> {
    let cells = rows.into_iter().map(|row| &row.cells);
    let mut widths = grid(columns, cells).column_max_content_widths();
    for width in &mut widths {
        *width += GAP;
    }
    if let [first, ..] = widths.as_mut_slice() {
        *first += INDENT;
    }
    if let [.., last] = widths.as_mut_slice() {
        *last -= GAP;
    }
    while widths.iter().sum::<u16>() > WIDTH {
        let by_width = |&a: &usize, &b: &usize| widths[a].cmp(&widths[b]);
        let names = (0..widths.len()).filter(|&n| columns[n].cells == Cells::Names);
        // The first of several that are equally wide.
        let widest = names.rev().max_by(by_width);
        let narrowed = widest
            .filter(|&widest| widths[widest] > NARROWEST + GAP)
            .or_else(|| (0..widths.len()).max_by(by_width))
            .unwrap_or(0);
        widths[narrowed] -= 1;
    }
    widths
}

/// As wide as its content.
fn grid<'r>(columns: &[Column], rows: impl Iterator<Item = &'r Vec<String>>) -> Grid {
    let mut grid = Grid::new();
    grid.load_style(TableStyle::new().header_separator(LineStyle::none().fill('─')));
    if columns.iter().any(|column| !column.title.is_empty()) {
        grid.set_header(columns.iter().map(|column| &column.title));
    }
    for row in rows {
        grid.add_row(row);
    }
    for (i, column) in grid.column_iter_mut().enumerate() {
        let left = if i == 0 { INDENT } else { 0 };
        let right = if i + 1 == columns.len() { 0 } else { GAP };
        column.set_padding((left, right));
    }
    grid
}

/// Writes the answers, as many beside each other as there is room for: the first column
/// is as wide as its content, the others share what is left.
fn write_answers(
    columns: &[Column],
    rows: &[Row],
    title: Style,
    out: &mut impl Write,
) -> io::Result<()> {
    for start in (1..columns.len()).step_by(ANSWERS_ACROSS) {
        let end = (start + ANSWERS_ACROSS).min(columns.len());
        if start > 1 {
            writeln!(out)?;
        }
        let shown: Vec<Column> = [&columns[..1], &columns[start..end]].concat();
        let rows: Vec<Vec<String>> = rows
            .iter()
            .map(|row| [&row.cells[..1], &row.cells[start..end]].concat())
            .collect();
        let mut grid = grid(&shown, rows.iter());
        let widths = grid.column_max_content_widths();
        if let Some(first) = grid.column_mut(0) {
            // Names may be as wide as the page: the other columns need their part of it.
            first.set_constraint(match widths.first() {
                Some(&width) if width > WIDEST_FIRST => {
                    ColumnConstraint::Absolute(Width::Fixed(WIDEST_FIRST + INDENT + GAP))
                }
                _ => ColumnConstraint::ContentWidth,
            });
        }
        grid.set_content_arrangement(ContentArrangement::Dynamic);
        grid.set_width(WIDTH);
        write_lines(&grid, title, out)?;
    }
    Ok(())
}

/// Writes the lines of a table, its titles in a style of their own.
fn write_lines(grid: &Grid, title: Style, out: &mut impl Write) -> io::Result<()> {
    let titled = grid.header().is_some();
    let mut above = if titled { title } else { Style::new() };
    for line in grid.lines() {
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
