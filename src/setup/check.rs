//! The checks: a document to resolved parts, or every fault it has.

use super::ask::{At, unique};
use super::cable::resolve_cable;
use super::charger::resolve_charger;
use super::device::resolve_devices;
use super::{CableSpec, ChargerSpec, DeviceSpec, Setup};
use crate::document::{Charger, SetupDocument};
use crate::input::{Findings, Path};
use crate::limits::{CABLES, CHARGERS, DEVICES, PORTS, SESSION_H, Size, VERSION};

/// Checks a document and resolves it; `None`, or any finding, means that it has faults.
pub(crate) fn check(document: SetupDocument, findings: &mut Findings) -> Option<Setup> {
    let session_h = session(&document, findings);
    let sizes = [
        charger_sizes_hold(&document.chargers, findings),
        thing_sizes_hold(&document, findings),
    ];
    if sizes.contains(&false) {
        return None;
    }
    let chargers = resolve_chargers(&document.chargers, findings);
    let (cables, devices) = things(&document, session_h, Some(&chargers), findings);
    findings.is_empty().then_some(Setup {
        document,
        chargers,
        cables,
        devices,
    })
}

/// Checks a document that has no chargers yet, and resolves its cables and devices; pins
/// to ports are left for when there are some.
pub(crate) fn check_bag(
    document: &SetupDocument,
    findings: &mut Findings,
) -> Option<(Vec<CableSpec>, Vec<DeviceSpec>)> {
    let session_h = session(document, findings);
    if !thing_sizes_hold(document, findings) {
        return None;
    }
    let things = things(document, session_h, None, findings);
    findings.is_empty().then_some(things)
}

/// Checks chargers that come without devices, at `chargers[…]`.
pub(crate) fn check_chargers(
    chargers: &[Charger],
    findings: &mut Findings,
) -> Option<Vec<ChargerSpec>> {
    if !charger_sizes_hold(chargers, findings) {
        return None;
    }
    let resolved = resolve_chargers(chargers, findings);
    findings.is_empty().then_some(resolved)
}

fn resolve_chargers(chargers: &[Charger], findings: &mut Findings) -> Vec<ChargerSpec> {
    let path = Path::default().field("chargers");
    let mut resolved = Vec::with_capacity(chargers.len());
    for (i, charger) in chargers.iter().enumerate() {
        resolved.push(resolve_charger(charger, findings, &path.index(i)));
    }
    let names = chargers.iter().enumerate();
    let names = names.map(|(i, charger)| (path.index(i).field("name"), charger.name.as_str()));
    unique(findings, names, "chargers");
    resolved
}

fn session(document: &SetupDocument, findings: &mut Findings) -> Option<f64> {
    let mut at = At::new(findings, Path::default());
    at.number("version", document.version.map(f64::from), &VERSION);
    at.number("session_h", document.session_h, &SESSION_H)
}

fn things(
    document: &SetupDocument,
    session_h: Option<f64>,
    chargers: Option<&[ChargerSpec]>,
    findings: &mut Findings,
) -> (Vec<CableSpec>, Vec<DeviceSpec>) {
    let path = Path::default().field("cables");
    let mut cables = Vec::with_capacity(document.cables.len());
    for (i, cable) in document.cables.iter().enumerate() {
        cables.push(resolve_cable(cable, findings, path.index(i)));
    }
    let names = document.cables.iter().enumerate();
    let names = names.map(|(i, cable)| (path.index(i).field("name"), cable.name.as_str()));
    unique(findings, names, "cables");
    let devices = resolve_devices(&document.devices, session_h, chargers, &cables, findings);
    (cables, devices)
}

/// Refuses lists of chargers and ports that are empty or too long before anything is
/// built from them.
fn charger_sizes_hold(chargers: &[Charger], findings: &mut Findings) -> bool {
    let ports: usize = chargers.iter().map(|charger| charger.ports.len()).sum();
    let hold = size("chargers", chargers.len(), CHARGERS, findings)
        & size("chargers", ports, PORTS, findings);
    not_empty("chargers", chargers.len(), findings);
    hold
}

/// The same for cables and devices.
fn thing_sizes_hold(document: &SetupDocument, findings: &mut Findings) -> bool {
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
    let devices = document.devices.len();
    let hold = size("cables", document.cables.len(), CABLES, findings)
        & size("devices", devices.max(expanded), DEVICES, findings);
    not_empty("devices", devices, findings);
    hold
}

fn size(list: &str, count: usize, size: Size, findings: &mut Findings) -> bool {
    let holds = size.holds(count);
    if !holds {
        findings.add(Path::default().field(list), size.refusal(count));
    }
    holds
}

fn not_empty(list: &str, count: usize, findings: &mut Findings) {
    if count == 0 {
        let message = format!("`{list}` is empty; at least one is needed");
        findings.add(Path::default().field(list), message);
    }
}
