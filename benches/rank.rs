//! How long it takes to compare hundreds of chargers, singly and in pairs, with the bound and
//! without it. See `benches/README.md`.

#![allow(clippy::print_stdout, reason = "figures are what a bench is for")]

#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;
#[path = "../tests/common/shelf.rs"]
mod shelf;

use std::time::Instant;

use cpu_time::ProcessTime;
use serde_json::Value;
use wattberth::{Bag, Candidate, RankOptions, Ranking, Source, rank_with};

const QUARTET: &str = include_str!("../fixtures/quartet-bag.json");

/// How many kits of the order are wanted, beside what nothing beats.
const TOP: usize = 20;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    if let Some(at) = args.iter().position(|arg| arg == "--shelf") {
        let count = args.get(at + 1).and_then(|count| count.parse().ok());
        print!(
            "{}",
            shelf::shelf(1, count.expect("a number of candidates"))
        );
        return;
    }
    println!(
        "{:<34}{:>9}{:>9}{:>9}{:>8}{:>8}",
        "", "kits", "planned", "listed", "CPU s", "s"
    );
    for (name, bag) in [
        ("12 devices", QUARTET.to_owned()),
        ("6 devices", small_bag()),
    ] {
        let bag = Bag::from_json(&bag).expect("it is valid");
        let with = ranked(&format!("{name}, 60 chargers, bound"), &bag, 60, true);
        let without = ranked(&format!("{name}, 60 chargers, all"), &bag, 60, false);
        assert!(with.ranked == without.ranked, "the bound changed a kit");
        ranked(&format!("{name}, 500 chargers, bound"), &bag, 500, true);
    }
}

/// The quartet's bag with one device of each kind.
fn small_bag() -> String {
    let mut bag: Value = serde_json::from_str(QUARTET).expect("it is JSON");
    let devices = bag["devices"].as_array_mut().expect("a list");
    devices.retain(|device| device["name"] != "pedals");
    for device in devices {
        device["count"] = 1.into();
    }
    bag.to_string()
}

fn ranked(name: &str, bag: &Bag, chargers: usize, bound: bool) -> Ranking {
    let text = shelf::shelf(1, chargers);
    let file = "shelf";
    let candidates = Candidate::from_source(Source { file, text: &text });
    let candidates = candidates.expect("every line is a candidate");
    let mut options = RankOptions::default();
    options.up_to = 2;
    options.top = Some(TOP);
    options.bound = bound;
    let (start, cpu) = (Instant::now(), ProcessTime::now());
    let ranking = rank_with(bag, &candidates, &options, |_| ()).expect("they can be ranked");
    assert_eq!(ranking.not_planned, 0, "a figure would be the budget's");
    println!(
        "{name:<34}{:>9}{:>9}{:>9}{:>8.1}{:>8.1}",
        ranking.kits,
        ranking.planned,
        ranking.ranked.len(),
        cpu.elapsed().as_secs_f64(),
        start.elapsed().as_secs_f64()
    );
    ranking
}
