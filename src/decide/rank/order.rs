//! What kits are sorted by.

use std::cmp::Ordering;
use std::fmt;

use super::unbeaten::Merits;
use crate::decide::bag::Bag;
use crate::diagnostics::{Fault, near};
use crate::plan::promise::NEVER;

/// Later than never: the time of a device without a berth.
pub(super) const NOBODY: i64 = i64::MAX;

/// What kits are sorted by once as many devices are without a berth and as many late; what
/// ties is sorted by the longest time, weight and price.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
#[non_exhaustive]
pub enum RankBy {
    /// When the last device is full.
    #[default]
    Longest,
    /// Grams; unknown ones last.
    Weight,
    /// The price; unknown ones last.
    Price,
    /// When the last device of priority 1 is full.
    PriorityOne,
    /// When the device of this name is full.
    Device(String),
}

impl RankBy {
    const WORDS: [(&'static str, Self); 4] = [
        ("longest", Self::Longest),
        ("weight", Self::Weight),
        ("price", Self::Price),
        (PRIORITY_ONE, Self::PriorityOne),
    ];
}

impl From<&str> for RankBy {
    /// What one of the words `longest`, `weight`, `price` and `priority-1` means; any other
    /// text is taken for the name of a device.
    fn from(text: &str) -> Self {
        let mut words = Self::WORDS.into_iter();
        let word = words.find(|(word, _)| *word == text);
        word.map_or_else(|| Self::Device(text.to_owned()), |(_, by)| by)
    }
}

impl fmt::Display for RankBy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Self::Device(name) = self {
            return f.pad(name);
        }
        let mut words = Self::WORDS.iter();
        f.pad(
            words
                .find(|(_, by)| by == self)
                .map_or("", |(word, _)| word),
        )
    }
}

/// Whose times are told of each kit.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum TimesOf {
    /// Those of all devices.
    All,
    /// Those of the devices of priority 1.
    PriorityOne,
    /// That of the device of this name.
    Device(String),
}

impl From<&str> for TimesOf {
    /// What one of the words `all` and `priority-1` means; any other text is taken for the name
    /// of a device.
    fn from(text: &str) -> Self {
        match text {
            ALL => Self::All,
            PRIORITY_ONE => Self::PriorityOne,
            name => Self::Device(name.to_owned()),
        }
    }
}

impl fmt::Display for TimesOf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::All => f.pad(ALL),
            Self::PriorityOne => f.pad(PRIORITY_ONE),
            Self::Device(name) => f.pad(name),
        }
    }
}

const PRIORITY_ONE: &str = "priority-1";
const ALL: &str = "all";

/// What comes behind the counts in the order of kits, its devices looked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Order {
    Longest,
    Weight,
    Price,
    PriorityOne,
    /// Index into the setup's devices.
    Device(usize),
}

/// Where a kit stands among others: the less, the better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) merits: Merits,
    /// What the order asks for behind the counts.
    asked: i64,
}

impl Ord for Place {
    fn cmp(&self, other: &Self) -> Ordering {
        let counts = |place: &Self| (place.merits.unserved, place.merits.late, place.asked);
        let all = counts(self).cmp(&counts(other));
        all.then_with(|| self.merits.cmp(&other.merits))
    }
}

impl PartialOrd for Place {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Order {
    /// Where a kit of these merits stands: with the longest time of priority 1, and by device
    /// of the setup its time.
    pub(super) fn place(self, merits: Merits, of_first: i64, times: &[i64]) -> Place {
        let asked = match self {
            Self::Longest => merits.longest,
            Self::Weight => merits.weight,
            Self::Price => merits.price,
            Self::PriorityOne => of_first,
            Self::Device(device) => times[device],
        };
        Place { merits, asked }
    }
}

/// A time that is compared with others.
pub(super) fn never_last(time: i64) -> i64 {
    time.min(NEVER)
}

/// The devices that options name.
pub(super) struct Named<'a> {
    bag: &'a Bag,
    pub(super) faults: Vec<Fault>,
}

impl<'a> Named<'a> {
    pub(super) fn of(bag: &'a Bag) -> Self {
        Self {
            bag,
            faults: Vec::new(),
        }
    }

    /// What to sort by.
    pub(super) fn order(&mut self, by: &RankBy) -> Order {
        let words = RankBy::WORDS.map(|(word, _)| word);
        match by {
            RankBy::Longest => Order::Longest,
            RankBy::Weight => Order::Weight,
            RankBy::Price => Order::Price,
            RankBy::PriorityOne => {
                self.of_priority_one();
                Order::PriorityOne
            }
            RankBy::Device(name) => Order::Device(self.device(name, &words).unwrap_or(0)),
        }
    }

    /// Whose times are told: indices into the setup's devices, as listed, each once.
    pub(super) fn times(&mut self, wanted: &[TimesOf]) -> Vec<usize> {
        let devices = &self.bag.setup().devices;
        let needing = || {
            let each = devices.iter().enumerate();
            each.filter(|(_, device)| device.needs_berth())
        };
        let mut told: Vec<usize> = Vec::new();
        for of in wanted {
            match of {
                TimesOf::All => told.extend(needing().map(|(index, _)| index)),
                TimesOf::PriorityOne => told.extend(self.of_priority_one()),
                TimesOf::Device(name) => told.extend(self.device(name, &[ALL, PRIORITY_ONE])),
            }
        }
        told.sort_unstable();
        told.dedup();
        told
    }

    /// Those of priority 1 that need a berth; a fault where there are none.
    fn of_priority_one(&mut self) -> Vec<usize> {
        let each = self.bag.setup().devices.iter().enumerate();
        let first = each.filter(|(_, device)| device.needs_berth() && device.priority == 1);
        let first: Vec<usize> = first.map(|(index, _)| index).collect();
        if first.is_empty() {
            self.fault(
                "no device of priority 1 needs to be charged".to_owned(),
                None,
            );
        }
        first
    }

    fn device(&mut self, name: &str, words: &[&str]) -> Option<usize> {
        let devices = &self.bag.setup().devices;
        let found = devices.iter().position(|device| device.name == name);
        let shown = crate::diagnostics::shown(name);
        match found {
            Some(index) if devices[index].needs_berth() => return Some(index),
            Some(_) => self.fault(
                format!("\"{shown}\" is full as it is, and has no time"),
                None,
            ),
            None => {
                let names = devices.iter().map(|device| device.name.as_str());
                let near = near(name, names.chain(words.iter().copied()));
                self.fault(format!("no device is called \"{shown}\""), near);
            }
        }
        None
    }

    fn fault(&mut self, message: String, suggestion: Option<String>) {
        let fault = Fault {
            message,
            suggestion,
            ..Fault::default()
        };
        if !self.faults.contains(&fault) {
            self.faults.push(fault);
        }
    }
}
