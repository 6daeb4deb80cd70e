//! What every bag needs: so many ports that can serve these devices, so many watts, so many
//! cables of these kinds. Counted before anything is planned, and the reason why most kits
//! are never looked at.
//!
//! Each need is a row "the sum over what is taken is at least so much". For ports and cables
//! it is Hall's condition: devices that only certain ports serve need as many of them (P.
//! Hall, On representatives of subsets, 1935).

use super::goods::{Goods, most_w};
use super::oracle::{Night, Oracle};
use crate::assign::counts::most_in_time;
use crate::assign::options::{Asks, Choice, Choices};
use crate::diagnostics::Result;
use crate::setup::curve::{hours_to_full, promised_hours};
use crate::setup::document::Aim;
use crate::setup::{DeviceSpec, Setup};
use crate::solve::budget::Budget;
use crate::units::millionths;

/// A need: by source what one of it gives, and how much is needed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Row {
    pub(super) gives: Vec<i64>,
    pub(super) needs: i64,
    /// How many chargers, and how many adapters with ports, can be plugged in there at the
    /// same time at most.
    pub(super) most: Option<usize>,
}

/// Which ports of a source serve which devices in time, were each alone on it.
#[derive(Debug, Clone, Default)]
struct Serving {
    /// By group of equal ports: how many, and by device whether it is served there.
    ports: Vec<(usize, Vec<bool>)>,
    /// By kind of cable and device.
    cables: Vec<Vec<bool>>,
    /// By device, whether it is served through the lead of a port.
    lead: Vec<bool>,
    /// By device, whether it could sit at all.
    sits: Vec<bool>,
}

/// What is known of one length of the night.
#[derive(Debug, Clone)]
pub(super) struct Needs {
    serving: Vec<Serving>,
    /// By device: the least watts at its inlet with which it is ready in time, in whole 1e-6 W.
    least_w: Vec<i64>,
    most_w: Vec<i64>,
    /// The devices that are charged every night.
    nightly: Vec<bool>,
    /// By device, for the sum over a night: of how many nights it takes one.
    every: Vec<u32>,
    /// Sets of devices, with how many of each set every source alone can have ready in time
    /// together.
    together: Vec<(Vec<usize>, Vec<i64>)>,
}

/// For the hungriest of so many devices it is asked how many a source serves together.
const SETS_TOGETHER: usize = 5;

/// Steps for each such question.
const STEPS_TOGETHER: u64 = 2_000;

impl Needs {
    /// Looks at each source by itself.
    pub(super) fn of(
        oracle: &mut Oracle<'_>,
        session: Option<i64>,
        budget: &mut Budget,
    ) -> Result<Self> {
        let all: Vec<usize> = oracle.now.iter().map(|now| now.device).collect();
        let night = Night {
            session,
            charged: all.clone(),
        };
        let mut serving = Vec::with_capacity(oracle.goods.sources.len());
        for source in 0..oracle.goods.sources.len() {
            let setup = oracle.setup_with(&[source], &night);
            serving.push(serves(&setup, oracle.goods, budget)?);
        }
        let setup = oracle.setup_with(&[], &night);
        let devices = &setup.devices;
        let of_sources = oracle.goods.sources.iter();
        Ok(Self {
            serving,
            least_w: devices
                .iter()
                .map(|device| least_w(device, setup.aim))
                .collect(),
            most_w: of_sources
                .map(|source| millionths(most_w(&source.spec.charger)))
                .collect(),
            nightly: devices
                .iter()
                .enumerate()
                .map(|(at, device)| device.needs_berth() && !all.contains(&at))
                .collect(),
            every: devices
                .iter()
                .map(|device| device.every_nights.max(1))
                .collect(),
            together: Vec::new(),
        })
    }

    /// Asks how many devices each source can have ready in time together: of all, and of
    /// those that need the most. It is no more where everything is wanted sooner.
    pub(super) fn ask_together(
        &mut self,
        oracle: &mut Oracle<'_>,
        session: Option<i64>,
        budget: &mut Budget,
    ) -> Result<()> {
        let all = vec![true; self.serving.len()];
        let served = |device: &usize| self.can_be(*device, &all).0;
        let mut devices: Vec<usize> = (0..self.nightly.len())
            .filter(|&device| self.nightly[device] || self.every[device] > 1)
            .filter(served)
            .collect();
        devices.sort_by_key(|&device| std::cmp::Reverse(self.least_w[device]));
        let mut sizes: Vec<usize> = (1..devices.len())
            .filter(|&size| self.least_w[devices[size - 1]] > self.least_w[devices[size]])
            .collect();
        // Evenly, where there are many.
        while sizes.len() >= SETS_TOGETHER {
            let mut at = 0;
            sizes.retain(|_| {
                at += 1;
                at % 2 == 0
            });
        }
        sizes.push(devices.len());
        for size in sizes {
            let mut set = devices[..size].to_vec();
            set.sort_unstable();
            let mut most = Vec::with_capacity(self.serving.len());
            for source in 0..self.serving.len() {
                let setup = oracle.setup_of_these(source, session, &set);
                let seats: usize = setup.chargers[0].ports.len();
                let mut part = budget.with_steps(STEPS_TOGETHER.min(budget.left()));
                let in_time = most_in_time(&setup, &mut part)?;
                budget.spend(part.spent());
                most.push(count(in_time.min(seats)));
            }
            self.together.push((set, most));
        }
        Ok(())
    }

