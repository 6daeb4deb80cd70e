//! Which charger to buy or pack: a bag against candidates, singly and several at once.

#[cfg(feature = "cli")]
mod csv;
mod kits;
mod unbeaten;

use std::sync::atomic::{AtomicUsize, Ordering};

use crate::json::document;
use schemars::JsonSchema;
use serde::Serialize;

use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Fault, Result};
use crate::limits::{FAULTS, PRICE};
use crate::plan::objective::ObjectiveValue;
use crate::plan::origin::Program;
use crate::plan::{Plan, Status};
use crate::setup::candidate::Candidate;
use crate::setup::document::Charger;
use crate::setup::{ChargerSpec, Setup, check_chargers};
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::millionths;
use unbeaten::{Merits, unbeaten};

/// How [`rank`] goes about its candidates.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct RankOptions {
    /// The limits of the whole ranking, [`RankOptions::DEFAULT_BUDGET`] by default. The kits
    /// draw on the budget as listed; those that it does not last for are not planned.
    pub search: SolveOptions,
    /// The most candidates in one kit: 2 forms the pairs, too. No candidate is in a kit
    /// twice; who could buy two of one lists it twice.
    pub up_to: usize,
    /// The number of threads; `None` for as many as the machine has cores. Without the
    /// feature `parallel` it is always one.
    pub threads: Option<usize>,
}

impl RankOptions {
    /// The budget where none is given: a ranking is many plans.
    pub const DEFAULT_BUDGET: u64 = 4 * SolveOptions::DEFAULT_BUDGET;
}

