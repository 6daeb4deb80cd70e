//! What would help most: each single change of a setup, solved again.
//!
//! The changes are those of [`Change`]; nothing is estimated, every number comes from
//! [`assign`](crate::assign()), or [`rota`](crate::rota()) for a swap at half time, on
//! the changed document. A change helps where the plan then stands better in levels 1 and 2
//! of the plan's order (without a berth, late), or where the first of the sorted times that
//! can be had another one by more than the tolerance is shorter; fewer watts alone, or another
//! of several equal plans, are no help. One that does not help is not listed.

pub(super) mod all;
pub(super) mod apply;
mod least;

use crate::json::document;
use serde::{Deserialize, Serialize};

use crate::assign::options::Choices;
use crate::assign::{planned, reached_better, rota_reached_within};
use crate::diagnostics::{Error, Result};
use crate::plan::Plan;
use crate::plan::cautions::sessions_unused;
use crate::plan::objective::Reached;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::setup::Setup;
use crate::setup::document::SetupDocument;
use crate::solve::budget::{Budget, Least};
use crate::solve::levels::Cutoff;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::{from_millionths, millionths};

/// One change of a setup. [`Change::applied`] makes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(tag = "change", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Change {
    /// A pool gets another limit.
    Pool {
        /// The charger.
        charger: String,
        /// The pool.
        name: String,
        /// Its limit now, in watts.
        from_w: f64,
        /// The other limit, in watts; absent: none at all. In an answer the least that
        /// gives all that no limit gives: 1e-6 W less gives less. It is absent there
        /// only where no limit within the accepted range gives it, or where the search
        /// was stopped before one was found.
        #[serde(skip_serializing_if = "Option::is_none")]
        to_w: Option<f64>,
    },
    /// A port supplies what `like` does: its offers, its PD power, its cap. In an answer
    /// `like` is the port with the highest cap among those of the same connector on its
    /// charger. Pools and combinations stay as they are.
    Port {
        /// The charger.
        charger: String,
        /// The port.
        name: String,
        /// The port that it becomes like.
        like: String,
        /// Its cap now, in watts.
        from_w: f64,
        /// The cap of `like`, in watts.
        to_w: f64,
    },
    /// A charger gets one more port like `like`, in its pools too, and in combinations
    /// wherever that one stands, with the same watts. In an answer `like` is the port
    /// with the highest cap.
    PortAdded {
        /// The charger.
        charger: String,
        /// The new port's name.
        name: String,
        /// The port that it is like.
        like: String,
        /// Its cap, in watts.
        to_w: f64,
    },
    /// One more cable in the bag: USB-C to USB-C, e-marked, 5 A, 50 V (240 W).
    CableAdded {
        /// The new cable's name.
        name: String,
        /// Its length, in metres: in an answer as far as the farthest device with a
        /// USB-C inlet.
        length_m: f64,
    },
    /// A device loses a pin, or both where it has two.
    Pin {
        /// The device, with its number where there are several of it.
        name: String,
        /// The port it is no longer pinned to, as the setup writes it.
        #[serde(skip_serializing_if = "Option::is_none")]
        port: Option<String>,
        /// The cable it is no longer pinned to.
        #[serde(skip_serializing_if = "Option::is_none")]
        cable: Option<String>,
    },
    /// Somebody swaps plugs once, at half time: a rota of two sessions of equal length,
    /// everything at hand in both. In an answer they last `session_h` together; where the
    /// setup has none, as long as the longest time without the swap.
    Swap {
        /// When, in hours from the start.
        at_h: f64,
    },
    /// A charger has no table of combinations any more; its pools stay.
    Combinations {
        /// The charger.
        name: String,
    },
    /// A device stays away; of `wish` alone.
    DeviceLess {
        /// The device, with its number where there are several of it.
        name: String,
    },
    /// Devices get another priority; of `wish` alone.
    Priority {
        /// The devices, with their numbers where there are several of one.
        names: Vec<String>,
        /// The priority that they get.
        to: u8,
    },
    /// Charging begins earlier, and every deadline keeps its time of day, as does a swap;
    /// of `wish` alone.
    Start {
        /// The time of day at which it begins now.
        from: String,
        /// The other time of day. In an answer the latest one that will do, in steps of 5
        /// minutes.
        to: String,
        /// How much earlier that is, in hours.
        earlier_h: f64,
    },
}

