//! A trip as a page: stops against things, the nights, the bag, the flight; in pictures
//! also every reason with its source.

use super::page::{Line, Page, Rows, Section, Shown, Table, Tone};
use super::printable::{printable, short_name};
use crate::plan::Plan;
use crate::setup::Setup;
use crate::trip::{About, Finding, Packing, PackingKind, Trip, TripStop, Verdict};
use crate::units::quantity::{decimals, time};

impl Page {
    /// The page of `trip`, which is one of `setup`.
    pub fn of_trip(setup: &Setup, trip: &Trip) -> Self {
        let name = setup.name();
        let title = name.map_or_else(|| "The trip".to_owned(), printable);
        let mut page = Self::new(title, headline(trip), trip.all_served());
        page.stops(trip);
        page.packed("Take", &packed(&trip.bag.take, &trip.bag.leave));
        page.packed("Leave at home", &packed(&trip.bag.leave, &trip.bag.take));
        let missing = trip.bag.missing.iter().map(|missing| {
            let text = format!("{}, {}: {}", missing.stop, missing.thing, missing.reason);
            printable(&text)
        });
        page.notes("Cannot be used", Tone::Bad, missing.collect());
        page.notes("To know", Tone::Plain, notes(trip));
        page.notes("By air", Tone::Plain, air(trip));
        let cautions = trip.cautions.iter();
        let reasons = cautions.map(|caution| printable(&caution.reason)).collect();
        page.notes_in(Shown::InText, "Cautions", Tone::Caution, reasons);
        let sourced = trip.cautions.iter().map(|caution| {
            let text = format!("{} ({}, {})", caution.reason, caution.source, caution.date);
            printable(&text)
        });
        page.notes_in(
            Shown::InPictures,
            "Cautions",
            Tone::Caution,
            sourced.collect(),
        );
        for stop in &trip.stops {
            page.findings(&heading(stop).join(", "), &stop.findings);
        }
        page.findings("By air", &trip.air);
        page
    }

    /// Stops against things, and each night.
    fn stops(&mut self, trip: &Trip) {
        let mut things: Vec<&str> = Vec::new();
        for found in uses(trip) {
            if !things.contains(&found.thing.as_str()) {
                things.push(&found.thing);
            }
        }
        let nights: Vec<String> = trip.stops.iter().filter_map(night).collect();
        if !things.is_empty() {
            let stops = Section::titled("").table(overview(trip, &things, "\n"));
            self.push(stops.shown(Shown::InText));
        }
        self.notes_in(Shown::InText, "Nights", Tone::Plain, nights.clone());
        if !trip.stops.is_empty() {
            let stops = Section::titled("Stop by stop").table(overview(trip, &things, ", "));
            let nights = nights.into_iter().map(Line::text);
            self.push(stops.lines(nights).shown(Shown::InPictures));
        }
    }

    /// A list by kind: lines of a text, a table beside pictures.
    fn packed(&mut self, title: &str, kinds: &[(String, String)]) {
        if kinds.is_empty() {
            return;
        }
        let lines = kinds.iter().map(|(kind, names)| Line {
            label: kind.clone(),
            ..Line::item(names)
        });
        self.push(Section::titled(title).lines(lines).shown(Shown::InText));
        let rows = Rows::of(kinds)
            .facts("What", |(kind, _)| kind.clone())
            .names("Which", |(_, names)| names.clone());
        let table = Section::titled(title).table(rows.table());
        self.push(table.shown(Shown::InPictures));
    }

    /// Every finding with its reason and its source; nothing at all where there is none.
    fn findings(&mut self, title: &str, findings: &[Finding]) {
        if findings.is_empty() {
            return;
        }
        let source = |found: &Finding| format!("{}, {}", found.source, found.date);
        let rows = Rows::of(findings)
            .names("Thing", |found| printable(&found.thing))
            .facts("Asked", |found| found.about.word())
            .facts("Answer", |found| found.verdict.word())
            .names("Why", |found| printable(&found.reason))
            .names("Source", |found| printable(&source(found)))
            .chosen(|found| found.about == About::Use);
        let table = Section::titled(title).table(rows.table());
        self.push(table.shown(Shown::InPictures));
    }
}

