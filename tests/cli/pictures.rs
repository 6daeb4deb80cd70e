//! `--svg`, `--html` and `--card`: what is written, what is said of it, what is refused.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::{run, run_with, small};

const QUARTET: &str = "fixtures/quartet.json";

/// A folder of its own, empty.
fn folder(name: &str) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"))
        .join("pictures")
        .join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder can be made");
    folder
}

fn files(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("the folder is there");
    let mut names: Vec<String> = entries
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn each_question_is_drawn_beside_its_answer() {
    let bag = "fixtures/quartet-bag.json";
    let candidates = "fixtures/candidates.ndjson";
    for question in [
        vec!["assign", QUARTET],
        vec!["size", bag],
        vec!["rank", bag, candidates, "--top", "3"],
    ] {
        let folder = folder(question[0]);
        let svg = folder.join("a.svg").display().to_string();
        let html = folder.join("a.html").display().to_string();
        let plain = run(&question);
        let drawn = run(&[&question[..], &["--svg", &svg, "--html", &html]].concat());
        assert_eq!((drawn.code, drawn.err.as_str()), (plain.code, ""));
        let said = format!("\nPicture: {svg}\nPicture: {html}\n");
        assert_eq!(drawn.out, plain.out + &said);
        assert_eq!(files(&folder), ["a.html", "a.svg"]);
        let read = |path: &str| std::fs::read_to_string(path).expect("it is there");
        assert!(read(&svg).starts_with("<svg xmlns="));
        assert!(read(&html).starts_with("<!DOCTYPE html>"));
        // As data, the answer is alone on standard output.
        let data = run(&[&question[..], &["--json", "--svg", &svg]].concat());
        assert_eq!(data.out, run(&[&question[..], &["--json"]].concat()).out);
    }
}

#[test]
fn what_cannot_be_written_is_refused_before_anything_else() {
    let folder = folder("refused");
    let inside = folder.join("missing").join("a.svg").display().to_string();
    let here = folder.display().to_string();
    let same = folder.join("a").display().to_string();
    for (args, said) in [
        (
            vec!["--svg", "-"],
            "a picture is written to a file".to_owned(),
        ),
        (vec!["--html", &here], "this is a directory".to_owned()),
        (vec!["--svg", &inside], "there is no directory".to_owned()),
        (
            vec!["--svg", &same, "--html", &same],
            "name the same file".to_owned(),
        ),
    ] {
        // The setup is not looked at.
        let ran = run(&[&["assign", "no such file"], &args[..]].concat());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{args:?}");
        assert!(ran.err.contains(&said), "{}", ran.err);
        assert!(!ran.err.contains("no such file"), "{}", ran.err);
    }
    assert_eq!(files(&folder), Vec::<String>::new());
}

#[test]
fn the_card_has_a_line_for_each_device() {
    let ran = run(&["assign", QUARTET, "--card"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    let plan = run(&["assign", QUARTET, "--json"]).json();
    for berth in plan["berths"].as_array().expect("berths") {
        let name = |field: &str| berth[field].as_str().expect("a name").to_owned();
        let line = ran.out.lines().find(|line| {
            let mut words = line.split('→').map(str::trim);
            words.next() == Some(&name("port")) && words.next() == Some(&name("device"))
        });
        let line = line.unwrap_or_else(|| panic!("no line for {}", name("device")));
        assert!(line.contains(&format!("→ {}", name("cable"))), "{line}");
        assert!(line.contains("→ full after "), "{line}");
        assert!(line.chars().count() <= 80, "{line}");
    }
}

/// What is on the bedside is what is certain.
#[test]
fn the_card_has_no_best_case_that_is_not_called_one() {
    let eight = "fixtures/quartet-eight.json";
    let card = run(&["assign", eight, "--card"]).out;
    assert!(card.contains("→ laptop "), "{card}");
    let laptop = card.lines().find(|line| line.contains("→ laptop "));
    assert!(
        laptop.is_some_and(|line| line.contains("not certain; ") && line.ends_with(" at best"))
    );
    let best = |card: &str| {
        card.lines()
            .filter(|line| line.ends_with(" at best"))
            .count()
    };
    assert_eq!(best(&card), 1, "{card}");
    // By its other aim all that is told is at best.
    let text = std::fs::read_to_string(eight).expect("a fixture");
    let text = text.replacen('{', "{\"aim\": \"best\",", 1);
    let other = run_with(&["assign", "-", "--card"], &text).out;
    assert_eq!(best(&other), 0, "{other}");

    let night = run(&["rota", "fixtures/quartet-night.json", "--card"]).out;
    assert!(
        night.contains("however the charger shares: all certain by"),
        "{night}"
    );
    let rota = run(&["rota", "fixtures/quartet-night.json", "--json"]).json();
    let berths = rota["berths"].as_array().expect("berths");
    let pack = berths
        .iter()
        .find(|berth| berth["device"] == "battery pack");
    let hours = pack.and_then(|pack| pack["promised_finish_h"].as_f64());
    let minutes = 60.0 * (19.5 + hours.expect("a promise") - 24.0);
    let at = format!(
        "full at {:02}:{:02}",
        (minutes / 60.0).floor(),
        (minutes % 60.0).ceil()
    );
    assert!(night.contains(&at), "{at}: {night}");
}

#[test]
fn the_card_has_times_of_day_where_the_night_has_a_start() {
    let mut setup = small();
    setup["start"] = "22:30".into();
    let other = serde_json::json!({"name": "recorder", "pd_w": 18, "battery_wh": 15});
    setup["devices"].as_array_mut().expect("a list").push(other);
    let plan = run_with(&["assign", "-", "--json"], &setup.to_string()).json();
    let hours = plan["berths"][0]["hours"].as_f64().expect("a time");
    // 22:30 and some minutes, before midnight.
    let minutes = 22.5 * 60.0 + hours * 60.0;
    let expected = format!(
        "full at {:02}:{:02}",
        (minutes / 60.0).floor(),
        (minutes % 60.0).ceil()
    );
    let ran = run_with(&["assign", "-", "--card"], &setup.to_string());
    assert!(ran.out.contains(&expected), "{expected}\n{}", ran.out);
    assert!(
        ran.out.ends_with("\nwithout a port\n  - recorder\n"),
        "{}",
        ran.out
    );
    assert_eq!(ran.code, 1);
}

/// One device, and a charger whose limit is less than it can start with, or a device that
/// is full already.
#[test]
fn a_card_without_a_line_says_why() {
    let session = json!([{"name": "night", "hours": 2}]);
    for (max_w, start_pct, assigned, over_sessions) in [
        (
            5,
            0,
            "the only device has no port\n\nwithout a port\n  - phone\n",
            "the only device is not full by the end, 1 without a port\n\nwithout a port\n  - phone\n",
        ),
        (
            100,
            100,
            "nothing to charge: every device is full as it is\n",
            "nothing to charge: every device is full as it is\n",
        ),
    ] {
        let mut setup = small();
        setup["chargers"][0]["max_w"] = max_w.into();
        setup["devices"][0]["start_pct"] = start_pct.into();
        let code = i32::from(start_pct == 0);
        let ran = run_with(&["assign", "-", "--card"], &setup.to_string());
        assert_eq!(
            (ran.code, ran.out.as_str(), ran.err.as_str()),
            (code, assigned, "")
        );
        setup["sessions"] = session.clone();
        let ran = run_with(&["rota", "-", "--card"], &setup.to_string());
        assert_eq!(
            (ran.code, ran.out.as_str(), ran.err.as_str()),
            (code, over_sessions, "")
        );
    }
}
