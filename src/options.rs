//! Every way in which a device can sit: port, cable and contract, with its watts, its
//! tier and its hours; equal ports and equal cables grouped, dominated ways dropped.

use crate::curve::hours_to_full;
use crate::document::Reserve;
use crate::error::{Error, Fault, Result};
use crate::limits::MOST_CHOICES;
use crate::setup::{CableSpec, DeviceSpec, PortSpec, Setup};
use crate::units::millionths;
use crate::usb::Offer;
use crate::usb::contract::{Carries, Contract, Lift, carries, contract, joins};
use crate::usb::tier::offers_at;

/// Ports of one charger between which no plan can tell, except by their order.
#[derive(Debug, Clone)]
pub(crate) struct PortGroup {
    pub(crate) charger: usize,
    /// Indices into the charger's ports, ascending.
    pub(crate) ports: Vec<usize>,
    /// Indices into the charger's pools.
    pub(crate) pools: Vec<usize>,
    /// By line of the charger's combination table: the whole 1e-6 W granted.
    pub(crate) lines: Vec<Option<i64>>,
}

/// Cables between which no plan can tell, except by their order.
#[derive(Debug, Clone)]
pub(crate) struct CableGroup {
    /// Indices into the setup's cables, ascending.
    pub(crate) cables: Vec<usize>,
    /// How many of them there are in all.
    pub(crate) count: u32,
}

/// One way in which a device can sit.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Choice {
    /// Index into the setup's devices.
    pub(crate) device: usize,
    /// Index into [`Choices::ports`].
    pub(crate) port: usize,
    /// Index into [`Choices::cables`].
    pub(crate) cable: usize,
    pub(crate) contract: Contract,
    pub(crate) tier_w: f64,
    pub(crate) hours: f64,
    /// Time to full in whole 1e-6 h.
    pub(crate) time: i64,
    /// Volts × amps in whole 1e-6 W.
    pub(crate) watts: i64,
    /// The tier in whole 1e-6 W.
    pub(crate) tier: i64,
    /// What it takes from the pools, in whole 1e-6 W.
    pub(crate) takes: i64,
    pub(crate) late: bool,
}

impl Choice {
    /// The contract in whole millionths, as ties compare it.
    pub(crate) fn key(&self) -> (i64, i64) {
        (
            millionths(self.contract.volts),
            millionths(self.contract.amps),
        )
    }
}

/// All of them, by device.
#[derive(Debug, Clone)]
pub(crate) struct Choices {
    pub(crate) ports: Vec<PortGroup>,
    pub(crate) cables: Vec<CableGroup>,
    /// By device of the setup; empty where it needs no berth.
    pub(crate) by_device: Vec<Vec<Choice>>,
}

/// A port's offers at each of its tiers, ascending.
pub(crate) struct Ladder {
    rungs: Vec<(f64, Vec<Offer>)>,
}

impl Ladder {
    pub(crate) fn of(port: &PortSpec) -> Self {
        let rungs = port
            .tiers_w
            .iter()
            .map(|&tier| {
                (
                    tier,
                    offers_at(&port.offers, &port.connector, port.cap_w, tier),
                )
            })
            .collect();
        Self { rungs }
    }

    /// The distinct contracts over the tiers, each with its least tier.
    pub(crate) fn contracts(
        &self,
        cable: &Carries,
        device: &DeviceSpec,
        lift: Lift,
    ) -> Vec<(f64, Contract)> {
        let mut found: Vec<(f64, Contract)> = Vec::new();
        let mut push = |tier: f64, new: Contract| {
            let same = |old: &Contract| {
                millionths(old.volts) == millionths(new.volts)
                    && millionths(old.amps) == millionths(new.amps)
            };
            if !found.iter().any(|(_, old)| same(old)) {
                found.push((tier, new));
            }
        };
        for (tier, offers) in &self.rungs {
            if let Some(new) = contract(offers, *tier, cable, device, lift) {
                push(*tier, new);
            }
        }
        found
    }

