//! Answers drawn: pictures that a person would rather look at than at numbers.
//!
//! A page gets its figures from the answer that it is of, and is written with them as one
//! SVG, or as one HTML page, each in one file that asks for nothing else: no script, no
//! font, no image from elsewhere. It is drawn for a phone and for a desk, by day and by
//! night, and prints on A4.
//!
//! Every text goes through templates that escape by themselves (`maud`), so that a device
//! named `<script>` stays text.

mod bag;
mod bags;
mod board;
mod drawing;
mod faces;
mod frontier;
mod html;
mod lettering;
mod night;
mod palette;
mod ranking;
mod scale;
mod scatter;
mod seat;
mod seats;
mod sizing;
mod svg;
mod wanted;

use bag::Bag;
use board::Board;
use drawing::{Drawing, Frame};
use faces::Faces;
use frontier::Frontier;
use scatter::Scatter;
use seats::Seats;
use wanted::Wanted;

use super::page::{Block, Line, Page, Section, Shown, Table};
use super::printable::sentence;

/// Widths for a phone and for a desk.
const NARROW: f64 = 344.0;
const WIDE: f64 = 860.0;

const DRAWING_STYLE: &str = include_str!("picture/drawing.css");

/// One drawing, with its name and what it shows in words.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Figure {
    title: String,
    words: String,
    /// What stands below it for everybody.
    caption: Vec<String>,
    /// The title of the section that it stands in; above all of them where there is none.
    under: Option<String>,
    drawn: Drawn,
}

/// What there is to draw.
#[derive(Debug, Clone, PartialEq)]
enum Drawn {
    Bag(Bag),
    Board(Board),
    Faces(Faces),
    Frontier(Frontier),
    Scatter(Scatter),
    Seats(Seats),
    Wanted(Wanted),
}

impl Drawn {
    fn draw(&self, frame: Frame) -> Drawing {
        match self {
            Self::Bag(bag) => bag.draw(frame),
            Self::Board(board) => board.draw(frame),
            Self::Faces(faces) => faces.draw(frame),
            Self::Frontier(frontier) => frontier.draw(frame),
            Self::Scatter(scatter) => scatter.draw(frame),
            Self::Seats(seats) => seats.draw(frame),
            Self::Wanted(wanted) => wanted.draw(frame),
        }
    }
}

impl Page {
    /// The headline, where it stands alone.
    fn alone(&self) -> String {
        if self.begins_with_name {
            self.headline.clone()
        } else {
            sentence(&self.headline)
        }
    }

    /// The drawings that stand in a section, each with its place among all.
    fn drawn_in<'p>(&'p self, section: &'p Section) -> impl Iterator<Item = (usize, &'p Figure)> {
        let figures = self.figures.iter().enumerate();
        figures.filter(|(_, figure)| figure.under.as_deref() == Some(section.title.as_str()))
    }

    /// The drawings above all sections.
    fn drawn_first(&self) -> impl Iterator<Item = (usize, &Figure)> {
        let figures = self.figures.iter().enumerate();
        figures.filter(|(_, figure)| figure.under.is_none())
    }

    /// What stands below the drawings.
    fn below(&self) -> Vec<&Section> {
        let sections = self.sections.iter();
        let mut shown: Vec<&Section> = sections
            .filter(|section| section.shown != Shown::InText)
            .collect();
        // What is folded away is in the way between what is not.
        shown.sort_by_key(|section| section.folded);
        shown
    }
}

impl Section {
    fn said(&self) -> impl Iterator<Item = &Line> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Line(line) => Some(line),
            Block::Table(_) => None,
        })
    }

    fn tables(&self) -> impl Iterator<Item = &Table> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Table(table) => Some(table),
            Block::Line(_) => None,
        })
    }
}
