//! The sessions of a rota, and the devices' part in them, checked and resolved.

use std::collections::HashSet;

use super::SessionSpec;
use super::ask::{At, unique};
use crate::diagnostics::{Findings, Path, near, shown};
use crate::limits::{SESSION_HOURS, SESSIONS};
use crate::setup::clock::TimeOfDay;
use crate::setup::document::Session;

pub(super) fn resolve_sessions(sessions: &[Session], findings: &mut Findings) -> Vec<SessionSpec> {
    let list = Path::default().field("sessions");
    let mut resolved = Vec::with_capacity(sessions.len());
    for (i, session) in sessions.iter().enumerate() {
        let mut at = At::new(findings, list.index(i));
        at.name(&session.name, "a session");
        at.number("hours", Some(session.hours), &SESSION_HOURS);
        resolved.push(SessionSpec {
            name: session.name.clone(),
            hours: session.hours,
            swap: session.swap.unwrap_or(true),
        });
    }
    let names = sessions.iter().enumerate();
    let names = names.map(|(i, session)| (list.index(i).field("name"), session.name.as_str()));
    unique(findings, names, "sessions");
    resolved
}

/// The time of day at which the first session begins.
pub(super) fn resolve_start(start: Option<&str>, findings: &mut Findings) -> Option<TimeOfDay> {
    let start = start?;
    let time = TimeOfDay::parse(start);
    if time.is_none() {
        let message = format!(
            "`start` is a time of day from 00:00 to 23:59, not \"{}\"",
            shown(start)
        );
        findings.add(Path::default().field("start"), message);
    }
    time
}

/// By session, the first in the lowest bit, whether a device that names `own` sessions is
/// at hand in it.
pub(super) fn at_hand(own: Option<&[String]>, sessions: &[Session], at: &mut At<'_>) -> u32 {
    let Some(own) = own else {
        return u32::MAX;
    };
    let list = at.path.field("sessions");
    if sessions.is_empty() {
        let message = "this device names sessions, and the setup has none";
        at.findings.add(list, message).reference();
        return u32::MAX;
    }
    if !SESSIONS.holds(own.len()) {
        at.findings.add(list, SESSIONS.refusal(own.len()));
        return u32::MAX;
    }
    let mut seen = HashSet::new();
    let mut at_hand = 0;
    for (i, name) in own.iter().enumerate() {
        if !seen.insert(name.as_str()) {
            let message = format!("\"{}\" is among these sessions twice", shown(name));
            at.findings.add(list.index(i), message);
        } else if let Some(found) = sessions.iter().position(|session| session.name == *name) {
            at_hand |= 1 << found;
        } else {
            let message = format!("no session is called \"{}\"", shown(name));
            let names = sessions.iter().map(|session| session.name.as_str());
            let suggestion = near(name, names);
            let finding = at.findings.add(list.index(i), message);
            finding.near(suggestion).reference();
        }
    }
    at_hand
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_is_at_hand_in_the_sessions_that_it_names() {
        let sessions = ["evening", "night", "morning"].map(|name| Session::new(name, 3.0));
        for (own, expected) in [
            (None, Ok(u32::MAX)),
            (Some(&[][..]), Ok(0b000)),
            (Some(&["night"][..]), Ok(0b010)),
            (Some(&["morning", "evening"][..]), Ok(0b101)),
            (
                Some(&["evenings"][..]),
                Err("no session is called \"evenings\""),
            ),
            (
                Some(&["night", "night"][..]),
                Err("\"night\" is among these sessions twice"),
            ),
        ] {
            let own = own.map(|own| own.iter().map(ToString::to_string).collect::<Vec<_>>());
            let mut findings = Findings::new();
            let mut at = At::new(&mut findings, Path::default());
            let found = at_hand(own.as_deref(), &sessions, &mut at);
            let found = match findings.all.first() {
                Some(first) => Err(first.message.as_str()),
                None => Ok(found),
            };
            assert_eq!(found, expected, "{own:?}");
        }
    }
}
