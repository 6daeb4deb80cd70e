//! What keeps a berth from being full sooner: the one limit whose removal alone, the
//! other berths kept, shortens its time the most.

use crate::plan::LimitedBy;
use crate::plan::schedule::Slot;
use crate::plan::sessions::Sessions;
use crate::plan::shared::{governing_lines, grants, pool_use, taken};
use crate::setup::contract::{Contract, Lift, Negotiation, carries};
use crate::setup::curve::hours_to_full;
use crate::setup::{ChargerSpec, LineSpec, Setup};
use crate::units::{from_millionths, millionths};

/// In the order in which ties are broken.
const CANDIDATES: [LimitedBy; 5] = [
    LimitedBy::Pool,
    LimitedBy::Combination,
    LimitedBy::Port,
    LimitedBy::Cable,
    LimitedBy::Device,
];

/// What limits `places[index]`; the device itself where no removal gains 1e-6 h.
pub(crate) fn limiting(setup: &Setup, slots: &[Slot], index: usize) -> LimitedBy {
    limit(&Question::of(setup, &slots[index], &[slots]))
}

/// A berth over sessions.
pub(crate) struct Lasting<'a> {
    pub(crate) slot: &'a Slot,
    pub(crate) sessions: &'a Sessions,
    /// By session that it takes, all places.
    pub(crate) slots: Vec<Vec<Slot>>,
}

impl Lasting<'_> {
    /// What limits it: the other berths are kept, and each contract is judged in the
    /// sessions that it would take.
    pub(crate) fn limiting(&self, setup: &Setup) -> LimitedBy {
        limit(&self.question(setup))
    }

    /// Whether it would be full sooner without its pools, whatever else limits it more.
    pub(crate) fn pool_slows(&self, setup: &Setup) -> bool {
        self.question(setup).slowed_by_pool()
    }

    fn question<'a>(&'a self, setup: &'a Setup) -> Question<'a> {
        let slots: Vec<&[Slot]> = self.slots.iter().map(Vec::as_slice).collect();
        Question {
            lasts: Some((self.sessions, self.slot.first)),
            ..Question::of(setup, self.slot, &slots)
        }
    }
}

fn limit(question: &Question<'_>) -> LimitedBy {
    let now = question.least_time(None);
    // What nobody notices counts as nothing.
    let nothing = millionths(question.setup.tolerance_h).max(1) - 1;
    let mut best = (nothing, LimitedBy::Device);
    for candidate in CANDIDATES {
        let gain = now - question.least_time(Some(candidate));
        if gain > best.0 {
            best = (gain, candidate);
        }
    }
    best.1
}

/// Whether `places[index]` would be full sooner without its pools, whatever else limits it
/// more.
pub(crate) fn pool_slows(setup: &Setup, slots: &[Slot], index: usize) -> bool {
    Question::of(setup, &slots[index], &[slots]).slowed_by_pool()
}

/// One place beside the others, with what every question about it needs.
struct Question<'a> {
    setup: &'a Setup,
    slot: &'a Slot,
    /// By session that it lasts.
    beside: Vec<Beside>,
    /// Where there are several: what tells for how many of these a contract lasts, and
    /// the first of them.
    lasts: Option<(&'a Sessions, usize)>,
}

/// The others on the charger of a place.
struct Beside {
    /// What they take from each pool.
    used: Vec<i64>,
    /// The lines of the table that govern with the place's port in use.
    governing: Vec<usize>,
    /// Those of them that grant the others their tiers.
    granting: Vec<usize>,
}

impl Beside {
    fn of(setup: &Setup, slot: &Slot, slots: &[Slot]) -> Self {
        let charger = &setup.chargers[slot.port.charger];
        let own = slot.takes(charger);
        let mut used = pool_use(setup, slot.port.charger, slots);
        for (pool, used) in charger.pools.iter().zip(&mut used) {
            if pool.ports.contains(&slot.port.index) {
                *used -= own;
            }
        }
        if charger.lines.is_empty() {
            return Self {
                used,
                governing: Vec::new(),
                granting: Vec::new(),
            };
        }
        let mut tiers: Vec<Option<i64>> = vec![None; charger.ports.len()];
        for other in slots {
            if other.port.charger == slot.port.charger && other.port != slot.port {
                tiers[other.port.index] = Some(millionths(other.tier_w));
            }
        }
        let mut in_use: Vec<bool> = tiers.iter().map(Option::is_some).collect();
        in_use[slot.port.index] = true;
        let governing = governing_lines(charger, &in_use);
        let mut granting = governing.clone();
        granting.retain(|&line| grants(&charger.lines[line], &tiers));
        Self {
            used,
            governing,
            granting,
        }
    }
}

impl<'a> Question<'a> {
    fn of(setup: &'a Setup, slot: &'a Slot, sessions: &[&[Slot]]) -> Self {
        let beside = |slots: &&[Slot]| Beside::of(setup, slot, slots);
        Self {
            setup,
            slot,
            beside: sessions.iter().map(beside).collect(),
            lasts: None,
        }
    }

