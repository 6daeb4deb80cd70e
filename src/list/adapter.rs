//! An adapter's line.

use std::ops::Range;

use super::Reading;
use super::amount::Unit;
use super::charger::is_port;
use super::line::{Line, MOST_THINGS, Places};
use super::plugs::{mains_label, plug_ahead, plugs};
use super::price::{price, worth};
use super::text::Piece;
use crate::setup::document::{Adapter, Charger};
use crate::setup::fill;
use crate::usb::label;

/// Words before the plugs that go in, and before those that go into the wall.
const TAKES: [&str; 5] = ["takes", "take", "for", "fits", "accepts"];
const MAKES: [&str; 6] = ["makes", "make", "into", "to", "goes into", "gives"];
/// What names the thing itself, or a plug, and is no part of its name.
const ITSELF: [&str; 7] = [
    "adapter", "adapters", "adaptor", "adaptors", "plug", "plugs", "type",
];

/// What a line says of an adapter so far.
#[derive(Default)]
struct Said {
    adapter: Adapter,
    words: Vec<Range<usize>>,
    /// The parts that are the label of its USB ports.
    label: Vec<Range<usize>>,
    /// Where it says the mains side of those.
    mains: Option<Range<usize>>,
    places: Places,
}

/// Reads an adapter's line: `adapter C to G`, `adapter world: takes C, EF; makes G, I; 45 g`;
/// `C1 20 W` is a USB port of its own.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    let mut said = Said::default();
    line.leading_count(&mut said.adapter.count, MOST_THINGS);
    line.take(&ITSELF[..4]);
    let own = line.quoted_or_before_colon();
    while line.goes_on() {
        item(line, &mut said);
    }
    if let Some(first) = said.label.first() {
        ports(line, &mut said.adapter, first.start..whole.end, &said.label);
    } else if let Some(volts) = said.mains {
        line.fault(
            volts,
            "volts are of its USB ports, and it has none: `C1 20 W`",
        );
    }
    let Said {
        mut adapter,
        words,
        places,
        ..
    } = said;
    if adapter.makes.is_empty() && line.faults.is_empty() {
        let message = "which plug goes in, and which goes into the wall? `adapter C to G`";
        line.fault(whole.clone(), message);
    }
    if into.for_sale {
        worth(line, whole, adapter.weight_g, adapter.price);
    }
    if !line.faults.is_empty() {
        return;
    }
    adapter.name = match own {
        Some((name, _)) => name,
        None if words.is_empty() => called(&adapter),
        None => {
            let words: Vec<&str> = words.iter().map(|span| &line.all[span.clone()]).collect();
            words.join(" ")
        }
    };
    let list = into.list("adapters");
    let adapters = match into.shop() {
        Some(shop) => &mut shop.adapters,
        None => &mut into.document.trip.get_or_insert_default().adapters,
    };
    let path = list.index(adapters.len());
    adapters.push(adapter);
    into.places.put_all(&path, whole, places);
}

/// What an adapter is called that nobody named.
pub(super) fn called(adapter: &Adapter) -> String {
    format!("{} to {}", adapter.takes.join(" "), adapter.makes.join(" "))
}

/// Reads the USB ports of its own from the parts of the line that are their label.
fn ports(line: &mut Line<'_>, adapter: &mut Adapter, within: Range<usize>, label: &[Range<usize>]) {
    // What is no label is blanked out, so that what is keeps its place.
    let mut printed = String::with_capacity(within.len());
    for (at, c) in line.all[within.clone()].char_indices() {
        match c {
            c if label.iter().any(|part| part.contains(&(within.start + at))) => printed.push(c),
            ',' | ';' | '|' | '\n' => printed.push(if c == ',' { ';' } else { c }),
            c => printed.extend(std::iter::repeat_n(' ', c.len_utf8())),
        }
    }
    match label::whole(std::slice::from_ref(&printed)) {
        Ok(read) => {
            let mut charger = Charger::default();
            fill(&mut charger, &read);
            adapter.ports = charger.ports;
            adapter.pools = charger.pools;
            adapter.combinations = charger.combinations;
            adapter.max_w = charger.max_w;
        }
        Err(faults) => {
            for fault in faults {
                let span = within.start + fault.span.start..within.start + fault.span.end;
                line.fault(span, fault.message);
            }
        }
    }
}

