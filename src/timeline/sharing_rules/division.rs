//! How each published rule divides a charger's watts among the ports in use.
//!
//! Each keeps a floor for every port in use, takes back what a port holds and its device
//! does not ask for, and withholds nothing from a device while power is left. Two ways to
//! give are enough for all of them: one after the other, and all at once.

use super::SharingRule;
use crate::limits::START_PCT;
use crate::plan::promise::Granted;
use crate::units::millionths;

/// Less than this is nothing: watts are compared in whole 1e-6 W.
const NOTHING_W: f64 = 1e-9;

/// Up to this state of charge a battery counts in full where the batteries decide.
const COUNTS_IN_FULL_PCT: f64 = 60.0;

/// What the ports in use on one charger ask for, and the limits that hold them together.
#[derive(Debug, Clone)]
pub(super) struct Group {
    pub(super) berths: Vec<Asks>,
    /// By pool, the watts that are divided.
    pub(super) pools_w: Vec<f64>,
    /// By berth, the pools that hold its port.
    pub(super) pools_of: Vec<Vec<usize>>,
}

/// One of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asks {
    /// The most that it takes from others, in watts.
    pub(super) ask_w: f64,
    /// What is kept for its port whoever else draws.
    pub(super) floor_w: f64,
    /// What its device needs to work at all.
    pub(super) min_w: f64,
    /// What its battery holds.
    pub(super) battery_wh: f64,
    /// Its state of charge.
    pub(super) soc_pct: f64,
}

impl Group {
    /// By berth what it is granted. `order` is the order of plugging, the port that goes
    /// first with the others behind it, or the order in which demands are met.
    pub(super) fn divided(&self, rule: SharingRule, order: &[usize]) -> Vec<Granted> {
        let mut given = Given::none(self);
        given.rise_to(order, |berth| berth.floor_w);
        match rule {
            SharingRule::Assured | SharingRule::FairShare => {}
            SharingRule::FirstCome | SharingRule::ByDemand => given.serve(order),
            SharingRule::LastCome => {
                let newest_first: Vec<usize> = order.iter().rev().copied().collect();
                given.serve(&newest_first);
            }
            SharingRule::OnePortFirst => given.serve(order.get(..1).unwrap_or_default()),
            SharingRule::ByBattery => {
                given.rise_to(order, |berth| berth.min_w);
                given.rise(|berth| berth.battery_wh * berth.hunger());
            }
        }
        // Whatever the rule has left over goes to all who still ask.
        given.rise(|_| 1.0);
        let granted = given.watts.iter().zip(&self.berths);
        granted
            .map(|(watts, berth)| Granted {
                watts: millionths(*watts),
                floor: millionths(berth.floor_w),
            })
            .collect()
    }
}

impl Asks {
    /// How much its battery counts: in full up to 60 %, then less and less.
    fn hunger(&self) -> f64 {
        let missing_pct = (START_PCT.high - self.soc_pct).max(0.0);
        (missing_pct / (START_PCT.high - COUNTS_IN_FULL_PCT)).min(1.0)
    }
}

/// What has been given so far.
struct Given<'a> {
    group: &'a Group,
    /// By berth.
    watts: Vec<f64>,
    /// By pool, what is left.
    left_w: Vec<f64>,
}

impl<'a> Given<'a> {
    fn none(group: &'a Group) -> Self {
        Self {
            group,
            watts: vec![0.0; group.berths.len()],
            left_w: group.pools_w.clone(),
        }
    }

    /// What the pools have left for a berth.
    fn left_for(&self, berth: usize) -> f64 {
        let left = self.group.pools_of[berth]
            .iter()
            .map(|&pool| self.left_w[pool]);
        left.fold(f64::INFINITY, f64::min).max(0.0)
    }

    fn give(&mut self, berth: usize, more_w: f64) {
        self.watts[berth] += more_w;
        for &pool in &self.group.pools_of[berth] {
            self.left_w[pool] -= more_w;
        }
    }

    /// One after the other up to some watts, as far as they are asked for and left.
    fn rise_to(&mut self, order: &[usize], watts: impl Fn(&Asks) -> f64) {
        for &at in order {
            let berth = &self.group.berths[at];
            let more = watts(berth).min(berth.ask_w) - self.watts[at];
            if more > 0.0 {
                self.give(at, more.min(self.left_for(at)));
            }
        }
    }

    /// One after the other takes all that it asks for, or what is left.
    fn serve(&mut self, order: &[usize]) {
        self.rise_to(order, |berth| berth.ask_w);
    }

    /// All that still ask rise together, each by its weight, until they have what they ask
    /// for or a pool of theirs is empty.
    fn rise(&mut self, weight: impl Fn(&Asks) -> f64) {
        let group = self.group;
        let weights: Vec<f64> = group.berths.iter().map(weight).collect();
        // Each round satisfies a berth or empties a pool.
        for _ in 0..=group.berths.len() + group.pools_w.len() {
            let mut step = f64::INFINITY;
            let mut rising = Vec::new();
            let mut weight_in = vec![0.0; group.pools_w.len()];
            for (at, berth) in group.berths.iter().enumerate() {
                if weights[at] > 0.0 && self.still_asks(at) {
                    rising.push(at);
                    step = step.min((berth.ask_w - self.watts[at]) / weights[at]);
                    for &pool in &group.pools_of[at] {
                        weight_in[pool] += weights[at];
                    }
                }
            }
            if rising.is_empty() {
                return;
            }
            for (left_w, weight) in self.left_w.iter().zip(weight_in) {
                if weight > 0.0 {
                    step = step.min(left_w / weight);
                }
            }
            for at in rising {
                self.give(at, step.max(0.0) * weights[at]);
            }
        }
    }

    fn still_asks(&self, at: usize) -> bool {
        self.group.berths[at].ask_w - self.watts[at] > NOTHING_W && self.left_for(at) > NOTHING_W
    }
}
