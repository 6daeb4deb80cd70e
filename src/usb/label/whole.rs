//! The whole label of a charger: its ports, what they have together, its total.
//!
//! Cut into parts in one pass ([`parts`]); then names become ports ([`resolve`]). The
//! voltages of a port are read as those of `offers` are.

use std::fmt;
use std::ops::Range;

use super::{Held, LabelFault, by_line};
use crate::limits::OFFER_V;
use crate::usb::{Connector, LabelEntry};

mod group;
mod parts;
mod powers;
mod resolve;
mod said;
#[cfg(test)]
mod tests;
mod total;

/// What its ports are held to: all of them are USB's.
const HELD: Held = Held {
    volts: &OFFER_V,
    usb: true,
    pd_w: false,
};

/// What the label of a charger says.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct WholeLabel {
    pub(crate) ports: Vec<LabelledPort>,
    /// Ports in use together, by their place in `ports`, with the watts of each.
    pub(crate) combinations: Vec<Vec<(usize, f64)>>,
    /// Ports that have so many watts together, in the order of `ports`.
    pub(crate) pools: Vec<(Vec<usize>, f64)>,
    /// What all ports have together.
    pub(crate) total_w: Option<f64>,
}

/// One port of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LabelledPort {
    /// Its short name, as in `C1`.
    pub(crate) name: String,
    pub(crate) connector: Connector,
    /// Empty where only its watts are printed.
    pub(crate) entries: Vec<LabelEntry>,
    /// The watts printed for it: its PD power, or its cap where it has entries.
    pub(crate) pd_w: Option<f64>,
    /// Which line of the label (string of the list) its name is in.
    pub(crate) line: usize,
    /// Byte range of its name in that string.
    pub(crate) span: Range<usize>,
}

/// Reads the lines of a charger's label as one text, joined by line breaks; every fault
/// found, in the order of the text, or what it says, which is one port at least.
///
/// Parts are separated by `;`, `|`, line breaks, commas, or blanks before the name of the
/// next port. The mains side is passed over. Watts of a `usb-a` port without voltages, up
/// to 12 W, are those of 5 V (common practice: more comes at other voltages).
pub(crate) fn whole(lines: &[String]) -> Result<WholeLabel, Vec<LabelFault>> {
    let mut label = by_line(lines, |text| {
        let (parts, faults) = parts::parts(text);
        resolve::resolve(&parts, faults)
    })?;
    let mut start = 0;
    let mut lines = lines.iter().enumerate();
    let mut line = lines.next();
    for port in &mut label.ports {
        while let Some((_, text)) = line
            && port.span.start > start + text.len()
        {
            start += text.len() + 1;
            line = lines.next();
        }
        port.line = line.map_or(0, |(line, _)| line);
        port.span = port.span.start - start..port.span.end - start;
    }
    Ok(label)
}

/// As a label would have it. It reads back to the same.
impl fmt::Display for WholeLabel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names = |ports: &mut dyn Iterator<Item = usize>| {
            let names: Vec<&str> = ports.map(|port| self.ports[port].name.as_str()).collect();
            names.join("+")
        };
        let mut parts: Vec<String> = self.ports.iter().map(LabelledPort::as_printed).collect();
        for line in &self.combinations {
            let watts: Vec<String> = line.iter().map(|(_, watts)| format!("{watts}W")).collect();
            let ports = names(&mut line.iter().map(|&(port, _)| port));
            parts.push(format!("{ports}: {}", watts.join("+")));
        }
        for (ports, watts) in &self.pools {
            let ports = names(&mut ports.iter().copied());
            parts.push(format!("{ports}: {watts}W Max"));
        }
        if let Some(watts) = self.total_w {
            parts.push(format!("Total {watts}W"));
        }
        f.write_str(&parts.join("; "))
    }
}

impl LabelledPort {
    /// Its part of a label.
    fn as_printed(&self) -> String {
        let Self { name, pd_w, .. } = self;
        match (pd_w, self.entries.is_empty()) {
            (Some(watts), true) => format!("{name} {watts}W"),
            (Some(watts), false) => format!("{name} ({watts}W): {}", self.offers()),
            (None, _) => format!("{name}: {}", self.offers()),
        }
    }

    /// Its entries as `offers` has them.
    pub(crate) fn offers(&self) -> String {
        let entries: Vec<String> = self.entries.iter().map(ToString::to_string).collect();
        entries.join(", ")
    }
}
