//! What holds whatever the trip: the adapters against every choice of them, findings that
//! are complete, and one answer for one input.

use std::collections::BTreeMap;

use wattberth::{
    About, Adapter, Appliance, Cable, Charger, Device, Finding, Load, PackingKind, Port,
    SetupDocument, Stop, Trip, TripDocument, Verdict, trip,
};

use super::tour;

/// A small generator of numbers (`SplitMix64`), so that every run sees the same trips.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % sides
    }

    fn one_of<T: Copy>(&mut self, things: &[T]) -> T {
        let sides = u64::try_from(things.len()).expect("a short list");
        things[usize::try_from(self.below(sides)).expect("below its length")]
    }
}

const COUNTRIES: [&str; 8] = ["DE", "GB", "CH", "IT", "US", "JP", "AU", "ZA"];
const WALL: [&str; 10] = ["G", "J", "L10", "A", "B", "I", "M", "N-ZA", "C", "EF"];

/// A trip with few adapters, so that all their choices can be tried.
fn random_trip(dice: &mut Dice) -> SetupDocument {
    let mut setup = SetupDocument::new()
        .cable(Cable::c_to_c("braided").count(6))
        .device(Device::new("tablet", 28.6).pd_w(30.0).count(3));
    for name in ["desk", "cube"] {
        let plug = dice.one_of(&["C", "EF", "EF"]);
        let charger = Charger::new(name)
            .port(Port::pd("C1", 45.0))
            .port(Port::pd("C2", 30.0));
        setup = setup.charger(charger.mains(plug, "100-240V 50/60Hz"));
    }
    let mut route = TripDocument::new();
    for i in 0..=dice.below(3) {
        let mut stop = Stop::new(format!("stop {i}"), dice.one_of(&COUNTRIES));
        if dice.below(2) == 0 {
            stop = stop.outlets(u32::try_from(dice.below(3)).expect("small"));
        }
        route = route.stop(stop);
    }
    for i in 0..3 + dice.below(4) {
        let makes: Vec<&str> = (0..=dice.below(3)).map(|_| dice.one_of(&WALL)).collect();
        let mut adapter = Adapter::new(format!("adapter {i}"), ["C", "EF"], makes);
        adapter.weight_g = Some(f64::from(
            u32::try_from(10 + 5 * dice.below(8)).expect("small"),
        ));
        adapter.earthed = Some(dice.below(2) == 0);
        if dice.below(3) == 0 {
            adapter = adapter.max_a(2.5);
        }
        if dice.below(4) == 0 {
            adapter = adapter
                .port(Port::pd("U1", 20.0))
                .input("100-240V", "50/60Hz");
        } else if dice.below(3) == 0 {
            adapter = adapter.count(2);
        }
        route = route.adapter(adapter);
    }
    let kettle = Appliance::new("kettle", "EF", "220-240V", 1200.0, Load::Heating);
    route = route.appliance(kettle);
    let amplifier = Appliance::new("amplifier", "EF", "100-240V", 80.0, Load::Electronic);
    setup.trip(route.appliance(amplifier.needs_earth()))
}

fn answered(setup: &SetupDocument) -> Trip {
    let checked = setup.clone().check().expect("a trip without faults");
    trip(&checked).expect("an answer")
}

/// What a stop is served with: how its night ends, which appliances have a way, and how many
/// things have none in which kind of socket.
type Served = (
    usize,
    usize,
    Vec<String>,
    Vec<Verdict>,
    Vec<(String, usize)>,
);

