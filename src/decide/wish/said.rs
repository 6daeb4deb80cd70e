//! A wish as people say it, and the devices that it is about.

use std::ops::Range;

use super::Wish;
use crate::diagnostics::{Error, Fault, Result, near, shown};
use crate::limits::READY_BY_H;
use crate::list::{Spoken, spoken};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::units::rounded;

/// What a fault of a wish is found at.
const WISH: &str = "wish";

/// The forms of a wish, as a fault says them.
const FORMS: &str = "a wish is `laptop by 6:00`, `laptop and phone by 3 h 30 min`, `laptop served`, \
                     `everybody served`, `everything by 6:00` or `promised by 6:00`";

/// Words that stand for all devices.
const ALL: [&str; 4] = ["everybody", "everything", "everyone", "all"];

impl Wish {
    /// Reads a wish about a setup: `laptop by 6:00`, `score tablet and phone by 3 h 30 min`,
    /// `everybody served`, `everything by 23:00`, `promised by 7:00`, `laptop served`. A
    /// name that stands for several devices means all of them. A time of day is the next one
    /// after the setup's `start`, a length is counted from there.
    ///
    /// # Errors
    /// [`Error::Input`] where it is not understood, with the forms that are and near names.
    pub fn parse(text: &str, setup: &Setup) -> Result<Self> {
        let text = text.trim().trim_end_matches('.');
        let small = text.to_ascii_lowercase();
        if let Some(end) = small.strip_suffix(" served").map(str::len) {
            return whose(&text[..end], setup);
        }
        let Some(at) = small.rfind(" by ") else {
            return Err(refused(format!(
                "\"{}\" is not understood; {FORMS}",
                shown(text)
            )));
        };
        let (who, time) = (&text[..at], &text[at + " by ".len()..]);
        let who = if is_word(who, &["promised"]) && found(who, setup).is_none() {
            Ok(Self::everything().promised())
        } else {
            whose(who, setup)
        };
        match (who, hours(time, setup)) {
            (Ok(who), Ok(hours)) => Ok(who.by_h(hours)),
            (Err(Error::Input(mut faults)), Err(Error::Input(more))) => {
                faults.extend(more);
                Err(Error::Input(faults))
            }
            (Err(error), _) | (_, Err(error)) => Err(error),
        }
    }
}

/// What is wished, of a setup.
pub(super) struct Asked {
    /// The devices, by index.
    pub(super) devices: Vec<usize>,
    pub(super) by_h: Option<f64>,
    pub(super) aim: Aim,
}

impl Asked {
    pub(super) fn of(wish: &Wish, setup: &Setup) -> Result<Self> {
        let mut faults = Vec::new();
        let mut devices: Vec<usize> = Vec::new();
        match &wish.devices {
            None => {
                let all = setup.devices.iter().enumerate();
                devices.extend(all.filter(|(_, of)| of.needs_berth()).map(|(at, _)| at));
            }
            Some(names) => {
                for name in names {
                    match found(name, setup) {
                        Some(of) => devices.extend(of),
                        None => faults.push(unknown(name, setup)),
                    }
                }
                devices.sort_unstable();
                devices.dedup();
                if names.is_empty() {
                    faults.push(fault("no device is wished for".to_owned()));
                }
            }
        }
        if let Some(hours) = wish.by_h.filter(|&hours| !READY_BY_H.holds(hours)) {
            faults.push(fault(READY_BY_H.refusal(hours)));
        }
        if !faults.is_empty() {
            return Err(Error::Input(faults));
        }
        Ok(Self {
            devices,
            by_h: wish.by_h.map(rounded),
            aim: if wish.promised {
                Aim::Promise
            } else {
                setup.aim
            },
        })
    }
}

fn fault(message: String) -> Fault {
    Fault {
        path: WISH.to_owned(),
        message,
        ..Fault::default()
    }
}

