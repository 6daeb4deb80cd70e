//! A cable's line.

use std::fmt::Write as _;
use std::ops::Range;

use super::amount::Unit;
use super::line::{Line, MOST_THINGS, Places};
use super::price::{price, worth};
use super::{Reading, connector};
use crate::diagnostics::near;
use crate::setup::document::Cable;

/// What names the thing itself and is no part of its name.
const ITSELF: [&str; 7] = ["cable", "cables", "cord", "cords", "lead", "leads", "usb"];
/// That it has an e-marker.
const MARKED: [&str; 6] = [
    "e-marked",
    "emarked",
    "e marked",
    "with marker",
    "e-marker",
    "marked",
];
const KNOWN: [&str; 6] = ["e-marked", "marked", "long", "metres", "watts", "usb-c"];
/// What a line says of a cable so far.
#[derive(Default)]
struct Said {
    cable: Cable,
    /// The ends that it names, the charger's first.
    ends: Vec<String>,
    /// The words that are none of those that are known.
    words: Vec<Range<usize>>,
    places: Places,
}

/// Reads a cable's line.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    let mut said = Said::default();
    line.leading_count(&mut said.cable.count, MOST_THINGS);
    line.take(&ITSELF[..6]);
    line.leading_count(&mut said.cable.count, MOST_THINGS);
    let own_name = line.quoted_or_before_colon();
    while line.goes_on() {
        item(line, &mut said);
    }
    if said.ends.is_empty()
        && !said.words.is_empty()
        && own_name.is_none()
        && line.faults.is_empty()
    {
        let span = said.words[0].start..said.words[said.words.len() - 1].end;
        line.fault(span, "which ends has this cable? `C to C`, `A to C`, `A to micro`; a name of its own ends with a colon");
    }
    let mut guesses = Vec::new();
    joins(&mut said, line, whole, &mut guesses);
    if into.for_sale {
        worth(line, whole, said.cable.weight_g, said.cable.price);
    }
    if !line.faults.is_empty() {
        return;
    }
    let Said {
        mut cable,
        words,
        places,
        ..
    } = said;
    let given = own_name.map(|(name, _)| name).or_else(|| {
        let words: Vec<&str> = words.iter().map(|span| &line.all[span.clone()]).collect();
        (!words.is_empty()).then(|| words.join(" "))
    });
    let named = given.is_some();
    cable.name = given.unwrap_or_else(|| called(&cable));
    // Cables that nobody names are alike where all that is said of them is.
    let merge = !(named || into.for_sale);
    let list = into.list("cables");
    let cables = match into.shop() {
        Some(shop) => &mut shop.cables,
        None => &mut into.document.cables,
    };
    if merge && let Some(same) = cables.iter_mut().find(|other| alike(other, &cable)) {
        let more = cable.count.unwrap_or(1);
        same.count = Some(same.count.unwrap_or(1).saturating_add(more));
        return;
    }
    let path = list.index(cables.len());
    let name = cable.name.clone();
    cables.push(cable);
    into.places.put_all(&path, whole, places);
    into.guess(&path, &name, guesses);
}

/// One thing that is said of the cable.
fn item(line: &mut Line<'_>, said: &mut Said) {
    if price(line, &mut said.cable.price, &mut said.places) {
        return;
    }
    if let Some(found) = end_of(line, false) {
        said.ends.extend(found);
    } else if line.take(&MARKED).is_some() {
        said.cable.e_marked = Some(true);
    } else if line.is_number() {
        amount(line, said);
    } else if line.word(0).is_empty() || matches!(line.word(0), "to" | "from") {
        line.not_understood(KNOWN);
    } else {
        let word = line.word(0);
        if ITSELF.contains(&word) {
            line.next();
        } else if near(word, KNOWN).is_some() {
            line.not_understood(KNOWN);
        } else {
            said.words.push(line.span(0));
            line.next();
        }
    }
}

fn amount(line: &mut Line<'_>, said: &mut Said) {
    let start = line.span(0).start;
    let Some(amount) = line.amount() else {
        return;
    };
    line.take(&["long", "rated", "max"]);
    let span = start..line.end();
    match (amount.one(), slot(&mut said.cable, amount.unit)) {
        (Some(value), Some((field, slot))) => {
            if slot.replace(value).is_some() {
                line.fault(span.clone(), "this is said twice");
            }
            said.places.push((field, span));
        }
        (Some(count), None) if amount.unit == Unit::Pieces => {
            line.set_count(&mut said.cable.count, count, span, MOST_THINGS);
        }
        _ => line.fault(
            span,
            "this says nothing of a cable; W, A, m, AWG, ohm and g do",
        ),
    }
}

fn slot(cable: &mut Cable, unit: Unit) -> Option<(&'static str, &mut Option<f64>)> {
    Some(match unit {
        Unit::Watts => ("watts", &mut cable.watts),
        Unit::Amps => ("max_a", &mut cable.max_a),
        Unit::Volts => ("max_v", &mut cable.max_v),
        Unit::Metres => ("length_m", &mut cable.length_m),
        Unit::Gauge => ("awg", &mut cable.awg),
        Unit::Ohms => ("ohm", &mut cable.ohm),
        Unit::Grams => ("weight_g", &mut cable.weight_g),
        _ => return None,
    })
}