    /// The contract where the port's own limit is lifted and more than its cap is left
    /// to it: it is then held at just what the contract needs.
    pub(crate) fn beyond(
        &self,
        room_w: f64,
        cable: &Carries,
        device: &DeviceSpec,
    ) -> Option<(f64, Contract)> {
        let (cap, offers) = self.rungs.last()?;
        let found = contract(offers, room_w, cable, device, Lift::Port)?;
        (room_w > *cap).then_some((found.port_w(), found))
    }
}

impl Choices {
    /// Enumerates the choices of every device that needs a berth.
    ///
    /// # Errors
    /// [`Error::Input`] where there are more than [`MOST_CHOICES`].
    pub(crate) fn of(setup: &Setup) -> Result<Self> {
        let ports = port_groups(setup);
        let cables = cable_groups(setup);
        let ladders: Vec<Ladder> = ports
            .iter()
            .map(|group| Ladder::of(&setup.chargers[group.charger].ports[group.ports[0]]))
            .collect();
        let carried: Vec<Carries> = cables
            .iter()
            .map(|group| carries(&setup.cables[group.cables[0]], Lift::Nothing))
            .collect();
        let mut by_device: Vec<Vec<Choice>> = Vec::with_capacity(setup.devices.len());
        let mut total = 0;
        for (index, device) in setup.devices.iter().enumerate() {
            // The devices of one `count` stand side by side and differ in name only.
            let twin = index
                .checked_sub(1)
                .filter(|&i| same_but_name(&setup.devices[i], device));
            let mut choices = match twin {
                Some(twin) => by_device[twin].clone(),
                None => enumerate(setup, device, &ports, &cables, &ladders, &carried),
            };
            for choice in &mut choices {
                choice.device = index;
            }
            total += choices.len();
            if total > MOST_CHOICES {
                return Err(too_many(index + 1, setup));
            }
            by_device.push(choices);
        }
        Ok(Self {
            ports,
            cables,
            by_device,
        })
    }
}

fn too_many(devices: usize, setup: &Setup) -> Error {
    let message = format!(
        "the first {devices} of {} devices alone have more than {MOST_CHOICES} ways to sit (port, \
         cable and contract): fewer unlike ports or kinds of cable are needed",
        setup.devices.len()
    );
    Error::Input(vec![Fault {
        path: "devices".to_owned(),
        message,
        ..Fault::default()
    }])
}

/// Whether two devices differ in name only, so that no plan can tell them apart except
/// by their order.
pub(crate) fn same_but_name(a: &DeviceSpec, b: &DeviceSpec) -> bool {
    DeviceSpec {
        name: String::new(),
        ..a.clone()
    } == DeviceSpec {
        name: String::new(),
        ..b.clone()
    }
}

fn enumerate(
    setup: &Setup,
    device: &DeviceSpec,
    ports: &[PortGroup],
    cables: &[CableGroup],
    ladders: &[Ladder],
    carried: &[Carries],
) -> Vec<Choice> {
    let mut choices = Vec::new();
    if !device.needs_berth() {
        return choices;
    }
    let ready_by = device.ready_by_h.map(millionths);
    for (port, group) in ports.iter().enumerate() {
        let charger = &setup.chargers[group.charger];
        let spec = &charger.ports[group.ports[0]];
        if device
            .pinned_port
            .is_some_and(|pin| pin != (group.charger, group.ports[0]))
        {
            continue;
        }
        for (cable, bundle) in cables.iter().enumerate() {
            if device
                .pinned_cable
                .is_some_and(|pin| pin != bundle.cables[0])
                || !joins(&spec.connector, &setup.cables[bundle.cables[0]], device)
            {
                continue;
            }
            let from = choices.len();
            for (tier_w, contract) in
                ladders[port].contracts(&carried[cable], device, Lift::Nothing)
            {
                if device.pinned_contract.is_some_and(|pin| !contract.is(pin)) {
                    continue;
                }
                let Some(hours) = hours_to_full(device, contract.inlet_w) else {
                    continue;
                };
                let (time, watts) = (millionths(hours), millionths(contract.port_w()));
                let tier = millionths(tier_w);
                let takes = match charger.reserve {
                    Reserve::Offer => tier,
                    Reserve::Contract => watts,
                };
                let fits = group
                    .pools
                    .iter()
                    .all(|&pool| takes <= millionths(charger.pools[pool].max_w))
                    && (group.lines.is_empty()
                        || group.lines.iter().flatten().any(|&granted| tier <= granted));
                if fits {
                    let late = ready_by.is_some_and(|ready_by| time > ready_by);
                    choices.push(Choice {
                        device: 0,
                        port,
                        cable,
                        contract,
                        tier_w,
                        hours,
                        time,
                        watts,
                        tier,
                        takes,
                        late,
                    });
                }
            }
            drop_dominated(&mut choices, from);
        }
    }
    choices
}