fn served(answer: &Trip) -> Vec<Served> {
    let at_home = |thing: &str| {
        answer
            .bag
            .leave
            .iter()
            .any(|packing| packing.thing == thing)
    };

    answer
        .stops
        .iter()
        .map(|stop| {
            let plan = stop.plan.as_ref().expect("a night is spent there");
            let times = plan
                .berths
                .iter()
                .map(|berth| format!("{:.6}", berth.hours));
            let mut times: Vec<String> = times.collect();
            times.sort();
            let uses = stop.findings.iter().filter(|found| {
                found.about == About::Use && ["kettle", "amplifier"].contains(&&*found.thing)
            });
            // Straight or through an adapter is both fine; an adapter that does not do may
            // tell why not where else nothing is known.
            let uses = uses.map(|found| match found.verdict {
                _ if at_home(&found.thing) => Verdict::No,
                Verdict::Direct => Verdict::Adapter,
                Verdict::Unknown => Verdict::No,
                other => other,
            });
            let sockets = stop.by_socket.iter().map(|of| {
                let none = of.ways.iter().filter(|way| way.verdict == Verdict::No);
                let none = none.filter(|way| !way.thing.starts_with("adapter"));
                (of.socket.clone(), none.count())
            });
            let sockets = sockets.filter(|(_, none)| *none > 0).collect();
            (plan.unserved, plan.late, times, uses.collect(), sockets)
        })
        .collect()
}

/// The adapters that are taken: how many, and their grams.
fn taken(answer: &Trip) -> (u32, f64) {
    let adapters = answer
        .bag
        .take
        .iter()
        .filter(|packing| packing.kind == PackingKind::Adapter);
    (
        adapters.map(|packing| packing.count).sum(),
        answer.bag.adapters_g,
    )
}

/// Each choice of adapters is a bag of its own, asked anew: one that serves as much as all
/// of them is never fewer nor, at as many, lighter than what was taken.
#[test]
fn no_choice_of_fewer_or_lighter_adapters_serves_as_much() {
    let cases: u64 = std::env::var("WATTBERTH_CASES").map_or(25, |text| {
        text.parse::<u64>().map_or(25, |cases| (cases / 40).max(25))
    });
    let (mut reached, mut none_needed) = (BTreeMap::new(), 0);
    for seed in 0..cases {
        let setup = random_trip(&mut Dice(seed));
        let answer = answered(&setup);
        assert!(answer.bag.least, "seed {seed}");
        let wanted = served(&answer);
        let (count, grams) = taken(&answer);
        *reached.entry(count).or_insert(0) += 1;
        none_needed += u32::from(count == 0);
        let route = setup.trip.clone().expect("it has a trip");
        let pieces: Vec<Adapter> = route
            .adapters
            .iter()
            .flat_map(|adapter| {
                let mut piece = adapter.clone();
                let many = piece.count.take().unwrap_or(1);
                (0..many).map(move |i| {
                    let mut piece = piece.clone();
                    piece.name = format!("{} {i}", piece.name);
                    piece
                })
            })
            .collect();
        let mut best: Option<(u32, f64)> = None;
        for choice in 0..1_u32 << pieces.len() {
            let chosen = |at: &usize| choice >> at & 1 == 1;
            let mut fewer = route.clone();
            fewer.adapters = (0..pieces.len())
                .filter(chosen)
                .map(|at| pieces[at].clone())
                .collect();
            let weight: f64 = fewer.adapters.iter().filter_map(|a| a.weight_g).sum();
            let found = (choice.count_ones(), weight);
            // What is no better than the best so far need not be asked.
            if best.is_some_and(|best| best <= found) || found > (count, grams) {
                continue;
            }
            let mut changed = setup.clone();
            changed.trip = Some(fewer);
            if served(&answered(&changed)) == wanted {
                best = Some(found);
            }
        }
        let (least, lightest) =
            best.unwrap_or_else(|| panic!("seed {seed}: not even what it took"));
        assert_eq!(count, least, "seed {seed}");
        assert!(
            (grams - lightest).abs() < 1e-6,
            "seed {seed}: {grams} {lightest}"
        );
    }
    assert!(reached.len() >= 3, "too much alike: {reached:?}");
    assert!(
        none_needed * 2 < u32::try_from(cases).expect("few"),
        "{none_needed}"
    );
}

