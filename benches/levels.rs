//! How long the plan's order takes, level by level: median and worst over many seeds of
//! a family, for one size or several, and what memory it took.

#![allow(clippy::print_stdout, clippy::print_stderr, reason = "what it is for")]

#[path = "levels/published.rs"]
mod published;
#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::fs;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use cpu_time::ProcessTime;
use random_setup::measured::Measured;
use serde_json::json;
use wattberth::{
    Aim, Level, OnProgress, Plan, Progress, Rota, Setup, SolveOptions, Status, assign_with,
    rota_with,
};

const USAGE: &str = "\
usage: cargo bench --bench levels -- FAMILY SIZES SEEDS [options]
  FAMILY  unlike-mid, unlike-bind, groups-mid, groups-bind, tables, chargers,
          crowded, deadlines, sold; rota: the rota of 2 to 4 sessions;
          scarce: the same with few cables
  SIZES   numbers of devices, as 8,16,32,64
  SEEDS   how many seeds, from 0 on, or FIRST..LAST
  --limit-s S   seconds that one plan may take (10)
  --level L     longest, times or everything alone, else all three
  --each        a line for every plan
  --aim AIM     best or promise, whatever the setups say (promise where they say nothing)
  --first       instead of the levels, when the search has its first plan, when one within
                1 % of the longest time that it ends with, and what a call takes that is
                told to stop with its first
  --write DIR   instead of measuring, write each setup with what its plan comes to
                by the first level, and its time
  --publish DIR instead of measuring, write each setup with its best known plan or
                rota, and a proof where it is proven; here FAMILY may have commas,
                or be `all`
  --steps N     of that, what one plan may take, and its proof (2000000)
  --proof-mib N of that, the largest proof that is written (16)";

/// A plan is made again as long as all of its runs stay below this, at most
/// [`MOST_RUNS`] times; the fastest run counts.
const AGAIN_BELOW: Duration = Duration::from_millis(50);
const MOST_RUNS: u32 = 5;

const LEVELS: [Level; 3] = [Level::Longest, Level::Times, Level::Everything];

struct Wanted {
    /// Several only where they are to be published.
    families: Vec<Measured>,
    sizes: Vec<usize>,
    seeds: Vec<u64>,
    limit: Duration,
    levels: Vec<Level>,
    each: bool,
    first: bool,
    aim: Option<Aim>,
    write: Option<PathBuf>,
    publish: Option<PathBuf>,
    published: published::Limits,
}

/// What one plan took.
struct Run {
    seed: u64,
    ms: f64,
    reached: Reached,
    /// Whether the level asked for was proven.
    proven: bool,
}

/// What a plan or a rota comes to.
struct Reached {
    /// By the aim; none where it is never.
    longest_h: Option<f64>,
    unserved: usize,
    late: usize,
    status: Status,
    settled: Option<Level>,
}

impl From<Plan> for Reached {
    fn from(plan: Plan) -> Self {
        Self {
            longest_h: plan.longest_by_aim(),
            unserved: plan.unserved,
            late: plan.late_by_aim(),
            status: plan.status,
            settled: plan.settled,
        }
    }
}

impl From<Rota> for Reached {
    fn from(rota: Rota) -> Self {
        Self {
            longest_h: rota.longest_by_aim(),
            unserved: rota.unserved,
            late: rota.late_by_aim(),
            status: rota.status,
            settled: rota.settled,
        }
    }
}

