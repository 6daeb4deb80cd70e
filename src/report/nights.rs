//! Nights that go alike, at however many stops: when all is full, and who sits where through
//! which cable.

use std::borrow::Cow;

use super::clock::Clock;
use super::page::{Line, Page, Rows, Section, Shown};
use super::printable::{printable, short_name, whole};
use super::travel::grouped;
use crate::decide::calendar::CalendarNight;
use crate::plan::{Berth, Plan};
use crate::setup::document::Aim;
use crate::setup::{ChargerSpec, Setup};
use crate::trip::TripStop;
use crate::units::quantity::time;

/// Nights with the same plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Alike<'a> {
    /// The stops; none without a trip.
    pub(super) stops: Vec<String>,
    /// Their numbers; none where all nights of these stops are alike.
    pub(super) nights: Vec<u32>,
    /// What is charged beside the things of every night.
    pub(super) devices: Vec<String>,
    pub(super) plan: Cow<'a, Plan>,
}

/// The nights of a trip's stops and those without a trip, those that go alike together.
pub(super) fn alike<'a>(stops: &'a [TripStop], nights: &'a [CalendarNight]) -> Vec<Alike<'a>> {
    let mut all: Vec<Alike<'a>> = Vec::new();
    let mut add = |stop: Option<&str>, nights: &[u32], devices: &[String], plan: Cow<'a, Plan>| {
        let stop = stop.map(str::to_owned);
        let same =
            |known: &&mut Alike<'_>| known.devices == devices && same_night(&known.plan, &plan);
        let Some(known) = all.iter_mut().find(same) else {
            all.push(Alike {
                stops: stop.into_iter().collect(),
                nights: nights.to_vec(),
                devices: devices.to_vec(),
                plan,
            });
            return;
        };
        known.nights.extend(nights);
        known.nights.sort_unstable();
        known.stops.extend(stop);
        known.stops.dedup();
    };
    for stop in stops {
        let name = Some(stop.name.as_str());
        if stop.calendar.is_empty()
            && let Some(plan) = stop.night()
        {
            add(name, &[], &[], plan);
        }
        for night in &stop.calendar {
            if let Some(plan) = night.night() {
                add(name, &night.nights, &night.devices, plan);
            }
        }
    }
    for night in nights {
        if let Some(plan) = night.night() {
            add(None, &night.nights, &night.devices, plan);
        }
    }
    all
}

fn same_night(one: &Plan, other: &Plan) -> bool {
    (&one.berths, &one.without_berth) == (&other.berths, &other.without_berth)
        && (one.aim, one.promised_longest_h) == (other.aim, other.promised_longest_h)
}

impl Alike<'_> {
    /// `Vienna, Basel, nights 1, 3`.
    pub(super) fn named(&self) -> String {
        let numbers = (!self.nights.is_empty()).then(|| {
            let plural = if self.nights.len() == 1 { "" } else { "s" };
            format!("night{plural} {}", numbers(&self.nights))
        });
        let parts: Vec<String> = self.places().into_iter().chain(numbers).collect();
        if parts.is_empty() {
            "every night".to_owned()
        } else {
            parts.join(", ")
        }
    }

    fn places(&self) -> Option<String> {
        let names: Vec<String> = self.stops.iter().map(|name| short_name(name)).collect();
        (!names.is_empty()).then(|| names.join(", "))
    }

    /// The title above who sits where.
    pub(super) fn title(&self) -> String {
        super::printable::sentence(&format!("{}: who sits where", self.named()))
    }

    fn others(&self) -> String {
        let names: Vec<String> = self.devices.iter().map(|name| whole(name)).collect();
        names.join(", ")
    }

    /// Its berths by charger, in the order of the ports.
    pub(super) fn on_chargers<'s>(&'s self, setup: &'s Setup) -> Vec<(&'s str, Vec<&'s Berth>)> {
        let berths = self.plan.berths.iter();
        let mut on = grouped(berths.map(|berth| (berth.charger.as_str(), berth)));
        for (charger, berths) in &mut on {
            let spec = charger_of(setup, charger);
            let port = |berth: &&Berth| {
                let mut ports = spec.into_iter().flat_map(|spec| &spec.ports);
                ports.position(|port| port.name == berth.port)
            };
            berths.sort_by_key(port);
        }
        on
    }

    /// Whether each device that both charge sits in the same place, and it charges no other.
    fn is_part_of(&self, other: &Self) -> bool {
        let seat = |berth: &Berth| {
            let Berth {
                device,
                charger,
                port,
                cable,
                ..
            } = berth;
            [device, charger, port, cable].map(String::clone)
        };
        let theirs: Vec<_> = other.plan.berths.iter().map(seat).collect();
        let mut own = self.plan.berths.iter().map(seat);
        own.all(|seat| theirs.contains(&seat))
    }
}

