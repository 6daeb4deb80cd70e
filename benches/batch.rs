//! x
#[path = "../tests/common/lines.rs"]
#[allow(dead_code)]
mod lines;
#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code)]
mod random_setup;
use std::time::Instant;
use wattberth::*;
fn main() {
    let n = 2000u64;
    if std::env::args().any(|a| a == "--lines") {
        let n: u64 = std::env::args().nth(2).unwrap().parse().unwrap();
        for i in 0..n {
            println!("{}", lines::line(i));
        }
        return;
    }
    let texts: Vec<String> = (0..n).map(lines::setup).collect();
    let t = Instant::now();
    let setups: Vec<Setup> = texts.iter().map(|t| Setup::from_json(t).unwrap()).collect();
    println!("read {:.1} us", t.elapsed().as_secs_f64() * 1e6 / n as f64);
    let t = Instant::now();
    let plans: Vec<Plan> = setups.iter().map(|s| assign(s).unwrap()).collect();
    println!(
        "assign {:.1} us",
        t.elapsed().as_secs_f64() * 1e6 / n as f64
    );
    let t = Instant::now();
    let ok = setups
        .iter()
        .zip(&plans)
        .filter(|(s, p)| verify(s, p).is_ok())
        .count();
    println!(
        "verify {:.1} us {ok}",
        t.elapsed().as_secs_f64() * 1e6 / n as f64
    );
    let t = Instant::now();
    let b: usize = plans.iter().map(|p| p.to_json().len()).sum();
    println!(
        "write {:.1} us {b}",
        t.elapsed().as_secs_f64() * 1e6 / n as f64
    );
    println!(
        "feasible {}",
        plans
            .iter()
            .filter(|p| p.status == Status::Feasible)
            .count()
    );
    let ls: Vec<String> = (0..n).map(lines::line).collect();
    for threads in [1, 2] {
        let mut o = BatchOptions::default();
        o.threads = Some(threads);
        let t = Instant::now();
        let b: usize = batch(ls.clone().into_iter(), &o)
            .unwrap()
            .map(|a| a.len())
            .sum();
        println!(
            "batch {threads} {:.1} us {b}",
            t.elapsed().as_secs_f64() * 1e6 / n as f64
        );
    }
}
