//! The whole label of a charger, written out as its ports and what they share.

use super::ask::At;
use crate::diagnostics::{Findings, Path};
use crate::limits::NAME_CHARS;
use crate::setup::document::{Charger, Combination, Label, Pool, PoolPorts, Port};
use crate::usb::Connector;
use crate::usb::label::{self, LabelledPort, WholeLabel};

/// Writes out the labels of chargers, in their place; whether all could be. A label that is
/// refused stays where it is.
pub(super) fn write_out(chargers: &mut [Charger], list: &Path, findings: &mut Findings) -> bool {
    let mut sound = true;
    for (i, charger) in chargers.iter_mut().enumerate() {
        if let Some(text) = &charger.label {
            let mut at = At::new(findings, list.index(i));
            match understood(charger, text, &mut at) {
                Some(label) => fill(charger, &label),
                None => sound = false,
            }
        }
    }
    sound
}

/// What a label says, where nothing else says the same.
fn understood(charger: &Charger, text: &Label, at: &mut At<'_>) -> Option<WholeLabel> {
    let label = at.printed("label", text, label::whole)?;
    let total = label.total_w.is_some() && charger.max_w.is_some();
    let mut alone = true;
    for (field, given) in [
        ("ports", !charger.ports.is_empty()),
        ("combinations", !charger.combinations.is_empty()),
        ("max_w", total),
    ] {
        if given {
            let message = format!("`label` stands for `{field}`, too; keep one of them");
            at.fault(field, message);
            alone = false;
        }
    }
    alone.then_some(label)
}

/// Writes out what a label says as the charger's ports and what they share.
pub(crate) fn fill(charger: &mut Charger, label: &WholeLabel) {
    let name = |port: usize| label.ports[port].name.clone();
    charger.ports = label.ports.iter().map(port).collect();
    let line = |line: &Vec<(usize, f64)>| {
        let watts = line.iter().map(|&(port, watts)| (name(port), watts));
        Combination(watts.collect())
    };
    charger.combinations = label.combinations.iter().map(line).collect();
    for (number, (ports, max_w)) in label.pools.iter().enumerate() {
        let ports: Vec<String> = ports.iter().map(|&port| name(port)).collect();
        let together = ports.join("+");
        charger.pools.push(Pool {
            // As the label has it, where that is no page of names.
            name: if NAME_CHARS.holds(together.chars().count()) {
                together
            } else {
                format!("limit {} of the label", number + 1)
            },
            ports: PoolPorts::Named(ports),
            max_w: *max_w,
        });
    }
    charger.max_w = charger.max_w.or(label.total_w);
    charger.label = None;
}

/// A port as the document has it. Watts beside voltages are its cap; alone, its PD power.
fn port(labelled: &LabelledPort) -> Port {
    let connector = &labelled.connector;
    let mut port = Port {
        name: labelled.name.clone(),
        connector: (*connector != Connector::UsbC).then(|| connector.to_string()),
        ..Port::default()
    };
    if labelled.entries.is_empty() {
        port.pd_w = labelled.pd_w;
    } else {
        port.offers = Some(labelled.offers().into());
        port.max_w = labelled.pd_w;
    }
    port
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::check::check_chargers;

    fn written_out(charger: Charger) -> Charger {
        let mut findings = Findings::new();
        let mut chargers = [charger];
        assert!(
            write_out(&mut chargers, &Path::default(), &mut findings),
            "{:?}",
            findings.all
        );
        let [charger] = chargers;
        charger
    }

    fn faults(charger: Charger) -> Vec<String> {
        let mut findings = Findings::new();
        assert!(check_chargers(&[charger], &mut findings).is_none());
        let said = findings.all.iter();
        said.map(|finding| format!("{}: {}", finding.path, finding.message))
            .collect()
    }

    #[test]
    fn a_label_is_the_ports_that_it_names() {
        let label =
            "C1 (65W): 5V 3A, 20V 3.25A; C2 30W; A 12W; C1+C2: 45W+20W; C2+A 30W; Total 65W";
        let by_hand = Charger::new("desk")
            .port(Port::usb_c("C1", "5V 3A, 20V 3.25A").max_w(65.0))
            .port(Port::pd("C2", 30.0))
            .port(Port::usb_a("A", "5V 2.4A"))
            .combination([("C1", 45.0), ("C2", 20.0)])
            .pool("C2+A", ["C2", "A"], 30.0)
            .max_w(65.0);
        assert_eq!(written_out(Charger::new("desk").label(label)), by_hand);
        assert_eq!(written_out(by_hand.clone()), by_hand);
    }

    #[test]
    fn what_a_label_leaves_open_may_stand_beside_it() {
        let desk = Charger::new("desk").label(["C1 65W", "C2 30W"]).max_w(75.0);
        let desk = written_out(desk.pool("both", ["C1", "C2"], 80.0));
        assert_eq!((desk.max_w, desk.pools.len()), (Some(75.0), 1));
    }

    #[test]
    fn what_a_label_says_is_said_once() {
        let desk = Charger::new("desk")
            .label("C1 65W; Total 65W")
            .port(Port::pd("C2", 30.0))
            .combination([("C1", 45.0)])
            .max_w(60.0);
        assert_eq!(
            faults(desk),
            [
                "chargers[0].ports: `label` stands for `ports`, too; keep one of them",
                "chargers[0].combinations: `label` stands for `combinations`, too; keep one of them",
                "chargers[0].max_w: `label` stands for `max_w`, too; keep one of them",
                "chargers[0].combinations[0].C1: no port is called \"C1\" on charger \"desk\"",
            ]
        );
    }

    #[test]
    fn a_refused_label_is_blamed_once() {
        assert_eq!(
            faults(Charger::new("desk").label(["C1 65W", "C2 18"])),
            [
                "chargers[0].label[1]: a number without its unit: write watts as in C1 65W, volts as in C1: 5V 3A"
            ]
        );
        assert_eq!(
            faults(Charger::new("desk").label("")),
            ["chargers[0].label: `label` is empty; leave it out, or write what is printed there"]
        );
    }
}
