//! What the reasons of a plan cost beside the plan: medians over many seeds of each family,
//! by both aims, plan and reasons one after the other in one run.
//!
//! `cargo bench --bench why -- [SEEDS]`, 40 seeds where nothing is said.

#![allow(clippy::print_stdout, reason = "what it is for")]

#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::time::Duration;

use cpu_time::ProcessTime;
use random_setup::measured::Measured;
use wattberth::{Setup, SolveOptions, assign_with, why_with};

/// Numbers of devices.
const SIZES: [usize; 2] = [8, 16];

/// What one plan may take.
const LIMIT: Duration = Duration::from_secs(2);

fn main() {
    let named: Vec<String> = std::env::args().skip(1).collect();
    let seeds = named
        .iter()
        .find_map(|word| word.parse().ok())
        .unwrap_or(40);
    println!("CPU time in ms, medians of {seeds} seeds; of the whole order at most 2 s");
    println!(
        "{:<12}{:>5} {:<8}{:>9}{:>9}{:>8}{:>10}  least",
        "family", "size", "aim", "plan", "why", "ratio", "worst why"
    );
    for family in Measured::ALL {
        let sizes = if family == Measured::Sold {
            &SIZES[..1]
        } else {
            &SIZES[..]
        };
        for &size in sizes {
            for aim in ["best", "promise"] {
                tell(family, size, aim, seeds);
            }
        }
    }
}

fn tell(family: Measured, size: usize, aim: &str, seeds: u64) {
    let (mut plans, mut whys, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    let (mut reasons, mut least) = (0, 0);
    let mut options = SolveOptions::default();
    options.time_limit = Some(LIMIT);
    for seed in 0..seeds {
        let setup = setup(family, size, aim, seed);
        let begun = ProcessTime::now();
        let plan = assign_with(&setup, &options).expect("a measured setup has a plan");
        let took = begun.elapsed();
        let begun = ProcessTime::now();
        let found = why_with(&setup, &plan, &options).expect("a plan has reasons");
        let of_why = begun.elapsed();
        reasons += found.len();
        least += found.iter().filter(|reason| reason.least).count();
        plans.push(ms(took));
        whys.push(ms(of_why));
        ratios.push(ms(of_why) / ms(took));
    }
    let worst = whys.iter().copied().fold(0.0, f64::max);
    println!(
        "{:<12}{size:>5} {aim:<8}{:>9.2}{:>9.2}{:>8.2}{worst:>10.2}  {least} of {reasons}",
        family.name(),
        median(plans),
        median(whys),
        median(ratios),
    );
}

fn setup(family: Measured, size: usize, aim: &str, seed: u64) -> Setup {
    let text = family.setup(seed, size);
    let mut document: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    document["aim"] = aim.into();
    Setup::from_json(&document.to_string()).expect("the families are of valid setups")
}

fn ms(time: Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}
