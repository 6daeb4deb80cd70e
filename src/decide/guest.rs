//! A device that comes late: the best places for it beside a plan at hand, and what each costs the
//! others.
//!
//! Asked three times, each over the same setup: without moving anybody, place by place; with one
//! device more that may move; and freely, as the best plan that stays near. Contracts are
//! negotiated anew each time; nothing is estimated.

mod told;
mod who;

use serde::{Deserialize, Serialize};

use crate::assign::options::{Choice, Choices};
use crate::assign::{Planned, planned, planned_better};
use crate::diagnostics::Result;
use crate::json::document;
use crate::plan::moves::Place;
use crate::plan::objective::Reached;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::plan::schedule::{Schedule, Slot};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::setup::document::fields::words;
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::millionths;
use told::Before;

/// Where a device that comes late may go. Serialises to the document of `guest`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Guest {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// The device.
    pub device: String,
    /// By which times the places are sorted.
    pub aim: Aim,
    /// Every place that it can have without moving anybody, the best first by the plan's order;
    /// ports that are alike once, and so cables.
    pub places: Vec<GuestPlace>,
    /// The best plan that moves at most one other device; absent where that gains nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub one_move: Option<GuestPlan>,
    /// The best plan, which moves as few as it can; absent where that gains nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub freely: Option<GuestPlan>,
    /// Places of which it is not known whether it can have them: a limit of the call stopped the
    /// search before that.
    pub undecided_places: Vec<Place>,
    /// What else was not looked at to the end, for the same reason.
    pub undecided: Vec<Freedom>,
}

document!(Guest, "document that `guest` gives", guest_schema);

words! {
    /// How many may move for a device that comes late.
    #[non_exhaustive]
    pub enum Freedom {
        /// At most one other device.
        OneMove = "one-move",
        /// All of them.
        Freely = "freely",
    }
}

/// A place that the device can have without moving anybody.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GuestPlace {
    /// The place: the first of those alike.
    #[serde(flatten)]
    pub place: Place,
    /// What the plan with the device there reaches.
    #[serde(flatten)]
    pub reached: Reached,
    /// When the device is full there.
    #[serde(flatten)]
    pub full: GuestTimes,
    /// What it costs each other device whose time is then another one.
    pub costs: Vec<GuestCost>,
}

/// A plan with the device that comes late.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GuestPlan {
    /// The plan, with its moves.
    pub plan: Plan,
    /// What it costs each other device whose time is then another one.
    pub costs: Vec<GuestCost>,
}

/// When a device is full, in both readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GuestTimes {
    /// At best, in hours.
    pub hours: f64,
    /// For certain, in hours; absent where it is never.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub promised_h: Option<f64>,
}

/// What a device that comes late costs another one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct GuestCost {
    /// The other device.
    pub device: String,
    /// When it is full in the plan at hand.
    pub before: GuestTimes,
    /// When it is full then; absent where it is unplugged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<GuestTimes>,
}

impl GuestTimes {
    /// The one that the plan is chosen by; `None` where it is never.
    pub fn by_aim(&self, aim: Aim) -> Option<f64> {
        match aim {
            Aim::Best => Some(self.hours),
            Aim::Promise => self.promised_h,
        }
    }
}

/// The best places for the one device of `setup` that `plan` does not know, with the default
/// [`SolveOptions`].
///
/// # Errors
/// As [`guest_with`].
///
/// ```
/// use wattberth::{Cable, Charger, Device, Port, SetupDocument, assign, guest};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 20.0));
/// let evening = SetupDocument::new()
///     .charger(cube)
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("laptop", 56.0).pd_w(45.0));
/// let at_hand = assign(&evening.clone().check()?)?;
///
/// let late = evening.device(Device::new("phone", 15.0).pd_w(20.0)).check()?;
/// let found = guest(&late, &at_hand)?;
/// assert_eq!((found.device.as_str(), found.places.len()), ("phone", 1));
/// assert_eq!((found.places[0].place.port.as_str(), found.places[0].costs.len()), ("C2", 0));
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn guest(setup: &Setup, plan: &Plan) -> Result<Guest> {
    guest_with(setup, plan, None, &SolveOptions::default())
}

