//! A trip as a page: the adapters first, then stop by stop, the bag, the flight; in pictures
//! also every reason with its source, folded away.

mod adapters;
mod stop;

use super::counted;
use super::page::{Line, Page, Rows, Section, Shown, Tone};
use super::printable::{printable, sentence, short_name};
use crate::plan::Plan;
use crate::setup::Setup;
use crate::trip::{About, Finding, Packing, PackingKind, Trip, TripStop, Verdict};
use crate::units::quantity::decimals;

/// The title above the adapters' sentence, where it is no headline.
const ADAPTERS: &str = "Adapters";

impl Page {
    /// The page of `trip`, which is one of `setup`.
    pub fn of_trip(setup: &Setup, trip: &Trip) -> Self {
        let name = setup.name();
        let title = name.map_or_else(|| "The trip".to_owned(), printable);
        let (adapters, missing) = adapters::sentences(trip);
        let has_all = trip.adapters.iter().all(|need| need.have.is_some());
        let mut page = Self::new(title, adapters, has_all);
        page.lead.extend(missing.clone());
        page.lead.push(headline(trip));
        let told = missing.into_iter().chain([sentence(&headline(trip))]);
        page.notes_in(Shown::InPictures, "", Tone::Plain, told.collect());
        #[cfg(feature = "pictures")]
        page.draw_faces(setup, trip);
        page.each_stop(setup, trip, true);
        page.packed("Take", &packed(trip, &trip.bag.take, &trip.bag.leave));
        page.packed(
            "Leave at home",
            &packed(trip, &trip.bag.leave, &trip.bag.take),
        );
        page.on_the_way(trip, &[]);
        page
    }

    /// The stops of a trip whose bag and nights are told before, and what is to be known on
    /// the way.
    pub(super) fn route(&mut self, setup: &Setup, trip: &Trip, cautions: &[String]) {
        let (adapters, missing) = adapters::sentences(trip);
        let adapters = adapters.strip_prefix("Adapters: ").unwrap_or(&adapters);
        let told = std::iter::once(adapters.to_owned()).chain(missing);
        self.notes(ADAPTERS, Tone::Plain, told.collect());
        #[cfg(feature = "pictures")]
        self.draw_faces_in(ADAPTERS, setup, trip);
        self.each_stop(setup, trip, false);
        self.on_the_way(trip, cautions);
    }

    /// What is to be known beside the stops.
    fn on_the_way(&mut self, trip: &Trip, cautions: &[String]) {
        let page = self;
        let missing = trip.bag.missing.iter().map(|missing| {
            let text = format!("{}, {}: {}", missing.stop, missing.thing, missing.reason);
            printable(&text)
        });
        page.notes("Cannot be used", Tone::Bad, missing.collect());
        page.notes("To know", Tone::Plain, notes(trip));
        let in_text = air(trip, &|_| true).into_iter().chain(rules_by_air(trip));
        page.notes_in(Shown::InText, "By air", Tone::Plain, in_text.collect());
        // Where devices travel is folded away; where power banks and spares do is not.
        let alone = |thing: &str| {
            let mut keep = trip.air.iter().filter(|of| of.about == About::Keep);
            keep.any(|of| of.thing == thing)
        };
        page.notes_in(Shown::InPictures, "By air", Tone::Plain, air(trip, &alone));
        page.findings("By air: rules and sources", &trip.air);
        page.beware(trip, cautions);
    }

    /// What to keep in mind: what is so without a trip and what this trip brings with it first, then in one paragraph what
    /// holds wherever something is plugged in.
    fn beware(&mut self, trip: &Trip, more: &[String]) {
        let (general, own): (Vec<_>, Vec<_>) = trip.cautions.iter().partition(|of| of.general);
        let own = own.iter().map(|of| of.reason.as_str());
        let more = more.iter().map(String::as_str);
        let own: Vec<String> = more.chain(own).map(printable).collect();
        let general: Vec<&str> = general.iter().map(|of| of.reason.as_str()).collect();
        let general = (!general.is_empty()).then(|| printable(&general.join(" ")));
        let in_text = own.iter().cloned().chain(general);
        self.notes_in(Shown::InText, "Cautions", Tone::Caution, in_text.collect());
        self.notes_in(Shown::InPictures, "Cautions", Tone::Caution, own);
        let sourced = trip.cautions.iter().map(|caution| {
            let text = format!("{} ({}, {})", caution.reason, caution.source, caution.date);
            Line::item(printable(&text))
        });
        if !trip.cautions.is_empty() {
            let all = Section::titled("All cautions, with sources").lines(sourced);
            self.push(all.told(Tone::Caution).shown(Shown::InPictures).folded());
        }
    }

