//! A stop's line.

use std::ops::Range;

use super::Reading;
use super::amount::{Amount, Unit};
use super::line::{Line, Places};
use super::plugs::plugs;
use crate::diagnostics::Path;
use crate::facts::{Mains, country_name};
use crate::setup::document::Stop;

/// Reads a stop's line: `stop Edinburgh GB 3 nights, 2 outlets`.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    line.take(&["stop", "stops"]);
    let (mut stop, mut places) = (Stop::default(), Places::new());
    let mut name: Option<Range<usize>> = None;
    if let Some((_, span)) = line.quoted_or_before_colon() {
        name = Some(span);
    }
    while line.goes_on() {
        let start = line.span(0).start;
        if stop.country.is_empty()
            && let Some((code, words)) = country(line)
        {
            line.skip(words);
            code.clone_into(&mut stop.country);
            places.push(("country", start..line.end()));
            continue;
        }
        if line.take(&["sockets", "socket"]).is_some() {
            plugs(line, stop.sockets.get_or_insert_default());
            places.push(("sockets", start..line.end()));
            continue;
        }
        if line.is_number() {
            let Some(amount) = line.amount() else {
                continue;
            };
            of_stop(line, &mut stop, &amount, &mut places);
            continue;
        }
        if line.word(0).is_empty() || line.word(0) == "in" {
            line.next();
            continue;
        }
        match &mut name {
            None => name = Some(line.span(0)),
            // The name goes on as long as nothing else stood between.
            Some(span) if line.all[span.end..start].trim().is_empty() => {
                span.end = line.span(0).end;
            }
            Some(_) => {
                line.not_understood(["nights", "outlets", "sockets"]);
                continue;
            }
        }
        line.next();
    }
    if stop.country.is_empty() && line.faults.is_empty() {
        let message = "which country is it in? write its two letters (ISO 3166-1): `stop Edinburgh GB 3 nights`";
        line.fault(whole.clone(), message);
    }
    if !line.faults.is_empty() {
        return;
    }
    stop.name = match name {
        Some(span) => line.all[span].trim_matches('"').to_owned(),
        None => country_name(&stop.country)
            .unwrap_or(&stop.country)
            .to_owned(),
    };
    let trip = into.document.trip.get_or_insert_default();
    let path = Path::default()
        .field("trip")
        .field("stops")
        .index(trip.stops.len());
    trip.stops.push(stop);
    into.places.put_all(&path, whole, places);
}

fn of_stop(line: &mut Line<'_>, stop: &mut Stop, amount: &Amount, places: &mut Places) {
    let span = amount.span.clone();
    let Some(value) = amount.one() else {
        return line.fault(span, "a range says nothing of a stop");
    };
    let whole = || format!("{value}").parse::<u32>().ok();
    let field = match amount.unit {
        Unit::Nights if whole().is_some() => {
            stop.nights = whole();
            "nights"
        }
        Unit::Outlets if whole().is_some() => {
            stop.outlets = whole();
            "outlets"
        }
        Unit::Hours => {
            stop.session_h = Some(value);
            "session_h"
        }
        Unit::Volts => {
            stop.voltages_v.get_or_insert_default().push(value);
            "voltages_v"
        }
        Unit::Hertz => {
            stop.frequencies_hz.get_or_insert_default().push(value);
            "frequencies_hz"
        }
        Unit::Nights | Unit::Outlets => {
            return line.fault(span, format!("this is a whole number, not {value}"));
        }
        _ => {
            return line.fault(
                span,
                "this says nothing of a stop; nights, outlets, h, V and Hz do",
            );
        }
    };
    places.push((field, span));
}

/// What people write for a country, beside its name (common practice).
const ALIASES: [(&str, &str); 12] = [
    ("uk", "GB"),
    ("england", "GB"),
    ("scotland", "GB"),
    ("wales", "GB"),
    ("great britain", "GB"),
    ("usa", "US"),
    ("america", "US"),
    ("holland", "NL"),
    ("czechia", "CZ"),
    ("czech republic", "CZ"),
    ("korea", "KR"),
    ("turkey", "TR"),
];

/// The country that is named here, by its two letters or by its name, and in how many words.
fn country(line: &Line<'_>) -> Option<(&'static str, usize)> {
    let two = line.text(0);
    if two.len() == 2
        && two.bytes().all(|byte| byte.is_ascii_uppercase())
        && let Some(mains) = Mains::of(two)
    {
        return Some((mains.code, 1));
    }
    for words in (1..=4).rev() {
        let text: Vec<&str> = (0..words).map(|ahead| line.word(ahead)).collect();
        let text = text.join(" ");
        if let Some((_, code)) = ALIASES.iter().find(|(name, _)| *name == text) {
            return Some((code, words));
        }
        let same = |mains: &&Mains| mains.name.to_lowercase() == text;
        let found = Mains::all().iter().find(same);
        if let Some(mains) = found {
            return Some((mains.code, words));
        }
    }
    None
}
