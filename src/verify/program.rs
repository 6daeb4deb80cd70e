//! The whole numbers of model.md, sections 5 and 6, as a proof speaks of them: every way of
//! every device, by the check's own negotiation, and what it takes from which limit.
//!
//! Ports and cables stand one by one, nothing is grouped: long, and to be read beside
//! the definition.

pub(super) mod claimed;

use super::carried::is_elsewhere;
use super::negotiation::{Contract, Lifted, contracts, demand_w, sure_contract};
use super::rota::night::Night;
use super::time::{hours_to_full, sure_hours};
use crate::diagnostics::{Error, Fault, Result};
use crate::setup::document::{Aim, Reserve};
use crate::setup::ids::{CableId, PortId};
use crate::setup::{DeviceSpec, Setup};
use crate::units::{from_millionths, millionths};
use crate::usb::Connector;

/// The most ways, counted port by port, cable by cable and session by session, that are
/// proven about.
const MOST_WAYS: usize = 1_000_000;

/// Later than any time.
pub(crate) const NEVER: i64 = 1 << 60;

/// How many hours one of a device counts for, by rank.
const HOURS_COUNT: [i64; 3] = [4, 2, 1];

/// Where a berth is, and through which sessions it lasts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Seat {
    /// Over all chargers.
    pub(crate) port: usize,
    pub(crate) cable: usize,
    pub(crate) first: usize,
    pub(crate) last: usize,
}

/// One way of a device: where it sits, what that takes, and what it claims of time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Way {
    /// `None` without a berth.
    pub(crate) seat: Option<Seat>,
    /// Volts and amperes of the contract at best.
    pub(crate) contract: (i64, i64),
    /// From the pools of its port.
    pub(crate) takes: i64,
    pub(crate) tier: i64,
    /// What it can take from others, where promises count.
    pub(crate) load: i64,
    /// The grant that its time asks for, where promises count.
    pub(crate) need: i64,
    /// When it is full, by the aim.
    pub(crate) time: i64,
    pub(crate) late: bool,
    /// What it counts in the sum of hours.
    pub(crate) hours: i64,
    /// Watts, over sessions the watt-hours held.
    pub(crate) watts: i64,
}

impl Way {
    pub(crate) fn is_during(&self, session: usize) -> bool {
        self.seat
            .is_some_and(|seat| (seat.first..=seat.last).contains(&session))
    }
}

/// A device that needs a berth.
#[derive(Debug, Clone)]
pub(crate) struct Agent {
    /// Index into the setup's devices.
    pub(crate) device: usize,
    /// One less than the priority.
    pub(crate) rank: usize,
    pub(crate) missing: i64,
    /// Without a berth first; then by port, cable, session, contract and claim.
    pub(crate) ways: Vec<Way>,
}

#[derive(Debug, Clone)]
pub(crate) struct Port {
    /// What is granted whatever the others take, its table aside.
    pub(crate) floor: i64,
}

#[derive(Debug, Clone)]
pub(crate) struct Pool {
    /// Over all chargers.
    pub(crate) ports: Vec<usize>,
    pub(crate) max: i64,
    /// Whether its charger has combinations.
    pub(crate) in_table: bool,
}

/// The combinations of one charger.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    /// Its ports, over all chargers.
    pub(crate) ports: std::ops::Range<usize>,
    /// By line and by port of the charger: the whole 1e-6 W given.
    pub(crate) lines: Vec<Vec<Option<i64>>>,
    /// The pools of the charger.
    pub(crate) pools: Vec<usize>,
}

/// Everything there is to choose from, and the limits.
#[derive(Debug, Clone)]
pub(crate) struct Program {
    pub(crate) agents: Vec<Agent>,
    pub(crate) sessions: usize,
    pub(crate) ports: Vec<Port>,
    pub(crate) pools: Vec<Pool>,
    /// How many there are of each.
    pub(crate) cables: Vec<i64>,
    pub(crate) tables: Vec<Table>,
    /// Whether times are those promised.
    pub(crate) by_promise: bool,
    pub(crate) tolerance: i64,
}

