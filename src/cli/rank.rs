//! `wattberth rank`: candidate chargers, the best first.

use std::path::PathBuf;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::Exit;
use super::input::{self, Text};
use super::limits::LimitArgs;
use super::output::{self, Ended, Output};
use super::pictures::{self, PictureArgs};
use crate::report::Page;
use crate::{Bag, Candidate, Error, Fault, Plan, RankOptions, Ranking, SolveOptions, rank_with};

/// Rank candidate chargers for the devices and cables of a setup.
///
/// Every candidate, and with --up-to every kit of several, is planned as `assign` does
/// it. A candidate is a charger, or {"name": "…", "chargers": […], "price": 40}. Ctrl-C
/// ends the search with what was found.
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The setup document whose devices and cables are taken; `-` reads standard input.
    #[arg(value_name = "SETUP.json")]
    setup: PathBuf,
    /// Candidates: a document each, or many of them, one on each line (NDJSON).
    #[arg(value_name = "CANDIDATE", required = true)]
    candidates: Vec<PathBuf>,
    /// Also use up to so many candidates together, each at most once; there may be
    /// 1 000 000 kits.
    #[arg(long, value_name = "N", default_value_t = 1)]
    up_to: usize,
    #[command(flatten)]
    wanted: WantedArgs,
    /// Also tell the longest time if the chargers renegotiate as devices need less.
    #[arg(long)]
    reshared: bool,
    /// Print the ranking as JSON.
    #[arg(long)]
    json: bool,
    /// Print the ranking as CSV (RFC 4180): a line of titles, then a line for each kit. A
    /// name that a spreadsheet would take for a formula has an apostrophe before it.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Work on so many threads; as many as there are cores where absent. The answer is
    /// the same.
    #[arg(long, value_name = "N")]
    threads: Option<usize>,
    #[command(flatten)]
    limits: LimitArgs,
    #[command(flatten)]
    pictures: PictureArgs,
}

/// Which kits are shown, in which order, and what is told of them.
#[derive(Debug, clap::Args)]
struct WantedArgs {
    /// Show only the first so many kits. What can be neither among them nor unbeaten need not
    /// be planned, which is much sooner done.
    #[arg(long, value_name = "K")]
    top: Option<usize>,
    /// Show only the kits that no other beats: those marked `*`.
    #[arg(long)]
    unbeaten: bool,
    /// Sort by `longest` (when the last device is full), `weight`, `price`, `priority-1` (when
    /// the last device of priority 1 is full), or when one device is full, by its name. Devices
    /// without a port and late ones come first all the same.
    #[arg(long, value_name = "WHAT", default_value = "longest")]
    by: String,
    /// Also tell when devices are full: `all`, those of `priority-1`, or one by its name;
    /// several times for several.
    #[arg(long, value_name = "WHOSE")]
    times: Vec<String>,
    /// Also print the plans of the first so many kits.
    #[arg(long, value_name = "N", default_value_t = 0)]
    plans: usize,
}

impl WantedArgs {
    /// How many kits are shown at most.
    fn most(&self) -> usize {
        self.top.unwrap_or(usize::MAX)
    }
}

pub(super) fn run(args: &Args, out: &Output) -> Result<Exit, Ended> {
    let inputs = std::iter::once(&args.setup).chain(&args.candidates);
    let mut files = args.pictures.open(inputs, out, args.json)?;
    let search = SolveOptions {
        reshared: args.reshared,
        ..args.limits.of_many(RankOptions::DEFAULT_BUDGET)
    };
    let paths = std::iter::once(&args.setup).chain(&args.candidates);
    let texts = input::read_all(paths).map_err(|error| out.refuse(&error, &[], args.json))?;
    let refuse = |error: Error| out.refuse(&error, &texts, args.json);
    let (bag, candidates) = read(&texts).map_err(refuse)?;
    let wanted = &args.wanted;
    let options = RankOptions {
        search,
        up_to: args.up_to,
        threads: args.threads,
        by: wanted.by.as_str().into(),
        top: if wanted.unbeaten { Some(0) } else { wanted.top },
        times: wanted.times.iter().map(|of| of.as_str().into()).collect(),
        plans: wanted.plans,
        ..RankOptions::default()
    };
    let ranking = ranked(&bag, &candidates, &options, out).map_err(refuse)?;
    let Some(best) = ranking.ranked.first() else {
        return Err(refuse(Error::NoPlanInTime));
    };
    let exit = Exit::of(best.unserved, best.late);
    let drawn = Page::of_ranking(&ranking, wanted.top.unwrap_or(ROWS)).with_kits(&ranking);
    let shown = if args.json || args.csv {
        data(args, ranking)
    } else {
        page(args, &bag, &candidates, &ranking)
            .map_err(refuse)
            .and_then(|page| out.page(&page).map_err(Ended::from))
    };
    let pictures = pictures::write(&mut files, || Ok(drawn), out, args.json || args.csv);
    out.parts(exit, [shown, pictures])
}

