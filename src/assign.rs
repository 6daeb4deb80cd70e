//! The best plan of a setup, proven.

mod answer;
mod model;
pub(crate) mod options;
mod prove;
pub(crate) mod reasons;
mod rota;
#[cfg(test)]
mod tests;

use crate::assign::options::Columns;
use crate::diagnostics::{Error, Fault, Result};
use crate::plan::Plan;
use crate::plan::rota::Rota;
use crate::plan::schedule::Schedule;
use crate::setup::Setup;
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::levels::{Levels, Outcome};
use crate::solve::model::Model;
use crate::solve::options::{SolveOptions, Wanted};
use crate::solve::search::Search;
use crate::timeline::reshared_within;
use crate::units::rounded;
use crate::verify::{Verification, verify_berths, verify_rota_berths};
pub use prove::{prove, prove_with};

/// The best plan of a setup, with the default [`SolveOptions`].
///
/// # Errors
/// [`Error::Input`] where the devices together have more than 1 000 000 ways to sit, or to
/// be plugged in;
/// [`Error::Internal`] where an answer did not survive its check.
pub fn assign(setup: &Setup) -> Result<Plan> {
    assign_with(setup, &SolveOptions::default())
}

/// The best plan of a setup, within limits.
///
/// # Errors
/// As [`assign`]; [`Error::Options`] where an option is outside its range. A limit that
/// strikes early is no error: the plan is then whatever was found, at worst an empty one.
pub fn assign_with(setup: &Setup, options: &SolveOptions) -> Result<Plan> {
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
    let columns = Columns::of(setup, budget)?;
    planned(setup, &columns, wanted, budget)
}

/// The best rota of a setup with sessions, proven, with the default [`SolveOptions`].
///
/// # Errors
/// As [`rota_with`].
pub fn rota(setup: &Setup) -> Result<Rota> {
    rota_with(setup, &SolveOptions::default())
}

/// The best rota of a setup with sessions, within limits.
///
/// # Errors
/// [`Error::Input`] where the setup has no sessions, or the devices together have more than
/// 1 000 000 ways to sit; [`Error::Options`] where an option is outside its range;
/// [`Error::Internal`] where an answer did not survive its check. A limit that strikes
/// early is no error: the rota is then whatever was found, at worst an empty one.
pub fn rota_with(setup: &Setup, options: &SolveOptions) -> Result<Rota> {
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

/// The best plan of a setup whose columns are known, with its schedule.
pub(crate) fn planned(
    setup: &Setup,
    columns: &Columns,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<(Plan, Schedule)> {
    let model = Model::of(setup, columns);
    let outcome = if columns.are_complete() {
        let search = Search::new(&model, &ENGINE, budget.clone());
        let mut levels = Levels::new(search).until(wanted.until);
        let outcome = levels.solve();
        *budget = levels.search.budget;
        outcome
    } else {
        Outcome::unknown(&model)
    };
    let (mut plan, schedule) = answer::plan(setup, columns, &model, &outcome);
    if wanted.reshared {
        plan.reshared_h = Some(rounded(reshared_within(setup, &schedule, budget).last_h));
    }
    let checked = verify_berths(setup, &plan);
    sound(&checked, (plan, schedule))
}
