//! Every way in which a device can sit: port, cable and contract, with its watts, its
//! tier and its hours; equal ports and equal cables grouped, dominated ways dropped.

mod size;
mod ways;

use crate::diagnostics::Result;
use crate::limits::{MOST_CHOICES, MOST_ENTRIES, MOST_JOINED};
use crate::plan::schedule::Slot;
use crate::plan::sessions::{Occupancy, Sessions};
use crate::setup::contract::{Carries, Contract, Lift, carries};
use crate::setup::document::Reserve;
use crate::setup::ids::{CableId, DeviceId, PortId};
use crate::setup::{CableSpec, DeviceSpec, Setup};
use crate::solve;
use crate::solve::budget::Budget;
use crate::units::millionths;
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
pub(crate) struct Column {
    /// Index into the setup's devices.
    pub(crate) device: usize,
    pub(crate) contract: Contract,
    pub(crate) tier_w: f64,
    pub(crate) hours: f64,
    /// In whole numbers, as the kernel has it. Its port is one of [`Columns::ports`], its
    /// cable one of [`Columns::cables`].
    pub(crate) whole: solve::model::Column,
}

impl Column {
    /// The slot that it is on a port of its group and a cable of its kind.
    pub(crate) fn on(&self, port: PortId, cable: CableId) -> Slot {
        Slot {
            device: DeviceId(self.device),
            port,
            cable,
            contract: self.contract,
            tier_w: self.tier_w,
            hours: self.hours,
            late: self.whole.late,
            first: self.whole.first,
            last: self.whole.last,
        }
    }
}

/// All of them, by device.
#[derive(Debug, Clone)]
pub(crate) struct Columns {
    pub(crate) ports: Vec<PortGroup>,
    pub(crate) cables: Vec<CableGroup>,
    /// By device of the setup; empty where it needs no berth.
    pub(crate) by_device: Vec<Vec<Column>>,
    /// How many sessions follow one another.
    pub(crate) sessions: usize,
    complete: bool,
}

/// Ports and cables that are told apart by name, so that none is grouped with its like.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ungrouped {
    pub(crate) ports: Vec<PortId>,
    pub(crate) cables: Vec<CableId>,
}

impl Columns {
    /// Enumerates the columns of every device that needs a berth.
    ///
    /// # Errors
    /// [`Error::Input`](crate::Error::Input) where there are more than [`MOST_CHOICES`].
    pub(crate) fn of(setup: &Setup, budget: &mut Budget) -> Result<Self> {
        Self::on(setup, &Ungrouped::default(), &Sessions::one(), None, budget)
    }

    /// The columns of a night of several sessions.
    ///
    /// # Errors
    /// As [`Columns::of`].
    pub(crate) fn over(
        setup: &Setup,
        sessions: &Sessions,
        apart: &Ungrouped,
        budget: &mut Budget,
    ) -> Result<Self> {
        Self::on(setup, apart, sessions, None, budget)
    }

    /// As [`Columns::of`], with what is known from other chargers of the same devices and
    /// cables.
    ///
    /// # Errors
    /// As [`Columns::of`].
    pub(crate) fn known(setup: &Setup, memory: &Memory, budget: &mut Budget) -> Result<Self> {
        let sessions = Sessions::one();
        Self::on(
            setup,
            &Ungrouped::default(),
            &sessions,
            Some(memory),
            budget,
        )
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
        memory: Option<&Memory>,
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
        let mut by_device: Vec<Vec<Column>> = vec![Vec::new(); setup.devices.len()];
        let mut complete = true;
        budget.spend(steps(joined, memory));
        let (mut total, mut entries, mut looked) = (0, 0, 0);
        'listing: for (port, group) in ports.iter().enumerate() {
            let limits = PortLimits::of(setup, port, group);
            let spec = &setup.chargers[group.charger].ports[group.ports[0]];
            let mut ways = PortWays::on(spec, &meeting, memory);
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
                limits.columns(sessions, device, &ways, own);
                total += own.len() - known;
                let lasting = own[known..]
                    .iter()
                    .map(|column| 1 + column.whole.last - column.whole.first);
                entries += group.pools.len() * lasting.sum::<usize>();
                if total > MOST_CHOICES {
                    return Err(too_many(port + 1, ports.len()));
                }
                if entries > MOST_ENTRIES {
                    return Err(too_many_entries());
                }
            }
            budget.spend(steps(total - before, memory));
        }
        for own in &mut by_device {
            if !complete {
                own.clear();
            }
            for (listed, column) in (0..).zip(own) {
                column.whole.listed = listed;
            }
        }
        Ok(Self {
            ports,
            cables,
            by_device,
            sessions: sessions.len(),
            complete,
        })
    }
}