/// The ranking, with how far it is on standard error where that takes long.
fn ranked(
    bag: &Bag,
    candidates: &[Candidate],
    options: &RankOptions,
    out: &Output,
) -> Result<Ranking, Error> {
    let bar = progress_bar(out);
    let ranking = rank_with(bag, candidates, options, |progress| {
        // Short runs are over before anybody looks.
        if bar.elapsed() > PATIENCE {
            bar.set_length(progress.kits.try_into().unwrap_or(u64::MAX));
            bar.set_position(progress.settled.try_into().unwrap_or(u64::MAX));
        }
    });
    bar.finish_and_clear();
    ranking
}

/// The document, or the rows of a spreadsheet.
fn data(args: &Args, mut ranking: Ranking) -> Result<(), Ended> {
    ranking.ranked.truncate(args.wanted.most());
    let text = if args.csv {
        ranking.to_csv()
    } else {
        ranking.to_json()
    };
    output::data(&text).map_err(Ended::from)
}

/// What people read: the table, then the plans that were asked for.
fn page(
    args: &Args,
    bag: &Bag,
    candidates: &[Candidate],
    ranking: &Ranking,
) -> Result<Page, Error> {
    let top = args.wanted.most();
    let mut page = Page::of_ranking(ranking, top);
    for (at, kit) in ranking.ranked.iter().take(top).enumerate() {
        if let Some(plan) = &kit.plan {
            let members = kit.members.iter().map(|&member| &candidates[member]);
            let setup = bag.with_kit(&members.collect::<Vec<_>>())?;
            // What is assumed is the same of each, and stands once at the end.
            let plan = Plan {
                assumed: Vec::new(),
                ..Plan::clone(plan)
            };
            page = page.with_plan_of(at + 1, kit, Page::of_plan(&setup, &plan));
        }
    }
    Ok(page.assuming(&bag.assumed()))
}

/// The bag and every candidate, or the faults of all of them.
fn read(texts: &[Text]) -> Result<(Bag, Vec<Candidate>), Error> {
    let mut faults: Vec<Fault> = Vec::new();
    let mut candidates = Vec::new();
    let mut note = |error: Error| match error {
        Error::Input(found) => {
            faults.extend(found);
            Ok(())
        }
        other => Err(other),
    };
    let bag = match input::bag(texts) {
        Ok(bag) => Some(bag),
        Err(error) => {
            note(error)?;
            None
        }
    };
    for text in texts.iter().skip(1) {
        match Candidate::from_source(text.source()) {
            Ok(read) => candidates.extend(read),
            Err(error) => note(error)?,
        }
    }
    match bag {
        Some(bag) if faults.is_empty() => Ok((bag, candidates)),
        _ => Err(Error::Input(faults)),
    }
}

/// Rows of a picture's table where nobody says how many.
const ROWS: usize = 20;

/// What may pass before a run counts as long.
const PATIENCE: Duration = Duration::from_millis(500);

/// On standard error, and only where that is a terminal and somebody wants to see it.
fn progress_bar(out: &Output) -> ProgressBar {
    let target = if out.is_quiet() {
        ProgressDrawTarget::hidden()
    } else {
        ProgressDrawTarget::stderr()
    };
    let bar = ProgressBar::with_draw_target(Some(0), target);
    let style = ProgressStyle::with_template("{pos} of {len} kits {wide_bar} {eta} left");
    bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}
