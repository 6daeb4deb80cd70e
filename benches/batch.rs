//! How many plans a second: through the library, through `batch`, on one thread and on
//! all; by number of devices; and how much memory a long run takes.
//!
//! Six devices on the six ports of random chargers, the whole order of plans, every plan
//! checked. See `benches/README.md` for the arguments.

#![allow(clippy::print_stdout, reason = "figures are what a bench is for")]

#[path = "../tests/common/lines.rs"]
mod lines;
#[path = "../tests/common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle's tests and the laws")]
mod random_setup;

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use wattberth::{BatchOptions, Setup, Status, assign, batch};

const BINARY: &str = env!("CARGO_BIN_EXE_wattberth");

fn main() -> io::Result<()> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let number_after = |flag: &str| {
        let at = args.iter().position(|arg| arg == flag)?;
        Some(args.get(at + 1)?.parse().expect("a number of lines"))
    };
    if let Some(count) = number_after("--lines") {
        return write_lines(0..count, io::stdout().lock());
    }
    if let Some(count) = number_after("--memory") {
        return memory(count);
    }
    let count = if args.iter().any(|arg| arg == "--quick") {
        1_000
    } else {
        10_000
    };
    library(count);
    through_batch(count);
    threads_and_processes(count)?;
    growth(count / 20);
    Ok(())
}

fn write_lines(seeds: Range<u32>, to: impl Write) -> io::Result<()> {
    let mut to = BufWriter::with_capacity(1 << 16, to);
    for seed in seeds {
        writeln!(to, "{}", lines::line(seed.into()))?;
    }
    to.flush()
}

/// Plans a second of checked setups, one thread; every one must be proven.
fn planned(count: u32, devices: usize) -> f64 {
    let setups: Vec<Setup> = (0..count)
        .map(|seed| Setup::from_json(&lines::setup(seed.into(), devices)).expect("it is valid"))
        .collect();
    let start = Instant::now();
    for setup in &setups {
        let plan = assign(setup).expect("it has a plan");
        assert_eq!(
            plan.status,
            Status::Optimal,
            "a figure would be the budget's"
        );
    }
    f64::from(count) / start.elapsed().as_secs_f64()
}

fn library(count: u32) {
    let rate = planned(count, lines::USUAL);
    println!("library, checked setup to checked plan, 1 thread    {rate:>8.0} plans/s");
}

fn through_batch(count: u32) {
    let all: Vec<String> = (0..count).map(|seed| lines::line(seed.into())).collect();
    for threads in [Some(1), None] {
        let mut options = BatchOptions::default();
        options.threads = threads;
        let lines = all.clone().into_iter();
        let start = Instant::now();
        let answers = batch(lines, &options).expect("the options are in range");
        assert_eq!(answers.count(), all.len());
        let rate = f64::from(count) / start.elapsed().as_secs_f64();
        let on = threads.map_or("a thread for each core".to_owned(), |n| {
            format!("{n} thread")
        });
        println!("batch, JSON line to JSON line, {on:<23}{rate:>8.0} plans/s");
    }
}

/// Two threads of one process against two processes of one thread, each with half of the
/// lines; by turns, the best of three.
fn threads_and_processes(count: u32) -> io::Result<()> {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let file = |name: &str, seeds: Range<u32>| -> io::Result<PathBuf> {
        let path = folder.join(name);
        write_lines(seeds, File::create(&path)?)?;
        Ok(path)
    };
    let whole = file("whole.ndjson", 0..count)?;
    let halves = [
        file("first.ndjson", 0..count / 2)?,
        file("second.ndjson", count / 2..count)?,
    ];
    let (mut threads_s, mut processes_s) = (f64::INFINITY, f64::INFINITY);
    for _ in 0..3 {
        let start = Instant::now();
        ended(filter(&whole, 2)?)?;
        threads_s = start.elapsed().as_secs_f64().min(threads_s);
        let start = Instant::now();
        for child in [filter(&halves[0], 1)?, filter(&halves[1], 1)?] {
            ended(child)?;
        }
        processes_s = start.elapsed().as_secs_f64().min(processes_s);
    }
    let rate = |seconds: f64| f64::from(count) / seconds;
    println!(
        "command, 2 threads                                  {:>8.0} plans/s",
        rate(threads_s)
    );
    println!(
        "command, 2 processes of 1 thread                    {:>8.0} plans/s",
        rate(processes_s)
    );
    println!(
        "2 threads reach {:.2} of 2 processes",
        processes_s / threads_s
    );
    Ok(())
}

fn filter(lines: &Path, threads: usize) -> io::Result<Child> {
    Command::new(BINARY)
        .args(["batch", "--threads", &threads.to_string()])
        .arg(lines)
        .stdout(Stdio::null())
        .spawn()
}

fn ended(mut child: Child) -> io::Result<()> {
    assert!(child.wait()?.success());
    Ok(())
}

fn growth(count: u32) {
    for devices in [2, 4, 6, 8, 10, 12] {
        let rate = planned(count, devices);
        println!(
            "library, {devices:>2} devices on {devices:>2} ports, 1 thread          {rate:>8.0} plans/s"
        );
    }
}

/// The most memory that the command held while it answered so many lines.
fn memory(count: u32) -> io::Result<()> {
    let start = Instant::now();
    let mut child = Command::new(BINARY)
        .arg("batch")
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .spawn()?;
    let mut pipe = child.stdin.take().expect("it is piped");
    // Its last figure is read while it still waits for more.
    let mut to = BufWriter::with_capacity(1 << 16, &mut pipe);
    for seed in 0..count {
        writeln!(to, "{}", lines::line(seed.into()))?;
    }
    to.flush()?;
    drop(to);
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id()))?;
    let peak = status.lines().find(|line| line.starts_with("VmHWM"));
    drop(pipe);
    ended(child)?;
    let seconds = start.elapsed().as_secs_f64();
    println!(
        "{count} lines in {seconds:.0} s; {}",
        peak.unwrap_or("no figure on this system")
    );
    Ok(())
}
