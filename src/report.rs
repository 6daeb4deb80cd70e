//! What people read: one [`Page`] of each answer, decided once, and its renderers.
//!
//! A page holds finished sentences and cells, so that every renderer says the same. Names
//! are as given, with whatever is invisible escaped.
//!
//! ```
//! use wattberth::{Cable, Charger, Device, Port, SetupDocument, assign, report::Page};
//!
//! let setup = SetupDocument::new()
//!     .charger(Charger::new("cube").port(Port::pd("C1", 45.0)))
//!     .cable(Cable::c_to_c("braided"))
//!     .device(Device::new("laptop", 56.0).pd_w(65.0).start_pct(90.0))
//!     .check()?;
//! let page = Page::of_plan(&setup, &assign(&setup)?);
//! assert!(page.good && page.headline.starts_with("the only device full after"));
//! assert_eq!(page.sections[0].title, "cube");
//! # Ok::<(), wattberth::Error>(())
//! ```

mod alike;
mod because;
mod calendar;
mod card;
mod change;
mod clock;
mod guest;
mod improve;
mod luggage;
mod moves;
mod nights;
mod page;
#[cfg(feature = "pictures")]
mod picture;
mod plan;
pub(crate) mod printable;
mod ranking;
mod rota;
mod score;
mod seating;
mod sharing;
mod sizing;
mod standing;
#[cfg(feature = "cli")]
mod text;
mod timeline;
mod travel;
mod wish;

pub use page::{Block, Cells, Column, Line, Page, Row, Section, Shown, Table, Tone};
pub use printable::printable;
#[cfg(feature = "cli")]
pub use text::Palette;
#[cfg(feature = "cli")]
pub(crate) use text::indented;

use std::fmt::Display;

/// `1 stop`, `2 stops`.
fn counted<N: Copy + Display + PartialEq + From<u8>>(count: N, what: &str) -> String {
    let plural = if count == N::from(1) { "" } else { "s" };
    format!("{count} {what}{plural}")
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

/// `a`, `a and b`, `a, b and c`.
fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}

#[cfg(test)]
pub(crate) mod tests;
