//! What would have to change for a wish, as a page: the answer first, then each way to it.

use super::because::reason;
use super::change::{deed, few};
use super::clock::Clock;
use super::page::{Line, Page, Section, Shown, Tone};
use super::printable::short_name;
use super::standing::reached_by;
use super::{counted, listed};
use crate::decide::improve::Change;
use crate::decide::wish::{Granted, Later, Wished, Wishes};
use crate::plan::Status;
use crate::setup::Setup;
use crate::setup::clock::TimeOfDay;

/// Devices that are named one by one; more are counted.
const MOST_NAMED: usize = 3;

impl Page {
    /// The page of `found`, which is of a wish about `setup`.
    pub fn of_wishes(setup: &Setup, found: &Wishes) -> Self {
        let told = Told {
            setup,
            found,
            clock: Clock::of(setup.start),
        };
        let good = !found.granted.is_empty();
        let headline = format!("{}: {}", told.wish(), told.answer());
        let mut page = Self::new("What would have to change".to_owned(), headline, good);
        page.begins_with_name = true;
        let now = told.now();
        page.lead.push(format!("Now: {now}."));
        page.notes_in(Shown::InPictures, "Now", Tone::Plain, vec![now]);
        if !found.had {
            let ways = found.granted.iter().enumerate();
            page.sections
                .extend(ways.map(|(at, way)| told.way(at, way)));
        }
        let because = found.because.iter().map(|of| reason(setup, of));
        page.notes("What is in the way", Tone::Plain, because.collect());
        page.notes(
            "To know",
            Tone::Plain,
            told.for_others().into_iter().collect(),
        );
        let unknown = told.unknown().into_iter().collect();
        page.notes("Not known", Tone::Caution, unknown);
        page.cautions(&found.cautions);
        page
    }
}

struct Told<'a> {
    setup: &'a Setup,
    found: &'a Wishes,
    clock: Clock,
}

