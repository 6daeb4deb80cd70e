//! The schemas as files: `fixtures/schemas/` holds each as the library gives it.
//!
//! `UPDATE_SCHEMAS=1 cargo test --test schemas` writes them anew.

#[path = "common/lines.rs"]
#[allow(dead_code, reason = "shared with the bench")]
mod lines;
#[path = "schemas/names.rs"]
mod names;
#[path = "common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;
#[path = "schemas/refusals.rs"]
mod refusals;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use wattberth::{
    Candidate, Error, Plan, Rota, Setup, SolveOptions, Source, Way, answer_line, assign,
    bag_schema, batch_answer_schema, batch_line_schema, berths_schema, calendar_schema,
    candidate_schema, faults_schema, guest_schema, improve_schema, pack_schema, plan_schema,
    rank_schema, rota, rota_schema, score_schema, setup_schema, sharing_rules_schema, size_schema,
    timeline_schema, trip_schema, wish_schema,
};

/// Every schema, with what it is called; all are of the first version of their document.
fn schemas() -> [(&'static str, Value); 20] {
    [
        ("setup", setup_schema()),
        ("bag", bag_schema()),
        ("candidate", candidate_schema()),
        ("berths", berths_schema()),
        ("plan", plan_schema()),
        ("rota", rota_schema()),
        ("score", score_schema()),
        ("improve", improve_schema()),
        ("guest", guest_schema()),
        ("wish", wish_schema()),
        ("size", size_schema()),
        ("rank", rank_schema()),
        ("batch-line", batch_line_schema()),
        ("batch-answer", batch_answer_schema()),
        ("timeline", timeline_schema()),
        ("sharing-rules", sharing_rules_schema()),
        ("calendar", calendar_schema()),
        ("trip", trip_schema()),
        ("pack", pack_schema()),
        ("faults", faults_schema()),
    ]
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/schemas")
}

#[test]
fn the_schemas_are_those_of_the_files() {
    let anew = std::env::var_os("UPDATE_SCHEMAS").is_some();
    let mut names = BTreeSet::new();
    for (name, schema) in schemas() {
        let file = format!("{name}.schema.json");
        let path = folder().join(&file);
        let text = format!("{schema:#}\n");
        if anew {
            fs::create_dir_all(folder()).expect("a folder can be made");
            fs::write(&path, &text).expect("it can be written");
        }
        let said = fs::read_to_string(&path).unwrap_or_default();
        assert!(
            said == text,
            "{file} is not the schema of now: UPDATE_SCHEMAS=1 writes it anew"
        );
        names.insert(file);
    }
    let there = fs::read_dir(folder()).expect("the folder is there");
    let there = there.map(|entry| entry.expect("an entry").file_name());
    let there: BTreeSet<String> = there
        .map(|name| name.to_string_lossy().into_owned())
        .collect();
    assert_eq!(there, names);
}

#[test]
fn each_schema_says_what_it_is() {
    for (name, schema) in schemas() {
        let id = format!("urn:wattberth:schema:{name}:1");
        assert_eq!(schema["$id"], id);
        let title = schema["title"].as_str().expect("a title");
        assert!(title.starts_with("Wattberth: "), "{title}");
        assert!(schema["properties"].get("$schema").is_some(), "{name}");
    }
}

const CHARGER: &str = r#"{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}"#;

fn small() -> Value {
    json!({
        "chargers": [serde_json::from_str::<Value>(CHARGER).expect("JSON")],
        "cables": [{"name": "white"}],
        "devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}],
        "sessions": [{"name": "night", "hours": 8}],
    })
}

/// The text of a document with its schema named.
fn named(document: &str) -> String {
    document.replacen('{', "{\"$schema\": \"urn:wattberth:schema:any:1\", ", 1)
}

/// An editor writes the name of the schema at the top of whatever it has one for.
#[test]
fn the_schema_may_be_named_at_the_top_of_every_document_that_is_read() -> Result<(), Error> {
    let text = small().to_string();
    let setup = Setup::from_json(&text)?;
    let document = setup.document();
    assert_eq!(Setup::from_json(&named(&text))?.document(), document);
    let bag = Source {
        file: "",
        text: &text,
    };
    let file = |text: &'static str| Source { file: "", text };
    let charger: &'static str = named(CHARGER).leak();
    let by = |charger| Setup::from_sources(bag, &[file(charger)]);
    assert_eq!(by(charger)?.document(), document);
    let kit = format!("{{\"name\": \"kit\", \"chargers\": [{CHARGER}]}}");
    let kit: &'static str = named(&kit).leak();
    assert_eq!(by(kit)?.document(), document);
    let lines: &'static str = format!("{kit}\n{charger}\n").leak();
    assert_eq!(Candidate::from_source(file(lines))?.len(), 2);

    let plan = assign(&setup)?;
    assert_eq!(Plan::from_json(&named(&plan.to_json()))?, plan);
    let swapped = rota(&setup)?;
    assert_eq!(Rota::from_json(&named(&swapped.to_json()))?, swapped);
    let short = r#"{"phone": "C1"}"#;
    for way in [short, &plan.to_json()] {
        assert_eq!(
            Way::from_json(&setup, &named(way))?,
            Way::from_json(&setup, way)?
        );
    }
    let line = format!(
        "{{\"id\": 1, \"setup\": {}, \"charger\": {charger}}}",
        named(&text)
    );
    let options = SolveOptions::default();
    let plain = format!("{{\"id\": 1, \"setup\": {text}, \"charger\": {CHARGER}}}");
    let answer = answer_line(plain.as_bytes(), &options)?;
    for line in [
        &line,
        &named(&line),
        &named(&line).replace("\"charger\"", "\"chargrs\""),
    ] {
        let told = answer_line(line.as_bytes(), &options)?;
        assert_eq!(told == answer, !line.contains("chargrs"), "{told}");
        assert!(!told.contains("$schema"), "{told}");
    }
    Ok(())
}

#[test]
fn further_down_it_is_no_field() {
    let mut setup = small();
    setup["devices"][0]["$schema"] = "urn:wattberth:schema:setup:1".into();
    let Err(Error::Input(faults)) = Setup::from_json(&setup.to_string()) else {
        panic!("it is read")
    };
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(faults[0].path, "devices[0][\"$schema\"]");
}