    fn slowed_by_pool(&self) -> bool {
        self.least_time(Some(LimitedBy::Pool)) < self.least_time(None)
    }

    /// How many of its sessions a contract would take: no more than now, where it is no
    /// slower; a slower one is never the best.
    fn taken_by(&self, contract: &Contract) -> usize {
        let Some((sessions, first)) = self.lasts else {
            return self.beside.len();
        };
        let device = self.slot.device;
        let hours = hours_to_full(&self.setup.devices[device], contract.inlet_w);
        let time = hours.map_or(i64::MAX, millionths);
        let stay = sessions.lasting(device.0, first, time, contract.port_w());
        (stay.last - first + 1).min(self.beside.len())
    }

    /// The least time on the same port and cable in whole 1e-6 h, the other berths kept
    /// and one limit removed; the largest number where it never ends.
    fn least_time(&self, removed: Option<LimitedBy>) -> i64 {
        let Self { setup, slot, .. } = *self;
        let charger = &setup.chargers[slot.port.charger];
        let device = &setup.devices[slot.device];
        let lift = match removed {
            Some(LimitedBy::Port) => Lift::Port,
            Some(LimitedBy::Cable) => Lift::Cable,
            Some(LimitedBy::Device) => Lift::Device,
            Some(LimitedBy::Pool | LimitedBy::Combination) | None => Lift::Nothing,
        };
        let cable = carries(&setup.cables[slot.cable], lift);
        let port = &setup[slot.port];
        let negotiation = Negotiation {
            lift,
            ..Negotiation::best(port, &cable, device)
        };
        let mut most_w = f64::NEG_INFINITY;
        if lift == Lift::Port {
            for beside in &self.beside {
                for room_w in room_left(charger, slot.port.index, beside) {
                    if let Some((tier_w, contract)) = negotiation.beyond(room_w)
                        && self.fits(charger, tier_w, &contract, removed)
                    {
                        most_w = contract.inlet_w.max(most_w);
                    }
                }
            }
        }
        // A port held at a higher tier never leaves a device with less.
        let from_above = port.tiers_w.iter().rev().find_map(|&tier_w| {
            let contract = negotiation.contract_at(tier_w)?;
            let fits = self.fits(charger, tier_w, &contract, removed);
            fits.then_some(contract.inlet_w)
        });
        // More power never takes longer.
        let most_w = from_above.map_or(most_w, |inlet_w| inlet_w.max(most_w));
        hours_to_full(device, most_w).map_or(i64::MAX, millionths)
    }

    /// Whether pools and table leave room for a contract, as far as they are not removed.
    fn fits(
        &self,
        charger: &ChargerSpec,
        tier_w: f64,
        contract: &Contract,
        removed: Option<LimitedBy>,
    ) -> bool {
        let port = self.slot.port.index;
        let takes = taken(charger, tier_w, contract);
        self.beside[..self.taken_by(contract)].iter().all(|beside| {
            let pools_hold = removed == Some(LimitedBy::Pool)
                || charger.pools.iter().zip(&beside.used).all(|(pool, used)| {
                    !pool.ports.contains(&port) || used + takes <= millionths(pool.max_w)
                });
            if !pools_hold || removed == Some(LimitedBy::Combination) || charger.lines.is_empty() {
                return pools_hold;
            }
            let tier = millionths(tier_w);
            beside.granting.iter().any(|&line| {
                let line = &charger.lines[line];
                let granted = if removed == Some(LimitedBy::Port) {
                    without_cap(line, port)
                } else {
                    line.watts[port]
                };
                granted.is_some_and(|watts| tier <= millionths(watts))
            })
        })
    }
}

/// What a line grants a port whose cap is lifted: the line "it alone, at its cap" says no more
/// than the cap does, and goes with it.
fn without_cap(line: &LineSpec, port: usize) -> Option<f64> {
    let granted = line.watts[port];
    granted.map(|watts| if line.implied { f64::INFINITY } else { watts })
}

/// The watts that pools and governing lines leave to a port whose cap is lifted beside the
/// others: one number for each line that may govern.
fn room_left(charger: &ChargerSpec, port: usize, beside: &Beside) -> Vec<f64> {
    let in_pools = charger
        .pools
        .iter()
        .zip(&beside.used)
        .filter(|(pool, _)| pool.ports.contains(&port))
        .map(|(pool, used)| millionths(pool.max_w) - used)
        .min()
        .map_or(f64::INFINITY, from_millionths);
    if charger.lines.is_empty() {
        return vec![in_pools];
    }
    let lines = beside.governing.iter();
    lines
        .filter_map(|&line| without_cap(&charger.lines[line], port))
        .map(|watts| watts.min(in_pools))
        .collect()
}
