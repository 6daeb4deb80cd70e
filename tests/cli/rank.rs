//! `wattberth rank`: which kits are shown, in which order, and with what.

use serde_json::Value;

use super::{fits, run};

const QUESTION: [&str; 3] = [
    "rank",
    "fixtures/quartet-bag.json",
    "fixtures/candidates.ndjson",
];

fn asked(more: &[&str]) -> super::Ran {
    run(&[&QUESTION[..], more].concat())
}

fn kits(document: &Value) -> &Vec<Value> {
    document["ranked"].as_array().expect("a list")
}

#[test]
fn the_document_has_what_was_asked_for() {
    let ran = asked(&["--json", "--top", "5", "--times", "all", "--plans", "2"]);
    assert_eq!((ran.code, ran.err.as_str()), (1, ""));
    let document = ran.json();
    fits("rank", &document);
    let kits = kits(&document);
    assert_eq!(kits.len(), 5);
    for (at, kit) in kits.iter().enumerate() {
        let times = kit["times"].as_array().expect("they were asked for");
        assert_eq!(times.len(), 12);
        let without = times.iter().filter(|time| time.get("hours").is_none());
        assert_eq!(kit["unserved"], without.count());
        assert_eq!(kit["plan"].is_object(), at < 2);
    }
    for (field, of) in [
        ("unserved", "unserved"),
        ("promised_longest_h", "longest_h"),
    ] {
        assert_eq!(kits[0]["plan"][field], kits[0][of]);
    }
    let counted = |field: &str| document[field].as_u64().expect("a number");
    assert_eq!(counted("planned") + counted("ruled_out"), 40);

    // Without a word every kit is planned, and has no more than its numbers.
    let whole = asked(&["--json"]).json();
    assert_eq!(
        (&whole["planned"], &whole["ruled_out"]),
        (&40.into(), &0.into())
    );
    assert!(
        self::kits(&whole)
            .iter()
            .all(|kit| kit.get("times").is_none())
    );
    let bare = |kit: &Value| {
        let mut kit = kit.as_object().expect("a kit").clone();
        kit.retain(|field, _| field != "times" && field != "plan");
        kit
    };
    let firsts = kits.iter().zip(self::kits(&whole));
    for (some, all) in firsts {
        assert_eq!(bare(some), bare(all));
    }
}

#[test]
fn only_what_nothing_beats() {
    let whole = asked(&["--up-to", "2", "--json", "--by", "price"]).json();
    let marked: Vec<&Value> = kits(&whole)
        .iter()
        .filter(|kit| kit["unbeaten"] == true)
        .collect();
    let some = asked(&["--up-to", "2", "--json", "--by", "price", "--unbeaten"]).json();
    assert_eq!(kits(&some).iter().collect::<Vec<_>>(), marked);
    let first = asked(&[
        "--up-to",
        "2",
        "--json",
        "--by",
        "price",
        "--unbeaten",
        "--top",
        "7",
    ]);
    assert_eq!(kits(&first.json()).iter().collect::<Vec<_>>(), marked[..7]);
    let table = asked(&["--up-to", "2", "--unbeaten", "--top", "7"]);
    assert!(table.out.starts_with("best of 820: "), "{}", table.out);
    assert_eq!(
        table
            .out
            .lines()
            .filter(|line| line.starts_with("  *  "))
            .count(),
        7
    );
}

#[test]
fn times_stand_below_the_table_within_the_page() {
    let ran = asked(&["--up-to", "2", "--top", "12", "--times", "all"]);
    assert!(
        ran.out.lines().all(|line| line.chars().count() <= 80),
        "{}",
        ran.out
    );
    let below = ran
        .out
        .split_once("When each device is full")
        .expect("a title")
        .1;
    // Five kits beside each other, the others below.
    assert_eq!(below.matches("\n  Device ").count(), 3);
    assert_eq!(below.matches("\n  battery pack ").count(), 3);
    let one = asked(&["--top", "40", "--times", "pedals"]);
    assert!(one.out.contains("no port"), "{}", one.out);
}

#[test]
fn plans_stand_below_the_table_as_they_are_printed_alone() {
    let ran = asked(&["--top", "3", "--plans", "1"]);
    let candidate = "fixtures/candidates.ndjson:tour bus";
    let alone = run(&[
        "assign",
        "fixtures/quartet-bag.json",
        "--charger",
        candidate,
    ]);
    let (_, berths) = alone.out.split_once("\n\n").expect("a headline");
    let (berths, _) = berths.split_once("\n\n").expect("more");
    let (_, below) = ran.out.split_once("\n1. tour bus\n").expect("a title");
    assert!(below.contains(berths), "{}\n{}", ran.out, alone.out);
    assert!(!asked(&["--top", "3"]).out.contains("\n1. "));
}

#[test]
fn a_name_that_no_device_has_is_refused_with_the_near_one() {
    let ran = asked(&["--by", "pric", "--times", "laptpo"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for said in [
        "no device is called \"pric\"",
        "did you mean `price`?",
        "no device is called \"laptpo\"",
        "did you mean `laptop`?",
    ] {
        assert!(ran.err.contains(said), "{}", ran.err);
    }
    let many = asked(&["--plans", "1001", "--json"]);
    assert_eq!(many.code, 2);
    let message = &many.json()["errors"][0]["message"];
    assert_eq!(message, "at most 1000 kits have their plan, not 1001");
}

#[test]
fn a_ranking_that_is_cut_short_says_so() {
    let ran = asked(&["--up-to", "2", "--top", "3", "--budget", "20000"]);
    let (headline, rest) = ran.out.split_once('\n').expect("lines");
    let looked_at = headline
        .strip_prefix("best of ")
        .and_then(|line| line.split_once(' '));
    let (looked_at, _) = looked_at.expect("it says how many");
    let looked_at: usize = looked_at.parse().expect("a number");
    assert!((16..820).contains(&looked_at), "{headline}");
    assert!(headline.contains(" of 820: "), "{headline}");
    let stopped = format!("the search was stopped before: {} of 820", 820 - looked_at);
    let rest = rest.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(rest.contains(&stopped), "{rest}");
}

/// More kits than anybody waits for.
#[cfg(unix)]
#[test]
fn ctrl_c_and_sigterm_print_what_there_is() {
    use super::interrupt::{ended, ended_within, send, started};
    use super::shelf::shelf;
    use std::time::Duration;

    let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("shelf.ndjson");
    std::fs::write(&file, shelf(1, 400)).expect("it can be written");
    let file = file.display().to_string();
    for (signal, form) in [("-INT", "--json"), ("-TERM", "--unbeaten")] {
        let args = ["rank", QUESTION[1], &file, "--up-to", "2", form];
        let mut child = started(&args);
        drop(child.stdin.take());
        let early = ended_within(&mut child, Duration::from_secs(2));
        assert_eq!(early, None, "too few kits: it ended by itself");
        send(signal, &child);
        let (code, out) = ended(&mut child);
        assert!((0..2).contains(&code), "{code}: {out}");
        if form == "--json" {
            let document: Value = serde_json::from_str(&out).expect("a document");
            let count = |field: &str| document[field].as_u64().expect("a number");
            assert_eq!(count("kits"), 80_200);
            assert!(count("planned") > 0 && count("not_planned") > 0);
            let sum = count("planned") + count("ruled_out") + count("not_planned");
            assert_eq!(sum, 80_200);
        } else {
            assert!(out.contains(" of 80 200: "), "{out}");
        }
    }
}
