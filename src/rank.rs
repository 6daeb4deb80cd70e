//! Which charger to buy or pack: a bag against candidates, singly and several at once.

mod kits;
mod unbeaten;

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use schemars::JsonSchema;
use serde::Serialize;

use crate::assign::Options;
use crate::bag::Bag;
use crate::candidate::Candidate;
use crate::document::Charger;
use crate::error::{Error, Fault, Result};
use crate::limits::{FAULTS, PRICE};
use crate::plan::{Plan, Status};
use crate::setup::{ChargerSpec, Setup, check_chargers};
use crate::standing::{Allowance, Standing};
use crate::units::millionths;
use unbeaten::{Merits, unbeaten};

/// How [`rank`] goes about its candidates.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct RankOptions {
    /// The limits of the search. The budget is each kit's own; time limit and flag are
    /// for the whole ranking.
    pub search: Options,
    /// The most candidates in one kit: 2 forms the pairs, too. No candidate is in a kit
    /// twice; who could buy two of one lists it twice.
    pub up_to: usize,
    /// The number of threads; `None` for as many as the machine has cores. Without the
    /// feature `parallel` it is always one.
    pub threads: Option<usize>,
}

impl Default for RankOptions {
    fn default() -> Self {
        Self {
            search: Options::default(),
            up_to: 1,
            threads: None,
        }
    }
}

/// The kits, the best first.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Ranking {
    /// Version of the document's form.
    pub version: u32,
    /// Every kit that was planned, by (unserved by priority, late, longest time, weight,
    /// price), then as listed; what is unknown stands last.
    pub ranked: Vec<Ranked>,
    /// The number of kits in all.
    pub kits: usize,
    /// Kits that were not planned at all: a limit of the call struck before.
    pub not_planned: usize,
    /// What to keep in mind, each once: that the setup has sessions, of which this is one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

/// One kit: a candidate, or several used together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct Ranked {
    /// The candidates of the kit, by name.
    pub candidate: Vec<String>,
    /// Devices that need a berth and have none.
    pub unserved: usize,
    /// The same by priority: of 1, of 2, of 3.
    pub unserved_by_priority: [usize; 3],
    /// Devices that are full later than they must be.
    pub late: usize,
    /// The longest time to full, in hours.
    pub longest_h: f64,
    /// The same if the chargers renegotiate as devices need less, in hours; absent where
    /// nobody asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reshared_h: Option<f64>,
    /// Grams, where every charger's weight is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight_g: Option<f64>,
    /// The price, where every candidate's is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub price: Option<f64>,
    /// Whether no other kit is at least as good in all of (unserved by priority, late,
    /// longest time, weight, price) and better in one. Unknown weights and prices are
    /// taken for the worst, equal to one another.
    pub unbeaten: bool,
    /// Whether the kit's plan is proven best; where it is not, its numbers are only the
    /// best that were found.
    pub status: Status,
}

