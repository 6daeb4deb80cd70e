//! The night as it happens: state of charge and watts of every device over time, exactly,
//! and what the socket gives.
//!
//! Between two events everything has a closed form, so nothing is stepped: the state of
//! charge grows linearly while the power is constant, and exponentially while it follows a
//! straight piece of the charging curve. A device that has reached its target stops
//! charging and goes on drawing what it runs on; the volts of a contract stay as they are
//! while the device draws less.

mod course;
mod events;
mod held;
mod piece;
mod reshared;
mod series;
mod share;
mod sharing_rules;
mod track;
mod wall;

use crate::json::document;
use serde::{Deserialize, Serialize};

use crate::diagnostics::{Error, Result};
use crate::limits::{STEP_MIN, TIMELINE_POINTS};
use crate::plan::cautions::sessions_unused;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::plan::rota::Rota;
use crate::plan::schedule::Schedule;
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::setup::document::fields::words;
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, setters};

#[cfg(feature = "schema")]
pub use sharing_rules::sharing_rules_schema;
pub use sharing_rules::{
    DependsOn, Grants, PlugAdvice, PlugOrder, PlugPlace, RuleBerth, RuleNight, RuleNights,
    RuleOutcome, SharingRule, SharingRules, sharing_rules, sharing_rules_with,
};

/// What happens in a night, and how much of everything there is when.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Timeline {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// How the chargers share, for the events, the series and the energy.
    pub sharing: Sharing,
    /// When the night begins, as a time of day, where the setup says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<String>,
    /// Where the series end, in hours: when the last device is full at the latest, or at
    /// the end of the last session.
    pub until_h: f64,
    /// When the last device is full if every contract is kept, in hours: of those that are
    /// full before their plug is pulled.
    pub longest_h: f64,
    /// The same if the chargers renegotiate, where that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reshared_h: Option<f64>,
    /// `feasible` where the budget struck before every sharing out was proven best; beside
    /// `reshared_h`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reshared_status: Option<Status>,
    /// Devices whose plug is pulled before they are full.
    pub not_full: usize,
    /// Minutes between the even steps of the series.
    pub step_min: f64,
    /// What happens, in order of time.
    pub events: Vec<Event>,
    /// By device that has a berth, in the order of the devices.
    pub series: Vec<Series>,
    /// What all chargers take from the socket together.
    pub wall: Wall,
    /// Watt-hours from the socket until `until_h`.
    pub wall_wh: f64,
    /// Where they go.
    pub energy: Energy,
    /// What the plan comes to under each rule by which chargers share, where that was asked
    /// for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rules: Option<SharingRules>,
    /// What to keep in mind, each once: that the setup has sessions, of which this is one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

document!(Timeline, "document that `timeline` gives", timeline_schema);

words! {
    /// How a charger shares its watts over the night.
    #[derive(Default)]
    #[non_exhaustive]
    pub enum Sharing {
        /// Every contract is kept to its end: what a plan promises.
        #[default]
        Held = "held",
        /// At each event of a device on it, a charger negotiates anew with all of them.
        Reshared = "reshared",
    }
}

/// Something that happens.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Event {
    /// Hours from the start of the night.
    pub at_h: f64,
    /// What it is.
    pub what: Happening,
    /// The device, unless a session ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub device: Option<String>,
    /// Its state of charge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub soc_pct: Option<f64>,
    /// The session that ends.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub session: Option<String>,
    /// What is negotiated, where that is what happens.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contract: Option<EventContract>,
}

words! {
    /// What happens.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum Happening {
        /// A session ends.
        SessionEnds = "session-ends",
        /// A plug is pulled.
        Unplugged = "unplugged",
        /// A device is plugged in, at the contract of the plan.
        PluggedIn = "plugged-in",
        /// Its charging curve begins to fall.
        Taper = "taper",
        /// It draws less than its contract would give from now on.
        Unfilled = "unfilled",
        /// It has reached its target.
        Full = "full",
        /// It has another contract from now on.
        Contract = "contract",
    }
}