impl Change {
    /// Whether it costs nothing.
    pub(crate) fn is_free(&self) -> bool {
        self.cost() == Cost::Nothing
    }

    /// What is to be bought for it.
    pub(crate) fn cost(&self) -> Cost {
        match self {
            Self::Swap { .. }
            | Self::Pin { .. }
            | Self::DeviceLess { .. }
            | Self::Priority { .. }
            | Self::Start { .. } => Cost::Nothing,
            Self::CableAdded { .. } => Cost::Cable,
            Self::Pool { .. }
            | Self::Port { .. }
            | Self::PortAdded { .. }
            | Self::Combinations { .. } => Cost::Charger,
        }
    }
}

/// What is to be bought for a change, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Cost {
    Nothing,
    Cable,
    Charger,
}

/// The changes that help, the best first. Serialises to the document of `improve`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Improvements {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// What the best plan reaches as it is.
    pub now: Reached,
    /// What is no gain in a time, in hours: the setup's tolerance.
    pub tolerance_h: f64,
    /// Those that cost nothing first; sorted by the plan's order after the change, then a
    /// cable before another charger, each as listed in the setup.
    pub changes: Vec<Improvement>,
    /// Changes of which it is not known whether they help: a limit of the call stopped
    /// the search before that.
    pub undecided: usize,
    /// Which changes these are, in the order in which they were tried.
    pub undecided_changes: Vec<Change>,
    /// What to keep in mind, each once: that the setup has sessions, of which this is one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

document!(
    Improvements,
    "document that `improve` gives",
    improve_schema
);

/// A change that helps, and what is reached with it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Improvement {
    /// The change.
    #[serde(flatten)]
    pub change: Change,
    /// What the best plan then reaches. Where its `status` is `feasible` it may be more,
    /// and of a pool less watts may do.
    #[serde(flatten)]
    pub reached: Reached,
}

/// Each single change that helps, with the default [`SolveOptions`].
///
/// # Errors
/// As [`assign`](crate::assign()).
///
/// ```
/// use wattberth::{Cable, Change, Charger, Device, Port, SetupDocument, assign, improve};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 45.0));
/// let setup = SetupDocument::new()
///     .charger(cube.max_w(60.0))
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("laptop", 56.0).pd_w(65.0))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
///     .check()?;
/// let found = improve(&setup)?;
/// let best = &found.changes[0];
/// assert!(matches!(&best.change, Change::Pool { to_w: Some(75.0), .. }));
///
/// let changed = best.change.applied(setup.document()).expect("it has that pool").check()?;
/// assert_eq!(assign(&changed)?.longest_h, best.reached.value.longest_h);
/// assert!(best.reached.value.longest_h < found.now.value.longest_h);
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn improve(setup: &Setup) -> Result<Improvements> {
    improve_with(setup, &SolveOptions::default())
}

