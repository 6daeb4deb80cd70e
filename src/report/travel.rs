//! A trip as a page: stops against things, the nights, the bag, the flight; in pictures
//! also every reason with its source.

use super::counted;
use super::page::{Line, Page, Rows, Section, Shown, Table, Tone};
use super::printable::{printable, short_name};
use crate::plan::Plan;
use crate::setup::Setup;
use crate::setup::document::Aim;
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
    let named = |which: &dyn Fn(&Plan) -> bool| {
        let stops = trip.stops.iter();
        let stops = stops.filter(|stop| stop.night().is_some_and(|plan| which(&plan)));
        stops.map(|stop| short_name(&stop.name)).collect()
    };
    let charging: Vec<String> = named(&|_| true);
    let unserved: Vec<String> = named(&|plan| plan.unserved > 0);
    let late: Vec<String> = named(&|plan| plan.unserved == 0 && plan.late > 0);
    let stops = counted(trip.stops.len(), "stop");
    let nights: u32 = trip.stops.iter().map(|stop| stop.nights).sum();
    let nights = counted(nights, "night");
    let mut parts = vec![if charging.is_empty() {
        format!("{stops}, no night to charge in")
    } else if unserved.is_empty() && late.is_empty() {
        format!("{stops}, {nights}: every device is full each morning")
    } else {
        format!("{stops}, {nights}")
    }];
    for (stops, words) in [
        (unserved, "not every device finds a port in"),
        (late, "not all is full in time in"),
    ] {
        parts.extend(listed(&stops).map(|stops| format!("{words} {stops}")));
    }
    let missing = trip.bag.missing.iter();
    let missing = missing.map(|missing| (missing.thing.as_str(), missing.stop.as_str()));
    parts.extend(where_not(missing, "cannot be used in"));
    let depends = trip.stops.iter().flat_map(|stop| {
        let uses = stop.findings.iter();
        let uses = uses.filter(|f| f.about == About::Use && f.verdict == Verdict::Depends);
        uses.map(|found| (found.thing.as_str(), stop.name.as_str()))
    });
    parts.extend(where_not(depends, "can be used at one voltage only in"));
    let flying = |which: &dyn Fn(&Finding) -> bool| {
        let found = trip.air.iter().filter(|found| which(found));
        let names: Vec<String> = found.map(|found| short_name(&found.thing)).collect();
        listed(&names)
    };
    let no = flying(&|found| found.verdict == Verdict::No);
    parts.extend(no.map(|names| format!("{names} may not fly so")));
    let approval = flying(&|found| found.verdict == Verdict::Approval);
    parts.extend(approval.map(|names| format!("the airline must approve {names}")));
    let built_in = flying(&|found| found.about == About::BuiltIn);
    parts.extend(built_in.map(|names| format!("look before flying what battery is in {names}")));
    parts.join("; ")
}

/// What things cannot do at which stops, those with the same stops in one clause.
fn where_not<'t>(pairs: impl Iterator<Item = (&'t str, &'t str)>, words: &str) -> Vec<String> {
    let by_thing = grouped(pairs).into_iter();
    let by_stops = grouped(by_thing.map(|(thing, stops)| (stops, thing)));
    let named = |names: &[&str]| {
        let names: Vec<String> = names.iter().map(|name| short_name(name)).collect();
        listed(&names)
    };
    let clause = |(stops, things): (Vec<&str>, Vec<&str>)| {
        Some(format!("{} {words} {}", named(&things)?, named(&stops)?))
    };
    by_stops.into_iter().filter_map(clause).collect()
}