    /// Takes over what was found where nothing was wanted sooner.
    pub(super) fn with_together(mut self, other: &Self) -> Self {
        self.together.clone_from(&other.together);
        self
    }

    /// Whether some source that can be plugged in serves a device in time; and whether some
    /// seats it at all.
    pub(super) fn can_be(&self, device: usize, plugs: &[bool]) -> (bool, bool) {
        let there = || {
            let all = self.serving.iter().zip(plugs);
            all.filter(|(_, plugs)| **plugs).map(|(serving, _)| serving)
        };
        let served = there().any(|of| of.ports.iter().any(|(_, serves)| serves[device]));
        let sits = there().any(|of| of.sits[device]);
        (served, sits)
    }

    /// The needs of the nights at a stop where these sources can be plugged in, of the things
    /// of every night; where the nights are many, with a night's share of the others.
    pub(super) fn rows(&self, plugs: &[bool], nights: u32, most: Option<usize>) -> Vec<Row> {
        let served: Vec<usize> = (0..self.nightly.len())
            .filter(|&device| self.nightly[device] && self.can_be(device, plugs).0)
            .collect();
        let others: Vec<usize> = (0..self.nightly.len())
            .filter(|&device| self.every[device] > 1 && self.can_be(device, plugs).0)
            .collect();
        let serves = |device: usize| -> Vec<bool> {
            let groups = self.serving.iter().zip(plugs);
            let groups = groups.flat_map(|(of, plugs)| {
                of.ports
                    .iter()
                    .map(move |(_, serves)| *plugs && serves[device])
            });
            groups.collect()
        };
        let mut rows: Vec<Row> = within(&served, &serves)
            .into_iter()
            .map(|set| Row {
                needs: count(set.len()),
                gives: self.seats(&set, plugs),
                most,
            })
            .collect();
        if !others.is_empty() {
            let both: Vec<usize> = served.iter().chain(&others).copied().collect();
            rows.push(Row {
                needs: count(served.len()) + self.on_one_night(&others, nights),
                gives: self.seats(&both, plugs),
                most,
            });
        }
        // On an average night.
        let all = i64::from(nights.max(1));
        let watts = |device: &usize| {
            let often = i64::from(nights / self.every[*device]);
            self.least_w[*device] / all * often
        };
        rows.push(Row {
            needs: served.iter().chain(&others).map(watts).sum(),
            gives: self
                .most_w
                .iter()
                .zip(plugs)
                .map(|(&most, &plugs)| if plugs { most } else { 0 })
                .collect(),
            most,
        });
        for (set, together) in &self.together {
            let there = |devices: &[usize]| -> Vec<usize> {
                devices
                    .iter()
                    .copied()
                    .filter(|device| set.contains(device))
                    .collect()
            };
            let seldom = there(&others);
            let gives = together.iter().zip(plugs);
            rows.push(Row {
                needs: count(there(&served).len()) + self.on_one_night(&seldom, nights),
                gives: gives
                    .map(|(&most, &plugs)| if plugs { most } else { 0 })
                    .collect(),
                most,
            });
        }
        rows.retain(|row| row.needs > 0);
        rows
    }

    /// How many of things that are not charged every night are on some night together at
    /// least: each has its share of so many nights.
    fn on_one_night(&self, seldom: &[usize], nights: u32) -> i64 {
        let often = seldom
            .iter()
            .map(|&device| i64::from(nights / self.every[device]));
        let (often, nights) = (often.sum::<i64>(), i64::from(nights.max(1)));
        (often + nights - 1) / nights
    }

    /// By source, how many of its ports serve any of these.
    fn seats(&self, set: &[usize], plugs: &[bool]) -> Vec<i64> {
        let of = |(of, &plugs): (&Serving, &bool)| {
            let any = of
                .ports
                .iter()
                .filter(|(_, serves)| plugs && set.iter().any(|&device| serves[device]));
            any.map(|(seats, _)| count(*seats)).sum()
        };
        self.serving.iter().zip(plugs).map(of).collect()
    }

