//! Pins: the port or the cable that a device names, looked up.

use super::ids::{CableId, PortId};
use super::{CableSpec, ChargerSpec};
use crate::diagnostics::{Findings, Path, near, shown};

/// The charger and the port that `pin` names: `CHARGER/PORT`, or a port's name that
/// only one charger has. Names may hold slashes themselves: what is written in full
/// comes first.
pub(crate) fn pinned_port(
    pin: &str,
    chargers: &[ChargerSpec],
    findings: &mut Findings,
    path: Path,
) -> Option<PortId> {
    let port = |id: PortId| &chargers[id.charger.0].ports[id.index].name;
    let full = |id: PortId| format!("{}/{}", chargers[id.charger.0].name, port(id));
    let places: Vec<PortId> = chargers
        .iter()
        .enumerate()
        .flat_map(|(c, charger)| (0..charger.ports.len()).map(move |p| PortId::new(c, p)))
        .collect();
    let mut found: Vec<_> = places
        .iter()
        .copied()
        .filter(|place| full(*place) == pin)
        .collect();
    if found.is_empty() {
        let bare = |place: &PortId| port(*place) == pin;
        found = places.iter().copied().filter(bare).collect();
    }
    // Names given twice are a fault of their own.
    let several = found.iter().any(|place| place.charger != found[0].charger);
    match found.as_slice() {
        [] => {
            let mut names: Vec<String> = places.iter().map(|place| full(*place)).collect();
            names.extend(places.iter().map(|place| port(*place).clone()));
            let message = format!("no port is called \"{}\"", shown(pin));
            let suggestion = near(pin, names.iter().map(String::as_str));
            findings.add(path, message).near(suggestion).reference();
            None
        }
        [first, ..] if !several => Some(*first),
        several => {
            let names: Vec<String> = several
                .iter()
                .map(|place| format!("\"{}\"", shown(&full(*place))))
                .collect();
            let message = format!(
                "more than one charger has a port \"{}\"; write it in full: {}",
                shown(pin),
                names.join(" or ")
            );
            findings.add(path, message);
            None
        }
    }
}

/// The cable that `pin` names.
pub(crate) fn pinned_cable(
    pin: &str,
    cables: &[CableSpec],
    findings: &mut Findings,
    path: Path,
) -> Option<CableId> {
    let found = cables.iter().position(|cable| cable.name == pin);
    if found.is_none() {
        let message = format!("no cable is called \"{}\"", shown(pin));
        let suggestion = near(pin, cables.iter().map(|cable| cable.name.as_str()));
        findings.add(path, message).near(suggestion).reference();
    }
    found.map(CableId)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Error;
    use crate::setup::document::{Charger, Device, Port, SetupDocument};

    fn pinned(pin: &str) -> Result<Option<PortId>, String> {
        let document = SetupDocument::new()
            .charger(
                Charger::new("desk")
                    .port(Port::pd("C1", 65.0))
                    .port(Port::pd("C2", 30.0)),
            )
            .charger(
                Charger::new("wall")
                    .port(Port::pd("C1", 65.0))
                    .port(Port::pd("a/b", 30.0)),
            )
            .device(Device::new("laptop", 60.0).pd_w(60.0).port(pin));
        match document.check() {
            Ok(setup) => Ok(setup.devices[0].pinned_port),
            Err(Error::Input(faults)) => Err(faults[0].to_string()),
            Err(other) => Err(other.to_string()),
        }
    }

    #[test]
    fn pins_are_found_bare_where_one_charger_has_them_and_in_full_always() {
        for (pin, expected) in [
            ("C2", Ok(PortId::new(0, 1))),
            ("desk/C2", Ok(PortId::new(0, 1))),
            ("wall/C1", Ok(PortId::new(1, 0))),
            ("a/b", Ok(PortId::new(1, 1))),
            ("wall/a/b", Ok(PortId::new(1, 1))),
            ("C1", Err("\"desk/C1\" or \"wall/C1\"")),
            ("C9", Err("no port is called \"C9\" (did you mean `C1`?)")),
            (
                "wall/C2",
                Err("no port is called \"wall/C2\" (did you mean `wall/C1`?)"),
            ),
            ("", Err("no port is called \"\"")),
        ] {
            match (pinned(pin), expected) {
                (Ok(found), Ok(expected)) => assert_eq!(found, Some(expected), "{pin}"),
                (Err(found), Err(part)) => assert!(found.contains(part), "{pin}: {found}"),
                (found, _) => panic!("{pin}: {found:?}"),
            }
        }
    }
}
