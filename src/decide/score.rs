//! How good is a person's own way of plugging in: the rules that it breaks, each
//! device's time, and how far each level of the plan's order is from the best.
//!
//! A way need not be good, nor legal. What a device does that is plugged in against a
//! rule is worked out as if the rule were not there, so that the numbers of an illegal
//! way may be better than the best plan's: nothing could hold them.

mod broken;
mod rules;
mod seats;

use std::cmp::Ordering;

use crate::json::document;
use serde::{Deserialize, Serialize};

use crate::assign::reached_within;
use crate::diagnostics::Result;
use crate::plan::Plan;
use crate::plan::cautions::sessions_unused;
use crate::plan::objective::{ObjectiveValue, Reached, Served};
use crate::plan::origin::Program;
use crate::plan::promise::{Promise, promises};
use crate::plan::proof::setup_digest;
use crate::plan::schedule::{Schedule, Slot};
use crate::plan::way::Way;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::setup::document::fields::words;
use crate::setup::ids::DeviceId;
use crate::solve::budget::Budget;
use crate::solve::options::SolveOptions;
use crate::timeline::reshared_within;
use crate::units::{from_millionths, millionths, rounded};

pub use broken::{Broken, BrokenRule};

use seats::Seat;

/// A way of plugging in, held against the rules and against the best plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Score {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults and chargers from other files as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// Whether no rule is broken.
    pub legal: bool,
    /// The rules that are broken, one by one.
    pub broken: Vec<BrokenRule>,
    /// What is plugged in, in the order of the devices.
    pub berths: Vec<ScoredBerth>,
    /// The devices that need a berth and get no charge, in the order of the devices.
    pub without_berth: Vec<String>,
    /// Where this way stands in the plan's order. A device that gets no charge where it
    /// is plugged in counts as without a berth.
    pub yours: ObjectiveValue,
    /// The longest time of this way if the chargers renegotiate as devices need less, in
    /// hours; absent where nobody asked or a rule is broken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reshared_h: Option<f64>,
    /// The same of the best plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_reshared_h: Option<f64>,
    /// Where the best plan stands, and whether it is proven.
    pub best: Reached,
    /// Yours less the best, level by level.
    pub behind: Behind,
    /// What to keep in mind, each once: that the setup has sessions, of which this is one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

impl Score {
    /// Whether no rule is broken, every device has a berth and none is late.
    pub(crate) fn all_served(&self) -> bool {
        self.legal && self.yours.unserved == 0 && self.yours.late == 0
    }
}

document!(Score, "document that `score` gives", score_schema);

/// One device as it is plugged in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ScoredBerth {
    /// The device.
    pub device: String,
    /// The charger.
    pub charger: String,
    /// The port.
    pub port: String,
    /// The cable: as given, else the best; absent where none joins the two.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cable: Option<String>,
    /// What port, cable and device agree on; absent where nothing flows.
    #[serde(flatten)]
    pub contract: Option<ScoredContract>,
    /// Time to full at best, in hours; absent where it never gets full.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hours: Option<f64>,
    /// Whether that is later than it must be.
    pub late: bool,
    /// Time to full that is certain beside the others, in hours; absent where it is never.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub promised_h: Option<f64>,
    /// Its time at best in the best plan, in hours; absent where it has no berth there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_h: Option<f64>,
    /// Its time that is certain in the best plan, in hours; absent where it has no berth there,
    /// or where it is never.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_promised_h: Option<f64>,
}

/// A contract: as given, else the best.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct ScoredContract {
    /// Volts.
    pub volts: f64,
    /// Amperes.
    pub amps: f64,
    /// The power level at which the port is held, in watts.
    pub tier_w: f64,
    /// Volts × amperes.
    pub port_w: f64,
    /// What arrives at the device, in watts.
    pub inlet_w: f64,
}

/// How far a way is from the best plan, level by level of the plan's order. Below 0
/// where it is better there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Behind {
    /// The first level in which it is worse than the best plan; absent where it is not
    /// worse.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<Objective>,
    /// Devices without a berth, by priority.
    pub unserved_by_priority: [i64; 3],
    /// Watt-hours missing in them.
    pub missing_wh: f64,
    /// Devices late, by priority.
    pub late_by_priority: [i64; 3],
    /// Hours, at each place of the sorted times, as far as both have one; none, in a document
    /// null, where just one of the two is never.
    #[cfg_attr(
        feature = "schema",
        schemars(schema_with = "crate::json::list_of_hours_or_never")
    )]
    pub times_h: Vec<Option<f64>>,
    /// Hours at best, weighted by priority.
    pub weighted_h: f64,
    /// Total watts.
    pub total_w: f64,
}

