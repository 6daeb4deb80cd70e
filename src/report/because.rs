//! Why a plan is no better, in sentences.

use super::clock::Clock;
use super::page::{Line, Page, Rows, Section, Shown, Tone};
use super::plan::{alike_at_once, bounds, headline, name_of_night};
use super::printable::short_name;
use super::{counted, listed};
use crate::plan::because::{Because, BindingLimit, LimitKind, Shortfall};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::quantity::{time, watts};

/// Devices that are named in a sentence; more are counted.
const MOST_NAMED: usize = 3;

impl Page {
    /// The page of what keeps `plan`, which is a plan of `setup`, from being better: each
    /// reason in full.
    pub fn of_reasons(setup: &Setup, plan: &Plan) -> Self {
        let mut page = Self::new(name_of_night(setup), headline(setup, plan), true);
        page.lead.extend(bounds(plan, "plan"));
        if plan.because.is_empty() {
            let why = match plan.status {
                Status::Optimal => "Nothing is in the way: nobody waits longer than the tolerance.",
                Status::Feasible => "It is not known what is in the way.",
            };
            page.push(Section::titled("").lines([Line::text(why)]));
        }
        let same = |one: &&Because, other: &&Because| {
            one.about == other.about && reason(setup, one) == reason(setup, other)
        };
        let all: Vec<&Because> = plan.because.iter().collect();
        let sections = all.chunk_by(same).flat_map(|alike| in_full(setup, alike));
        page.sections.extend(sections);
        page
    }

    /// Why the last one is full no sooner, before all else.
    pub(super) fn no_sooner(&mut self, setup: &Setup, because: &[Because]) {
        let mut reasons = because.iter();
        let longest = reasons.find(|of| of.about == Shortfall::Longest);
        let Some(reason) = longest.map(|of| reason(setup, of)) else {
            return;
        };
        self.lead.push(format!("No sooner: {reason}."));
        let notes = vec![reason];
        self.notes_in(Shown::InPictures, "Why no sooner", Tone::Plain, notes);
    }

    /// What is in the way of those that are short of more than time; their page is that of
    /// [`Page::of_reasons`].
    pub(super) fn in_the_way(&mut self, setup: &Setup, because: &[Because]) {
        let said = because.iter().filter_map(|of| {
            let what = match of.about {
                Shortfall::Unserved => "without a port",
                Shortfall::Late => "late",
                Shortfall::Uncertain => "not certain",
                Shortfall::Longest | Shortfall::Wish => return None,
            };
            let text = format!("{what}: {}", reason(setup, of));
            Some(
                of.devices
                    .iter()
                    .map(move |device| (device.as_str(), text.clone())),
            )
        });
        let notes = alike_at_once(said.flatten());
        self.notes_in(Shown::InText, "What is in the way", Tone::Plain, notes);
    }
}

/// A reason with the numbers of its limits, or several that read the same: in words, and the
/// devices among them.
fn in_full(setup: &Setup, alike: &[&Because]) -> [Section; 2] {
    let because = alike[0];
    let names = alike.iter().flat_map(|of| &of.devices);
    let names: Vec<String> = names.map(|name| short_name(name)).collect();
    let names = listed(&names);
    let title = match because.about {
        Shortfall::Unserved => format!("{names}: without a port"),
        Shortfall::Late => format!("{names}: late"),
        Shortfall::Uncertain => format!("{names}: not certain"),
        Shortfall::Longest => format!("{names}: the last, and no sooner"),
        Shortfall::Wish => format!("{names}: not as wished"),
    };
    let clock = Clock::of(setup.start);
    let (_, shared) = parts(because);
    let mut devices: Vec<&BindingLimit> = Vec::new();
    for device in alike.iter().flat_map(|of| parts(of).0) {
        if !devices.contains(&device) {
            devices.push(device);
        }
    }
    let wanted = |of: &&BindingLimit| match (of.by_h, of.full) {
        (Some(by_h), _) => format!("full {}", clock.by(by_h)),
        (None, Some(_)) => "certainly full".to_owned(),
        (None, None) => "a port".to_owned(),
    };
    let alone = |of: &&BindingLimit| of.alone_h.map_or_else(|| "never".to_owned(), time);
    let table = Rows::of(devices)
        .names("Device", |of| {
            short_name(of.device.as_deref().unwrap_or_default())
        })
        .facts("Cannot have, with the rest", wanted)
        .facts("Alone", alone)
        .table();
    let shared = shared.into_iter().map(|limit| {
        let asked = limit.asked_w.map(|asked_w| match setup.aim {
            Aim::Best => format!(": they need at least {}", watts(asked_w)),
            Aim::Promise => format!(": they may draw {} or more", watts(asked_w)),
        });
        Line::item(named(limit) + &asked.unwrap_or_default())
    });
    let words = [Line::item(reason(setup, because))];
    [
        Section::titled(title).lines(words.into_iter().chain(shared)),
        Section::titled("").table(table),
    ]
}

/// The devices among the limits of a reason, and what is shared.
fn parts(because: &Because) -> (Vec<&BindingLimit>, Vec<&BindingLimit>) {
    let is_device = |limit: &&BindingLimit| limit.limit == LimitKind::Device;
    because.limits.iter().partition(is_device)
}