/// A charger, or an adapter with ports of its own, of the bag or the shop.
pub(super) fn charger_of<'s>(setup: &'s Setup, name: &str) -> Option<&'s ChargerSpec> {
    let trip = setup.trip.iter().flat_map(|trip| &trip.adapters);
    let shop = setup.shop.iter().flat_map(|shop| &shop.adapters);
    let adapters = trip.chain(shop);
    let adapters = adapters.filter_map(|adapter| Some(&adapter.charger.as_ref()?.0));
    let sold = setup.shop.iter().flat_map(|shop| &shop.chargers);
    let all: Vec<&ChargerSpec> = setup.chargers.iter().chain(sold).chain(adapters).collect();
    // Of several that are bought each has its number.
    let stem = name.rsplit_once(' ').map_or(name, |(stem, _)| stem);
    let called = |name: &str| all.iter().copied().find(|spec| spec.name == name);
    called(name).or_else(|| called(stem))
}

impl Page {
    /// When all is full on which nights, then who sits where on each; `folded` away on a page
    /// that tells more than the nights.
    pub(super) fn each_night(&mut self, setup: &Setup, all: &[Alike<'_>], folded: bool) {
        if all.is_empty() {
            return;
        }
        self.push(Section::titled(super::luggage::NIGHTS).table(table(all)));
        let mut known: Vec<&Alike<'_>> = Vec::new();
        for night in all.iter().filter(|night| !night.plan.berths.is_empty()) {
            let lines = match known.iter().find(|other| night.is_part_of(other)) {
                Some(other) => vec![as_on(night, other)],
                None => on_chargers(setup, night),
            };
            known.push(night);
            let text = Section::titled(night.title()).lines(lines.into_iter().map(Line::item));
            self.push(text.shown(Shown::InText));
            let rows: Vec<&Berth> = {
                let on = night.on_chargers(setup).into_iter();
                on.flat_map(|(_, berths)| berths).collect()
            };
            let clock = Clock::of(setup.start);
            let place = |berth: &Berth| format!("{} {}", short_name(&berth.charger), berth.port);
            let rows = Rows::of(rows)
                .names("Device", |berth| printable(&berth.device))
                .names("Charger and port", |berth| printable(&place(berth)))
                .names("Cable", |berth| printable(&berth.cable))
                .facts(clock.full_heading(), |berth| {
                    full(clock, &night.plan, berth)
                });
            let table = Section::titled(night.title()).table(rows.table());
            let table = table.shown(Shown::InPictures);
            self.push(if folded { table.folded() } else { table });
        }
    }
}

fn table(all: &[Alike<'_>]) -> super::page::Table {
    let mut table = Rows::of(all);
    if all.iter().all(|night| night.stops.is_empty()) {
        table = table.facts("When", |night| night.named());
    } else {
        table = table.names("Where", |night| night.places().unwrap_or_default());
        if all.iter().any(|night| !night.nights.is_empty()) {
            table = table.facts("Nights", |night| numbers(&night.nights));
        }
    }
    if all.iter().any(|night| !night.devices.is_empty()) {
        table = table.names("Beside the rest", |night| night.others());
    }
    table
        .facts("All full after", |night| full_after(&night.plan))
        .table()
}

/// `desk: C1 laptop (braided), C2 phone (long)`, a line for each charger.
fn on_chargers(setup: &Setup, night: &Alike<'_>) -> Vec<String> {
    let seat = |berth: &&Berth| {
        let [port, device, cable] =
            [&berth.port, &berth.device, &berth.cable].map(|name| whole(name));
        let late = if berth.late { ", late" } else { "" };
        format!("{port} {device} ({cable}{late})")
    };
    let line = |(charger, berths): (&str, Vec<&Berth>)| {
        let seats: Vec<String> = berths.iter().map(seat).collect();
        format!("{}: {}", whole(charger), seats.join(", "))
    };
    let mut lines: Vec<String> = night.on_chargers(setup).into_iter().map(line).collect();
    let without = night.plan.without_berth.iter();
    let without: Vec<String> = without.map(|without| whole(&without.device)).collect();
    if !without.is_empty() {
        lines.push(format!("no port for {}", without.join(", ")));
    }
    lines
}

/// `as on nights 1, 3, without metronome`.
fn as_on(night: &Alike<'_>, other: &Alike<'_>) -> String {
    let charged = |device: &String| night.plan.berths.iter().any(|own| own.device == *device);
    let fewer = other.plan.berths.iter().map(|berth| &berth.device);
    let fewer: Vec<String> = fewer
        .filter(|device| !charged(device))
        .map(|device| whole(device))
        .collect();
    let on = if other.stops.is_empty() { "on" } else { "in" };
    let told = format!("as {on} {}", other.named());
    if fewer.is_empty() {
        told
    } else {
        format!("{told}, without {}", fewer.join(", "))
    }
}

/// When a device is full, as the plan's aim counts it.
pub(super) fn full(clock: Clock, plan: &Plan, berth: &Berth) -> String {
    let late = if berth.late { ", late" } else { "" };
    match (plan.aim, berth.promised_h) {
        (Aim::Promise, Some(sure_h)) => clock.full(sure_h) + late,
        (Aim::Promise, None) => format!("{} at best{late}", clock.full(berth.hours)),
        (Aim::Best, _) => clock.full(berth.hours) + late,
    }
}

/// When all of a plan is full, or what is amiss.
pub(super) fn full_after(plan: &Plan) -> String {
    let late = plan.late_by_aim();
    if plan.unserved > 0 {
        return format!("{} without a port", plan.unserved);
    }
    let full = match (plan.aim, plan.promised_longest_h) {
        (Aim::Promise, Some(sure_h)) => time(sure_h),
        (Aim::Best, _) => time(plan.longest_h),
        (Aim::Promise, None) => format!("{} at best", time(plan.longest_h)),
    };
    if late > 0 {
        format!("{full}, {late} late")
    } else {
        full
    }
}

/// The longest time of these nights by their aim; none where that is not certain.
pub(super) fn worst_h<'p>(plans: impl IntoIterator<Item = &'p Plan>) -> Option<f64> {
    let mut longest = plans.into_iter().map(Plan::longest_by_aim);
    let worst = longest.try_fold(0.0_f64, |worst, longest| Some(worst.max(longest?)));
    worst.filter(|hours| hours.is_finite())
}

/// `1, 4, 7`; `1, 4, 7 … 178`.
fn numbers(nights: &[u32]) -> String {
    const SHOWN: usize = 4;
    let texts: Vec<String> = nights.iter().map(u32::to_string).collect();
    if texts.len() <= SHOWN {
        return texts.join(", ");
    }
    let last = &texts[texts.len() - 1];
    format!("{} … {last}", texts[..SHOWN - 1].join(", "))
}
