//! A change made: the document as it is with it.

use super::Change;
use crate::setup::document::{
    Cable, Charger, Combination, Device, PoolPorts, Port, Session, SetupDocument,
};
use crate::units::{from_millionths, millionths};

/// The pool that a charger's own `max_w` is (model.md, section 1).
const TOTAL: &str = "total";

impl Change {
    /// `document` with this change; `None` where it has nothing that the change names.
    /// The result is not checked yet.
    pub fn applied(&self, document: &SetupDocument) -> Option<SetupDocument> {
        let mut changed = document.clone();
        match self {
            Self::Pool {
                charger,
                name,
                to_w,
                ..
            } => limit(charger_of(&mut changed, charger)?, name, *to_w)?,
            Self::Port {
                charger,
                name,
                like,
                ..
            } => raise(charger_of(&mut changed, charger)?, name, like)?,
            Self::PortAdded {
                charger,
                name,
                like,
                ..
            } => add_port(charger_of(&mut changed, charger)?, name, like)?,
            Self::CableAdded { name, length_m } => {
                let cable = Cable::c_to_c(name).epr().length_m(*length_m);
                changed.cables.push(cable);
            }
            Self::Pin { name, port, cable } => {
                let device = split_out(&mut changed.devices, name)?;
                if port.is_some() {
                    device.port.take()?;
                }
                if cable.is_some() {
                    device.cable.take()?;
                }
            }
            Self::Swap { at_h } => {
                let half = |name| Session::new(name, *at_h);
                changed.sessions = vec![half("first half"), half("second half")];
                for device in &mut changed.devices {
                    device.sessions = None;
                }
            }
            Self::Combinations { name } => charger_of(&mut changed, name)?.combinations.clear(),
            Self::DeviceLess { name } => {
                split_out(&mut changed.devices, name)?;
                changed.devices.retain(|device| device.name != *name);
            }
            Self::Priority { names, to } => {
                for name in names {
                    split_out(&mut changed.devices, name)?.priority = Some(*to);
                }
            }
            Self::Start { to, earlier_h, .. } => begin(&mut changed, to, *earlier_h)?,
        }
        Some(changed)
    }
}

fn charger_of<'d>(document: &'d mut SetupDocument, name: &str) -> Option<&'d mut Charger> {
    document.chargers.iter_mut().find(|c| c.name == name)
}

fn limit(charger: &mut Charger, pool: &str, to_w: Option<f64>) -> Option<()> {
    if pool == TOTAL && charger.max_w.is_some() {
        charger.max_w = to_w;
        return Some(());
    }
    let at = charger.pools.iter().position(|p| p.name == pool)?;
    match to_w {
        Some(to_w) => charger.pools[at].max_w = to_w,
        None => drop(charger.pools.remove(at)),
    }
    Some(())
}

fn port_of(charger: &Charger, name: &str) -> Option<Port> {
    charger.ports.iter().find(|p| p.name == name).cloned()
}

fn raise(charger: &mut Charger, name: &str, like: &str) -> Option<()> {
    let like = port_of(charger, like)?;
    let port = charger.ports.iter_mut().find(|p| p.name == name)?;
    *port = Port {
        name: port.name.clone(),
        connector: port.connector.take(),
        ..like
    };
    Some(())
}

fn add_port(charger: &mut Charger, name: &str, like: &str) -> Option<()> {
    let twin = port_of(charger, like)?;
    charger.ports.push(Port {
        name: name.to_owned(),
        ..twin
    });
    for pool in &mut charger.pools {
        if let PoolPorts::Named(ports) = &mut pool.ports
            && ports.iter().any(|port| port == like)
        {
            ports.push(name.to_owned());
        }
    }
    let granted = |line: &Combination| line.0.iter().find(|(port, _)| port == like).cloned();
    let mut alone = Vec::new();
    for line in &mut charger.combinations {
        let Some((_, watts)) = granted(line) else {
            continue;
        };
        if line.0.len() == 1 {
            // What the port may have alone stays its own, and is the new one's too:
            // as one line of both, neither would have a line for itself.
            alone.push(line.clone());
            alone.push(Combination(vec![(name.to_owned(), watts)]));
        }
        line.0.push((name.to_owned(), watts));
    }
    charger.combinations.append(&mut alone);
    Some(())
}