words! {
    /// A level of the plan's order.
    #[non_exhaustive]
    pub enum Objective {
        /// Devices without a berth.
        Unserved = "unserved",
        /// Watt-hours missing in them.
        Missing = "missing",
        /// Devices late.
        Late = "late",
        /// The sorted times, beyond the tolerance.
        Times = "times",
        /// The hours at best, weighted by priority.
        Hours = "hours",
        /// Total watts.
        Watts = "watts",
    }
}

/// Scores a way of plugging in, with the default [`SolveOptions`].
///
/// A cable that is not given is the best one, a contract that is not given the best that
/// the plan's order can give with these places pinned, those left out that are impossible
/// by themselves (a cable that does not join, say), and with as many of each cable as are
/// named. Where the others cannot all be pinned together without a rule being broken,
/// pools, combinations and ports in use twice are passed over: cables then go where they
/// do best, as far as there are enough, and each contract is the best for its own device;
/// the broken rules are named. A device that is
/// full as it is counts nowhere. The last ties of the plan's order (ports, cables and
/// contracts as listed) are not compared.
///
/// # Errors
/// [`Error::Input`](crate::Error::Input) where the way names what the setup has not; as
/// [`assign`](crate::assign()).
///
/// ```
/// use wattberth::{Cable, Charger, Device, Port, SetupDocument, Way, score};
///
/// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 20.0));
/// let setup = SetupDocument::new()
///     .charger(cube.max_w(60.0))
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("laptop", 56.0).pd_w(65.0))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
///     .check()?;
/// let swapped = Way::new().plug("laptop", "C2").plug("score tablet", "C1");
/// let found = score(&setup, &swapped)?;
/// assert!(found.legal);
/// assert!(found.behind.times_h[0] > Some(0.0));
/// # Ok::<(), wattberth::Error>(())
/// ```
pub fn score(setup: &Setup, way: &Way) -> Result<Score> {
    score_with(setup, way, &SolveOptions::default())
}

/// Scores a way of plugging in, within limits: the budget is that of each plan that is
/// made, the time limit and the flag are for all of them together. What is not given is
/// settled before the best plan is searched for; where a limit strikes even there, each
/// contract is the best for its own device, and may break a rule that another would not.
///
/// # Errors
/// As [`score`]; [`Error::Options`](crate::Error::Options) where an option is outside its
/// range.
pub fn score_with(setup: &Setup, way: &Way, options: &SolveOptions) -> Result<Score> {
    let mut places = way.places(setup)?;
    places.sort_by_key(|place| place.device);
    options.check()?;
    setup.check_plannable()?;
    let (mut budget, wanted) = options.begin();
    let (seats, mut broken) = budget.share(2, |part| seats::seats(setup, &places, wanted, part))?;
    let (best, reached) = reached_within(setup, wanted, &mut budget)?;
    rules::check(setup, &seats, &mut broken);
    let served: Vec<Option<&Seat>> = (0..setup.devices.len())
        .map(|device| {
            seats
                .iter()
                .find(|s| s.device == DeviceId(device) && s.hours.is_some())
        })
        .collect();
    let left: Vec<usize> = (0..setup.devices.len())
        .filter(|&d| setup.devices[d].needs_berth() && served[d].is_none())
        .collect();
    let without = left.iter().map(|&device| {
        let device = &setup.devices[device];
        (device.priority, millionths(device.missing_wh()))
    });
    let slots: Vec<Slot> = seats.iter().filter_map(Seat::slot).collect();
    let promised = promises(setup, &slots);
    let promise_of = |seat: &Seat| {
        let at = slots.iter().position(|slot| slot.device == seat.device);
        at.map(|at| promised[at])
    };
    let served = served.iter().flatten();
    let yours = ObjectiveValue::from_parts(
        without,
        served.filter_map(|seat| seat.served(setup, promise_of(seat)?)),
    );
    let behind = Behind::of(&yours, &reached.value, millionths(setup.tolerance_h));
    let legal = broken.is_empty();
    Ok(Score {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        legal,
        broken: broken.into_iter().map(BrokenRule::from).collect(),
        berths: seats
            .iter()
            .map(|seat| berth(setup, seat, promise_of(seat), &best))
            .collect(),
        without_berth: left
            .iter()
            .map(|&device| setup.devices[device].name.clone())
            .collect(),
        yours,
        reshared_h: (options.reshared && legal).then(|| reshared_h(setup, slots, &mut budget)),
        best_reshared_h: best.reshared_h,
        best: reached,
        behind,
        cautions: sessions_unused(setup).into_iter().collect(),
    })
}

