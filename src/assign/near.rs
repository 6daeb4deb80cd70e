//! The plan at hand, which another one is to stay near: where its devices are, and who is
//! elsewhere then.

use std::collections::BTreeSet;

use crate::assign::options::{Choice, Choices};
use crate::diagnostics::{Error, Findings, Path, Result, faults_of, near, shown};
use crate::plan::moves::{Move, Place};
use crate::plan::schedule::Slot;
use crate::plan::way::own_lead;
use crate::plan::{Berth, Plan};
use crate::setup::ids::{CableId, PortId};
use crate::setup::{CableSpec, Setup};
use crate::solve::model::{Assignment, Model};
use crate::units::millionths;

/// Where the devices of a setup are in the plan at hand.
#[derive(Debug, Clone)]
pub(crate) struct Near {
    /// By device of the setup; none where it has no berth there.
    former: Vec<Option<Former>>,
    /// What the plan at hand names and the setup has not, in sentences.
    gone: Vec<String>,
    limit: Option<Limit>,
}

/// That no more may move than so many.
#[derive(Debug, Clone)]
struct Limit {
    most: i64,
    /// By device of the setup, what its berth takes from the pools, and its tier, both in whole
    /// 1e-6 W: the plan at hand is one that moves nobody.
    held: Vec<Option<(i64, i64)>>,
}

/// Where a device is in the plan at hand, as far as the setup has that.
#[derive(Debug, Clone)]
pub(crate) struct Former {
    place: Place,
    pub(crate) port: Option<Grouped<PortId>>,
    pub(crate) cable: Option<Grouped<CableId>>,
}

/// A port or a cable, and the group of those that are like it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Grouped<T> {
    pub(crate) id: T,
    pub(crate) group: usize,
}

impl Former {
    /// Whether a place in these groups is another one.
    fn is_left(&self, port: usize, cable: usize) -> bool {
        self.port.is_none_or(|own| own.group != port)
            || self.cable.is_none_or(|own| own.group != cable)
    }

    /// Whether a slot is the very place, or one like it.
    fn is_kept(&self, choices: &Choices, slot: &Slot) -> bool {
        let groups = choices.groups_of(slot);
        groups.is_some_and(|(port, cable)| !self.is_left(port, cable))
    }
}

pub(super) fn port_group(choices: &Choices, id: PortId) -> Option<usize> {
    let mut groups = choices.ports.iter();
    groups.position(|group| group.charger == id.charger.0 && group.ports.contains(&id.index))
}

pub(super) fn cable_group(choices: &Choices, id: CableId) -> Option<usize> {
    let mut groups = choices.cables.iter();
    groups.position(|group| group.cables.contains(&id.0))
}

impl Near {
    /// Where `plan` has the devices of `setup`.
    ///
    /// # Errors
    /// [`Error::Input`] where it has none of them, or a device or a port twice.
    pub(crate) fn of(setup: &Setup, plan: &Plan, choices: &Choices) -> Result<Self> {
        check(setup, plan, true)?;
        let mut former = vec![None; setup.devices.len()];
        for berth in &plan.berths {
            if let Some(device) = setup.device_names().position(|name| name == berth.device) {
                former[device] = Some(found(setup, berth, choices));
            }
        }
        let gone = gone(setup, plan);
        Ok(Self {
            former,
            gone,
            limit: None,
        })
    }

    /// The same where at most so many may move. The plan at hand has these slots.
    pub(crate) fn moving_at_most(&self, most: i64, setup: &Setup, slots: &[Slot]) -> Self {
        let mut held = vec![None; self.former.len()];
        for slot in slots {
            let takes = slot.takes(&setup.chargers[slot.port.charger]);
            held[slot.device.0] = Some((takes, millionths(slot.tier_w)));
        }
        Self {
            limit: Some(Limit { most, held }),
            ..self.clone()
        }
    }

    /// Where moves are limited, by how many, and the plan at hand as an assignment to begin with:
    /// nobody on a port would move all.
    pub(crate) fn begun(&self, model: &Model) -> Option<(i64, Assignment)> {
        let Limit { most, held } = self.limit.as_ref()?;
        let here = |(at, &device): (usize, &usize)| {
            let Some((takes, tier)) = held[device] else {
                return Some(None);
            };
            let mut open = model.of_device[at].clone();
            let kept = open.by_ref().filter(|&column| {
                let column = model.column(column);
                !column.moved && column.takes <= takes && column.tier <= tier
            });
            kept.min_by_key(|&column| model.column(column).needs)
                .map(Some)
        };
        let assignment: Option<Assignment> = model.devices.iter().enumerate().map(here).collect();
        let assignment = assignment.filter(|assignment| model.holds(assignment));
        assignment.map(|assignment| (*most, assignment))
    }

    pub(crate) fn is_limited(&self) -> bool {
        self.limit.is_some()
    }

    pub(crate) fn former(&self, device: usize) -> Option<&Former> {
        self.former[device].as_ref()
    }

