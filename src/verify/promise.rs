//! What is certain of each place, whatever rule its charger follows (model.md, section 6),
//! worked out berth by berth from the definitions.

use super::negotiation::{Contract, demand_w, sure_contract};
use super::rules::{Place, governing_lines, granted};
use super::time::sure_hours;
use crate::setup::Setup;
use crate::setup::document::Reserve;
use crate::units::{from_millionths, millionths};
use crate::usb::Connector;

/// What is certain of a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sure {
    pub(super) contract: Option<Contract>,
    pub(super) hours: Option<f64>,
}

/// By device, the most that it asks for at its place, in whole 1e-6 W; a device has one place at
/// most.
pub(super) fn demands<'a>(setup: &Setup, places: impl Iterator<Item = &'a Place>) -> Vec<i64> {
    let mut demands = vec![0; setup.devices.len()];
    for place in places {
        demands[place.device] = demand(setup, place);
    }
    demands
}

/// What is certain of `own`, where these are all places of each session that it lasts, and
/// `demands` those of all of them.
pub(super) fn sure(setup: &Setup, own: &Place, sessions: &[Vec<Place>], demands: &[i64]) -> Sure {
    let port = &setup.chargers[own.charger].ports[own.port];
    let (cable, device) = (&setup.cables[own.cable], &setup.devices[own.device]);
    let grants = sessions
        .iter()
        .map(|places| granted_among(setup, own, places, demands));
    let (grant, floor) = grants
        .reduce(|least, next| (least.0.min(next.0), least.1.min(next.1)))
        .unwrap_or((0, 0));
    let contract = if grant >= demands[own.device] {
        sure_contract(port, cable, device, port.cap_w)
    } else {
        let tiers = port.tiers_w.iter().copied();
        let granted = tiers.filter(|&tier_w| millionths(tier_w) <= grant);
        let held_w = granted.fold(from_millionths(floor), f64::max);
        sure_contract(port, cable, device, held_w)
    };
    Sure {
        contract,
        hours: contract.and_then(|contract| sure_hours(device, contract.inlet_w)),
    }
}

/// The least that is granted to `own`, where these are all places of each session that it
/// lasts, in whole 1e-6 W.
pub(super) fn grant(setup: &Setup, own: &Place, sessions: &[Vec<Place>]) -> i64 {
    let grants = sessions.iter().map(|places| {
        let demands = demands(setup, places.iter());
        granted_among(setup, own, places, &demands).0
    });
    grants.min().unwrap_or(0)
}

/// The most that a place asks for, in whole 1e-6 W.
fn demand(setup: &Setup, place: &Place) -> i64 {
    millionths(demand_w(
        &setup.chargers[place.charger].ports[place.port],
        &setup.cables[place.cable],
        &setup.devices[place.device],
    ))
}

/// The grant of a place among all places of a session, and its floor, in whole 1e-6 W.
fn granted_among(setup: &Setup, own: &Place, places: &[Place], demands: &[i64]) -> (i64, i64) {
    let charger = &setup.chargers[own.charger];
    let there = || places.iter().filter(|p| p.charger == own.charger);
    let lines = governing_lines(charger, places, own.charger);
    let given = |port: usize| {
        let lines = lines.iter().filter_map(move |line| granted(line, port));
        lines.map(millionths)
    };
    let load = |place: &Place| {
        let asked = match charger.reserve {
            Reserve::Contract => demands[place.device],
            Reserve::Offer => millionths(charger.ports[place.port].cap_w),
        };
        let most = given(place.port).max();
        most.map_or(asked, |most| asked.min(most))
    };
    let cap = millionths(charger.ports[own.port].cap_w);
    let mut floor = match charger.ports[own.port].connector {
        Connector::Other(_) => 0,
        _ => millionths(7.5).min(cap),
    };
    let mut left = i64::MAX;
    for pool in charger
        .pools
        .iter()
        .filter(|pool| pool.ports.contains(&own.port))
    {
        let ports = u32::try_from(pool.ports.len()).unwrap_or(u32::MAX);
        floor = floor.min(millionths(pool.max_w / f64::from(ports)));
        let others = there().filter(|p| p.port != own.port && pool.ports.contains(&p.port));
        left = left.min(millionths(pool.max_w) - others.map(load).sum::<i64>());
    }
    let mut grant = left.max(floor).min(cap);
    if let Some(least) = given(own.port).min() {
        floor = floor.min(least);
        grant = grant.min(least);
    }
    (grant, floor)
}
