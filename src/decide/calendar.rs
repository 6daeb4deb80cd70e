//! On which nights a thing is charged that is not charged every night.

pub(crate) mod nights;

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::rc::Rc;

use serde::{Deserialize, Serialize};

use crate::assign::options::same_but_name;
use crate::assign::{assign_within, rota_within};
use crate::diagnostics::Result;
use crate::json::document;
use crate::plan::objective::ObjectiveValue;
use crate::plan::origin::Program;
use crate::plan::proof::setup_digest;
use crate::plan::rota::{Rota, plan_of};
use crate::plan::{Plan, Status};
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::options::{SolveOptions, Wanted};
use crate::units::millionths;
use nights::{NightStanding, Now};

/// The nights on which things are charged, as data. Serialises to the calendar document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Calendar {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the setup's document, defaults as they were read, white space aside.
    pub setup_sha256: String,
    /// How many nights it is of.
    pub nights: u32,
    /// Whether it begins anew after the last of them: every thing then has its nights
    /// a whole number of times.
    pub repeats: bool,
    /// The things that are not charged every night.
    pub devices: Vec<CalendarDevice>,
    /// The nights, those with one plan together.
    pub plans: Vec<CalendarNight>,
    /// Whether no calendar has a better worst night, nor with the same a better next one.
    pub status: Status,
}

document!(Calendar, "document that `calendar` gives", calendar_schema);

/// A thing that is not charged every night.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct CalendarDevice {
    /// Its name.
    pub device: String,
    /// It has one of so many nights.
    pub every_nights: u32,
    /// The nights on which it is charged, counted from 1.
    pub nights: Vec<u32>,
}

/// Nights on which the same is charged.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct CalendarNight {
    /// The nights, counted from 1.
    pub nights: Vec<u32>,
    /// What is charged then beside the things of every night.
    pub devices: Vec<String>,
    /// The plan; absent where it is a rota.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<Plan>,
    /// The rota, where the setup has sessions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rota: Option<Rota>,
}

impl CalendarNight {
    /// The night's plan; of a rota, what it is without its sessions.
    pub fn night(&self) -> Option<Cow<'_, Plan>> {
        plan_of(self.plan.as_ref(), self.rota.as_ref())
    }
}

impl Calendar {
    /// Whether on every night every device has a berth and none is late.
    pub fn serves_all(&self) -> bool {
        let mut nights = self.plans.iter().filter_map(CalendarNight::night);
        nights.all(|plan| plan.serves_all())
    }
}

/// The nights on which each thing is charged, so that the worst night is best, with the
/// default [`SolveOptions`].
///
/// ```
/// use wattberth::{Cable, Charger, Device, Port, SetupDocument, calendar};
///
/// let lamp = |name: &str| Device::new(name, 20.0).pd_w(18.0).every_nights(2);
/// let setup = SetupDocument::new()
///     .charger(Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 20.0)))
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
///     .device(lamp("left lamp"))
///     .device(lamp("right lamp"))
///     .session_h(8.0)
///     .check()?;
/// let calendar = calendar(&setup)?;
/// assert!(calendar.serves_all());
/// assert_eq!((calendar.nights, calendar.plans.len()), (2, 2));
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// As [`assign`](crate::assign()).
pub fn calendar(setup: &Setup) -> Result<Calendar> {
    calendar_with(setup, &SolveOptions::default())
}

/// As [`calendar`], within limits for the whole call.
///
/// The nights are the setup's `nights`, else as many as hold each `every_nights` whole, at
/// most 14. A trip has nights of its own, which [`trip`](crate::trip()) asks about.
///
/// # Errors
/// As [`calendar`]; [`Error::Options`](crate::Error::Options) where an option is outside its
/// range.
pub fn calendar_with(setup: &Setup, options: &SolveOptions) -> Result<Calendar> {
    options.check()?;
    let (mut budget, wanted) = options.begin();
    calendar_within(setup, wanted, &mut budget)
}

