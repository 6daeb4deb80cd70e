//! Every call that solves, under every limit: it ends, and says what it has.

use std::fmt::Debug;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use wattberth::{
    BatchOptions, Candidate, Error, OnProgress, PackOptions, Plan, Port, RankOptions, Result, Rota,
    Setup, Sharing, SolveOptions, TimelineOptions, Way, Wish, assign_from_with, assign_near_with,
    assign_with, batch, calendar_with, guest_with, improve_with, pack_with, prove_rota_with,
    prove_whole_rota_with, prove_whole_with, prove_with, rank_with, reshared_with, rota_from_with,
    rota_reshared_with, rota_timeline_with, rota_with, score_with, sharing_rules_with, size_with,
    timeline_with, trip_with, why_with, wish_with,
};

use crate::random_setup::measured::Measured;
use crate::steps;

/// No machine is so busy that a call which ends at once takes as long; one that goes on to the
/// end of its budget does.
const AT_ONCE: Duration = Duration::from_secs(20);

/// What is asked about: more than can be proven in a few seconds.
struct Hard {
    setup: Setup,
    plan: Plan,
    /// Without the last device.
    before: Plan,
    nights: Setup,
    rota: Rota,
    trip: Setup,
    shop: Setup,
}

impl Hard {
    fn new() -> Self {
        let text = Measured::Chargers.setup(1, 30);
        let document: Value = serde_json::from_str(&text).expect("JSON");
        let read = |of: &Value| Setup::from_json(&of.to_string()).expect("a valid setup");
        let setup = read(&document);
        let mut fewer = document.clone();
        let devices = fewer["devices"].as_array_mut().expect("a list");
        devices.pop();
        let nights = Measured::Rota.setup(1, 30);
        let nights = Setup::from_json(&nights).expect("a valid setup");
        let plan = |of: &Setup| assign_with(of, &steps(300)).expect("a plan");
        Self {
            plan: plan(&setup),
            before: plan(&read(&fewer)),
            rota: rota_with(&nights, &steps(300)).expect("a rota"),
            trip: read(&on_a_trip(&document)),
            shop: Setup::from_text(include_str!("../../fixtures/tour-shop.txt"))
                .expect("a valid list"),
            nights,
            setup,
        }
    }
}

/// The same things on a trip, some of them not charged every night.
fn on_a_trip(document: &Value) -> Value {
    let mut trip = document.clone();
    for charger in trip["chargers"].as_array_mut().expect("a list") {
        charger["plug"] = json!("C");
        charger["input_v"] = json!("100-240V");
        charger["input_hz"] = json!("50/60Hz");
    }
    for (at, device) in trip["devices"]
        .as_array_mut()
        .expect("a list")
        .iter_mut()
        .enumerate()
    {
        device["every_nights"] = json!(1 + at % 3);
    }
    let stop = |name: &str| json!({"name": name, "country": "CH", "nights": 3, "outlets": 3});
    trip["trip"] = json!({"stops": [stop("Basel"), stop("Chur")]});
    trip
}

fn shown(answer: Result<impl Debug>) -> String {
    match answer {
        Ok(answer) => format!("{answer:?}"),
        // Neither is an answer, and both say what ended the call.
        Err(error @ (Error::NoPlanInTime | Error::NoProof { .. })) => error.to_string(),
        Err(other) => panic!("{other}"),
    }
}

fn drawn(search: &SolveOptions) -> TimelineOptions {
    let mut options = TimelineOptions::default();
    options.search = search.clone();
    options.sharing = Sharing::Reshared;
    options
}

fn ranked(hard: &Hard, search: &SolveOptions, threads: usize) -> String {
    let chargers = hard.setup.document().chargers.iter();
    let candidates: Vec<Candidate> = chargers.cloned().map(Candidate::from).collect();
    let mut options = RankOptions::default();
    options.search = search.clone();
    options.up_to = 2;
    options.threads = Some(threads);
    shown(rank_with(&hard.setup.bag(), &candidates, &options, |_| ()))
}

fn by_line(hard: &Hard, search: &SolveOptions, threads: usize) -> String {
    let line = json!({"setup": hard.setup.document()}).to_string();
    let mut options = BatchOptions::default();
    options.search = search.clone();
    options.threads = Some(threads);
    let answers = batch(vec![line; 3].into_iter(), &options);
    shown(answers.map(Iterator::collect::<Vec<_>>))
}