    /// A list by kind.
    fn packed(&mut self, title: &str, kinds: &[(String, String)]) {
        if kinds.is_empty() {
            return;
        }
        let lines = kinds.iter().map(|(kind, names)| Line {
            label: kind.clone(),
            ..Line::item(names)
        });
        self.push(Section::titled(title).lines(lines));
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
        self.push(table.shown(Shown::InPictures).folded());
    }
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
    let mut parts = vec![
        if charging.is_empty() && trip.stops.iter().any(|stop| stop.nights > 0) {
            format!("{stops}, {nights}: nothing to charge is listed")
        } else if charging.is_empty() {
            format!("{stops}, no night to charge in")
        } else if unserved.is_empty() && late.is_empty() {
            format!("{stops}, {nights}: every device is full each morning")
        } else {
            format!("{stops}, {nights}")
        },
    ];
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
pub(super) fn grouped<K: PartialEq, V>(pairs: impl Iterator<Item = (K, V)>) -> Vec<(K, Vec<V>)> {
    let mut groups: Vec<(K, Vec<V>)> = Vec::new();
    for (key, value) in pairs {
        match groups.iter_mut().find(|(known, _)| *known == key) {
            Some((_, values)) => values.push(value),
            None => groups.push((key, vec![value])),
        }
    }
    groups
}

/// A stop's name, the mains, and the sockets.
fn heading(stop: &TripStop) -> [String; 3] {
    [
        short_name(&stop.name),
        mains(stop),
        match stop.sockets.as_slice() {
            [] => "sockets not known".to_owned(),
            sockets => format!("socket {}", sockets.join("/")),
        },
    ]
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
    let told = |stop: &TripStop, found: &Finding| match found.about {
        // A motor with nothing on its label.
        About::Frequency if found.verdict == Verdict::Unknown => !stop.frequencies_hz.is_empty(),
        About::Voltage | About::Frequency | About::Plug => {
            matches!(found.verdict, Verdict::Caution | Verdict::Depends)
        }
        About::PortsAlone => found.verdict == Verdict::Fine,
        _ => false,
    };
    let notes = trip.stops.iter().flat_map(|stop| {
        let found = stop.findings.iter().filter(|found| told(stop, found));
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
fn packed(trip: &Trip, list: &[Packing], other: &[Packing]) -> Vec<(String, String)> {
    let mut kinds: Vec<PackingKind> = list.iter().map(|packing| packing.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let there_too = |packing: &Packing| {
        let same = |more: &Packing| more.kind == packing.kind && more.thing == packing.thing;
        other.iter().any(same)
    };
    let named = |packing: &Packing| {
        let name = match noted(trip, packing).as_slice() {
            [] => short_name(&packing.thing),
            notes => format!("{} ({})", short_name(&packing.thing), notes.join(", ")),
        };
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

/// What is to be known of a thing of the bag: for whom it is taken, what it costs, where it
/// is of no use.
fn noted(trip: &Trip, packing: &Packing) -> Vec<String> {
    let mut notes: Vec<String> = packing.note.as_deref().map(printable).into_iter().collect();
    let taken = trip.bag.take.iter().any(|of| std::ptr::eq(of, packing));
    if packing.kind != PackingKind::Appliance {
        return notes;
    }
    if !taken {
        notes.push(packing.reason.clone());
    }
    if let Some(costs) = &packing.costs {
        let pieces = [(costs.adapters, "adapter"), (costs.converters, "converter")];
        let pieces = pieces.into_iter().filter(|(count, _)| *count > 0);
        let mut parts: Vec<String> = pieces.map(|(n, what)| counted(n, what)).collect();
        if costs.weight_g.abs() >= 0.5 {
            parts.push(format!("{} g", decimals(costs.weight_g, 0)));
        }
        let verb = if taken { "costs" } else { "would take" };
        notes.push(format!("{verb} {}", parts.join(" and ")));
    }
    let useless = trip
        .bag
        .missing
        .iter()
        .filter(|of| of.thing == packing.thing);
    let useless: Vec<String> = useless.map(|of| short_name(&of.stop)).collect();
    if taken && !useless.is_empty() {
        notes.push(format!("no use in {}", useless.join(" and ")));
    }
    notes
}

/// What is to be asked, each battery's class where it is not simply free to fly, the
/// counts; and of the things that are `told` where they travel.
fn air(trip: &Trip, told: &dyn Fn(&str) -> bool) -> Vec<String> {
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
            About::Carry if told(&found.thing) => {
                let same = |of: &Finding| of.about == About::Carry && of.reason == found.reason;
                let line = format!("{}: {}", named(&same), found.reason);
                if !lines.contains(&line) {
                    lines.push(line);
                }
            }
            _ => {}
        }
    }
    let counts = || trip.air.iter().filter(|found| found.about == About::Count);
    if counts().count() > 0 && counts().all(|found| found.verdict == Verdict::Fine) {
        let fine = "no more of them than may be carried".to_owned();
        lines.insert(1.min(lines.len()), fine);
    }
    lines.iter().map(|line| printable(line)).collect()
}

/// In one paragraph the rules to keep, each once.
fn rules_by_air(trip: &Trip) -> Option<String> {
    let mut rules: Vec<&str> = Vec::new();
    for found in &trip.air {
        let said = matches!(
            found.about,
            About::BuiltIn | About::Battery | About::Count | About::Carry
        );
        if !said && !rules.contains(&found.reason.as_str()) {
            rules.push(&found.reason);
        }
    }
    (!rules.is_empty()).then(|| printable(&rules.join(" ")))
}
