//! Every way in which a device can sit: port, cable and contract, with its watts, its
//! tier and its hours; equal ports and equal cables grouped, dominated ways dropped.

mod asks;
mod size;
mod ways;

use crate::assign::near::{Near, cable_group, port_group};
use crate::assign::start::Start;
use crate::diagnostics::Result;
use crate::limits::{MOST_CHOICES, MOST_ENTRIES, MOST_JOINED};
use crate::plan::Plan;
use crate::plan::schedule::Slot;
use crate::plan::sessions::{Occupancy, Sessions};
use crate::setup::contract::{Carries, Contract, Lift, carries};
use crate::setup::document::Reserve;
use crate::setup::ids::{CableId, DeviceId, PortId};
use crate::setup::{CableSpec, DeviceSpec, Setup};
use crate::solve::budget::Budget;
use crate::units::millionths;
use asks::AskList;
pub(crate) use asks::Asks;
use size::{joined, too_many, too_many_entries, too_many_joined};
pub(crate) use ways::Memory;
use ways::{Meeting, PortWays, Way};

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

impl PortGroup {
    /// Whether its ports are in a pool of a charger.
    pub(crate) fn is_in(&self, charger: usize, pool: usize) -> bool {
        self.charger == charger && self.pools.binary_search(&pool).is_ok()
    }
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
    /// When it is full, in whole 1e-6 h from the start.
    pub(crate) time: i64,
    /// What the plan's order counts of the power: volts × amps in whole 1e-6 W; over
    /// sessions the watt-hours held, in whole 1e-6 Wh.
    pub(crate) watts: i64,
    /// The tier in whole 1e-6 W.
    pub(crate) tier: i64,
    /// What it takes from the pools, in whole 1e-6 W.
    pub(crate) takes: i64,
    pub(crate) late: bool,
    /// The first and the last session that it lasts; both 0 where there is only one.
    pub(crate) first: usize,
    pub(crate) last: usize,
    /// Index into [`Choices::asks`].
    pub(crate) asks: usize,
}

impl Choice {
    /// The slot that it is on a port of its group and a cable of its kind.
    pub(crate) fn on(&self, port: PortId, cable: CableId) -> Slot {
        Slot {
            device: DeviceId(self.device),
            port,
            cable,
            contract: self.contract,
            tier_w: self.tier_w,
            hours: self.hours,
            late: self.late,
            first: self.first,
            last: self.last,
        }
    }

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
    /// What devices on ports through cables ask of their charger; one that asks nothing where
    /// a plan is not chosen by what is promised.
    pub(crate) asks: Vec<Asks>,
    /// How many sessions follow one another.
    pub(crate) sessions: usize,
    /// The plan that is to be stayed near, if any.
    pub(crate) near: Option<Near>,
    /// What the search begins with, if anything is known from before.
    pub(crate) start: Option<Start>,
    complete: bool,
}

/// Ports and cables that are told apart by name, so that none is grouped with its like.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ungrouped {
    pub(crate) ports: Vec<PortId>,
    pub(crate) cables: Vec<CableId>,
}