/// A call: its name, whether it tells how far it is, and what it answers.
type Call = (&'static str, bool, fn(&Hard, &SolveOptions) -> String);

const CALLS: &[Call] = &[
    ("assign", true, |of, with| {
        shown(assign_with(&of.setup, with))
    }),
    ("assign_near", true, |of, with| {
        shown(assign_near_with(&of.setup, &of.before, with))
    }),
    ("assign_from", true, |of, with| {
        shown(assign_from_with(&of.setup, &of.plan, with))
    }),
    ("rota", true, |of, with| shown(rota_with(&of.nights, with))),
    ("rota_from", true, |of, with| {
        shown(rota_from_with(&of.nights, &of.rota, with))
    }),
    ("assign, because and reshared", true, |of, with| {
        let mut options = with.clone();
        (options.because, options.reshared) = (true, true);
        shown(assign_with(&of.setup, &options))
    }),
    ("why", false, |of, with| {
        shown(why_with(&of.setup, &of.plan, with))
    }),
    ("improve", true, |of, with| {
        shown(improve_with(&of.setup, with))
    }),
    ("wish", true, |of, with| {
        let name = of.setup.device_names().next().expect("a device");
        let wish = Wish::device(name).by_h(0.1);
        shown(wish_with(&of.setup, &wish, with))
    }),
    ("guest", true, |of, with| {
        shown(guest_with(&of.setup, &of.before, None, with))
    }),
    ("calendar", true, |of, with| {
        shown(calendar_with(&of.trip, with))
    }),
    ("size", false, |of, with| {
        shown(size_with(&of.setup.bag(), None, with))
    }),
    ("rank", true, |of, with| ranked(of, with, 2)),
    ("score", true, |of, with| {
        let berths = of.plan.berths.iter();
        let way = berths.fold(Way::new(), |way, berth| {
            way.plug(&berth.device, format!("{}/{}", berth.charger, berth.port))
        });
        shown(score_with(&of.setup, &way, with))
    }),
    ("timeline", false, |of, with| {
        shown(timeline_with(&of.setup, &of.plan, &drawn(with)))
    }),
    ("rota_timeline", false, |of, with| {
        shown(rota_timeline_with(&of.nights, &of.rota, &drawn(with)))
    }),
    ("reshared", false, |of, with| {
        shown(reshared_with(&of.setup, &of.plan, &drawn(with)))
    }),
    ("rota_reshared", false, |of, with| {
        shown(rota_reshared_with(&of.nights, &of.rota, &drawn(with)))
    }),
    ("sharing_rules", false, |of, with| {
        shown(sharing_rules_with(&of.setup, &of.plan, &drawn(with)))
    }),
    ("trip", true, |of, with| shown(trip_with(&of.trip, with))),
    ("pack", true, |of, with| {
        let mut options = PackOptions::default();
        options.search = with.clone();
        shown(pack_with(&of.shop, &options))
    }),
    ("prove", false, |of, with| {
        shown(prove_with(&of.setup, &of.plan, with))
    }),
    ("prove_whole", false, |of, with| {
        shown(prove_whole_with(&of.setup, &of.plan, with))
    }),
    ("prove_rota", false, |of, with| {
        shown(prove_rota_with(&of.nights, &of.rota, with))
    }),
    ("prove_whole_rota", false, |of, with| {
        shown(prove_whole_rota_with(&of.nights, &of.rota, with))
    }),
    ("a bag's plan", true, |of, with| {
        shown(of.setup.bag().plan(&of.setup.document().chargers, with))
    }),
    ("a bag's better plan", true, |of, with| {
        let bag = of.setup.bag();
        let port = Port::pd("C1", 20.0);
        let cube = [wattberth::Charger::new("cube").port(port)];
        let best = bag.plan(&cube, &steps(1)).expect("a plan");
        let best = bag.value_of(&best);
        shown(bag.plan_better_than(&of.setup.document().chargers, &best, with))
    }),
    ("batch", true, |of, with| by_line(of, with, 2)),
];

/// Each call under some limits, which it is to keep.
fn all_end(with: impl Fn() -> SolveOptions) {
    let hard = Hard::new();
    for (name, _, call) in CALLS {
        let options = with();
        let begun = Instant::now();
        call(&hard, &options);
        let took = begun.elapsed();
        assert!(took < AT_ONCE, "{name} took {took:?}");
    }
}

#[test]
fn whoever_is_stopped_before_it_begins_ends_at_once() {
    all_end(super::interrupted);
}

#[test]
fn no_time_at_all_is_enough_to_say_so() {
    all_end(|| {
        let mut options = SolveOptions::default();
        options.time_limit = Some(Duration::ZERO);
        options
    });
}

#[test]
fn a_short_time_is_kept() {
    all_end(|| {
        let mut options = SolveOptions::default();
        options.time_limit = Some(Duration::from_millis(300));
        options
    });
}

#[test]
fn who_is_stopped_on_the_way_ends_soon() {
    let hard = Hard::new();
    for (name, tells, call) in CALLS.iter().filter(|(_, tells, _)| *tells) {
        let told = Arc::new(AtomicU32::new(0));
        let mut options = SolveOptions::default();
        options.progress = Some(OnProgress::deciding({
            let told = Arc::clone(&told);
            move |_| {
                told.fetch_add(1, Ordering::Relaxed);
                ControlFlow::Break(())
            }
        }));
        let begun = Instant::now();
        call(&hard, &options);
        assert!(begun.elapsed() < AT_ONCE, "{name}");
        let told = told.load(Ordering::Relaxed);
        assert_eq!(*tells, told > 0, "{name} is told of {told} times");
    }
}

#[test]
fn few_steps_have_the_same_answer_always() {
    let hard = Hard::new();
    for budget in [1, 200] {
        for (name, _, call) in CALLS {
            let first = call(&hard, &steps(budget));
            // A flag and a time that do not strike change nothing.
            let mut options = steps(budget);
            options.interrupt = Some(Arc::new(AtomicBool::new(false)));
            assert_eq!(call(&hard, &options), first, "{name}, {budget}");
        }
        assert_eq!(
            ranked(&hard, &steps(budget), 1),
            ranked(&hard, &steps(budget), 3)
        );
        assert_eq!(
            by_line(&hard, &steps(budget), 1),
            by_line(&hard, &steps(budget), 2)
        );
    }
}

#[test]
fn no_steps_are_refused_by_all() {
    let hard = Hard::new();
    for (name, _, call) in CALLS {
        let none =
            std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| call(&hard, &steps(0))));
        let said = none.expect_err(name);
        let said = said.downcast_ref::<String>().expect("a message");
        assert_eq!(said, "the budget must be at least 1 step", "{name}");
    }
}
