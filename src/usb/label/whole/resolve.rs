//! The parts of a whole label, its names to ports.

use std::ops::Range;

use super::group::{Group, Named};
use super::parts::{Cutter, Declared, Entries, Parts};
use super::{LabelledPort, WholeLabel};
use crate::diagnostics::near;
use crate::limits::{COMBINATION_W, COMBINATIONS, PD_W, POOLS, PORTS};
use crate::usb::label::port_name::letter;
use crate::usb::label::reader::Found;
use crate::usb::{Connector, LabelEntry, LabelVolts};

/// The most that a port for USB-A gives at 5 V, where only its watts are printed: 2.4 A
/// (common practice).
const USB_A_W: f64 = 12.0;

const NOTHING: &str = "no port is named here: write one with its watts or voltages, as in C1 65W";

impl Cutter<'_> {
    /// Notes watts that none of the lists of a setup would take.
    pub(super) fn check_watts(&mut self, watts: f64, span: &Range<usize>) {
        if !COMBINATION_W.holds(watts) {
            self.fault(span.clone(), out_of_range(watts));
        }
    }
}

fn out_of_range(watts: f64) -> String {
    format!(
        "watts are above {} and at most {}, not {watts}",
        COMBINATION_W.low, COMBINATION_W.high
    )
}

/// Names to ports; every fault in the order of the text, those found before among them.
pub(super) fn resolve(parts: &Parts, faults: Vec<Found>) -> Result<WholeLabel, Vec<Found>> {
    let mut resolver = Resolver {
        label: WholeLabel {
            total_w: parts.total_w,
            ..WholeLabel::default()
        },
        refused: Vec::new(),
        full: false,
        faults,
    };
    for declared in &parts.declared {
        resolver.declare(declared);
    }
    for (group, watts) in &parts.lines {
        resolver.line(group, watts);
    }
    for (group, watts) in &parts.limits {
        resolver.limit(group, *watts);
    }
    if resolver.label.ports.is_empty() && resolver.faults.is_empty() {
        resolver.faults.push((0..0, NOTHING.to_owned()));
    }
    if resolver.faults.is_empty() {
        Ok(resolver.label)
    } else {
        resolver.faults.sort_by_key(|(span, _)| span.start);
        Err(resolver.faults)
    }
}

struct Resolver {
    label: WholeLabel,
    /// Ports whose voltages were refused.
    refused: Vec<usize>,
    /// More ports were named than are kept.
    full: bool,
    faults: Vec<Found>,
}

impl Resolver {
    fn fault(&mut self, span: &Range<usize>, message: impl Into<String>) {
        self.faults.push((span.clone(), message.into()));
    }

    /// Adds ports alike, or what was still to be said of them.
    fn declare(&mut self, declared: &Declared) {
        for named in declared.ports.alike() {
            if self.full {
                return;
            }
            let Some(connector) = self.connector(named) else {
                continue;
            };
            let supply = self.supply(declared, &connector);
            let refused = supply.is_none();
            let (entries, pd_w) = supply.unwrap_or_default();
            for name in self.names(named, &connector) {
                if self.full {
                    return;
                }
                let port = LabelledPort {
                    name,
                    connector: connector.clone(),
                    entries: entries.clone(),
                    pd_w,
                    line: 0,
                    span: named.span.clone(),
                };
                self.add(port, refused);
            }
        }
    }

    /// Adds a port; what has only watts and what has only voltages are one.
    fn add(&mut self, port: LabelledPort, refused: bool) {
        let Some(at) = self.place(&port.name) else {
            if self.label.ports.len() == PORTS.most {
                if !self.full {
                    self.fault(&port.span, PORTS.refusal(PORTS.most + 1));
                }
                self.full = true;
                return;
            }
            if refused {
                self.refused.push(self.label.ports.len());
            }
            self.label.ports.push(port);
            return;
        };
        let known = &mut self.label.ports[at];
        let (has_entries, new_entries) = (!known.entries.is_empty(), !port.entries.is_empty());
        if refused || self.refused.contains(&at) {
            // What is said of it is not known.
        } else if has_entries != new_entries && known.pd_w.is_some() != port.pd_w.is_some() {
            known.entries.extend(port.entries);
            known.pd_w = known.pd_w.or(port.pd_w);
        } else {
            let message = format!(
                "`{}` stands here twice: say all of it behind one name, and number ports that are alike, \
                 as in C1 and C2",
                port.name
            );
            self.fault(&port.span, message);
        }
    }

    fn place(&self, name: &str) -> Option<usize> {
        self.label.ports.iter().position(|port| port.name == name)
    }

    fn connector(&mut self, named: &Named) -> Option<Connector> {
        if named.name.connector.is_none() {
            let number = named.name.number.unwrap_or(1);
            let message = format!(
                "this does not say which connector it has: write C{number} for USB-C, A{number} for USB-A"
            );
            self.fault(&named.span, message);
        }
        named.name.connector.clone()
    }

    /// The short names that a name stands for.
    fn names(&self, named: &Named, connector: &Connector) -> Vec<String> {
        let letter = letter(connector);
        match named.count {
            None | Some(1) => vec![named.name.short()],
            Some(count) => {
                let numbers = (1_u32..).map(|number| format!("{letter}{number}"));
                let free = numbers.filter(|name| self.place(name).is_none());
                free.take(usize::from(count)).collect()
            }
        }
    }