/// What each thing comes to, stop by stop.
fn uses(trip: &Trip) -> impl Iterator<Item = &Finding> {
    let findings = trip.stops.iter().flat_map(|stop| &stop.findings);
    findings.filter(|found| found.about == About::Use)
}

fn headline(trip: &Trip) -> String {
    let stops = match trip.stops.len() {
        1 => "1 stop".to_owned(),
        many => format!("{many} stops"),
    };
    let nights: u32 = trip.stops.iter().map(|stop| stop.nights).sum();
    let nights = match nights {
        1 => "1 night".to_owned(),
        many => format!("{many} nights"),
    };
    let named = |which: &dyn Fn(&Plan) -> bool| -> Vec<String> {
        let stops = trip.stops.iter();
        stops
            .filter(|stop| stop.night().is_some_and(|plan| which(&plan)))
            .map(|stop| short_name(&stop.name))
            .collect()
    };
    let unserved = named(&|plan| plan.unserved > 0);
    let late = named(&|plan| plan.unserved == 0 && plan.late > 0);
    let mut parts = Vec::new();
    if named(&|_| true).is_empty() {
        parts.push(format!("{stops}, no night to charge in"));
    } else if unserved.is_empty() && late.is_empty() {
        parts.push(format!(
            "{stops}, {nights}: every device is full each morning"
        ));
    } else {
        parts.push(format!("{stops}, {nights}"));
    }
    if !unserved.is_empty() {
        parts.push(format!(
            "not every device finds a port in {}",
            listed(&unserved)
        ));
    }
    if !late.is_empty() {
        parts.push(format!("not all is full in time in {}", listed(&late)));
    }
    let missing = trip.bag.missing.iter();
    let missing = missing.map(|missing| (missing.thing.as_str(), missing.stop.as_str()));
    let depends = trip.stops.iter().flat_map(|stop| {
        let uses = stop
            .findings
            .iter()
            .filter(|found| found.about == About::Use && found.verdict == Verdict::Depends);
        uses.map(|found| (found.thing.as_str(), stop.name.as_str()))
    });
    for (where_not, words) in [
        (missing.collect(), "cannot be used in"),
        (depends.collect(), "can be used at one voltage only in"),
    ] {
        let mut by_stops: Vec<(Vec<String>, Vec<String>)> = Vec::new();
        for (thing, stops) in by_thing(where_not) {
            match by_stops.iter_mut().find(|(known, _)| *known == stops) {
                Some((_, things)) => things.push(short_name(thing)),
                None => by_stops.push((stops, vec![short_name(thing)])),
            }
        }
        for (stops, things) in by_stops {
            parts.push(format!("{} {words} {}", listed(&things), listed(&stops)));
        }
    }
    let batteries = |verdict: Verdict| {
        let found = trip
            .air
            .iter()
            .filter(move |found| found.verdict == verdict);
        let names: Vec<String> = found.map(|found| short_name(&found.thing)).collect();
        (!names.is_empty()).then(|| listed(&names))
    };
    if let Some(names) = batteries(Verdict::No) {
        parts.push(format!("{names} may not fly so"));
    }
    if let Some(names) = batteries(Verdict::Approval) {
        parts.push(format!("the airline must approve {names}"));
    }
    let asked = trip.air.iter();
    let asked = asked.filter(|found| found.about == About::BuiltIn);
    let asked: Vec<String> = asked.map(|found| short_name(&found.thing)).collect();
    if !asked.is_empty() {
        parts.push(format!(
            "look before flying what battery is in {}",
            listed(&asked)
        ));
    }
    parts.join("; ")
}

/// Pairs of a thing and a stop, by thing.
fn by_thing<'t>(pairs: Vec<(&'t str, &str)>) -> Vec<(&'t str, Vec<String>)> {
    let mut things: Vec<(&str, Vec<String>)> = Vec::new();
    for (thing, stop) in pairs {
        match things.iter_mut().find(|(known, _)| *known == thing) {
            Some((_, stops)) => stops.push(short_name(stop)),
            None => things.push((thing, vec![short_name(stop)])),
        }
    }
    things
}