impl Program {
    /// # Errors
    /// [`Error::Input`] where there are too many ways to prove anything about.
    pub(crate) fn of(setup: &Setup) -> Result<Self> {
        let mut program = Self {
            agents: Vec::new(),
            sessions: setup.sessions.len().max(1),
            ports: Vec::new(),
            pools: Vec::new(),
            cables: setup.cables.iter().map(|c| i64::from(c.count)).collect(),
            tables: Vec::new(),
            by_promise: setup.aim == Aim::Promise,
            tolerance: millionths(setup.tolerance_h),
        };
        program.add_chargers(setup);
        let night = Night::of(setup);
        let mut count = 0;
        for (index, device) in setup.devices.iter().enumerate() {
            if !device.needs_berth() {
                continue;
            }
            let ways = program.ways_of(setup, &night, device);
            count += ways.len();
            if count > MOST_WAYS {
                return Err(too_many());
            }
            program.agents.push(Agent {
                device: index,
                rank: usize::from(device.priority) - 1,
                missing: millionths(device.missing_wh()),
                ways,
            });
        }
        Ok(program)
    }

    fn add_chargers(&mut self, setup: &Setup) {
        for (charger, spec) in setup.chargers.iter().enumerate() {
            let (port, pool) = (self.ports.len(), self.pools.len());
            let in_table = !spec.lines.is_empty();
            for at in 0..spec.ports.len() {
                let floor = floor(setup, charger, at);
                self.ports.push(Port { floor });
            }
            self.pools.extend(spec.pools.iter().map(|of| Pool {
                ports: of.ports.iter().map(|at| port + at).collect(),
                max: millionths(of.max_w),
                in_table,
            }));
            if in_table {
                let given = |watts: &Vec<Option<f64>>| {
                    let of_port = |at| watts.get(at).copied().flatten().map(millionths);
                    (0..spec.ports.len()).map(of_port).collect()
                };
                self.tables.push(Table {
                    ports: port..self.ports.len(),
                    lines: spec.lines.iter().map(|line| given(&line.watts)).collect(),
                    pools: (pool..self.pools.len()).collect(),
                });
            }
        }
    }

    fn ways_of(&self, setup: &Setup, night: &Night, device: &DeviceSpec) -> Vec<Way> {
        let mut ways = vec![Way {
            seat: None,
            contract: (0, 0),
            takes: 0,
            tier: 0,
            load: 0,
            need: 0,
            time: 0,
            late: false,
            hours: 0,
            watts: 0,
        }];
        let firsts: Vec<usize> = (0..self.sessions)
            .filter(|&session| may_start(setup, device, session))
            .collect();
        let mut number = 0;
        for (c, charger) in setup.chargers.iter().enumerate() {
            for p in 0..charger.ports.len() {
                let id = PortId::new(c, p);
                if device.pinned_port.is_none_or(|pin| pin == id) {
                    for (k, cable) in setup.cables.iter().enumerate() {
                        let pinned = device.pinned_cable.is_none_or(|pin| pin == CableId(k));
                        if pinned && !is_elsewhere(cable, id) {
                            let place = Placed {
                                setup,
                                night,
                                device,
                                charger: c,
                                port: p,
                                number,
                                cable: k,
                                floor: self.ports[number].floor,
                            };
                            place.add_ways(&firsts, &mut ways);
                        }
                    }
                }
                number += 1;
            }
        }
        ways
    }
}

fn too_many() -> Error {
    let message = format!(
        "there is no proof about more than {MOST_WAYS} ways to sit, counted port by port and \
         cable by cable"
    );
    Error::Input(vec![Fault {
        message,
        ..Fault::default()
    }])
}

fn may_start(setup: &Setup, device: &DeviceSpec, session: usize) -> bool {
    let sessions = &setup.sessions;
    sessions.is_empty() || sessions[session].swap && device.is_at_hand(session)
}

/// What a port gives whatever the others take, its table aside, in whole 1e-6 W.
fn floor(setup: &Setup, charger: usize, port: usize) -> i64 {
    let spec = &setup.chargers[charger];
    if matches!(spec.ports[port].connector, Connector::Other(_)) {
        return 0;
    }
    let shares = spec
        .pools
        .iter()
        .filter(|pool| pool.ports.contains(&port))
        .map(|pool| {
            let ports = u32::try_from(pool.ports.len()).unwrap_or(u32::MAX);
            millionths(pool.max_w / f64::from(ports))
        });
    let cap = millionths(spec.ports[port].cap_w);
    shares.fold(millionths(7.5).min(cap), i64::min)
}

/// A device on a port through a cable.
struct Placed<'a> {
    setup: &'a Setup,
    night: &'a Night,
    device: &'a DeviceSpec,
    charger: usize,
    port: usize,
    /// Of the port over all chargers.
    number: usize,
    cable: usize,
    floor: i64,
}