/// Begins earlier: every time that is counted from the start is so much later.
fn begin(document: &mut SetupDocument, to: &str, earlier_h: f64) -> Option<()> {
    to.clone_into(document.start.as_mut()?);
    let earlier = millionths(earlier_h);
    let deadlines = document.devices.iter_mut();
    let deadlines = deadlines.filter_map(|device| device.ready_by_h.as_mut());
    let first = document.sessions.first_mut().map(|of| &mut of.hours);
    for hours in deadlines.chain(&mut document.session_h).chain(first) {
        *hours = from_millionths(millionths(*hours) + earlier);
    }
    Some(())
}

/// The device called `name`, counts expanded, as an entry of its own: where it is one of
/// several, they become as many entries under the names that they have anyway.
pub(in crate::decide) fn split_out<'d>(
    devices: &'d mut Vec<Device>,
    name: &str,
) -> Option<&'d mut Device> {
    let numbered = |device: &Device, number: u32| format!("{} {number}", device.name);
    let count = |device: &Device| device.count.unwrap_or(1);
    let at = devices.iter().position(|device| match count(device) {
        1 => device.name == name,
        several => (1..=several).any(|number| numbered(device, number) == name),
    })?;
    if count(&devices[at]) > 1 {
        let whole = devices.remove(at);
        let each = (1..=count(&whole)).map(|number| Device {
            name: numbered(&whole, number),
            count: None,
            ..whole.clone()
        });
        devices.splice(at..at, each.collect::<Vec<_>>());
    }
    devices.iter_mut().find(|device| device.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn document() -> SetupDocument {
        SetupDocument::new()
            .charger(
                Charger::new("desk")
                    .port(Port::pd("C1", 65.0))
                    .port(Port::usb_c("C2", "5V 3A, 9V 2A").max_w(15.0))
                    .max_w(75.0)
                    .pool("lower bank", ["C1", "C2"], 60.0)
                    .pool("fan side", ["C2"], 20.0)
                    .combination([("C1", 60.0)])
                    .combination([("C1", 45.0), ("C2", 15.0)]),
            )
            .device(Device::new("phone", 15.0).pd_w(18.0).count(3).port("C2"))
            .device(
                Device::new("laptop", 60.0)
                    .pd_w(65.0)
                    .port("C1")
                    .cable("white"),
            )
            .cable(Cable::c_to_c("white"))
    }

    fn pool(name: &str, to_w: Option<f64>) -> Change {
        Change::Pool {
            charger: "desk".to_owned(),
            name: name.to_owned(),
            from_w: 0.0,
            to_w,
        }
    }

    fn pin(name: &str, port: bool, cable: bool) -> Change {
        let named = |given: bool| given.then(String::new);
        Change::Pin {
            name: name.to_owned(),
            port: named(port),
            cable: named(cable),
        }
    }

    #[test]
    fn pools_are_set_and_dropped_by_name() {
        for (change, total, lower) in [
            (pool("total", None), None, Some(60.0)),
            (pool("total", Some(90.0)), Some(90.0), Some(60.0)),
            (pool("lower bank", None), Some(75.0), None),
            (pool("lower bank", Some(70.0)), Some(75.0), Some(70.0)),
        ] {
            let changed = change.applied(&document()).expect("there is such a pool");
            let desk = &changed.chargers[0];
            let found = desk.pools.iter().find(|pool| pool.name == "lower bank");
            assert_eq!((desk.max_w, found.map(|pool| pool.max_w)), (total, lower));
        }
        assert_eq!(pool("upper bank", None).applied(&document()), None);
    }

    #[test]
    fn a_raised_port_supplies_what_the_other_does() {
        let change = Change::Port {
            charger: "desk".to_owned(),
            name: "C2".to_owned(),
            like: "C1".to_owned(),
            from_w: 15.0,
            to_w: 65.0,
        };
        let changed = change.applied(&document()).expect("there is such a port");
        assert_eq!(changed.chargers[0].ports[1], Port::pd("C2", 65.0));
    }

    #[test]
    fn a_new_port_stands_wherever_its_model_does() {
        let change = Change::PortAdded {
            charger: "desk".to_owned(),
            name: "N".to_owned(),
            like: "C1".to_owned(),
            to_w: 65.0,
        };
        let changed = change.applied(&document()).expect("there is such a port");
        let desk = &changed.chargers[0];
        assert_eq!(desk.ports[2], Port::pd("N", 65.0));
        let named = |ports: &[&str]| PoolPorts::Named(ports.iter().map(|&p| p.into()).collect());
        assert_eq!(desk.pools[0].ports, named(&["C1", "C2", "N"]));
        assert_eq!(desk.pools[1].ports, named(&["C2"]));
        let line =
            |of: &[(&str, f64)]| Combination(of.iter().map(|&(p, w)| (p.into(), w)).collect());
        assert_eq!(
            desk.combinations,
            [
                line(&[("C1", 60.0), ("N", 60.0)]),
                line(&[("C1", 45.0), ("C2", 15.0), ("N", 45.0)]),
                line(&[("C1", 60.0)]),
                line(&[("N", 60.0)]),
            ]
        );
    }

    #[test]
    fn a_swap_halves_the_night_for_everything() {
        let mut document = document().session(Session::new("evening", 3.0));
        document.devices[0].sessions = Some(vec!["evening".to_owned()]);
        let changed = Change::Swap { at_h: 4.0 }.applied(&document);
        let changed = changed.expect("every night can be halved");
        let hours: Vec<f64> = changed.sessions.iter().map(|s| s.hours).collect();
        assert_eq!(hours, [4.0, 4.0]);
        assert_eq!(changed.devices[0].sessions, None);
    }

    #[test]
    fn an_earlier_start_leaves_every_time_of_day() {
        let mut document = document().session(Session::new("evening", 3.0));
        document.devices[1].ready_by_h = Some(8.0);
        let change = |from: &str| Change::Start {
            from: from.to_owned(),
            to: "21:30".to_owned(),
            earlier_h: 1.0,
        };
        assert_eq!(change("22:30").applied(&document), None);
        let changed = change("22:30").applied(&document.start("22:30").session_h(9.0));
        let changed = changed.expect("it is known when it begins");
        assert_eq!(changed.start.as_deref(), Some("21:30"));
        let hours = (changed.session_h, changed.devices[1].ready_by_h);
        assert_eq!(hours, (Some(10.0), Some(9.0)));
        assert_eq!(changed.devices[0].ready_by_h, None);
        assert_eq!(changed.sessions[0].hours, 4.0);
    }

    #[test]
    fn one_of_several_stays_away_or_comes_first() {
        let names = |document: &SetupDocument| -> Vec<String> {
            document.devices.iter().map(|of| of.name.clone()).collect()
        };
        let name = "phone 2".to_owned();
        let less = Change::DeviceLess { name: name.clone() }.applied(&document());
        let less = less.expect("there is such a device");
        assert_eq!(names(&less), ["phone 1", "phone 3", "laptop"]);
        let names = vec![name, "laptop".to_owned()];
        let first = Change::Priority { names, to: 1 }.applied(&document());
        let first = first.expect("there are such devices").devices;
        let priorities: Vec<_> = first.iter().map(|of| of.priority).collect();
        assert_eq!(priorities, [None, Some(1), None, Some(1)]);
    }

    #[test]
    fn one_of_several_loses_its_pin_alone() {
        let changed = pin("phone 2", true, false)
            .applied(&document())
            .expect("it is pinned");
        let found: Vec<(&str, bool)> = changed
            .devices
            .iter()
            .map(|device| (device.name.as_str(), device.port.is_some()))
            .collect();
        let expected = [
            ("phone 1", true),
            ("phone 2", false),
            ("phone 3", true),
            ("laptop", true),
        ];
        assert_eq!(found, expected);
        for (port, cable) in [(true, false), (false, true), (true, true)] {
            let changed = pin("laptop", port, cable).applied(&document());
            let devices = changed.expect("it is pinned").devices;
            assert_eq!(
                (devices[1].port.is_none(), devices[1].cable.is_none()),
                (port, cable)
            );
        }
        assert_eq!(pin("phone 4", true, false).applied(&document()), None);
        assert_eq!(pin("phone 1", false, true).applied(&document()), None);
    }
}
