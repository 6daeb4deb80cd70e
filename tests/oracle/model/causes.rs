//! Why a device has no berth. The model names no order of reasons; these are the
//! plain questions, asked from the plug to the plan.

use super::contract::{joins, negotiate};
use super::offers::offers_at;
use super::options::{Choice, options_of};
use super::rules::{no_place_twice, pools_hold};
use super::setup::{Cable, Device, Setup};
use super::stay::{during, starts};
use super::time::hours;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Cause {
    /// In a rota: no berth of it can start.
    NeverAtHand,
    /// Pinned, and only without its pins would it have an option.
    Pinned,
    NoCableForInlet,
    NoCableReaches,
    NoPortForCable,
    NoCommonSupply,
    BelowMinimum,
    NeverFull,
    /// It has options, but every port of them is in use.
    Ports,
    /// A port is free, but no cable for it.
    Cables,
    /// Port and cable are free, but a pool has not enough left.
    Pool,
    /// The pools would do, but no line allows it.
    Combination,
}

impl Cause {
    /// Whether it holds whatever the other devices do.
    pub(crate) fn of_itself(self) -> bool {
        self <= Self::NeverFull
    }
}

/// Why `device` has no berth in this plan.
pub(crate) fn cause(setup: &Setup, chosen: &[Option<Choice>], device: usize) -> Cause {
    let sink = &setup.devices[device];
    let options = options_of(setup, sink);
    if starts(setup, sink).is_empty() {
        return Cause::NeverAtHand;
    }
    if options.is_empty() {
        return never(setup, sink);
    }
    let others: Vec<Choice> = chosen.iter().flatten().cloned().collect();
    let in_every_session = |x: &Choice, holds: &dyn Fn(Vec<Choice>) -> bool| {
        (x.stay.first..=x.stay.last).all(|session| holds(during(&others, session)))
    };
    let with = |x: &Choice, rule: fn(&Setup, &[Choice]) -> bool| {
        in_every_session(x, &|mut all| {
            all.push(x.clone());
            rule(setup, &all)
        })
    };
    let port_free = |x: &&Choice| {
        in_every_session(x, &|others| {
            others
                .iter()
                .all(|o| (o.charger, o.port) != (x.charger, x.port))
        })
    };
    let free: Vec<&Choice> = options.iter().filter(port_free).collect();
    let joined: Vec<&Choice> = free
        .iter()
        .copied()
        .filter(|x| with(x, no_place_twice))
        .collect();
    if free.is_empty() {
        Cause::Ports
    } else if joined.is_empty() {
        Cause::Cables
    } else if joined.iter().any(|x| with(x, pools_hold)) {
        Cause::Combination
    } else {
        Cause::Pool
    }
}

fn never(setup: &Setup, device: &Device) -> Cause {
    let unpinned = Device {
        port_pin: None,
        cable_pin: None,
        ..device.clone()
    };
    let pinned = device.port_pin.is_some() || device.cable_pin.is_some();
    if pinned && !options_of(setup, &unpinned).is_empty() {
        return Cause::Pinned;
    }
    let fitting = || setup.cables.iter().filter(|cable| cable.to == device.inlet);
    if fitting().count() == 0 {
        return Cause::NoCableForInlet;
    }
    if !fitting().any(|cable| cable.length_m >= device.reach_m) {
        return Cause::NoCableReaches;
    }
    let ports = || setup.chargers.iter().flat_map(|charger| &charger.ports);
    let pairs = || {
        ports()
            .flat_map(|port| setup.cables.iter().map(move |cable| (port, cable)))
            .filter(|(port, cable)| joins(port, cable, device))
    };
    if pairs().count() == 0 {
        return Cause::NoPortForCable;
    }
    let inlet_w = |device: &Device| -> Vec<f64> {
        pairs()
            .flat_map(|(port, cable)| port.tiers_w.iter().map(move |&tier| (port, cable, tier)))
            .filter_map(|(port, cable, tier)| {
                negotiate(&offers_at(port, tier), tier, cable, device)
            })
            .map(|contract| contract.inlet_w)
            .collect()
    };
    let undemanding = Device {
        min_w: 0.0,
        ..device.clone()
    };
    // Where the voltages meet and the cable eats all, that is too little, if there is a
    // least power at all.
    let meets = pairs().any(|(port, cable)| {
        let lossless = Cable {
            ohm: 0.0,
            ..cable.clone()
        };
        port.tiers_w
            .iter()
            .any(|&tier| negotiate(&offers_at(port, tier), tier, &lossless, &undemanding).is_some())
    });
    if !meets {
        Cause::NoCommonSupply
    } else if inlet_w(device).is_empty() && device.min_w > 0.0 {
        Cause::BelowMinimum
    } else {
        let never_full = inlet_w(device).iter().all(|&w| hours(device, w).is_none());
        assert!(
            never_full,
            "a device with an option has no reason never to be full"
        );
        Cause::NeverFull
    }
}
