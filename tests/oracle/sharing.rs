//! The promise against the rules by which chargers are known to share: whatever the rule,
//! whoever comes first, no berth is given less than the model's grant.
//!
//! Each rule is a small simulator over the asks of the berths and the pools that hold them.
//! All of them keep a floor for the ports in use, take back what a port holds and its device
//! does not ask, and waste nothing: no device is held below what it asks while power is
//! left. The labels S0 to S8 are those of the page on sharing. (S2, equal parts, wastes, and
//! S9 to S12 need facts that no label has: nothing is promised for them.)

use super::model::options::{Choice, options_of};
use super::model::promise::{Berth, Promises, berthed};
use super::model::rounding::watts;
use super::model::rules::{governing, no_place_twice};
use super::model::setup::{Charger, Setup, read};
use super::random_setup::open;
use super::random_setup::rng::Rng;

/// What the ports in use on one charger ask, and what they share.
pub(crate) struct Group {
    /// Per berth the most that it takes.
    pub(crate) asks: Vec<f64>,
    /// Per berth what every rule keeps for it.
    pub(crate) floors: Vec<f64>,
    /// Limits, with the berths that they hold.
    pub(crate) pools: Vec<(f64, Vec<usize>)>,
}

impl Group {
    /// What is left for a berth.
    fn left_for(&self, given: &[f64], berth: usize) -> f64 {
        let holding = self.pools.iter().filter(|pool| pool.1.contains(&berth));
        let left = holding
            .map(|(limit, members)| limit - members.iter().map(|&other| given[other]).sum::<f64>());
        left.fold(f64::INFINITY, f64::min).max(0.0)
    }

    /// Every berth's floor, as far as it asks it.
    pub(crate) fn kept(&self) -> Vec<f64> {
        let pairs = self.asks.iter().zip(&self.floors);
        pairs.map(|(ask, floor)| ask.min(*floor)).collect()
    }

    /// S4 and S5, first and last come; S6, a fixed order; S7, an order by demand: one after
    /// the other takes what it asks, or what is left.
    pub(crate) fn one_after_the_other(&self, mut given: Vec<f64>, order: &[usize]) -> Vec<f64> {
        for &berth in order {
            let more = self.asks[berth] - given[berth];
            given[berth] += more.min(self.left_for(&given, berth)).max(0.0);
        }
        given
    }

    /// S3, a fair share, and S8, a share by weights: all that still ask rise together, each
    /// by its weight, until a pool is empty for them or they have what they ask.
    pub(crate) fn rising(&self, mut given: Vec<f64>, weights: &[f64]) -> Vec<f64> {
        loop {
            let rises = |&berth: &usize| {
                weights[berth] > 0.0
                    && self.asks[berth] - given[berth] > 1e-9
                    && self.left_for(&given, berth) > 1e-9
            };
            let rising: Vec<usize> = (0..self.asks.len()).filter(rises).collect();
            if rising.is_empty() {
                return given;
            }
            let to_ask = rising
                .iter()
                .map(|&berth| (self.asks[berth] - given[berth]) / weights[berth]);
            let to_limit = self.pools.iter().filter_map(|(limit, members)| {
                let used: f64 = members.iter().map(|&berth| given[berth]).sum();
                let of_pool = rising.iter().filter(|berth| members.contains(berth));
                let weight: f64 = of_pool.map(|&berth| weights[berth]).sum();
                (weight > 0.0).then(|| (limit - used) / weight)
            });
            let step = to_ask.chain(to_limit).fold(f64::INFINITY, f64::min);
            for berth in rising {
                given[berth] += step * weights[berth];
            }
        }
    }

