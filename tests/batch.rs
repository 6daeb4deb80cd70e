//! `batch` against `assign`, line by line; hostile lines; threads.

#[path = "common/lines.rs"]
#[allow(dead_code, reason = "shared with the bench")]
mod lines;
#[path = "common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;

use proptest::prelude::*;
use serde_json::{Value, json};
use wattberth::{
    BatchAnswer, BatchLine, BatchOptions, Error, LINE_BYTES, Setup, SolveOptions, Source,
    answer_line, assign, batch,
};

fn answers<L: AsRef<[u8]> + Send + 'static>(lines: Vec<L>, threads: usize) -> Vec<String> {
    let mut options = BatchOptions::default();
    options.threads = Some(threads);
    let answers = batch(lines.into_iter(), &options).expect("the options are in range");
    answers.collect()
}

fn parsed(answer: &str) -> Value {
    serde_json::from_str(answer).expect("an answer is JSON")
}

/// What `assign` says of the same line: the plan document, or the paths of the faults.
fn by_assign(line: &Value) -> Result<Value, usize> {
    let bag = line["setup"].to_string();
    let alone: Vec<String> = match (&line["charger"], &line["chargers"]) {
        (Value::Null, Value::Array(several)) => several.iter().map(Value::to_string).collect(),
        (Value::Null, _) => Vec::new(),
        (one, _) => vec![one.to_string()],
    };
    let sources: Vec<Source<'_>> = alone
        .iter()
        .map(|text| Source {
            file: "charger",
            text,
        })
        .collect();
    let file = "setup";
    match Setup::from_sources(Source { file, text: &bag }, &sources) {
        Ok(setup) => {
            let mut plan = parsed(&assign(&setup).expect("it has a plan").to_json());
            // A line's plan is a part of the answer, which is not signed.
            let fields = plan.as_object_mut().expect("an object");
            for of_origin in ["program", "setup_sha256"] {
                assert!(fields.remove(of_origin).is_some(), "{of_origin}");
            }
            Ok(plan)
        }
        Err(Error::Input(faults)) => Err(faults.len()),
        Err(other) => panic!("{other}"),
    }
}

#[test]
fn every_line_is_answered_as_assign_does() {
    let mut lines: Vec<Value> = (0..120)
        .map(|seed| serde_json::from_str(&lines::line(seed)).expect("it is JSON"))
        .collect();
    // Setups with chargers of their own, pins and other bags between them.
    for seed in 0..100 {
        let setup: Value =
            serde_json::from_str(&random_setup::small_setup(seed)).expect("it is JSON");
        let mut line = json!({"id": {"seed": seed}, "setup": setup});
        match seed % 4 {
            0 => line["chargers"] = setup["chargers"].clone(),
            1 => line["charger"] = setup["chargers"][0].clone(),
            2 => line["setup"]["chargers"] = json!([]),
            _ => {}
        }
        let at = lines.len() / 3;
        lines.insert(at, line);
    }
    let found = answers(lines.iter().map(Value::to_string).collect(), 2);
    assert_eq!(found.len(), lines.len());
    let mut refused = 0;
    for (line, answer) in lines.iter().zip(&found) {
        let answer = parsed(answer);
        assert_eq!(answer["id"], line["id"]);
        match by_assign(line) {
            Ok(plan) => assert_eq!(answer["plan"], plan, "{line}"),
            Err(faults) => {
                refused += 1;
                let errors = answer["errors"].as_array().expect("faults");
                assert_eq!(errors.len(), faults, "{line}");
            }
        }
    }
    assert!((20..80).contains(&refused), "{refused} lines have faults");
}

#[test]
fn the_answers_do_not_depend_on_threads_or_on_the_lines_before() {
    let lines: Vec<String> = (0..120)
        .map(|seed| match seed % 5 {
            4 => lines::line(seed).replace("\"setup\"", "\"stup\""),
            _ => lines::line(seed),
        })
        .collect();
    let one = answers(lines.clone(), 1);
    for threads in [2, 8] {
        assert_eq!(answers(lines.clone(), threads), one);
    }
    let backwards: Vec<String> = lines.iter().rev().cloned().collect();
    let mut again = answers(backwards, 2);
    again.reverse();
    assert_eq!(again, one);
    for (line, answer) in lines.iter().zip(&one).step_by(7) {
        let alone = answer_line(line.as_bytes(), &SolveOptions::default());
        assert_eq!(alone.expect("the options are in range"), *answer);
    }
}