fn main() -> ExitCode {
    let wanted = match wanted(std::env::args().skip(1)) {
        Ok(wanted) => wanted,
        Err(fault) => {
            eprintln!("{fault}\n{USAGE}");
            return ExitCode::from(2);
        }
    };
    if let Some(folder) = &wanted.write {
        if let Err(fault) = write(&wanted, folder) {
            eprintln!("{}: {fault}", folder.display());
            return ExitCode::from(1);
        }
        return ExitCode::SUCCESS;
    }
    if let Some(folder) = &wanted.publish {
        return publish(&wanted, folder);
    }
    println!("CPU time of the process in ms, the best of up to {MOST_RUNS} runs of each plan");
    if wanted.first {
        first_plans(&wanted);
        return ExitCode::SUCCESS;
    }
    println!(
        "{:<12}{:>5} {:<11}{:>10}{:>10}{:>7}{:>7}  proven  unproven seeds",
        "family", "size", "level", "median", "worst", "seed", "ratio"
    );
    let mut medians: Vec<Vec<(usize, f64)>> = vec![Vec::new(); wanted.levels.len()];
    for &size in &wanted.sizes {
        let setups: Vec<(u64, Setup)> = wanted
            .seeds
            .iter()
            .map(|&seed| (seed, wanted.setup(seed, size)))
            .collect();
        for (&level, medians) in wanted.levels.iter().zip(&mut medians) {
            let mut runs: Vec<Run> = setups
                .iter()
                .map(|(seed, setup)| run(*seed, setup, level, &wanted))
                .collect();
            medians.push((size, tell(&wanted, size, level, &mut runs)));
        }
    }
    for (level, medians) in wanted.levels.iter().zip(&medians) {
        if let Some(exponent) = exponent(medians) {
            println!(
                "{:<11} grows as the number of devices to the power of {exponent:.2}",
                level.word()
            );
        }
    }
    if let Some(peak) = peak_memory() {
        println!("peak memory of all of this: {peak}");
    }
    ExitCode::SUCCESS
}

fn wanted(arguments: impl Iterator<Item = String>) -> Result<Wanted, String> {
    let mut named = Vec::new();
    let mut limit = Duration::from_secs(10);
    let mut levels = LEVELS.to_vec();
    let mut each = false;
    let mut first = false;
    let mut aim = None;
    let mut write = None;
    let mut publish = None;
    let mut published = published::Limits {
        steps: SolveOptions::default().budget,
        proof_bytes: 16 << 20,
    };
    // Cargo adds the first itself.
    let mut arguments = arguments.filter(|argument| argument != "--bench");
    while let Some(argument) = arguments.next() {
        let mut value = || {
            let value = arguments.next();
            value.ok_or_else(|| format!("{argument} needs a value"))
        };
        match argument.as_str() {
            "--each" => each = true,
            "--first" => first = true,
            "--aim" => {
                let asked = value()?;
                let aims = [Aim::Best, Aim::Promise];
                let found = aims.into_iter().find(|aim| aim.word() == asked);
                aim = Some(found.ok_or_else(|| format!("no aim {asked}"))?);
            }
            "--limit-s" => {
                let seconds: f64 = number(&value()?)?;
                limit = Duration::try_from_secs_f64(seconds).map_err(|e| e.to_string())?;
            }
            "--level" => {
                let asked = value()?;
                levels.retain(|&level| level.word() == asked);
                if levels.is_empty() {
                    return Err(format!("no level {asked}"));
                }
            }
            "--write" => write = Some(PathBuf::from(value()?)),
            "--publish" => publish = Some(PathBuf::from(value()?)),
            "--steps" => published.steps = number(&value()?)?,
            "--proof-mib" => published.proof_bytes = number::<usize>(&value()?)? << 20,
            other if other.starts_with('-') => return Err(format!("no option {other}")),
            _ => named.push(argument),
        }
    }
    let [family, sizes, seeds] = &named[..] else {
        return Err("a family, its sizes and the seeds are needed".to_owned());
    };
    let sizes: Vec<usize> = sizes
        .split(',')
        .map(number)
        .collect::<Result<_, String>>()?;
    if let Some(size) = sizes.iter().find(|size| !(4..=100).contains(*size)) {
        return Err(format!("sizes are from 4 to 100, not {size}"));
    }
    let (from, last) = match seeds.split_once("..") {
        Some((from, last)) => (number(from)?, number::<u64>(last)?),
        None => (0, number::<u64>(seeds)?.saturating_sub(1)),
    };
    if last < from {
        return Err("the last seed is before the first".to_owned());
    }
    let families = families(family)?;
    if families.len() > 1 && publish.is_none() {
        return Err("one family at a time is measured".to_owned());
    }
    Ok(Wanted {
        families,
        sizes,
        seeds: (from..=last).collect(),
        limit,
        levels,
        each,
        first,
        aim,
        write,
        publish,
        published,
    })
}

