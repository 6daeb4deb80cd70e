//! Every answer of every fixture: written and read back it is equal, and writes the same bytes.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Debug;
use std::fs;

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use wattberth::{
    Bag, BatchAnswer, BatchLine, Calendar, Candidate, Error, Faults, Guest, Improvements, Luggage,
    PackOptions, Plan, RankOptions, Ranking, Rota, Score, Setup, SetupDocument, SharingRules,
    Sizing, SolveOptions, Source, Timeline, TimelineOptions, TimesOf, Trip, Way, Wish, Wishes,
    answer_line, assign_near_with, assign_with, calendar_with, guest_with, improve_with, lines,
    pack_with, rank_with, rota_timeline_with, rota_with, score_with, sharing_rules_with, size_with,
    timeline_with, trip_with, wish_with,
};

use super::{fixtures, validator};

/// How a document is read.
type Reads<T> = fn(&str) -> Result<T, Error>;

/// Answers with more digits than their document, where numbers are rounded to 1e-6: only by
/// `serde`, in full, they come back equal.
const IN_FULL: [&str; 2] = ["sharing-rules", "timeline"];

/// How often each answer was read back, and what had more digits than its document.
#[derive(Default)]
struct Tried(BTreeMap<&'static str, usize>, BTreeSet<&'static str>);

