//! The best plan of a setup, proven.

mod alike;
mod answer;
pub(crate) mod counts;
mod model;
pub(crate) mod near;
pub(crate) mod options;
pub(crate) mod possible;
mod prove;
pub(crate) mod reasons;
mod rota;
#[cfg(test)]
mod tests;
pub(crate) mod why;

use crate::assign::model::{Berth, Part};
use crate::assign::near::Near;
use crate::assign::options::Choices;
use crate::diagnostics::{Error, Fault, Result};
use crate::plan::Level;
use crate::plan::Plan;
use crate::plan::objective::Reached;
use crate::plan::rota::Rota;
use crate::plan::schedule::Schedule;
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::goal::Limits;
use crate::solve::levels::{Levels, Outcome};
use crate::solve::model::Model;
use crate::solve::options::{SolveOptions, Wanted};
use crate::solve::search::Search;
use crate::timeline::reshared_within;
use crate::units::{millionths, rounded};
use crate::verify::{Verification, verify_berths, verify_rota_berths};
pub use alike::Alike;
pub use prove::{prove, prove_with};
pub use why::{why, why_with};

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
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    Ok(assign_within(setup, wanted, &mut budget)?.signed(setup))
}

/// The best plan of a setup that moves the fewest devices of the `plan` at hand, with the default
/// [`SolveOptions`]: for somebody who comes late, or a charger that changed.
///
/// # Errors
/// As [`assign_near_with`].
///
/// ```
/// use wattberth::{Cable, Charger, Device, Port, SetupDocument, assign, assign_near};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 30.0)).port(Port::pd("C2", 30.0));
/// let evening = SetupDocument::new()
///     .charger(cube)
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0));
/// let at_hand = assign(&evening.clone().check()?)?;
///
/// let late = evening.device(Device::new("phone", 15.0).pd_w(20.0)).check()?;
/// let plan = assign_near(&late, &at_hand)?;
/// assert_eq!((plan.moves, plan.unserved), (Some(vec![]), 0));
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn assign_near(setup: &Setup, plan: &Plan) -> Result<Plan> {
    assign_near_with(setup, plan, &SolveOptions::default())
}

/// As [`assign_near`], within limits: after the sorted times, and before the hours at best, comes
/// how many devices of `plan` have another port or another cable. Ports that are alike count as
/// one, and so do cables; a device that has no berth any more has moved, one that had none
/// has not. Who moves is in [`Plan::moves`].
///
/// # Errors
/// As [`assign_with`]; [`Error::Input`] too where `plan` has none of the devices of `setup`, or a
/// device or a port twice.
pub fn assign_near_with(setup: &Setup, plan: &Plan, options: &SolveOptions) -> Result<Plan> {
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    let choices = Choices::near(setup, plan, &mut budget)?;
    Ok(planned(setup, &choices, wanted, &mut budget)?
        .plan
        .signed(setup))
}

/// As [`assign_with`], one plan of a call that may make several.
pub(crate) fn assign_within(setup: &Setup, wanted: Wanted, budget: &mut Budget) -> Result<Plan> {
    Ok(scheduled_within(setup, wanted, budget)?.plan)
}