fn families(named: &str) -> Result<Vec<Measured>, String> {
    if named == "all" {
        let with_sessions = [Measured::Rota, Measured::Scarce];
        return Ok(Measured::ALL.into_iter().chain(with_sessions).collect());
    }
    let family = |name| Measured::named(name).ok_or_else(|| format!("no family {name}"));
    named.split(',').map(family).collect()
}

fn number<T: std::str::FromStr>(text: &str) -> Result<T, String> {
    text.parse().map_err(|_| format!("{text} is no number"))
}

impl Wanted {
    /// The family that is measured.
    fn family(&self) -> Measured {
        self.families[0]
    }

    /// The document of a setup, with the aim that is asked for.
    fn document(&self, seed: u64, size: usize) -> String {
        self.document_of(self.family(), seed, size)
    }

    fn document_of(&self, family: Measured, seed: u64, size: usize) -> String {
        let text = family.setup(seed, size);
        let Some(aim) = self.aim else {
            return text;
        };
        let mut document: serde_json::Value = serde_json::from_str(&text).expect("it is JSON");
        document["aim"] = json!(aim.word());
        document.to_string()
    }

    fn setup(&self, seed: u64, size: usize) -> Setup {
        Setup::from_json(&self.document(seed, size)).expect("the families are of valid setups")
    }

    fn options(&self, level: Level) -> SolveOptions {
        let mut options = SolveOptions::default();
        options.until = level;
        options.time_limit = Some(self.limit);
        options
    }

    /// What a setup comes to.
    fn solved(&self, setup: &Setup, options: &SolveOptions) -> Reached {
        if self.family().has_sessions() {
            rota_with(setup, options)
                .expect("a measured setup has a rota")
                .into()
        } else {
            assign_with(setup, options)
                .expect("a measured setup has a plan")
                .into()
        }
    }
}

fn run(seed: u64, setup: &Setup, level: Level, wanted: &Wanted) -> Run {
    let options = wanted.options(level);
    let mut fastest: Option<(Duration, Reached)> = None;
    let mut all = Duration::ZERO;
    for _ in 0..MOST_RUNS {
        let begun = ProcessTime::now();
        let reached = wanted.solved(setup, &options);
        let took = begun.elapsed();
        all += took;
        if fastest.as_ref().is_none_or(|(least, _)| took < *least) {
            fastest = Some((took, reached));
        }
        if all > AGAIN_BELOW {
            break;
        }
    }
    let (took, reached) = fastest.expect("at least one run");
    let proven = reached.status == Status::Optimal || reached.settled >= Some(level);
    Run {
        seed,
        ms: took.as_secs_f64() * 1e3,
        reached,
        proven,
    }
}

/// When a search has something, by the number of its fastest run, in ms.
#[derive(Clone, Copy)]
struct Moments {
    /// A plan at all.
    first: f64,
    /// One within 1 % of the longest time that it ends with, and as few without a berth and late.
    near: f64,
    /// A call that is told to stop with its first plan has handed it out.
    in_hand: f64,
    /// All is settled.
    ended: f64,
    /// How much longer than the last the first is, in per cent; infinite where it leaves out
    /// more.
    off: f64,
}