#[track_caller]
fn refused(line: &str, id: &Value, expected: &[(&str, &str, &str)]) {
    let answer = answer_line(line.as_bytes(), &SolveOptions::default());
    let answer = parsed(&answer.expect("the options are in range"));
    assert_eq!(answer["id"], *id, "{line}");
    let errors = answer["errors"].as_array().expect("faults");
    let found: Vec<_> = errors
        .iter()
        .map(|e| {
            (
                e["path"].as_str().unwrap_or_default(),
                e["message"].as_str().expect("a sentence"),
                e["column"].as_u64(),
            )
        })
        .collect();
    assert_eq!(found.len(), expected.len(), "{answer:#}");
    for ((path, message, column), (own_path, part, mark)) in found.iter().zip(expected) {
        assert_eq!(path, own_path, "{answer:#}");
        assert!(message.contains(part), "{message} lacks {part}");
        let at = line.find(mark).expect("the mark is in the line");
        let own_column = line[..at].chars().count() as u64 + 1;
        assert_eq!(*column, Some(own_column), "{answer:#}");
    }
}

#[test]
fn faults_are_named_with_their_path_and_column_in_the_line() {
    const BAG: &str = r#"{"devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#;
    const CUBE: &str = r#"{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}"#;
    let bad = CUBE.replace("30", "300").replace("cube", "brick");
    let null = Value::Null;
    // Each with its path, a part of its sentence, and the text at which it points.
    refused("", &null, &[("", "the text is empty", "")]);
    refused("[1, 2]", &null, &[("", "must be an object", "[")]);
    refused("{\"id\": 7", &null, &[("", "never closed", "{")]);
    refused(
        r#"{"id": "é", "stup": {}}"#,
        &json!("é"),
        &[("stup", "no field `stup`", "\"stup")],
    );
    refused(
        &format!(r#"{{"id": [1], "setup": {BAG}}}"#),
        &json!([1]),
        &[("setup", "needs the field `chargers`", "{\"dev")],
    );
    refused(
        &format!(r#"{{"id": "é", "charger": {bad}, "setup": {BAG}}}"#),
        &json!("é"),
        &[("charger.ports[0].pd_w", "at most 240 W", "300")],
    );
    refused(
        &format!(r#"{{"setup": {{"devices": []}}, "chargers": [{CUBE}, {bad}, null]}}"#),
        &null,
        &[
            ("setup.devices", "empty", "[]"),
            ("chargers[1].ports[0].pd_w", "at most 240 W", "300"),
            ("chargers[2]", "not null", "null"),
        ],
    );
    refused(
        &format!(r#"{{"setup": {BAG}, "charger": {CUBE}, "chargers": [{CUBE}]}}"#),
        &null,
        &[("charger", "not both", CUBE)],
    );
    refused(
        &format!(r#"{{"setup": {BAG}, "chargers": []}}"#),
        &null,
        &[("chargers", "empty", "[]")],
    );
    refused(
        &format!(r#"{{"setup": {BAG}, "charger": null}}"#),
        &null,
        &[("charger", "not null", "null")],
    );
}

#[test]
fn blank_lines_are_passed_over_and_marks_too() {
    let line = lines::line(3);
    let plain = answers(vec![line.clone()], 1);
    let mixed = vec![
        String::new(),
        format!("\u{feff}{line}"),
        " \t\r".to_owned(),
        format!("{line}\r"),
    ];
    assert_eq!(answers(mixed, 2), [plain[0].clone(), plain[0].clone()]);
    // A mark is no column, whatever the fault is in.
    let bad = r#"{"id": 1, "setup": {"devices": 7, "chargers": 8}, "charger": 9, "x": 0}"#;
    let columns = |line: String| -> Vec<Value> {
        let answer = parsed(&answers(vec![line], 1)[0]);
        let faults = answer["errors"].as_array().expect("faults").iter();
        faults.map(|fault| fault["column"].clone()).collect()
    };
    assert_eq!(columns(format!("\u{feff}{bad}")), columns(bad.to_owned()));
}

#[test]
fn a_line_with_its_schema_is_one_as_data_too() {
    let line = lines::line(3).replacen('{', "{\"$schema\": \"urn:line\", ", 1);
    let answer: BatchAnswer =
        serde_json::from_str(&answers(vec![line.clone()], 1)[0]).expect("one");
    assert!(answer.plan.is_some());
    let read: BatchLine = serde_json::from_str(&line).expect("it is a line");
    let again: BatchAnswer =
        serde_json::from_str(&answers(vec![read.to_line()], 1)[0]).expect("an answer");
    assert_eq!(again, answer);
}

#[test]
fn an_id_is_given_back_as_it_is_and_never_ends_the_line() {
    let line = lines::line(3);
    for id in [
        "1e400",
        "0.10",
        "\"a\\u2028b\"",
        "[1,\r {\"a\":\r null}]",
        "123456789012345678901",
    ] {
        let answer = answers(
            vec![line.replacen("\"id\":3", &format!("\"id\":{id}"), 1)],
            1,
        );
        let expected = format!("{{\"id\":{},\"plan\":", id.replace('\r', " "));
        assert!(answer[0].starts_with(&expected), "{}", &answer[0][..60]);
        assert!(!answer[0].contains(['\r', '\n']));
    }
}

#[test]
fn what_is_no_text_or_too_long_is_answered_in_place() {
    let good = lines::line(1).into_bytes();
    let long = vec![b' '; LINE_BYTES + 1];
    let mut long_object = good.clone();
    long_object.resize(LINE_BYTES + 1, b' ');
    let found = answers(
        vec![b"\xff{}".to_vec(), good.clone(), long, long_object, good],
        2,
    );
    // A line of blanks only is blank, however long.
    assert_eq!(found.len(), 4);
    assert!(found[0].contains("not UTF-8 text: byte 1"), "{}", found[0]);
    assert!(found[2].contains("longer than 16 MiB"), "{}", found[2]);
    assert_eq!(found[1], found[3]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Lines with a piece cut out, doubled or overwritten are each answered once, in
    /// their order, by an id or by what is wrong, and leave the good ones alone.
    #[test]
    fn hostile_lines_are_answered_one_by_one(
        changes in proptest::collection::vec((any::<u16>(), 0_usize..40, any::<[u8; 3]>(), 0..4), 1..6)
    ) {
        let good = lines::line(9);
        let mut hostile: Vec<Vec<u8>> = vec![good.clone().into_bytes()];
        for (at, length, bytes, kind) in changes {
            let mut line = good.clone().into_bytes();
            let at = usize::from(at) % line.len();
            let end = (at + length).min(line.len());
            match kind {
                0 => drop(line.drain(at..end)),
                1 => {
                    let piece = line[at..end].to_vec();
                    line.splice(at..at, piece);
                }
                2 => drop(line.splice(at..end, bytes)),
                _ => line.truncate(at),
            }
            line.retain(|byte| *byte != b'\n');
            if !line.trim_ascii().is_empty() {
                hostile.push(line);
            }
        }
        hostile.push(good.into_bytes());
        let found = answers(hostile.clone(), 2);
        prop_assert_eq!(found.len(), hostile.len());
        prop_assert_eq!(found.first(), found.last());
        for (line, answer) in hostile.iter().zip(&found) {
            let answer = parsed(answer);
            let object = answer.as_object().expect("an object");
            prop_assert!(object.contains_key("id"));
            prop_assert!(object.contains_key("plan") != object.contains_key("errors"));
            if let Some(errors) = answer["errors"].as_array() {
                prop_assert!(!errors.is_empty());
            } else {
                // What was planned was a line of the right form.
                prop_assert!(serde_json::from_slice::<Value>(line).is_ok());
            }
        }
    }
}