/// Cables and ways looked at before the clock and the flag are: what takes no time is
/// listed whole, so that there is a plan under any limit.
const LOOKS_BEFORE_CLOCK: usize = 4_096;

/// What so many ways cost beside the search: to be listed, modelled, and checked again.
fn steps(ways: usize, memory: Option<&Memory>) -> u64 {
    const WAYS_PER_STEP: usize = 8;
    const KNOWN_PER_STEP: usize = 16;
    let per_step = match memory {
        None => WAYS_PER_STEP,
        // Known or not, so that no answer depends on it.
        Some(_) => KNOWN_PER_STEP,
    };
    u64::try_from(ways / per_step).unwrap_or(u64::MAX)
}

/// Whether two devices differ in name only, so that no plan can tell them apart except
/// by their order.
pub(crate) fn same_but_name(a: &DeviceSpec, b: &DeviceSpec) -> bool {
    // Field by field, so that a new one cannot be forgotten here.
    let DeviceSpec {
        name: _,
        inlet,
        accepts,
        max_w,
        min_w,
        battery_wh,
        start_pct,
        target_pct,
        draw_w,
        default_draw,
        efficiency,
        running_w,
        ready_by_h,
        priority,
        at_hand,
        reach_m,
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
        && *accepts == b.accepts
        && *draw_w == b.draw_w
}

/// What a charger leaves to whoever sits on one kind of its ports.
struct PortLimits {
    /// Index into [`Columns::ports`].
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

    /// Adds the columns that a device's ways on this port come to, as far as the charger's
    /// limits leave room for them.
    fn columns(&self, sessions: &Sessions, device: usize, ways: &[Way], columns: &mut Vec<Column>) {
        let fits =
            |way: &&Way| taken(self.reserve, way) <= self.tightest && way.tier <= self.granted;
        for with_cable in ways.chunk_by(|a, b| a.cable == b.cable) {
            for first in sessions.starts(device) {
                let from = columns.len();
                for way in with_cable.iter().filter(fits) {
                    let alone = Occupancy {
                        last: 0,
                        time: way.time,
                        held: way.watts,
                        late: way.late,
                    };
                    let stay = sessions.stay(device, first, alone, way.contract.port_w());
                    let whole = solve::model::Column {
                        listed: 0,
                        port: self.port,
                        cable: way.cable,
                        time: stay.time,
                        watts: stay.held,
                        contract: millionths_of(&way.contract),
                        tier: way.tier,
                        takes: taken(self.reserve, way),
                        late: stay.late,
                        first,
                        last: stay.last,
                    };
                    columns.push(Column {
                        device,
                        contract: way.contract,
                        tier_w: way.tier_w,
                        hours: way.hours,
                        whole,
                    });
                }
                drop_dominated(columns, from);
            }
        }
    }
}

/// A contract in whole millionths, as ties compare it.
fn millionths_of(contract: &Contract) -> (i64, i64) {
    (millionths(contract.volts), millionths(contract.amps))
}

/// What a way takes from the pools, in whole 1e-6 W.
fn taken(reserve: Reserve, way: &Way) -> i64 {
    match reserve {
        Reserve::Offer => way.tier,
        Reserve::Contract => way.watts,
    }
}

/// Drops, among the columns of one device on one port with one cable, from one session
/// on, those that no
/// best plan uses: another is as good in every limit and better in the plan's order.
fn drop_dominated(columns: &mut Vec<Column>, from: usize) {
    let group = &columns[from..];
    let beaten: Vec<bool> = group
        .iter()
        .map(|column| group.iter().any(|other| dominates(other, column)))
        .collect();
    if beaten.contains(&true) {
        let mut beaten = beaten.into_iter();
        let mut index = 0;
        columns.retain(|_| {
            index += 1;
            index <= from || !beaten.next().unwrap_or(false)
        });
    }
}

fn dominates(a: &Column, b: &Column) -> bool {
    if a.whole.takes > b.whole.takes || a.whole.tier > b.whole.tier || a.whole.time > b.whole.time {
        return false;
    }
    a.whole.time < b.whole.time
        || (a.whole.watts, a.whole.contract) < (b.whole.watts, b.whole.contract)
}

fn port_groups(setup: &Setup, apart: &Ungrouped) -> Vec<PortGroup> {
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

fn cable_groups(setup: &Setup, apart: &Ungrouped) -> Vec<CableGroup> {
    let mut groups: Vec<CableGroup> = Vec::new();
    let alone = |index: usize| {
        apart.cables.contains(&CableId(index))
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