    /// Whether a device that makes this choice moves.
    pub(crate) fn is_move(&self, choice: &Choice) -> bool {
        let former = self.former(choice.device);
        former.is_some_and(|former| former.is_left(choice.port, choice.cable))
    }

    /// Who moves where a plan has these slots, in the order of the devices.
    pub(crate) fn moves(&self, setup: &Setup, choices: &Choices, slots: &[Slot]) -> Vec<Move> {
        let devices = self.former.iter().enumerate();
        let moved = devices.filter_map(|(device, former)| {
            let former = former.as_ref()?;
            let slot = slots.iter().find(|slot| slot.device.0 == device);
            if slot.is_some_and(|slot| former.is_kept(choices, slot)) {
                return None;
            }
            Some(Move {
                device: setup.devices[device].name.clone(),
                from: former.place.clone(),
                to: slot.map(|slot| place(setup, slot)),
            })
        });
        moved.collect()
    }

    /// What the plan at hand names and the setup has not any more, each once.
    pub(crate) fn cautions(&self) -> &[String] {
        &self.gone
    }
}

fn place(setup: &Setup, slot: &Slot) -> Place {
    Place {
        charger: setup.chargers[slot.port.charger].name.clone(),
        port: setup[slot.port].name.clone(),
        cable: setup.cables[slot.cable].name.clone(),
    }
}

/// What is wrong with a plan that another one should stay near, or begin with: `once` where each
/// port may have one device.
pub(super) fn check(setup: &Setup, plan: &Plan, once: bool) -> Result<()> {
    let mut findings = Findings::new();
    let path = Path::default().field("berths");
    let (mut devices, mut ports) = (BTreeSet::new(), BTreeSet::new());
    for (i, berth) in plan.berths.iter().enumerate() {
        if !devices.insert(&berth.device) {
            let message = format!("\"{}\" has a berth already", shown(&berth.device));
            findings.add(path.index(i).field("device"), message);
        }
        if !ports.insert((&berth.charger, &berth.port)) && once {
            let message = "another device is on this port already";
            findings.add(path.index(i).field("port"), message);
        }
    }
    let without = plan.without_berth.iter().map(|left| &left.device);
    let mut named = devices.into_iter().chain(without).peekable();
    let is_there = |name: &String| setup.device_names().any(|device| device == name);
    if let Some(&first) = named.peek()
        && !named.any(is_there)
    {
        let message = "none of its devices is in the setup: this is a plan for other things";
        let suggestion = near(first, setup.device_names());
        findings.add(path, message).near(suggestion);
    }
    if findings.is_empty() {
        Ok(())
    } else {
        Err(Error::Input(faults_of(findings)))
    }
}

/// A port of the setup, by the names that a berth has.
pub(super) fn port_of(setup: &Setup, berth: &Berth) -> Option<PortId> {
    let charger = setup
        .charger_names()
        .position(|name| name == berth.charger)?;
    let ports = &setup.chargers[charger].ports;
    let port = ports.iter().position(|port| port.name == berth.port)?;
    Some(PortId::new(charger, port))
}

/// A cable of the setup, by the name that a berth has: first the lead of its port.
pub(super) fn cable_of(setup: &Setup, port: Option<PortId>, berth: &Berth) -> Option<CableId> {
    let lead = port.and_then(|port| own_lead(setup, port, &berth.cable));
    lead.or_else(|| {
        let named = |cable: &CableSpec| cable.name == berth.cable && cable.lead_of.is_none();
        setup.cables.iter().position(named).map(CableId)
    })
}

fn found(setup: &Setup, berth: &Berth, choices: &Choices) -> Former {
    let port = port_of(setup, berth);
    let cable = cable_of(setup, port, berth);
    let grouped_port = |id| port_group(choices, id).map(|group| Grouped { id, group });
    let grouped_cable = |id| cable_group(choices, id).map(|group| Grouped { id, group });
    Former {
        place: berth.into(),
        port: port.and_then(grouped_port),
        cable: cable.and_then(grouped_cable),
    }
}

/// What the plan names and the setup has not, each once, in the order of the berths.
fn gone(setup: &Setup, plan: &Plan) -> Vec<String> {
    let mut gone: Vec<String> = Vec::new();
    let mut tell = |what: String| {
        let sentence = format!("no longer there: {what}, which the plan at hand has");
        if !gone.contains(&sentence) {
            gone.push(sentence);
        }
    };
    for berth in &plan.berths {
        let port = port_of(setup, berth);
        if !setup.device_names().any(|name| name == berth.device) {
            tell(berth.device.clone());
        }
        if !setup.charger_names().any(|name| name == berth.charger) {
            tell(format!("charger {}", berth.charger));
        } else if port.is_none() {
            tell(format!("port {} of {}", berth.port, berth.charger));
        }
        if cable_of(setup, port, berth).is_none() {
            tell(format!("cable {}", berth.cable));
        }
    }
    gone
}
