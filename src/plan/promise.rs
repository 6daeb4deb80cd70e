//! What a charger promises: the least that a berth is granted whatever rule the charger
//! follows, as long as it withholds nothing from a device while power is left
//! (model.md, section 6).

use super::schedule::Slot;
use super::shared::governing_lines;
use crate::setup::contract::{Carries, Contract, Lift, Negotiation, carries};
use crate::setup::curve::promised_hours;
use crate::setup::document::Reserve;
use crate::setup::ids::PortId;
use crate::setup::{ChargerSpec, DeviceSpec, PortSpec, Setup};
use crate::solve::model::NO_TIME;
use crate::units::{from_millionths, millionths};
use crate::usb::Connector;

/// What every USB port gives at least, if the charger can: 5 V at 1.5 A (USB Type-C R2.1; read
/// in secondary texts).
const FLOOR_W: f64 = 7.5;

/// What is certain of a berth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Promise {
    /// None where nothing is negotiated at so few watts.
    pub(crate) contract: Option<Contract>,
    /// Time to full; none where it is never.
    pub(crate) hours: Option<f64>,
}

impl Promise {
    /// When it is full at the latest in whole 1e-6 h, never being later than any time.
    pub(crate) fn time(&self) -> i64 {
        self.hours.map_or(NEVER, millionths)
    }
}

/// Later than any time.
pub(crate) const NEVER: i64 = NO_TIME;

/// By slot, what is certain of it beside the others.
pub(crate) fn promises(setup: &Setup, slots: &[Slot]) -> Vec<Promise> {
    lasting_promises(setup, slots, &[slots])
}

/// As [`promises`], where the slots of each session are known: a slot's grant is the least
/// over those that it lasts through.
pub(crate) fn lasting_promises(
    setup: &Setup,
    slots: &[Slot],
    sessions: &[&[Slot]],
) -> Vec<Promise> {
    let mut least: Vec<Option<Granted>> = vec![None; slots.len()];
    for in_use in sessions {
        for (granted, slot) in grants(setup, in_use).into_iter().zip(*in_use) {
            let at = slots.iter().position(|of| of.device == slot.device);
            if let Some(least) = at.map(|at| &mut least[at]) {
                *least = Some(least.map_or(granted, |before| before.least(granted)));
            }
        }
    }
    let each = slots.iter().zip(least);
    each.map(|(slot, granted)| {
        let carried = carries(&setup.cables[slot.cable], Lift::Nothing);
        let meeting = Asking::of(setup, slot.port, &carried, &setup.devices[slot.device]);
        meeting.promise(granted.unwrap_or_default())
    })
    .collect()
}

/// What a berth is granted at least, and the floor under that, in whole 1e-6 W.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Granted {
    pub(crate) watts: i64,
    pub(crate) floor: i64,
}

impl Granted {
    fn least(self, other: Self) -> Self {
        Self {
            watts: self.watts.min(other.watts),
            floor: self.floor.min(other.floor),
        }
    }
}

/// By slot of one session.
pub(crate) fn grants(setup: &Setup, slots: &[Slot]) -> Vec<Granted> {
    let mut granted = vec![Granted::default(); slots.len()];
    for (c, charger) in setup.chargers.iter().enumerate() {
        let here: Vec<usize> = (0..slots.len())
            .filter(|&at| slots[at].port.charger.0 == c)
            .collect();
        if here.is_empty() {
            continue;
        }
        let ports: Vec<usize> = here.iter().map(|&at| slots[at].port.index).collect();
        let table = Table::of(charger, &ports);
        let loads: Vec<i64> = here
            .iter()
            .map(|&at| {
                let slot = &slots[at];
                let carried = carries(&setup.cables[slot.cable], Lift::Nothing);
                let device = &setup.devices[slot.device];
                let load = Asking::of(setup, slot.port, &carried, device).load(charger.reserve);
                load.min(table.most(slot.port.index))
            })
            .collect();
        for (&at, &own) in here.iter().zip(&loads) {
            let port = slots[at].port.index;
            let left = charger
                .pools
                .iter()
                .filter(|pool| pool.ports.contains(&port));
            let left = left.map(|pool| {
                let in_pool = ports.iter().zip(&loads);
                let in_pool = in_pool.filter(|(port, _)| pool.ports.contains(port));
                let others = in_pool.map(|(_, load)| load).sum::<i64>() - own;
                millionths(pool.max_w) - others
            });
            let cap = millionths(charger.ports[port].cap_w).min(table.least(port));
            let floor = floor(charger, port).min(cap);
            granted[at] = Granted {
                watts: left.min().unwrap_or(i64::MAX).max(floor).min(cap),
                floor,
            };
        }
    }
    granted
}

/// The least that a port is granted by its pools and its cap alone, whoever else draws, in
/// whole 1e-6 W.
pub(crate) fn floor(charger: &ChargerSpec, port: usize) -> i64 {
    // A supply of another connector gives what it prints or nothing.
    if matches!(charger.ports[port].connector, Connector::Other(_)) {
        return 0;
    }
    let pools = charger
        .pools
        .iter()
        .filter(|pool| pool.ports.contains(&port));
    let shares = pools.map(|pool| {
        let ports = u32::try_from(pool.ports.len()).unwrap_or(u32::MAX);
        millionths(pool.max_w / f64::from(ports))
    });
    let cap = millionths(charger.ports[port].cap_w);
    shares
        .min()
        .unwrap_or(i64::MAX)
        .min(cap)
        .min(millionths(FLOOR_W))
}