fn refused(message: String) -> Error {
    Error::Input(vec![fault(message)])
}

fn is_word(text: &str, words: &[&str]) -> bool {
    words
        .iter()
        .any(|word| text.trim().eq_ignore_ascii_case(word))
}

/// The devices of that name: one, or all of an entry that counts several.
fn found(name: &str, setup: &Setup) -> Option<Vec<usize>> {
    let name = name.trim();
    let equal = |other: &str| other == name;
    let alike = |other: &str| other.to_lowercase() == name.to_lowercase();
    found_by(equal, setup).or_else(|| found_by(alike, setup))
}

fn found_by(is: impl Fn(&str) -> bool, setup: &Setup) -> Option<Vec<usize>> {
    if let Some(one) = setup.devices.iter().position(|of| is(&of.name)) {
        return Some(vec![one]);
    }
    let mut first = 0;
    for entry in &setup.document().devices {
        let count = usize::try_from(entry.count.unwrap_or(1)).unwrap_or(1);
        if is(&entry.name) {
            return Some((first..first + count).collect());
        }
        first += count;
    }
    None
}

fn unknown(name: &str, setup: &Setup) -> Fault {
    let listed = setup.document().devices.iter();
    let names = listed.map(|entry| entry.name.as_str());
    Fault {
        suggestion: near(name.trim(), names.chain(setup.device_names())),
        ..fault(format!("no device is called \"{}\"", shown(name.trim())))
    }
}

/// Whose wish it is: a name as a whole, all of them, or several names with commas or `and`
/// between them.
fn whose(text: &str, setup: &Setup) -> Result<Wish> {
    if found(text, setup).is_some() {
        return Ok(Wish::device(text.trim()));
    }
    if is_word(text, &ALL) {
        return Ok(Wish::everything());
    }
    let pieces = pieces(text);
    let (mut names, mut faults) = (Vec::new(), Vec::new());
    let mut at = 0;
    while let Some(first) = pieces.get(at) {
        // A name may have an `and` of its own.
        let upto = |last: usize| &text[first.start..pieces[last].end];
        let last = (at..pieces.len()).rev();
        let last = last
            .into_iter()
            .find(|&last| found(upto(last), setup).is_some());
        match last {
            Some(last) => names.push(upto(last).trim()),
            None => faults.push(unknown(upto(at), setup)),
        }
        at = last.unwrap_or(at) + 1;
    }
    if !faults.is_empty() {
        return Err(Error::Input(faults));
    }
    let Some((first, rest)) = names.split_first() else {
        return Err(refused(format!("whose wish is it? {FORMS}")));
    };
    let wish = Wish::device(*first);
    Ok(rest.iter().fold(wish, |wish, name| wish.and(*name)))
}

/// What stands between commas and `and`s, without what is blank.
fn pieces(text: &str) -> Vec<Range<usize>> {
    let commas = text.match_indices(',');
    let mut cuts: Vec<Range<usize>> = commas
        .chain(text.match_indices(" and "))
        .map(|(at, of)| at..at + of.len())
        .collect();
    cuts.sort_by_key(|cut| cut.start);
    cuts.push(text.len()..text.len());
    let mut start = 0;
    let mut pieces = Vec::new();
    for cut in cuts {
        if !text[start..cut.start].trim().is_empty() {
            pieces.push(start..cut.start);
        }
        start = cut.end;
    }
    pieces
}

