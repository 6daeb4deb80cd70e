//! Facts as a table: what a drawing shows, for those who read or hear it.

use std::borrow::Cow;

use maud::{Markup, html};

/// Cells of so many letters are not broken.
const SHORT: usize = 18;

/// A table with a heading; its first column names the row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Table {
    pub(super) title: String,
    pub(super) header: Vec<Cow<'static, str>>,
    pub(super) rows: Vec<Row>,
    /// What stands below it.
    pub(super) notes: Vec<String>,
    /// Whether it says nothing that the drawing on the same sheet of paper does not.
    pub(super) drawn: bool,
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Row {
    pub(super) cells: Vec<String>,
    /// Whether it is the one that the page is about.
    pub(super) chosen: bool,
}

impl Table {
    /// On a phone each row becomes a few lines, so every cell carries its column's name;
    /// the roles are spelt out, since a table that is not laid out as one loses them.
    pub(super) fn draw(&self) -> Markup {
        html! {
            section .unprinted[self.drawn] {
                h2 { (self.title) }
                table role="table" .slim[self.header.len() < 3] {
                    thead role="rowgroup" {
                        tr role="row" {
                            @for name in &self.header { th role="columnheader" scope="col" { bdi { (name) } } }
                        }
                    }
                    tbody role="rowgroup" {
                        @for row in &self.rows {
                            tr role="row" .chosen[row.chosen] {
                                @for (name, cell) in self.header.iter().zip(&row.cells) {
                                    td role="cell" data-name=(name) {
                                        @if !cell.is_empty() { bdi .whole[cell.chars().count() <= SHORT] { (cell) } }
                                    }
                                }
                            }
                        }
                    }
                }
                @for note in &self.notes { p .fine { (note) } }
            }
        }
    }
}

/// The names of columns that are always the same.
pub(super) fn columns<const N: usize>(names: [&'static str; N]) -> Vec<Cow<'static, str>> {
    names.map(Cow::Borrowed).to_vec()
}