impl Choices {
    /// Enumerates the choices of every device that needs a berth.
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) where there are more than [`MOST_CHOICES`].
    pub(crate) fn of(setup: &Setup, budget: &mut Budget) -> Result<Self> {
        let sessions = Sessions::one();
        let listing = Listing::anew();
        Self::on(setup, &Ungrouped::default(), &sessions, listing, budget)
    }

    /// The choices of a night of several sessions.
    ///
    /// # Errors
    /// As [`Choices::of`].
    pub(crate) fn over(
        setup: &Setup,
        sessions: &Sessions,
        apart: &Ungrouped,
        budget: &mut Budget,
    ) -> Result<Self> {
        Self::on(setup, apart, sessions, Listing::anew(), budget)
    }

    /// As [`Choices::of`], of a setup whose plan is to stay near the one at hand.
    ///
    /// # Errors
    /// As [`Choices::of`]; where the plan at hand is of other things.
    pub(crate) fn near(setup: &Setup, at_hand: &Plan, budget: &mut Budget) -> Result<Self> {
        let mut choices = Self::of(setup, budget)?;
        choices.near = Some(Near::of(setup, at_hand, &choices)?);
        Ok(choices)
    }

    /// As [`Choices::of`], with what may be known from other chargers of the same devices and
    /// cables.
    ///
    /// # Errors
    /// As [`Choices::of`].
    pub(crate) fn known(setup: &Setup, listing: Listing<'_>, budget: &mut Budget) -> Result<Self> {
        let sessions = Sessions::one();
        Self::on(setup, &Ungrouped::default(), &sessions, listing, budget)
    }

    /// The groups of ports and cables that a slot is of.
    pub(crate) fn groups_of(&self, slot: &Slot) -> Option<(usize, usize)> {
        port_group(self, slot.port).zip(cable_group(self, slot.cable))
    }

    /// Only the choices that are to be kept.
    pub(crate) fn keeping(&self, keep: impl Fn(&Choice) -> bool) -> Self {
        let mut asks: Vec<Asks> = Vec::new();
        let mut place_of: Vec<Option<usize>> = vec![None; self.asks.len()];
        let mut kept = |choice: &Choice| {
            let place = place_of[choice.asks].get_or_insert_with(|| {
                asks.push(self.asks[choice.asks].clone());
                asks.len() - 1
            });
            Choice {
                asks: *place,
                ..choice.clone()
            }
        };
        let devices = self.by_device.iter();
        let by_device = devices
            .map(|own| {
                own.iter()
                    .filter(|choice| keep(choice))
                    .map(&mut kept)
                    .collect()
            })
            .collect();
        Self {
            ports: self.ports.clone(),
            cables: self.cables.clone(),
            by_device,
            asks,
            near: self.near.clone(),
            start: self.start.clone(),
            ..*self
        }
    }

    /// Whether the device of a choice is then elsewhere than in the plan that is to be stayed
    /// near.
    pub(crate) fn is_move(&self, choice: &Choice) -> bool {
        self.near.as_ref().is_some_and(|near| near.is_move(choice))
    }

    /// How many promises there are to tell apart, over all ways to sit.
    pub(crate) fn promises(&self) -> usize {
        let all = self.by_device.iter().flatten();
        all.map(|choice| self.asks[choice.asks].steps.len()).sum()
    }

    /// Whether all were listed: the clock or the flag may end that early, and then there
    /// is none.
    pub(crate) fn are_complete(&self) -> bool {
        self.complete
    }

    fn on(
        setup: &Setup,
        apart: &Ungrouped,
        sessions: &Sessions,
        listing: Listing<'_>,
        budget: &mut Budget,
    ) -> Result<Self> {
        let ports = port_groups(setup, apart);
        let cables = cable_groups(setup, apart);
        let carried: Vec<Carries> = cables
            .iter()
            .map(|group| carries(&setup.cables[group.cables[0]], Lift::Nothing))
            .collect();
        let meeting = Meeting {
            cables: &setup.cables,
            devices: &setup.devices,
            groups: &cables,
            carried: &carried,
        };
        let joined = joined(setup, &ports, &meeting);
        if joined > MOST_JOINED {
            return Err(too_many_joined(joined));
        }
        let mut by_device: Vec<Vec<Choice>> = vec![Vec::new(); setup.devices.len()];
        let mut asking = AskList::of(setup, &meeting);
        let mut complete = true;
        budget.spend(listing.steps(joined));
        let (mut total, mut entries, mut looked) = (0, 0, 0);
        'listing: for (port, group) in ports.iter().enumerate() {
            let limits = PortLimits::of(setup, port, group);
            let spec = &setup.chargers[group.charger].ports[group.ports[0]];
            asking.begin(limits.place);
            let mut ways = PortWays::on(limits.place, spec, &meeting, listing.memory);
            let before = total;
            for (device, own) in by_device.iter_mut().enumerate() {
                if looked > LOOKS_BEFORE_CLOCK {
                    if budget.is_stopped() {
                        complete = false;
                        break 'listing;
                    }
                    looked = 0;
                }
                let pin = setup.devices[device].pinned_port;
                if pin.is_some_and(|pin| pin != limits.place) {
                    continue;
                }
                let known = own.len();
                let ways = ways.of_device(device);
                looked += cables.len() + ways.len();
                limits.choices(sessions, device, &ways, &mut asking, own);
                total += own.len() - known;
                let lasting = own[known..]
                    .iter()
                    .map(|choice| 1 + choice.last - choice.first);
                entries += group.pools.len() * lasting.sum::<usize>();
                if total > MOST_CHOICES {
                    return Err(too_many(port + 1, ports.len()));
                }
                if entries > MOST_ENTRIES {
                    return Err(too_many_entries());
                }
            }
            budget.spend(listing.steps(total - before));
        }
        let asks = asking.all;
        if !complete {
            by_device.iter_mut().for_each(Vec::clear);
        }
        Ok(Self {
            ports,
            cables,
            by_device,
            asks,
            sessions: sessions.len(),
            near: None,
            start: None,
            complete,
        })
    }
}