/// A contract at an event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct EventContract {
    /// Volts.
    pub volts: f64,
    /// Amperes.
    pub amps: f64,
    /// The power level at which the port is held, in watts.
    pub tier_w: f64,
}

/// One device over the night. Where its watts jump, two points stand at one time: before
/// and after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Series {
    /// The device.
    pub device: String,
    /// The charger.
    pub charger: String,
    /// The port, as the charger names it.
    pub port: String,
    /// When it is full, where it is before its plug is pulled.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub full_h: Option<f64>,
    /// Hours from the start of the night, never falling, from 0 to the end.
    pub at_h: Vec<f64>,
    /// State of charge, in percent.
    pub soc_pct: Vec<f64>,
    /// What its port gives, in watts: what arrives, and what its cable turns into heat.
    pub watts: Vec<f64>,
}

/// What all chargers take from the socket, by their efficiency; jumps as in [`Series`].
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Wall {
    /// The most at any time, in watts.
    pub peak_w: f64,
    /// Hours from the start of the night.
    pub at_h: Vec<f64>,
    /// Watts.
    pub watts: Vec<f64>,
}

/// Where the watt-hours from the socket go; they add up to them.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Energy {
    /// Into the batteries.
    pub stored_wh: f64,
    /// What the devices run on.
    pub running_wh: f64,
    /// Lost between inlets and batteries.
    pub charging_lost_wh: f64,
    /// Lost in the cables.
    pub cable_lost_wh: f64,
    /// Lost in the chargers.
    pub charger_lost_wh: f64,
}

/// How a timeline is drawn up.
#[derive(Debug, Clone)]
#[non_exhaustive]
pub struct TimelineOptions {
    /// How the chargers share.
    pub sharing: Sharing,
    /// Minutes between even steps, from 0.01 to 1440. Where absent, 5 up to two days, and
    /// 576 steps of a longer night.
    pub step_min: Option<f64>,
    /// How long the search for the best sharing out may go on, over the whole night. Its
    /// steps are devices looked at under one threshold, [`Self::DEFAULT_BUDGET`] of them by
    /// default; what of a plan is wanted does not matter here. When a limit strikes,
    /// contracts stay as they are.
    pub search: SolveOptions,
}

setters!(TimelineOptions:
    set sharing: Sharing,
    some step_min: f64,
    set search: SolveOptions,
);

impl TimelineOptions {
    /// Enough for any charger that a person can carry, and about a second where it
    /// strikes.
    pub const DEFAULT_BUDGET: u64 = 20_000_000;

    /// Steps fine enough for drawn curves, however short or long the night of so many hours.
    pub fn for_drawing(night_h: f64) -> Self {
        let step_min = (night_h * 60.0 / 160.0).max(0.05);
        Self {
            // In a night of months the timeline's own steps are fine enough.
            step_min: Some(step_min).filter(|step_min| *step_min <= 1440.0),
            ..Self::default()
        }
    }

    /// What the call may use.
    ///
    /// # Errors
    /// [`Error::Options`] where that is outside its range.
    fn begin(&self) -> Result<Budget> {
        self.search.check()?;
        Ok(self.search.begin().0)
    }
}

impl Default for TimelineOptions {
    fn default() -> Self {
        Self {
            sharing: Sharing::Held,
            step_min: None,
            search: SolveOptions {
                budget: Self::DEFAULT_BUDGET,
                ..SolveOptions::default()
            },
        }
    }
}

/// When the last device is full if chargers renegotiate.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub struct Reshared {
    /// Hours from the start of the night.
    pub last_h: f64,
    /// Whether every sharing out on the way is proven best.
    pub status: Status,
}