    /// The voltages and the watts of a port; nothing where they are refused.
    fn supply(
        &mut self,
        declared: &Declared,
        connector: &Connector,
    ) -> Option<(Vec<LabelEntry>, Option<f64>)> {
        let entries = match &declared.entries {
            Entries::Read(entries) => entries.clone(),
            Entries::None => Vec::new(),
            Entries::Refused => return None,
        };
        let Some((watts, span)) = &declared.watts else {
            return Some((entries, None));
        };
        if !COMBINATION_W.holds(*watts) {
            self.fault(span, out_of_range(*watts));
        } else if declared.entries != Entries::None {
            return Some((entries, Some(*watts)));
        } else if *connector == Connector::UsbC {
            if PD_W.holds(*watts) {
                return Some((entries, Some(*watts)));
            }
            self.fault(span, PD_W.refusal(*watts));
        } else if *watts <= USB_A_W {
            let entry = LabelEntry {
                volts: LabelVolts::Single(5.0),
                amps: watts / 5.0,
                watts: f64::INFINITY,
            };
            return Some((vec![entry], None));
        } else {
            let message = format!(
                "{watts} W are more than 5 V give at this plug, and at which voltages is not said: write \
                 them, as in A1: 5V 3A, 9V 2A"
            );
            self.fault(span, message);
        }
        None
    }

    /// A line of ports in use together, one for each choice of its alternatives.
    fn line(&mut self, group: &Group, watts: &[f64]) {
        if let Some(&wrong) = watts.iter().find(|&&watts| !COMBINATION_W.holds(watts)) {
            return self.fault(&group.span, out_of_range(wrong));
        }
        if self.label.combinations.len() == COMBINATIONS.most {
            return self.fault(&group.span, COMBINATIONS.refusal(COMBINATIONS.most + 1));
        }
        for ports in self.choices(group) {
            let line = ports.into_iter().zip(watts.iter().copied()).collect();
            self.label.combinations.push(line);
        }
        if self.label.combinations.len() > COMBINATIONS.most {
            self.label.combinations.truncate(COMBINATIONS.most);
            self.fault(&group.span, COMBINATIONS.refusal(COMBINATIONS.most + 1));
        }
    }

    /// What ports have together, for each choice of its alternatives.
    fn limit(&mut self, group: &Group, watts: f64) {
        if !COMBINATION_W.holds(watts) {
            return self.fault(&group.span, out_of_range(watts));
        }
        if self.label.pools.len() == POOLS.most {
            return self.fault(&group.span, POOLS.refusal(POOLS.most + 1));
        }
        for mut ports in self.choices(group) {
            ports.sort_unstable();
            match self.label.pools.iter().find(|(known, _)| *known == ports) {
                Some((_, before)) if (before - watts).abs() > 1e-9 => {
                    let message = format!(
                        "a second limit of these ports: {watts} W, and {before} W before it"
                    );
                    return self.fault(&group.span, message);
                }
                Some(_) => {}
                None if self.label.pools.len() == POOLS.most => {
                    return self.fault(&group.span, POOLS.refusal(POOLS.most + 1));
                }
                None => self.label.pools.push((ports, watts)),
            }
        }
    }

    /// The ports of a group, once for each choice of its alternatives; none where one of
    /// them is not known or stands twice.
    fn choices(&mut self, group: &Group) -> Vec<Vec<usize>> {
        let mut terms = Vec::with_capacity(group.terms.len());
        let mut seen = vec![false; self.label.ports.len()];
        let mut sound = true;
        for term in &group.terms {
            let mut either = Vec::with_capacity(term.len());
            for named in term {
                match self.known(named) {
                    Some(port) if seen[port] => {
                        let name = &self.label.ports[port].name;
                        let message = format!("`{name}` stands twice among these ports");
                        self.fault(&named.span, message);
                        sound = false;
                    }
                    Some(port) => {
                        seen[port] = true;
                        either.push(port);
                    }
                    None => sound = false,
                }
            }
            terms.push(either);
        }
        let count = terms.iter().try_fold(1_usize, |product, term| {
            product
                .checked_mul(term.len())
                .filter(|&product| product <= COMBINATIONS.most)
        });
        if !sound {
            return Vec::new();
        }
        if count.is_none() {
            self.fault(&group.span, COMBINATIONS.refusal(COMBINATIONS.most + 1));
            return Vec::new();
        }
        terms.iter().fold(vec![Vec::new()], |choices, term| {
            choices
                .iter()
                .flat_map(|choice| {
                    term.iter().map(move |&port| {
                        let mut longer: Vec<usize> = choice.clone();
                        longer.push(port);
                        longer
                    })
                })
                .collect()
        })
    }

    /// The port that a name means.
    fn known(&mut self, named: &Named) -> Option<usize> {
        self.connector(named)?;
        let name = named.name.short();
        let found = self.place(&name);
        if found.is_none() && !self.full {
            let ports = self.label.ports.iter().map(|port| port.name.as_str());
            let remedy = match near(&name, ports) {
                Some(meant) => format!(" (did you mean `{meant}`?)"),
                None => format!(": write its watts, as in {name} 65W"),
            };
            self.fault(
                &named.span,
                format!("no port is called `{name}` here{remedy}"),
            );
        }
        found
    }
}
