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
mod start;
#[cfg(test)]
mod tests;
pub(crate) mod why;

use std::cmp::Ordering;

use crate::assign::model::{Berth, Part};
use crate::assign::near::Near;
use crate::assign::options::{Choice, Choices};
use crate::assign::start::Start;
use crate::diagnostics::{Error, Fault, Result};
use crate::plan::objective::Reached;
use crate::plan::rota::Rota;
use crate::plan::schedule::Schedule;
use crate::plan::sessions::Sessions;
use crate::plan::{Level, Plan};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::goal::{Goal, HOURS_COUNT, Limits};
use crate::solve::levels::{Cutoff, Levels, Open, OpenLevel, Outcome};
use crate::solve::model::{Assignment, Model, small};
use crate::solve::options::{SolveOptions, Wanted};
use crate::solve::search::Search;
use crate::timeline::reshared_within;
use crate::units::{millionths, rounded};
use crate::verify::{Verification, verify_berths, verify_rota_berths};
pub use alike::Alike;
pub use prove::{prove, prove_rota_with, prove_whole_rota_with, prove_whole_with, prove_with};
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
    let mut choices = Choices::near(setup, plan, &mut budget)?;
    choices.start = Some(Start::of_plan(setup, plan, &choices)?);
    Ok(planned(setup, &choices, wanted, &mut budget)?
        .plan
        .signed(setup))
}

/// The best plan of a setup, the search for which begins with a `plan` that is known from
/// before, perhaps of a setup that was a little different; with the default [`SolveOptions`].
///
/// # Errors
/// As [`assign_from_with`].
///
/// ```
/// use std::ops::ControlFlow;
/// use wattberth::{
///     Cable, Charger, Device, OnProgress, Port, SetupDocument, SolveOptions, assign,
///     assign_from, assign_from_with,
/// };
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 30.0)).port(Port::pd("C2", 20.0));
/// let setup = SetupDocument::new()
///     .charger(cube)
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0).count(2))
///     .check()?;
/// let best = assign(&setup)?;
/// assert_eq!(assign_from(&setup, &best)?, best);
///
/// // However soon the search is stopped, the plan is no worse than that.
/// let mut options = SolveOptions::default();
/// options.progress = Some(OnProgress::deciding(|_| ControlFlow::Break(())));
/// let stopped = assign_from_with(&setup, &best, &options)?;
/// assert_eq!(stopped.promised_longest_h, best.promised_longest_h);
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn assign_from(setup: &Setup, plan: &Plan) -> Result<Plan> {
    assign_from_with(setup, plan, &SolveOptions::default())
}

