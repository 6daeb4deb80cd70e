//! What people read: one [`Page`] of each answer, decided once, and its renderers.
//!
//! A page holds finished sentences and cells, so that every renderer says the same. Names
//! are as given, with whatever is invisible escaped.

mod card;
pub(crate) mod clock;
mod improve;
#[cfg(feature = "cli")]
mod layout;
mod page;
#[cfg(feature = "pictures")]
pub mod picture;
mod plan;
pub(crate) mod printable;
mod ranking;
mod rota;
mod score;
mod sizing;
mod standing;
#[cfg(feature = "cli")]
mod table;
#[cfg(feature = "cli")]
mod text;
mod timeline;
mod travel;

#[cfg(feature = "cli")]
pub(crate) use layout::indented;
pub use page::{Block, Cells, Column, Line, Page, Row, Section, Shown, Table, Tone};
pub use printable::printable;
#[cfg(feature = "cli")]
pub use ranking::write_ranking;
pub use ranking::{RankingReport, RankingRow};
#[cfg(feature = "cli")]
pub use sizing::write_size_text;
pub use sizing::{FrontierRow, SizeReport, SizeRow};
#[cfg(feature = "cli")]
pub use text::Palette;
#[cfg(feature = "cli")]
pub use travel::write_trip;
pub use travel::{TripReport, TripRow};

use std::fmt;

/// A device and a sentence about it.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Note {
    /// The device.
    pub device: String,
    /// The sentence.
    pub text: String,
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.device, self.text)
    }
}

/// `1st`, `2nd`, `3rd`, `4th` …
fn nth(n: usize) -> String {
    let ending = match (n % 10, n % 100) {
        (1, rest) if rest != 11 => "st",
        (2, rest) if rest != 12 => "nd",
        (3, rest) if rest != 13 => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

#[cfg(test)]
pub(crate) mod tests;
