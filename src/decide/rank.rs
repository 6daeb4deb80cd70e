//! Which charger to buy or pack: a bag against candidates, singly and several at once.

mod alone;
mod bound;
#[cfg(feature = "cli")]
mod csv;
mod job;
mod kits;
mod members;
mod on_plan;
mod order;
mod standing;
mod threads;
mod unbeaten;

use crate::json::document;
use serde::{Deserialize, Serialize};

use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Result};
use crate::plan::origin::Program;
use crate::plan::{Plan, Status};
use crate::setup::candidate::Candidate;
use crate::solve::options::{SolveOptions, setters};
use job::Job;
pub use on_plan::{KitPlan, OnKitPlan};
use order::Named;
pub use order::{RankBy, TimesOf};

/// How [`rank`] goes about its candidates.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct RankOptions {
    /// The limits of the whole ranking, [`RankOptions::DEFAULT_BUDGET`] by default. The kits
    /// draw on the budget one after the other, the most promising first; those that it does
    /// not last for are not planned.
    pub search: SolveOptions,
    /// The most candidates in one kit: 2 forms the pairs, too. No candidate is in a kit
    /// twice; who could buy two of one lists it twice.
    pub up_to: usize,
    /// The number of threads; `None` for as many as the machine has cores. Without the
    /// feature `parallel` it is always one.
    pub threads: Option<usize>,
    /// What the kits are sorted by; the longest time by default.
    pub by: RankBy,
    /// How many kits of the order are wanted, all of them where `None`, as by default. With a
    /// number the ranking has those first and all that nothing beats, and no others; with 0
    /// only what nothing beats.
    pub top: Option<usize>,
    /// Whether kits that are surely not wanted may be left unplanned, where something is known
    /// that they cannot better; by default they may. As far as plans are proven, the ranking
    /// has the same kits either way, and without it takes longer.
    pub bound: bool,
    /// Whose times are told of each kit; nobody's by default.
    pub times: Vec<TimesOf>,
    /// How many of the first kits have their plan, which is one of [`Bag::with_kit`]; none by
    /// default, [`RankOptions::MOST_PLANS`] at most.
    pub plans: usize,
    /// Who is handed each plan as it is made; nobody by default.
    pub on_plan: Option<OnKitPlan>,
}

setters!(RankOptions:
    set search: SolveOptions,
    set up_to: usize,
    some threads: usize,
    set by: RankBy,
    some top: usize,
    set bound: bool,
    set times: Vec<TimesOf>,
    set plans: usize,
    some on_plan: OnKitPlan,
);

impl RankOptions {
    /// The budget where none is given: a ranking is many plans.
    pub const DEFAULT_BUDGET: u64 = 20 * SolveOptions::DEFAULT_BUDGET;

    /// The most plans that a ranking has.
    pub const MOST_PLANS: usize = 1_000;

    /// Whether every option lies in its range.
    fn check(&self) -> Result<()> {
        self.search.check()?;
        let message = if self.up_to == 0 {
            "a kit holds at least 1 candidate".to_owned()
        } else if self.plans > Self::MOST_PLANS {
            let most = Self::MOST_PLANS;
            format!("at most {most} kits have their plan, not {}", self.plans)
        } else {
            return Ok(());
        };
        Err(Error::Options { message })
    }
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
            by: RankBy::default(),
            top: None,
            bound: true,
            times: Vec::new(),
            plans: 0,
            on_plan: None,
        }
    }
}

/// The kits, the best first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Ranking {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the bag's document, the setup's without chargers, defaults as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// The kits that are wanted, by (unserved by priority, late, what is asked for, longest
    /// time, weight, price), then as listed; what is unknown stands last.
    pub ranked: Vec<Ranked>,
    /// The number of kits in all.
    pub kits: usize,
    /// Kits that were planned.
    pub planned: usize,
    /// Kits that did not need to be: a planned one is at least as good in everything and better
    /// in something, whatever their plan is, and they are not among the first.
    pub ruled_out: usize,
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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct LeftOutKit {
    /// The names of its candidates.
    pub candidate: Vec<String>,
    /// Why not.
    pub reason: String,
}

