//! A device's line.

mod amounts;
mod filled;

use std::ops::Range;

use super::amount::Unit;
use super::line::{Line, MOST_DEVICES};
use super::text::Piece;
use super::{Reading, connector};
use crate::facts::Kind;
use crate::limits::EVERY_NIGHTS;
use crate::setup::document::{Device, Label, Span};
use amounts::amount_of;
pub(super) use filled::kind_in;
use filled::{finish, kind_of};

/// Words that begin what is said of a device, and so end its name.
const QUALIFIERS: &[&str] = &[
    "at", "by", "until", "till", "to", "from", "within", "in", "after", "before", "every", "least",
    "most", "min", "minimum", "max", "maximum", "up", "needs", "need", "uses", "runs", "takes",
    "charges", "priority", "on", "about", "with", "and", "battery", "ready", "full", "empty",
    "half", "low", "start", "starts", "away", "reach", "left", "charged", "must", "optional", "if",
    "for", "draws", "running", "inlet", "input", "missing", "gone", "plug",
];

/// What a power is of which nothing else is said.
const MOST: &[&str] = &["up to", "at most", "maximum", "max", "most"];
const LEAST: &[&str] = &[
    "at least",
    "needs at least",
    "minimum",
    "min",
    "least",
    "needs",
    "need",
    "from",
];
const OWN: &[&str] = &["uses", "running", "runs on", "runs at", "draws"];
const LACKS: &[&str] = &["lacks", "missing", "needs another"];
const UNTIL: &[&str] = &[
    "limit",
    "only to",
    "only",
    "up to",
    "to",
    "until",
    "till",
    "target",
    "full at",
    "charge to",
    "charged to",
];
const BY: &[&str] = &[
    "ready by",
    "full by",
    "charged by",
    "needed by",
    "by",
    "ready at",
    "full at",
    "needed at",
    "before",
    "until",
    "till",
    "at",
    "for",
];
const WITHIN: &[&str] = &[
    "ready within",
    "full within",
    "ready in",
    "full in",
    "within",
    "in",
];
/// Words that no name has: whatever follows them is said of the thing.
const ENDS_NAME: &[&str] = &[
    "and",
    "or",
    "in",
    "into",
    "on",
    "at",
    "by",
    "within",
    "until",
    "till",
    "with",
    "without",
    "if",
    "every",
    "once",
    "weekly",
    "nightly",
    "fortnightly",
    "not",
    "nearly",
    "almost",
    "half",
    "lacks",
    "needs",
    "limit",
    "only",
    "after",
    "before",
    "priority",
];
/// What may stand before an amount and changes nothing.
const PLAIN: &[&str] = &[
    "charges at",
    "charges with",
    "takes",
    "charging",
    "battery",
    "input",
    "power",
    "pd",
    "usb pd",
    "usb-c pd",
    "from",
    "at",
    "starts at",
    "start at",
    "start",
    "starts",
    "for",
];

/// Two of a thing.
const PAIR: [&str; 4] = ["a pair of", "pair of", "a couple of", "couple of"];

/// What a line says of a device so far.
#[derive(Default)]
struct Said {
    name: Option<(String, Range<usize>)>,
    kind: Option<&'static Kind>,
    device: Device,
    places: Vec<(&'static str, Range<usize>, bool)>,
    no_wh_but_v: Option<f64>,
    by: Option<(u32, Range<usize>)>,
}

/// Reads a device's line.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    let mut said = Said::default();
    if line.take(&PAIR).is_some() {
        said.device.count = Some(2);
    } else {
        line.leading_count(&mut said.device.count, MOST_DEVICES);
    }
    name(line, &mut said);
    while line.goes_on() {
        item(line, &mut said);
    }
    finish(line, said, whole, into);
}

/// The name, if it comes next: up to a colon, or the words before the first number.
fn name(line: &mut Line<'_>, said: &mut Said) {
    if said.name.is_some() {
        return;
    }
    if let Some((name, span)) = line.quoted_or_before_colon() {
        said.name = Some((name, span));
        return;
    }
    let mut words = 0;
    while let Some(Piece::Word(word)) = line.piece(words) {
        let word = word.as_str();
        let ends =
            ENDS_NAME.contains(&word) || QUALIFIERS.contains(&word) && qualifies(line, words);
        let ends = words > 0 && ends;
        if ends || connector_at(line, words).is_some() || line.counted_at(words) {
            break;
        }
        words += 1;
    }
    // `laptop first`: what is said last of a name says which matters.
    while words > 1
        && matches!(
            line.word(words - 1),
            "first" | "last" | "optional" | "important"
        )
    {
        words -= 1;
    }
    if words == 0 {
        return;
    }
    let span = line.span(0).start..line.span(words - 1).end;
    said.name = Some((line.all[span.clone()].to_owned(), span));
    line.skip(words);
}