/// One reason in a clause.
pub(super) fn reason(setup: &Setup, because: &Because) -> String {
    let (devices, shared) = parts(because);
    let told = Told {
        setup,
        devices,
        shared,
    };
    let mut text = told.clause();
    if !because.beside.is_empty() {
        text += ", beside those that come first";
    }
    if let ([device], false) = (told.devices.as_slice(), told.shared.is_empty())
        && let Some(alone_h) = device.alone_h
    {
        let clock = Clock::of(setup.start);
        text = format!("{text}; alone it would be full {}", clock.by(alone_h));
    }
    if !because.least {
        text += " (perhaps not the least reason: a limit stopped the search)";
    }
    text
}

/// A reason, its devices and the rest.
struct Told<'a> {
    setup: &'a Setup,
    devices: Vec<&'a BindingLimit>,
    shared: Vec<&'a BindingLimit>,
}

impl Told<'_> {
    fn clause(&self) -> String {
        if self.shared.is_empty() {
            return self.alone();
        }
        let who = self.who();
        let counts_alone = |limit: &BindingLimit| limit.count.is_some();
        let limits: Vec<String> = self.shared.iter().map(|limit| named(limit)).collect();
        let limits = listed(&limits);
        if self.shared.iter().all(|limit| counts_alone(limit)) {
            let each = if self.devices.len() == 1 { "" } else { " each" };
            return format!("{who} would{each} need one of {limits}");
        }
        if let [pool] = self.shared.as_slice()
            && let (Some(asked_w), Some(max_w)) = (pool.asked_w, pool.max_w)
            && asked_w > max_w
        {
            let asked = watts(asked_w);
            return match self.setup.aim {
                Aim::Best => format!("{who} would need {asked}, more than {limits}"),
                Aim::Promise => format!("{who} may draw {asked}, more than {limits}"),
            };
        }
        let (gives, surely) = match (self.shared.len(), self.setup.aim) {
            (1, Aim::Best) => ("gives", ""),
            (1, Aim::Promise) => ("gives", " for certain"),
            (_, Aim::Best) => ("give", ""),
            (_, Aim::Promise) => ("give", " for certain"),
        };
        format!("{who} would need more than {limits} {gives}{surely}")
    }

    /// A device that cannot have it, whatever the others do.
    fn alone(&self) -> String {
        let Some(limit) = self.devices.first() else {
            return "nothing is in the way".to_owned();
        };
        let name = limit.device.as_deref().unwrap_or_default();
        let mut devices = self.setup.devices.iter();
        let spec = devices.find(|device| device.name == name);
        let pinned = spec.is_some_and(|of| of.pinned_port.is_some() || of.pinned_cable.is_some());
        let place = if pinned {
            "where it is pinned"
        } else {
            "on any port here"
        };
        let name = short_name(name);
        match (limit.alone_h, self.setup.aim) {
            (Some(alone_h), _) => format!("{name} alone needs {} {place}", time(alone_h)),
            (None, Aim::Best) => format!("{name} is never full {place}"),
            (None, Aim::Promise) => format!("{name} is not certain to be full {place}"),
        }
    }

    fn who(&self) -> String {
        if self.devices.len() > MOST_NAMED {
            return counted(self.devices.len(), "device");
        }
        let names = self.devices.iter().filter_map(|of| of.device.as_deref());
        let names: Vec<String> = names.map(short_name).collect();
        listed(&names)
    }
}

/// A limit that is shared: `the 2 USB-C ports`.
fn named(limit: &BindingLimit) -> String {
    let charger = limit.charger.as_deref().map(short_name).unwrap_or_default();
    match limit.limit {
        LimitKind::Pool => {
            let pool = short_name(limit.pool.as_deref().unwrap_or_default());
            let max = watts(limit.max_w.unwrap_or_default());
            format!("the {max} of {charger} ({pool})")
        }
        LimitKind::Combinations => format!("the table of {charger}"),
        LimitKind::Ports => {
            let connector = connector_word(limit.connector.as_deref().unwrap_or_default());
            number(limit.count, &format!("{connector} port"))
        }
        LimitKind::Cables => {
            let first = limit.cables.first().map(String::as_str).unwrap_or_default();
            let more = if limit.cables.len() > 1 {
                " and its like"
            } else {
                ""
            };
            format!(
                "{} {}{more}",
                number(limit.count, "cable"),
                short_name(first)
            )
        }
        LimitKind::Device => short_name(limit.device.as_deref().unwrap_or_default()),
    }
}

/// `the only USB-C port`, `the 4 USB-C ports`.
fn number(count: Option<usize>, what: &str) -> String {
    match count {
        Some(1) | None => format!("the only {what}"),
        Some(count) => format!("the {}", counted(count, what)),
    }
}

/// A connector as people write it.
fn connector_word(connector: &str) -> String {
    match connector {
        "usb-c" => "USB-C".to_owned(),
        "usb-a" => "USB-A".to_owned(),
        other => short_name(other.trim_start_matches("other:")),
    }
}
