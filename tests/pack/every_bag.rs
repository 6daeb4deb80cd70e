//! Every bag of a small shop, from the least on, until one serves: by plans of single nights
//! (`assign`) and by the route (`trip`), which know nothing of shops.

use wattberth::{
    About, Device, PackBy, PackOptions, Setup, SetupDocument, Status, Verdict, assign, pack_with,
    trip,
};

use super::rows::{at_home, on_tour};

fn cases(default: u64) -> u64 {
    std::env::var("WATTBERTH_CASES").map_or(default, |n| {
        n.parse().expect("WATTBERTH_CASES is a number of cases")
    })
}

/// How many of each thing of a shop: chargers, cables, adapters.
type Counts = [Vec<u32>; 3];

fn most(document: &SetupDocument) -> Counts {
    let shop = document.shop.as_ref().expect("there is one");
    [
        shop.chargers
            .iter()
            .map(|one| one.count.unwrap_or(1))
            .collect(),
        shop.cables
            .iter()
            .map(|one| one.count.unwrap_or(1))
            .collect(),
        shop.adapters
            .iter()
            .map(|one| one.count.unwrap_or(1))
            .collect(),
    ]
}

/// Weight in tenths of a gram, price in hundredths, pieces; of what is owned the weight and
/// the piece.
fn worth(document: &SetupDocument, counts: &Counts, own: bool) -> [i64; 3] {
    let shop = document.shop.as_ref().expect("there is one");
    let mut worth = [0.0; 3];
    let mut add = |count: u32, weight: Option<f64>, price: Option<f64>| {
        let count = f64::from(count);
        worth[0] += count * weight.unwrap_or(0.0) * 10.0;
        worth[1] += count * price.unwrap_or(0.0) * 100.0;
        worth[2] += count;
    };
    for (one, &count) in shop.chargers.iter().zip(&counts[0]) {
        add(count, one.weight_g, one.price);
    }
    for (one, &count) in shop.cables.iter().zip(&counts[1]) {
        add(count, one.weight_g, one.price);
    }
    for (one, &count) in shop.adapters.iter().zip(&counts[2]) {
        add(count, one.weight_g, one.price);
    }
    if own {
        for charger in &document.chargers {
            add(1, charger.weight_g, None);
        }
    }
    #[expect(clippy::cast_possible_truncation, reason = "small whole numbers")]
    worth.map(|value| value.round() as i64)
}

fn every(most: &Counts) -> Vec<Counts> {
    let flat: Vec<u32> = most.iter().flatten().copied().collect();
    let mut all = vec![Vec::new()];
    for &most in &flat {
        all = all
            .into_iter()
            .flat_map(|counts: Vec<u32>| {
                (0..=most).map(move |count| {
                    let mut more = counts.clone();
                    more.push(count);
                    more
                })
            })
            .collect();
    }
    let split = |counts: Vec<u32>| -> Counts {
        let (chargers, rest) = counts.split_at(most[0].len());
        let (cables, adapters) = rest.split_at(most[1].len());
        [chargers.to_vec(), cables.to_vec(), adapters.to_vec()]
    };
    all.into_iter().map(split).collect()
}

/// The setup with these things for one's own.
fn with(document: &SetupDocument, counts: &Counts, own: bool) -> SetupDocument {
    let mut bag = document.clone();
    let shop = bag.shop.take().expect("there is one");
    if !own {
        bag.chargers.clear();
    }
    for (charger, &count) in shop.chargers.iter().zip(&counts[0]) {
        for number in 0..count {
            let mut charger = charger.clone();
            charger.count = None;
            charger.name = format!("{} {number}", charger.name);
            bag.chargers.push(charger);
        }
    }
    for (cable, &count) in shop.cables.iter().zip(&counts[1]) {
        if count > 0 {
            bag.cables.push(cable.clone().count(count));
        }
    }
    if let Some(trip) = &mut bag.trip {
        for (adapter, &count) in shop.adapters.iter().zip(&counts[2]) {
            if count > 0 {
                trip.adapters.push(adapter.clone().count(count));
            }
        }
    }
    bag
}

/// Whether a plan for these devices serves all of them, as promised.
fn night(bag: &SetupDocument, devices: &[&Device]) -> bool {
    if devices.is_empty() {
        return true;
    }
    if bag.chargers.is_empty() {
        return false;
    }
    let mut night = bag.clone();
    night.devices = devices.iter().map(|&device| device.clone()).collect();
    let setup = night.check().expect("a valid setup");
    assign(&setup).expect("a plan").serves_all()
}

/// Whether for some choice of nights every night serves.
fn serves_at_home(bag: &SetupDocument) -> bool {
    let every: Vec<u32> = bag
        .devices
        .iter()
        .map(|device| device.every_nights.unwrap_or(1))
        .collect();
    let nights = every.iter().fold(1, |nights, every| {
        (1..=*every)
            .map(|n| n * nights)
            .find(|n| n % every == 0)
            .expect("there is one")
    });
    let all: u32 = every.iter().product();
    (0..all).any(|mut number| {
        let first: Vec<u32> = every
            .iter()
            .map(|every| {
                let first = number % every;
                number /= every;
                first
            })
            .collect();
        (0..nights).all(|at| {
            let devices = bag.devices.iter().zip(every.iter().zip(&first));
            let there = devices.filter(|(_, (every, first))| at % **every == **first);
            let there: Vec<&Device> = there.map(|(device, _)| device).collect();
            night(bag, &there)
        })
    })
}