fn first_plans(wanted: &Wanted) {
    println!(
        "{:<12}{:>5} {:>16}{:>16}{:>16}{:>16}  first off by",
        "family", "size", "first plan", "within 1 %", "first in hand", "ended"
    );
    for &size in &wanted.sizes {
        let each = |&seed: &u64| (seed, moments(wanted, &wanted.setup(seed, size)));
        let all: Vec<(u64, Moments)> = wanted.seeds.iter().map(each).collect();
        if wanted.each {
            for (seed, at) in &all {
                println!(
                    "  seed {seed:>4}{:>9.3}{:>9.3}{:>9.3}{:>9.3}{:>8.1} %",
                    at.first, at.near, at.in_hand, at.ended, at.off
                );
            }
        }
        let sorted = |of: fn(&Moments) -> f64| {
            let mut own: Vec<f64> = all.iter().map(|(_, at)| of(at)).collect();
            own.sort_by(f64::total_cmp);
            (own[own.len() / 2], own[own.len() - 1])
        };
        let told = |of: fn(&Moments) -> f64| {
            let (median, worst) = sorted(of);
            format!("{median:.2} / {worst:.2}")
        };
        println!(
            "{:<12}{size:>5} {:>16}{:>16}{:>16}{:>16}  {} %",
            wanted.family().name(),
            told(|at| at.first),
            told(|at| at.near),
            told(|at| at.in_hand),
            told(|at| at.ended),
            told(|at| at.off),
        );
    }
}

fn moments(wanted: &Wanted, setup: &Setup) -> Moments {
    let once = || {
        let told: Arc<Mutex<Vec<(f64, Progress)>>> = Arc::default();
        let mut options = wanted.options(Level::Everything);
        let begun = ProcessTime::now();
        options.progress = Some(OnProgress::new({
            let told = Arc::clone(&told);
            move |progress| {
                let at = ms(begun);
                told.lock().expect("no panic").push((at, progress.clone()));
            }
        }));
        wanted.solved(setup, &options);
        let ended = ms(begun);
        let told = told.lock().expect("no panic");
        let last = &told.last().expect("it is told once at least").1;
        let as_good = |now: &Progress| {
            (now.unserved, now.late) == (last.unserved, last.late)
                && now.longest_h <= 1.01 * last.longest_h
        };
        // A later one may be worse in what comes later in the order, never in this.
        let near = told.iter().find(|(_, now)| as_good(now));
        let (first, now) = &told[0];
        let as_many = (now.unserved, now.late) == (last.unserved, last.late);
        Moments {
            first: *first,
            near: near.map_or(ended, |(at, _)| *at),
            in_hand: f64::INFINITY,
            ended,
            off: if as_many && last.longest_h > 0.0 && last.longest_h.is_finite() {
                100.0 * (now.longest_h / last.longest_h - 1.0)
            } else if as_many && now.longest_h <= last.longest_h {
                0.0
            } else {
                f64::INFINITY
            },
        }
    };
    let mut best = once();
    for _ in 1..MOST_RUNS {
        best.in_hand = best.in_hand.min(first_in_hand(wanted, setup));
        if best.ended > AGAIN_BELOW.as_secs_f64() * 1e3 {
            break;
        }
        let other = once();
        best.first = best.first.min(other.first);
        best.near = best.near.min(other.near);
        best.ended = best.ended.min(other.ended);
    }
    best
}

/// What a call takes that is told to stop as soon as it has a plan.
fn first_in_hand(wanted: &Wanted, setup: &Setup) -> f64 {
    let flag = Arc::new(AtomicBool::new(false));
    let mut options = wanted.options(Level::Everything);
    options.interrupt = Some(Arc::clone(&flag));
    options.progress = Some(OnProgress::new(move |_| {
        flag.store(true, Ordering::Relaxed);
    }));
    let begun = ProcessTime::now();
    wanted.solved(setup, &options);
    ms(begun)
}

fn ms(begun: ProcessTime) -> f64 {
    begun.elapsed().as_secs_f64() * 1e3
}

