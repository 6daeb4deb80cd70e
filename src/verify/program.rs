//! The whole numbers of model.md, section 5, as a proof speaks of them: every way of
//! every device, by the check's own negotiation, and what it takes from which limit.
//!
//! Ports and cables stand one by one, nothing is grouped: long, and to be read beside
//! the definition.

use super::carried::is_elsewhere;
use super::negotiation::{Lifted, contracts};
use super::rules::Place;
use super::time::hours_to_full;
use crate::diagnostics::{Error, Fault, Result};
use crate::plan::Plan;
use crate::plan::proof::{Claimed, Number};
use crate::setup::document::{Aim, Reserve};
use crate::setup::ids::{CableId, PortId};
use crate::setup::{DeviceSpec, Setup};
use crate::units::millionths;

/// The rows of the claimed numbers: without a berth by priority, missing, late by priority.
const COUNTED: usize = 7;

/// The most ways, counted port by port and cable by cable, that are proven about.
const MOST_WAYS: usize = 1_000_000;

/// One way of a device: where it sits, and what that takes.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Way {
    /// Port, over all chargers, and cable; `None` without a berth.
    pub(crate) seat: Option<(usize, usize)>,
    /// Rows with what is taken from them, by rising row, each above 0.
    pub(crate) takes: Vec<(usize, i64)>,
    /// Time to full, in whole 1e-6 h; 0 without a berth.
    pub(super) time: i64,
}

impl Way {
    pub(crate) fn taken(&self, row: usize) -> i64 {
        let of_row = self.takes.iter().find(|(r, _)| *r == row);
        of_row.map_or(0, |(_, taken)| *taken)
    }
}

/// The combinations of one charger.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    /// Index of the charger.
    pub(crate) charger: usize,
    /// The row of the sum of the tiers in use.
    pub(crate) row: usize,
    /// By line and by port, over all chargers: the whole 1e-6 W granted.
    pub(crate) lines: Vec<Vec<Option<i64>>>,
}

/// Everything there is to choose from, and the limits.
#[derive(Debug, Clone)]
pub(crate) struct Program {
    /// By device of the setup. One that needs no berth has one way, which takes nothing.
    pub(crate) ways: Vec<Vec<Way>>,
    /// By row; `None` where it is no limit, or, for a table, one that depends on the lines.
    pub(crate) caps: Vec<Option<i64>>,
    pub(crate) tables: Vec<Table>,
    pub(crate) ports: usize,
    /// The row of the first cable.
    pub(crate) cables: usize,
    /// The row of devices of priority 1 without a berth; those of 2 and 3, of watt-hours
    /// missing and of late devices by priority follow.
    pub(crate) unserved: usize,
}

impl Program {
    /// # Errors
    /// [`Error::Input`] where there are too many ways to prove anything about.
    pub(crate) fn of(setup: &Setup) -> Result<Self> {
        let mut caps: Vec<Option<i64>> = Vec::new();
        let pools = setup.chargers.iter().flat_map(|charger| &charger.pools);
        caps.extend(pools.map(|pool| Some(millionths(pool.max_w))));
        let cables = caps.len();
        caps.extend(setup.cables.iter().map(|c| Some(i64::from(c.count))));
        let mut program = Self {
            ways: Vec::new(),
            caps,
            tables: Vec::new(),
            ports: setup.chargers.iter().map(|c| c.ports.len()).sum(),
            cables,
            unserved: 0,
        };
        program.add_tables(setup);
        program.unserved = program.caps.len();
        program.caps.extend([None; COUNTED]);
        let mut count = 0;
        for device in 0..setup.devices.len() {
            let ways = program.ways_of(setup, device);
            count += ways.len();
            if count > MOST_WAYS {
                let message = format!(
                    "there is no proof about more than {MOST_WAYS} ways to sit, counted port by \
                     port and cable by cable"
                );
                return Err(Error::Input(vec![Fault {
                    message,
                    ..Fault::default()
                }]));
            }
            program.ways.push(ways);
        }
        Ok(program)
    }

    fn add_tables(&mut self, setup: &Setup) {
        let mut first_port = 0;
        for (charger, spec) in setup.chargers.iter().enumerate() {
            if !spec.lines.is_empty() {
                let granted = |line: &[Option<f64>]| {
                    let mut by_port = vec![None; self.ports];
                    for (port, watts) in line.iter().enumerate() {
                        by_port[first_port + port] = watts.map(millionths);
                    }
                    by_port
                };
                self.tables.push(Table {
                    charger,
                    row: self.caps.len(),
                    lines: spec.lines.iter().map(|line| granted(&line.watts)).collect(),
                });
                self.caps.push(None);
            }
            first_port += spec.ports.len();
        }
    }

