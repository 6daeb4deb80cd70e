//! What a plan or a rota comes to in the numbers that a proof is about.

use super::{NEVER, Program};
use crate::plan::proof::{Claimed, Later};
use crate::setup::Setup;
use crate::units::millionths;
use crate::verify::promise::grant;
use crate::verify::rules::Place;

/// A berth, and through which sessions it lasts.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Berth {
    pub(crate) place: Place,
    pub(crate) first: usize,
    pub(crate) last: usize,
}

impl Program {
    /// By agent, the way in which it is in a plan: of several claims the one of the greatest
    /// grant that it has. `None` where the plan has a berth that is none of the ways.
    pub(crate) fn chosen(&self, setup: &Setup, berths: &[Berth]) -> Option<Vec<usize>> {
        let during = |session: usize| -> Vec<Place> {
            let there = berths
                .iter()
                .filter(|b| (b.first..=b.last).contains(&session));
            there.map(|berth| berth.place).collect()
        };
        let sessions: Vec<Vec<Place>> = (0..self.sessions).map(during).collect();
        let port = |place: &Place| {
            let before = &setup.chargers[..place.charger];
            before.iter().map(|c| c.ports.len()).sum::<usize>() + place.port
        };
        let chosen = self.agents.iter().map(|agent| {
            let own = berths.iter().find(|b| b.place.device == agent.device);
            let Some(berth) = own else {
                return Some(0);
            };
            let granted = if self.by_promise {
                grant(setup, &berth.place, &sessions[berth.first..=berth.last])
            } else {
                i64::MAX
            };
            let contract = &berth.place.contract;
            let contract = (millionths(contract.volts), millionths(contract.amps));
            let number = port(&berth.place);
            agent.ways.iter().rposition(|way| {
                way.seat.is_some_and(|seat| {
                    seat.port == number
                        && seat.cable == berth.place.cable
                        && (seat.first, seat.last) == (berth.first, berth.last)
                }) && way.contract == contract
                    && way.need <= granted
            })
        });
        chosen.collect()
    }

    /// What these ways come to, with the bound on the longest time that is said of them.
    pub(crate) fn claimed(&self, chosen: &[usize], bound: Option<i64>) -> Claimed {
        let mut claimed = Claimed::default();
        let mut waited_for = None;
        for (agent, &at) in self.agents.iter().zip(chosen) {
            let way = &agent.ways[at];
            if way.seat.is_none() {
                claimed.unserved[agent.rank] += 1;
                claimed.missing += agent.missing;
                continue;
            }
            claimed.late[agent.rank] += i64::from(way.late);
            claimed.longest = claimed.longest.max(way.time);
            if agent.rank < 2 {
                waited_for = waited_for.max(Some(way.time));
            }
        }
        // Devices of priority 3 delay nobody: theirs may be longer.
        let longest = waited_for.unwrap_or(claimed.longest);
        let within = match longest {
            NEVER => NEVER,
            longest => longest.saturating_sub(self.tolerance),
        };
        claimed.least_longest = within.max(bound.unwrap_or(0)).max(0);
        claimed
    }

    /// The numbers of these ways that come after the longest time.
    pub(crate) fn later(&self, chosen: &[usize]) -> Later {
        let mut later = Later::default();
        for (agent, &at) in self.agents.iter().zip(chosen) {
            let way = &agent.ways[at];
            let Some(seat) = way.seat else { continue };
            let times = if agent.rank < 2 {
                &mut later.urgent
            } else {
                &mut later.spare
            };
            times.push(way.time);
            later.swaps += i64::from(seat.first > 0);
            later.hours += way.hours;
            later.watts += way.watts;
        }
        for times in [&mut later.urgent, &mut later.spare] {
            times.sort_unstable_by_key(|&time| std::cmp::Reverse(time));
        }
        later
    }
}
