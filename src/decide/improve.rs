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
use schemars::JsonSchema;
use serde::Serialize;

use crate::assign::options::Choices;
use crate::assign::{Planned, planned, reached_within, rota_reached_within};
use crate::diagnostics::{Error, Result};
use crate::plan::Status;
use crate::plan::cautions::sessions_unused;
use crate::plan::objective::Reached;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::setup::Setup;
use crate::setup::document::SetupDocument;
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::millionths;

/// One change of a setup. [`Change::applied`] makes it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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
    /// What is no gain in a time, in whole 1e-6 h.
    #[serde(skip)]
    #[schemars(skip)]
    pub(crate) tolerance: i64,
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
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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

/// Each single change that helps, within limits: the budget is that of each plan that is
/// made, the time limit and the flag are for all of them together.
///
/// # Errors
/// As [`assign_with`](crate::assign_with).
pub fn improve_with(setup: &Setup, options: &SolveOptions) -> Result<Improvements> {
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    let again = Again {
        setup,
        document: setup.document(),
        wanted,
        tolerance: millionths(setup.tolerance_h),
    };
    let (now, listed) = budget.share(PARTS_TO_THE_PLAN, |part| -> Result<_> {
        let choices = Choices::of(setup, part)?;
        let listed = part.spent();
        let Planned { plan, least, .. } = planned(setup, &choices, wanted, part)?;
        Ok((Reached::by(setup, &plan, least), listed))
    })?;
    let (mut changes, mut undecided_changes) = (Vec::new(), Vec::new());
    let night_h = setup.document().session_h.unwrap_or(now.value.longest_h);
    let every = all::changes(setup, night_h);
    for (done, change) in every.iter().enumerate() {
        // Few changes looked at tell more than all of them hardly begun.
        let worth = budget.left() / (LEAST_WORTH * listed + 1);
        let worth = usize::try_from(worth).unwrap_or(usize::MAX).max(1);
        let parts = worth.min(every.len() - done);
        if budget.left() < listed {
            undecided_changes.push(change.clone());
            continue;
        }
        match budget.share(parts, |part| again.helps(change.clone(), &now, part))? {
            Verdict::Helps(improvement) => changes.push(*improvement),
            Verdict::HelpsNot => {}
            Verdict::Undecided => undecided_changes.push(change.clone()),
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
        tolerance: again.tolerance,
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        now,
        changes,
        undecided: undecided_changes.len(),
        undecided_changes,
        cautions: sessions_unused(setup).into_iter().collect(),
    })
}

/// What a change gets at least, in what it costs to list the ways to sit.
const LEAST_WORTH: u64 = 4;

/// The plan without a change gets one of so many parts of what the call may use; the
/// changes share the rest.
const PARTS_TO_THE_PLAN: usize = 4;

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
    wanted: Wanted,
    /// What is no gain, in whole 1e-6 h.
    tolerance: i64,
}

impl Again<'_> {
    fn helps(&self, change: Change, now: &Reached, budget: &mut Budget) -> Result<Verdict> {
        if budget.is_spent() {
            return Ok(Verdict::Undecided);
        }
        let Some(answer) = self.solve(&change, budget)? else {
            return Ok(Verdict::Undecided);
        };
        if !answer.gains_on(now, self.tolerance) {
            let known = [answer.status, now.status] == [Status::Optimal; 2];
            return Ok(if known {
                Verdict::HelpsNot
            } else {
                Verdict::Undecided
            });
        }
        let (change, reached) = match &change {
            Change::Pool { .. } => least::least_limit(self, change, answer, budget)?,
            _ => (change, answer),
        };
        Ok(Verdict::Helps(Box::new(Improvement { change, reached })))
    }

    /// What the best plan of the changed document reaches; `None` where that is larger than what is
    /// accepted, so that it has none.
    fn solve(&self, change: &Change, budget: &mut Budget) -> Result<Option<Reached>> {
        let Some(document) = change.applied(self.document) else {
            return Ok(None);
        };
        let setup = match document.check() {
            Ok(setup) => setup,
            Err(Error::Input(_)) => return Ok(None),
            Err(other) => return Err(other),
        };
        let answer = match change {
            Change::Swap { .. } => {
                rota_reached_within(&setup, self.wanted, budget).map(|(_, reached)| reached)
            }
            _ => reached_within(&setup, self.wanted, budget).map(|(_, reached)| reached),
        };
        match answer {
            Ok(answer) => Ok(Some(answer)),
            Err(Error::Input(_)) => Ok(None),
            Err(other) => Err(other),
        }
    }
}