/// Prints what the runs come to; returns the median.
fn tell(wanted: &Wanted, size: usize, level: Level, runs: &mut [Run]) -> f64 {
    if wanted.each {
        for run in &*runs {
            println!(
                "  seed {:>4} {:<11}{:>10.3} ms  {}  longest {:?} h, {} unserved, {} late",
                run.seed,
                level.word(),
                run.ms,
                if run.proven { "proven" } else { "UNPROVEN" },
                run.reached.longest_h,
                run.reached.unserved,
                run.reached.late,
            );
        }
    }
    let unproven: Vec<String> = runs
        .iter()
        .filter(|run| !run.proven)
        .map(|run| run.seed.to_string())
        .collect();
    runs.sort_by(|a, b| a.ms.total_cmp(&b.ms));
    let middle = runs.len() / 2;
    let median = if runs.len() % 2 == 1 {
        runs[middle].ms
    } else {
        f64::midpoint(runs[middle - 1].ms, runs[middle].ms)
    };
    let worst = &runs[runs.len() - 1];
    println!(
        "{:<12}{size:>5} {:<11}{median:>10.3}{:>10.3}{:>7}{:>7.1}{:>4} of {:<4} {}",
        wanted.family().name(),
        level.word(),
        worst.ms,
        worst.seed,
        worst.ms / median,
        runs.len() - unproven.len(),
        runs.len(),
        unproven.join(" "),
    );
    median
}

/// The slope of the medians over the sizes, both as logarithms (least squares).
fn exponent(medians: &[(usize, f64)]) -> Option<f64> {
    let points: Vec<(f64, f64)> = medians
        .iter()
        .filter_map(|&(size, ms)| Some((f64::from(u32::try_from(size).ok()?).ln(), ms.ln())))
        .collect();
    if points.len() < 2 {
        return None;
    }
    let n = f64::from(u32::try_from(points.len()).ok()?);
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / n;
    let (x, y) = (mean(&|p| p.0), mean(&|p| p.1));
    let rise = mean(&|p| (p.0 - x) * (p.1 - y));
    let run = mean(&|p| (p.0 - x) * (p.0 - x));
    (run > 0.0).then(|| rise / run)
}

/// The most memory that this process had at once, as the kernel tells it.
fn peak_memory() -> Option<String> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    Some(line.trim().to_owned())
}

/// For the comparison with other solvers: setups as files, and what they come to.
fn write(wanted: &Wanted, folder: &std::path::Path) -> std::io::Result<()> {
    fs::create_dir_all(folder)?;
    for &size in &wanted.sizes {
        for &seed in &wanted.seeds {
            let text = wanted.document(seed, size);
            let setup = wanted.setup(seed, size);
            let run = run(seed, &setup, Level::Longest, wanted);
            let document: serde_json::Value = serde_json::from_str(&text)?;
            let entry = json!({
                "family": wanted.family().name(), "size": size, "seed": seed, "setup": document,
                "ms": run.ms, "proven": run.proven, "longest_h": run.reached.longest_h,
                "unserved": run.reached.unserved, "late": run.reached.late,
            });
            let file = format!("{}-{size}-{seed}.json", wanted.family().name());
            fs::write(folder.join(file), entry.to_string())?;
        }
    }
    Ok(())
}

/// For others who want to measure themselves.
fn publish(wanted: &Wanted, folder: &std::path::Path) -> ExitCode {
    let named = |family: Measured| {
        wanted.sizes.iter().flat_map(move |&devices| {
            let instance = move |&seed: &u64| published::Instance {
                family: family.name(),
                devices,
                seed,
                has_sessions: family.has_sessions(),
                setup: wanted.document_of(family, seed, devices),
            };
            // The chargers that are sold have eight ports, whatever is asked.
            let has_it = family != Measured::Sold || devices == 8;
            wanted.seeds.iter().filter(move |_| has_it).map(instance)
        })
    };
    let instances = wanted.families.iter().copied().flat_map(named);
    match published::write(instances, wanted.published, folder) {
        Ok(counts) => {
            println!(
                "{} setups, {} with an optimal answer, {} with a proof",
                counts.setups, counts.optimal, counts.proofs
            );
            ExitCode::SUCCESS
        }
        Err(fault) => {
            eprintln!("{}: {fault}", folder.display());
            ExitCode::from(1)
        }
    }
}