impl Told<'_> {
    /// `laptop by 06:00`.
    fn wish(&self) -> String {
        let devices = self.setup.devices.iter();
        let all = devices.filter(|of| of.needs_berth()).count();
        let wished = &self.found.devices;
        let who = if wished.len() > 1 && wished.len() >= all {
            match self.found.by_h {
                Some(_) => "everything".to_owned(),
                None => "everybody".to_owned(),
            }
        } else if wished.len() > MOST_NAMED {
            counted(wished.len(), "device")
        } else {
            let names: Vec<String> = wished.iter().map(|of| short_name(&of.device)).collect();
            listed(&names)
        };
        match self.found.by_h {
            Some(by_h) => format!("{who} by {}", self.clock.full(by_h)),
            None => format!("{who} served"),
        }
    }

    /// What the headline says of it.
    fn answer(&self) -> String {
        let found = self.found;
        if found.had {
            return "so it is already.".to_owned();
        }
        let Some(first) = found.granted.first() else {
            return match (found.undecided, found.for_others) {
                (0, 0) => "it cannot be had, not by any three of the changes that there are.",
                (0, _) => "there is room for it, but the best plans with it are better for others.",
                _ => "nothing was found that does it before a limit stopped the search.",
            }
            .to_owned();
        };
        let others = found.granted.len() - 1;
        let or = match others {
            0 => String::new(),
            1 => " Another way is below.".to_owned(),
            _ => format!(" {others} other ways are below."),
        };
        let changes = self.deeds(first);
        match changes.as_slice() {
            [] => format!("it can be had as it is{}.", self.cost(first)),
            [one] if first.changes.len() == 1 => format!("one change does it: {one}.{or}"),
            [one] => format!("one thing does it: {one}.{or}"),
            [many @ .., last] => {
                let together = match first.changes.len() {
                    2 => "two changes together do it",
                    _ => "three changes together do it",
                };
                format!("{together}: {}; and {last}.{or}", many.join("; "))
            }
        }
    }

    /// What is to be done, each thing once.
    fn deeds(&self, way: &Granted) -> Vec<String> {
        let mut deeds: Vec<(String, usize)> = Vec::new();
        for change in &way.changes {
            let buy = if change.is_free() { "" } else { "buy " };
            let text = format!("{buy}{}", deed(change, self.clock));
            match deeds.iter_mut().find(|(known, _)| *known == text) {
                Some((_, times)) => *times += 1,
                None => deeds.push((text, 1)),
            }
        }
        let each = deeds.into_iter().map(|(text, times)| match times {
            1 => text,
            2 => format!("{text}, twice"),
            times => format!("{text}, {times} times"),
        });
        each.collect()
    }

    /// What others lose, behind the answer.
    fn cost(&self, way: &Granted) -> String {
        match way.later.as_slice() {
            [] => ", and nobody else is full later".to_owned(),
            [one] => format!(
                "; {} is then full {}",
                short_name(&one.device),
                self.then(way, one)
            ),
            several => format!(
                "; {} are then full later",
                counted(several.len(), "other device")
            ),
        }
    }

    /// `at 05:10, now 04:40`.
    fn then(&self, way: &Granted, later: &Later) -> String {
        let clock = self.clock_of(way);
        let late = if later.late { ", late" } else { "" };
        let now = clock.or_by(later.from_h);
        if later.to_h.is_infinite() {
            return format!("never for certain, now {now}{late}");
        }
        format!("{}, now {now}{late}", clock.by(later.to_h))
    }

    /// From when the times of a way are counted.
    fn clock_of(&self, way: &Granted) -> Clock {
        let start = way.changes.iter().find_map(|change| match change {
            Change::Start { to, .. } => TimeOfDay::parse(to),
            _ => None,
        });
        start.map_or(self.clock, |start| Clock::of(Some(start)))
    }

    fn now(&self) -> String {
        let known = match self.found.now.status {
            Status::Optimal => "",
            Status::Feasible => " (not proven: a limit stopped the search)",
        };
        let have = have(&self.found.devices, self.clock);
        format!("{have}; {}{known}", reached_by(&self.found.now.value))
    }

    /// One way to it.
    fn way(&self, at: usize, way: &Granted) -> Section {
        let title = match way.changes.len() {
            0 => "As it is".to_owned(),
            _ => format!("Way {}: {}", at + 1, to_buy(&way.changes)),
        };
        let reached = reached_by(&way.reached.value);
        let mut gives = vec![have(&way.devices, self.clock_of(way)), reached];
        if way.reached.status == Status::Feasible {
            gives.push("not proven, a limit stopped the search".to_owned());
        }
        if way.at_priority_1 {
            gives.push("planned with what is wished at priority 1".to_owned());
        }
        let later = way.later.iter().take(MOST_NAMED);
        let later = later.map(|of| format!("{} {}", short_name(&of.device), self.then(way, of)));
        let mut later: Vec<String> = later.collect();
        if way.later.len() > MOST_NAMED {
            later.push(format!("{} more", way.later.len() - MOST_NAMED));
        }
        let deeds = self.deeds(way).into_iter().map(Line::item);
        let facts = [("gives", gives), ("later", later)];
        let facts = facts
            .into_iter()
            .filter_map(|(label, facts)| Line::labelled(label, &facts, "; "));
        Section::titled(title).lines(deeds.chain(facts))
    }

    fn unknown(&self) -> Option<String> {
        let undecided = self.found.undecided;
        (undecided > 0).then(|| {
            let sets = counted(undecided, "set");
            format!("not looked at, a limit stopped the search: {sets} of changes")
        })
    }

    fn for_others(&self) -> Option<String> {
        let sets = self.found.for_others;
        (sets > 0).then(|| {
            let sets = counted(sets, "more set");
            format!(
                "{sets} of changes would leave room for it, but the best plan then is better \
                 for others"
            )
        })
    }
}

/// What the wished devices have.
fn have(devices: &[Wished], clock: Clock) -> String {
    let without: Vec<String> = devices
        .iter()
        .filter(|of| !of.served)
        .map(|of| of.device.clone())
        .collect();
    if !without.is_empty() {
        return match without.len() {
            1 => format!("{} has no port", few(&without)),
            _ => format!("{} have no port", few(&without)),
        };
    }
    let last = devices.iter().map(|of| of.full_h).fold(0.0, f64::max);
    let who = match devices {
        [one] => short_name(&one.device),
        _ => "the last of them".to_owned(),
    };
    if last.is_infinite() {
        format!("{who} is not certain to be full")
    } else {
        format!("{who} full {}", clock.by(last))
    }
}

/// What a way costs.
fn to_buy(changes: &[Change]) -> String {
    let is_cable = |change: &&Change| matches!(change, Change::CableAdded { .. });
    let cables = changes.iter().filter(is_cable).count();
    let mut chargers: Vec<&str> = changes.iter().filter_map(charger_of).collect();
    chargers.dedup();
    let bought = [(cables, "cable"), (chargers.len(), "charger")];
    let bought = bought.into_iter().filter(|(count, _)| *count > 0);
    let bought: Vec<String> = bought.map(|(count, what)| counted(count, what)).collect();
    match bought.as_slice() {
        [] => "nothing to buy".to_owned(),
        things => format!("{} to buy", things.join(" and ")),
    }
}

/// The charger that another one takes the place of.
fn charger_of(change: &Change) -> Option<&str> {
    match change {
        Change::Pool { charger, .. }
        | Change::Port { charger, .. }
        | Change::PortAdded { charger, .. } => Some(charger),
        Change::Combinations { name } => Some(name),
        _ => None,
    }
}
