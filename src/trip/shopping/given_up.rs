//! Where no bag serves everything: as little as can be is given up.

use super::goods::Goods;
use super::kits::Found;
use super::{PackBy, Question};
use crate::diagnostics::Result;
use crate::setup::{Setup, TripSpec};
use crate::solve::budget::Budget;

/// The bag that serves all but the fewest devices, the least of priority first; of as few
/// and of the same priority the one with the least worth. It is not proven that no bag
/// serves more of their nights.
pub(super) fn best(
    setup: &Setup,
    route: Option<&TripSpec>,
    goods: &Goods,
    by: PackBy,
    budget: &mut Budget,
) -> Result<Found> {
    let mut devices: Vec<usize> = (0..setup.devices.len())
        .filter(|&device| setup.devices[device].needs_berth())
        .collect();
    devices.sort_by_key(|&device| std::cmp::Reverse(setup.devices[device].priority));
    let mut given_up: Vec<usize> = Vec::new();
    loop {
        // One more, whichever makes the most of it; where none does, the least dear of
        // them goes too.
        let mut best: Option<Found> = None;
        let mut priority = None;
        for &device in devices.iter().filter(|device| !given_up.contains(device)) {
            let own = setup.devices[device].priority;
            if best.is_some() && priority != Some(own) {
                break;
            }
            let mut without = given_up.clone();
            without.push(device);
            let fewer = setup.resting(&without);
            let question = Question::of(&fewer, route, goods)?;
            let found = budget.share(PARTS, |part| {
                let mut ask = question.ask(by, part)?;
                ask.best(part)
            })?;
            let key = |found: &Found| found.bag.as_ref().map(|bag| bag.worth.key(by));
            if let Some(worth) = key(&found)
                && best
                    .as_ref()
                    .and_then(key)
                    .is_none_or(|least| worth < least)
            {
                best = Some(found);
                priority = Some(own);
            }
            if budget.is_spent() {
                break;
            }
        }
        if let Some(found) = best {
            return Ok(Found {
                proven: false,
                ..found
            });
        }
        let next = devices.iter().find(|device| !given_up.contains(device));
        let Some(&next) = next.filter(|_| !budget.is_spent()) else {
            return Ok(Found {
                bag: None,
                bound: [0; 3],
                proven: false,
            });
        };
        given_up.push(next);
    }
}

/// Each bag gets one of so many parts of what is left.
const PARTS: usize = 8;