/// As [`assign_within`], with what the plan reached.
pub(crate) fn reached_within(
    setup: &Setup,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<(Plan, Reached)> {
    let Planned { plan, least, .. } = scheduled_within(setup, wanted, budget)?;
    let reached = Reached::by(setup, &plan, least);
    Ok((plan, reached))
}

/// As [`assign_within`], with the schedule that the plan is the document of.
pub(crate) fn scheduled_within(
    setup: &Setup,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<Planned> {
    let choices = Choices::of(setup, budget)?;
    planned(setup, &choices, wanted, budget)
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
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    Ok(rota_within(setup, wanted, &mut budget)?.signed(setup))
}

/// As [`rota_with`], one rota of a call that may make several.
pub(crate) fn rota_within(setup: &Setup, wanted: Wanted, budget: &mut Budget) -> Result<Rota> {
    Ok(rota_reached_within(setup, wanted, budget)?.0)
}

/// As [`rota_within`], with what the rota reached.
pub(crate) fn rota_reached_within(
    setup: &Setup,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<(Rota, Reached)> {
    if setup.sessions.is_empty() {
        return Err(Error::Input(vec![Fault {
            path: "sessions".to_owned(),
            message: "a rota needs sessions: `\"sessions\": [{\"name\": \"evening\", \
                      \"hours\": 3.5}, …]`"
                .to_owned(),
            ..Fault::default()
        }]));
    }
    let before = budget.spent();
    let (mut rota, schedule, least) = rota::best(setup, wanted.until, budget)?;
    if wanted.reshared && rota.fills_all() {
        rota.reshared_h = Some(rounded(reshared_within(setup, &schedule, budget).last_h));
    }
    if wanted.because {
        rota.because = why::of_rota(setup, &rota, &mut for_reasons(budget, before))?;
    }
    let reached = Reached::by_rota(setup, &rota, least);
    sound(&verify_rota_berths(setup, &rota), (rota, reached))
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

/// What the search came to, in the model that the assignment is of.
struct Solved {
    model: Model,
    outcome: Outcome,
    limits: Limits,
}

/// With more promises than this to tell apart, the levels after the times are left open: the
/// limits of memory are stated.
const MOST_PROMISES: usize = 1_000_000;

/// Solves the levels of the order up to `until`. Those that depend on what is promised are
/// solved with few columns, the rest with those that are left then.
fn solved(
    setup: &Setup,
    sessions: &Sessions,
    choices: &Choices,
    until: Level,
    budget: &mut Budget,
) -> Solved {
    let model = Model::of(setup, sessions, choices, Part::Promises);
    let near = choices.near.as_ref();
    let begun = near.and_then(|near| near.begun(&model));
    let cannot_begin = begun.is_none() && near.is_some_and(Near::is_limited);
    if !choices.are_complete() || cannot_begin {
        return Solved {
            outcome: Outcome::unknown(&model),
            limits: Limits::none(),
            model,
        };
    }
    let at_once = setup.aim == Aim::Best;
    let first = if at_once {
        until
    } else {
        until.min(Level::Times)
    };
    let search = Search::new(&model, &ENGINE, budget.clone());
    let mut levels = Levels::new(search)
        .within(millionths(setup.tolerance_h))
        .until(first);
    if let Some((most, at_hand)) = begun {
        levels = levels.moving(most, at_hand);
    }
    let outcome = levels.solve();
    let limits = levels.limits().clone();
    budget.go_on_after(levels.search.budget);
    let solved = Solved {
        model,
        outcome,
        limits,
    };
    if at_once {
        return solved;
    }
    let goes_on = solved.outcome.settled == Some(Level::Times)
        && until > Level::Times
        && choices.promises() <= MOST_PROMISES;
    let rest = |part: Part<'_>| Model::of(setup, sessions, choices, part);
    let rest = if goes_on {
        let within = rest(Part::Within(&solved.limits));
        solved.with(within, &solved.limits, (goes_on, until), budget)
    } else {
        // The plan has the times that were found, and nobody holds less than is there for all.
        let kept = Limits::kept_by(&solved.model, &solved.outcome.assignment);
        let seated = rest(Part::Seated(&kept, &solved.berths()));
        solved.with(seated, &kept, (goes_on, until), budget)
    };
    rest.unwrap_or(solved)
}

impl Solved {
    /// By device of the model, where it sits.
    fn berths(&self) -> Vec<Option<Berth>> {
        let berth = |&column: &Option<u32>| {
            let column = self.model.column(column?);
            Some((column.port, column.cable, column.first))
        };
        self.outcome.assignment.iter().map(berth).collect()
    }

    /// What comes of the levels from the hours on, settled or only bettered, in a model of the
    /// same choices, where that has the assignment.
    fn with(
        &self,
        rest: Model,
        limits: &Limits,
        (settled, until): (bool, Level),
        budget: &mut Budget,
    ) -> Option<Self> {
        let assignment = rest.as_here(&self.model, &self.outcome.assignment)?;
        let search = Search::new(&rest, &ENGINE, budget.clone());
        let mut levels =
            Levels::after_times(search, limits, &self.outcome, assignment).until(until);
        let outcome = if settled {
            levels.solve_rest()
        } else {
            levels.improve_rest()
        };
        let limits = levels.limits().clone();
        budget.go_on_after(levels.search.budget);
        Some(Self {
            model: rest,
            outcome,
            limits,
        })
    }
}

/// What a plan's reasons may take at least.
const LEAST_FOR_REASONS: u64 = 20_000;

/// What the reasons of a plan may take for which `budget` began at `before`: as much as the
/// plan took, beside what is left for others.
fn for_reasons(budget: &Budget, before: u64) -> Budget {
    budget.with_steps(LEAST_FOR_REASONS.max(budget.spent() - before))
}

/// A plan, with what else is known of it.
pub(crate) struct Planned {
    pub(crate) plan: Plan,
    /// What the plan is the document of.
    pub(crate) schedule: Schedule,
    /// By class, the least time of each place in the list, in whole 1e-6 h.
    pub(crate) least: [Vec<i64>; 2],
}

/// The best plan of a setup whose choices are known.
pub(crate) fn planned(
    setup: &Setup,
    choices: &Choices,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<Planned> {
    let before = budget.spent();
    let Solved { model, outcome, .. } =
        solved(setup, &Sessions::one(), choices, wanted.until, budget);
    let (mut plan, schedule) = answer::plan(setup, choices, &model, &outcome);
    if wanted.reshared {
        plan.reshared_h = Some(rounded(reshared_within(setup, &schedule, budget).last_h));
    }
    if wanted.because {
        plan.because = why::of_plan(setup, choices, &plan, &mut for_reasons(budget, before))?;
    }
    let checked = verify_berths(setup, &plan);
    let planned = Planned {
        plan,
        schedule,
        least: outcome.least,
    };
    sound(&checked, planned)
}