/// Each single change that helps, within limits for all of it: the plan as it is has at most a
/// quarter, and the changes share what is left ([`SolveOptions`]).
///
/// # Errors
/// As [`assign_with`](crate::assign_with).
pub fn improve_with(setup: &Setup, options: &SolveOptions) -> Result<Improvements> {
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    let (first, took) = budget.measured(|budget| {
        budget.share_first(|part| -> Result<_> {
            let (choices, listing) = part.measured(|part| Choices::of(setup, part));
            let choices = choices?;
            Ok((planned(setup, &choices, wanted, part)?, listing))
        })
    });
    let (planned, listing) = first?;
    let now = Reached::by(setup, &planned.plan, planned.least);
    let again = Again {
        setup,
        document: setup.document(),
        plan: &planned.plan,
        wanted,
        tolerance: millionths(setup.tolerance_h),
    };
    let mut least = Least::listing(listing);
    if let Some(to_times) = planned.to_times {
        // Whether a change helps is known once its times are, which takes about as long.
        least = least.answering(took.first(listing.steps + to_times));
    }
    let (mut changes, mut undecided_changes) = (Vec::new(), Vec::new());
    let night_h = setup.document().session_h.unwrap_or(now.value.longest_h);
    let every = all::changes(setup, night_h);
    for (done, change) in every.iter().enumerate() {
        let to_come = every.len() - done;
        let verdict = budget.share_among(to_come, &least, |part| {
            again.helps(change.clone(), &now, part)
        });
        match verdict.transpose()? {
            Some(Verdict::Helps(improvement)) => changes.push(*improvement),
            Some(Verdict::HelpsNot) => {}
            Some(Verdict::Undecided) | None => undecided_changes.push(change.clone()),
        }
    }
    changes.sort_by(|a, b| {
        let (one, other) = (&a.reached.value, &b.reached.value);
        let costs = |one: &Improvement| !one.change.is_free();
        costs(a)
            .cmp(&costs(b))
            .then_with(|| one.compare_whole(other))
    });
    Ok(Improvements {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        now,
        tolerance_h: from_millionths(again.tolerance),
        changes,
        undecided: undecided_changes.len(),
        undecided_changes,
        cautions: sessions_unused(setup).into_iter().collect(),
    })
}

/// What came of one change.
enum Verdict {
    Helps(Box<Improvement>),
    HelpsNot,
    Undecided,
}

/// Solves changed documents again.
struct Again<'a> {
    setup: &'a Setup,
    document: &'a SetupDocument,
    /// The plan without a change.
    plan: &'a Plan,
    wanted: Wanted,
    /// What is no gain, in whole 1e-6 h.
    tolerance: i64,
}

impl Again<'_> {
    fn helps(&self, change: Change, now: &Reached, budget: &mut Budget) -> Result<Verdict> {
        let cutoff = now.cutoff(self.tolerance);
        let answer = match self.changed(&change)? {
            Some(setup) => self.solve(&setup, &change, cutoff, budget)?,
            None => Answer::Unknown,
        };
        let reached = match answer {
            Answer::Reached(reached) => *reached,
            Answer::NoGain => return Ok(Verdict::HelpsNot),
            Answer::Unknown => return Ok(Verdict::Undecided),
        };
        if !reached.gains_on(now, self.tolerance) {
            let known = reached.knows_times() && now.knows_times();
            return Ok(if known {
                Verdict::HelpsNot
            } else {
                Verdict::Undecided
            });
        }
        let (change, reached) = match &change {
            Change::Pool { .. } => least::least_limit(self, change, reached, budget)?,
            _ => (change, reached),
        };
        Ok(Verdict::Helps(Box::new(Improvement { change, reached })))
    }

    /// The setup with a change; `None` where that is larger than what is accepted, so that it has
    /// no plan.
    fn changed(&self, change: &Change) -> Result<Option<Setup>> {
        let Some(document) = change.applied(self.document) else {
            return Ok(None);
        };
        accepted(document.check())
    }

    /// What the best plan of a changed setup reaches, where it may gain on the cutoff.
    fn solve(
        &self,
        setup: &Setup,
        change: &Change,
        cutoff: Cutoff,
        budget: &mut Budget,
    ) -> Result<Answer> {
        let answer = match change {
            Change::Swap { .. } => {
                rota_reached_within(setup, self.wanted, budget).map(|(_, reached)| Some(reached))
            }
            _ => reached_better(setup, self.plan, self.wanted, cutoff, budget),
        };
        Ok(match accepted(answer)? {
            Some(Some(reached)) => Answer::Reached(Box::new(reached)),
            Some(None) => Answer::NoGain,
            None => Answer::Unknown,
        })
    }
}

/// An answer about a changed setup, which may be larger than what is accepted.
fn accepted<T>(answer: Result<T>) -> Result<Option<T>> {
    match answer {
        Ok(answer) => Ok(Some(answer)),
        Err(Error::Input(_)) => Ok(None),
        Err(other) => Err(other),
    }
}

/// What is known of a changed setup.
enum Answer {
    Reached(Box<Reached>),
    /// No plan of it gains on what is to be bettered.
    NoGain,
    /// It has no plan.
    Unknown,
}