/// Cables and ways looked at before the clock and the flag are: what takes no time is
/// listed whole, so that there is a plan under any limit.
const LOOKS_BEFORE_CLOCK: usize = 4_096;

/// How ways to sit are listed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Listing<'a> {
    memory: Option<&'a Memory>,
    ways_per_step: usize,
}

impl<'a> Listing<'a> {
    /// For one setup.
    pub(crate) fn anew() -> Self {
        Self {
            memory: None,
            ways_per_step: 8,
        }
    }

    /// For one of many chargers of a bag. It costs less, known or not, so that no answer depends
    /// on what is known.
    pub(crate) fn among_many(memory: Option<&'a Memory>) -> Self {
        Self {
            memory,
            ways_per_step: 16,
        }
    }

    /// As for one setup, and at that price, though some of it may be known.
    pub(crate) fn as_anew(memory: Option<&'a Memory>) -> Self {
        Self {
            memory,
            ..Self::anew()
        }
    }

    /// What so many ways cost beside the search: to be listed, modelled, and checked again.
    fn steps(&self, ways: usize) -> u64 {
        u64::try_from(ways / self.ways_per_step).unwrap_or(u64::MAX)
    }
}

/// Whether two devices differ in name only, so that no plan can tell them apart except
/// by their order.
pub(crate) fn same_but_name(a: &DeviceSpec, b: &DeviceSpec) -> bool {
    // Field by field, so that a new one cannot be forgotten here.
    let DeviceSpec {
        name: _,
        inlet,
        accepts,
        usb_a,
        max_w,
        min_w,
        battery_wh,
        start_pct,
        target_pct,
        draw_w,
        default_draw,
        promised,
        assumed: _,
        guessed_cell: _,
        efficiency,
        running_w,
        ready_by_h,
        priority,
        at_hand,
        reach_m,
        // Of which night a plan is, is settled before it.
        every_nights: _,
        pinned_port,
        pinned_cable,
        pinned_contract,
    } = a;
    *battery_wh == b.battery_wh
        && *start_pct == b.start_pct
        && *target_pct == b.target_pct
        && *max_w == b.max_w
        && *min_w == b.min_w
        && *efficiency == b.efficiency
        && *running_w == b.running_w
        && *ready_by_h == b.ready_by_h
        && *priority == b.priority
        && *at_hand == b.at_hand
        && *reach_m == b.reach_m
        && *pinned_port == b.pinned_port
        && *pinned_cable == b.pinned_cable
        && *pinned_contract == b.pinned_contract
        && *default_draw == b.default_draw
        && *inlet == b.inlet
        && *usb_a == b.usb_a
        && *promised == b.promised
        && *accepts == b.accepts
        && *draw_w == b.draw_w
}

/// Some devices, those together that differ in name only.
pub(super) fn twins(setup: &Setup, devices: impl Iterator<Item = usize>) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for device in devices {
        let is_twin = |group: &&mut Vec<usize>| {
            same_but_name(&setup.devices[group[0]], &setup.devices[device])
        };
        match groups.iter_mut().find(is_twin) {
            Some(group) => group.push(device),
            None => groups.push(vec![device]),
        }
    }
    groups
}

/// What a charger leaves to whoever sits on one kind of its ports.
struct PortLimits {
    /// Index into [`Choices::ports`].
    port: usize,
    /// The charger and the first port of the group, as pins name it.
    place: PortId,
    reserve: Reserve,
    /// The least limit of its pools, in whole 1e-6 W.
    tightest: i64,
    /// The most that a line of the charger's table grants, in whole 1e-6 W.
    granted: i64,
}

impl PortLimits {
    fn of(setup: &Setup, port: usize, group: &PortGroup) -> Self {
        let charger = &setup.chargers[group.charger];
        let pools = group.pools.iter();
        let tightest = pools
            .map(|&pool| millionths(charger.pools[pool].max_w))
            .min();
        let granted = if group.lines.is_empty() {
            i64::MAX
        } else {
            group.lines.iter().flatten().copied().max().unwrap_or(-1)
        };
        Self {
            port,
            place: PortId::new(group.charger, group.ports[0]),
            reserve: charger.reserve,
            tightest: tightest.unwrap_or(i64::MAX),
            granted,
        }
    }

