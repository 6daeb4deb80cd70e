//! Answers that are read back: plans, rotas and the others; ways of plugging in.

use std::fmt::Debug;
use std::sync::LazyLock;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::json;
use wattberth::{
    BatchAnswer, BatchLine, Calendar, Error, Faults, Guest, Improvements, Luggage, ObjectiveValue,
    Plan, Ranking, Rota, Score, Setup, SharingRules, Sizing, SolveOptions, Source, Timeline, Trip,
    Verification, Way, Wishes, assign_from_with, assign_near_with, rota_from_with, score_with,
    verify, verify_rota,
};

use super::{Outcome, faults, fixture, placed, refused};

static QUARTET: LazyLock<Setup> = LazyLock::new(|| setup("quartet.json"));
static DESK: LazyLock<Setup> = LazyLock::new(|| setup("desk.json"));

/// Two sessions, a device that has to wait for the second, one of which only its kind is known.
static NIGHT: LazyLock<Setup> = LazyLock::new(|| {
    let document = json!({
        "sessions": [{"name": "evening", "hours": 3}, {"name": "night", "hours": 7}],
        "chargers": [{
            "name": "desk",
            "ports": [{"name": "C1", "pd_w": 20}, {"name": "C2", "pd_w": 30}],
            "pools": [{"name": "both", "ports": ["C1", "C2"], "max_w": 40}]
        }],
        "cables": [{"name": "braided", "count": 2}],
        "devices": [
            {"name": "viola", "pd_w": 20, "battery_wh": 20, "priority": 1},
            {"name": "cello", "kind": "tablet"},
            {"name": "lamp", "pd_w": 20, "battery_wh": 20, "sessions": ["night"], "ready_by_h": 9}
        ]
    });
    Setup::from_json(&document.to_string()).expect("it is valid")
});

fn setup(name: &str) -> Setup {
    Setup::from_json(&fixture(name)).expect("it is valid")
}

/// So few steps that a search is over at once.
pub(super) fn few() -> SolveOptions {
    SolveOptions::default().budget(50)
}

/// The plan of `desk.json`, or what calls itself one.
pub(super) fn plan(text: &str) -> Outcome {
    let read = Plan::from_json(text);
    let outcome = Outcome::of(&read);
    match read {
        Ok(plan) => {
            written(&plan, Plan::to_json, Plan::from_json);
            held(text, verify(&DESK, &plan), &verify(&DESK, &plan));
            let of = ObjectiveValue::of(&DESK, &plan);
            assert!(of.compare(&of).is_eq());
            wayward(&DESK, &Way::from(&plan));
            for again in [
                assign_from_with(&DESK, &plan, &few()),
                assign_near_with(&DESK, &plan, &few()),
            ] {
                fine(again);
            }
        }
        Err(error) => refused(text, error, || Plan::from_json(text)),
    }
    outcome
}

/// The rota of a night, or what calls itself one.
pub(super) fn rota(text: &str) -> Outcome {
    let read = Rota::from_json(text);
    let outcome = Outcome::of(&read);
    match read {
        Ok(rota) => {
            written(&rota, Rota::to_json, Rota::from_json);
            held(
                text,
                verify_rota(&NIGHT, &rota),
                &verify_rota(&NIGHT, &rota),
            );
            let of = ObjectiveValue::of_rota(&NIGHT, &rota);
            assert!(of.compare(&of).is_eq());
            written(&rota.without_sessions(), Plan::to_json, Plan::from_json);
            fine(rota_from_with(&NIGHT, &rota, &few()));
        }
        Err(error) => refused(text, error, || Rota::from_json(text)),
    }
    outcome
}

/// A way to plug in what `quartet.json` has.
pub(super) fn berths(text: &str) -> Outcome {
    let read = Way::from_json(&QUARTET, text);
    let outcome = Outcome::of(&read);
    match read {
        Ok(way) => {
            let json = way.to_json();
            assert_eq!(Way::from_json(&QUARTET, &json), Ok(way.clone()), "{json}");
            wayward(&QUARTET, &way);
        }
        Err(error) => refused(text, error, || Way::from_json(&QUARTET, text)),
    }
    outcome
}

/// Every other answer.
pub(super) fn others(text: &str) -> Outcome {
    let mut outcome = Outcome::Refused;
    macro_rules! each {
        ($($answer:ident),+) => {
            $(match $answer::from_json(text) {
                Ok(answer) => {
                    outcome = Outcome::Read;
                    written(&answer, $answer::to_json, $answer::from_json);
                }
                Err(error) => refused(text, error, || $answer::from_json(text)),
            })+
        };
    }
    each!(
        Faults,
        Score,
        Improvements,
        Wishes,
        Sizing,
        Ranking,
        Timeline,
        SharingRules,
        Trip,
        Luggage,
        Calendar,
        Guest
    );
    by_serde::<BatchAnswer>(text, &mut outcome);
    by_serde::<BatchLine>(text, &mut outcome);
    outcome
}

/// What is written of an answer is read back, and written the same again.
fn written<T>(answer: &T, to_json: fn(&T) -> String, from_json: fn(&str) -> Result<T, Error>)
where
    T: Serialize + DeserializeOwned + PartialEq + Debug,
{
    let json = to_json(answer);
    let again = from_json(&json).unwrap_or_else(|error| panic!("{error}\n{json}"));
    assert_eq!(to_json(&again), json);
    let full = serde_json::to_string(answer).expect("it is JSON");
    let back: T = serde_json::from_str(&full).unwrap_or_else(|error| panic!("{error}\n{full}"));
    assert_eq!(serde_json::to_string(&back).expect("it is JSON"), full);
}

fn by_serde<T>(text: &str, outcome: &mut Outcome)
where
    T: Serialize + DeserializeOwned + PartialEq + Debug,
{
    if let Ok(answer) = serde_json::from_str::<T>(text) {
        *outcome = Outcome::Read;
        let full = serde_json::to_string(&answer).expect("it is JSON");
        let back: T = serde_json::from_str(&full).unwrap_or_else(|error| panic!("{error}\n{full}"));
        assert_eq!(back, answer, "{full}");
        assert_eq!(serde_json::to_string(&back).expect("it is JSON"), full);
    }
}

/// What a check finds stands at a place in the text, and is the same each time.
fn held(text: &str, found: Verification, again: &Verification) {
    assert_eq!(&found, again);
    let source = Source { file: "", text };
    for fault in source.locate(found.violations) {
        if !fault.message.ends_with("are shown") {
            placed(text, &fault);
        }
    }
}

/// A way is held against the rules, whatever it says.
fn wayward(setup: &Setup, way: &Way) {
    fine(score_with(setup, way, &few()));
}

/// An answer, or faults in what was given.
fn fine<T>(answer: Result<T, Error>) {
    if let Err(error) = answer {
        assert!(!faults(error).is_empty());
    }
}

/// A wish about `desk.json`.
pub(super) fn wish(text: &str) -> Outcome {
    let read = wattberth::Wish::parse(text, &DESK);
    let outcome = Outcome::of(&read);
    if let Err(error) = read {
        super::sentences(error);
    }
    outcome
}