/// As [`assign_from`], within limits: what of `plan` can be had still, is the best plan so far
/// from the first moment, unless a better one is at hand at once. A search that ends comes to
/// the same plan without it.
///
/// # Errors
/// As [`assign_with`]; [`Error::Input`] too where `plan` has none of the devices of `setup`, or a
/// device or a port twice.
pub fn assign_from_with(setup: &Setup, plan: &Plan, options: &SolveOptions) -> Result<Plan> {
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    let mut choices = Choices::of(setup, &mut budget)?;
    choices.start = Some(Start::of_plan(setup, plan, &choices)?);
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

/// As [`rota_with`], the search for which begins with a `rota` that is known from before, as
/// that of [`assign_from_with`] does.
///
/// # Errors
/// As [`rota_with`]; [`Error::Input`] too where `rota` has none of the devices of `setup`, or one
/// twice.
pub fn rota_from_with(setup: &Setup, rota: &Rota, options: &SolveOptions) -> Result<Rota> {
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    let made = rota_reached_from(setup, Some(rota), wanted, &mut budget)?;
    Ok(made.0.signed(setup))
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
    rota_reached_from(setup, None, wanted, budget)
}

fn rota_reached_from(
    setup: &Setup,
    start: Option<&Rota>,
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
    let (mut rota, schedule, least) = rota::best(setup, start, wanted.until, budget)?;
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
///
/// Ends early where no plan betters the cutoff, if there is one.
fn solved(
    setup: &Setup,
    sessions: &Sessions,
    choices: &Choices,
    (until, cutoff): (Level, Option<Cutoff>),
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
        .until(first)
        .bettering(cutoff);
    if let Some(start) = choices.start.as_ref().filter(|_| begun.is_none()) {
        levels = levels.beginning(Some(start.begun(&model)));
    }
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
    if at_once || solved.outcome.no_better.is_some() {
        return solved;
    }
    let goes_on = solved.outcome.settled == Some(Level::Times)
        && until > Level::Times
        && choices.promises() <= MOST_PROMISES
        && !budget.is_stopped();
    let rest = |part: Part<'_>| Model::of(setup, sessions, choices, part);
    let left_out = until > Level::Times && !goes_on;
    let mut solved = solved;
    if left_out {
        let rest = open_from_moves(choices, &solved);
        solved.outcome.open.extend(rest);
    }
    let start = choices.start.as_ref();
    let rest = if goes_on {
        let within = rest(Part::Within(&solved.limits));
        let start = start.map(|start| start.begun(&within));
        solved.with(within, &solved.limits, (goes_on, until), start, budget)
    } else {
        // The plan has the times that were found, and nobody holds less than is there for all.
        let kept = Limits::kept_by(&solved.model, &solved.outcome.assignment);
        let seated = rest(Part::Seated(&kept, &solved.berths()));
        solved.with(seated, &kept, (goes_on, until), None, budget)
    };
    rest.unwrap_or(solved)
}

impl Solved {
    /// What is open, where the assignment is bettered in what comes last.
    fn reread(&self, rest: &Model, assignment: &Assignment) -> Vec<Open> {
        let open = self.outcome.open.iter().map(|open| Open {
            value: open.level.of(rest, assignment),
            ..*open
        });
        open.filter(|open| open.bound < open.value).collect()
    }

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
        start: Option<Assignment>,
        budget: &mut Budget,
    ) -> Option<Self> {
        let assignment = rest.as_here(&self.model, &self.outcome.assignment)?;
        let search = Search::new(&rest, &ENGINE, budget.clone());
        let mut levels = Levels::after_times(search, limits, &self.outcome, assignment)
            .until(until)
            .beginning(start);
        let outcome = if settled {
            levels.solve_rest()
        } else {
            let bettered = levels.improve_rest();
            Outcome {
                open: self.reread(&rest, &bettered.assignment),
                ..bettered
            }
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

/// What is proven of the levels from the moves on where nobody searched: by the choices of each
/// device alone.
fn open_from_moves(choices: &Choices, solved: &Solved) -> Vec<Open> {
    let model = &solved.model;
    let assignment = &solved.outcome.assignment;
    let sits = all_sit(model, assignment);
    let floor = |of: &dyn Fn(usize, &Choice) -> i64| -> i64 {
        let each = model.devices.iter().enumerate().filter(|&(at, _)| sits[at]);
        each.map(|(at, &device)| {
            let own = choices.by_device[device].iter();
            own.map(|choice| of(at, choice)).min().unwrap_or(0)
        })
        .sum()
    };
    let hours = |at: usize, choice: &Choice| HOURS_COUNT[model.rank[at]] * choice.time;
    let moves = model.moved_away.as_ref().map(|_| {
        let moved = |_, choice: &Choice| i64::from(choices.is_move(choice));
        (OpenLevel::Moves, floor(&moved))
    });
    let rest = [
        (
            OpenLevel::AfterFirst,
            floor(&|_, choice| i64::from(choice.first > 0)),
        ),
        (OpenLevel::Hours, floor(&hours)),
        (OpenLevel::Watts, floor(&|_, choice| choice.watts)),
    ];
    let open = moves.into_iter().chain(rest).map(|(level, bound)| Open {
        level,
        value: level.of(model, assignment),
        bound,
    });
    open.filter(|open| open.bound < open.value).collect()
}

/// By device, whether it has a berth in every assignment with as few without one, by rank, as
/// this.
fn all_sit(model: &Model, assignment: &Assignment) -> Vec<bool> {
    let has_way = |device: usize| !model.of_device[device].is_empty();
    let nowhere = |rank: usize| {
        let of_rank = (0..model.len()).filter(|&device| model.rank[device] == rank);
        small(of_rank.filter(|&device| !has_way(device)).count())
    };
    let sit = [0, 1, 2].map(|rank| Goal::UnservedOf(rank).of(model, assignment) == nowhere(rank));
    (0..model.len())
        .map(|device| has_way(device) && sit[model.rank[device]])
        .collect()
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
    /// Steps that it took until the times were settled, where they are.
    pub(crate) to_times: Option<u64>,
}

/// The best plan of a setup whose choices are known.
pub(crate) fn planned(
    setup: &Setup,
    choices: &Choices,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<Planned> {
    let before = budget.spent();
    let aim = (wanted.until, None);
    let solved = solved(setup, &Sessions::one(), choices, aim, budget);
    told(setup, choices, solved, (wanted, before), budget)
}

/// As [`planned`], of a setup that may have a better plan than what is to be bettered in the
/// levels up to the times; nothing where it is proven that it has none.
pub(crate) fn planned_better(
    setup: &Setup,
    choices: &Choices,
    wanted: Wanted,
    cutoff: Cutoff,
    budget: &mut Budget,
) -> Result<Option<Planned>> {
    let before = budget.spent();
    let aim = (wanted.until, Some(cutoff));
    let solved = solved(setup, &Sessions::one(), choices, aim, budget);
    if solved.outcome.no_better.is_some() {
        return Ok(None);
    }
    told(setup, choices, solved, (wanted, before), budget).map(Some)
}

/// As [`reached_within`], where it is not proven that no plan is better than the cutoff. The search
/// begins with what can be had of a plan that is `known` from a setup that is a little different.
pub(crate) fn reached_better(
    setup: &Setup,
    known: &Plan,
    wanted: Wanted,
    cutoff: Cutoff,
    budget: &mut Budget,
) -> Result<Option<Reached>> {
    let mut choices = Choices::of(setup, budget)?;
    choices.start = Start::of_plan(setup, known, &choices).ok();
    let planned = planned_better(setup, &choices, wanted, cutoff, budget)?;
    Ok(planned.map(|Planned { plan, least, .. }| Reached::by(setup, &plan, least)))
}

/// How the best plan of a setup stands beside the cutoff, in the levels up to the times; nothing
/// where that is not known.
pub(crate) fn beside_within(
    setup: &Setup,
    cutoff: Cutoff,
    budget: &mut Budget,
) -> Result<Option<Ordering>> {
    let choices = Choices::of(setup, budget)?;
    let aim = (Level::Times, Some(cutoff));
    let outcome = solved(setup, &Sessions::one(), &choices, aim, budget).outcome;
    let better = (outcome.settled >= Some(Level::Times)).then_some(Ordering::Less);
    Ok(outcome.no_better.or(better))
}

/// The plan that the search came to, for which `budget` began at `before`, checked.
fn told(
    setup: &Setup,
    choices: &Choices,
    Solved { model, outcome, .. }: Solved,
    (wanted, before): (Wanted, u64),
    budget: &mut Budget,
) -> Result<Planned> {
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
        to_times: outcome.times_at.map(|at| at - before),
        least: outcome.least,
    };
    sound(&checked, planned)
}