/// Whether a word that can begin something else does, and is no part of a name as in
/// `half fiddle`: what follows it is a number, another such word, or nothing.
fn qualifies(line: &Line<'_>, at: usize) -> bool {
    match line.piece(at + 1) {
        Some(Piece::Word(next)) => {
            QUALIFIERS.contains(&next.as_str()) || line.word(at) == "on" || line.word(at) == "by"
        }
        _ => true,
    }
}

/// The connector that is named `ahead`, and in how many words.
fn connector_at(line: &Line<'_>, ahead: usize) -> Option<(String, usize)> {
    let two = format!("{} {}", line.word(ahead), line.word(ahead + 1));
    if let Some(found) = connector(&two) {
        return Some((found, 2));
    }
    // A letter alone could be anything.
    let one = line.word(ahead);
    // So could `mini` and `micro`, as in `tablet mini`.
    let whole = one.len() > 1 && !matches!(one, "mini" | "micro");
    whole
        .then(|| connector(one))
        .flatten()
        .map(|found| (found, 1))
}

/// One thing that is said of the device.
fn item(line: &mut Line<'_>, said: &mut Said) {
    let start = line.span(0).start;
    if let Some((found, words)) = connector_at(line, 0) {
        line.skip(words);
        line.take(&["inlet", "input", "port", "socket", "plug"]);
        said.places.push(("inlet", start..line.end(), false));
        if said.device.inlet.replace(found).is_some() {
            line.fault(start..line.end(), "its plug is said twice");
        }
        return;
    }
    if line.sign(0) == Some('(') {
        line.next();
        if bracketed_kind(line, said) {
            return;
        }
    }
    if label_ahead(line) {
        return label(line, said);
    }
    if keyword(line, said) {
        return;
    }
    let mark = line.mark();
    for (phrases, role) in [
        (WITHIN, Role::Within),
        (LACKS, Role::Lacks),
        (LEAST, Role::Least),
        (MOST, Role::Most),
        (OWN, Role::Own),
        (UNTIL, Role::Until),
        (BY, Role::By),
        (PLAIN, Role::Plain),
    ] {
        if line.take(phrases).is_some() {
            if role != Role::Within
                && let Some(minutes) = line.time_of_day()
            {
                return time(line, said, minutes, role, start);
            }
            let bare = line.is_number() && line.unit(1).is_none();
            if role == Role::By
                && bare
                && matches!(line.piece(0), Some(Piece::Number(_)))
                && !line.word(1).starts_with('h')
            {
                line.fault(
                    start..line.span(0).end,
                    "a time of day is written 7:00 or 7 am",
                );
                return line.next();
            }
            if line.is_number() {
                return number(line, said, role, start);
            }
            line.back_to(mark);
        }
    }
    if let Some(minutes) = line.time_of_day() {
        return time(line, said, minutes, Role::Plain, start);
    }
    if line.is_number() {
        return number(line, said, Role::Plain, start);
    }
    if said.name.is_none() {
        name(line, said);
        if said.name.is_some() {
            return;
        }
    }
    if kind_of(line.word(0)).is_some() {
        let message = "one thing on a line: this one needs a line of its own, or brackets where it says what kind of thing it is";
        line.fault_here(message);
        return line.next();
    }
    line.not_understood(QUALIFIERS.iter().copied().chain(Kind::names()));
}

