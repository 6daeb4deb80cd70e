//! What people write by hand may have comments and a comma after the last entry; lines may not,
//! and faults keep their places.

use std::fs;

use wattberth::{
    Bag, Candidate, Error, Plan, Setup, SolveOptions, Source, Way, answer_line, assign,
};

use super::fixtures;

/// A document of JSON with comments wherever one can stand, and a comma behind every last entry.
fn remarked(json: &str) -> String {
    let mut text = "// by hand, { and [ and \" mean nothing here\n".to_owned();
    let (mut in_text, mut escaped, mut empty) = (false, false, true);
    for c in json.chars() {
        if in_text {
            in_text = escaped || c != '"';
            escaped = c == '\\' && !escaped;
            text.push(c);
            empty = false;
            continue;
        }
        match c {
            '"' => in_text = true,
            '}' | ']' if !empty => text.push_str(", /* the last */ "),
            ':' => text.push_str(" /* is */ "),
            ',' => text.push_str("// and\n"),
            _ => {}
        }
        text.push(c);
        if !c.is_whitespace() {
            empty = matches!(c, '{' | '[');
        }
    }
    text + "/* the end */\n"
}

fn fixture(name: &str) -> String {
    fs::read_to_string(fixtures().join(name)).expect("it is there")
}

#[test]
fn documents_written_by_hand_may_have_remarks() -> Result<(), Error> {
    for name in [
        "quartet.json",
        "quartet-tour.json",
        "desk.json",
        "kiosk-bag.json",
    ] {
        let plain = fixture(name);
        let text = remarked(&plain);
        assert!(
            serde_json::from_str::<serde_json::Value>(&text).is_err(),
            "{name}"
        );
        let document = Setup::from_json(&plain)?.document().clone();
        assert_eq!(Setup::from_json(&text)?.document(), &document, "{name}");
        assert_eq!(Setup::from_text(&text)?.document(), &document, "{name}");
        let source = Source {
            file: name,
            text: &text,
        };
        let read: serde_json::Value = serde_json::from_str(&source.plain_json()).expect("JSON");
        let whole: serde_json::Value = serde_json::from_str(&plain).expect("JSON");
        assert_eq!(read, whole, "{name}");
    }
    let (bag, plain) = (
        remarked(&fixture("quartet-bag.json")),
        fixture("quartet-bag.json"),
    );
    assert_eq!(
        Bag::from_json(&bag)?.document(),
        Bag::from_json(&plain)?.document()
    );
    for name in [
        "chargers/quartet-cube.json",
        "chargers/travel-pair.json",
        "desk.json",
    ] {
        let (text, plain) = (remarked(&fixture(name)), fixture(name));
        let read = |text| Candidate::from_source(Source { file: name, text });
        assert_eq!(read(&text)?, read(&plain)?, "{name}");
        let source = |text| Source { file: "", text };
        let chargers = [source(text.as_str())];
        let setup = Setup::from_sources(source(bag.as_str()), &chargers)?;
        assert!(!setup.document().chargers.is_empty());
    }
    let setup = Setup::from_json(&fixture("quartet.json"))?;
    let (text, plain) = (
        remarked(&fixture("quartet-berths.json")),
        fixture("quartet-berths.json"),
    );
    assert_eq!(
        Way::from_json(&setup, &text)?,
        Way::from_json(&setup, &plain)?
    );
    let shop = remarked(r#"{"shop": {"cables": [{"name": "new", "weight_g": 20, "price": 5}]}}"#);
    let list = Source {
        file: "",
        text: "charger: C1 20 W\nphone\n",
    };
    let with = Setup::with_shops(
        list,
        &[],
        &[Source {
            file: "",
            text: &shop,
        }],
    )?;
    assert_eq!(
        with.document().shop.as_ref().map(|shop| shop.cables.len()),
        Some(1)
    );
    Ok(())
}

fn refused<T>(found: Result<T, Error>) -> Vec<String> {
    match found {
        Err(Error::Input(faults)) => faults.iter().map(ToString::to_string).collect(),
        Err(other) => panic!("{other}"),
        Ok(_) => panic!("it is read"),
    }
}

#[test]
fn faults_beside_remarks_keep_their_places() {
    let text = "{ // é\n  \"chargers\": [], /* none */ \"devcies\": [],\n}";
    let faults = refused(Setup::from_json(text));
    assert_eq!(
        faults,
        [
            "2:15: chargers: `chargers` is empty; at least one is needed",
            "2:30: devcies: a setup has no field `devcies` (did you mean `devices`?)"
        ]
    );
    assert_eq!(refused(Setup::from_json("{\"chargers\": [,]}")).len(), 1);
}

#[test]
fn lines_and_answers_are_nothing_but_json() -> Result<(), Error> {
    let charger = fixture("chargers/quartet-cube.json").replace('\n', " ");
    for line in [
        format!("{charger} // the best"),
        charger.trim_end().trim_end_matches('}').to_owned() + ",}",
    ] {
        let lines = format!("{charger}\n{line}\n");
        for file in ["all.ndjson", "<stdin>"] {
            let faults = refused(Candidate::from_source(Source { file, text: &lines }));
            assert_eq!(faults.len(), 1, "{faults:?}");
            assert!(faults[0].starts_with(&format!("{file}:2:")), "{faults:?}");
        }
        let line = format!(r#"{{"id": 1, "setup": {line}}}"#);
        let told = answer_line(line.as_bytes(), &SolveOptions::default())?;
        assert!(told.contains("errors"), "{told}");
    }
    let plan = assign(&Setup::from_json(&fixture("desk.json"))?)?.to_json();
    assert_eq!(refused(Plan::from_json(&remarked(&plan))).len(), 1);
    Ok(())
}