impl Placed<'_> {
    fn add_ways(&self, firsts: &[usize], ways: &mut Vec<Way>) {
        let charger = &self.setup.chargers[self.charger];
        let port = &charger.ports[self.port];
        let cable = &self.setup.cables[self.cable];
        let options: Vec<(Contract, f64)> = contracts(port, cable, self.device, Lifted::Nothing)
            .into_iter()
            .filter_map(|c| hours_to_full(self.device, c.inlet_w).map(|hours| (c, hours)))
            .collect();
        if options.is_empty() {
            return;
        }
        let by_promise = self.setup.aim == Aim::Promise;
        let claims = if by_promise {
            self.claims()
        } else {
            Vec::new()
        };
        let load = match charger.reserve {
            _ if !by_promise => 0,
            Reserve::Offer => millionths(port.cap_w),
            Reserve::Contract => millionths(demand_w(port, cable, self.device)),
        };
        for &first in firsts {
            for (contract, hours) in &options {
                let (last, finish, full) = self.stay(first, *hours);
                let tier = millionths(contract.tier_w);
                let way = Way {
                    seat: Some(Seat {
                        port: self.number,
                        cable: self.cable,
                        first,
                        last,
                    }),
                    contract: (millionths(contract.volts), millionths(contract.amps)),
                    takes: match charger.reserve {
                        Reserve::Offer => tier,
                        Reserve::Contract => millionths(contract.port_w()),
                    },
                    tier,
                    load,
                    need: 0,
                    time: finish,
                    late: !full || self.is_late(finish),
                    hours: finish * HOURS_COUNT[usize::from(self.device.priority) - 1],
                    watts: self.held(contract, first, last),
                };
                if !by_promise {
                    ways.push(way);
                    continue;
                }
                for &(need, time) in &claims {
                    let time = self.finish(first, time);
                    ways.push(Way {
                        need,
                        time,
                        late: self.is_late(time) || time > self.ends(last),
                        ..way.clone()
                    });
                }
            }
        }
    }

    /// The grants that make a difference, each with the time that is promised by then: it
    /// is never longer than with less. With no grant that is never.
    fn claims(&self) -> Vec<(i64, i64)> {
        let port = &self.setup.chargers[self.charger].ports[self.port];
        let cable = &self.setup.cables[self.cable];
        let demand = millionths(demand_w(port, cable, self.device));
        let floor = (self.floor, from_millionths(self.floor));
        let tiers = port.tiers_w.iter().map(|&w| (millionths(w), w));
        let mut held: Vec<(i64, f64)> = tiers
            .chain([floor])
            .filter(|(need, _)| (1..demand).contains(need))
            .collect();
        held.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)));
        held.dedup_by_key(|(need, _)| *need);
        held.push((demand, port.cap_w));
        let mut claims = vec![(0, NEVER)];
        for (need, held_w) in held {
            let contract = sure_contract(port, cable, self.device, held_w);
            let hours = contract.and_then(|c| sure_hours(self.device, c.inlet_w));
            let time = hours.map_or(NEVER, millionths);
            let possible = need <= millionths(port.cap_w);
            if possible && claims.last().is_none_or(|&(_, before)| time < before) {
                claims.push((need, time));
            }
        }
        claims
    }

    fn finish(&self, first: usize, time: i64) -> i64 {
        let start = self.night.starts.get(first).copied().unwrap_or(0);
        start.saturating_add(time).min(NEVER)
    }

    /// The last session of a berth, when the device is full, and whether it is by then.
    fn stay(&self, first: usize, hours: f64) -> (usize, i64, bool) {
        if self.setup.sessions.is_empty() {
            return (0, millionths(hours), true);
        }
        let stay = self.night.stay(self.device, first, hours);
        (stay.last, stay.finish, stay.full)
    }

    fn ends(&self, last: usize) -> i64 {
        self.night.ends.get(last).copied().unwrap_or(NEVER)
    }

    fn is_late(&self, time: i64) -> bool {
        let ready_by = self.device.ready_by_h.map(millionths);
        let end = self.night.ends.last().copied();
        ready_by.or(end).is_some_and(|by| time > by)
    }

    fn held(&self, contract: &Contract, first: usize, last: usize) -> i64 {
        let sessions = &self.setup.sessions;
        if sessions.is_empty() {
            return millionths(contract.port_w());
        }
        let hours: f64 = sessions[first..=last].iter().map(|s| s.hours).sum();
        millionths(contract.port_w() * hours)
    }
}
