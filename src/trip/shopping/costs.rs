//! What each device and each appliance costs a bag.

use super::contents::Content;
use super::kits::{Bag, Found};
use super::rest::Most;
use super::{Ask, Question, ThingCost};
use crate::assign::options::same_but_name;
use crate::diagnostics::Result;
use crate::setup::{DeviceSpec, Setup};
use crate::solve::budget::Budget;
use crate::units::rounded;

/// What each device and each appliance costs the bag: what it comes to without.
pub(super) fn costs(
    ask: &mut Ask<'_, '_>,
    appliances: &[usize],
    bag: &Bag,
    budget: &mut Budget,
) -> Result<Vec<ThingCost>> {
    let question = ask.question;
    let route = question.setup.trip.as_ref();
    let groups = alike(question.setup);
    let all = route.map_or(0, |route| route.appliances.len());
    let mut parts = groups.len() + all;
    let mut costs = Vec::new();
    for appliance in 0..all {
        let (nights, of) = question.usable[appliance];
        if nights == 0 {
            parts -= 1;
            continue;
        }
        let taken = appliances.contains(&appliance);
        let mut other: Vec<usize> = appliances.to_vec();
        if taken {
            other.retain(|&at| at != appliance);
        } else {
            other.push(appliance);
            other.sort_unstable();
        }
        let found = budget.share(parts, |part| ask.least(&other, Most::default(), None, part))?;
        parts -= 1;
        let name = route.map(|route| route.appliances[appliance].name.clone());
        let cost = question.cost(name.unwrap_or_default(), taken, bag, &found);
        costs.extend(cost.map(|cost| ThingCost {
            nights: Some([nights, of]),
            ..cost
        }));
    }
    for devices in groups {
        let fewer = question.setup.resting(&devices);
        let left = fewer.devices.iter().any(DeviceSpec::needs_berth);
        let found = budget.share(parts, |part| -> Result<Option<Found>> {
            if !left {
                return Ok(None);
            }
            let other = Question::of(&fewer, question.route, question.goods)?;
            let mut other = other.ask(ask.by, part)?;
            other
                .least(appliances, Most::default(), None, part)
                .map(Some)
        })?;
        parts -= 1;
        let Some(found) = found else { continue };
        let name = named(question.setup, &devices);
        costs.extend(question.cost(name, true, bag, &found));
    }
    costs.retain(|cost| {
        let nothing = cost.weight_g == 0.0 && cost.price == 0.0 && cost.pieces == 0;
        !(nothing && cost.taken && cost.proven)
    });
    Ok(costs)
}

impl Question<'_> {
    /// What a thing costs, by the bag with it and the one without.
    fn cost(&self, thing: String, taken: bool, bag: &Bag, found: &Found) -> Option<ThingCost> {
        let other = found.bag.as_ref()?;
        let (with, without) = if taken { (bag, other) } else { (other, bag) };
        let (more, less) = (self.contents(with), self.contents(without));
        let (own, rest) = (with.worth, without.worth);
        Some(ThingCost {
            thing,
            taken,
            weight_g: rounded(own.weight_g() - rest.weight_g()),
            price: rounded(own.price() - rest.price()),
            pieces: own.pieces - rest.pieces,
            spared: Content::beyond(&more, &less),
            instead: Content::beyond(&less, &more),
            nights: None,
            proven: found.proven,
        })
    }
}

/// The devices that need a berth, those that nothing tells apart together.
fn alike(setup: &Setup) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, device) in setup.devices.iter().enumerate() {
        if !device.needs_berth() {
            continue;
        }
        let same = |group: &&mut Vec<usize>| {
            let other = &setup.devices[group[0]];
            other.every_nights == device.every_nights && same_but_name(other, device)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    groups
}

/// `laptop`; `score tablet 1 to 4`; `lamp, fan`.
fn named(setup: &Setup, devices: &[usize]) -> String {
    let names: Vec<&str> = devices
        .iter()
        .map(|&device| setup.devices[device].name.as_str())
        .collect();
    let (first, last) = (names[0], names[names.len() - 1]);
    let stem = |name: &str| {
        name.rsplit_once(' ')
            .map(|(stem, number)| (stem.to_owned(), number.to_owned()))
    };
    match (stem(first), stem(last)) {
        (Some((one, from)), Some((other, to)))
            if names.len() > 1
                && one == other
                && names.iter().all(|name| name.starts_with(&one))
                && from.parse::<u32>().is_ok()
                && to.parse::<u32>().is_ok() =>
        {
            format!("{one} {from} to {to}")
        }
        _ => names.join(", "),
    }
}