/// Stops against things; what is known of a stop stands in one cell.
fn overview(trip: &Trip, things: &[&str], between: &str) -> Table {
    let mut rows = Rows::of(&trip.stops).names("Stop", |stop| heading(stop).join(between));
    for thing in things {
        rows = rows.answers(&short_name(thing), |stop| answer(stop, thing));
    }
    rows.table()
}

/// A stop's name, the mains, and the sockets.
fn heading(stop: &TripStop) -> [String; 3] {
    [
        short_name(&stop.name),
        mains(stop),
        format!("socket {}", stop.sockets.join("/")),
    ]
}

/// How a thing goes at a stop.
fn answer(stop: &TripStop, thing: &str) -> String {
    let mut uses = stop.findings.iter();
    let found = uses.find(|found| found.about == About::Use && found.thing == thing);
    let mut nights = stop.findings.iter();
    let left_out = nights.any(|found| {
        let of_night = found.about == About::Night && found.thing == thing;
        of_night && found.verdict == Verdict::Caution
    });
    if left_out {
        return "no outlet left".to_owned();
    }
    found.map_or(String::new(), |found| printable(&word(found)))
}

/// `230 V 50 Hz`.
fn mains(stop: &TripStop) -> String {
    let numbers = |values: &[f64]| -> String {
        let values: Vec<String> = values.iter().map(|value| decimals(*value, 1)).collect();
        values.join("/")
    };
    if stop.voltages_v.is_empty() || stop.frequencies_hz.is_empty() {
        return "mains not known".to_owned();
    }
    format!(
        "{} V {} Hz",
        numbers(&stop.voltages_v),
        numbers(&stop.frequencies_hz)
    )
}

/// How a thing is used, in a few words.
fn word(found: &Finding) -> String {
    let with = found.with.join(" and ");
    match found.verdict {
        Verdict::Direct => "straight in".to_owned(),
        Verdict::Adapter => format!("adapter: {with}"),
        Verdict::Converter => format!("converter: {with}"),
        Verdict::Depends => {
            let volts: Vec<String> = found.at_v.iter().map(|v| decimals(*v, 1)).collect();
            let how = if with.is_empty() {
                "straight in"
            } else {
                &with
            };
            format!("{} V only: {how}", volts.join("/"))
        }
        Verdict::Unknown => "not known".to_owned(),
        Verdict::No => "no".to_owned(),
        other => other.word().to_owned(),
    }
}

fn night(stop: &TripStop) -> Option<String> {
    let plan = stop.night()?;
    if stop.plugged_in.is_empty() {
        let name = short_name(&stop.name);
        return Some(format!("{name}: nothing can be charged"));
    }
    let outlets = match stop.outlets_used {
        1 => "1 outlet".to_owned(),
        many => format!("{many} outlets"),
    };
    let without: Vec<&str> = plan
        .without_berth
        .iter()
        .map(|w| w.device.as_str())
        .collect();
    let charged = match (plan.unserved, plan.late) {
        (0, 0) => format!("all full after {}", time(plan.longest_h)),
        (0, late) => format!("{late} late, the last full after {}", time(plan.longest_h)),
        _ => format!(
            "no port for {}, the others full after {}",
            without.join(", "),
            time(plan.longest_h)
        ),
    };
    let through = |source: &String| {
        let mut nights = stop.findings.iter();
        let night = nights.find(|f| f.about == About::Night && f.thing == *source);
        match night.map(|found| found.with.as_slice()) {
            Some([adapter]) => format!("{source} through {adapter}"),
            _ => source.clone(),
        }
    };
    let plugged: Vec<String> = stop.plugged_in.iter().map(through).collect();
    let untried = match stop.sets_untried {
        0 => "",
        _ => " (a limit stopped the search: another choice of chargers may be better)",
    };
    let plugged = plugged.join(" + ");
    Some(printable(&format!(
        "{}: {plugged}, {outlets}: {charged}{untried}",
        stop.name
    )))
}