/// One kit: a candidate, or several used together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Ranked {
    /// The candidates of the kit, by name.
    pub candidate: Vec<String>,
    /// The same as indices into the candidates that were given, from 0.
    pub members: Vec<usize>,
    /// Devices that need a berth and have none.
    pub unserved: usize,
    /// The same by priority: of 1, of 2, of 3.
    pub unserved_by_priority: [usize; 3],
    /// Devices that are full later than they must be: as promised, or at best, by the bag's aim.
    pub late: usize,
    /// The longest time to full by the bag's aim, in hours; infinite, in a document null, where
    /// it is never.
    #[serde(deserialize_with = "crate::json::hours::or_never")]
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::hours_or_never")
    )]
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
    /// When each device is full of those whose times were asked for, in the setup's order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub times: Vec<DeviceTime>,
    /// Its plan, where that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<Box<Plan>>,
}

/// When a device is full.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct DeviceTime {
    /// Its name.
    pub device: String,
    /// The time by the bag's aim, in hours; infinite, in a document null, where it is never,
    /// and absent where it has no berth.
    #[serde(
        default,
        skip_serializing_if = "Option::is_none",
        deserialize_with = "crate::json::hours::there_or_never"
    )]
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::hours_or_never")
    )]
    pub hours: Option<f64>,
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
/// Up to 1 000 000 kits are accepted. The most promising come first, by what no kit betters:
/// each device alone on its best port. `progress` is told how many kits are settled, from any
/// of the threads.
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
/// makes a setup (more than 64 chargers or 256 ports, a pin to a port that a kit lacks), or
/// with the names that [`RankOptions::by`] and [`RankOptions::times`] have of no device;
/// [`Error::Internal`] as [`assign`](crate::assign()).
pub fn rank_with(
    bag: &Bag,
    candidates: &[Candidate],
    options: &RankOptions,
    progress: impl Fn(RankProgress) + Sync,
) -> Result<Ranking> {
    options.check()?;
    let threads = crate::decide::threads::number(options.threads)?;
    let members = members::checked(candidates)?;
    let mut named = Named::of(bag);
    let order = named.order(&options.by);
    let times_of = named.times(&options.times);
    if !named.faults.is_empty() {
        return Err(Error::Input(named.faults));
    }
    let kits = kits::kits(members.len(), options.up_to)?;
    let (budget, wanted) = options.search.begin();
    let job = Job {
        bag,
        members: &members,
        kits: &kits,
        wanted,
        order,
        times_of: &times_of,
        top: options.top,
        bound: options.bound,
        plans: options.plans,
        progress: &progress,
        threads,
        on_plan: options.on_plan.as_ref(),
        told: job::Told::default(),
    };
    let mut standing = job.settle_all(budget)?;
    let (planned, ruled_out) = (standing.planned, standing.ruled_out);
    let left_out = standing.left_out.count;
    let (left_out_kits, faults) = std::mem::take(&mut standing.left_out).into_first();
    if planned == 0 && !faults.is_empty() {
        return Err(Error::Input(faults));
    }
    Ok(Ranking {
        version: 1,
        program: Program::this(),
        setup_sha256: bag.digest(),
        ranked: standing.into_ranked(options.plans),
        kits: kits.len(),
        planned,
        ruled_out,
        not_planned: kits.len() - planned - ruled_out - left_out,
        left_out,
        left_out_kits,
        cautions: bag.sessions_unused().into_iter().collect(),
    })
}

/// How far a ranking is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct RankProgress {
    /// Kits planned.
    pub planned: usize,
    /// Kits planned, or known not to need it.
    pub settled: usize,
    /// Kits in all.
    pub kits: usize,
}
