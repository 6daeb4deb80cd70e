//! The cables to take: those that the nights' plans use, and one for each device that had
//! no berth on some night, for it still has to be charged somewhere.

use super::night::Night;
use super::stay::Stay;
use super::thing::Role;
use crate::setup::contract::joins_from_bag;
use crate::setup::{CableSpec, ChargerSpec, DeviceSpec, Setup};
use crate::solve::transport::{FORBIDDEN, Transport};

/// How many of one cable are taken, and for whom beyond the plans.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Taken {
    /// In use at the same time in some plan.
    pub(super) planned: usize,
    /// Beyond these, for the devices named.
    pub(super) waiting: Vec<String>,
}

/// A device stays without a cable only where no way is left to give it one.
const WITHOUT: i64 = 1 << 40;
/// A cable that no port takes is worth having only where none else fits the device.
const NO_PORT: i64 = 1 << 20;
/// One more cable in the bag.
const ONE_MORE: i64 = 1 << 10;

/// By kind of cable of the setup, what is taken of it.
pub(super) fn taken(setup: &Setup, stays: &[Stay<'_>]) -> Vec<Taken> {
    let nights = || stays.iter().flat_map(Stay::all_nights);
    let mut taken: Vec<Taken> = setup
        .cables
        .iter()
        .map(|cable| Taken {
            planned: nights().map(|night| used(cable, night)).max().unwrap_or(0),
            waiting: Vec::new(),
        })
        .collect();
    let chargers = chargers(stays);
    for night in nights() {
        for (device, cable) in for_those_without(setup, night, &taken, &chargers) {
            taken[cable].waiting.push(device);
        }
    }
    taken
}

/// How many of a cable a night has in use at the same time.
fn used(cable: &CableSpec, night: &Night) -> usize {
    let is_it = |name: &str| if name == cable.name { 1.0 } else { 0.0 };
    let most = night.most_at_once(|berth| is_it(&berth.cable));
    let count = (0..cable.count).take_while(|&n| f64::from(n) < most);
    count.count()
}

/// The chargers of the trip, those of its adapters included.
fn chargers<'a>(stays: &[Stay<'a>]) -> Vec<&'a ChargerSpec> {
    let sources = stays.first().map_or(&[][..], |stay| &stay.sources);
    let charger = |role: &Role<'a>| match *role {
        Role::Charger(charger) | Role::Ports(_, charger) => Some(charger),
        Role::Appliance(_) | Role::Plug => None,
    };
    sources
        .iter()
        .filter_map(|answer| charger(&answer.thing.role))
        .collect()
}

/// The devices without a berth that need a cable beyond those that are taken: each with the
/// kind of cable that it is given.
fn for_those_without(
    setup: &Setup,
    night: &Night,
    taken: &[Taken],
    chargers: &[&ChargerSpec],
) -> Vec<(String, usize)> {
    let without = |device: &&DeviceSpec| {
        let mut without = night.plan.without_berth.iter();
        without.any(|without| without.device == device.name)
    };
    let devices: Vec<&DeviceSpec> = setup.devices.iter().filter(without).collect();
    let kinds = setup.bag_cables().len();
    // By cable, first what is free in the bag, then what is still at home.
    let mut seats = vec![0; kinds * 2];
    for (at, cable) in setup.bag_cables().iter().enumerate() {
        let bag = taken[at].planned + taken[at].waiting.len();
        let count = usize::try_from(cable.count).unwrap_or(usize::MAX);
        seats[at] = bag.saturating_sub(used(cable, night));
        seats[kinds + at] = count.saturating_sub(bag);
    }
    let mut cost = Vec::with_capacity(devices.len() * seats.len());
    for device in &devices {
        let price = |cable: &CableSpec| {
            let mut ports = chargers.iter().flat_map(|charger| &charger.ports);
            if ports.any(|port| joins_from_bag(port, cable, device)) {
                0
            } else if cable.to == device.inlet {
                NO_PORT
            } else {
                FORBIDDEN
            }
        };
        let prices: Vec<i64> = setup.bag_cables().iter().map(price).collect();
        cost.extend_from_slice(&prices);
        cost.extend(prices.iter().map(|price| price + ONE_MORE));
    }
    let mut transport = Transport::default();
    let alone = vec![WITHOUT; devices.len()];
    if transport.solve(&cost, &alone, &seats).is_none() {
        return Vec::new();
    }
    devices
        .iter()
        .zip(&transport.group)
        .filter_map(|(device, group)| Some((device.name.clone(), (*group)?.checked_sub(kinds)?)))
        .collect()
}
