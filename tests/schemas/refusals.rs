//! What a schema can refuse it refuses; what it takes although it is wrong is listed with the
//! reason. Whatever is right it takes.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use wattberth::{
    Bag, Candidate, Setup, Source, bag_schema, batch_answer_schema, batch_line_schema,
    berths_schema, candidate_schema, faults_schema, setup_schema,
};

use super::{lines, random_setup};

/// The broken fixtures that the schemas take, and why no schema can know better.
const BEYOND_A_SCHEMA: &[(&str, &str)] = &[
    ("combination_unknown_port", "a name that nothing has"),
    ("draw_three_at_one", "one point beside others"),
    ("draw_unsorted", "one point beside the next"),
    (
        "field_twice",
        "what is given twice is one field to readers of JSON",
    ),
    (
        "file_charger",
        "a name that nothing has, and the charger's file",
    ),
    ("file_list", "the faults are in the charger's file"),
    ("label_above_usb", "what a label says"),
    ("label_bad", "what a label says"),
    ("label_escapes", "what a label says"),
    ("label_mains", "what a label says"),
    ("label_two_ports", "what a label says"),
    ("label_watts_alone", "what a label says"),
    ("name_twice", "one name beside another"),
    ("name_twice_expanded", "names that counts make"),
    ("pair_reversed", "one number beside another"),
    ("pin_ambiguous", "a name that two things have"),
    ("pin_unknown", "a name that nothing has"),
    ("pool_unknown_port", "a name that nothing has"),
    ("range_accept_volts", "what a label says"),
    ("range_offer_volts", "what a label says"),
    ("shop_names", "one name beside another"),
    ("size_devices", "a sum of counts"),
    ("trip_names_twice", "one name beside another"),
    (
        "trip_plug_unknown",
        "plugs have many names, as people write them",
    ),
    ("trip_size", "a sum of counts"),
    ("whole_label", "what a label says"),
];

pub(crate) fn validator(schema: &Value) -> jsonschema::Validator {
    jsonschema::validator_for(schema).expect("the schema is a schema")
}

fn fixtures() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")
}

/// The files of a folder with one of these endings, each with its text.
fn texts(folder: &str, endings: &[&str]) -> Vec<(String, String)> {
    let folder = fs::read_dir(fixtures().join(folder)).expect("the folder is there");
    let mut found: Vec<(String, String)> = folder
        .map(|entry| entry.expect("an entry"))
        .map(|entry| {
            (
                entry.file_name().to_string_lossy().into_owned(),
                entry.path(),
            )
        })
        .filter(|(name, _)| endings.iter().any(|ending| name.ends_with(ending)))
        .map(|(name, path)| (name, fs::read_to_string(path).expect("it is text")))
        .collect();
    found.sort();
    found
}

#[test]
fn a_broken_document_is_refused_by_its_schema_where_a_schema_can_know() {
    let (setup, bag) = (validator(&setup_schema()), validator(&bag_schema()));
    let candidate = validator(&candidate_schema());
    let beyond: BTreeMap<&str, &str> = BEYOND_A_SCHEMA.iter().copied().collect();
    let all = texts("faults", &[".json"]);
    let (mut tried, mut taken) = (0, Vec::new());
    for (file, text) in &all {
        let name = file.trim_end_matches(".json");
        let has_charger = all
            .iter()
            .any(|(other, _)| *other == format!("{name}.charger.json"));
        let is_charger = name.ends_with(".charger");
        let text = text.trim_start_matches('\u{feff}');
        // What is no JSON is no matter of a schema.
        let Ok(value) = serde_json::from_str::<Value>(text) else {
            assert!(!beyond.contains_key(name), "{name}");
            continue;
        };
        let schema = match (is_charger, has_charger) {
            (true, _) => &candidate,
            (_, true) => &bag,
            _ => &setup,
        };
        tried += 1;
        if schema.is_valid(&value) {
            taken.push(name);
        }
    }
    assert!(tried > 70, "{tried}");
    let listed: Vec<&str> = beyond.keys().copied().collect();
    assert_eq!(taken, listed);
}

