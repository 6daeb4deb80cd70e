//! One answer of a trip: what was asked of which thing, the verdict, and why.

use serde::{Deserialize, Serialize};

use crate::facts::{Date, Source};
use crate::setup::document::fields::words;

/// One answer, with its reason and the source of what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Finding {
    /// What it is about: a charger, an adapter, an appliance, a battery.
    pub thing: String,
    /// What was asked of it.
    pub about: About,
    /// The answer.
    pub verdict: Verdict,
    /// The adapters and converters that the answer is with, from the wall on.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub with: Vec<String>,
    /// The voltages at which it holds, in volts, where it does not at all that occur there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub at_v: Vec<f64>,
    /// Why, in a sentence.
    pub reason: String,
    /// What it rests on.
    pub source: String,
    /// The date of the source, of the oldest where there are several.
    pub date: String,
}

words! {
    /// What is asked of a thing.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum About {
        /// All in all: can it be used there, and how?
        Use = "use",
        /// Does its label suit the voltages there?
        Voltage = "voltage",
        /// And the frequencies?
        Frequency = "frequency",
        /// Does its plug go into the sockets there?
        Plug = "plug",
        /// Is the earth led through where it must be?
        Earth = "earth",
        /// Is the current within every rating on the way?
        Current = "current",
        /// Is it plugged in at night?
        Night = "night",
        /// What does it draw from the wall at night?
        Draw = "draw",
        /// Are the USB ports of adapters alone enough at night?
        PortsAlone = "ports-alone",
        /// Is the battery built in?
        BuiltIn = "built-in",
        /// May the battery fly?
        Battery = "battery",
        /// Where does it travel?
        Carry = "carry",
        /// Are there too many of them?
        Count = "count",
        /// What is to be kept with it.
        Keep = "keep",
    }
}

words! {
    /// An answer in one word.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum Verdict {
        /// As it is, straight into the wall.
        Direct = "direct",
        /// Through an adapter.
        Adapter = "adapter",
        /// Through a converter.
        Converter = "converter",
        /// In order.
        Fine = "fine",
        /// In order, with something to keep in mind.
        Caution = "caution",
        /// With the airline's approval only.
        Approval = "approval",
        /// In order at one of the voltages that occur there, not at another.
        Depends = "depends",
        /// Not known: neither the setup nor the tables say enough.
        Unknown = "unknown",
        /// Not in order.
        No = "no",
    }
}

/// What a finding rests on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Grounds {
    titles: Vec<String>,
    /// The oldest.
    date: Option<Date>,
}

impl Grounds {
    /// On a fact.
    pub(super) fn of(source: Source) -> Self {
        Self::default().and(source)
    }

    /// And on another fact.
    pub(super) fn and(mut self, source: Source) -> Self {
        let title = match source.proviso() {
            Some(proviso) => format!("{} ({proviso})", source.title),
            None => source.title.to_owned(),
        };
        if !self.titles.contains(&title) {
            self.titles.push(title);
        }
        let older = |date: Date| date.as_str() > source.date.as_str();
        if self.date.is_none_or(older) {
            self.date = Some(source.date);
        }
        self
    }

    /// And on what the setup says itself.
    pub(super) fn and_said(mut self, what: &str) -> Self {
        let title = format!("the setup: {what}");
        if !self.titles.contains(&title) {
            self.titles.push(title);
        }
        self
    }

    /// And on all that `other` rests on.
    pub(super) fn with(mut self, other: &Self) -> Self {
        for title in &other.titles {
            if !self.titles.contains(title) {
                self.titles.push(title.clone());
            }
        }
        let older = |date: Date| {
            other
                .date
                .is_some_and(|other| date.as_str() > other.as_str())
        };
        if self.date.is_none_or(older) {
            self.date = other.date.or(self.date);
        }
        self
    }

    /// The finding that rests on it.
    pub(super) fn find(
        self,
        thing: &str,
        about: About,
        verdict: Verdict,
        reason: impl Into<String>,
    ) -> Finding {
        Finding {
            thing: thing.to_owned(),
            about,
            verdict,
            with: Vec::new(),
            at_v: Vec::new(),
            reason: reason.into(),
            source: self.titles.join("; "),
            date: self.date.map(|date| date.to_string()).unwrap_or_default(),
        }
    }
}

impl Finding {
    /// The finding, with what it is with.
    pub(super) fn through(mut self, with: impl IntoIterator<Item = String>) -> Self {
        self.with.extend(with);
        self
    }
}
