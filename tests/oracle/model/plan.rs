//! The numbers of the plan document that follow from the best plan (section 7).

use serde_json::Value;

use super::causes::{Cause, cause};
use super::limited_by::{Limit, limited_by};
use super::near::{former, with_own_names};
use super::options::Choice;
use super::order::Score;
use super::promise::{NEVER, Promise, Promises};
use super::rounding::{micro, watts};
use super::rules::taken;
use super::search::{Best, best_plan, least_longest};
use super::setup::{self, Setup};
use super::stay::during;

#[derive(Debug)]
pub(crate) struct Plan {
    pub(crate) setup: Setup,
    pub(crate) score: Score,
    /// At best, over all berths.
    pub(crate) longest_h: f64,
    /// `None` where a berth is never full.
    pub(crate) promised_longest_h: Option<f64>,
    pub(crate) unserved: usize,
    pub(crate) missing_wh: f64,
    pub(crate) late: usize,
    pub(crate) promised_late: usize,
    pub(crate) berths: Vec<Berth>,
    pub(crate) without_berth: Vec<(usize, Cause)>,
    pub(crate) pools: Vec<PoolUse>,
    pub(crate) visited: u64,
    pub(crate) ties: u64,
}

#[derive(Debug)]
pub(crate) struct Berth {
    /// Index into the setup's devices.
    pub(crate) device: usize,
    pub(crate) choice: Choice,
    pub(crate) promise: Promise,
    pub(crate) limited_by: Limit,
}

impl Plan {
    /// The least longest time, by the aim; `None` where never. A search of its own.
    pub(crate) fn bound_h(&self) -> Option<f64> {
        let bound = least_longest(&self.setup);
        (bound < NEVER).then(|| watts(bound))
    }
}

impl Berth {
    /// Its promised volts × amps.
    pub(crate) fn promised_w(&self) -> Option<f64> {
        self.promise.contract.map(|contract| contract.port_w())
    }
}

#[derive(Debug)]
pub(crate) struct PoolUse {
    pub(crate) session: String,
    pub(crate) charger: String,
    pub(crate) pool: String,
    pub(crate) used_w: f64,
    pub(crate) max_w: f64,
}

/// The best plan of a setup document, and everything that its document says.
pub(crate) fn plan(json: &str) -> Plan {
    best_of(setup::read(json))
}

/// The best plan that stays near the one of a plan document.
pub(crate) fn plan_near(json: &str, at_hand: &Value) -> Plan {
    let (setup, best) = best_near(json, at_hand, i64::MAX);
    said_of(setup, best)
}

/// The best of those that move at most so many.
pub(crate) fn best_near(json: &str, at_hand: &Value, most_moves: i64) -> (Setup, Best) {
    let mut setup = setup::read(json);
    setup.at_hand = Some(former(&setup, at_hand));
    setup.most_moves = most_moves;
    let mut best = best_plan(&setup);
    best.chosen = with_own_names(&setup, &best.chosen);
    (setup, best)
}

/// The same of its best rota.
pub(crate) fn rota(json: &str) -> Plan {
    best_of(setup::read_for_rota(json))
}

/// The best of a setup that was read already.
pub(crate) fn best_of(setup: Setup) -> Plan {
    let best = best_plan(&setup);
    said_of(setup, best)
}

/// Everything that the document of a plan says.
pub(crate) fn said_of(setup: Setup, best: Best) -> Plan {
    let promises = Promises::new(&setup).of_plan(&best.chosen);
    let berths: Vec<Berth> = best
        .chosen
        .iter()
        .zip(&promises)
        .enumerate()
        .filter_map(|(device, (choice, promise))| {
            Some(Berth {
                device,
                choice: choice.clone()?,
                promise: (*promise)?,
                limited_by: limited_by(&setup, &best.chosen, device),
            })
        })
        .collect();
    let without: Vec<usize> = (0..setup.devices.len())
        .filter(|&d| best.chosen[d].is_none() && setup.devices[d].needs_berth())
        .collect();
    let all: Vec<Choice> = best.chosen.iter().flatten().cloned().collect();
    let mut pools = Vec::new();
    for (s, session) in setup.sessions.iter().enumerate() {
        let there = during(&all, s);
        for (c, charger) in setup.chargers.iter().enumerate() {
            pools.extend(charger.pools.iter().map(|pool| {
                PoolUse {
                    session: session.name.clone(),
                    charger: charger.name.clone(),
                    pool: pool.name.clone(),
                    used_w: there
                        .iter()
                        .filter(|x| x.charger == c && pool.ports.contains(&x.port))
                        .map(|x| watts(taken(charger, x)))
                        .sum(),
                    max_w: pool.max_w,
                }
            }));
        }
    }
    let never = berths.iter().any(|berth| berth.promise.hours.is_none());
    let promised = berths.iter().map(|berth| berth.promise.finish).max();
    let longest = berths.iter().map(|berth| berth.choice.stay.finish).max();
    Plan {
        longest_h: watts(longest.unwrap_or(0)),
        promised_longest_h: (!never).then(|| watts(promised.unwrap_or(0))),
        unserved: without.len(),
        missing_wh: watts(
            without
                .iter()
                .map(|&d| micro(setup.devices[d].missing_wh()))
                .sum(),
        ),
        late: berths.iter().filter(|berth| berth.choice.late).count(),
        promised_late: berths.iter().filter(|berth| berth.promise.late).count(),
        without_berth: without
            .iter()
            .map(|&d| (d, cause(&setup, &best.chosen, d)))
            .collect(),
        berths,
        pools,
        score: best.score,
        visited: best.visited,
        ties: best.ties,
        setup,
    }
}