/// When the last of these is full if the chargers renegotiate.
fn reshared_h(setup: &Setup, slots: Vec<Slot>, budget: &mut Budget) -> f64 {
    let schedule = Schedule::of_one_session(slots);
    rounded(reshared_within(setup, &schedule, budget).last_h)
}

impl Seat {
    /// The slot that it is, where something flows and the device gets full.
    fn slot(&self) -> Option<Slot> {
        let (tier_w, contract) = self.contract?;
        Some(Slot {
            device: self.device,
            port: self.port,
            cable: self.cable?,
            contract,
            tier_w,
            hours: self.hours?,
            late: self.late,
            first: 0,
            last: 0,
        })
    }

    fn served(&self, setup: &Setup, promise: Promise) -> Option<Served> {
        let (_, contract) = self.contract?;
        let device = &setup.devices[self.device];
        let best = millionths(self.hours?);
        let (time, late) = match setup.aim {
            Aim::Best => (best, self.late),
            Aim::Promise => {
                let ready_by = device.ready_by_h.map(millionths);
                let time = promise.time();
                (time, ready_by.is_some_and(|ready_by| time > ready_by))
            }
        };
        Some(Served {
            priority: device.priority,
            time,
            best,
            watts: millionths(contract.port_w()),
            late,
        })
    }
}

fn berth(setup: &Setup, seat: &Seat, promise: Option<Promise>, best: &Plan) -> ScoredBerth {
    let device = &setup.devices[seat.device].name;
    let charger = &setup.chargers[seat.port.charger];
    let in_best = best.berths.iter().find(|berth| berth.device == *device);
    ScoredBerth {
        device: device.clone(),
        charger: charger.name.clone(),
        port: setup[seat.port].name.clone(),
        cable: seat.cable.map(|cable| setup.cables[cable].name.clone()),
        contract: seat.contract.map(|(tier_w, contract)| ScoredContract {
            volts: rounded(contract.volts),
            amps: rounded(contract.amps),
            tier_w: rounded(tier_w),
            port_w: rounded(contract.port_w()),
            inlet_w: rounded(contract.inlet_w),
        }),
        hours: seat.hours.map(rounded),
        late: seat.late,
        promised_h: promise.and_then(|promise| promise.hours).map(rounded),
        best_h: in_best.map(|berth| berth.hours),
        best_promised_h: in_best.and_then(|berth| berth.promised_h),
    }
}

impl Behind {
    /// Times that differ by no more than `tolerance`, in whole 1e-6 h, make no level worse.
    fn of(yours: &ObjectiveValue, best: &ObjectiveValue, tolerance: i64) -> Self {
        let less = |a: f64, b: f64| from_millionths(millionths(a) - millionths(b));
        let later = |a: f64, b: f64| match (a.is_finite(), b.is_finite()) {
            (true, true) => Some(less(a, b)),
            (false, false) => Some(0.0),
            _ => None,
        };
        let counts = |a: [usize; 3], b: [usize; 3]| {
            let whole = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
            [0, 1, 2].map(|rank| whole(a[rank]) - whole(b[rank]))
        };
        let times = yours.times_h.iter().zip(&best.times_h);
        let mut behind = Self {
            level: None,
            unserved_by_priority: counts(yours.unserved_by_priority, best.unserved_by_priority),
            missing_wh: less(yours.missing_wh, best.missing_wh),
            late_by_priority: counts(yours.late_by_priority, best.late_by_priority),
            times_h: times.map(|(a, b)| later(*a, *b)).collect(),
            weighted_h: less(yours.weighted_h, best.weighted_h),
            total_w: less(yours.total_w, best.total_w),
        };
        behind.level = behind.first_worse(yours.compare_times(best, tolerance));
        behind
    }

    fn first_worse(&self, times: Ordering) -> Option<Objective> {
        let sign = |value: f64| {
            if value == 0.0 {
                Ordering::Equal
            } else {
                value.total_cmp(&0.0)
            }
        };
        let levels = [
            (Objective::Unserved, self.unserved_by_priority.cmp(&[0; 3])),
            (Objective::Missing, sign(self.missing_wh)),
            (Objective::Late, self.late_by_priority.cmp(&[0; 3])),
            (Objective::Times, times),
            (Objective::Hours, sign(self.weighted_h)),
            (Objective::Watts, sign(self.total_w)),
        ];
        let first = levels.into_iter().find(|(_, sign)| sign.is_ne())?;
        first.1.is_gt().then_some(first.0)
    }
}
