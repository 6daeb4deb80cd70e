//! What each plugged device gets: the cable and the contract that are given, else the
//! best; and what is wrong with a place by itself.
//!
//! What is not given is first asked of `assign` with all places pinned that are possible
//! by themselves: then these break no rule together. Where that leaves somebody out, it is
//! asked again with every port on a charger of its own, so that only cables are shared;
//! who is left out even there, or is impossible anyway, has what is best alone.

use std::cmp::Ordering;

use super::broken::Broken;
use crate::assign::scheduled_within;
use crate::diagnostics::Result;
use crate::plan::schedule::contracts;
use crate::plan::way::Plugged;
use crate::setup::contract::Contract;
use crate::setup::curve::hours_to_full;
use crate::setup::ids::{CableId, DeviceId, PortId};
use crate::setup::{CableSpec, ChargerSpec, DeviceSpec, Setup};
use crate::solve::budget::Budget;
use crate::solve::options::Wanted;
use crate::units::{from_millionths, millionths, rounded};

/// One device as it is plugged in. One that is plugged in twice has two of them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Seat {
    pub(super) device: DeviceId,
    pub(super) port: PortId,
    /// `None` where none was given and none joins.
    pub(super) cable: Option<CableId>,
    /// With its tier; `None` where nothing flows.
    pub(super) contract: Option<(f64, Contract)>,
    /// `None` where it never gets full.
    pub(super) hours: Option<f64>,
    pub(super) late: bool,
}

