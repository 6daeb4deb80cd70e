//! What a bag planned with chargers directly saves: against a check of the whole setup for every
//! charger, against lines of `batch`, on two threads, and where only the best is wanted. See
//! `benches/README.md`.

#![allow(clippy::print_stdout, reason = "figures are what a bench is for")]

#[path = "../tests/common/lines.rs"]
#[allow(dead_code, reason = "shared with the bench of `batch`")]
mod lines;
#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::time::{Duration, Instant};

use cpu_time::ProcessTime;
use wattberth::{
    Bag, BatchOptions, Candidate, Charger, Setup, SetupDocument, SolveOptions, Source, assign,
    batch,
};

/// By turns, so that other work on the machine meets all of them; the fastest counts.
const ROUNDS: usize = 5;

fn main() {
    let count: u32 = std::env::args()
        .skip(1)
        .find_map(|arg| arg.parse().ok())
        .unwrap_or(2_000);
    let shelf = Shelf::new(count);
    let ways: [(&str, fn(&Shelf)); 6] = [
        ("check and assign, for every charger", Shelf::checked),
        ("Bag::plan", Shelf::planned),
        ("Bag::plan_better_than the best so far", Shelf::bettered),
        ("batch, line to line", Shelf::batched),
        ("text, Bag::plan, text", Shelf::from_text_to_text),
        ("Bag::plan on 2 threads", Shelf::on_two_threads),
    ];
    let mut cpu = [Duration::MAX; 6];
    let mut wall = [Duration::MAX; 6];
    for _ in 0..ROUNDS {
        for (at, (_, way)) in ways.iter().enumerate() {
            let (begun, used) = (Instant::now(), ProcessTime::now());
            way(&shelf);
            wall[at] = wall[at].min(begun.elapsed());
            cpu[at] = cpu[at].min(used.elapsed());
        }
    }
    println!(
        "{:<40}{:>12}{:>12}",
        "one bag, us for each charger", "CPU", "wall"
    );
    for ((name, _), (cpu, wall)) in ways.iter().zip(cpu.iter().zip(&wall)) {
        let each = |of: &Duration| of.as_secs_f64() * 1e6 / f64::from(count);
        println!("{name:<40}{:>12.1}{:>12.1}", each(cpu), each(wall));
    }
    let ratio = |of: &Duration, to: &Duration| of.as_secs_f64() / to.as_secs_f64();
    println!(
        "Bag::plan is {:.2} times as fast as check and assign",
        ratio(&cpu[0], &cpu[1])
    );
    println!(
        "text to text it is {:.2} times as fast as batch",
        ratio(&cpu[3], &cpu[4])
    );
    println!(
        "2 threads are {:.2} times as fast as 1",
        ratio(&wall[1], &wall[5])
    );
    println!(
        "only the best is found {:.2} times as fast as all",
        ratio(&cpu[1], &cpu[2])
    );
}

/// A bag and the chargers that it is planned with.
struct Shelf {
    document: SetupDocument,
    bag: Bag,
    chargers: Vec<[Charger; 1]>,
    texts: Vec<String>,
    lines: Vec<String>,
}

impl Shelf {
    fn new(count: u32) -> Self {
        let charger = |seed: u32| random_setup::lone_charger(seed.into(), lines::USUAL);
        let setup = Setup::from_json(&lines::setup(0, lines::USUAL)).expect("it is valid");
        let texts: Vec<String> = (0..count).map(|seed| charger(seed).to_string()).collect();
        Self {
            document: setup.document().clone(),
            bag: setup.bag(),
            chargers: texts.iter().map(|text| [read(text)]).collect(),
            texts,
            lines: (0..count).map(|seed| lines::line(seed.into())).collect(),
        }
    }

    fn checked(&self) {
        for chargers in &self.chargers {
            let mut document = self.document.clone();
            document.chargers = chargers.to_vec();
            assign(&document.check().expect("it is valid")).expect("a plan");
        }
    }

    fn planned(&self) {
        for chargers in &self.chargers {
            plan(&self.bag, chargers);
        }
    }

    fn bettered(&self) {
        let mut best = self.bag.value_of(&plan(&self.bag, &self.chargers[0]));
        for chargers in &self.chargers {
            let better = self
                .bag
                .plan_better_than(chargers, &best, &SolveOptions::default());
            if let Some(plan) = better.expect("an answer") {
                best = self.bag.value_of(&plan);
            }
        }
    }

    fn batched(&self) {
        let mut options = BatchOptions::default();
        options.threads = Some(1);
        let lines = self.lines.clone().into_iter();
        let answers = batch(lines, &options).expect("the options are in range");
        assert_eq!(answers.count(), self.lines.len());
    }

    fn from_text_to_text(&self) {
        for text in &self.texts {
            let plan = plan(&self.bag, &[read(text)]);
            assert!(!serde_json::to_string(&plan).expect("JSON").is_empty());
        }
    }

    fn on_two_threads(&self) {
        let (one, other) = self.chargers.split_at(self.chargers.len() / 2);
        std::thread::scope(|scope| {
            for half in [one, other] {
                scope.spawn(|| {
                    half.iter()
                        .for_each(|chargers| drop(plan(&self.bag, chargers)))
                });
            }
        });
    }
}

fn read(text: &str) -> Charger {
    let candidates = Candidate::from_source(Source { file: "", text });
    let mut candidates = candidates.expect("it is valid");
    candidates.swap_remove(0).chargers.swap_remove(0)
}

fn plan(bag: &Bag, chargers: &[Charger]) -> wattberth::Plan {
    let plan = bag.plan(chargers, &SolveOptions::default());
    plan.expect("a plan")
}