/// Draws up the night of a plan.
///
/// The plan must be one that [`verify`](crate::verify()) accepts, as every plan of
/// [`assign`](crate::assign()) is.
///
/// ```
/// use wattberth::{Cable, Charger, Device, Happening, Port, SetupDocument, TimelineOptions};
/// use wattberth::{assign, timeline};
///
/// let setup = SetupDocument::new()
///     .charger(Charger::new("cube").port(Port::pd("C1", 45.0)).efficiency(0.9))
///     .cable(Cable::c_to_c("braided"))
///     .device(Device::new("laptop", 56.0).pd_w(65.0).start_pct(40.0))
///     .check()?;
/// let plan = assign(&setup)?;
/// let night = timeline(&setup, &plan)?;
/// let last = night.events.last().expect("it is plugged in at least");
/// assert_eq!(last.what, Happening::Full);
/// assert!((last.at_h - plan.berths[0].hours).abs() < 1e-6);
/// // From the socket, with every loss on the way.
/// assert!(night.wall_wh > 56.0 * 0.6 / 0.9);
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`] where the plan does not belong to the setup: an unknown name, a
/// contract that there is not, or more than the limits hold; [`Error::Options`] where the
/// step is out of range or gives more than 1 000 000 points.
pub fn timeline(setup: &Setup, plan: &Plan) -> Result<Timeline> {
    timeline_with(setup, plan, &TimelineOptions::default())
}

/// As [`timeline()`], drawn up as `options` say.
///
/// # Errors
/// As [`timeline()`]; [`Error::Options`] where the step is out of range or gives more than
/// 1 000 000 points.
pub fn timeline_with(setup: &Setup, plan: &Plan, options: &TimelineOptions) -> Result<Timeline> {
    let night = of_night(setup, &Schedule::of_plan(setup, plan)?, options)?;
    Ok(Timeline {
        cautions: sessions_unused(setup).into_iter().collect(),
        ..night
    })
}

/// Draws up the night of a rota: a device whose plug is pulled before it is full stops
/// charging there.
///
/// While the chargers renegotiate, a choice in a session but the last counts only if every
/// device that keeps it is at the end of that session at least as full as the rota has it;
/// the same holds in the last session if somebody is not full at its end. So the rota's own
/// contracts can always be gone back to.
///
/// # Errors
/// As [`timeline()`].
pub fn rota_timeline(setup: &Setup, rota: &Rota) -> Result<Timeline> {
    rota_timeline_with(setup, rota, &TimelineOptions::default())
}

/// As [`rota_timeline()`], drawn up as `options` say.
///
/// # Errors
/// As [`timeline_with`].
pub fn rota_timeline_with(
    setup: &Setup,
    rota: &Rota,
    options: &TimelineOptions,
) -> Result<Timeline> {
    of_night(setup, &Schedule::of_rota(setup, rota)?, options)
}

/// When the last device of a plan is full if every charger renegotiates at each event of a
/// device on it: a device begins to taper, no longer fills its contract, is full. Ports
/// and cables stay; each device that is charging may get any contract that its port and
/// cable give, so that the sorted times at which they are full are least, longest first,
/// then the watts. One that is full keeps what it runs on.
///
/// # Errors
/// As [`timeline()`].
pub fn reshared(setup: &Setup, plan: &Plan) -> Result<Reshared> {
    reshared_with(setup, plan, &TimelineOptions::default())
}

/// As [`reshared()`], within the limits of `options`; its other fields do not matter here.
///
/// # Errors
/// As [`timeline()`].
pub fn reshared_with(setup: &Setup, plan: &Plan, options: &TimelineOptions) -> Result<Reshared> {
    let schedule = Schedule::of_plan(setup, plan)?;
    Ok(reshared_of(setup, &schedule, &mut options.begin()?))
}

/// As [`reshared()`], of a rota: within what [`rota_timeline`] says. Of devices that are
/// full before their plugs are pulled, the last.
///
/// # Errors
/// As [`timeline()`].
pub fn rota_reshared(setup: &Setup, rota: &Rota) -> Result<Reshared> {
    rota_reshared_with(setup, rota, &TimelineOptions::default())
}

/// As [`rota_reshared()`], within the limits of `options`; its other fields do not matter
/// here.
///
/// # Errors
/// As [`timeline()`].
pub fn rota_reshared_with(
    setup: &Setup,
    rota: &Rota,
    options: &TimelineOptions,
) -> Result<Reshared> {
    let schedule = Schedule::of_rota(setup, rota)?;
    Ok(reshared_of(setup, &schedule, &mut options.begin()?))
}

/// When the last device is full if every charger renegotiates: a small part of a call that
/// makes plans, with steps of its own so that it is told of every plan.
pub(crate) fn reshared_within(setup: &Setup, schedule: &Schedule, budget: &mut Budget) -> Reshared {
    /// Looks at a device that take as long as a step of the search.
    const LOOKS_PER_STEP: u64 = 128;
    let mut own = budget.with_steps(TimelineOptions::DEFAULT_BUDGET);
    let reshared = reshared_of(setup, schedule, &mut own);
    budget.spend(own.spent() / LOOKS_PER_STEP);
    reshared
}

fn reshared_of(setup: &Setup, schedule: &Schedule, budget: &mut Budget) -> Reshared {
    let held = held::held(setup, schedule);
    let (tracks, proven) = reshared::reshared(setup, schedule, &held, budget);
    Reshared {
        last_h: last_full_h(&tracks),
        status: status(proven),
    }
}

/// Draws up a night.
fn of_night(setup: &Setup, schedule: &Schedule, options: &TimelineOptions) -> Result<Timeline> {
    options.search.check()?;
    let held = held::held(setup, schedule);
    let longest_h = last_full_h(&held);
    let ends_h = schedule.sessions.last().map_or(0.0, |last| last.end_h);
    let until_h = if ends_h.is_finite() {
        ends_h
    } else {
        longest_h
    };
    let step_min = step_min(options.step_min, until_h, schedule.slots.len())?;
    let (mut tracks, reshared) = match options.sharing {
        Sharing::Held => (held, None),
        Sharing::Reshared => {
            let mut budget = options.begin()?;
            let (tracks, proven) = reshared::reshared(setup, schedule, &held, &mut budget);
            let last_h = last_full_h(&tracks);
            (tracks, Some((last_h, status(proven))))
        }
    };
    let not_full = tracks.iter().filter(|track| track.full_h.is_none()).count();
    for (track, slot) in tracks.iter_mut().zip(&schedule.slots) {
        track.close(setup, schedule, slot, until_h);
    }
    let (energy, wall_wh) = wall::energy(setup, schedule, &tracks);
    Ok(Timeline {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        sharing: options.sharing,
        start: setup.start.map(|start| start.to_string()),
        until_h,
        longest_h,
        reshared_h: reshared.map(|(last_h, _)| last_h),
        reshared_status: reshared.map(|(_, status)| status),
        not_full,
        step_min,
        events: events::events(setup, schedule, &tracks),
        series: series::series(setup, schedule, &tracks, step_min / 60.0),
        wall: wall::wall(setup, schedule, &tracks, step_min / 60.0),
        wall_wh,
        energy,
        rules: None,
        cautions: Vec::new(),
    })
}

fn status(proven: bool) -> Status {
    if proven {
        Status::Optimal
    } else {
        Status::Feasible
    }
}

fn last_full_h(tracks: &[track::Track]) -> f64 {
    let full = tracks.iter().filter_map(|track| track.full_h);
    full.fold(0.0, f64::max)
}

/// Even steps up to which a night of unknown length is drawn by default.
const MOST_STEPS: f64 = 576.0;

fn step_min(asked: Option<f64>, until_h: f64, devices: usize) -> Result<f64> {
    let step_min = match asked {
        Some(step_min) if STEP_MIN.holds(step_min) => step_min,
        Some(step_min) => {
            let message = STEP_MIN.refusal(step_min);
            return Err(Error::Options { message });
        }
        None => f64::max(5.0, until_h * 60.0 / MOST_STEPS),
    };
    #[expect(clippy::cast_precision_loss, reason = "at most some hundreds")]
    let points = until_h * 60.0 / step_min * devices as f64;
    if points > TIMELINE_POINTS {
        let message = format!(
            "steps of {step_min} min are too small: they make more than {TIMELINE_POINTS} points"
        );
        return Err(Error::Options { message });
    }
    Ok(step_min)
}