/// Drops, among the choices of one device on one port with one cable, those that no
/// best plan uses: another is as good in every limit and better in the plan's order.
fn drop_dominated(choices: &mut Vec<Choice>, from: usize) {
    let group = choices.split_off(from);
    for (i, choice) in group.iter().enumerate() {
        let beaten = group
            .iter()
            .enumerate()
            .any(|(j, other)| i != j && dominates(other, choice));
        if !beaten {
            choices.push(choice.clone());
        }
    }
}

fn dominates(a: &Choice, b: &Choice) -> bool {
    if a.takes > b.takes || a.tier > b.tier || a.time > b.time {
        return false;
    }
    a.time < b.time || (a.watts, a.key()) < (b.watts, b.key())
}

fn port_groups(setup: &Setup) -> Vec<PortGroup> {
    let mut groups: Vec<PortGroup> = Vec::new();
    for (c, charger) in setup.chargers.iter().enumerate() {
        let of_charger = groups.len();
        for (p, port) in charger.ports.iter().enumerate() {
            let pools: Vec<usize> = (0..charger.pools.len())
                .filter(|&pool| charger.pools[pool].ports.contains(&p))
                .collect();
            let lines: Vec<Option<i64>> = charger
                .lines
                .iter()
                .map(|line| line.watts[p].map(millionths))
                .collect();
            let pinned = setup
                .devices
                .iter()
                .any(|device| device.pinned_port == Some((c, p)));
            let twin = groups[of_charger..].iter_mut().find(|group| {
                let first = &charger.ports[group.ports[0]];
                let free = !setup
                    .devices
                    .iter()
                    .any(|device| device.pinned_port == Some((c, group.ports[0])));
                free && !pinned
                    && group.pools == pools
                    && group.lines == lines
                    && first.connector == port.connector
                    && first.offers == port.offers
                    && first.tiers_w == port.tiers_w
            });
            match twin {
                Some(group) => group.ports.push(p),
                None => groups.push(PortGroup {
                    charger: c,
                    ports: vec![p],
                    pools,
                    lines,
                }),
            }
        }
    }
    groups
}

fn cable_groups(setup: &Setup) -> Vec<CableGroup> {
    let mut groups: Vec<CableGroup> = Vec::new();
    let pinned = |index: usize| {
        setup
            .devices
            .iter()
            .any(|device| device.pinned_cable == Some(index))
    };
    for (index, cable) in setup.cables.iter().enumerate() {
        let twin = groups.iter_mut().find(|group| {
            let first = group.cables[0];
            !pinned(first) && !pinned(index) && same_cable(setup, &setup.cables[first], cable)
        });
        match twin {
            Some(group) => {
                group.cables.push(index);
                group.count += cable.count;
            }
            None => groups.push(CableGroup {
                cables: vec![index],
                count: cable.count,
            }),
        }
    }
    groups
}

/// Whether no plan can tell two cables apart: the same plugs, the same limits, and both
/// reach the same devices.
fn same_cable(setup: &Setup, a: &CableSpec, b: &CableSpec) -> bool {
    let reached = |cable: &CableSpec| {
        setup
            .devices
            .iter()
            .filter(|device| cable.length_m >= device.reach_m)
            .count()
    };
    a.from == b.from
        && a.to == b.to
        && carries(a, Lift::Nothing) == carries(b, Lift::Nothing)
        && reached(a) == reached(b)
}