    /// The needs of cables, by kind: what these sources need over so many nights.
    pub(super) fn cables(&self, sources: &[usize], nights: u32) -> Vec<(Vec<usize>, i64)> {
        let of = || sources.iter().map(|&source| &self.serving[source]);
        let by_lead = |device: usize| of().any(|serving| serving.lead[device]);
        let served = |&device: &usize| of().any(|of| of.ports.iter().any(|(_, s)| s[device]));
        let devices: Vec<usize> = (0..self.nightly.len())
            .filter(|&device| self.nightly[device] || self.every[device] > 1)
            .filter(served)
            .filter(|&device| !by_lead(device))
            .collect();
        let kinds = self.serving.first().map_or(0, |of| of.cables.len());
        let serves = |device: usize| -> Vec<bool> {
            (0..kinds)
                .map(|kind| of().any(|of| of.cables[kind][device]))
                .collect()
        };
        within(&devices, &serves)
            .into_iter()
            .map(|set| {
                let any = |&kind: &usize| set.iter().any(|&device| serves(device)[kind]);
                let (nightly, seldom): (Vec<usize>, Vec<usize>) =
                    set.iter().partition(|&&device| self.nightly[device]);
                let needs = count(nightly.len()) + self.on_one_night(&seldom, nights);
                ((0..kinds).filter(any).collect(), needs)
            })
            .collect()
    }
}

fn count(count: usize) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// For each device, all that what serves it serves alone; and all of them.
fn within(devices: &[usize], serves: &impl Fn(usize) -> Vec<bool>) -> Vec<Vec<usize>> {
    let masks: Vec<Vec<bool>> = devices.iter().map(|&device| serves(device)).collect();
    let inside = |inner: &[bool], outer: &[bool]| {
        inner
            .iter()
            .zip(outer)
            .all(|(&inner, &outer)| outer || !inner)
    };
    let mut sets: Vec<Vec<usize>> = masks
        .iter()
        .map(|outer| {
            let own = devices.iter().zip(&masks);
            let own = own.filter(|(_, inner)| inside(inner, outer));
            own.map(|(&device, _)| device).collect()
        })
        .collect();
    sets.push(devices.to_vec());
    sets.sort_unstable();
    sets.dedup();
    sets.retain(|set| !set.is_empty());
    sets
}

/// Which ports and cables serve which devices in time on a setup with one charger.
fn serves(setup: &Setup, goods: &Goods, budget: &mut Budget) -> Result<Serving> {
    let devices = setup.devices.len();
    let mut serving = Serving {
        ports: Vec::new(),
        cables: vec![vec![false; devices]; goods.cables.len()],
        lead: vec![false; devices],
        sits: vec![false; devices],
    };
    let choices = Choices::of(setup, budget)?;
    serving.ports = choices
        .ports
        .iter()
        .map(|group| (group.ports.len(), vec![false; devices]))
        .collect();
    for (device, own) in choices.by_device.iter().enumerate() {
        for choice in own {
            serving.sits[device] = true;
            if is_late(setup, choice, &choices.asks[choice.asks]) {
                continue;
            }
            serving.ports[choice.port].1[device] = true;
            for cable in &choices.cables[choice.cable].cables {
                match serving.cables.get_mut(*cable) {
                    Some(by_device) => by_device[device] = true,
                    None => serving.lead[device] = true,
                }
            }
        }
    }
    Ok(serving)
}

/// Whether a device is late though nothing else is plugged in.
fn is_late(setup: &Setup, choice: &Choice, asks: &Asks) -> bool {
    if setup.aim == Aim::Best {
        return choice.late;
    }
    let Some(ready) = setup.devices[choice.device].ready_by_h else {
        return false;
    };
    let soonest = asks.steps.iter().map(|step| step.time).min();
    soonest.is_none_or(|soonest| soonest > millionths(ready))
}

/// The least watts at the inlet with which a device is ready in time, rounded down.
fn least_w(device: &DeviceSpec, aim: Aim) -> i64 {
    let Some(ready) = device.ready_by_h.filter(|_| device.needs_berth()) else {
        return 0;
    };
    let hours = |watts: f64| match aim {
        Aim::Promise => promised_hours(device, watts),
        Aim::Best => hours_to_full(device, watts),
    };
    let in_time =
        |watts: f64| hours(watts).is_some_and(|hours| millionths(hours) <= millionths(ready));
    let (mut low, mut high) = (0.0, device.max_w);
    if !in_time(high) {
        return 0;
    }
    while high - low > 1e-3 {
        let middle = f64::midpoint(low, high);
        if in_time(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    millionths(low)
}