    /// Adds the choices that a device's ways on this port come to, as far as the charger's
    /// limits leave room for them.
    fn choices(
        &self,
        sessions: &Sessions,
        device: usize,
        ways: &[Way],
        asking: &mut AskList<'_>,
        choices: &mut Vec<Choice>,
    ) {
        let fits =
            |way: &&Way| taken(self.reserve, way) <= self.tightest && way.tier <= self.granted;
        for with_cable in ways.chunk_by(|a, b| a.cable == b.cable) {
            let asks = asking.through(device, with_cable[0].cable);
            for first in sessions.starts(device) {
                let from = choices.len();
                for way in with_cable.iter().filter(fits) {
                    let alone = Occupancy {
                        last: 0,
                        time: way.time,
                        held: way.watts,
                        late: way.late,
                    };
                    let stay = sessions.stay(device, first, alone, way.contract.port_w());
                    choices.push(Choice {
                        device,
                        port: self.port,
                        cable: way.cable,
                        contract: way.contract,
                        tier_w: way.tier_w,
                        hours: way.hours,
                        time: stay.time,
                        watts: stay.held,
                        tier: way.tier,
                        takes: taken(self.reserve, way),
                        late: stay.late,
                        first,
                        last: stay.last,
                        asks,
                    });
                }
                // Who stays longer may be full in time, or let a line of the table govern.
                let lasting = asks > 0 || self.granted < i64::MAX;
                drop_dominated(choices, from, lasting);
            }
        }
    }
}

/// What a way takes from the pools, in whole 1e-6 W.
fn taken(reserve: Reserve, way: &Way) -> i64 {
    match reserve {
        Reserve::Offer => way.tier,
        Reserve::Contract => way.watts,
    }
}

/// Drops, among the choices of one device on one port with one cable, from one session
/// on, those that no
/// best plan uses: another is as good in every limit and better in the plan's order.
///
/// Where a plug that stays longer can be the better one, `lasting`, only those that stay as long
/// are compared.
fn drop_dominated(choices: &mut Vec<Choice>, from: usize, lasting: bool) {
    let group = &choices[from..];
    let beaten: Vec<bool> = group
        .iter()
        .map(|choice| {
            let mut others = group.iter();
            others.any(|other| dominates(other, choice) && (!lasting || other.last == choice.last))
        })
        .collect();
    if beaten.contains(&true) {
        let mut beaten = beaten.into_iter();
        let mut index = 0;
        choices.retain(|_| {
            index += 1;
            index <= from || !beaten.next().unwrap_or(false)
        });
    }
}

fn dominates(a: &Choice, b: &Choice) -> bool {
    if a.takes > b.takes || a.tier > b.tier || a.time > b.time {
        return false;
    }
    a.time < b.time || (a.watts, a.key()) < (b.watts, b.key())
}

pub(super) fn port_groups(setup: &Setup, apart: &Ungrouped) -> Vec<PortGroup> {
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
            let alone = |port: usize| {
                apart.ports.contains(&PortId::new(c, port))
                    // A lead goes with its port, whichever way equal ones are dealt out.
                    || charger.ports[port].lead.is_some()
                    || setup
                        .devices
                        .iter()
                        .any(|device| device.pinned_port == Some(PortId::new(c, port)))
            };
            let twin = groups[of_charger..].iter_mut().find(|group| {
                let first = &charger.ports[group.ports[0]];
                !alone(group.ports[0])
                    && !alone(p)
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

pub(super) fn cable_groups(setup: &Setup, apart: &Ungrouped) -> Vec<CableGroup> {
    let mut groups: Vec<CableGroup> = Vec::new();
    let alone = |index: usize| {
        apart.cables.contains(&CableId(index))
            || setup.cables[index].lead_of.is_some()
            || setup
                .devices
                .iter()
                .any(|device| device.pinned_cable == Some(CableId(index)))
    };
    for (index, cable) in setup.cables.iter().enumerate() {
        let twin = groups.iter_mut().find(|group| {
            let first = group.cables[0];
            !alone(first) && !alone(index) && same_cable(setup, &setup.cables[first], cable)
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
