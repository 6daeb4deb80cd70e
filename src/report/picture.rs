//! Answers drawn: pictures that a person would rather look at than at numbers.
//!
//! A [`Picture`] is decided once, from an answer of the library: what is drawn, and the
//! same in words and tables. It is written as one SVG, or as one HTML page, each in one
//! file that asks for nothing else: no script, no font, no image from elsewhere. A page
//! is drawn for a phone and for a desk, by day and by night, and prints on A4.
//!
//! Every text goes through templates that escape by themselves (`maud`), so that a device
//! named `<script>` stays text.

mod board;
mod drawing;
mod frontier;
mod lettering;
mod night;
mod page;
mod palette;
mod ranking;
mod scale;
mod scatter;
mod seat;
mod sizing;
mod table;
mod trip;
mod wanted;

use std::io::{self, Write};

use board::Board;
use drawing::{Drawing, Frame};
use frontier::Frontier;
use scatter::Scatter;
use table::Table;
use wanted::Wanted;

use crate::report::page::{Block, Page, Section, Shown};
use crate::report::printable::sentence;

pub use night::{night, rota};
pub use ranking::ranking;
pub use sizing::sizing;
pub use trip::trip;

/// An answer as it is drawn, and the same in words.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// What it is a picture of.
    title: String,
    /// What was reached, in one line.
    headline: String,
    /// Whether all is well.
    good: bool,
    figures: Vec<Figure>,
    tables: Vec<Table>,
    /// What is to be done when.
    moments: Vec<Notes>,
    notes: Vec<Notes>,
    /// What only those look up who want to know why.
    details: Vec<Table>,
}

/// One drawing, with its name and what it shows in words.
#[derive(Debug, Clone, PartialEq)]
struct Figure {
    title: String,
    words: String,
    /// What stands below it for everybody.
    caption: Vec<String>,
    drawn: Drawn,
}

/// What there is to draw.
#[derive(Debug, Clone, PartialEq)]
enum Drawn {
    Board(Board),
    Frontier(Frontier),
    Scatter(Scatter),
    Wanted(Wanted),
}

/// Sentences under a heading.
#[derive(Debug, Clone, PartialEq)]
struct Notes {
    title: String,
    items: Vec<String>,
}

impl Picture {
    /// Of a page without its tables.
    fn of(page: Page) -> Self {
        let shown = page.sections.into_iter();
        let shown = shown.filter(|section| section.shown != Shown::InText);
        let (moments, notes): (Vec<_>, Vec<_>) = shown.partition(|section| section.beside);
        Self {
            headline: sentence(&page.headline),
            title: page.title,
            good: page.good,
            figures: Vec::new(),
            tables: Vec::new(),
            moments: moments.into_iter().map(Notes::of).collect(),
            notes: notes.into_iter().map(Notes::of).collect(),
            details: Vec::new(),
        }
    }

    /// Writes it as one SVG, one column wide.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_svg(&self, out: &mut impl Write) -> io::Result<()> {
        out.write_all(page::svg(self).into_string().as_bytes())
    }

    /// Writes it as one HTML page.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_html(&self, out: &mut impl Write) -> io::Result<()> {
        out.write_all(page::html(self).into_string().as_bytes())
    }
}

impl Notes {
    fn of(section: Section) -> Self {
        let items = section.blocks.into_iter().filter_map(|block| match block {
            Block::Line(line) => Some(line.text),
            Block::Table(_) => None,
        });
        Self {
            title: section.title,
            items: items.collect(),
        }
    }
}

impl Drawn {
    fn draw(&self, frame: Frame) -> Drawing {
        match self {
            Self::Board(board) => board.draw(frame),
            Self::Frontier(frontier) => frontier.draw(frame),
            Self::Scatter(scatter) => scatter.draw(frame),
            Self::Wanted(wanted) => wanted.draw(frame),
        }
    }
}
