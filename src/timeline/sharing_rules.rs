//! What a plan comes to under each published rule by which chargers share, with the best and
//! the worst order of plugging in.
//!
//! A pool says what its ports give together, not who gets it. A plan chooses how to divide it
//! and promises what holds whatever the rule; here each rule is followed by itself, so that a
//! person who knows the charger, or can choose who is plugged in first, sees what that is
//! worth. Nothing else is varied: ports and cables are the plan's, and what labels leave
//! open turns out well.

mod bench;
mod division;
mod night;
mod orders;

use serde::{Deserialize, Serialize};

use crate::diagnostics::Result;
use crate::json::document;
use crate::plan::Plan;
use crate::plan::cautions::sessions_unused;
use crate::plan::promise::{NEVER, Promise, promises};
use crate::plan::schedule::Schedule;
use crate::setup::Setup;
use crate::setup::contract::{Carries, Lift, carries};
use crate::setup::document::fields::words;
use crate::units::from_millionths;

use super::TimelineOptions;
use bench::Bench;

/// What a plan comes to under each rule by which chargers are known to share.
///
/// The rules are those of public texts, each named as `source`. Two that are published are
/// left out, for nothing could be promised under them: ports that get equal parts and waste
/// what they do not use, and ports of one converter that all fall back to 5 V.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SharingRules {
    /// Version of the document's form.
    pub version: u32,
    /// The longest time to full, in hours, if the chargers share as the plan would have it.
    pub planned_h: f64,
    /// The longest time that is certain, whatever the rule, and however what labels leave
    /// open turns out; absent where one is never certain to be full.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub promised_h: Option<f64>,
    /// Rule by rule, each followed by every charger. `assured` is there only where every
    /// charger in use can follow it.
    pub rules: Vec<RuleOutcome>,
    /// Rules that were not looked at, because a limit struck.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub undecided: Vec<SharingRule>,
    /// Where the order of plugging in, or the port that goes first, changes the longest time
    /// on a charger by more than the setup's tolerance.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub advice: Vec<PlugAdvice>,
    /// What to keep in mind, each once: that the setup has sessions, of which this is one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
}

document!(
    SharingRules,
    "document that `sharing_rules` gives",
    sharing_rules_schema
);

words! {
    /// A rule by which a charger divides its watts. Each keeps 7.5 W, or an equal part where that
    /// is less, for every port in use; none withholds anything from a device while power is left.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum SharingRule {
        /// Every port has its watts, whoever else draws: what all may take fits.
        Assured = "assured",
        /// All rise together; what one does not ask for goes to the others.
        FairShare = "fair-share",
        /// In the order of plugging in each gets what it asks for, or what is left.
        FirstCome = "first-come",
        /// The same with the newest first.
        LastCome = "last-come",
        /// One port gets what it asks for; the others share the rest fairly.
        OnePortFirst = "one-port-first",
        /// In the order of what they ask for each gets that, or what is left, whatever the order
        /// of plugging in. The source has an order by demand and does not say which way round:
        /// the greatest first and the least first are tried.
        ByDemand = "by-demand",
        /// What each needs to work at all, then by what its battery holds, which counts in full
        /// up to 60 % and less and less above; what that leaves goes to all who still ask.
        ByBattery = "by-battery",
    }
}

impl SharingRule {
    /// In the order in which they are told.
    const ALL: [Self; 7] = [
        Self::Assured,
        Self::FairShare,
        Self::FirstCome,
        Self::LastCome,
        Self::OnePortFirst,
        Self::ByDemand,
        Self::ByBattery,
    ];