impl Tried {
    /// By `serde`, through text and through a value; numbers in full.
    fn by_serde<T>(&mut self, what: &'static str, answer: &T)
    where
        T: Serialize + DeserializeOwned + PartialEq + Debug,
    {
        let text = serde_json::to_string(answer).expect("it is JSON");
        let back: T = serde_json::from_str(&text).unwrap_or_else(|e| panic!("{what}: {e}\n{text}"));
        assert_eq!(&back, answer, "{what}");
        assert_eq!(serde_json::to_string(&back).expect("it is JSON"), text);
        let value = serde_json::to_value(answer).expect("it is JSON");
        let back: T = serde_json::from_value(value.clone()).expect("it is one");
        assert_eq!(serde_json::to_value(&back).expect("it is JSON"), value);
        *self.0.entry(what).or_default() += 1;
    }

    /// As a document, too.
    fn answer<T>(
        &mut self,
        what: &'static str,
        answer: Result<T, Error>,
        (to_json, from_json): (fn(&T) -> String, Reads<T>),
        schema: fn() -> Value,
    ) -> Option<T>
    where
        T: Serialize + DeserializeOwned + PartialEq + Debug,
    {
        // Not every question can be asked of every fixture: what is refused has faults.
        let answer = match answer {
            Ok(answer) => answer,
            Err(error) => {
                self.by_serde("faults", &Faults::from(&error));
                return None;
            }
        };
        self.by_serde(what, &answer);
        let text = to_json(&answer);
        let back = from_json(&text).unwrap_or_else(|error| panic!("{what}: {error}\n{text}"));
        assert_eq!(to_json(&back), text, "{what}");
        if back != answer {
            self.1.insert(what);
        }
        let value: Value = serde_json::from_str(&text).expect("it is JSON");
        let schema = schema();
        let found: Vec<String> = validator(&schema)
            .iter_errors(&value)
            .map(|e| e.to_string())
            .collect();
        assert_eq!(found, Vec::<String>::new(), "{what}");
        Some(answer)
    }
}

macro_rules! tried {
    ($tried:ident, $what:literal, $type:ident, $schema:ident, $answer:expr) => {
        $tried.answer(
            $what,
            $answer,
            ($type::to_json, $type::from_json),
            wattberth::$schema,
        )
    };
}

/// Few steps: what a limit leaves open is a part of answers, too.
fn few() -> SolveOptions {
    let mut options = SolveOptions::default();
    options.budget = 60_000;
    options.because = true;
    options
}

/// Every question that can be asked of one setup.
fn ask(tried: &mut Tried, setup: &Setup) {
    tried.by_serde("setup", setup.document());
    let mut reshared = few();
    reshared.reshared = true;
    let mut night = TimelineOptions::default();
    night.search.budget = 20_000;
    let plan = tried!(
        tried,
        "plan",
        Plan,
        plan_schema,
        assign_with(setup, &reshared)
    );
    if let Some(plan) = &plan {
        let way = Way::from(plan);
        tried.by_serde("berths", &way);
        tried!(
            tried,
            "score",
            Score,
            score_schema,
            score_with(setup, &way, &few())
        );
        let nobody = score_with(setup, &Way::new(), &reshared);
        tried!(tried, "score", Score, score_schema, nobody);
        tried!(
            tried,
            "timeline",
            Timeline,
            timeline_schema,
            timeline_with(setup, plan, &night)
        );
        let rules = sharing_rules_with(setup, plan, &night);
        tried!(
            tried,
            "sharing-rules",
            SharingRules,
            sharing_rules_schema,
            rules
        );
        tried!(
            tried,
            "plan",
            Plan,
            plan_schema,
            assign_near_with(setup, plan, &few())
        );
        // The last one came late.
        let mut before = plan.clone();
        if let Some(late) = before.berths.pop() {
            let device = Some(late.device.as_str());
            tried!(
                tried,
                "guest",
                Guest,
                guest_schema,
                guest_with(setup, &before, device, &few())
            );
        }
    }
    let rota = tried!(
        tried,
        "rota",
        Rota,
        rota_schema,
        rota_with(setup, &reshared)
    );
    if let Some(rota) = rota {
        let timeline = rota_timeline_with(setup, &rota, &night);
        tried!(tried, "timeline", Timeline, timeline_schema, timeline);
    }
    tried!(
        tried,
        "improve",
        Improvements,
        improve_schema,
        improve_with(setup, &few())
    );
    for wish in [Wish::everything().by_h(1.0), Wish::everything().promised()] {
        tried!(
            tried,
            "wish",
            Wishes,
            wish_schema,
            wish_with(setup, &wish, &few())
        );
    }
    tried!(
        tried,
        "calendar",
        Calendar,
        calendar_schema,
        calendar_with(setup, &few())
    );
    tried!(tried, "trip", Trip, trip_schema, trip_with(setup, &few()));
    let mut bag = PackOptions::default();
    bag.search.budget = 60_000;
    tried!(tried, "pack", Luggage, pack_schema, pack_with(setup, &bag));
}

/// What chargers are looked for.
fn look_for_chargers(tried: &mut Tried, bag: &Bag, candidates: &[Candidate]) {
    let text = serde_json::to_string(bag).expect("it is JSON");
    let back: Bag = serde_json::from_str(&text).expect("it is a bag");
    assert_eq!(back.document(), bag.document());
    for by_h in [None, Some(3.0)] {
        tried!(
            tried,
            "size",
            Sizing,
            size_schema,
            size_with(bag, by_h, &few())
        );
    }
    let mut options = RankOptions::default();
    options.search.budget = 400_000;
    options.times = vec![TimesOf::PriorityOne];
    options.plans = 1;
    let ranking = rank_with(bag, candidates, &options, |_| ());
    tried!(tried, "rank", Ranking, rank_schema, ranking);
}

fn texts(folder: &str) -> Vec<(String, String)> {
    let folder = fs::read_dir(fixtures().join(folder)).expect("the folder is there");
    let mut paths: Vec<_> = folder
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    let is_text = |path: &std::path::PathBuf| {
        path.extension()
            .is_some_and(|ending| ending == "json" || ending == "txt")
    };
    let named = |path: std::path::PathBuf| {
        let text = fs::read_to_string(&path).expect("it is text");
        (path.display().to_string(), text)
    };
    paths.into_iter().filter(is_text).map(named).collect()
}

#[test]
fn every_answer_of_every_fixture_is_read_back() {
    let mut tried = Tried::default();
    let candidates = fs::read_to_string(fixtures().join("candidates.ndjson")).expect("it is there");
    let candidates = Candidate::from_source(Source {
        file: "candidates.ndjson",
        text: &candidates,
    });
    let candidates = candidates.expect("they are sound");
    for candidate in &candidates {
        tried.by_serde("candidate", candidate);
    }
    for folder in ["", "hand", "faults"] {
        for (file, text) in texts(folder) {
            let source = Source {
                file: &file,
                text: &text,
            };
            match Setup::from_sources(source, &[]) {
                Ok(setup) => ask(&mut tried, &setup),
                Err(error) => tried.by_serde("faults", &Faults::from(&error)),
            }
            if let Ok(bag) = Bag::from_source(source)
                && !folder.contains("faults")
            {
                look_for_chargers(&mut tried, &bag, &candidates[..8]);
            }
        }
    }
    let all = fs::read(fixtures().join("lines.ndjson")).expect("it is there");
    for line in lines(all.as_slice()) {
        let line = line.expect("a line");
        let answer = answer_line(&line, &few()).expect("the options are in range");
        let answer: BatchAnswer = serde_json::from_str(&answer).expect("it is an answer");
        tried.by_serde("batch answer", &answer);
        if let Ok(line) = serde_json::from_slice::<BatchLine>(&line) {
            tried.by_serde("batch line", &line);
            let again = answer_line(line.to_line().as_bytes(), &few()).expect("an answer");
            let again: BatchAnswer = serde_json::from_str(&again).expect("it is an answer");
            // Where it is refused, its one charger is a list of one then.
            assert!(again == answer || again.errors.len() == answer.errors.len());
        }
    }
    assert_eq!(tried.1.iter().copied().collect::<Vec<_>>(), IN_FULL);
    for what in [
        "setup",
        "candidate",
        "berths",
        "batch line",
        "batch answer",
        "faults",
        "plan",
        "rota",
        "score",
        "improve",
        "guest",
        "wish",
        "size",
        "rank",
        "timeline",
        "sharing-rules",
        "calendar",
        "trip",
        "pack",
    ] {
        assert!(tried.0.contains_key(what), "{what}: {:?}", tried.0);
    }
}

/// What a program writes of parts of a document is read by the reader of documents, too.
#[test]
fn a_part_of_a_document_is_refused_in_the_words_of_the_whole() {
    let text = r#"{"name": "cube", "ports": [{"nam": "C1"}, {"name": "C2", "pd_w": "20"}]}"#;
    let refused = serde_json::from_str::<wattberth::Charger>(text).expect_err("it has faults");
    let said = refused.to_string();
    for part in [
        "ports[0].nam: a port has no field `nam` (did you mean `name`?)",
        "ports[1].pd_w: `pd_w` must be a number, not the text \"20\"",
    ] {
        assert!(said.contains(part), "{said}");
    }
    let line: wattberth::Combination =
        serde_json::from_str(r#"{"C2": 20, "C1": 45}"#).expect("a line");
    assert_eq!(line.0, [("C2".to_owned(), 20.0), ("C1".to_owned(), 45.0)]);
}

#[test]
fn setups_are_read_from_text_bytes_readers_and_values_alike() {
    for (file, text) in texts("") {
        let Ok(setup) = Setup::from_json(&text) else {
            continue;
        };
        let document = setup.document();
        assert_eq!(
            SetupDocument::from_json(&text).as_ref(),
            Ok(document),
            "{file}"
        );
        assert_eq!(
            SetupDocument::from_slice(text.as_bytes()).as_ref(),
            Ok(document)
        );
        assert_eq!(
            SetupDocument::from_reader(text.as_bytes()).as_ref(),
            Ok(document)
        );
        assert_eq!(
            Setup::from_reader(text.as_bytes())
                .expect("sound")
                .document(),
            document
        );
        let value: Value = serde_json::from_str(&document.to_json()).expect("JSON");
        let of_value = Setup::from_value(&value).expect("it is sound");
        let again = SetupDocument::from_value(&value).expect("it is sound");
        assert_eq!(of_value.document(), &again);
        assert_eq!(again.devices, document.devices);
    }
    let faults = |found: Result<Setup, Error>| match found {
        Err(Error::Input(faults)) => faults,
        other => panic!("{other:?}"),
    };
    for (file, text) in texts("faults") {
        let Ok(value) = serde_json::from_str::<Value>(&text) else {
            continue;
        };
        if file.contains(".charger.") || Setup::from_json(&text).is_ok() || file.contains("twice") {
            continue;
        }
        let by_text = faults(Setup::from_json(&text));
        assert_eq!(
            faults(Setup::from_slice(text.as_bytes())),
            by_text,
            "{file}"
        );
        // A value keeps its fields by name, so its faults may come in another order.
        let said = |mut faults: Vec<wattberth::Fault>| {
            faults.sort_by(|a, b| (&a.path, &a.message).cmp(&(&b.path, &b.message)));
            faults
                .into_iter()
                .map(|f| (f.path, f.message, f.suggestion))
                .collect::<Vec<_>>()
        };
        let by_value = faults(Setup::from_value(&value));
        assert!(
            by_value
                .iter()
                .all(|fault| fault.line == 0 && fault.span == (0..0))
        );
        assert_eq!(said(by_value), said(by_text), "{file}");
    }
    let broken = faults(Setup::from_slice(b"{\"devices\": \xff}"));
    assert_eq!(
        broken[0].to_string(),
        "this is not UTF-8 text: byte 13 is wrong"
    );
}
