//! How long a call may go on, and what of an answer is wanted.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use super::budget::Budget;
use super::levels::Level;
use super::progress::OnProgress;
use crate::diagnostics::{Error, Result};

/// Gives options a method for each field, which hands on the options with it: `set` one takes
/// what the field holds, `some` one what is in its `Option`.
macro_rules! setters {
    ($options:ident: $($kind:ident $field:ident: $type:ty),+ $(,)?) => {
        impl $options {
            $(
                #[doc = concat!("With [`", stringify!($field), "`](#structfield.", stringify!($field), ").")]
                #[must_use]
                pub fn $field(mut self, $field: $type) -> Self {
                    self.$field = $crate::solve::options::setters!(@$kind $field);
                    self
                }
            )+
        }
    };
    (@set $value:ident) => { $value };
    (@some $value:ident) => { Some($value) };
}
pub(crate) use setters;

/// How long a call may go on, whatever it asks.
///
/// All that is worked out in one call draws on the same steps, the same time, and hears the same
/// flag. Where it makes several plans or asks several questions, they share by one rule, of the
/// steps as of the time:
///
/// - the plan as it is, which all others are held against, has at most a quarter;
/// - of the questions that are still to come, each has an equal part of what is left; where that
///   is too little to get anywhere, the first of them have more, and the rest is not begun;
/// - what a part leaves goes to those after it.
///
/// What was not looked at, or is not known, is part of the answer. Only
/// [`batch`](crate::batch()) has as much for each line. With steps alone the same call has the
/// same answer everywhere, whatever the threads; the clock is read only where there is a limit
/// by it. The step in work is ended, so a call may take a little longer than it should.
///
/// ```
/// use std::time::Duration;
/// use wattberth::{Level, SolveOptions};
///
/// let options = SolveOptions::default().time_limit(Duration::from_secs(1)).until(Level::Times);
/// assert_eq!(options.budget, SolveOptions::DEFAULT_BUDGET);
/// ```
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct SolveOptions {
    /// The deterministic budget of the whole call, in steps of the search: one evaluation
    /// of the bound on a setup of usual size (a larger one costs more, in proportion to
    /// its work), or one node of the integer program. Where it runs out, a thirty-second part
    /// of it and at most 2 000 steps more go into [`Plan::bounds`](crate::Plan::bounds).
    pub budget: u64,
    /// A limit by the clock, of the whole call; none by default.
    pub time_limit: Option<Duration>,
    /// Set from outside to end the call early, with what it has by then.
    pub interrupt: Option<Arc<AtomicBool>>,
    /// Who is told now and then how far the search is; nobody by default.
    pub progress: Option<OnProgress>,
    /// The last level of the plan's order that is wanted; all by default. With
    /// less than all, a plan is [`Status::Feasible`](crate::Status), and its
    /// [`Plan::settled`](crate::Plan::settled) says whether this level was reached.
    pub until: Level,
    /// Whether [`Plan::reshared_h`](crate::Plan::reshared_h) or [`Rota::reshared_h`](crate::Rota::reshared_h) is worked out too; not by
    /// default.
    pub reshared: bool,
    /// Whether [`Plan::because`](crate::Plan::because) or
    /// [`Rota::because`](crate::Rota::because) is worked out too, within as many steps as
    /// the plan took, and some; not by default.
    pub because: bool,
}

setters!(SolveOptions:
    set budget: u64,
    some time_limit: Duration,
    some interrupt: Arc<AtomicBool>,
    some progress: OnProgress,
    set until: Level,
    set reshared: bool,
    set because: bool,
);

impl SolveOptions {
    /// The budget where none is given.
    pub const DEFAULT_BUDGET: u64 = 2_000_000;

    /// Whether every option lies in its range.
    pub(crate) fn check(&self) -> Result<()> {
        if self.budget == 0 {
            return Err(Error::Options {
                message: "the budget must be at least 1 step".to_owned(),
            });
        }
        Ok(())
    }

    /// What one call may use, and what it is to work out with that.
    pub(crate) fn begin(&self) -> (Budget, Wanted) {
        let budget = Budget::new(self.budget, self.time_limit, self.interrupt.clone())
            .telling(self.progress.clone());
        let wanted = Wanted {
            until: self.until,
            reshared: self.reshared,
            because: self.because,
        };
        (budget, wanted)
    }
}

/// What of a plan or rota is worked out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted {
    /// As [`SolveOptions::until`].
    pub(crate) until: Level,
    /// As [`SolveOptions::reshared`].
    pub(crate) reshared: bool,
    /// As [`SolveOptions::because`].
    pub(crate) because: bool,
}

impl Default for SolveOptions {
    fn default() -> Self {
        Self {
            budget: Self::DEFAULT_BUDGET,
            time_limit: None,
            interrupt: None,
            progress: None,
            until: Level::Everything,
            reshared: false,
            because: false,
        }
    }
}