/// Every finding of an answer.
fn findings(answer: &Trip) -> impl Iterator<Item = &Finding> {
    answer
        .stops
        .iter()
        .flat_map(|stop| &stop.findings)
        .chain(&answer.air)
}

/// Nothing goes through two adapters: what is one itself goes straight into the wall.
#[test]
fn no_adapter_goes_through_another() {
    let mut with_ports = 0;
    for seed in 0..200 {
        let setup = random_trip(&mut Dice(seed));
        let route = setup.trip.clone().expect("it has a trip");
        let answer = answered(&setup);
        for found in findings(&answer) {
            if route
                .adapters
                .iter()
                .any(|adapter| adapter.name == found.thing)
            {
                with_ports += 1;
                assert!(found.with.is_empty(), "seed {seed}: {found:?}");
            } else {
                assert!(found.with.len() <= 1, "seed {seed}: {found:?}");
            }
        }
    }
    assert!(with_ports > 100, "{with_ports}");
}

#[test]
fn every_finding_has_its_reason_its_source_and_its_date() {
    let tour = wattberth::Setup::from_json(&tour()).expect("the tour is fine");
    let mut answers = vec![trip(&tour).expect("an answer")];
    answers.extend((0..20).map(|seed| answered(&random_trip(&mut Dice(seed)))));
    // Somewhere nothing is known of, with a charger of which nothing is said.
    let silent = SetupDocument::new()
        .charger(Charger::new("plain").port(Port::pd("C1", 30.0)))
        .device(Device::new("tablet", 28.6).pd_w(30.0))
        .trip(TripDocument::new().stop(Stop::new("the ice", "AQ")));
    answers.push(answered(&silent));
    let mut seen = 0;
    for answer in &answers {
        for found in findings(answer) {
            seen += 1;
            assert!(
                !found.thing.is_empty() && !found.reason.is_empty(),
                "{found:?}"
            );
            assert!(!found.source.is_empty(), "{found:?}");
            let year = found.date.trim_start_matches("read ").split('-').next();
            let year: u32 = year.and_then(|year| year.parse().ok()).expect("a date");
            assert!((2000..2100).contains(&year), "{found:?}");
        }
        for caution in &answer.cautions {
            assert!(!caution.reason.is_empty() && !caution.source.is_empty());
            assert!(!caution.date.is_empty());
        }
    }
    assert!(seen > 1000, "only {seen} findings");
}

#[test]
fn each_caution_is_told_once_and_the_same_trip_gives_the_same_bytes() {
    let tour = wattberth::Setup::from_json(&tour()).expect("the tour is fine");
    let answer = trip(&tour).expect("an answer");
    let mut told: Vec<&str> = answer.cautions.iter().map(|c| c.reason.as_str()).collect();
    let all = told.len();
    told.sort_unstable();
    told.dedup();
    assert_eq!(told.len(), all);
    assert!(all > 10);
    assert_eq!(answer.to_json(), trip(&tour).expect("an answer").to_json());
}

#[test]
fn nights_with_more_outlets_are_never_worse() {
    for seed in 0..20 {
        let mut setup = random_trip(&mut Dice(seed));
        let now = answered(&setup);
        for stop in &mut setup.trip.as_mut().expect("it has a trip").stops {
            stop.outlets = stop.outlets.map(|outlets| outlets + 1);
        }
        let more = answered(&setup);
        for (now, more) in now.stops.iter().zip(&more.stops) {
            let of = |stop: &wattberth::TripStop| {
                let plan = stop.plan.as_ref().expect("a night is spent there");
                (plan.unserved, plan.late, (plan.longest_h * 1e6).round())
            };
            let (now, more) = (of(now), of(more));
            assert!(
                more.0 < now.0 || more <= now,
                "seed {seed}: {now:?} {more:?}"
            );
        }
    }
}
