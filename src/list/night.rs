//! Lines about the whole night: when it begins and ends, its sessions, how many travel.

use std::ops::Range;

use super::Reading;
use super::amount::{NO_UNIT, Unit};
use super::line::Line;
use super::text::{Piece, tokens};
use crate::diagnostics::Path;
use crate::setup::clock::{MINUTES_OF_A_DAY, TimeOfDay};
use crate::setup::document::{Aim, Session};

/// When charging is taken to begin where a time of day is said and nobody says when.
const EVENING: u32 = 22 * 60;

/// What is said of the night so far.
#[derive(Debug, Default)]
pub(super) struct Night {
    start: Option<u32>,
    end: Option<u32>,
    travellers: Option<u32>,
}

/// A time as people say it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Spoken {
    /// A time of day.
    OfDay(TimeOfDay),
    /// So many hours.
    Hours(f64),
}

/// The time of day or the length of time that all of `text` is, as a list has them: `6:00`,
/// `6 am`, `3 h 30 min`.
pub(crate) fn spoken(text: &str) -> Option<Spoken> {
    let tokens = tokens(text, 0);
    let mut line = Line::new(text, &tokens);
    let spoken = if let Some(minutes) = line.time_of_day() {
        Spoken::OfDay(TimeOfDay::since_midnight(minutes))
    } else {
        let amount = line.amount().filter(|of| of.unit == Unit::Hours)?;
        Spoken::Hours(amount.one()?)
    };
    (line.is_done() && line.faults.is_empty()).then_some(spoken)
}

/// Hours from one time of day to the next one after it.
fn hours(from: u32, to: u32) -> f64 {
    let minutes = (to + MINUTES_OF_A_DAY - from) % MINUTES_OF_A_DAY;
    let minutes = if minutes == 0 {
        MINUTES_OF_A_DAY
    } else {
        minutes
    };
    f64::from(minutes) / 60.0
}

/// Reads a line about the night.
pub(super) fn read(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    let top = Path::default();
    match line.word(0) {
        "session" => return session(line, whole, into),
        "name" => {
            line.next();
            if line.sign(0) == Some(':') {
                line.next();
            }
            let span = line.span(0).start..whole.end;
            into.document.name = Some(line.all[span.clone()].trim_matches('"').to_owned());
            into.places.put(top.field("name"), span, false);
            while !line.is_done() {
                line.next();
            }
            return;
        }
        "aim" => {
            line.next();
            line.separators();
            into.document.aim = match line.word(0) {
                "best" => Some(Aim::Best),
                "promise" => Some(Aim::Promise),
                _ => {
                    line.not_understood(["best", "promise"]);
                    return;
                }
            };
            into.places.put(top.field("aim"), whole.clone(), false);
            line.next();
        }
        _ => times(line, whole, into),
    }
    if line.all[whole.clone()]
        .trim_end_matches([':', ' '])
        .eq_ignore_ascii_case("nights")
    {
        line.fault(whole.clone(), "how many nights are there? `nights 6`");
    }
    let (start, ends) = (
        into.night.start,
        into.night.end.is_some() || into.document.session_h.is_some(),
    );
    if line.all[whole.clone()].starts_with("night")
        && !ends
        && start.is_some_and(|start| start < 12 * 60)
    {
        let message =
            "is that when the night begins, or how long it is? `start 7:00`, or `night 7.5 h`";
        line.fault(whole.clone(), message);
    }
    line.separators();
    if !line.is_done() && line.faults.is_empty() {
        line.not_understood(["to", "until", "from", "hours"]);
    }
}

/// `night 22:30 to 7:00`, `night 8 h`, `start 22:30`, `travellers 4`.
fn times(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    let top = Path::default();
    while !line.is_done() {
        line.separators();
        let until = line
            .take(&["until", "to", "till", "ends at", "ends"])
            .is_some()
            || line.sign(0) == Some('-') && {
                line.next();
                true
            };
        if line
            .take(&[
                "night",
                "start",
                "starts",
                "begin",
                "from",
                "at",
                "travellers",
                "travelers",
                "nights",
            ])
            .is_some()
        {
            if line.sign(0) == Some(':') {
                line.next();
            }
            continue;
        }
        let start = line.span(0).start;
        if let Some(minutes) = line.time_of_day() {
            let slot = if until {
                &mut into.night.end
            } else {
                &mut into.night.start
            };
            if slot.replace(minutes).is_some() {
                line.fault(
                    start..line.end(),
                    "two times for the same: `night 22:30 to 7:00`",
                );
            }
            into.places.put(top.field("start"), whole.clone(), false);
            continue;
        }
        if let (Some(&Piece::Number(people)), false) = (line.piece(0), line.begins_amount()) {
            line.next();
            if line.word(0).is_empty() && people.fract() == 0.0 && starts(line, whole, "travel") {
                into.night.travellers = format!("{people}").parse().ok();
                continue;
            }
            if line.is_done() && starts(line, whole, "nights") {
                nights(line, people, start..line.end(), into);
                continue;
            }
            line.fault(start..line.end(), NO_UNIT);
            continue;
        }
        match line.amount() {
            Some(amount) if amount.unit == Unit::Hours && amount.high.is_none() => {
                into.document.session_h = Some(amount.low);
                into.places.put(top.field("session_h"), amount.span, false);
            }
            Some(amount) if amount.unit == Unit::People && amount.low.fract() == 0.0 => {
                into.night.travellers = format!("{}", amount.low).parse().ok();
            }
            Some(amount) if amount.unit == Unit::Nights && amount.high.is_none() => {
                nights(line, amount.low, amount.span, into);
            }
            Some(amount) => line.fault(
                amount.span,
                "this says nothing of a night; a time of day and h do",
            ),
            None if line.faults.is_empty() && !line.is_done() => return,
            None => line.next(),
        }
    }
}