    /// S8: each sink's minimum, the rest by capacity and charge; what is left then, to
    /// whoever asks.
    fn by_battery(&self, rng: &mut Rng) -> Vec<f64> {
        let berths = self.asks.len();
        let minimum: Vec<f64> = self
            .asks
            .iter()
            .map(|ask| ask * rng.pick(&[0.0, 0.2, 0.5]))
            .collect();
        let first = Self {
            asks: self
                .kept()
                .iter()
                .zip(&minimum)
                .map(|(a, b)| a.max(*b))
                .collect(),
            floors: self.floors.clone(),
            pools: self.pools.clone(),
        };
        let order: Vec<usize> = (0..berths).collect();
        let given = first.one_after_the_other(self.kept(), &order);
        let weights: Vec<f64> = (0..berths)
            .map(|_| {
                let charge: f64 = rng.pick(&[0.1, 0.5, 0.7, 0.9, 1.0]);
                let fullness = ((1.0 - charge) / 0.4).min(1.0);
                rng.pick(&[5.0, 20.0, 60.0]) * fullness
            })
            .collect();
        let given = self.rising(given, &weights);
        self.one_after_the_other(given, &order)
    }

    /// What each rule gives, in any order of plugging.
    fn given_by_every_rule(&self, rng: &mut Rng) -> Vec<(&'static str, Vec<f64>)> {
        let berths = self.asks.len();
        let mut all = Vec::new();
        // S0: all of it fits.
        let fits = |(limit, members): &(f64, Vec<usize>)| {
            members.iter().map(|&berth| self.asks[berth]).sum::<f64>() <= *limit
        };
        if self.pools.iter().all(fits) {
            all.push(("assured", self.asks.clone()));
        }
        all.push(("fair share", self.rising(self.kept(), &vec![1.0; berths])));
        let mut orders = Vec::new();
        permutations(&mut (0..berths).collect(), 0, &mut orders);
        for _ in 24..orders.len() {
            orders.swap_remove(rng.below(orders.len()));
        }
        for order in &orders {
            all.push(("one by one", self.one_after_the_other(self.kept(), order)));
            // One port goes first, the others share what it leaves.
            let first = self.one_after_the_other(self.kept(), &order[..1]);
            all.push(("one first", self.rising(first, &vec![1.0; berths])));
            all.push(("by battery", self.by_battery(rng)));
        }
        let mut by_demand: Vec<usize> = (0..berths).collect();
        by_demand.sort_by(|&a, &b| self.asks[a].total_cmp(&self.asks[b]));
        all.push((
            "least first",
            self.one_after_the_other(self.kept(), &by_demand),
        ));
        by_demand.reverse();
        all.push((
            "most first",
            self.one_after_the_other(self.kept(), &by_demand),
        ));
        all
    }
}

/// All orders of so many things: at most six.
fn permutations(order: &mut Vec<usize>, from: usize, orders: &mut Vec<Vec<usize>>) {
    if from + 1 >= order.len() {
        orders.push(order.clone());
        return;
    }
    for next in from..order.len() {
        order.swap(from, next);
        permutations(order, from + 1, orders);
        order.swap(from, next);
    }
}

/// Berths at random, each port and cable no more than once too often; on a charger with a
/// table only for ports that a line holds.
fn random_plan(rng: &mut Rng, setup: &Setup) -> Vec<Option<Choice>> {
    let mut chosen: Vec<Option<Choice>> = Vec::new();
    for device in &setup.devices {
        let options = options_of(setup, device);
        let choice = (!options.is_empty() && rng.chance(90))
            .then(|| options[rng.below(options.len())].clone());
        let mut with: Vec<Choice> = chosen.iter().flatten().cloned().collect();
        with.extend(choice.clone());
        chosen.push(choice.filter(|_| no_place_twice(setup, &with)));
    }
    for (c, charger) in setup.chargers.iter().enumerate() {
        let here = chosen.iter().flatten().filter(|x| x.charger == c);
        let in_use: Vec<usize> = here.map(|x| x.port).collect();
        let table = charger.lines.as_ref();
        if table.is_some_and(|lines| governing(lines, &in_use).is_empty()) {
            let off = |x: &&mut Option<Choice>| x.as_ref().is_some_and(|x| x.charger == c);
            chosen.iter_mut().filter(off).for_each(|x| *x = None);
        }
    }
    chosen
}