/// The seats of the devices that need a berth, and what is wrong with each by itself.
pub(super) fn seats(
    setup: &Setup,
    places: &[Plugged],
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<(Vec<Seat>, Vec<Broken>)> {
    let places: Vec<&Plugged> = places
        .iter()
        .filter(|place| setup.devices[place.device].needs_berth())
        .collect();
    let (mut seats, mut broken) = (Vec::with_capacity(places.len()), Vec::new());
    // Who cannot sit even alone, and a second plug of a device, leave the others to be
    // asked about without them.
    let mut sound = Vec::new();
    for (i, place) in places.iter().enumerate() {
        let (seat, trouble) = alone(setup, place);
        let first = i == 0 || places[i - 1].device != place.device;
        if first && trouble.is_empty() {
            sound.push(i);
        }
        seats.push(seat);
        broken.extend(trouble);
    }
    let asked: Vec<&Plugged> = sound.iter().map(|&i| places[i]).collect();
    let shared = pinned(setup, &asked);
    let mut settled = budget.share(2, |part| settle(&shared, setup, &asked, wanted, part))?;
    if settled.iter().any(Option::is_none) {
        settled = settle(&apart(setup, &asked), setup, &asked, wanted, budget)?;
    }
    for (i, seat) in sound.into_iter().zip(settled) {
        if let Some(seat) = seat {
            seats[i] = seat;
        }
    }
    Ok((seats, broken))
}

/// The setup with these devices only, each pinned where it is plugged in, and with as many
/// of each cable as are named: that there are fewer is broken whatever is chosen.
fn pinned(setup: &Setup, places: &[&Plugged]) -> Setup {
    let devices = places.iter().map(|place| {
        let device = &setup.devices[place.device];
        DeviceSpec {
            pinned_port: Some(place.port),
            pinned_cable: place.cable.or(device.pinned_cable),
            pinned_contract: place.contract,
            ..device.clone()
        }
    });
    let mut posed = Setup {
        devices: devices.collect(),
        ..setup.clone()
    };
    for (index, cable) in posed.cables.iter_mut().enumerate() {
        let named = places
            .iter()
            .filter(|place| place.cable == Some(CableId(index)));
        cable.count = cable
            .count
            .max(u32::try_from(named.count()).unwrap_or(u32::MAX));
    }
    posed
}

/// The same with each port on a charger of its own, without pools and combinations.
fn apart(setup: &Setup, places: &[&Plugged]) -> Setup {
    let mut apart = pinned(setup, places);
    let chargers = places.iter().enumerate().map(|(i, place)| {
        let charger = &setup.chargers[place.port.charger];
        ChargerSpec {
            name: i.to_string(),
            ports: vec![charger.ports[place.port.index].clone()],
            pools: Vec::new(),
            lines: Vec::new(),
            reserve: charger.reserve,
            efficiency: charger.efficiency,
        }
    });
    apart.chargers = chargers.collect();
    for (i, device) in apart.devices.iter_mut().enumerate() {
        device.pinned_port = Some(PortId::new(i, 0));
    }
    apart
}

/// The seat of each place in the best plan of `posed`, a form of `setup`.
fn settle(
    posed: &Setup,
    setup: &Setup,
    places: &[&Plugged],
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<Vec<Option<Seat>>> {
    if places.is_empty() {
        return Ok(Vec::new());
    }
    let wanted = Wanted {
        reshared: false,
        because: false,
        ..wanted
    };
    let schedule = scheduled_within(posed, wanted, budget)?.schedule;
    let mut seats = vec![None; places.len()];
    // The devices of `posed` are those of the places, one by one.
    for slot in schedule.slots {
        let place = places[slot.device.0];
        let way = (slot.tier_w, slot.contract);
        seats[slot.device.0] = Some(seated(setup, place, Some(slot.cable), Some(way)));
    }
    Ok(seats)
}

fn seated(
    setup: &Setup,
    place: &Plugged,
    cable: Option<CableId>,
    contract: Option<(f64, Contract)>,
) -> Seat {
    let device = &setup.devices[place.device];
    let hours = contract.and_then(|(_, contract)| hours_to_full(device, contract.inlet_w));
    let late = |hours: f64| {
        let ready_by = device.ready_by_h.map(millionths);
        ready_by.is_some_and(|ready_by| millionths(hours) > ready_by)
    };
    Seat {
        device: place.device,
        port: place.port,
        cable,
        contract,
        hours,
        late: hours.is_some_and(late),
    }
}

/// The best that a place gives its own device, whatever the others do, and what is wrong
/// with it by itself.
fn alone(setup: &Setup, place: &Plugged) -> (Seat, Vec<Broken>) {
    let device = &setup.devices[place.device];
    let (cables, trouble) = usable_cables(setup, place);
    let mut broken = Vec::from_iter(trouble);
    if cables.is_empty() {
        return (
            seated(setup, place, named_cable(setup, place), None),
            broken,
        );
    }
    let given = |contract: &Contract| place.contract.is_none_or(|pin| contract.is(pin));
    let of_each = |device: &DeviceSpec| -> Vec<Through> {
        let of_cable = |&cable: &CableId| {
            let ways = contracts(setup, place.port, cable, device).into_iter();
            ways.map(move |way| (cable, way)).collect::<Vec<_>>()
        };
        cables.iter().flat_map(of_cable).collect()
    };
    let every = of_each(device);
    let best = every
        .iter()
        .filter(|(_, (_, contract))| given(contract))
        .min_by(|(_, (_, a)), (_, (_, b))| sooner(device, a, b));
    if let Some(&(cable, way)) = best {
        let seat = seated(setup, place, Some(cable), Some(way));
        if seat.hours.is_none() {
            broken.push(Broken::NeverFull {
                device: device.name.clone(),
                inlet_w: rounded(way.1.inlet_w),
            });
        }
        return (seat, broken);
    }
    let cable = cables.first().copied();
    broken.push(nothing_flows(setup, place, cable, &of_each));
    (seated(setup, place, cable, None), broken)
}

/// The full ones by their time, before those that never get full by what arrives; then by
/// watts, then as ties are broken.
fn sooner(device: &DeviceSpec, a: &Contract, b: &Contract) -> Ordering {
    let time =
        |contract: &Contract| hours_to_full(device, contract.inlet_w).map_or(i64::MAX, millionths);
    let arrives = |contract: &Contract| match time(contract) {
        i64::MAX => -millionths(contract.inlet_w),
        _ => 0,
    };
    let key = |contract: &Contract| {
        (
            time(contract),
            arrives(contract),
            millionths(contract.port_w()),
            millionths(contract.volts),
            millionths(contract.amps),
        )
    };
    key(a).cmp(&key(b))
}

/// A cable, and a contract through it with its tier.
type Through = (CableId, (f64, Contract));

/// The cable that a place has by name, or by its device's pin.
fn named_cable(setup: &Setup, place: &Plugged) -> Option<CableId> {
    place.cable.or(setup.devices[place.device].pinned_cable)
}

/// The cables that a place may use, as listed, and what is wrong with them; none where
/// none joins port and device.
fn usable_cables(setup: &Setup, place: &Plugged) -> (Vec<CableId>, Option<Broken>) {
    let device = &setup.devices[place.device];
    let connector = &setup[place.port].connector;
    let fits = |cable: &CableSpec| cable.from == *connector && cable.to == device.inlet;
    let needed = [connector.to_string(), device.inlet.to_string()];
    let too_short = |cable: CableId| Broken::TooShort {
        device: device.name.clone(),
        cable: setup.cables[cable].name.clone(),
        length_m: setup.cables[cable].length_m,
        reach_m: device.reach_m,
    };
    let reaches = |cable: CableId| setup.cables[cable].length_m >= device.reach_m;
    if let Some(named) = named_cable(setup, place) {
        let cable = &setup.cables[named];
        if !fits(cable) {
            let trouble = Broken::NotJoined {
                device: device.name.clone(),
                cable: cable.name.clone(),
                ends: [cable.from.to_string(), cable.to.to_string()],
                needed,
            };
            return (Vec::new(), Some(trouble));
        }
        return (vec![named], (!reaches(named)).then(|| too_short(named)));
    }
    let fitting: Vec<CableId> = (0..setup.cables.len())
        .map(CableId)
        .filter(|&cable| fits(&setup.cables[cable]))
        .collect();
    let reaching: Vec<CableId> = fitting.iter().copied().filter(|&c| reaches(c)).collect();
    if !reaching.is_empty() {
        return (reaching, None);
    }
    let length = |cable: &CableId| setup.cables[*cable].length_m;
    // The first of several that are equally long.
    let longest = fitting
        .iter()
        .rev()
        .max_by(|a, b| length(a).total_cmp(&length(b)));
    let Some(&longest) = longest else {
        let device = device.name.clone();
        return (Vec::new(), Some(Broken::NoCable { device, needed }));
    };
    (vec![longest], Some(too_short(longest)))
}

/// Why a place has no contract, or not the one that is given.
fn nothing_flows(
    setup: &Setup,
    place: &Plugged,
    cable: Option<CableId>,
    of_each: &dyn Fn(&DeviceSpec) -> Vec<Through>,
) -> Broken {
    let device = &setup.devices[place.device];
    let name = device.name.clone();
    let modest = of_each(&DeviceSpec {
        min_w: 0.0,
        ..device.clone()
    });
    let given = |contract: &Contract| place.contract.is_none_or(|pin| contract.is(pin));
    let most = modest
        .iter()
        .map(|(_, (_, contract))| contract)
        .filter(|contract| given(contract))
        .map(Contract::port_w)
        .reduce(f64::max);
    if let Some(most) = most {
        return Broken::BelowMinimum {
            device: name,
            port_w: rounded(most),
            min_w: rounded(device.min_w),
        };
    }
    if let Some((volts, amps)) = place.contract {
        let mut there_is: Vec<(f64, f64)> = Vec::new();
        for (_, (_, contract)) in of_each(device) {
            let found = (rounded(contract.volts), rounded(contract.amps));
            if !there_is.contains(&found) {
                there_is.push(found);
            }
        }
        return Broken::NoSuchContract {
            device: name,
            volts: from_millionths(volts),
            amps: from_millionths(amps),
            there_is,
        };
    }
    let charger = &setup.chargers[place.port.charger];
    Broken::NoCommonSupply {
        device: name,
        charger: charger.name.clone(),
        port: charger.ports[place.port.index].name.clone(),
        cable: cable.map_or_else(String::new, |cable| setup.cables[cable].name.clone()),
    }
}