/// Hours from the start to the time that is said.
fn hours(text: &str, setup: &Setup) -> Result<f64> {
    match (spoken(text), setup.start) {
        (Some(Spoken::Hours(hours)), _) if READY_BY_H.holds(hours) => Ok(hours),
        (Some(Spoken::Hours(hours)), _) => Err(refused(READY_BY_H.refusal(hours))),
        (Some(Spoken::OfDay(time)), Some(start)) => Ok(start.hours_until(time)),
        (Some(Spoken::OfDay(time)), None) => Err(refused(format!(
            "{time} is a time of day, and the setup does not say when charging begins: give it \
             a `start`, or say so many hours, `by 3 h 30 min`"
        ))),
        (None, _) => Err(refused(format!(
            "\"{}\" is no time: `6:00`, `3 h`, `3 h 30 min`",
            shown(text.trim())
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn setup(start: &str) -> Setup {
        let text = format!(
            "{start}
charger cube: C1 65 W; C2 20 W
cable C to C, x3
laptop 65 W, 56 Wh
2x score tablet
rock and roll lamp: 5 W, 10 Wh
"
        );
        Setup::from_text(&text).expect("it is valid")
    }

    #[test]
    fn what_is_understood() {
        let at_night = setup("start 22:30");
        let wish = |names: &[&str], by_h: Option<f64>| {
            let wish = Wish {
                devices: Some(names.iter().map(|&name| name.to_owned()).collect()),
                ..Wish::everything()
            };
            by_h.map_or(wish.clone(), |hours| wish.by_h(hours))
        };
        for (text, expected) in [
            ("laptop by 6:00", wish(&["laptop"], Some(7.5))),
            ("Laptop by 6 am.", wish(&["Laptop"], Some(7.5))),
            ("laptop by 3.5 h", wish(&["laptop"], Some(3.5))),
            ("laptop by 3 h 30 min", wish(&["laptop"], Some(3.5))),
            ("laptop served", wish(&["laptop"], None)),
            (
                "laptop, score tablet 2 and rock and roll lamp served",
                wish(&["laptop", "score tablet 2", "rock and roll lamp"], None),
            ),
            ("everybody served", Wish::everything()),
            ("everything by 23:00", Wish::everything().by_h(0.5)),
            ("promised by 23:00", Wish::everything().promised().by_h(0.5)),
        ] {
            let found = Wish::parse(text, &at_night).map_err(|error| error.to_string());
            assert_eq!(found, Ok(expected), "{text}");
        }
    }

    #[test]
    fn what_is_not_understood_is_answered() {
        for (text, start, expected) in [
            (
                "laptop",
                "",
                "wish: \"laptop\" is not understood; a wish is",
            ),
            (
                "laptop by 6:00",
                "",
                "06:00 is a time of day, and the setup does not say",
            ),
            (
                "laptop by 6",
                "",
                "\"6\" is no time: `6:00`, `3 h`, `3 h 30 min`",
            ),
            (
                "laptob served",
                "",
                "no device is called \"laptob\" (did you mean `laptop`?)",
            ),
            (", served", "", "whose wish is it? a wish is"),
            (
                "laptop by 20000 h",
                "",
                "a deadline must be from 0 to 10000 h",
            ),
            (
                "fiddle by 25:10",
                "start 22:30",
                "no device is called \"fiddle\"",
            ),
            ("fiddle by 25:10", "start 22:30", "\"25:10\" is no time"),
        ] {
            let error = Wish::parse(text, &setup(start))
                .expect_err(text)
                .to_string();
            assert!(error.contains(expected), "{text}: {error}");
        }
    }

    #[test]
    fn names_stand_for_devices() {
        let setup = setup("");
        let devices = |wish: Wish| Asked::of(&wish, &setup).map(|asked| asked.devices);
        assert_eq!(devices(Wish::device("score tablet")), Ok(vec![1, 2]));
        let both = Wish::device("score tablet 2").and("laptop").and("laptop");
        assert_eq!(devices(both), Ok(vec![0, 2]));
        assert_eq!(devices(Wish::everything()), Ok(vec![0, 1, 2, 3]));
        let wrong = Wish::device("fiddle").and("labtop").by_h(f64::NAN);
        let Err(Error::Input(faults)) = devices(wrong) else {
            panic!("there is no fiddle");
        };
        assert_eq!(faults.len(), 3, "{faults:?}");
    }
}
