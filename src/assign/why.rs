//! Why a plan is no better: for each thing that it falls short in, a least set of limits
//! that together forbid more.
//!
//! Each thing is a question of its own: can these devices be full by then, those keep what
//! they have, and the rest stay as they are? The plan's order says that they cannot, so
//! limits are lifted, and devices left out, as long as the answer is no.

mod lessen;
mod numbers;
mod questions;

use std::borrow::Cow;

use super::options::{Choices, Ungrouped};
use super::possible::{Demand, Possible, Shared, shared_limits};
use crate::diagnostics::Result;
use crate::limits::MOST_REASONED;
use crate::plan::because::Because;
use crate::plan::rota::Rota;
use crate::plan::sessions::Sessions;
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::options::SolveOptions;
use questions::{Place, Question, questions};

/// Why a plan of a setup is no better, with the default [`SolveOptions`].
///
/// # Errors
/// As [`why_with`].
///
/// ```
/// use wattberth::{Cable, Charger, Device, LimitKind, Port, SetupDocument, assign, why};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 65.0)).port(Port::pd("C2", 65.0));
/// let setup = SetupDocument::new()
///     .charger(cube.max_w(65.0))
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("laptop", 56.0).pd_w(65.0))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
///     .check()?;
/// let reasons = why(&setup, &assign(&setup)?)?;
/// let limits: Vec<LimitKind> = reasons[0].limits.iter().map(|limit| limit.limit).collect();
/// assert_eq!(limits, [LimitKind::Device, LimitKind::Device, LimitKind::Pool]);
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn why(setup: &Setup, plan: &Plan) -> Result<Vec<Because>> {
    why_with(setup, plan, &SolveOptions::default())
}

/// Why a plan of a setup is no better, within limits: first of each device without a
/// berth, then of each that is late, of each that is not certain to be full, and at last of
/// the longest time. What is alike is told once.
///
/// A plan that is not the best one has no reason where there is none, and neither has one of a
/// setup with more than 65 536 ways to sit.
///
/// # Errors
/// [`Error::Input`](crate::Error::Input) where the devices together have more than
/// 1 000 000 ways to sit; [`Error::Options`](crate::Error::Options) where an option is
/// outside its range.
pub fn why_with(setup: &Setup, plan: &Plan, options: &SolveOptions) -> Result<Vec<Because>> {
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, _) = options.begin();
    let places = questions::places(setup, plan);
    let sessions = Sessions::one();
    // Whoever says that it is the best one, it is asked.
    because(setup, &sessions, None, (&places, false), &mut budget)
}

/// As [`why_with`], of a plan that was just found among `choices`.
pub(crate) fn of_plan(
    setup: &Setup,
    choices: &Choices,
    plan: &Plan,
    budget: &mut Budget,
) -> Result<Vec<Because>> {
    let places = questions::places(setup, plan);
    let known = plan.status == Status::Optimal;
    let sessions = Sessions::one();
    because(setup, &sessions, Some(choices), (&places, known), budget)
}

/// As [`of_plan`], of a rota.
pub(crate) fn of_rota(setup: &Setup, rota: &Rota, budget: &mut Budget) -> Result<Vec<Because>> {
    let places = questions::places_of_rota(setup, rota);
    let known = rota.status == Status::Optimal;
    let sessions = Sessions::of(setup);
    because(setup, &sessions, None, (&places, known), budget)
}

/// All that a plan falls short in that gives the devices these places; `known` where it is
/// the best one. The ways to sit need not be listed again where they are given.
fn because(
    setup: &Setup,
    sessions: &Sessions,
    choices: Option<&Choices>,
    (places, known): (&[Place], bool),
    budget: &mut Budget,
) -> Result<Vec<Because>> {
    let mut found = Vec::new();
    let Some(mut asked) = Asked::of(setup, sessions, choices, budget)? else {
        return Ok(found);
    };
    let questions = questions(setup, places);
    for (done, question) in questions.iter().enumerate() {
        let left = questions.len() - done;
        found.extend(budget.share(left, |part| asked.reason(question, known, part)));
    }
    Ok(found)
}

/// Why demands, one for each device of the setup, cannot all be met, which is about
/// `devices`; none where they can, or that is not known.
pub(crate) fn against(
    setup: &Setup,
    sessions: &Sessions,
    (devices, demands): (Vec<usize>, Vec<Demand>),
    budget: &mut Budget,
) -> Result<Option<Because>> {
    let question = Question::of_demands(devices, demands);
    let asked = Asked::of(setup, sessions, None, budget)?;
    Ok(asked.and_then(|mut asked| asked.reason(&question, false, budget)))
}

/// The setup whose limits are asked about.
struct Asked<'a> {
    setup: &'a Setup,
    choices: Cow<'a, Choices>,
    /// All that devices share.
    limits: Vec<Shared>,
    possible: Possible<'a>,
}

/// Limits that together forbid what is asked.
struct Core {
    /// By device of the setup; nothing of those that do not matter.
    demands: Vec<Demand>,
    shared: Vec<Shared>,
    least: bool,
}

impl<'a> Asked<'a> {
    /// None where there are too many ways to sit to look for reasons.
    fn of(
        setup: &'a Setup,
        sessions: &'a Sessions,
        choices: Option<&'a Choices>,
        budget: &mut Budget,
    ) -> Result<Option<Self>> {
        let choices = match choices {
            Some(known) => Cow::Borrowed(known),
            None => Cow::Owned(Choices::over(
                setup,
                sessions,
                &Ungrouped::default(),
                budget,
            )?),
        };
        let few = choices.by_device.iter().map(Vec::len).sum::<usize>() <= MOST_REASONED;
        let known = few && choices.are_complete();
        Ok(known.then(|| Self {
            setup,
            limits: shared_limits(setup, &choices),
            possible: Possible::new(setup, sessions).knowing(choices.clone()),
            choices,
        }))
    }

    /// The reason why not; none where it is not known that it is so.
    fn reason(&mut self, question: &Question, known: bool, budget: &mut Budget) -> Option<Because> {
        let core = match self.alone(question, budget) {
            Some(core) => core,
            None => self.lessened(question, known, budget)?,
        };
        Some(self.told(question, &core, budget))
    }

    /// The first device that cannot have what is asked though nothing is shared.
    fn alone(&mut self, question: &Question, budget: &mut Budget) -> Option<Core> {
        let (model, _) = self.possible.ways(&self.limits, budget)?;
        let cannot = |&&device: &&usize| {
            let mut own = model.of_device(device).map(|column| model.column(column));
            !own.any(|column| question.demands[device].is_met_by(column))
        };
        let device = *question.order.iter().rev().find(cannot)?;
        let mut demands = vec![Demand::Nothing; question.demands.len()];
        demands[device] = question.demands[device];
        Some(Core {
            demands,
            shared: Vec::new(),
            least: true,
        })
    }
}
