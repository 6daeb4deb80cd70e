//! A page as HTML.

use std::io::{self, Write};

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::drawing::{Drawing, Frame};
use super::palette::Px;
use super::{DRAWING_STYLE, Figure, NARROW, WIDE};
use crate::report::page::{Block, Page, Section, Table};

const PAGE_STYLE: &str = include_str!("page.css");

/// Nothing may be fetched and nothing may run, whatever a name contains.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:";

/// Cells of so many letters are not broken.
const SHORT: usize = 18;

impl Page {
    /// Writes it as one HTML page.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_html(&self, out: &mut impl Write) -> io::Result<()> {
        out.write_all(self.html().into_string().as_bytes())
    }

    fn html(&self) -> Markup {
        html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light dark";
                    link rel="icon" href="data:,";
                    title { (self.title) }
                    style { (PreEscaped(DRAWING_STYLE)) (PreEscaped(PAGE_STYLE)) }
                }
                body {
                    main {
                        header {
                            h1 { bdi { (self.title) } }
                            p .lead .alarm[!self.good] { (self.alone()) }
                        }
                        @for (n, figure) in self.drawn_first() { (figure.html(n)) }
                        @for run in self.below().chunk_by(|a, b| a.beside && b.beside && a.folded == b.folded) {
                            @if run[0].folded {
                                @for section in run { (section.folded_away(self)) }
                            } @else if run[0].beside {
                                div .moments { @for section in run { (section.html(self)) } }
                            } @else {
                                @for section in run { (section.html(self)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

impl Figure {
    /// With its title and what stands below it.
    fn html(&self, n: usize) -> Markup {
        html! {
            figure {
                h2 { bdi { (self.title) } }
                (self.untitled(n))
            }
        }
    }

    /// Where a title stands above it.
    fn untitled(&self, n: usize) -> Markup {
        html! {
            (inline(self, NARROW, "narrow", n))
            (inline(self, WIDE, "wide", n))
            @if !self.caption.is_empty() {
                    figcaption { @for line in &self.caption { p .fine { (line) } } }
                }
        }
    }
}

impl Section {
    /// Under its title until somebody asks for it; no script is needed for that.
    fn folded_away(&self, page: &Page) -> Markup {
        html! {
            details {
                summary { bdi { (self.title) } }
                @for (n, figure) in page.drawn_in(self) { figure { (figure.untitled(n)) } }
                @for table in self.tables() { (table.html()) }
                (self.items())
            }
        }
    }

    /// Its lines as a list.
    fn items(&self) -> Markup {
        let mut lines = self.said().peekable();
        html! {
            @if lines.peek().is_some() {
                ul { @for line in lines { li { (line.kind()) bdi { (line.text) } } } }
            }
        }
    }

    /// A table below the lines that begin it.
    fn begins_with_lines(&self) -> bool {
        matches!(self.blocks.first(), Some(Block::Line(line)) if !line.mark.is_empty())
    }

    fn html(&self, page: &Page) -> Markup {
        let mut tables = self.tables();
        match tables.next() {
            None => html! {
                section .notes {
                    h2 { bdi { (self.title) } }
                    ul { @for line in self.said() { li { bdi { (line.text) } } } }
                    @for (n, figure) in page.drawn_in(self) { (figure.html(n)) }
                }
            },
            Some(first) if self.begins_with_lines() => html! {
                section .notes .stop {
                    h2 { bdi { (self.title) } }
                    (self.items())
                    @for table in std::iter::once(first).chain(tables) { (table.html()) }
                    @for (n, figure) in page.drawn_in(self) { (figure.html(n)) }
                }
            },
            Some(first) => html! {
                section .unprinted[first.drawn] {
                    h2 { (self.title) }
                    @for table in std::iter::once(first).chain(tables) { (table.html()) }
                    @for line in self.said() { p .fine { (line.before()) (line.text) } }
                    @for (n, figure) in page.drawn_in(self) { (figure.html(n)) }
                }
            },
        }
    }
}

impl Table {
    /// On a phone each row becomes a few lines, so every cell carries its column's name;
    /// the roles are spelt out, since a table that is not laid out as one loses them.
    fn html(&self) -> Markup {
        html! {
            table role="table" .slim[self.columns.len() < 3] {
                thead role="rowgroup" {
                    tr role="row" {
                        @for column in &self.columns { th role="columnheader" scope="col" { bdi { (column.title) } } }
                    }
                }
                tbody role="rowgroup" {
                    @for row in &self.rows {
                        tr role="row" .chosen[row.chosen] {
                            @for (column, cell) in self.columns.iter().zip(&row.cells) {
                                td role="cell" data-name=(column.title) {
                                    @if !cell.is_empty() { bdi .whole[cell.chars().count() <= SHORT] { (cell) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A drawing in the page; one of the two widths is shown.
fn inline(figure: &Figure, width: f64, class: &str, n: usize) -> Markup {
    let ids = format!("{class}{n}-");
    let Drawing {
        width,
        height,
        body,
    } = figure.drawn.draw(Frame { width, ids: &ids });
    html! {
        svg xmlns="http://www.w3.org/2000/svg" class=(class) role="img"
            viewBox={ "0 0 " (Px(width)) " " (Px(height)) }
            aria-labelledby={ (ids) "title " (ids) "words" } {
            title id={ (ids) "title" } { (figure.title) }
            desc id={ (ids) "words" } { (figure.words) }
            (body)
        }
    }
}