/// The number that stands here, with what the words before it make of it.
fn number(line: &mut Line<'_>, said: &mut Said, role: Role, start: usize) {
    if let Some(amount) = line.amount() {
        amount_of(line, said, &amount, role, start);
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Role {
    Plain,
    Least,
    Most,
    Own,
    Until,
    By,
    Within,
    Lacks,
}

/// `(tablet)`: what stands in brackets is a kind outright.
fn bracketed_kind(line: &mut Line<'_>, said: &mut Said) -> bool {
    let three = [3, 2, 1].into_iter().find_map(|words| {
        let text: Vec<&str> = (0..words).map(|ahead| line.word(ahead)).collect();
        kind_of(&text.join(" ")).map(|kind| (kind, words))
    });
    let Some((kind, words)) = three else {
        return false;
    };
    line.skip(words);
    said.kind = Some(kind);
    true
}

/// Words that need no amount.
fn keyword(line: &mut Line<'_>, said: &mut Said) -> bool {
    let start = line.span(0).start;
    if line.word(0) == "priority" {
        let Some(&Piece::Number(priority)) = line.piece(1) else {
            line.fault_here("a priority is 1 (must be charged), 2 or 3 (if there is room)");
            line.next();
            return true;
        };
        line.skip(2);
        return set_priority(line, said, priority, start);
    }
    if line
        .take(&[
            "must be charged",
            "must be full",
            "must",
            "first",
            "important",
        ])
        .is_some()
    {
        return set_priority(line, said, 1.0, start);
    }
    if line
        .take(&["if there is room", "optional", "last", "low priority"])
        .is_some()
    {
        return set_priority(line, said, 3.0, start);
    }
    if line.word(0) == "on"
        && matches!(line.piece(1), Some(Piece::Word(_) | Piece::Quoted(_)))
        && line.word(1).chars().any(|c| c.is_ascii_digit())
    {
        let port = line.text(1).trim_matches('"').to_owned();
        line.skip(2);
        said.places.push(("port", start..line.end(), false));
        said.device.port = Some(port);
        return true;
    }
    for (words, pct) in [
        ("half full", 50.0),
        ("half empty", 50.0),
        ("half", 50.0),
        ("empty", 0.0),
        ("flat", 0.0),
        ("full", 100.0),
    ] {
        let mark = line.mark();
        if line.take(&[words]).is_some() {
            if line.part_ends() || line.sign(0) == Some(')') {
                set_start(line, said, Span::Of(pct), start);
                return true;
            }
            line.back_to(mark);
        }
    }
    every(line, said)
}

/// How often it is charged, in words, and in one of how many nights that is.
const EVERY: [(&str, u32); 18] = [
    ("every night", 1),
    ("every day", 1),
    ("nightly", 1),
    ("every other night", 2),
    ("every other day", 2),
    ("every second night", 2),
    ("every second day", 2),
    ("every third night", 3),
    ("every third day", 3),
    ("every fourth night", 4),
    ("every fifth night", 5),
    ("every sixth night", 6),
    ("every seventh night", 7),
    ("once a week", 7),
    ("every week", 7),
    ("weekly", 7),
    ("once a fortnight", 14),
    ("fortnightly", 14),
];

/// `every 3 nights`, `every other night`, `once a week`.
fn every(line: &mut Line<'_>, said: &mut Said) -> bool {
    let (start, mark) = (line.span(0).start, line.mark());
    let nights = if let Some(phrase) = line.take(&EVERY.map(|(phrase, _)| phrase)) {
        let found = EVERY.iter().find(|(known, _)| *known == phrase);
        found.map(|(_, nights)| f64::from(*nights))
    } else if line.take(&["once every", "every"]).is_some() {
        let days = matches!(line.piece(0), Some(Piece::Number(_)))
            && matches!(line.word(1), "day" | "days");
        if let (Some(&Piece::Number(number)), true) = (line.piece(0), days) {
            line.skip(2);
            Some(number)
        } else {
            let amount = line.amount();
            amount
                .filter(|amount| amount.unit == Unit::Nights)
                .and_then(|amount| amount.one())
        }
    } else {
        return false;
    };
    let span = start..line.end();
    match nights {
        Some(nights) => set_every(line, said, nights, span),
        None if line.faults.is_empty() => {
            line.fault(span, "how often is said in nights: `every 3 nights`");
        }
        None => {}
    }
    line.mark() > mark
}

fn set_every(line: &mut Line<'_>, said: &mut Said, nights: f64, span: Range<usize>) {
    let whole = format!("{nights}").parse::<u32>().ok();
    let Some(nights) = whole.filter(|_| EVERY_NIGHTS.holds(nights)) else {
        let message = format!(
            "how often it is charged is a whole number of nights from 1 to 14, not {nights}"
        );
        return line.fault(span, message);
    };
    if said.device.every_nights.replace(nights).is_some() {
        line.fault(span.clone(), "how often it is charged is said twice");
    }
    said.places.push(("every_nights", span, false));
}

fn set_priority(line: &mut Line<'_>, said: &mut Said, priority: f64, start: usize) -> bool {
    let span = start..line.end();
    match priority {
        1.0 => said.device.priority = Some(1),
        2.0 => said.device.priority = Some(2),
        3.0 => said.device.priority = Some(3),
        _ => line.fault(
            span.clone(),
            format!("a priority is 1, 2 or 3, not {priority}"),
        ),
    }
    said.places.push(("priority", span, false));
    true
}

fn set_start(line: &mut Line<'_>, said: &mut Said, start_pct: Span, start: usize) {
    let span = start..line.end();
    if said.device.start_pct.replace(start_pct).is_some() {
        line.fault(span.clone(), "how full it is, is said twice");
    }
    said.places.push(("start_pct", span, false));
}

/// A time of day.
fn time(line: &mut Line<'_>, said: &mut Said, minutes: u32, role: Role, start: usize) {
    let span = start..line.end();
    match role {
        Role::By | Role::Until => {
            if said.by.replace((minutes, span.clone())).is_some() {
                line.fault(span, "when it must be ready is said twice");
            }
        }
        _ => line.fault(
            span,
            "what is at this time? `by 9:00` says when it must be ready",
        ),
    }
}

/// Whether printed volts and amps begin here: `5V⎓3A`, `9 V 2 A`, `PPS 3.3-11V 2A`.
fn label_ahead(line: &Line<'_>) -> bool {
    let mut at = 0;
    while matches!(
        line.word(at),
        "accepts" | "input" | "inputs" | "pps" | "avs" | "dc"
    ) || line.sign(at) == Some(':')
    {
        at += 1;
    }
    let mut volts = false;
    for ahead in at..at + 12 {
        match line.piece(ahead) {
            Some(Piece::Number(volts_here))
                if line.has_unit(ahead + 1, Unit::Volts) && *volts_here < 90.0 =>
            {
                volts = true;
            }
            Some(Piece::Number(_)) if volts && line.has_unit(ahead + 1, Unit::Amps) => return true,
            Some(Piece::Number(_))
                if ahead == at
                    || matches!(
                        line.sign(ahead.saturating_sub(1)),
                        Some('-' | '=' | '×' | '/')
                    )
                    || volts => {}
            Some(Piece::Word(word)) if is_label_word(word) && ahead > at => {}
            Some(Piece::Sign('=' | '-' | '/' | '×' | '@' | '~')) if ahead > at => {}
            _ => return false,
        }
    }
    false
}

fn is_label_word(word: &str) -> bool {
    matches!(
        word,
        "v" | "a"
            | "ma"
            | "vdc"
            | "dc"
            | "pps"
            | "avs"
            | "x"
            | "volts"
            | "volt"
            | "amps"
            | "amp"
            | "pd"
            | "epr"
            | "max"
            | "w"
            | "or"
    )
}

/// The label text from here, as far as it goes.
fn label(line: &mut Line<'_>, said: &mut Said) {
    line.take(&["accepts", "inputs", "input"]);
    if line.sign(0) == Some(':') {
        line.next();
    }
    let start = line.span(0).start;
    let mut end = start;
    loop {
        let inside = match line.piece(0) {
            Some(Piece::Number(_)) => {
                line.word(1).is_empty()
                    || is_label_word(line.word(1))
                    || line.has_unit(1, Unit::Pieces)
            }
            Some(Piece::Word(word)) => is_label_word(word),
            Some(Piece::Sign(',' | '|')) => {
                let mark = line.mark();
                line.next();
                let more = label_ahead(line);
                line.back_to(mark);
                more
            }
            Some(Piece::Sign('=' | '-' | '/' | '×' | '@' | '~' | '(' | ')')) => true,
            _ => false,
        };
        if !inside {
            break;
        }
        end = line.span(0).end;
        line.next();
    }
    let text = line.all[start..end].to_owned();
    said.places.push(("accepts", start..end, true));
    match &mut said.device.accepts {
        Some(_) => line.fault(start..end, "volts and amps are said in two places: write them one after another, with commas between"),
        none => *none = Some(Label(vec![text])),
    }
}