/// What the berths on a charger share: with a table one group for each line that it may
/// hold them at.
pub(crate) fn groups(promises: &Promises<'_>, charger: &Charger, here: &[Berth<'_>]) -> Vec<Group> {
    let in_use: Vec<usize> = here.iter().map(|berth| berth.1.port).collect();
    let given: Vec<Vec<Option<f64>>> = match &charger.lines {
        None => vec![vec![None; charger.ports.len()]],
        Some(lines) => governing(lines, &in_use)
            .into_iter()
            .map(|line| line.watts.clone())
            .collect(),
    };
    given
        .into_iter()
        .map(|line| {
            let at_most = |berth: &Berth<'_>| line[berth.1.port].unwrap_or(f64::INFINITY);
            let ask = |berth: &Berth<'_>| {
                let ask = if charger.reserves_tier {
                    charger.ports[berth.1.port].cap_w
                } else {
                    watts(promises.demand(*berth))
                };
                ask.min(at_most(berth))
            };
            let floor = |berth: &Berth<'_>| promises.grant(*berth, here).floor_w;
            Group {
                asks: here.iter().map(ask).collect(),
                floors: here.iter().map(floor).collect(),
                pools: charger
                    .pools
                    .iter()
                    .map(|pool| {
                        let held = |&i: &usize| pool.ports.contains(&here[i].1.port);
                        (pool.max_w, (0..here.len()).filter(held).collect())
                    })
                    .collect(),
            }
        })
        .collect()
}

#[test]
fn no_rule_gives_less_than_the_grant() {
    let mut rng = Rng::new(6);
    let (mut grants, mut least_met, mut shared, mut tables) = (0, 0, 0, 0);
    for seed in 0..6_000 {
        let json = match seed % 3 {
            0 => open::crowded_setup(seed),
            _ => open::small_setup(seed),
        };
        let setup = read(&json);
        let chosen = random_plan(&mut rng, &setup);
        let promises = Promises::new(&setup);
        for (c, charger) in setup.chargers.iter().enumerate() {
            let here: Vec<Berth<'_>> = berthed(&chosen).filter(|b| b.1.charger == c).collect();
            if here.is_empty() {
                continue;
            }
            shared += usize::from(here.len() > 1);
            tables += usize::from(charger.lines.is_some());
            let promised: Vec<(f64, f64)> = here
                .iter()
                .map(|berth| {
                    let grant = promises.grant(*berth, &here).watts;
                    (watts(grant), watts(promises.demand(*berth)))
                })
                .collect();
            let mut least = vec![f64::INFINITY; here.len()];
            for group in groups(&promises, charger, &here) {
                for (rule, given) in group.given_by_every_rule(&mut rng) {
                    for (i, &(grant, asked)) in promised.iter().enumerate() {
                        assert!(
                            given[i] >= grant.min(asked) - 2e-6,
                            "seed {seed}, {rule}: {} W of {grant} W promised\n{json}",
                            given[i]
                        );
                        least[i] = least[i].min(given[i]);
                        grants += 1;
                    }
                }
            }
            for (i, &(grant, _)) in promised.iter().enumerate() {
                least_met += usize::from(least[i] <= grant + 2e-6);
            }
        }
    }
    // The promise is no less than it could be: the worst rule gives no more, mostly.
    assert!(
        grants > 100_000 && least_met > 8_000 && shared > 2_000 && tables > 2_000,
        "{grants} grants, {least_met} least, {shared} chargers shared, {tables} with a table"
    );
}

#[test]
fn the_worked_example_of_a_fair_share() {
    // 75 W, two ports: 37.5 W each; what one leaves goes to the other.
    let group = |asks: [f64; 2]| Group {
        asks: asks.to_vec(),
        floors: vec![7.5; 2],
        pools: vec![(75.0, vec![0, 1])],
    };
    let fair = |asks: [f64; 2]| {
        let group = group(asks);
        group.rising(group.kept(), &[1.0, 1.0])
    };
    assert_eq!(fair([60.0, 60.0]), [37.5, 37.5]);
    assert_eq!(fair([60.0, 20.0]), [55.0, 20.0]);
    // The first takes all but the floor of the second.
    let group = group([60.0, 75.0]);
    assert_eq!(
        group.one_after_the_other(group.kept(), &[0, 1]),
        [60.0, 15.0]
    );
    assert_eq!(
        group.one_after_the_other(group.kept(), &[1, 0]),
        [7.5, 67.5]
    );
}