/// As [`calendar_with`], as a part of a call.
pub(crate) fn calendar_within(
    setup: &Setup,
    wanted: Wanted,
    budget: &mut Budget,
) -> Result<Calendar> {
    let now = setup.not_every_night();
    let cycle = nights::whole(&now);
    let count = setup.document().nights.unwrap_or(cycle);
    let kinds = nights::kinds(&[count], &now)?;
    let mut first = true;
    let mut night = |charged: &[usize]| -> Result<Option<Rc<Night>>> {
        if budget.is_spent() && !first {
            return Ok(None);
        }
        first = false;
        let setup = setup.with_rest(&now, charged);
        let night = budget.share(PARTS, |part| -> Result<Night> {
            if setup.sessions.is_empty() {
                let plan = assign_within(&setup, wanted, part)?;
                let value = ObjectiveValue::of(&setup, &plan);
                Ok(Night::of(&setup, value, Some(plan), None))
            } else {
                let rota = rota_within(&setup, wanted, part)?;
                let value = ObjectiveValue::of_rota(&setup, &rota);
                Ok(Night::of(&setup, value, None, Some(rota)))
            }
        })?;
        Ok(Some(Rc::new(night)))
    };
    let mut made: BTreeMap<Vec<usize>, Rc<Night>> = BTreeMap::new();
    let found = nights::best(&kinds, &now, |_, charged| {
        let night = night(charged)?;
        if let Some(night) = &night {
            made.insert(charged.to_vec(), Rc::clone(night));
        }
        Ok(night.map(|night| night.standing.clone()))
    })?;
    let name = |device: usize| setup.devices[device].name.clone();
    let mut plans = Vec::with_capacity(kinds.len());
    let mut proven = found.proven && made.values().all(|night| night.is_proven());
    for kind in &kinds {
        let charged = nights::charged(kind, &now, &found.first);
        let planned = match made.get(&charged) {
            Some(planned) => Rc::clone(planned),
            // A limit struck before it was looked at.
            None => Rc::new(unplanned(&setup.with_rest(&now, &charged), wanted, budget)?),
        };
        proven &= planned.is_proven();
        let devices = charged.into_iter().map(name).collect();
        plans.push(CalendarNight {
            nights: kind.nights.clone(),
            devices,
            plan: planned.plan.clone(),
            rota: planned.rota.clone(),
        });
    }
    let device = |(now, &first): (&Now, &u32)| CalendarDevice {
        device: name(now.device),
        every_nights: now.every,
        nights: (1..=count)
            .filter(|night| (night - 1) % now.every == first)
            .collect(),
    };
    Ok(Calendar {
        version: 1,
        program: Program::this(),
        setup_sha256: setup_digest(setup),
        nights: count,
        repeats: now.iter().all(|now| count.is_multiple_of(now.every)),
        devices: now.iter().zip(&found.first).map(device).collect(),
        plans: together(plans),
        status: if proven {
            Status::Optimal
        } else {
            Status::Feasible
        },
    })
}

/// A night gets one of so many parts of what is left: most take far less.
const PARTS: usize = 4;

/// A night's plan with hardly any search.
fn unplanned(setup: &Setup, wanted: Wanted, budget: &Budget) -> Result<Night> {
    let wanted = Wanted {
        reshared: false,
        because: false,
        ..wanted
    };
    let plan = assign_within(setup, wanted, &mut budget.whatever_the_clock(1))?;
    let value = ObjectiveValue::of(setup, &plan);
    Ok(Night::of(setup, value, Some(plan), None))
}

/// Nights on which the same is charged are told together.
fn together(plans: Vec<CalendarNight>) -> Vec<CalendarNight> {
    let mut told: Vec<CalendarNight> = Vec::new();
    for night in plans {
        match told.iter_mut().find(|known| known.devices == night.devices) {
            Some(known) => known.nights.extend(night.nights),
            None => told.push(night),
        }
    }
    for night in &mut told {
        night.nights.sort_unstable();
    }
    told
}

/// A night that was planned.
#[derive(Debug)]
struct Night {
    standing: NightStanding,
    plan: Option<Plan>,
    rota: Option<Rota>,
}

impl Night {
    fn of(setup: &Setup, value: ObjectiveValue, plan: Option<Plan>, rota: Option<Rota>) -> Self {
        Self {
            standing: NightStanding {
                value,
                tolerance: millionths(setup.tolerance_h),
            },
            plan,
            rota,
        }
    }

    fn is_proven(&self) -> bool {
        let plan = self.plan.as_ref().map(|plan| plan.status);
        let rota = self.rota.as_ref().map(|rota| rota.status);
        plan.or(rota) == Some(Status::Optimal)
    }
}

impl Setup {
    /// The devices that are not charged every night, as listed.
    pub(crate) fn not_every_night(&self) -> Vec<Now> {
        let mut all: Vec<Now> = Vec::new();
        for (device, spec) in self.devices.iter().enumerate() {
            if spec.every_nights < 2 || !spec.needs_berth() {
                continue;
            }
            let twin = all.last().is_some_and(|last| {
                last.every == spec.every_nights && same_but_name(&self.devices[last.device], spec)
            });
            all.push(Now {
                device,
                every: spec.every_nights,
                twin,
            });
        }
        all
    }

    /// The setup of a night on which of the things that are not charged every night these
    /// are: the others rest.
    pub(crate) fn with_rest(&self, now: &[Now], charged: &[usize]) -> Self {
        let resting = now.iter().map(|now| now.device);
        let resting: Vec<usize> = resting.filter(|device| !charged.contains(device)).collect();
        self.resting(&resting)
    }

    /// The setup in which these devices need nothing.
    pub(crate) fn resting(&self, devices: &[usize]) -> Self {
        let mut setup = self.clone();
        for &device in devices {
            let device = &mut setup.devices[device];
            device.start_pct = device.target_pct;
            device.promised.start_pct = device.target_pct;
            device.running_w = 0.0;
        }
        setup
    }
}