/// The best places for `device`, which is in `setup` and has no berth in `plan`, within limits:
/// the budget, the time limit and the flag are for all that is worked out. The device need not be
/// named where `plan` does not know just one device of the setup, or just one has no berth.
///
/// # Errors
/// [`Error::Options`](crate::Error::Options) where it is not clear which device is meant, or that
/// one has a berth or needs none; [`Error::Input`](crate::Error::Input) where `plan` is none of the
/// other devices of this setup; else as [`assign_with`](crate::assign_with).
pub fn guest_with(
    setup: &Setup,
    plan: &Plan,
    device: Option<&str>,
    options: &SolveOptions,
) -> Result<Guest> {
    options.check()?;
    setup.check_plannable()?;
    let guest = who::guest_of(setup, plan, device)?;
    let schedule = Schedule::of_plan(setup, plan)?;
    let (mut budget, wanted) = options.begin();
    let choices = Choices::near(setup, plan, &mut budget)?;
    let asked = Asked {
        setup,
        guest,
        at_hand: &schedule,
        before: Before::of(setup, &schedule),
        wanted: Wanted {
            reshared: false,
            ..wanted
        },
    };
    asked.answered(&choices, &mut budget)
}

/// What is asked about.
struct Asked<'a> {
    setup: &'a Setup,
    /// Index into the setup's devices.
    guest: usize,
    at_hand: &'a Schedule,
    before: Before,
    wanted: Wanted,
}

/// What came of one place.
enum Verdict {
    Possible(Box<GuestPlace>),
    Impossible,
    Undecided,
}