/// What the lines of a charger's table that govern the ports in use give.
struct Table<'a> {
    charger: &'a ChargerSpec,
    governing: Vec<usize>,
}

impl<'a> Table<'a> {
    fn of(charger: &'a ChargerSpec, ports: &[usize]) -> Self {
        let in_use: Vec<bool> = (0..charger.ports.len())
            .map(|p| ports.contains(&p))
            .collect();
        Self {
            charger,
            governing: governing_lines(charger, &in_use),
        }
    }

    fn given(&self, port: usize) -> impl Iterator<Item = i64> {
        let lines = self.governing.iter();
        lines.filter_map(move |&line| self.charger.lines[line].watts[port].map(millionths))
    }

    fn most(&self, port: usize) -> i64 {
        self.given(port).max().unwrap_or(i64::MAX)
    }

    fn least(&self, port: usize) -> i64 {
        self.given(port).min().unwrap_or(i64::MAX)
    }
}

/// A device on a port through a cable, as far as its charger's promise depends on them.
pub(crate) struct Asking<'a> {
    negotiation: Negotiation<'a>,
    /// The most that it asks for, in whole 1e-6 W.
    demand: i64,
}

impl<'a> Asking<'a> {
    pub(crate) fn of(
        setup: &'a Setup,
        port: PortId,
        cable: &'a Carries,
        device: &'a DeviceSpec,
    ) -> Self {
        Self::on(&setup[port], cable, device)
    }

    pub(crate) fn on(port: &'a PortSpec, cable: &'a Carries, device: &'a DeviceSpec) -> Self {
        let negotiation = Negotiation::best(port, cable, device);
        Self {
            demand: millionths(negotiation.demand_w()),
            negotiation,
        }
    }

    /// The most that it asks for, in whole 1e-6 W.
    pub(crate) fn demand(&self) -> i64 {
        self.demand
    }

    /// What it can take from others, in whole 1e-6 W.
    pub(crate) fn load(&self, reserve: Reserve) -> i64 {
        match reserve {
            Reserve::Contract => self.demand,
            Reserve::Offer => millionths(self.negotiation.port.cap_w),
        }
    }

    /// What is certain where it is granted so much.
    pub(crate) fn promise(&self, granted: Granted) -> Promise {
        self.at(self.negotiation.promised_at(self.held_at(granted)))
    }

    /// What is certain of a port that has all that it can give.
    pub(crate) fn promise_at_cap(&self) -> Promise {
        self.at(self.negotiation.promised_at(self.negotiation.port.cap_w))
    }

    fn at(&self, contract: Option<Contract>) -> Promise {
        let device = self.negotiation.device;
        Promise {
            contract,
            hours: contract.and_then(|contract| promised_hours(device, contract.inlet_w)),
        }
    }

    /// What comes of so much at best: nothing is open then but how the charger shares.
    pub(crate) fn at_best(&self, granted: Granted) -> Option<Contract> {
        self.negotiation.contract_at(self.held_at(granted))
    }

    /// The power at which the port is held: its cap where it may give what is asked, else the
    /// greatest tier that is granted, or the floor.
    fn held_at(&self, granted: Granted) -> f64 {
        if granted.watts >= self.demand {
            return self.negotiation.port.cap_w;
        }
        let tiers = self.negotiation.port.tiers_w.iter().rev();
        let tier = tiers
            .copied()
            .find(|&tier_w| millionths(tier_w) <= granted.watts);
        tier.filter(|&tier_w| millionths(tier_w) >= granted.floor)
            .unwrap_or_else(|| from_millionths(granted.floor))
    }

    /// The steps of what can be promised, from nothing upwards: what must be granted, and what
    /// is certain then. `floor` is [`floor`] of the port.
    pub(crate) fn steps(&self, floor: i64) -> Vec<Step> {
        let demand = self.demand;
        let mut needs: Vec<i64> = vec![0];
        let tiers = self.negotiation.port.tiers_w.iter().copied();
        needs.extend(tiers.map(millionths).filter(|&tier| tier < demand));
        if floor < demand {
            needs.push(floor);
        }
        needs.push(demand);
        needs.sort_unstable();
        needs.dedup();
        let mut steps: Vec<Step> = needs
            .into_iter()
            .map(|watts| Step {
                needs: watts,
                time: self
                    .promise(Granted {
                        watts,
                        floor: floor.min(watts),
                    })
                    .time(),
            })
            .collect();
        // Whoever is granted more is surely full no later: what a step says holds for all
        // above it.
        for at in (1..steps.len()).rev() {
            steps[at - 1].time = steps[at - 1].time.max(steps[at].time);
        }
        steps.dedup_by(|next, before| next.time == before.time);
        steps
    }
}

/// With so much granted, full by then, in whole 1e-6 W and 1e-6 h.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Step {
    pub(crate) needs: i64,
    pub(crate) time: i64,
}