/// The ends that are named here, one or both: `C-C`, `A to micro`, `USB-C to USB-C`.
fn end_of(line: &mut Line<'_>, second: bool) -> Option<Vec<String>> {
    let word = line.word(0);
    if let Some((from, to)) = pair(word) {
        line.next();
        line.take(&["usb"]);
        return Some(vec![from, to]);
    }
    let two = format!("{} {}", word, line.word(1));
    let (one, words) = match (connector(&two), connector(word)) {
        (Some(found), _) => (found, 2),
        // A letter alone is an end only beside another: `a cable` is one cable.
        (None, Some(found))
            if second || word.len() > 1 || other_end(line, 1).is_some() || word == "c" =>
        {
            (found, 1)
        }
        _ => return None,
    };
    let mark = line.mark();
    line.skip(words);
    if let Some(skip) = other_end(line, 0) {
        line.skip(skip);
        if let Some(mut other) = end_of(line, true) {
            other.insert(0, one);
            return Some(other);
        }
        line.back_to(mark);
        line.skip(words);
    }
    Some(vec![one])
}

/// Whether the line begins with both ends of a cable: `C-C 60 W`, `USB-C to USB-C`.
pub(super) fn names_both_ends(line: &mut Line<'_>) -> bool {
    let mark = line.mark();
    line.leading_count(&mut None, MOST_THINGS);
    let both = end_of(line, false).is_some_and(|ends| ends.len() == 2);
    line.back_to(mark);
    both
}

/// How many tokens join an end to the next: `to`, `-`, `→`, `/`.
fn other_end(line: &Line<'_>, ahead: usize) -> Option<usize> {
    let sign = matches!(line.sign(ahead), Some('-' | '→' | '/' | '>' | '+'));
    let word = matches!(line.word(ahead), "to" | "auf" | "on");
    if sign && line.sign(ahead + 1) == Some('>') {
        return Some(2);
    }
    (sign || word).then_some(1)
}

/// `c-c`, `usb-c-to-usb-c`: one word that names both ends.
fn pair(word: &str) -> Option<(String, String)> {
    if connector(word).is_some() {
        return None;
    }
    let word = word.replace("-to-", "~");
    let marks = word.match_indices(['-', '~']).map(|(at, _)| at);
    marks.into_iter().find_map(|at| {
        let (from, to) = (connector(&word[..at])?, connector(&word[at + 1..])?);
        Some((from, to))
    })
}

/// Sets which ends a cable has; a plug that only chargers take, or only devices, says
/// which end is which.
fn joins(said: &mut Said, line: &mut Line<'_>, whole: &Range<usize>, guesses: &mut Vec<String>) {
    let (mut from, mut to) = match said.ends.as_slice() {
        [] => {
            guesses.push("C to C assumed".to_owned());
            return;
        }
        [one] if one == "usb-c" => ("usb-c".to_owned(), "usb-c".to_owned()),
        [one] if one == "usb-a" => {
            guesses.push("A to C assumed".to_owned());
            ("usb-a".to_owned(), "usb-c".to_owned())
        }
        [one] => {
            guesses.push("from a USB-A port assumed".to_owned());
            ("usb-a".to_owned(), one.clone())
        }
        [from, to] => (from.clone(), to.clone()),
        _ => {
            line.fault(
                whole.clone(),
                "a cable has two ends: `C to C`, `A to C`, `A to micro`",
            );
            return;
        }
    };
    // The flat plug goes into the charger, the small one into the device.
    if to == "usb-a" && from != "usb-a" || from.starts_with("usb-m") && !to.starts_with("usb-m") {
        std::mem::swap(&mut from, &mut to);
    }
    said.cable.from = (from != "usb-c").then_some(from);
    said.cable.to = (to != "usb-c").then_some(to);
}

fn short(connector: Option<&str>) -> &str {
    match connector.unwrap_or("usb-c") {
        "usb-c" => "C",
        "usb-a" => "A",
        "usb-micro-b" => "micro",
        "usb-mini-b" => "mini",
        other => other.trim_start_matches("other:"),
    }
}

/// What a cable is called that nobody named.
pub(super) fn called(cable: &Cable) -> String {
    let mut name = format!(
        "{}-{}",
        short(cable.from.as_deref()),
        short(cable.to.as_deref())
    );
    for (value, unit) in [
        (cable.watts, "W"),
        (cable.max_a, "A"),
        (cable.length_m, "m"),
    ] {
        if let Some(value) = value {
            let _ = write!(name, " {value} {unit}");
        }
    }
    name
}

fn alike(one: &Cable, other: &Cable) -> bool {
    let of = |cable: &Cable| Cable {
        count: None,
        ..cable.clone()
    };
    of(one) == of(other)
}
