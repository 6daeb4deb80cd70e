//! A charger's line: its name, and the rest of it as a label is printed.

use std::ops::Range;

use super::amount::Unit;
use super::line::{Line, MOST_THINGS, Places};
use super::price::{price, worth};
use super::text::{Piece, tokens};
use super::{Reading, plugs};
use crate::setup::document::{Charger, Port};
use crate::setup::fill;
use crate::usb::label;

const ONE_EACH: &str = "each charger has a line of its own, and a name";

/// Reads a charger's line: `charger cube: C1 45 W; C2 20 W; C1+C2 30 W + 15 W`.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    let mut charger = Charger::default();
    let mut places = Vec::new();
    let mut counted = line.span(0);
    line.leading_count(&mut charger.count, MOST_THINGS);
    if charger.count.is_some() {
        counted.end = line.end();
    }
    if line.is_number() && !line.begins_amount() {
        line.fault_here(ONE_EACH);
        return;
    }
    name(line, &mut charger, &mut places);
    let rest = line.span(0).start..whole.end;
    // What is no label is blanked out, so that what is keeps its place.
    let mut printed = line.all[rest.clone()].to_owned();
    if let Some(colon) = total_before_colon(&printed) {
        printed.replace_range(colon..=colon, ";");
    }
    for (field, span) in extras(line, &mut charger) {
        if field == "count" {
            counted = span.clone();
        }
        blank(&mut printed, span.start - rest.start..span.end - rest.start);
        places.push((field, span));
    }
    let mut guesses = Vec::new();
    let blank_label = printed
        .chars()
        .all(|c| c.is_whitespace() || matches!(c, ',' | ';' | '|' | ':'));
    if blank_label {
        line.fault(
            whole.clone(),
            "which ports has it? `charger: C1 65 W; C2 30 W; A1 12 W; total 100 W`",
        );
    } else if let Some(watts) = watts_alone(&printed) {
        charger.ports.push(Port::pd("C1", watts));
        guesses.push(format!("one USB-C port of {watts} W assumed"));
    } else {
        match label::whole(std::slice::from_ref(&printed)) {
            Ok(read) => fill(&mut charger, &read),
            Err(faults) => {
                for fault in faults {
                    line.fault(
                        rest.start + fault.span.start..rest.start + fault.span.end,
                        fault.message,
                    );
                }
            }
        }
    }
    if into.for_sale {
        worth(line, whole, charger.weight_g, charger.price);
    } else if charger.count.take().is_some_and(|count| count > 1) {
        line.fault(counted, ONE_EACH);
    }
    if !line.faults.is_empty() {
        return;
    }
    let list = into.list("chargers");
    let unnamed = if into.for_sale {
        "new charger"
    } else {
        "charger"
    };
    let chargers = match into.shop() {
        Some(shop) => &mut shop.chargers,
        None => &mut into.document.chargers,
    };
    let path = list.index(chargers.len());
    if charger.name.is_empty() {
        charger.name = match chargers.len() {
            0 => unnamed.to_owned(),
            more => format!("{unnamed} {}", more + 1),
        };
    }
    let of = charger.name.clone();
    chargers.push(charger);
    into.places.put_all(&path, whole, places);
    into.guess(&path, &of, guesses);
}

