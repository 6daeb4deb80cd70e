//! One answer of a trip: what was asked of which thing, the verdict, and why.

use schemars::JsonSchema;
use serde::Serialize;

use crate::facts::{Date, Source};

/// One answer, with its reason and the source of what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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

/// What is asked of a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum About {
    /// All in all: can it be used there, and how?
    Use,
    /// Does its label suit the voltages there?
    Voltage,
    /// And the frequencies?
    Frequency,
    /// Does its plug go into the sockets there?
    Plug,
    /// Is the earth led through where it must be?
    Earth,
    /// Is the current within every rating on the way?
    Current,
    /// Is it plugged in at night?
    Night,
    /// What does it draw from the wall at night?
    Draw,
    /// Are the USB ports of adapters alone enough at night?
    PortsAlone,
    /// Is the battery built in?
    BuiltIn,
    /// May the battery fly?
    Battery,
    /// Where does it travel?
    Carry,
    /// Are there too many of them?
    Count,
    /// What is to be kept with it.
    Keep,
}

/// An answer in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Verdict {
    /// As it is, straight into the wall.
    Direct,
    /// Through an adapter.
    Adapter,
    /// Through a converter.
    Converter,
    /// In order.
    Fine,
    /// In order, with something to keep in mind.
    Caution,
    /// With the airline's approval only.
    Approval,
    /// In order at one of the voltages that occur there, not at another.
    Depends,
    /// Not known: neither the setup nor the tables say enough.
    Unknown,
    /// Not in order.
    No,
}

impl About {
    /// As documents write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Use => "use",
            Self::Voltage => "voltage",
            Self::Frequency => "frequency",
            Self::Plug => "plug",
            Self::Earth => "earth",
            Self::Current => "current",
            Self::Night => "night",
            Self::Draw => "draw",
            Self::PortsAlone => "ports-alone",
            Self::BuiltIn => "built-in",
            Self::Battery => "battery",
            Self::Carry => "carry",
            Self::Count => "count",
            Self::Keep => "keep",
        }
    }
}

impl Verdict {
    /// As documents write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Direct => "direct",
            Self::Adapter => "adapter",
            Self::Converter => "converter",
            Self::Fine => "fine",
            Self::Caution => "caution",
            Self::Approval => "approval",
            Self::Depends => "depends",
            Self::Unknown => "unknown",
            Self::No => "no",
        }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_those_of_the_document() {
        for about in [About::Use, About::PortsAlone, About::BuiltIn, About::Count] {
            assert_eq!(serde_json::json!(about), about.word());
        }
        for verdict in [Verdict::Direct, Verdict::Approval, Verdict::No] {
            assert_eq!(serde_json::json!(verdict), verdict.word());
        }
    }
}