impl Default for RankOptions {
    fn default() -> Self {
        Self {
            search: SolveOptions {
                budget: Self::DEFAULT_BUDGET,
                ..SolveOptions::default()
            },
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
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the bag's document, the setup's without chargers, defaults as they were
    /// read, white space aside.
    pub setup_sha256: String,
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
    /// Kits that make no setup with this bag: a pinned port that they lack, too many ports.
    pub left_out: usize,
    /// The first 1 000 of these, each with its reason.
    pub left_out_kits: Vec<LeftOutKit>,
}

document!(Ranking, "document that `rank` gives", rank_schema);

/// A kit that cannot be ranked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
#[non_exhaustive]
pub struct LeftOutKit {
    /// The names of its candidates.
    pub candidate: Vec<String>,
    /// Why not.
    pub reason: String,
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
    /// Devices that are full later than they must be: as promised, or at best, by the bag's aim.
    pub late: usize,
    /// The longest time to full by the bag's aim, in hours; infinite, in a document null, where
    /// it is never.
    #[schemars(schema_with = "crate::json::hours_or_never")]
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

/// Plans a bag with every candidate, one at a time, with the default [`RankOptions`].
///
/// # Errors
/// As [`rank_with`].
pub fn rank(bag: &Bag, candidates: &[Candidate]) -> Result<Ranking> {
    rank_with(bag, candidates, &RankOptions::default(), |_| ())
}

/// Plans a bag with every candidate, and with every kit of up to so many of them.
///
/// Each kit's numbers are those of [`assign`](crate::assign()) on the bag with the kit's
/// chargers. Chargers of one kit that share a name are told apart by a number after it.
/// Up to 1 000 000 kits are accepted. `progress` is told how many kits are planned, from
/// any of the threads.
///
/// ```
/// use wattberth::{Bag, Candidate, RankOptions, rank_with};
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
/// let ranking = rank_with(&bag, &candidates, &options, |_| ())?;
/// assert_eq!(ranking.ranked[0].candidate, ["cube 30", "cube 65"]);
/// assert_eq!(ranking.ranked[0].unserved, 0);
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Options`] where an option is outside its range, there are too many kits, or
/// so many threads cannot be started; [`Error::Input`] with the faults of candidates that
/// were built without [`Candidate::from_source`], or those of the kits where none of them
/// makes a setup (more than 64 chargers or 256 ports, a pin to a port that a kit lacks);
/// [`Error::Internal`] as [`assign`](crate::assign()).
pub fn rank_with(
    bag: &Bag,
    candidates: &[Candidate],
    options: &RankOptions,
    progress: impl Fn(RankProgress) + Sync,
) -> Result<Ranking> {
    options.search.check()?;
    let threads = crate::decide::threads::number(options.threads)?;
    if options.up_to == 0 {
        return Err(Error::Options {
            message: "a kit holds at least 1 candidate".to_owned(),
        });
    }
    let candidates = checked(candidates)?;
    let kits = kits::kits(candidates.len(), options.up_to)?;
    let (budget, wanted) = options.search.begin();
    let job = Job {
        bag,
        candidates: &candidates,
        wanted,
        planned: AtomicUsize::new(0),
        kits: kits.len(),
        progress: &progress,
    };
    let Planned { mut rows, left_out } = job.plan_all(&kits, budget, threads)?;
    if rows.is_empty() && !left_out.faults.is_empty() {
        return Err(Error::Input(left_out.faults));
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
        program: Program::this(),
        setup_sha256: bag.digest(),
        ranked,
        kits: kits.len(),
        not_planned: kits.len() - planned - left_out.count,
        left_out: left_out.count,
        left_out_kits: left_out.kits,
        cautions: bag.sessions_unused().into_iter().collect(),
    })
}

/// How far a ranking is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct RankProgress {
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
        let mut findings = crate::diagnostics::Findings::new();
        let specs = check_chargers(&candidate.chargers, &mut findings);
        let at = crate::diagnostics::Path::default();
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

/// The kits that were planned, and those that make no setup.
#[derive(Default)]
struct Planned {
    rows: Vec<(Merits, Ranked)>,
    left_out: LeftOut,
}

#[derive(Default)]
struct LeftOut {
    count: usize,
    /// The first of them.
    kits: Vec<LeftOutKit>,
    /// What is wrong with these.
    faults: Vec<Fault>,
}

impl LeftOut {
    /// Notes a kit with the first of its faults.
    fn note(&mut self, candidate: Vec<String>, mut faults: Vec<Fault>) {
        self.count += 1;
        if self.kits.len() == FAULTS || faults.is_empty() {
            return;
        }
        let mut fault = faults.swap_remove(0);
        let reason = fault.message.clone();
        let names: Vec<String> = candidate
            .iter()
            .map(|title| format!("\"{}\"", crate::diagnostics::shown(title)))
            .collect();
        fault.message = format!("with {}: {reason}", names.join(" and "));
        self.faults.push(fault);
        self.kits.push(LeftOutKit { candidate, reason });
    }
}

/// What all plans of a ranking have in common.
struct Job<'a> {
    bag: &'a Bag,
    candidates: &'a [Checked<'a>],
    wanted: Wanted,
    planned: AtomicUsize,
    kits: usize,
    progress: &'a (dyn Fn(RankProgress) + Sync),
}

/// Kits planned side by side, whatever the number of threads: what they have spent is
/// known when all of them are done. Few at first, then as many as are worth it.
const FIRST_AT_A_TIME: usize = 16;
const MOST_AT_A_TIME: usize = 512;

/// What is done for every kit beside the search: its setup, its ways, the check.
const STEPS_FOR_A_KIT: u64 = 64;

/// Steps that a kit may take, where others have taken few.
const MOST_FOR_ONE: u64 = 20_000;

impl Job<'_> {
    /// Plans one kit after the other, as far as the budget goes.
    fn plan_all(&self, kits: &[Vec<usize>], mut budget: Budget, threads: usize) -> Result<Planned> {
        let threads = Threads::new(threads)?;
        let mut all = Planned::default();
        let parts = |kits: usize| u64::try_from(kits).unwrap_or(u64::MAX);
        let (mut done, mut at_a_time) = (0, FIRST_AT_A_TIME);
        while done < kits.len() && (done == 0 || !budget.is_spent()) {
            let together = &kits[done..kits.len().min(done + at_a_time)];
            let fair = budget.left() / parts(kits.len() - done);
            let most = budget
                .left()
                .div_ceil(parts(together.len()))
                .min(MOST_FOR_ONE);
            let own = budget.with_steps(fair.max(most));
            let outcomes = threads.map(together, |kit| {
                let mut own = own.clone();
                let planned = self.plan(kit, &mut own);
                (planned, own.spent())
            });
            for (kit, (outcome, spent)) in together.iter().zip(outcomes) {
                budget.spend(spent);
                match outcome {
                    Ok(Some(row)) => all.rows.push(row),
                    Ok(None) => {}
                    Err(Error::Input(faults)) => all.left_out.note(self.titles(kit), faults),
                    Err(other) => return Err(other),
                }
            }
            done += together.len();
            // A quarter of what is left, at the price of those before.
            let each = budget.spent() / parts(done) + 1;
            let next = usize::try_from(budget.left() / 4 / each).unwrap_or(MOST_AT_A_TIME);
            at_a_time = next.clamp(FIRST_AT_A_TIME, MOST_AT_A_TIME);
        }
        Ok(all)
    }

    /// The plan of a kit; none where the clock or the flag has ended the call before.
    fn plan(&self, kit: &[usize], budget: &mut Budget) -> Result<Option<(Merits, Ranked)>> {
        if budget.is_stopped() {
            return Ok(None);
        }
        let (chargers, specs) = self.chargers(kit);
        let setup = self.bag.with(chargers, specs)?;
        budget.spend(STEPS_FOR_A_KIT);
        let plan = self.bag.assign(&setup, self.wanted, budget)?;
        let row = self.row(kit, &setup, &plan);
        let planned = self.planned.fetch_add(1, Ordering::Relaxed) + 1;
        (self.progress)(RankProgress {
            planned,
            kits: self.kits,
        });
        Ok(Some(row))
    }

    fn titles(&self, kit: &[usize]) -> Vec<String> {
        let members = kit.iter().map(|&index| &self.candidates[index]);
        members.map(|member| member.title.clone()).collect()
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
        let value = ObjectiveValue::of(setup, plan);
        let unserved = value.unserved_by_priority;
        let longest_h = value.longest_h;
        let known = |value: Option<f64>| value.map_or(i64::MAX, millionths);
        let merits = Merits {
            unserved,
            late: value.late,
            longest: millionths(longest_h),
            weight: known(weight_g),
            price: known(price),
        };
        let row = Ranked {
            candidate: self.titles(kit),
            unserved: plan.unserved,
            unserved_by_priority: unserved,
            late: value.late,
            longest_h,
            reshared_h: plan.reshared_h,
            weight_g,
            price,
            unbeaten: false,
            status: plan.status,
        };
        (merits, row)
    }
}

/// The threads of a ranking, started once.
struct Threads {
    #[cfg(feature = "parallel")]
    pool: rayon::ThreadPool,
}

impl Threads {
    #[cfg(feature = "parallel")]
    fn new(number: usize) -> Result<Self> {
        let pool = crate::decide::threads::pool(number)?;
        Ok(Self { pool })
    }

    #[cfg(not(feature = "parallel"))]
    #[expect(clippy::unnecessary_wraps, reason = "with threads it may fail")]
    fn new(_number: usize) -> Result<Self> {
        Ok(Self {})
    }

    /// What `plan` gives for each kit, in their order.
    #[cfg(feature = "parallel")]
    fn map<T: Send>(&self, kits: &[Vec<usize>], plan: impl Fn(&[usize]) -> T + Sync) -> Vec<T> {
        use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

        self.pool
            .install(|| kits.par_iter().map(|kit| plan(kit)).collect())
    }

    #[cfg(not(feature = "parallel"))]
    #[expect(clippy::unused_self, reason = "there are no threads to ask")]
    fn map<T>(&self, kits: &[Vec<usize>], plan: impl Fn(&[usize]) -> T) -> Vec<T> {
        kits.iter().map(|kit| plan(kit)).collect()
    }
}