    /// Where it is published.
    pub fn source(self) -> &'static str {
        match self {
            Self::Assured => "TI application note SLVAFG6B, 3.1 and 5.1",
            Self::FairShare => "TI application note SLVAFG6B, table 3-2 and 5.2",
            Self::FirstCome | Self::LastCome => {
                "MicrochipTech usb-pd-software-framework, PSF/Source/PB/pb_mngr.h and pb_helper.c"
            }
            Self::OnePortFirst => "US patent 11132040 B2; US application 2026/0039137 A1",
            Self::ByDemand => "US patent 11061457 B2",
            Self::ByBattery => {
                "meadixit-gmail/fusb1, External/common/ps/power_sharing.c (open firmware)"
            }
        }
    }

    /// What it leaves open.
    pub fn depends_on(self) -> Option<DependsOn> {
        match self {
            Self::FirstCome | Self::LastCome => Some(DependsOn::PluggingOrder),
            Self::OnePortFirst => Some(DependsOn::FirstPort),
            Self::ByDemand => Some(DependsOn::WayRound),
            Self::Assured | Self::FairShare | Self::ByBattery => None,
        }
    }

    /// The one that an order is about: who is served first of all.
    fn favoured(self, order: &[usize]) -> Option<usize> {
        match self {
            Self::LastCome => order.last().copied(),
            _ => order.first().copied(),
        }
    }

    fn place(self) -> Option<PlugPlace> {
        match self {
            Self::FirstCome => Some(PlugPlace::First),
            Self::LastCome => Some(PlugPlace::Last),
            Self::OnePortFirst => Some(PlugPlace::FirstPort),
            _ => None,
        }
    }
}

words! {
    /// What a rule leaves open.
    #[non_exhaustive]
    pub enum DependsOn {
        /// In which order devices are plugged in.
        PluggingOrder = "plugging-order",
        /// Which port goes first.
        FirstPort = "first-port",
        /// Whether the greatest or the least demand goes first.
        WayRound = "way-round",
    }
}

/// What comes of one rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RuleOutcome {
    /// The rule.
    pub rule: SharingRule,
    /// Where it is published.
    pub source: String,
    /// What the rule leaves open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depends_on: Option<DependsOn>,
    /// Orders that were tried, over the chargers with two devices or more. Up to six devices
    /// on a charger that is every order; of more, each device first, each last, and all by
    /// what they ask for and by their times, both ways round.
    pub tried: usize,
    /// Whether there are no others: only then is the best the best of all.
    pub tried_all: bool,
    /// Every grant kept as it is at the start.
    pub held: RuleNights,
    /// Grants made anew, by the same rule, whenever a device is full: what it no longer asks
    /// for is handed on. A charger that reserves its offers hands nothing on.
    pub handed_on: RuleNights,
}

/// The best and the worst that can come of a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RuleNights {
    /// The best, by the sorted times, of what was tried.
    pub best: RuleNight,
    /// The worst of what was tried; absent where the rule leaves nothing open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst: Option<RuleNight>,
}

/// A night under a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RuleNight {
    /// When the last device is full, in hours; absent where one never is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub longest_h: Option<f64>,
    /// By charger where the order makes a difference, the order; where one port goes first,
    /// its device is the first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub orders: Vec<PlugOrder>,
    /// By device that has a berth, in the order of the devices.
    pub berths: Vec<RuleBerth>,
}

/// The order of plugging in on one charger, or in which demands are met.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PlugOrder {
    /// The charger.
    pub charger: String,
    /// Its devices.
    pub devices: Vec<String>,
}

/// A device under a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct RuleBerth {
    /// The device.
    pub device: String,
    /// What its port is granted at the start, in watts.
    pub granted_w: f64,
    /// Volts × amperes of the contract at the start; absent where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub port_w: Option<f64>,
    /// Time to full, in hours; absent where it is never.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub full_h: Option<f64>,
}

/// What a person can do about a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct PlugAdvice {
    /// If the charger follows this rule.
    pub rule: SharingRule,
    /// How grants are reckoned with in the times: handed on only where it makes no difference
    /// while they are held.
    pub grants: Grants,
    /// The charger.
    pub charger: String,
    /// The device with which it is enough; where it takes more than one, that of the best
    /// order.
    pub device: String,
    /// Where it should come.
    pub place: PlugPlace,
    /// The longest time on this charger in the best order; absent where that is never.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub best_h: Option<f64>,
    /// The same in the worst order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst_h: Option<f64>,
    /// The same in the worst order of those in which the device has its place: so much is
    /// certain however the others come, where all orders were tried. Absent where never.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub then_h: Option<f64>,
    /// Whether that alone is as good as the best order, within the setup's tolerance.
    pub is_enough: bool,
    /// The best order.
    pub order: Vec<String>,
    /// Whether every order was tried.
    pub tried_all: bool,
}