    fn ways_of(&self, setup: &Setup, index: usize) -> Vec<Way> {
        let device = &setup.devices[index];
        let stays = |takes| Way {
            seat: None,
            takes,
            time: 0,
        };
        if !device.needs_berth() {
            return vec![stays(Vec::new())];
        }
        let rank = usize::from(device.priority) - 1;
        let (missing, late) = (self.unserved + 3, self.unserved + 4 + rank);
        let unserved = self.unserved + rank;
        let mut ways = vec![stays(vec![
            (unserved, 1),
            (missing, millionths(device.missing_wh())),
        ])];
        let (mut first_port, mut first_pool) = (0, 0);
        for (c, charger) in setup.chargers.iter().enumerate() {
            let table = self.tables.iter().find(|table| table.charger == c);
            for (p, port) in charger.ports.iter().enumerate() {
                if device
                    .pinned_port
                    .is_some_and(|pin| pin != PortId::new(c, p))
                {
                    continue;
                }
                for (k, cable) in setup.cables.iter().enumerate() {
                    let elsewhere = is_elsewhere(cable, PortId::new(c, p));
                    if elsewhere || device.pinned_cable.is_some_and(|pin| pin != CableId(k)) {
                        continue;
                    }
                    for contract in contracts(port, cable, device, Lifted::Nothing) {
                        let Some(hours) = hours_to_full(device, contract.inlet_w) else {
                            continue;
                        };
                        let (time, tier) = (millionths(hours), millionths(contract.tier_w));
                        let reserved = match charger.reserve {
                            Reserve::Offer => tier,
                            Reserve::Contract => millionths(contract.port_w()),
                        };
                        let pools = charger.pools.iter().enumerate();
                        let mut takes: Vec<(usize, i64)> = pools
                            .filter(|(_, pool)| pool.ports.contains(&p))
                            .map(|(pool, _)| (first_pool + pool, reserved))
                            .collect();
                        takes.push((self.cables + k, 1));
                        takes.extend(table.map(|table| (table.row, tier)));
                        if device.ready_by_h.is_some_and(|by| time > millionths(by)) {
                            takes.push((late, 1));
                        }
                        ways.push(Way {
                            seat: Some((first_port + p, k)),
                            takes,
                            time,
                        });
                    }
                }
            }
            first_port += charger.ports.len();
            first_pool += charger.pools.len();
        }
        for way in &mut ways {
            way.takes.retain(|take| take.1 > 0);
        }
        ways
    }

    /// The row that counts a claimed number; the longest time has none.
    pub(crate) fn row_of(&self, number: Number) -> Option<usize> {
        let place = Number::ALL.iter().position(|one| *one == number);
        place
            .filter(|_| number != Number::Longest)
            .map(|at| self.unserved + at)
    }

    /// What a better plan must keep: the claimed numbers before `less`, and less of it.
    /// Ways that cannot help are left out.
    pub(crate) fn better(&self, claimed: &Claimed, less: Number) -> Self {
        let mut better = self.clone();
        let counted = Number::ALL.into_iter().zip(claimed.counted());
        for (at, (number, value)) in counted.enumerate() {
            better.caps[self.unserved + at] = match number.cmp(&less) {
                std::cmp::Ordering::Less => Some(value),
                std::cmp::Ordering::Equal => Some(value.saturating_sub(1)),
                std::cmp::Ordering::Greater => None,
            };
        }
        let limits =
            |row: usize| better.caps[row].is_some() || self.tables.iter().any(|t| t.row == row);
        for ways in &mut better.ways {
            if less == Number::Longest {
                ways.retain(|way| way.seat.is_none() || way.time < claimed.longest);
            }
            for way in &mut *ways {
                way.takes.retain(|(row, _)| limits(*row));
            }
            *ways = undominated(ways);
        }
        better
    }
}

/// The longest time of the places that `counts`; `None` where nobody sits there.
fn longest_of(
    setup: &Setup,
    places: &[Place],
    counts: impl Fn(&DeviceSpec) -> bool,
) -> Option<i64> {
    let devices = places
        .iter()
        .map(|place| (place, &setup.devices[place.device]));
    let times = devices
        .filter(|(_, device)| counts(device))
        .map(|(place, device)| {
            hours_to_full(device, place.contract.inlet_w).map_or(i64::MAX, millionths)
        });
    times.max()
}

/// The longest time of a plan, in whole 1e-6 h.
pub(super) fn longest(setup: &Setup, places: &[Place]) -> i64 {
    longest_of(setup, places, |_| true).unwrap_or(0)
}

/// The time that a plan's longest is claimed not to be below: its bound, but at least what
/// makes it no more than the tolerance longer than any other, whatever a search that was
/// stopped says of its bound. Devices of priority 3 delay nobody: theirs may be longer.
fn least_longest(setup: &Setup, plan: &Plan, places: &[Place]) -> i64 {
    let waited_for = longest_of(setup, places, |device| device.priority < 3);
    let longest = waited_for.unwrap_or_else(|| longest(setup, places));
    let within = longest.saturating_sub(millionths(setup.tolerance_h));
    within.max(plan.bound_h.map_or(0, millionths)).max(0)
}