/// The name: before a colon that stands before anything of a label, or the words about the
/// word `charger`.
fn name(
    line: &mut Line<'_>,
    charger: &mut Charger,
    places: &mut Vec<(&'static str, Range<usize>)>,
) {
    let mark = line.mark();
    line.take(&["charger", "chargers"]);
    if let Some((name, span)) = line.quoted_or_before_colon()
        && !is_of_label(&name)
    {
        // `charger 80 W: C1 65 W`: what stands there is the total.
        if watts_alone(&name).is_some() {
            line.back_to(mark);
            line.take(&["charger", "chargers"]);
            return;
        }
        charger.name = name;
        places.push(("name", span));
        return;
    }
    line.back_to(mark);
    let mut words: Vec<Range<usize>> = Vec::new();
    while !line.word(0).is_empty() && !is_of_label(line.text(0)) {
        if !matches!(
            line.word(0),
            "charger" | "chargers" | "with" | "has" | "a" | "an"
        ) {
            words.push(line.span(0));
        }
        line.next();
    }
    if let (Some(first), Some(last)) = (words.first(), words.last()) {
        let names: Vec<&str> = words.iter().map(|span| &line.all[span.clone()]).collect();
        charger.name = names.join(" ");
        places.push(("name", first.start..last.end));
    }
}

/// Whether a text begins as the words of a label do: a port, `output`, `total`.
fn is_of_label(text: &str) -> bool {
    let text = text
        .trim_start_matches(|c: char| !c.is_alphanumeric())
        .to_lowercase();
    let first = text
        .split(|c: char| !c.is_alphanumeric() && c != '-')
        .next()
        .unwrap_or_default();
    let port = |name: &str| {
        let rest = name.trim_start_matches("usb-").trim_start_matches("type-");
        let mut chars = rest.chars();
        matches!(chars.next(), Some('c' | 'a'))
            && chars.all(|c| c.is_ascii_digit() || c == '-' || c == 'c' || c == 'a')
    };
    matches!(
        first,
        "output" | "outputs" | "total" | "input" | "usb" | "type" | "max" | "ports" | "port"
    ) || port(first)
}

/// Weight, price, count, plug and the mains side, wherever they stand.
fn extras(line: &mut Line<'_>, charger: &mut Charger) -> Places {
    let mut found = Vec::new();
    while !line.is_done() {
        let start = line.span(0).start;
        if let Some((field, span)) = plugs::mains_label(line) {
            let text = line.all[span.clone()].to_owned();
            if field == "input_v" {
                charger.input_v = Some(text);
            } else {
                charger.input_hz = Some(text);
            }
            found.push((field, start..line.end()));
            continue;
        }
        // `65 W charger`: the word stands behind.
        if matches!(line.word(0), "charger" | "chargers") {
            line.next();
            found.push(("name", start..line.end()));
            continue;
        }
        if price(line, &mut charger.price, &mut found) || count(line, charger, &mut found) {
            continue;
        }
        if let Some(plug) = plug(line) {
            charger.plug = Some(plug);
            found.push(("plug", start..line.end()));
            continue;
        }
        if line.begins_amount() && line.has_unit(1, Unit::Grams) {
            let Some(amount) = line.amount() else {
                continue;
            };
            charger.weight_g = Some(amount.low);
            found.push(("weight_g", amount.span));
            continue;
        }
        line.next();
    }
    found
}

/// How many of them there are, in a part of its own: `C1 2x 30 W` says it of ports.
fn count(line: &mut Line<'_>, charger: &mut Charger, found: &mut Places) -> bool {
    let (start, mark) = (line.span(0).start, line.mark());
    let before = line.all[..start].trim_end();
    let begins = before.ends_with([',', ';', '|', ':'])
        || found
            .last()
            .is_some_and(|(_, span)| span.end == before.len());
    let pieces = matches!(line.piece(0), Some(Piece::Number(_))) && line.has_unit(1, Unit::Pieces);
    if !begins || !(line.counted_at(0) || pieces) {
        return false;
    }
    let Some(amount) = line.amount().filter(|_| line.part_ends()) else {
        line.back_to(mark);
        return false;
    };
    let span = amount.span;
    line.set_count(&mut charger.count, amount.low, span.clone(), MOST_THINGS);
    found.push(("count", span));
    true
}

/// The plug that is named here, with the word before it or behind it: `plug EF`, `plug:
/// type F`, `British plug`.
fn plug(line: &mut Line<'_>) -> Option<String> {
    let mark = line.mark();
    let before = line.take(&["plug type", "plug"]).is_some();
    if before && line.sign(0) == Some(':') {
        line.next();
    }
    line.take(&["type"]);
    if let Some((plug, words)) = plugs::plug_ahead(line, 0) {
        // The word may be part of the name that was found.
        let behind = line.word(words - 1) == "plug";
        line.skip(words);
        if before || behind || line.take(&["plug"]).is_some() {
            return Some(plug);
        }
    } else if before {
        let mut found = Vec::new();
        plugs::plugs(line, &mut found);
        return Some(String::new());
    }
    line.back_to(mark);
    None
}

/// Puts blanks in the place of a part, byte by byte.
fn blank(text: &mut String, part: Range<usize>) {
    let blanks = " ".repeat(part.len());
    text.replace_range(part, &blanks);
}

/// Where the colon stands behind watts that are those of all ports: `80 W: C1 65 W`.
fn total_before_colon(label: &str) -> Option<usize> {
    let colon = label.find(':')?;
    watts_alone(&label[..colon]).map(|_| colon)
}

/// Whether a line below a charger's is more of its label: it begins with a port that has a
/// number, or with what is said of all of them.
pub(super) fn goes_on(line: &str) -> bool {
    let line = line
        .trim_start_matches(|c: char| !c.is_alphanumeric())
        .to_lowercase();
    let first = line
        .split([' ', ':', '+', '/', ',', '&', '('])
        .next()
        .unwrap_or_default();
    let colon = line[first.len()..].trim_start().starts_with(':');
    is_port(first)
        || matches!(first, "output" | "outputs" | "total" | "input")
        || colon && matches!(first, "usb-c" | "usb-a")
}

/// Whether a word names a port by its number: `C1`, `USB-A2`, `C3-C5`.
pub(super) fn is_port(word: &str) -> bool {
    let word = word.to_lowercase();
    let rest = word.trim_start_matches("usb-").trim_start_matches("type-");
    let number = rest.strip_prefix(['c', 'a']).unwrap_or_default();
    number.starts_with(|c: char| c.is_ascii_digit())
        && number
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '-' | 'c' | 'a'))
}

/// The watts of a label that says nothing else, as `65 W max` does.
fn watts_alone(label: &str) -> Option<f64> {
    let tokens = tokens(label, 0);
    let mut line = Line::new(label, &tokens);
    line.separators();
    let amount = line.amount().filter(|amount| amount.unit == Unit::Watts)?;
    line.take(&["max", "maximum", "total"]);
    line.separators();
    amount.one().filter(|_| line.is_done())
}