/// `a`, `a and b`, `a; b and c`: names may have commas.
fn listed(names: &[String]) -> String {
    match names {
        [several @ .., last] if !several.is_empty() => {
            format!("{} and {last}", several.join("; "))
        }
        _ => names.concat(),
    }
}

/// What is not simply in order, in the words of its finding, each once.
fn notes(trip: &Trip) -> Vec<String> {
    let mut notes: Vec<(String, Vec<&str>)> = Vec::new();
    for stop in &trip.stops {
        for found in &stop.findings {
            let told = match found.about {
                About::Voltage | About::Frequency | About::Plug => {
                    matches!(found.verdict, Verdict::Caution | Verdict::Depends)
                }
                About::PortsAlone => found.verdict == Verdict::Fine,
                _ => false,
            };
            if !told {
                continue;
            }
            let text = format!("{}: {}", found.thing, found.reason);
            match notes.iter_mut().find(|(known, _)| *known == text) {
                Some((_, stops)) => stops.push(&stop.name),
                None => notes.push((text, vec![&stop.name])),
            }
        }
    }
    notes
        .into_iter()
        .map(|(text, stops)| printable(&format!("{}, {text}", stops.join(", "))))
        .collect()
}

/// By kind, what and how many; `1 × …` where there are more of it on the other list.
fn packed(list: &[Packing], other: &[Packing]) -> Vec<(String, String)> {
    let mut kinds: Vec<PackingKind> = list.iter().map(|packing| packing.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
        .into_iter()
        .map(|kind| {
            let of_kind: Vec<&Packing> = list.iter().filter(|p| p.kind == kind).collect();
            let named: Vec<String> = of_kind
                .iter()
                .map(|packing| {
                    let Packing { thing, count, .. } = packing;
                    let named = |more: &Packing| more.kind == kind && more.thing == *thing;
                    let note = packing.note.as_deref().map(printable);
                    let note = note.map_or(String::new(), |note| format!(" ({note})"));
                    if *count == 1 && !other.iter().any(named) {
                        format!("{}{note}", short_name(thing))
                    } else {
                        format!("{count} × {}{note}", short_name(thing))
                    }
                })
                .collect();
            let total: u32 = of_kind.iter().map(|packing| packing.count).sum();
            let plural = if total == 1 { "" } else { "s" };
            (format!("{total} {}{plural}", kind.word()), named.join("; "))
        })
        .collect()
}

/// The things that travel by the same rule.
fn carried<'t>(trip: &'t Trip, rule: &str) -> Vec<&'t str> {
    let found = trip.air.iter();
    let found = found.filter(|found| found.about == About::Carry && found.reason == rule);
    found.map(|found| found.thing.as_str()).collect()
}

/// What is to be asked, each battery's class where it is not simply free to fly, the counts, and the rules to
/// keep.
fn air(trip: &Trip) -> Vec<String> {
    let free: Vec<&str> = trip
        .air
        .iter()
        .filter(|found| found.about == About::Battery && found.verdict == Verdict::Fine)
        .map(|found| found.thing.as_str())
        .collect();
    let mut lines = Vec::new();
    if !free.is_empty() {
        lines.push(format!(
            "{}: up to 100 Wh, no approval needed",
            free.join(", ")
        ));
    }
    for found in &trip.air {
        match found.about {
            About::Battery | About::Count if found.verdict == Verdict::Fine => {}
            About::BuiltIn | About::Battery | About::Count => {
                lines.push(format!("{}: {}", found.thing, found.reason));
            }
            // Who may go in the hold, and who may not, is said by name.
            About::Carry => {
                let all = carried(trip, &found.reason);
                let line = format!("{}: {}", all.join(", "), found.reason);
                if !lines.contains(&line) {
                    lines.push(line);
                }
            }
            _ if lines.contains(&found.reason) => {}
            _ => lines.push(found.reason.clone()),
        }
    }
    let counts = || trip.air.iter().filter(|found| found.about == About::Count);
    if counts().count() > 0 && counts().all(|found| found.verdict == Verdict::Fine) {
        lines.insert(
            1.min(lines.len()),
            "no more of them than may be carried".to_owned(),
        );
    }
    lines.iter().map(|line| printable(line)).collect()
}