/// Passes the part of the line that is the label of USB ports, if one begins here: up to
/// what separates it from something else.
fn label_part(line: &mut Line<'_>) -> Option<Range<usize>> {
    let begins = |line: &Line<'_>| {
        is_port(line.text(0))
            || matches!(line.word(0), "usb-c" | "usb-a" | "output" | "total")
            || is_only_port(line)
    };
    if !begins(line) {
        return None;
    }
    let start = line.span(0).start;
    while !(line.is_done() || matches!(line.sign(0), Some(';' | '|'))) {
        line.next();
        if line.sign(0) == Some(',') {
            let mark = line.mark();
            line.next();
            let volts = matches!(line.piece(0), Some(Piece::Number(volts)) if *volts < 90.0)
                && line.has_unit(1, Unit::Volts);
            let more = begins(line) || volts;
            line.back_to(mark);
            if !more {
                break;
            }
        }
    }
    Some(start..line.end())
}

/// `C 20 W`, `A: 5V 2.4A`: the letter of a port with what it gives, and of no plug.
fn is_only_port(line: &Line<'_>) -> bool {
    let colon = usize::from(line.sign(1) == Some(':'));
    let number = matches!(line.piece(1 + colon), Some(Piece::Number(_)));
    let unit = line.unit(2 + colon).map(|(unit, _)| unit);
    matches!(line.word(0), "c" | "a") && number && matches!(unit, Some(Unit::Watts | Unit::Volts))
}

/// One thing that is said of the adapter.
fn item(line: &mut Line<'_>, said: &mut Said) {
    let (start, mark) = (line.span(0).start, line.mark());
    if let Some(part) = label_part(line) {
        return said.label.push(part);
    }
    if price(line, &mut said.adapter.price, &mut said.places) {
        return;
    }
    if let Some((field, span)) = mains_label(line) {
        let printed = line.all[span.clone()].to_owned();
        if field == "input_hz" {
            said.adapter.input_hz = Some(printed);
        } else {
            said.adapter.input_v = Some(printed);
        }
        said.mains = Some(span.clone());
        return said.places.push((field, span));
    }
    if let Some(field) = sides(line) {
        let Adapter { takes, makes, .. } = &mut said.adapter;
        plugs(line, if field == "takes" { takes } else { makes });
        return said.places.push((field, start..line.end()));
    }
    line.back_to(mark);
    if line.take(&ITSELF).is_some() {
        return;
    }
    if plug_ahead(line, 0).is_some() && said.adapter.takes.is_empty() {
        return from_to(line, said);
    }
    if line
        .take(&["earthed", "grounded", "with earth", "earth"])
        .is_some()
    {
        said.adapter.earthed = Some(true);
        return;
    }
    let fuse = line.take(&["fuse", "fused"]).is_some();
    if line.is_number() {
        amount(line, said, fuse);
    } else if line.word(0).is_empty() {
        line.not_understood(TAKES.into_iter().chain(MAKES));
    } else {
        said.words.push(line.span(0));
        line.next();
    }
}

/// `C to G`, `EF → G`.
fn from_to(line: &mut Line<'_>, said: &mut Said) {
    let start = line.span(0).start;
    plugs(line, &mut said.adapter.takes);
    said.places.push(("takes", start..line.end()));
    let arrow = |line: &Line<'_>| matches!(line.sign(0), Some('→' | '-' | '>'));
    let word = line.take(&["to", "into", "for", "on"]).is_some();
    if word || arrow(line) {
        while arrow(line) {
            line.next();
        }
        let start = line.span(0).start;
        plugs(line, &mut said.adapter.makes);
        said.places.push(("makes", start..line.end()));
    }
}

fn amount(line: &mut Line<'_>, said: &mut Said, fuse: bool) {
    let Some(amount) = line.amount() else {
        return;
    };
    let fuse = fuse || line.take(&["fuse"]).is_some();
    let (span, adapter) = (amount.span.clone(), &mut said.adapter);
    let (field, slot) = match (amount.unit, amount.one()) {
        (Unit::Amps, Some(_)) if fuse => ("fuse_a", &mut adapter.fuse_a),
        (Unit::Amps, Some(_)) => ("max_a", &mut adapter.max_a),
        (Unit::Grams, Some(_)) => ("weight_g", &mut adapter.weight_g),
        (Unit::Pieces, Some(count)) => {
            return line.set_count(&mut adapter.count, count, span, MOST_THINGS);
        }
        _ => {
            return line.fault(
                span,
                "this says nothing of an adapter; A, g and so many of it do",
            );
        }
    };
    if slot.replace(amount.low).is_some() {
        line.fault(span.clone(), "this is said twice");
    }
    said.places.push((field, span));
}

/// Which side of an adapter the words here begin.
fn sides(line: &mut Line<'_>) -> Option<&'static str> {
    let field = if line.take(&TAKES).is_some() {
        "takes"
    } else if line.take(&MAKES).is_some() {
        "makes"
    } else {
        return None;
    };
    line.take(&["type", "types", "plug", "plugs"]);
    if line.sign(0) == Some(':') {
        line.next();
    }
    plug_ahead(line, 0).map(|_| field)
}
