//! The forms of an answer: short, as a page, as CSV, and what has none of them.

use serde_json::Value;

use super::{run, run_with, small};

const QUARTET: &str = "fixtures/quartet.json";
const BAG: &str = "fixtures/quartet-bag.json";
const CANDIDATES: &str = "fixtures/candidates.ndjson";

/// Every question with an answer of several paragraphs, or of several lines.
fn questions() -> Vec<Vec<&'static str>> {
    vec![
        vec!["assign", QUARTET],
        vec!["rota", "fixtures/quartet-night.json"],
        vec!["score", QUARTET, "fixtures/quartet-berths.json"],
        vec!["improve", QUARTET],
        vec!["wish", QUARTET, "laptop by 1 h"],
        vec!["size", BAG],
        vec!["rank", BAG, CANDIDATES],
        vec!["trip", "fixtures/quartet-tour.json"],
        vec!["timeline", QUARTET],
    ]
}

#[test]
fn quiet_leaves_the_first_paragraph() {
    for question in questions() {
        let whole = run(&question);
        let short = run(&[&question[..], &["--quiet"]].concat());
        assert_eq!((short.code, short.err.as_str()), (whole.code, ""));
        assert!(
            whole.out.starts_with(&short.out),
            "{question:?}: {}",
            short.out
        );
        let lines = short.out.lines().count();
        assert!((1..=3).contains(&lines), "{question:?}: {}", short.out);
        assert!(!short.out.contains("\n\n") && whole.out.len() > short.out.len());
        // A document is a document.
        let document = [&question[..], &["--json"]].concat();
        let quiet = [&document[..], &["-q"]].concat();
        assert_eq!(run(&quiet).out, run(&document).out, "{question:?}");
    }
}

#[test]
fn quiet_says_nothing_of_files_and_all_of_faults() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("quiet");
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    let path = |name: &str| folder.join(name).display().to_string();
    let (svg, proof) = (path("a.svg"), path("proof"));
    // Of an earlier run.
    let _ = std::fs::remove_dir_all(&proof);
    let setup = small().to_string();
    let headline = run_with(&["assign", "-", "-q"], &setup).out;
    let args = ["assign", "-", "-q", "--svg", &svg, "--proof", &proof];
    let ran = run_with(&args, &setup);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert_eq!(ran.out, headline);
    assert!(std::fs::metadata(&svg).is_ok() && std::fs::metadata(&proof).is_ok());

    let plan = run(&["assign", QUARTET, "--json"]).out;
    let verified = run_with(&["verify", QUARTET, "-", "--quiet"], &plan);
    assert_eq!(verified.out, "legal: every rule is kept\n");
    let wrong = plan.replace("\"unserved\": 0", "\"unserved\": 1");
    let refused = run_with(&["verify", QUARTET, "-", "--quiet"], &wrong);
    assert_eq!(
        (refused.code, refused.out.as_str()),
        (1, "refused: 1 violation\n")
    );

    let faults = run_with(&["assign", "-"], "{}");
    let quiet = run_with(&["--quiet", "assign", "-"], "{}");
    assert_eq!((quiet.code, quiet.err), (2, faults.err));
}

#[test]
fn every_answer_that_has_a_page_is_written_as_one() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("forms");
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    for question in questions() {
        let html = folder.join(format!("{}.html", question[0]));
        let html = html.display().to_string();
        let plain = run(&question);
        let ran = run(&[&question[..], &["--html", &html]].concat());
        assert_eq!(
            (ran.code, ran.err.as_str()),
            (plain.code, ""),
            "{question:?}"
        );
        assert_eq!(ran.out, format!("{}\nPicture: {html}\n", plain.out));
        let page = std::fs::read_to_string(&html).expect("it is there");
        assert!(page.starts_with("<!DOCTYPE html>"), "{question:?}");
    }
    // What a text says below its headline.
    for (name, title) in [
        ("score", "The best plan"),
        ("improve", "Now"),
        ("wish", "Now"),
    ] {
        let page = folder.join(format!("{name}.html"));
        let page = std::fs::read_to_string(page).expect("it is there");
        assert!(page.contains(&format!("<bdi>{title}</bdi>")), "{name}");
    }
    let svg = folder.join("night.svg").display().to_string();
    for night in [
        &["timeline", QUARTET, "--reshared"][..],
        &["timeline", "fixtures/quartet-night.json", "--rota"],
    ] {
        let ran = run(&[night, &["--svg", &svg]].concat());
        assert_eq!(ran.err, "", "{night:?}");
        let drawn = std::fs::read_to_string(&svg).expect("it is there");
        assert!(
            drawn.starts_with("<svg ") && drawn.contains("laptop"),
            "{night:?}"
        );
    }
}

#[test]
fn a_form_that_an_answer_has_not_is_refused_in_words() {
    for (args, said) in [
        (
            &["check", QUARTET, "--html", "a.html"][..],
            "`check` has no page: it answers in one line",
        ),
        (
            &["trip", "fixtures/quartet-tour.json", "--svg=a.svg"],
            "`trip` has no picture: it answers in tables, which `--html` shows",
        ),
        (
            &["size", BAG, "--card"],
            "`size` has no card: only `assign` and `rota` say where to plug in what, and have one",
        ),
        (
            &["--color", "never", "assign", QUARTET, "--csv"],
            "`assign` has no table: only `rank` answers in rows alike, and has one",
        ),
        (
            &["batch", "--json"],
            "`batch` has no document of its own: it answers in lines of JSON as it is",
        ),
    ] {
        let ran = run(args);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(
            ran.err.starts_with(&format!("error: {said}\n")),
            "{}",
            ran.err
        );
    }
    // What no answer has is no form.
    let ran = run(&["check", QUARTET, "--htlm", "a.html"]);
    assert!(
        ran.err.contains("unexpected argument '--htlm'"),
        "{}",
        ran.err
    );
}

#[test]
fn a_ranking_as_csv_has_the_numbers_of_its_document() {
    let question = ["rank", BAG, CANDIDATES, "--top", "5"];
    let with = |option: &str| run(&[&question[..], &[option]].concat());
    let (table, document) = (with("--csv"), with("--json").json());
    assert_eq!((table.code, table.err.as_str()), (1, ""));
    let lines: Vec<&str> = table.out.split_terminator("\r\n").collect();
    assert_eq!(lines.len(), 6, "{}", table.out);
    let titles: Vec<&str> = lines[0].split(',').collect();
    let kits = document["ranked"].as_array().expect("a list");
    for (line, kit) in lines[1..].iter().zip(kits) {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), titles.len(), "{line}");
        let cell = |title: &str| {
            let at = titles.iter().position(|found| *found == title);
            cells[at.unwrap_or_else(|| panic!("no column {title}"))]
        };
        assert_eq!(Value::from(cell("kit")), kit["candidate"][0]);
        for title in [
            "unserved",
            "late",
            "longest_h",
            "weight_g",
            "price",
            "unbeaten",
        ] {
            assert_eq!(cell(title), kit[title].to_string(), "{line}");
        }
    }
    let both = run(&[&question[..], &["--csv", "--json"]].concat());
    assert_eq!((both.code, both.out.as_str()), (2, ""));
    // Beside a picture it is alone on standard output, too.
    let svg = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("rank.svg");
    let svg = svg.display().to_string();
    let drawn = run(&[&question[..], &["--csv", "--svg", &svg]].concat());
    assert_eq!(drawn.out, table.out);
}
