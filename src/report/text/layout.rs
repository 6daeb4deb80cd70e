//! Paragraphs and lists within 80 columns.
//!
//! Widths are widths on the screen: what does not fit is wrapped.

use std::io::{self, Write};

use anstyle::Style;
use comfy_table::presets::NOTHING;
use comfy_table::{ColumnConstraint, ContentArrangement, Table};

/// Columns of the page.
pub(super) const WIDTH: u16 = 80;
/// Where tables and notes begin.
pub(super) const INDENT: u16 = 2;

/// One style over a line, without blanks at its end.
pub(super) fn styled(line: &str, style: Style, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{style}{}{style:#}", blanks(line.trim_end()))
}

/// With the blanks that kept names whole as any other.
fn blanks(line: &str) -> String {
    line.replace('\u{a0}', " ")
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
        writeln!(out, "{}", blanks(line.trim_end()))?;
    }
    Ok(())
}

/// Indented text, wrapped.
pub(crate) fn indented(text: &str, out: &mut impl Write) -> io::Result<()> {
    hanging("", text, out)
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