impl Asked<'_> {
    fn answered(&self, choices: &Choices, budget: &mut Budget) -> Result<Guest> {
        let mut found = Guest {
            version: 1,
            program: Program::this(),
            setup_sha256: setup_digest(self.setup),
            device: self.setup.devices[self.guest].name.clone(),
            aim: self.setup.aim,
            places: Vec::new(),
            one_move: None,
            freely: None,
            undecided_places: Vec::new(),
            undecided: Vec::new(),
        };
        self.look_at_places(choices, budget, &mut found)?;
        let mut best = found.places.first().map(|place| place.reached.clone());
        let with_one = self.limited(choices, 1);
        for (freedom, choices, parts) in [
            (Freedom::OneMove, &with_one, 2),
            (Freedom::Freely, choices, 1),
        ] {
            let plan = budget.share(parts, |part| self.gaining(choices, &mut best, part))?;
            match plan {
                Gain::Better(plan) if freedom == Freedom::OneMove => found.one_move = Some(*plan),
                Gain::Better(plan) => found.freely = Some(*plan),
                Gain::Nothing => {}
                Gain::Unknown => found.undecided.push(freedom),
            }
        }
        Ok(found)
    }

    /// The same choices where at most so many may move.
    fn limited(&self, choices: &Choices, most: i64) -> Choices {
        let mut limited = choices.clone();
        let near = choices.near.as_ref();
        limited.near = near.map(|near| near.moving_at_most(most, self.setup, &self.at_hand.slots));
        limited
    }

    fn look_at_places(
        &self,
        choices: &Choices,
        budget: &mut Budget,
        found: &mut Guest,
    ) -> Result<()> {
        let sits = |choice: &Choice| {
            let sat = self
                .at_hand
                .slots
                .iter()
                .any(|slot| slot.device.0 == choice.device);
            sat && !choices.is_move(choice) || choice.device == self.guest
        };
        let still = self.limited(&choices.keeping(sits), 0);
        let places = self.free_places(&still);
        for (done, &(port, cable)) in places.iter().enumerate() {
            let here = |choice: &Choice| {
                choice.device != self.guest || (choice.port, choice.cable) == (port, cable)
            };
            // As much again is left for the plans that move somebody.
            let parts = 2 * (places.len() - done);
            let verdict = if budget.is_spent() {
                Verdict::Undecided
            } else {
                budget.share(parts, |part| self.placed(&still.keeping(here), part))?
            };
            match verdict {
                Verdict::Possible(place) => found.places.push(*place),
                Verdict::Impossible => {}
                Verdict::Undecided => {
                    found.undecided_places.push(self.named(&still, port, cable));
                }
            }
        }
        let order =
            |a: &GuestPlace, b: &GuestPlace| a.reached.value.compare_whole(&b.reached.value);
        found.places.sort_by(order);
        Ok(())
    }

    /// The groups of ports and cables that would join the guest and have one that is free.
    fn free_places(&self, choices: &Choices) -> Vec<(usize, usize)> {
        let mut ports: Vec<usize> = choices
            .ports
            .iter()
            .map(|group| group.ports.len())
            .collect();
        let mut cables: Vec<u32> = choices.cables.iter().map(|group| group.count).collect();
        for slot in &self.at_hand.slots {
            if let Some((port, cable)) = choices.groups_of(slot) {
                ports[port] = ports[port].saturating_sub(1);
                cables[cable] = cables[cable].saturating_sub(1);
            }
        }
        let own = choices.by_device[self.guest].iter();
        let mut places: Vec<(usize, usize)> = own
            .map(|choice| (choice.port, choice.cable))
            .filter(|&(port, cable)| ports[port] > 0 && cables[cable] > 0)
            .collect();
        places.sort_unstable();
        places.dedup();
        places
    }

    /// The first of the ports and cables of these groups that are free.
    fn named(&self, choices: &Choices, port: usize, cable: usize) -> Place {
        let group = &choices.ports[port];
        let charger = &self.setup.chargers[group.charger];
        let taken = |port: &&usize| {
            let here =
                |slot: &Slot| (slot.port.charger.0, slot.port.index) == (group.charger, **port);
            self.at_hand.slots.iter().any(here)
        };
        let port = group.ports.iter().find(|port| !taken(port));
        let cable = choices.cables[cable].cables[0];
        Place {
            charger: charger.name.clone(),
            port: port.map_or_else(String::new, |&port| charger.ports[port].name.clone()),
            cable: self.setup.cables[cable].name.clone(),
        }
    }

    /// The plan where the guest has the one place that its choices are for.
    fn placed(&self, choices: &Choices, budget: &mut Budget) -> Result<Verdict> {
        let Planned { plan, least, .. } = planned(self.setup, choices, self.wanted, budget)?;
        let name = &self.setup.devices[self.guest].name;
        let Some(berth) = plan.berths.iter().find(|berth| berth.device == *name) else {
            return Ok(match plan.status {
                Status::Optimal => Verdict::Impossible,
                Status::Feasible => Verdict::Undecided,
            });
        };
        Ok(Verdict::Possible(Box::new(GuestPlace {
            place: berth.into(),
            reached: Reached::by(self.setup, &plan, least),
            full: berth.into(),
            costs: self.before.costs(&plan),
        })))
    }

    /// The best plan of these choices, where it gains on the best so far, which it then is.
    fn gaining(
        &self,
        choices: &Choices,
        best: &mut Option<Reached>,
        budget: &mut Budget,
    ) -> Result<Gain> {
        if budget.is_spent() {
            return Ok(Gain::Unknown);
        }
        let tolerance = millionths(self.setup.tolerance_h);
        let found = match best {
            Some(best) => {
                let cutoff = best.cutoff(tolerance);
                planned_better(self.setup, choices, self.wanted, cutoff, budget)?
            }
            None => Some(planned(self.setup, choices, self.wanted, budget)?),
        };
        let Some(Planned { plan, least, .. }) = found else {
            return Ok(Gain::Nothing);
        };
        let reached = Reached::by(self.setup, &plan, least);
        let gains = best
            .as_ref()
            .is_none_or(|best| reached.gains_on(best, tolerance));
        if !gains {
            return Ok(if reached.knows_times() {
                Gain::Nothing
            } else {
                Gain::Unknown
            });
        }
        *best = Some(reached);
        let costs = self.before.costs(&plan);
        Ok(Gain::Better(Box::new(GuestPlan { plan, costs })))
    }
}

/// Whether a plan is better than the best so far.
enum Gain {
    Better(Box<GuestPlan>),
    Nothing,
    Unknown,
}