words! {
    /// How long grants last.
    #[non_exhaustive]
    pub enum Grants {
        /// Each is kept as it is at the start.
        Held = "held",
        /// They are made anew whenever a device is full.
        HandedOn = "handed-on",
    }
}

words! {
    /// Where in the order a device should come.
    #[non_exhaustive]
    pub enum PlugPlace {
        /// Plugged in before all others.
        First = "first",
        /// Plugged in after all others.
        Last = "last",
        /// On the port that goes first.
        FirstPort = "first-port",
    }
}

/// Tells what a plan comes to under each rule by which chargers are known to share, and which
/// order of plugging in is worth something.
///
/// The plan must be one that [`verify`](crate::verify()) accepts, as every plan of
/// [`assign`](crate::assign()) is.
///
/// ```
/// use wattberth::{Cable, Charger, Device, PlugPlace, Port, SetupDocument, SharingRule};
/// use wattberth::{assign, sharing_rules};
///
/// let setup = SetupDocument::new()
///     .charger(
///         Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 45.0)).max_w(52.5),
///     )
///     .cable(Cable::c_to_c("braided").count(2))
///     .device(Device::new("laptop", 60.0).pd_w(45.0))
///     .device(Device::new("tablet", 10.0).pd_w(45.0))
///     .check()?;
/// let plan = assign(&setup)?;
/// let told = sharing_rules(&setup, &plan)?;
/// let first_come = told.rules.iter().find(|of| of.rule == SharingRule::FirstCome);
/// let held = &first_come.expect("it is a rule").held;
/// assert!(held.best.longest_h < held.worst.as_ref().expect("orders matter").longest_h);
/// let advice = told.advice.iter().find(|of| of.rule == SharingRule::FirstCome);
/// let advice = advice.expect("somebody is better plugged in first");
/// assert_eq!((advice.device.as_str(), advice.place), ("laptop", PlugPlace::First));
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Input`](crate::Error::Input) where the plan does not belong to the setup.
pub fn sharing_rules(setup: &Setup, plan: &Plan) -> Result<SharingRules> {
    sharing_rules_with(setup, plan, &TimelineOptions::default())
}

/// As [`sharing_rules()`], within the limits of `options`; its other fields do not matter
/// here. When a limit strikes, what was tried by then is told, and that it is not all.
///
/// # Errors
/// As [`sharing_rules()`].
pub fn sharing_rules_with(
    setup: &Setup,
    plan: &Plan,
    options: &TimelineOptions,
) -> Result<SharingRules> {
    let schedule = Schedule::of_plan(setup, plan)?;
    let slots = &schedule.slots;
    let carried: Vec<Carries> = slots
        .iter()
        .map(|slot| carries(&setup.cables[slot.cable], Lift::Nothing))
        .collect();
    let bench = Bench::of(setup, slots, &carried);
    let mut budget = options.begin()?;
    let promised = promises(setup, slots);
    let promised = promised.iter().map(Promise::time);
    let mut told = SharingRules {
        version: 1,
        planned_h: slots.iter().map(|slot| slot.hours).fold(0.0, f64::max),
        promised_h: promised.max().map_or(Some(0.0), hours),
        rules: Vec::new(),
        undecided: Vec::new(),
        advice: Vec::new(),
        cautions: sessions_unused(setup).into_iter().collect(),
    };
    let assured = bench.is_assured();
    let rules = SharingRule::ALL.into_iter();
    let rules: Vec<SharingRule> = rules
        .filter(|rule| assured || *rule != SharingRule::Assured)
        .collect();
    for (index, &rule) in rules.iter().enumerate() {
        let parts = rules.len() - index;
        match budget.share(parts, |budget| bench.tried(rule, budget)) {
            Some(tried) => {
                told.rules.push(bench.outcome(rule, &tried));
                told.advice.extend(bench.advice(rule, &tried));
            }
            None => told.undecided.push(rule),
        }
    }
    Ok(told)
}

/// None where it is never.
fn hours(time: i64) -> Option<f64> {
    (time < NEVER).then(|| from_millionths(time))
}