#[test]
fn a_document_that_is_read_is_taken_by_its_schema() {
    let (setup, bag) = (validator(&setup_schema()), validator(&bag_schema()));
    let (candidate, berths) = (validator(&candidate_schema()), validator(&berths_schema()));
    let mut tried = [0; 4];
    let takes = |validator: &jsonschema::Validator, value: &Value, what: &str| {
        let found: Vec<String> = validator
            .iter_errors(value)
            .map(|e| e.to_string())
            .collect();
        assert_eq!(found, Vec::<String>::new(), "{what}: {value:#}");
    };
    for folder in ["", "hand", "chargers"] {
        for (file, text) in texts(folder, &[".json", ".txt"]) {
            let source = Source {
                file: &file,
                text: &text,
            };
            // Of a list, what it is read as.
            if let Ok(found) = Setup::from_sources(source, &[]) {
                let value = serde_json::to_value(found.document()).expect("JSON");
                takes(&setup, &value, &file);
                tried[0] += 1;
            }
            if let Ok(found) = Bag::from_source(source) {
                takes(&bag, &serde_json::to_value(&found).expect("JSON"), &file);
                tried[1] += 1;
            }
            if let Ok(value) = serde_json::from_str::<Value>(&text) {
                if Setup::from_json(&text).is_ok() {
                    takes(&setup, &value, &file);
                }
                if Candidate::from_source(source).is_ok() {
                    takes(&candidate, &value, &file);
                    tried[2] += 1;
                }
            }
            if file.contains("berths") {
                takes(&berths, &serde_json::from_str(&text).expect("JSON"), &file);
                tried[3] += 1;
            }
        }
    }
    for line in fs::read_to_string(fixtures().join("candidates.ndjson"))
        .expect("text")
        .lines()
    {
        takes(
            &candidate,
            &serde_json::from_str(line).expect("JSON"),
            "candidates.ndjson",
        );
    }
    assert!(
        tried.iter().all(|&times| times > 0) && tried[0] > 15,
        "{tried:?}"
    );
    for seed in 0..400 {
        for text in [
            random_setup::small_setup(seed),
            random_setup::open::small_setup(seed),
        ] {
            takes(
                &setup,
                &serde_json::from_str(&text).expect("JSON"),
                &format!("seed {seed}"),
            );
        }
    }
}

#[test]
fn lines_of_batch_and_their_answers_have_schemas() {
    let (line, answer) = (
        validator(&batch_line_schema()),
        validator(&batch_answer_schema()),
    );
    let faults = validator(&faults_schema());
    let options = wattberth::SolveOptions::default();
    for seed in 0..20 {
        let text = lines::line(seed);
        let mut value: Value = serde_json::from_str(&text).expect("JSON");
        assert!(line.is_valid(&value), "{text}");
        for broken in ["setup", "charger"] {
            let mut broken_line = value.clone();
            broken_line[broken]["version"] = 2.into();
            assert!(!line.is_valid(&broken_line), "{broken}");
            let text = broken_line.to_string();
            let told = wattberth::answer_line(text.as_bytes(), &options).expect("an answer");
            let told: Value = serde_json::from_str(&told).expect("JSON");
            assert!(answer.is_valid(&told), "{told:#}");
            assert!(
                faults.is_valid(&json!({"errors": told["errors"]})),
                "{told:#}"
            );
        }
        value["chargers"] = json!([]);
        assert!(!line.is_valid(&value), "both, and none");
    }
}

#[test]
fn ways_of_plugging_in_are_refused_where_they_are_none() {
    let berths = validator(&berths_schema());
    for (text, taken) in [
        (
            r#"{"laptop": "C1", "phone": {"port": "C2", "cable": "white"}}"#,
            true,
        ),
        (r#"{"version": 1, "laptop": "C1", "version ": "C2"}"#, true),
        (r#"{"berths": "C1", "version": {"port": "C2"}}"#, true),
        (
            r#"{"berths": [{"device": "laptop", "port": "C1", "volts": 5, "amps": 3}]}"#,
            true,
        ),
        (
            r#"{"berths": [{"device": "laptop", "port": "C1", "volts": 5}]}"#,
            false,
        ),
        (r#"{"berths": [{"device": "laptop"}]}"#, false),
        (r#"{"laptop": {"port": "C1", "amps": 1}}"#, false),
        (r#"{"laptop": {"port": "C1", "prot": "C2"}}"#, false),
        (r#"{"laptop": 3}"#, false),
        (r#"{"version": 2}"#, false),
        (
            r#"{"laptop": {"port": "C1", "volts": 5000, "amps": 1}}"#,
            false,
        ),
        ("[]", false),
    ] {
        let value = serde_json::from_str(text).expect("JSON");
        assert_eq!(berths.is_valid(&value), taken, "{text}");
        let way: Result<wattberth::Way, _> = serde_json::from_str(text);
        assert_eq!(way.is_ok(), taken, "{text}: {way:?}");
    }
}
