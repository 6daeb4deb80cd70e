//! What is told of a search while it goes on.

use std::fmt;
use std::ops::ControlFlow;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::goal::{Goal, times};
use super::model::{Assignment, Model, NO_TIME};
use crate::units::{as_float, from_millionths};

/// After so many steps within a level it is told again how far the search is.
const STEPS_BETWEEN: u64 = 1_000;

/// What is known while a plan is looked for: the best plan so far, and what is proven of the
/// level that is being settled.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Progress {
    /// Steps of the budget spent, those of this plan alone where a call makes several.
    pub steps: u64,
    /// Nodes of the search tree looked at.
    pub nodes: u64,
    /// Devices without a berth in the best plan so far.
    pub unserved: usize,
    /// Watt-hours missing in them.
    pub missing_wh: f64,
    /// Devices that are late in it.
    pub late: usize,
    /// Its longest time, in hours, by the setup's aim; infinite where it is never.
    pub longest_h: f64,
    /// What is being settled. What comes before it in the plan's order is settled; after it
    /// nothing is proven yet.
    pub settling: Settling,
    /// What the best plan so far has of that, in its unit.
    pub value: f64,
    /// Proven: no plan that keeps what is settled has less of it.
    pub bound: f64,
}

/// A level of the plan's order while it is settled, with its unit in a [`Progress`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Settling {
    /// Devices without a berth: their number.
    Unserved,
    /// What is missing in them: watt-hours.
    Missing,
    /// Late devices of a priority: their number.
    Late {
        /// 1, 2 or 3.
        priority: usize,
    },
    /// The longest time of all: hours.
    Longest,
    /// One of the sorted times: hours. Place 0 is the longest.
    Time {
        /// Whether it is one of the list of priority 3, which comes after that of 1 and 2.
        spare: bool,
        /// The place in the list.
        place: usize,
    },
    /// Devices that move from where they were, where a plan is to stay near another: their
    /// number.
    Moves,
    /// The hours at best, weighted by priority.
    Hours,
    /// Swaps between sessions: the number of berths that start after the first session.
    AfterFirst,
    /// The power of all berths: watts; over sessions, watt-hours. The listed order, which
    /// comes last, is settled beside it.
    Watts,
}

/// Called now and then with how far a search is: when it has its first plan, when something is
/// settled or found, and after every thousand steps or so in between.
///
/// It is told the same things at the same steps whenever it is asked the same. What it does
/// changes no answer, unless it [ends the search](Self::deciding). Where a call makes several
/// plans at once, it is called from several threads.
///
/// ```
/// use std::sync::{Arc, Mutex};
/// use wattberth::{Cable, Charger, Device, OnProgress, Port, SetupDocument, SolveOptions, assign_with};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 20.0));
/// let setup = SetupDocument::new()
///     .charger(cube)
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0).count(2))
///     .check()?;
/// let told = Arc::new(Mutex::new(Vec::new()));
/// let mut options = SolveOptions::default();
/// options.progress = Some(OnProgress::new({
///     let told = Arc::clone(&told);
///     move |progress| told.lock().expect("no panic").push(progress.clone())
/// }));
/// let plan = assign_with(&setup, &options)?;
///
/// let told = told.lock().expect("no panic");
/// let last = told.last().expect("a search was needed");
/// assert_eq!(Some(last.longest_h), plan.promised_longest_h);
/// # Ok::<(), wattberth::Error>(())
/// ```
#[derive(Clone)]
pub struct OnProgress(Arc<Callback>);

type Callback = dyn Fn(&Progress) -> ControlFlow<()> + Send + Sync;

impl OnProgress {
    /// Calls `told`, which should be quick: the search waits for it.
    pub fn new(told: impl Fn(&Progress) + Send + Sync + 'static) -> Self {
        Self::deciding(move |progress| {
            told(progress);
            ControlFlow::Continue(())
        })
    }

    /// As [`OnProgress::new`]; where `told` breaks, the call ends with the best that it has, as
    /// by [`SolveOptions::interrupt`](crate::SolveOptions::interrupt).
    ///
    /// ```
    /// use std::ops::ControlFlow;
    /// use wattberth::{Cable, Charger, Device, OnProgress, Port, SetupDocument, SolveOptions, assign_with};
    ///
    /// let setup = SetupDocument::new()
    ///     .charger(Charger::new("cube").port(Port::pd("C1", 45.0)))
    ///     .cable(Cable::c_to_c("braided"))
    ///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
    ///     .check()?;
    /// let mut options = SolveOptions::default();
    /// // Any plan will do in which nobody is left out or late.
    /// options.progress = Some(OnProgress::deciding(|progress| {
    ///     if progress.unserved == 0 && progress.late == 0 {
    ///         return ControlFlow::Break(());
    ///     }
    ///     ControlFlow::Continue(())
    /// }));
    /// let plan = assign_with(&setup, &options)?;
    /// assert!(plan.serves_all());
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    pub fn deciding(told: impl Fn(&Progress) -> ControlFlow<()> + Send + Sync + 'static) -> Self {
        Self(Arc::new(told))
    }
}

