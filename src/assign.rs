//! The best plan of a setup, proven.

mod answer;
mod model;
pub(crate) mod options;
mod prove;
pub(crate) mod reasons;
mod rota;
#[cfg(test)]
mod tests;

use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use crate::assign::options::Choices;
use crate::diagnostics::{Error, Fault, Result};
use crate::plan::Plan;
use crate::plan::rota::Rota;
use crate::plan::schedule::Schedule;
use crate::setup::Setup;
use crate::solve::levels::Until;
use crate::timeline::reshared_within;
use crate::units::rounded;
use crate::verify::{Verification, verify_berths, verify_rota_berths};

use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::levels::{Levels, Outcome};
use crate::solve::model::Model;
use crate::solve::search::Search;
pub use prove::{prove, prove_with};

/// How long the search may go on.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct Options {
    /// The deterministic budget of the whole call, in steps of the search: one evaluation
    /// of the bound on a setup of usual size (a larger one costs more, in proportion to
    /// its work), or one node of the integer program. A call that makes several plans
    /// shares it out among them.
    pub budget: u64,
    /// A limit by the clock, of the whole call; none by default.
    pub time_limit: Option<Duration>,
    /// Set from outside to stop the search early.
    pub interrupt: Option<Arc<AtomicBool>>,
    /// The last level of the plan's order that is wanted; all by default. With
    /// less than all, a plan is [`Status::Feasible`](crate::Status), and its
    /// [`Plan::settled`] says whether this level was reached.
    pub until: Until,
    /// Whether [`Plan::reshared_h`] or [`Rota::reshared_h`] is worked out too; not by
    /// default.
    pub reshared: bool,
}

impl Options {
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
        let budget = Budget::new(self.budget, self.time_limit, self.interrupt.clone());
        let wanted = Wanted {
            until: self.until,
            reshared: self.reshared,
        };
        (budget, wanted)
    }
}

/// What of a plan or rota is worked out.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted {
    /// As [`Options::until`].
    pub(crate) until: Until,
    /// As [`Options::reshared`].
    pub(crate) reshared: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            budget: Self::DEFAULT_BUDGET,
            time_limit: None,
            interrupt: None,
            until: Until::Everything,
            reshared: false,
        }
    }
}

/// The best plan of a setup, with the default [`Options`].
///
/// # Errors
/// [`Error::Input`] where the devices together have more than 1 000 000 ways to sit, or to
/// be plugged in;
/// [`Error::Internal`] where an answer did not survive its check.
pub fn assign(setup: &Setup) -> Result<Plan> {
    assign_with(setup, &Options::default())
}

/// The best plan of a setup, within limits.
///
/// # Errors
/// As [`assign`]; [`Error::Options`] where an option is outside its range. A limit that
/// strikes early is no error: the plan is then whatever was found, at worst an empty one.
pub fn assign_with(setup: &Setup, options: &Options) -> Result<Plan> {
    options.check()?;
    let (mut budget, wanted) = options.begin();
    assign_within(setup, wanted, &mut budget)
}

/// As [`assign_with`], one plan of a call that may make several.
pub(crate) fn assign_within(setup: &Setup, wanted: Wanted, budget: &mut Budget) -> Result<Plan> {
    Ok(scheduled_within(setup, wanted, budget)?.0)
}

/// As [`assign_within`], with the schedule that the plan is the document of.
pub(crate) fn scheduled_within(
    setup: &Setup,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<(Plan, Schedule)> {
    let choices = Choices::of(setup, budget)?;
    planned(setup, &choices, wanted, budget)
}

/// The best rota of a setup with sessions, proven, with the default [`Options`].
///
/// # Errors
/// As [`rota_with`].
pub fn rota(setup: &Setup) -> Result<Rota> {
    rota_with(setup, &Options::default())
}

/// The best rota of a setup with sessions, within limits.
///
/// # Errors
/// [`Error::Input`] where the setup has no sessions, or the devices together have more than
/// 1 000 000 ways to sit; [`Error::Options`] where an option is outside its range;
/// [`Error::Internal`] where an answer did not survive its check. A limit that strikes
/// early is no error: the rota is then whatever was found, at worst an empty one.
pub fn rota_with(setup: &Setup, options: &Options) -> Result<Rota> {
    options.check()?;
    let (mut budget, wanted) = options.begin();
    rota_within(setup, wanted, &mut budget)
}

/// As [`rota_with`], one rota of a call that may make several.
pub(crate) fn rota_within(setup: &Setup, wanted: Wanted, budget: &mut Budget) -> Result<Rota> {
    if setup.sessions.is_empty() {
        return Err(Error::Input(vec![Fault {
            path: "sessions".to_owned(),
            message: "a rota needs sessions: `\"sessions\": [{\"name\": \"evening\", \
                      \"hours\": 3.5}, …]`"
                .to_owned(),
            ..Fault::default()
        }]));
    }
    let (mut rota, schedule) = rota::best(setup, wanted.until, budget)?;
    if wanted.reshared && rota.fills_all() {
        rota.reshared_h = Some(rounded(reshared_within(setup, &schedule, budget).last_h));
    }
    sound(&verify_rota_berths(setup, &rota), rota)
}

/// An answer that survived its check.
fn sound<T>(checked: &Verification, answer: T) -> Result<T> {
    match checked.violations.first() {
        None => Ok(answer),
        Some(first) => Err(Error::Internal {
            message: first.to_string(),
        }),
    }
}

/// The best plan of a setup whose choices are known, with its schedule.
pub(crate) fn planned(
    setup: &Setup,
    choices: &Choices,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<(Plan, Schedule)> {
    let model = Model::of(setup, choices);
    let outcome = if choices.are_complete() {
        let search = Search::new(&model, &ENGINE, budget.clone());
        let mut levels = Levels::new(search).until(wanted.until);
        let outcome = levels.solve();
        *budget = levels.search.budget;
        outcome
    } else {
        Outcome::unknown(&model)
    };
    let (mut plan, schedule) = answer::plan(setup, choices, &model, &outcome);
    if wanted.reshared {
        plan.reshared_h = Some(rounded(reshared_within(setup, &schedule, budget).last_h));
    }
    let checked = verify_berths(setup, &plan);
    sound(&checked, (plan, schedule))
}