/// What a plan comes to. What it promises depends on all that sit beside: of a plan that was
/// chosen by that only who has a berth is claimed.
pub(super) fn claimed(setup: &Setup, plan: &Plan, places: &[Place]) -> Claimed {
    let by_times = setup.aim == Aim::Best;
    let mut claimed = Claimed {
        unserved: [0; 3],
        missing: 0,
        late: [0; 3],
        longest: if by_times {
            least_longest(setup, plan, places)
        } else {
            0
        },
    };
    for (index, device) in setup.devices.iter().enumerate() {
        if let Some(place) = places.iter().find(|place| place.device == index) {
            let time = hours_to_full(device, place.contract.inlet_w).map_or(i64::MAX, millionths);
            let late = device.ready_by_h.is_some_and(|by| time > millionths(by));
            claimed.late[usize::from(device.priority) - 1] += i64::from(late && by_times);
        } else if device.needs_berth() {
            claimed.unserved[usize::from(device.priority) - 1] += 1;
            claimed.missing += millionths(device.missing_wh());
        }
    }
    claimed
}

/// The ways but those that take at least as much of every row as another on the same
/// port; of equal ones the first.
fn undominated(ways: &[Way]) -> Vec<Way> {
    let mut kept = Vec::with_capacity(ways.len());
    // Through another cable a way takes from another row, so only those on the same port
    // through the same cable can be compared; they stand side by side.
    for same in ways.chunk_by(|a, b| a.seat == b.seat) {
        for (at, way) in same.iter().enumerate() {
            let beaten = same.iter().enumerate().any(|(other_at, other)| {
                other_at != at
                    && takes_no_more(other, way)
                    && (other_at < at || !takes_no_more(way, other))
            });
            if !beaten {
                kept.push(way.clone());
            }
        }
    }
    kept
}

/// Whether `a` takes at most as much as `b` from every row.
fn takes_no_more(a: &Way, b: &Way) -> bool {
    a.takes.iter().all(|(row, taken)| {
        let of_b = b.takes.iter().find(|(other, _)| other == row);
        of_b.is_some_and(|(_, most)| taken <= most)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_ways_on_one_port_through_one_cable_the_frugal_stay() {
        let way = |seat, takes: &[(usize, i64)]| Way {
            seat: Some(seat),
            takes: takes.to_vec(),
            time: 0,
        };
        let ways = [
            way((0, 0), &[(0, 9), (2, 1)]),
            // Less of one row, more of another.
            way((0, 0), &[(0, 10)]),
            // More of both than the first, and as much as the second.
            way((0, 0), &[(0, 10), (2, 1)]),
            // As much as the first: the first stays.
            way((0, 0), &[(0, 9), (2, 1)]),
            // Less, but elsewhere.
            way((1, 0), &[(0, 5)]),
            way((1, 1), &[(0, 1)]),
        ];
        let kept = undominated(&ways);
        assert_eq!(kept, [0, 1, 4, 5].map(|at| ways[at].clone()));
    }

    #[test]
    fn a_claim_caps_what_comes_before_and_what_it_is_about() {
        let setup = super::super::sample::setup();
        let program = Program::of(&setup).expect("few ways");
        let claimed = Claimed {
            unserved: [1, 2, 3],
            missing: 40,
            late: [5, 6, 7],
            longest: 1_250_000,
        };
        let caps = |less| {
            let better = program.better(&claimed, less);
            better.caps[program.unserved..].to_vec()
        };
        let some = |list: &[i64]| -> Vec<Option<i64>> { list.iter().map(|&n| Some(n)).collect() };
        for (less, expected) in [
            (Number::UnservedFirst, [some(&[0]), vec![None; 6]].concat()),
            (
                Number::UnservedThird,
                [some(&[1, 2, 2]), vec![None; 4]].concat(),
            ),
            (
                Number::Missing,
                [some(&[1, 2, 3, 39]), vec![None; 3]].concat(),
            ),
            (
                Number::LateFirst,
                [some(&[1, 2, 3, 40, 4]), vec![None; 2]].concat(),
            ),
            (Number::LateThird, some(&[1, 2, 3, 40, 5, 6, 6])),
            (Number::Longest, some(&[1, 2, 3, 40, 5, 6, 7])),
        ] {
            assert_eq!(caps(less), expected, "{less:?}");
        }
        let longest = |program: &Program| program.ways.iter().flatten().map(|way| way.time).max();
        assert!(longest(&program) > Some(1_250_000));
        let better = program.better(&claimed, Number::Longest);
        assert!(longest(&better).is_some_and(|time| 0 < time && time < 1_250_000));
    }
}
