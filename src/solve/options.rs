//! How long a call may go on, and what of an answer is wanted.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use super::budget::Budget;
use super::levels::Level;
use super::progress::OnProgress;
use crate::diagnostics::{Error, Result};

/// How long the search may go on.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct SolveOptions {
    /// The deterministic budget of the whole call, in steps of the search: one evaluation
    /// of the bound on a setup of usual size (a larger one costs more, in proportion to
    /// its work), or one node of the integer program. A call that makes several plans
    /// shares it out among them.
    pub budget: u64,
    /// A limit by the clock, of the whole call; none by default.
    pub time_limit: Option<Duration>,
    /// Set from outside to stop the search early.
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
