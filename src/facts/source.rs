//! Where a fact comes from, how old it is, and how far it can be relied on.

use std::fmt;

use serde::Serialize;

/// Where a fact comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Source {
    /// The document, with its section where it has one.
    pub title: &'static str,
    /// When it was published; where it bears no date, when it was read.
    pub date: Date,
    /// How far it can be relied on.
    pub confidence: Confidence,
}

impl Source {
    pub(super) const fn new(title: &'static str, date: Date, confidence: Confidence) -> Self {
        Self {
            title,
            date,
            confidence,
        }
    }

    /// What somebody who relies on it should know first, where there is anything.
    pub fn proviso(&self) -> Option<&'static str> {
        self.confidence.proviso()
    }
}

/// The day, month or year of a source, as `2024-01-23`, `2024-01` or `2024`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Date {
    /// It was published, or took effect, then.
    Published(&'static str),
    /// It bears no date of its own; it was read then.
    Read(&'static str),
}

impl Date {
    /// The date without the word: `2024-01-23`.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Published(date) | Self::Read(date) => date,
        }
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Published(date) => f.write_str(date),
            Self::Read(date) => write!(f, "read {date}"),
        }
    }
}

/// How far a fact can be relied on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Confidence {
    /// It follows from the words alone.
    Definition,
    /// Read in the source that is named.
    Read,
    /// Several sources say the same.
    Agree,
    /// Read in one list, and in no other.
    OneSource,
    /// Sources differ: what any of them gives is listed.
    Differ,
    /// Not read anywhere: common knowledge of the trade.
    Memory,
}

impl Confidence {
    /// What somebody who relies on it should know first, where there is anything.
    pub fn proviso(self) -> Option<&'static str> {
        match self {
            Self::Definition | Self::Read | Self::Agree => None,
            Self::OneSource => Some("one source only"),
            Self::Differ => Some("sources differ, and all that they give is listed"),
            Self::Memory => Some("from memory: look before you rely on it"),
        }
    }
}