impl fmt::Debug for OnProgress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("OnProgress")
    }
}

/// What somebody who is told knows so far.
#[derive(Debug, Clone)]
pub(crate) struct Told {
    to: OnProgress,
    latest: Progress,
    /// The steps spent when it was last told.
    at: u64,
    /// Whether the call is to end, whichever of its plans was told of.
    ended: Arc<AtomicBool>,
}

impl Told {
    pub(crate) fn new(to: OnProgress) -> Self {
        Self::of(to, Arc::default())
    }

    fn of(to: OnProgress, ended: Arc<AtomicBool>) -> Self {
        let latest = Progress {
            steps: 0,
            nodes: 0,
            unserved: 0,
            missing_wh: 0.0,
            late: 0,
            longest_h: 0.0,
            settling: Settling::Unserved,
            value: 0.0,
            bound: 0.0,
        };
        Self {
            to,
            latest,
            at: 0,
            ended,
        }
    }

    /// Told of another plan of the same call, of which nothing is known yet.
    pub(crate) fn anew(&self) -> Self {
        Self::of(self.to.clone(), Arc::clone(&self.ended))
    }

    /// Whether who is told wants the call to end.
    pub(crate) fn has_ended(&self) -> bool {
        self.ended.load(Ordering::Relaxed)
    }

    /// A node is looked at.
    pub(crate) fn node(&mut self, steps: u64) {
        self.latest.nodes += 1;
        if steps >= self.at + STEPS_BETWEEN {
            self.tell(steps);
        }
    }

    /// What is being settled, the best assignment so far, and, in whole numbers, what is
    /// proven.
    pub(crate) fn level(
        &mut self,
        model: &Model,
        assignment: &Assignment,
        (settling, bound): (Settling, i64),
        steps: u64,
    ) {
        self.latest.settling = settling;
        self.latest.bound = settling.in_its_unit(bound);
        self.found(model, assignment);
        self.tell(steps);
    }

    /// A better assignment.
    pub(crate) fn better(&mut self, model: &Model, assignment: &Assignment, steps: u64) {
        self.found(model, assignment);
        self.tell(steps);
    }

    fn found(&mut self, model: &Model, assignment: &Assignment) {
        let times = [0, 1].map(|of| times(model, assignment, of));
        let longest = times.iter().flatten().copied().max().unwrap_or(0);
        let late = [0, 1, 2].map(|rank| Goal::LateOf(rank).of(model, assignment));
        let [unserved, missing, moves, after_first, hours, watts] = [
            Goal::Unserved,
            Goal::Missing,
            Goal::Moves,
            Goal::AfterFirst,
            Goal::Hours,
            Goal::Watts,
        ]
        .map(|goal| goal.of(model, assignment));
        let unserved = Goal::count_unserved(unserved);
        let now = &mut self.latest;
        now.unserved = usize::try_from(unserved).unwrap_or(usize::MAX);
        now.missing_wh = from_millionths(missing);
        now.late = usize::try_from(late.iter().sum::<i64>()).unwrap_or(usize::MAX);
        now.longest_h = Settling::Longest.in_its_unit(longest);
        now.value = now.settling.in_its_unit(match now.settling {
            Settling::Unserved => unserved,
            Settling::Missing => missing,
            Settling::Late { priority } => late[priority - 1],
            Settling::Longest => longest,
            Settling::Time { spare, place } => {
                times[usize::from(spare)].get(place).copied().unwrap_or(0)
            }
            Settling::Moves => moves,
            Settling::Hours => hours,
            Settling::AfterFirst => after_first,
            Settling::Watts => watts,
        });
    }

    fn tell(&mut self, steps: u64) {
        if self.has_ended() {
            return;
        }
        self.at = steps;
        self.latest.steps = steps;
        if (self.to.0)(&self.latest).is_break() {
            self.ended.store(true, Ordering::Relaxed);
        }
    }
}

impl Settling {
    fn in_its_unit(self, whole: i64) -> f64 {
        match self {
            Self::Unserved | Self::Late { .. } | Self::Moves | Self::AfterFirst => as_float(whole),
            Self::Longest | Self::Time { .. } if whole >= NO_TIME => f64::INFINITY,
            Self::Missing | Self::Longest | Self::Time { .. } | Self::Hours | Self::Watts => {
                from_millionths(whole)
            }
        }
    }
}