/// Plans a bag with every candidate, and with every kit of up to so many of them.
///
/// Each kit's numbers are those of [`assign`](crate::assign()) on the bag with the kit's
/// chargers. Chargers of one kit that share a name are told apart by a number after it.
/// Up to 1 000 000 kits are accepted. `progress` is told how many kits are planned, from
/// any of the threads.
///
/// ```
/// use wattberth::{Bag, Candidate, RankOptions, rank};
///
/// let bag = Bag::from_json(
///     r#"{"cables": [{"name": "braided", "count": 2}],
///         "devices": [{"name": "laptop", "pd_w": 65, "battery_wh": 56},
///                     {"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#,
/// )?;
/// let candidates = ["30", "65"].map(|pd_w| {
///     let text = format!(
///         r#"{{"name": "cube {pd_w}", "ports": [{{"name": "C1", "pd_w": {pd_w}}}]}}"#
///     );
///     Candidate::from_source(wattberth::Source { file: "", text: &text })
/// });
/// let candidates = candidates.into_iter().collect::<Result<Vec<_>, _>>()?.concat();
/// let mut options = RankOptions::default();
/// options.up_to = 2;
/// let ranking = rank(&bag, &candidates, &options, |_| ())?;
/// assert_eq!(ranking.ranked[0].candidate, ["cube 30", "cube 65"]);
/// assert_eq!(ranking.ranked[0].unserved, 0);
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Options`] where an option is outside its range, there are too many kits, or
/// so many threads cannot be started; [`Error::Input`] with the faults of candidates that
/// were built without [`Candidate::from_source`], and of kits that make no setup (more
/// than 64 chargers or 256 ports, a pin to a port that a kit lacks), by path;
/// [`Error::Internal`] as [`assign`](crate::assign()).
pub fn rank(
    bag: &Bag,
    candidates: &[Candidate],
    options: &RankOptions,
    progress: impl Fn(Progress) + Sync,
) -> Result<Ranking> {
    options.search.check()?;
    let threads = crate::threads::number(options.threads)?;
    if options.up_to == 0 {
        return Err(Error::Options {
            message: "a kit holds at least 1 candidate".to_owned(),
        });
    }
    let candidates = checked(candidates)?;
    let kits = kits::kits(candidates.len(), options.up_to)?;
    let job = Job {
        bag,
        candidates: &candidates,
        allowance: Allowance::of(&options.search),
        stopped: AtomicBool::new(false),
        planned: AtomicUsize::new(0),
        kits: kits.len(),
        progress: &progress,
    };
    let outcomes = on_threads(threads, &kits, |kit| job.plan(kit))?;
    let mut rows = Vec::with_capacity(kits.len());
    let mut faults = Vec::new();
    for (kit, outcome) in kits.iter().zip(outcomes) {
        match outcome {
            Ok(Some(row)) => rows.push(row),
            Ok(None) => {}
            Err(Error::Input(found)) => {
                let room = FAULTS.saturating_sub(faults.len());
                faults.extend(found.into_iter().take(room).map(|f| job.of_kit(kit, f)));
            }
            Err(other) => return Err(other),
        }
    }
    if !faults.is_empty() {
        return Err(Error::Input(faults));
    }
    let planned = rows.len();
    // Stable, so that equals stay as listed.
    rows.sort_by_key(|(merits, _)| *merits);
    let merits: Vec<Merits> = rows.iter().map(|(merits, _)| *merits).collect();
    let ranked = rows
        .into_iter()
        .zip(unbeaten(&merits))
        .map(|((_, row), unbeaten)| Ranked { unbeaten, ..row })
        .collect();
    Ok(Ranking {
        version: 1,
        ranked,
        kits: kits.len(),
        not_planned: kits.len() - planned,
        cautions: bag.sessions_unused().into_iter().collect(),
    })
}

/// How far a ranking is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Progress {
    /// Kits planned.
    pub planned: usize,
    /// Kits in all.
    pub kits: usize,
}

/// A candidate with its chargers resolved.
struct Checked<'a> {
    candidate: &'a Candidate,
    title: String,
    specs: Vec<ChargerSpec>,
}

fn checked(candidates: &[Candidate]) -> Result<Vec<Checked<'_>>> {
    let mut faults: Vec<Fault> = Vec::new();
    let mut checked = Vec::with_capacity(candidates.len());
    for (index, candidate) in candidates.iter().enumerate() {
        let mut findings = crate::input::Findings::new();
        let specs = check_chargers(&candidate.chargers, &mut findings);
        let at = crate::input::Path::default();
        if let Some(price) = candidate.price.filter(|price| !PRICE.holds(*price)) {
            findings.add(at.field("price"), PRICE.refusal(price));
        }
        faults.extend(findings.all.into_iter().map(|finding| Fault {
            path: format!("candidates[{index}].{}", finding.path),
            message: finding.message,
            suggestion: finding.suggestion,
            ..Fault::default()
        }));
        if faults.len() > FAULTS {
            break;
        }
        checked.push(Checked {
            candidate,
            title: candidate.title(),
            specs: specs.unwrap_or_default(),
        });
    }
    if candidates.is_empty() {
        return Err(Error::Options {
            message: "there is no candidate to rank".to_owned(),
        });
    }
    if faults.is_empty() {
        Ok(checked)
    } else {
        faults.truncate(FAULTS);
        Err(Error::Input(faults))
    }
}

/// What every kit's plan is made from.
struct Job<'a> {
    bag: &'a Bag,
    candidates: &'a [Checked<'a>],
    allowance: Allowance,
    /// Set by the first fault of our own: the other kits' plans would be thrown away.
    stopped: AtomicBool,
    planned: AtomicUsize,
    kits: usize,
    progress: &'a (dyn Fn(Progress) + Sync),
}

impl Job<'_> {
    /// A kit's row, its mark still to come; `None` where a limit struck before.
    fn plan(&self, kit: &[usize]) -> Result<Option<(Merits, Ranked)>> {
        if self.allowance.is_spent() || self.stopped.load(Ordering::Relaxed) {
            return Ok(None);
        }
        let search = self.allowance.options();
        let (chargers, specs) = self.chargers(kit);
        let setup = self.bag.with(chargers, specs)?;
        let plan = self.bag.assign(&setup, &search).inspect_err(|error| {
            if !matches!(error, Error::Input(_)) {
                self.stopped.store(true, Ordering::Relaxed);
            }
        })?;
        let row = self.row(kit, &setup, &plan);
        let planned = self.planned.fetch_add(1, Ordering::Relaxed) + 1;
        (self.progress)(Progress {
            planned,
            kits: self.kits,
        });
        Ok(Some(row))
    }

    /// The chargers of a kit, those that share a name numbered.
    fn chargers(&self, kit: &[usize]) -> (Vec<Charger>, Vec<ChargerSpec>) {
        let members = kit.iter().map(|&index| &self.candidates[index]);
        let mut chargers: Vec<Charger> = Vec::new();
        let mut specs: Vec<ChargerSpec> = Vec::new();
        for member in members {
            for (charger, spec) in member.candidate.chargers.iter().zip(&member.specs) {
                let (mut charger, mut spec) = (charger.clone(), spec.clone());
                let taken = |name: &str| chargers.iter().any(|other| other.name == name);
                let mut name = charger.name.clone();
                let mut number = 1;
                while taken(&name) {
                    number += 1;
                    name = format!("{} ({number})", charger.name);
                }
                charger.name.clone_from(&name);
                spec.name = name;
                chargers.push(charger);
                specs.push(spec);
            }
        }
        (chargers, specs)
    }

    fn row(&self, kit: &[usize], setup: &Setup, plan: &Plan) -> (Merits, Ranked) {
        let members = || kit.iter().map(|&index| &self.candidates[index]);
        let weight_g: Option<f64> = members().map(|member| member.candidate.weight_g()).sum();
        let price: Option<f64> = members().map(|member| member.candidate.price()).sum();
        let unserved = Standing::of(setup, plan).unserved_by_priority;
        let known = |value: Option<f64>| value.map_or(i64::MAX, millionths);
        let merits = Merits {
            unserved,
            late: plan.late,
            longest: millionths(plan.longest_h),
            weight: known(weight_g),
            price: known(price),
        };
        let row = Ranked {
            candidate: members().map(|member| member.title.clone()).collect(),
            unserved: plan.unserved,
            unserved_by_priority: unserved,
            late: plan.late,
            longest_h: plan.longest_h,
            reshared_h: plan.reshared_h,
            weight_g,
            price,
            unbeaten: false,
            status: plan.status,
        };
        (merits, row)
    }

    /// A fault of the setup that a kit makes.
    fn of_kit(&self, kit: &[usize], mut fault: Fault) -> Fault {
        let names: Vec<String> = kit
            .iter()
            .map(|&index| format!("\"{}\"", crate::input::shown(&self.candidates[index].title)))
            .collect();
        fault.message = format!("with {}: {}", names.join(" and "), fault.message);
        fault
    }
}

#[cfg(feature = "parallel")]
fn on_threads<T: Send>(
    threads: usize,
    kits: &[Vec<usize>],
    plan: impl Fn(&[usize]) -> T + Sync,
) -> Result<Vec<T>> {
    use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

    let pool = crate::threads::pool(threads)?;
    Ok(pool.install(|| kits.par_iter().map(|kit| plan(kit)).collect()))
}

#[cfg(not(feature = "parallel"))]
#[expect(clippy::unnecessary_wraps, reason = "with threads it may fail")]
fn on_threads<T>(
    _threads: usize,
    kits: &[Vec<usize>],
    plan: impl Fn(&[usize]) -> T,
) -> Result<Vec<T>> {
    Ok(kits.iter().map(|kit| plan(kit)).collect())
}
