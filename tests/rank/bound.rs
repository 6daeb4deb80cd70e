//! With and without the bound the same kits, on random bags and random chargers: singles,
//! pairs and triples, by both aims, with priorities, deadlines, pins, weights and prices.

use serde_json::{Value, json};
use wattberth::{Bag, Candidate, Error, RankBy, RankOptions, Ranked, Ranking, rank_with};

use super::random_setup::rng::Rng;
use super::random_setup::{lone_charger, small_setup};
use super::shelf::shelf;
use super::{BAG, read};

/// The devices and cables of a small setup, by one aim or the other, more often with priorities
/// and deadlines than there.
fn bag(seed: u64) -> Bag {
    let mut rng = Rng::new(seed ^ 0x7261_6E6B);
    let mut setup: Value = serde_json::from_str(&small_setup(seed)).expect("it is JSON");
    setup["chargers"] = json!([]);
    setup["aim"] = json!(rng.pick(&["promise", "best"]));
    for device in setup["devices"].as_array_mut().expect("a list") {
        if rng.chance(50) {
            device["priority"] = json!(1 + rng.below(3));
        }
        if rng.chance(30) {
            device["ready_by_h"] = json!(rng.pick(&[0.5, 1.0, 2.0, 4.0]));
        }
    }
    Bag::from_json(&setup.to_string()).expect("a bag of a valid setup")
}

/// Some chargers of a port or three, of whom some weigh or cost nobody knows what.
fn chargers(seed: u64, count: u64) -> Vec<Candidate> {
    let mut rng = Rng::new(seed ^ 0x6261_6773);
    let lines = (0..count).map(|number| {
        let mut charger = lone_charger(seed * 16 + number, 1 + rng.below(3));
        charger["name"] = json!(format!("bow {number}"));
        if rng.chance(85) {
            charger["weight_g"] = json!(40 + 20 * rng.below(6));
        }
        if rng.chance(85) {
            charger["price"] = json!(10 + 10 * rng.below(4));
        }
        charger.to_string() + "\n"
    });
    read(&lines.collect::<String>())
}

/// The orders that a bag can be ranked in.
fn orders(bag: &Bag) -> Vec<RankBy> {
    let mut orders = vec![RankBy::Longest, RankBy::Weight, RankBy::Price];
    let names = bag.document().devices.iter();
    let single = names.filter(|device| device.count.is_none_or(|count| count == 1));
    orders.extend(single.map(|device| RankBy::Device(device.name.clone())));
    orders.push(RankBy::PriorityOne);
    orders
}

/// Those of all kits that are wanted.
fn wanted(all: &Ranking, top: usize) -> Vec<&Ranked> {
    let each = all.ranked.iter().enumerate();
    each.filter(|(at, kit)| *at < top || kit.unbeaten)
        .map(|(_, kit)| kit)
        .collect()
}

fn options(up_to: usize, by: RankBy) -> RankOptions {
    let mut options = RankOptions::default();
    options.up_to = up_to;
    options.by = by;
    options
}

#[test]
fn the_bound_changes_no_kit_that_is_wanted() {
    let (mut ranked, mut spared, mut left_out) = (0, 0, 0);
    for seed in 0..90 {
        let bag = bag(seed);
        let (up_to, candidates) = if seed % 3 == 0 {
            (3, chargers(seed, 5))
        } else {
            (2, chargers(seed, 9))
        };
        let orders = orders(&bag);
        let by = orders[usize::try_from(seed).expect("small") % orders.len()].clone();
        let mut options = options(up_to, by);
        // A device that is full as it is has no time, and of priority 1 there may be none.
        let Ok(all) = rank_with(&bag, &candidates, &options, |_| ()) else {
            continue;
        };
        ranked += 1;
        left_out += all.left_out;
        for top in [0, 3] {
            options.top = Some(top);
            let some = rank_with(&bag, &candidates, &options, |_| ()).expect("as before");
            let found: Vec<&Ranked> = some.ranked.iter().collect();
            assert_eq!(found, wanted(&all, top), "seed {seed}, top {top}");
            assert_eq!(some.planned + some.ruled_out, all.planned, "seed {seed}");
            assert_eq!(some.left_out_kits, all.left_out_kits, "seed {seed}");
            spared += some.ruled_out;
        }
        options.bound = false;
        let slow = rank_with(&bag, &candidates, &options, |_| ()).expect("as before");
        assert_eq!((slow.planned, slow.ruled_out), (all.planned, 0));
        assert_eq!(slow.ranked.iter().collect::<Vec<_>>(), wanted(&all, 3));
    }
    assert!(
        ranked > 50 && spared > 1_000 && left_out > 50,
        "{ranked} rankings, {spared} kits spared, {left_out} left out: too few to tell"
    );
}

#[test]
fn the_same_from_a_shelf_whatever_the_threads() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let candidates = read(&shelf(3, 16));
    let mut options = options(2, RankBy::Price);
    let all = rank_with(&bag, &candidates, &options, |_| ()).expect("they can be ranked");
    options.top = Some(5);
    let mut documents = Vec::new();
    for threads in [1, 2, 5] {
        options.threads = Some(threads);
        let some = rank_with(&bag, &candidates, &options, |_| ()).expect("they can be ranked");
        assert_eq!(some.ranked.iter().collect::<Vec<_>>(), wanted(&all, 5));
        assert!(some.ruled_out > 20, "{} of {}", some.ruled_out, some.kits);
        documents.push(some.to_json());
    }
    assert!(documents.windows(2).all(|two| two[0] == two[1]));
}

#[test]
fn a_ranking_that_is_stopped_has_what_it_looked_at() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let candidates = read(&shelf(3, 40));
    let mut options = options(2, RankBy::Longest);
    options.top = Some(3);
    options.threads = Some(1);
    let flag = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    options.search.interrupt = Some(flag.clone());
    let stop = |progress: wattberth::RankProgress| {
        assert!(progress.planned <= progress.settled && progress.settled <= progress.kits);
        if progress.settled == 30 {
            flag.store(true, std::sync::atomic::Ordering::SeqCst);
        }
    };
    let ranking = rank_with(&bag, &candidates, &options, stop).expect("some are planned");
    assert_eq!(ranking.planned + ranking.ruled_out, 30);
    assert_eq!(ranking.not_planned, ranking.kits - 30);
    assert!(!ranking.ranked.is_empty() && ranking.ranked.len() <= ranking.planned);
    // The most promising come first: nothing that a few can do is missing.
    let alone = self::options(1, RankBy::Longest);
    let singles = rank_with(&bag, &candidates, &alone, |_| ()).expect("they can be ranked");
    assert!(ranking.ranked[0].unserved < singles.ranked[0].unserved);

    // Of a budget that is too small there is something all the same, and the same each time.
    options = self::options(2, RankBy::Longest);
    options.top = Some(3);
    options.search.budget = 2_000;
    let short = || rank_with(&bag, &candidates, &options, |_| ()).expect("a plan is never missing");
    let ranking = short();
    assert!(ranking.not_planned > 0 && !ranking.ranked.is_empty());
    assert_eq!(ranking.to_json(), short().to_json());
}

#[test]
fn so_many_plans_at_most() {
    let bag = Bag::from_json(BAG).expect("it is valid");
    let mut options = options(1, RankBy::Longest);
    options.plans = RankOptions::MOST_PLANS + 1;
    let refused = rank_with(&bag, &read(&shelf(3, 2)), &options, |_| ());
    assert!(matches!(refused, Err(Error::Options { .. })));
}