/// The uses of the appliance at each stop.
fn uses(setup: &Setup) -> (bool, Vec<bool>) {
    let answer = trip(setup).expect("an answer");
    let nights = answer.stops.iter().all(|stop| {
        stop.night().is_some_and(|plan| plan.serves_all())
            && stop
                .calendar
                .iter()
                .all(|night| night.night().is_some_and(|plan| plan.serves_all()))
    });
    let used = answer.stops.iter().map(|stop| {
        stop.findings.iter().any(|found| {
            found.thing == "iron"
                && found.about == About::Use
                && matches!(
                    found.verdict,
                    Verdict::Direct | Verdict::Adapter | Verdict::Caution
                )
        })
    });
    (nights, used.collect())
}

/// The least bag by trying them from the least on; none where the whole shop does not serve.
fn least(
    document: &SetupDocument,
    by: PackBy,
    serves: &dyn Fn(&SetupDocument) -> bool,
) -> Option<[i64; 3]> {
    let key = |[weight, price, pieces]: [i64; 3]| match by {
        PackBy::Weight => [weight, price, pieces],
        PackBy::Price => [price, weight, pieces],
        PackBy::Pieces => [pieces, weight, price],
        other => panic!("{other:?} is no order of this page"),
    };
    let with_own = !document.chargers.is_empty();
    let mut bags: Vec<([i64; 3], Counts, bool)> = Vec::new();
    for counts in every(&most(document)) {
        for own in [false, true] {
            if !own || with_own {
                bags.push((key(worth(document, &counts, own)), counts.clone(), own));
            }
        }
    }
    bags.sort();
    let all = with(document, &most(document), with_own);
    if !serves(&all) {
        return None;
    }
    let found = bags
        .iter()
        .find(|(_, counts, own)| serves(&with(document, counts, *own)));
    found.map(|(key, ..)| *key)
}

fn compare(document: &SetupDocument, by: PackBy, least: Option<[i64; 3]>, at: &str) -> bool {
    let setup = document.clone().check().expect("a valid setup");
    let mut options = PackOptions::default();
    options.by = by;
    options.unbeaten = false;
    options.costs = false;
    let answer = pack_with(&setup, &options).unwrap_or_else(|error| panic!("{at}: {error}"));
    let Some(least) = least else {
        return false;
    };
    assert_eq!(answer.status, Status::Optimal, "{at}");
    assert!(answer.all_served(), "{at}");
    #[expect(clippy::cast_possible_truncation, reason = "small whole numbers")]
    let whole = |value: f64| value.round() as i64;
    let (weight, price) = (
        whole(answer.bag.weight_g * 10.0),
        whole(answer.bag.price * 100.0),
    );
    let pieces = i64::from(answer.bag.pieces);
    let found = match by {
        PackBy::Weight => [weight, price, pieces],
        PackBy::Price => [price, weight, pieces],
        PackBy::Pieces => [pieces, weight, price],
        other => panic!("{other:?} is no order of this page"),
    };
    assert_eq!(found, least, "{at}: {:?}", answer.bag);
    true
}

const ORDERS: [PackBy; 3] = [PackBy::Weight, PackBy::Price, PackBy::Pieces];

#[test]
fn at_home_the_least_of_all_bags() {
    let mut served = 0;
    let cases = cases(60);
    for seed in 0..cases {
        let document = at_home(seed);
        let by = ORDERS[usize::try_from(seed % 3).expect("small")];
        let least = least(&document, by, &serves_at_home);
        served += u64::from(compare(&document, by, least, &format!("seed {seed}")));
    }
    assert!(3 * served > cases, "only {served} of {cases} can be served");
}

#[test]
fn on_tour_the_least_of_all_bags() {
    let mut served = 0;
    let cases = cases(60);
    for seed in 0..cases {
        let document = on_tour(seed);
        let by = ORDERS[usize::try_from(seed % 3).expect("small")];
        let whole = with(&document, &most(&document), true).check();
        let (_, wanted) = uses(&whole.expect("a valid setup"));
        let stops = &document.trip.as_ref().expect("there is one").stops;
        let nights = |stop: &wattberth::Stop| stop.nights.unwrap_or(1);
        let used = stops.iter().zip(&wanted).filter(|(_, used)| **used);
        let used: u32 = used.map(|(stop, _)| nights(stop)).sum();
        let taken = 2 * used >= stops.iter().map(nights).sum();
        let serves = |bag: &SetupDocument| {
            let mut bag = bag.clone();
            if !taken && let Some(trip) = &mut bag.trip {
                trip.appliances.clear();
            }
            if bag.chargers.is_empty() {
                return false;
            }
            let (nights, used) = uses(&bag.check().expect("a valid setup"));
            let mut both = used.iter().zip(&wanted);
            nights && (!taken || both.all(|(used, wanted)| *used || !*wanted))
        };
        let least = least(&document, by, &serves);
        served += u64::from(compare(&document, by, least, &format!("seed {seed}")));
    }
    assert!(3 * served > cases, "only {served} of {cases} can be served");
}