fn starts(line: &Line<'_>, whole: &Range<usize>, word: &str) -> bool {
    line.all[whole.clone()].to_lowercase().starts_with(word)
}

/// `nights 6`, `6 nights`: as many as the calendar has.
fn nights(line: &mut Line<'_>, count: f64, span: Range<usize>, into: &mut Reading) {
    let Ok(count) = format!("{count}").parse::<u32>() else {
        return line.fault(span, format!("this is a whole number, not {count}"));
    };
    if into.document.nights.replace(count).is_some() {
        line.fault(span.clone(), "how many nights is said twice");
    }
    into.places
        .put(Path::default().field("nights"), span, false);
}

/// `session evening 3.5 h`, `session night 8 h, no swap`.
fn session(line: &mut Line<'_>, whole: &Range<usize>, into: &mut Reading) {
    line.next();
    let mut session = Session::default();
    let mut hours = None;
    if let Some((name, _)) = line.quoted_or_before_colon() {
        session.name = name;
    } else {
        let start = line.span(0).start;
        let mut end = start;
        while !line.word(0).is_empty() {
            end = line.span(0).end;
            line.next();
        }
        line.all[start..end].clone_into(&mut session.name);
    }
    while line.goes_on() {
        if line
            .take(&["no swap", "no swaps", "nobody swaps", "asleep"])
            .is_some()
        {
            session.swap = Some(false);
        } else if line.begins_amount() {
            match line.amount() {
                Some(amount) if amount.unit == Unit::Hours && amount.high.is_none() => {
                    hours = Some(amount.low);
                }
                Some(amount) => line.fault(amount.span, "a session lasts so many hours"),
                None => {}
            }
        } else {
            line.not_understood(["no", "swap"]);
        }
    }
    if session.name.is_empty() || hours.is_none() {
        line.fault(
            whole.clone(),
            "a session has a name and its hours: `session evening 3.5 h`",
        );
    }
    if !line.faults.is_empty() {
        return;
    }
    session.hours = hours.unwrap_or_default();
    let path = Path::default()
        .field("sessions")
        .index(into.document.sessions.len());
    into.places.put(path, whole.clone(), false);
    into.document.sessions.push(session);
}

/// Turns times of day to hours, once all lines are read.
pub(super) fn settle(into: &mut Reading) {
    let Night {
        start,
        end,
        travellers,
    } = into.night;
    if let Some(people) = travellers {
        into.document.trip.get_or_insert_default().travellers = Some(people);
    }
    let start = start.or_else(|| {
        (end.is_some() || !into.ready_by.is_empty()).then(|| {
            let text = format!(
                "charging begins at {} assumed",
                TimeOfDay::since_midnight(EVENING)
            );
            into.guess(&Path::default().field("start"), "the night", [text]);
            EVENING
        })
    });
    let Some(start) = start else {
        return;
    };
    into.document.start = Some(TimeOfDay::since_midnight(start).to_string());
    if let Some(end) = end {
        into.document.session_h = Some(hours(start, end));
    }
    for (device, minutes) in std::mem::take(&mut into.ready_by) {
        let hours = hours(start, minutes);
        let named = &mut into.document.devices[device];
        named.ready_by_h = Some(hours);
        // Longer than any night: the time was before the start.
        if hours > 16.0 {
            let (time, start) = (
                TimeOfDay::since_midnight(minutes),
                TimeOfDay::since_midnight(start),
            );
            let text = format!("{time} is before {start}: that of the next day");
            let (path, name) = (
                Path::default().field("devices").index(device),
                named.name.clone(),
            );
            into.guess(&path, &name, [text]);
        }
    }
}