/// What belongs to the same, in the order in which that comes first.
fn grouped<K: PartialEq, V>(pairs: impl Iterator<Item = (K, V)>) -> Vec<(K, Vec<V>)> {
    let mut groups: Vec<(K, Vec<V>)> = Vec::new();
    for (key, value) in pairs {
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, values)) => values.push(value),
            None => groups.push((key, vec![value])),
        }
    }
    groups
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
    let outlets = counted(stop.outlets_used, "outlet");
    let late = plan.late_by_aim();
    let full = match (plan.aim, plan.promised_longest_h) {
        (Aim::Best, _) => time(plan.longest_h),
        (Aim::Promise, Some(sure_h)) => time(sure_h),
        (Aim::Promise, None) => format!("{} at best, not all for certain", time(plan.longest_h)),
    };
    let without = plan.without_berth.iter();
    let without: Vec<&str> = without.map(|w| w.device.as_str()).collect();
    let charged = match (plan.unserved, late) {
        (0, 0) => format!("all full after {full}"),
        (0, late) => format!("{late} late, the last full after {full}"),
        _ => format!(
            "no port for {}, the others full after {full}",
            without.join(", ")
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

/// `a`, `a and b`, `a; b and c`: names may have commas. Nothing where there is none.
fn listed(names: &[String]) -> Option<String> {
    let (last, several) = names.split_last()?;
    Some(if several.is_empty() {
        last.clone()
    } else {
        format!("{} and {last}", several.join("; "))
    })
}

/// What is not simply in order, in the words of its finding, each once.
fn notes(trip: &Trip) -> Vec<String> {
    let told = |found: &&Finding| match found.about {
        About::Voltage | About::Frequency | About::Plug => {
            matches!(found.verdict, Verdict::Caution | Verdict::Depends)
        }
        About::PortsAlone => found.verdict == Verdict::Fine,
        _ => false,
    };
    let notes = trip.stops.iter().flat_map(|stop| {
        let found = stop.findings.iter().filter(told);
        found.map(|found| {
            (
                format!("{}: {}", found.thing, found.reason),
                stop.name.as_str(),
            )
        })
    });
    let line = |(text, stops): (String, Vec<&str>)| format!("{}, {text}", stops.join(", "));
    let notes = grouped(notes).into_iter().map(line);
    notes.map(|note| printable(&note)).collect()
}

/// By kind, what and how many; `1 × …` where there are more of it on the other list.
fn packed(list: &[Packing], other: &[Packing]) -> Vec<(String, String)> {
    let mut kinds: Vec<PackingKind> = list.iter().map(|packing| packing.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let there_too = |packing: &Packing| {
        let same = |more: &Packing| more.kind == packing.kind && more.thing == packing.thing;
        other.iter().any(same)
    };
    let named = |packing: &Packing| {
        let note = packing.note.as_deref().map(printable);
        let note = note.map_or(String::new(), |note| format!(" ({note})"));
        let name = short_name(&packing.thing) + &note;
        match packing.count {
            1 if !there_too(packing) => name,
            count => format!("{count} × {name}"),
        }
    };
    let line = |kind: PackingKind| {
        let of_kind = || list.iter().filter(|packing| packing.kind == kind);
        let total: u32 = of_kind().map(|packing| packing.count).sum();
        let names: Vec<String> = of_kind().map(named).collect();
        (counted(total, kind.word()), names.join("; "))
    };
    kinds.into_iter().map(line).collect()
}

/// What is to be asked, each battery's class where it is not simply free to fly, the
/// counts, and the rules to keep.
fn air(trip: &Trip) -> Vec<String> {
    let named = |which: &dyn Fn(&Finding) -> bool| {
        let found = trip.air.iter().filter(|found| which(found));
        let things: Vec<&str> = found.map(|found| found.thing.as_str()).collect();
        things.join(", ")
    };
    // Lithium metal goes by its grams, not by watt-hours: its own sentence says so.
    let is_free = |found: &Finding| {
        let fine = found.about == About::Battery && found.verdict == Verdict::Fine;
        fine && !found.reason.contains("g of lithium")
    };
    let free = named(&is_free);
    let mut lines = Vec::new();
    if !free.is_empty() {
        lines.push(format!("{free}: up to 100 Wh, no approval needed"));
    }
    for found in &trip.air {
        match found.about {
            About::Battery if is_free(found) => {}
            About::Count if found.verdict == Verdict::Fine => {}
            About::BuiltIn | About::Battery | About::Count => {
                lines.push(format!("{}: {}", found.thing, found.reason));
            }
            // Who may go in the hold, and who may not, is said by name.
            About::Carry => {
                let same = |of: &Finding| of.about == About::Carry && of.reason == found.reason;
                let line = format!("{}: {}", named(&same), found.reason);
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
        let fine = "no more of them than may be carried".to_owned();
        lines.insert(1.min(lines.len()), fine);
    }
    lines.iter().map(|line| printable(line)).collect()
}
