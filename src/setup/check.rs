//! The checks: a document to resolved parts, or every fault it has.

use super::ask::{At, unique};
use super::cable::resolve_cable;
use super::charger::resolve_charger;
use super::device::resolve_devices;
use super::printed::write_out;
use super::session::{resolve_sessions, resolve_start};
use super::shop::resolve_shop;
use super::trip::resolve_trip;
use super::{ChargerSpec, Setup, leads};
use crate::diagnostics::{Findings, Path};
use crate::limits::{
    CABLES, CALENDAR_NIGHTS, CHARGERS, DEVICES, PORTS, SESSION_H, SESSIONS, Size, TOLERANCE_H,
    VERSION,
};
use crate::setup::document::{Charger, SetupDocument};

/// What nobody notices, in hours (model.md, section 5).
const DEFAULT_TOLERANCE_H: f64 = 0.05;

/// Checks a document and resolves it; `None`, or any finding, means that it has faults.
pub(crate) fn check(document: SetupDocument, findings: &mut Findings) -> Option<Setup> {
    if document.chargers.is_empty() && document.shop.is_none() && !document.is_route() {
        let message = "`chargers` is empty; at least one is needed";
        findings.add(Path::default().field("chargers"), message);
    }
    resolve(document, findings)
}

/// As [`check`], for a bag alone: its chargers and the pins onto their ports are left
/// out.
pub(crate) fn check_bag(mut document: SetupDocument, findings: &mut Findings) -> Option<Setup> {
    document.chargers.clear();
    for device in &mut document.devices {
        device.port = None;
    }
    if document.is_route() {
        needs_devices(&document, findings);
    }
    resolve(document, findings)
}

fn resolve(mut document: SetupDocument, findings: &mut Findings) -> Option<Setup> {
    if let Some(shop) = &mut document.shop {
        let list = Path::default().field("shop").field("chargers");
        write_out(&mut shop.chargers, &list, findings);
    }
    if !write_out(
        &mut document.chargers,
        &Path::default().field("chargers"),
        findings,
    ) {
        // Which ports there are is not known.
        for device in &mut document.devices {
            device.port = None;
        }
    }
    let top = Path::default();
    let mut at = At::new(findings, top.clone());
    at.number("version", document.version.map(f64::from), &VERSION);
    let session_h = at.number("session_h", document.session_h, &SESSION_H);
    let tolerance_h = at.number("tolerance_h", document.tolerance_h, &TOLERANCE_H);
    if !sizes_hold(&document, findings) {
        return None;
    }
    let start = resolve_start(document.start.as_deref(), findings);
    let sessions = resolve_sessions(&document.sessions, findings);
    let chargers = resolve_chargers(&document.chargers, &top.field("chargers"), findings);
    one_each(&document.chargers, findings);
    let path = top.field("cables");
    let mut cables = Vec::with_capacity(document.cables.len());
    for (i, cable) in document.cables.iter().enumerate() {
        cables.push(resolve_cable(cable, findings, path.index(i)));
    }
    let names = document.cables.iter().enumerate();
    let names = names.map(|(i, cable)| (path.index(i).field("name"), cable.name.as_str()));
    unique(findings, names, "cables");
    let devices = resolve_devices(&document, session_h, &chargers, &cables, findings);
    let trip = resolve_trip(&document, &devices, findings);
    let nights = document.nights.map(f64::from);
    At::new(findings, top).number("nights", nights, &CALENDAR_NIGHTS);
    let shop = resolve_shop(&document, findings);
    cables.extend(leads(&chargers));
    findings.is_empty().then_some(Setup {
        aim: document.aim.unwrap_or_default(),
        tolerance_h: tolerance_h.unwrap_or(DEFAULT_TOLERANCE_H),
        document,
        sessions,
        start,
        chargers,
        cables,
        devices,
        trip,
        shop,
        guesses: Vec::new(),
    })
}

/// Checks chargers that come without devices, at `chargers[…]`.
pub(crate) fn check_chargers(
    chargers: &[Charger],
    findings: &mut Findings,
) -> Option<Vec<ChargerSpec>> {
    check_and_write_out(&mut chargers.to_vec(), findings)
}

/// As [`check_chargers`], with what stands on whole labels written out, as in the document of a
/// setup.
pub(crate) fn check_and_write_out(
    chargers: &mut [Charger],
    findings: &mut Findings,
) -> Option<Vec<ChargerSpec>> {
    let list = || Path::default().field("chargers");
    write_out(chargers, &list(), findings);
    let ports: usize = chargers.iter().map(|charger| charger.ports.len()).sum();
    for (count, size) in [(chargers.len(), CHARGERS), (ports, PORTS)] {
        if !size.holds(count) {
            findings.add(list(), size.refusal(count));
            return None;
        }
    }
    if chargers.is_empty() {
        findings.add(list(), "`chargers` is empty; at least one is needed");
    }
    let resolved = resolve_chargers(chargers, &list(), findings);
    one_each(chargers, findings);
    findings.is_empty().then_some(resolved)
}

/// A count is of what is for sale.
fn one_each(chargers: &[Charger], findings: &mut Findings) {
    for (i, charger) in chargers.iter().enumerate() {
        if charger.count.is_some() {
            let path = Path::default().field("chargers").index(i).field("count");
            let message = "only a `shop` counts chargers; list each of them, with its own name";
            findings.add(path, message);
        }
    }
}

/// The chargers of the list at `path`, in the bag or for sale.
pub(super) fn resolve_chargers(
    chargers: &[Charger],
    path: &Path,
    findings: &mut Findings,
) -> Vec<ChargerSpec> {
    let mut resolved = Vec::with_capacity(chargers.len());
    for (i, charger) in chargers.iter().enumerate() {
        resolved.push(resolve_charger(charger, findings, &path.index(i)));
    }
    let names = chargers.iter().enumerate();
    let names = names.map(|(i, charger)| (path.index(i).field("name"), charger.name.as_str()));
    unique(findings, names, "chargers");
    resolved
}

/// Refuses lists that are empty or too long before anything is built from them.
fn sizes_hold(document: &SetupDocument, findings: &mut Findings) -> bool {
    let ports: usize = document
        .chargers
        .iter()
        .map(|charger| charger.ports.len())
        .sum();
    let expanded: usize = document
        .devices
        .iter()
        .map(|device| {
            device
                .count
                .and_then(|n| usize::try_from(n).ok())
                .unwrap_or(1)
        })
        // A count that is out of range itself is refused by name, once.
        .filter(|count| DEVICES.holds(*count))
        .fold(0, usize::saturating_add);
    let mut hold = true;
    let mut size = |list: &str, count: usize, size: Size| {
        if !size.holds(count) {
            findings.add(Path::default().field(list), size.refusal(count));
            hold = false;
        }
    };
    size("chargers", document.chargers.len(), CHARGERS);
    size("chargers", ports, PORTS);
    size("cables", document.cables.len(), CABLES);
    size("sessions", document.sessions.len(), SESSIONS);
    size("devices", document.devices.len().max(expanded), DEVICES);
    if !document.is_route() {
        needs_devices(document, findings);
    }
    hold
}

fn needs_devices(document: &SetupDocument, findings: &mut Findings) {
    if document.devices.is_empty() {
        let message = "`devices` is empty; at least one is needed";
        findings.add(Path::default().field("devices"), message);
    }
}
