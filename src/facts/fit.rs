//! What fits what, and whether the earth is kept.

use serde::Serialize;

use super::mains::Socket;
use super::plug::{EarthPin, Plug};
use super::source::{Confidence, Date, Source};

mod local;
mod shape;
mod table;

pub use local::{Local, LocalNote, local_notes};

/// What happens when a plug meets a socket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Fit {
    /// The plug.
    pub plug: Plug,
    /// The socket's system.
    pub socket: Plug,
    /// Whether it goes in.
    pub fits: Fits,
    /// What becomes of the earth.
    pub earth: Earth,
    /// What else there is to know, in a sentence; empty where nothing is.
    pub note: &'static str,
    /// Where that stands.
    pub source: Source,
}

/// Whether a plug goes into a socket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Fits {
    /// It does, as it is meant to.
    Yes,
    /// It does in some sockets of the system; the note says in which.
    InSome,
    /// It goes in, and should not: the note says why.
    Unsafe,
    /// It does not.
    No,
    /// Nothing is known of the pair.
    NotKnown,
}

/// What becomes of a plug's earth in a socket.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Earth {
    /// The plug's earth meets the socket's.
    Kept,
    /// The plug has none: for things that need none.
    None,
    /// The plug has one, which meets nothing: for things that need none.
    Lost,
    /// The plug does not go in, or nothing is known of the pair.
    NotKnown,
}

impl Fit {
    /// What happens when `plug` meets a socket of the system `socket`.
    ///
    /// A plug fits a socket of its own system. A pair that is not listed, and whose pins do not
    /// rule it out by their shape, distance or thickness, is [`Fits::NotKnown`].
    pub fn of(plug: Plug, socket: Plug) -> Self {
        if plug == socket {
            return same_system(plug);
        }
        table::ROWS
            .iter()
            .find(|row| row.plug == plug && row.socket == socket)
            .copied()
            .or_else(|| shape::kept_out(plug, socket))
            .unwrap_or(Self {
                plug,
                socket,
                fits: Fits::NotKnown,
                earth: Earth::NotKnown,
                note: "this pair is not known to fit",
                source: Source::new(
                    "no source read gives this pair, and its pins leave it open",
                    READ,
                    Confidence::Definition,
                ),
            })
    }

    /// Every pair that is listed, apart from those of one system and those that the pins alone
    /// rule out.
    pub fn all() -> &'static [Self] {
        &table::ROWS
    }

    /// Whether it may be relied on: it goes in as it is meant to.
    pub fn is_usable(&self) -> bool {
        self.fits == Fits::Yes
    }

    /// Whether something that needs an earth may be used so.
    pub fn is_usable_with_earth(&self) -> bool {
        self.is_usable() && self.earth == Earth::Kept
    }
}

/// What happens when a plug meets a socket of which only the letter is known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct SocketFit {
    /// The socket.
    pub socket: Socket,
    /// One for each system that the letter stands for in that country; at least one.
    pub fits: Vec<Fit>,
}

impl SocketFit {
    /// What happens when `plug` meets a socket as lists by country give it: one answer for
    /// each system that its letter stands for, the smaller first.
    pub fn of(plug: Plug, socket: Socket) -> Self {
        Self {
            socket,
            fits: socket
                .systems()
                .iter()
                .map(|&system| Fit::of(plug, system))
                .collect(),
        }
    }

    /// The answers that may be relied on.
    pub fn usable(&self) -> impl Iterator<Item = &Fit> {
        self.fits.iter().filter(|fit| fit.is_usable())
    }

    /// Whether the plug goes into whichever system is met.
    pub fn everywhere(&self) -> bool {
        self.fits.iter().all(Fit::is_usable)
    }

    /// The one system that the plug needs, where the letter stands for several and it
    /// goes into one of them only: a finding has to say so.
    pub fn only(&self) -> Option<&Fit> {
        let mut usable = self.usable();
        let first = usable.next()?;
        (self.fits.len() > 1 && usable.next().is_none()).then_some(first)
    }
}

/// A plug in a socket of its own system.
fn same_system(plug: Plug) -> Fit {
    let facts = plug.facts();
    Fit {
        plug,
        socket: plug,
        fits: Fits::Yes,
        earth: match facts.earth {
            EarthPin::No => Earth::None,
            EarthPin::Yes | EarthPin::ThreePinOnly => Earth::Kept,
        },
        note: match plug {
            Plug::I => "the plug with two pins has no earth",
            _ => "",
        },
        source: Source::new(facts.standard, facts.source.date, Confidence::Definition),
    }
}

const READ: Date = Date::Read("2026-11-25");
