//! Plugs and mains labels of a trip: text to what it stands for.

use super::super::ask::At;
use crate::diagnostics::{Path, Spot, near, shown};
use crate::facts::{Bare, MainsLabel, Plug, PlugNameFault, plug_words};
use crate::limits::{PLUG_KINDS, Size};

/// The plug that a field names.
pub(super) fn plug(at: &mut At<'_>, field: &str, name: &str) -> Option<Plug> {
    let path = at.path.field(field);
    plug_at(at, path, name)
}

/// The plugs that a list names, each once.
pub(super) fn plugs(at: &mut At<'_>, field: &str, names: &[String]) -> Vec<Plug> {
    if !list_holds(field, names.len(), PLUG_KINDS, at) {
        return Vec::new();
    }
    let mut plugs = Vec::new();
    for (i, name) in names.iter().enumerate() {
        let path = at.path.field(field).index(i);
        if let Some(plug) = plug_at(at, path, name)
            && !plugs.contains(&plug)
        {
            plugs.push(plug);
        }
    }
    plugs
}

fn plug_at(at: &mut At<'_>, path: Path, name: &str) -> Option<Plug> {
    match name.parse() {
        Ok(plug) => Some(plug),
        Err(fault) => {
            let suggestion = near(name, plug_words());
            let message = format!("`{}`: {fault}", shown(name));
            let unknown = fault == PlugNameFault::Unknown;
            let finding = at.findings.add(path, message);
            finding.near(suggestion.filter(|_| unknown));
            None
        }
    }
}

/// The mains that a label states in its two fields.
pub(super) fn input(
    at: &mut At<'_>,
    volts: Option<&str>,
    hertz: Option<&str>,
) -> Option<MainsLabel> {
    let hertz = hertz.map(|text| label(at, "input_hz", text, Bare::Hertz));
    let mut input = label(at, "input_v", volts?, Bare::Volts)?;
    if let Some(stated) = hertz {
        input.frequency_hz = stated?.frequency_hz;
    }
    Some(input)
}

/// The label text of one field.
pub(super) fn label(at: &mut At<'_>, field: &str, text: &str, bare: Bare) -> Option<MainsLabel> {
    let path = at.path.field(field);
    match MainsLabel::parse(text, bare) {
        Ok(label) if bare == Bare::Volts && label.voltage_v.is_empty() => {
            let message = "no voltage here: write it as printed, as in 100-240 V";
            at.findings.add(path, message);
            None
        }
        Ok(label) => Some(label),
        Err(faults) => {
            for fault in faults {
                at.findings
                    .add(path.clone(), fault.message)
                    .at(Spot::Part(fault.span));
            }
            None
        }
    }
}

pub(super) fn list_holds(field: &str, count: usize, size: Size, at: &mut At<'_>) -> bool {
    let holds = size.holds(count);
    if !holds {
        at.fault(field, size.refusal(count));
    }
    holds
}
