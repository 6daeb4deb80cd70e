//! The numbers of the plan document that follow from the best plan (section 6).

use super::causes::{Cause, cause};
use super::limited_by::{Limit, limited_by};
use super::options::Choice;
use super::rounding::watts;
use super::rules::taken;
use super::search::{Score, best_plan};
use super::setup::{self, Setup};
use super::stay::during;

#[derive(Debug)]
pub(crate) struct Plan {
    pub(crate) setup: Setup,
    pub(crate) score: Score,
    pub(crate) longest_h: f64,
    pub(crate) unserved: usize,
    pub(crate) missing_wh: f64,
    pub(crate) late: usize,
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
    pub(crate) limited_by: Limit,
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

/// The same of its best rota.
pub(crate) fn rota(json: &str) -> Plan {
    best_of(setup::read_for_rota(json))
}

fn best_of(setup: Setup) -> Plan {
    let best = best_plan(&setup);
    let berths: Vec<Berth> = berthed(&best.chosen)
        .map(|(device, choice)| Berth {
            device,
            choice: choice.clone(),
            limited_by: limited_by(&setup, &best.chosen, device),
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
    Plan {
        longest_h: watts(best.score.times.first().copied().unwrap_or(0)),
        unserved: without.len(),
        missing_wh: without.iter().map(|&d| setup.devices[d].missing_wh()).sum(),
        late: berths.iter().filter(|berth| berth.choice.late).count(),
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

fn berthed(chosen: &[Option<Choice>]) -> impl Iterator<Item = (usize, &Choice)> {
    chosen
        .iter()
        .enumerate()
        .filter_map(|(d, choice)| choice.as_ref().map(|x| (d, x)))
}
