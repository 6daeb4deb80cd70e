//! `batch` and `rank` as a shell sees them.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::process::{Command as Process, Stdio};

use super::{Value, fits, run, run_with, small};

fn line(id: u64) -> String {
    let mut setup = small();
    let charger = setup["chargers"][0].take();
    setup.as_object_mut().expect("an object").remove("chargers");
    serde_json::json!({"id": id, "setup": setup, "charger": charger}).to_string()
}

#[test]
fn lines_become_answers_in_order_and_bad_ones_do_not_stop_them() {
    let lines = format!("{}\n\n{{\"id\": 2}}\nnonsense\n{}", line(1), line(4));
    for threads in ["1", "2", "8"] {
        let ran = run_with(&["batch", "--threads", threads], &lines);
        assert_eq!((ran.code, ran.err.as_str()), (0, ""));
        let answers: Vec<Value> = ran
            .out
            .lines()
            .map(|line| serde_json::from_str(line).expect("an answer is JSON"))
            .collect();
        let ids: Vec<&Value> = answers.iter().map(|answer| &answer["id"]).collect();
        assert_eq!(
            ids,
            [
                &Value::from(1),
                &Value::from(2),
                &Value::Null,
                &Value::from(4)
            ]
        );
        assert_eq!(answers[0]["plan"], answers[3]["plan"]);
        assert_eq!(answers[0]["plan"]["berths"][0]["device"], "phone");
        assert!(answers[1]["errors"][0].get("path").is_none());
        assert!(answers[2].get("plan").is_none());
    }
}

#[test]
fn an_answer_comes_before_the_next_line_is_there() {
    let mut child = Process::new(env!("CARGO_BIN_EXE_wattberth"))
        .args(["batch", "--threads", "2"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the binary starts");
    let mut pipe = child.stdin.take().expect("its input is piped");
    let mut out = BufReader::new(child.stdout.take().expect("its output is piped"));
    for id in 0..3 {
        writeln!(pipe, "{}", line(id)).expect("it reads");
        let mut answer = String::new();
        out.read_line(&mut answer).expect("it answers");
        assert!(
            answer.starts_with(&format!("{{\"id\":{id},\"plan\":")),
            "{answer}"
        );
    }
    drop(pipe);
    assert!(child.wait().expect("it ends").success());
}

#[test]
fn a_reader_of_answers_that_goes_away_ends_it_quietly() {
    let mut child = Process::new(env!("CARGO_BIN_EXE_wattberth"))
        .args(["batch", "--threads", "2"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary starts");
    let mut pipe = child.stdin.take().expect("its input is piped");
    let mut out = BufReader::new(child.stdout.take().expect("its output is piped"));
    writeln!(pipe, "{}", line(0)).expect("it reads");
    out.read_line(&mut String::new()).expect("it answers");
    drop(out);
    // The input has no end of its own: only the closed pipe can end the process.
    let text = line(1) + "\n";
    while pipe.write_all(text.as_bytes()).is_ok() {}
    let mut err = String::new();
    let mut errors = child.stderr.take().expect("standard error is piped");
    errors.read_to_string(&mut err).expect("it is text");
    let ended = child.wait().expect("it ends");
    assert_eq!((ended.code(), err.as_str()), (Some(0), ""));
}

#[test]
fn what_cannot_be_read_or_started_is_bad_input() {
    for (args, part) in [
        (&["batch", "nowhere.ndjson"][..], "there is no such file"),
        (&["batch", "fixtures"], "this is a directory"),
        (&["batch", "--threads", "0"], "from 1 to 1024"),
        (
            &["rank", "fixtures/quartet-bag.json", "nowhere.json"],
            "there is no such file",
        ),
        (&["rank", "fixtures/quartet-bag.json"], "CANDIDATE"),
        (
            &[
                "rank",
                "fixtures/quartet-bag.json",
                "fixtures/candidates.ndjson",
                "--up-to",
                "0",
            ],
            "at least 1 candidate",
        ),
        (
            &[
                "rank",
                "fixtures/quartet-bag.json",
                "fixtures/candidates.ndjson",
                "--up-to",
                "9",
            ],
            "more than 1000000 kits",
        ),
    ] {
        let ran = run(args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(ran.err.contains(part), "{args:?}: {}", ran.err);
    }
}

#[test]
fn every_fault_of_bag_and_candidates_is_named_with_its_line() {
    let good = serde_json::json!({"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]});
    let lines = format!("{good}\n{}\n[]\n", good.to_string().replace("30", "300"));
    let ran = run_with(
        &["rank", "fixtures/faults/range_session.json", "-", "--json"],
        &lines,
    );
    assert_eq!(ran.code, 2);
    let errors = ran.json()["errors"].clone();
    let places: Vec<(&str, u64)> = errors
        .as_array()
        .expect("a list")
        .iter()
        .map(|e| {
            (
                e["file"].as_str().unwrap_or(""),
                e["line"].as_u64().unwrap_or(0),
            )
        })
        .collect();
    assert_eq!(places.len(), 3, "{errors:#}");
    assert_eq!(places[0].0, "fixtures/faults/range_session.json");
    assert_eq!(places[1..], [("<stdin>", 2), ("<stdin>", 3)]);
}

#[test]
fn the_best_kit_decides_the_exit_code_and_top_cuts_the_list() {
    let candidates = [
        "fixtures/quartet-bag.json",
        "fixtures/candidates.ndjson",
        "--json",
    ];
    let single = run(&[&["rank", "--top", "3"], &candidates[..]].concat());
    assert_eq!((single.code, single.err.as_str()), (1, ""));
    let ranking = single.json();
    fits("rank", &ranking);
    assert_eq!(ranking["ranked"].as_array().map(Vec::len), Some(3));
    assert_eq!(ranking["kits"], 40);
    let pairs = run(&[&["rank", "--up-to", "2", "--top", "1"], &candidates[..]].concat());
    assert_eq!((pairs.code, pairs.err.as_str()), (0, ""));
    assert_eq!(pairs.json()["ranked"][0]["unserved"], 0);
}

#[test]
fn a_limit_that_strikes_at_once_leaves_no_ranking() {
    let args = [
        "rank",
        "fixtures/quartet-bag.json",
        "fixtures/candidates.ndjson",
    ];
    let ran = run(&[&args[..], &["--time-limit", "0"]].concat());
    assert_eq!((ran.code, ran.out.as_str()), (130, ""), "{}", ran.err);
}
