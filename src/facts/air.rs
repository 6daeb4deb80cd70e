//! Lithium batteries by air: what may fly, where, how many.
//!
//! The rules of ICAO, IATA and the United States for passengers' own things. Airlines
//! and states may be stricter, which [`AIRLINES`] says. Lithium ion goes by its watt-hours,
//! lithium metal, which is not charged again, by its grams of lithium.

use std::fmt;

use serde::Serialize;

use crate::units::millionths;

mod name;
mod rule;

pub use name::{NameSays, kind_says, name_plainly_says, name_says};
pub use rule::{AIRLINES, AirRule, Counted, NOT_BUILT_IN, NationalRule, national_rules};

/// The energy of a battery as its label gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Energy {
    /// Watt-hours, as printed.
    WattHours(f64),
    /// A capacity with the voltage of its cells.
    Charge {
        /// Milliamp-hours.
        mah: f64,
        /// The nominal voltage at which they are rated, in volts: 3.6 or 3.7 V, or a
        /// multiple of it.
        cell_v: f64,
    },
}

/// Why a label gives no energy.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum EnergyFault {
    /// The voltage is that of a USB output: the capacity is rated at the cells' voltage,
    /// and the product would be too large.
    OutputVoltage(f64),
    /// A number is not above 0, or not finite.
    NotPositive,
}

impl fmt::Display for EnergyFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutputVoltage(volts) => write!(
                f,
                "{volts} V is the voltage of a USB output: the capacity is rated at the voltage \
                 of the cells, 3.6 or 3.7 V where nothing else is printed"
            ),
            Self::NotPositive => f.write_str("a capacity and a voltage are above 0"),
        }
    }
}

impl std::error::Error for EnergyFault {}

/// Output voltages of USB around 5 V (USB 2.0, 7.2.2: 4.75 to 5.25 V; up to 5.5 V since
/// USB Type-C); no lithium battery has such a nominal voltage.
pub(crate) const USB_5_V: (f64, f64) = (4.75, 5.5);

impl Energy {
    /// The watt-hours: ampere-hours times the nominal voltage (49 CFR 171.8).
    ///
    /// # Errors
    ///
    /// The voltage of a USB output; a number that is not above 0.
    pub fn watt_hours(self) -> Result<f64, EnergyFault> {
        let wh = match self {
            Self::WattHours(wh) => wh,
            Self::Charge { cell_v, .. } if (USB_5_V.0..=USB_5_V.1).contains(&cell_v) => {
                return Err(EnergyFault::OutputVoltage(cell_v));
            }
            Self::Charge { mah, cell_v } if mah > 0.0 && cell_v > 0.0 => mah / 1000.0 * cell_v,
            Self::Charge { .. } => return Err(EnergyFault::NotPositive),
        };
        if wh > 0.0 && wh.is_finite() {
            Ok(wh)
        } else {
            Err(EnergyFault::NotPositive)
        }
    }
}

/// What a battery is to the rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum BatteryKind {
    /// In the device that it drives.
    BuiltIn,
    /// Loose.
    Spare,
    /// There to charge other things.
    PowerBank,
    /// In a bag, from which it comes out.
    Bag,
    /// In a bag, from which it does not come out.
    BagFixed,
}

/// Batteries of one kind and size.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Battery {
    /// Watt-hours of each, where they are known.
    pub wh: Option<f64>,
    /// Grams of lithium in each, where it is lithium metal and not charged again; its
    /// watt-hours are then of no concern.
    pub lithium_g: Option<f64>,
    /// Whether it is of a portable medical device.
    pub medical: bool,
    /// What they are to the rules.
    pub kind: BatteryKind,
    /// How many there are.
    pub count: u32,
}

/// The classes of the rules; the limits themselves are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum AirClass {
    /// Up to 100 Wh.
    UpTo100Wh,
    /// Above 100 and up to 160 Wh.
    UpTo160Wh,
    /// Above 160 Wh.
    Over160Wh,
}

impl AirClass {
    /// The class of a battery by its watt-hours, compared in whole millionths; none where they
    /// are no number from 0.
    pub fn of(wh: f64) -> Option<Self> {
        Some(match millionths(from_0(wh)?) {
            wh if wh <= millionths(100.0) => Self::UpTo100Wh,
            wh if wh <= millionths(160.0) => Self::UpTo160Wh,
            _ => Self::Over160Wh,
        })
    }
}

/// The classes of the rules for lithium metal; the limits themselves are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum MetalClass {
    /// Up to 2 g of lithium.
    UpTo2G,
    /// Above 2 and up to 8 g.
    UpTo8G,
    /// Above 8 g.
    Over8G,
}

impl MetalClass {
    /// The class of a battery by its grams of lithium, compared in whole millionths; none
    /// where they are no number from 0.
    pub fn of(lithium_g: f64) -> Option<Self> {
        Some(match millionths(from_0(lithium_g)?) {
            grams if grams <= millionths(2.0) => Self::UpTo2G,
            grams if grams <= millionths(8.0) => Self::UpTo8G,
            _ => Self::Over8G,
        })
    }
}

/// What is known of a quantity that cannot be below 0.
fn from_0(value: f64) -> Option<f64> {
    (value.is_finite() && value >= 0.0).then_some(value)
}

impl Battery {
    /// The same without what is no number from 0: then its size is not known.
    fn as_known(&self) -> Self {
        let is_metal = self.lithium_g.is_some();
        Self {
            wh: self.wh.and_then(from_0).filter(|_| !is_metal),
            lithium_g: self.lithium_g.and_then(from_0),
            ..*self
        }
    }

    /// Whether it needs no approval for its size; not where that is not known.
    fn is_small(&self) -> bool {
        match (self.lithium_g, self.wh) {
            (Some(grams), _) => MetalClass::of(grams) == Some(MetalClass::UpTo2G),
            (None, Some(wh)) => AirClass::of(wh) == Some(AirClass::UpTo100Wh),
            (None, None) => false,
        }
    }

    /// Whether it may stay in a bag in the hold: up to 0.3 g of lithium or 2.7 Wh.
    fn is_tiny(&self) -> bool {
        match (self.lithium_g, self.wh) {
            (Some(grams), _) => millionths(grams) <= millionths(0.3),
            (None, Some(wh)) => millionths(wh) <= millionths(2.7),
            (None, None) => false,
        }
    }

    /// Whether it flies as a spare does: loose, in a power bank, or taken out of its bag.
    fn is_loose(&self) -> bool {
        match self.kind {
            BatteryKind::Spare | BatteryKind::PowerBank => true,
            BatteryKind::Bag => !self.is_tiny(),
            BatteryKind::BuiltIn | BatteryKind::BagFixed => false,
        }
    }
}

/// Whether something may fly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum AirVerdict {
    /// It may.
    Allowed,
    /// It may, if this is kept.
    Condition,
    /// Not known: its energy is missing.
    Unknown,
    /// It may with the airline's approval only.
    NeedsApproval,
    /// It may not.
    Forbidden,
}

/// Where a battery travels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Place {
    /// With the traveller; never in the hold.
    CabinOnly,
    /// With the traveller if possible; in the hold switched off.
    CabinPreferred,
    /// In its bag in the cabin; out of it, and with the traveller, where the bag goes in the
    /// hold.
    TakenOut,
    /// In its bag, wherever that goes.
    InTheBag,
}

/// What the rules say of some of the batteries.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct AirFinding {
    /// Which batteries of the list, by index.
    pub batteries: Vec<usize>,
    /// Whether they may fly, as far as this rule goes.
    pub verdict: AirVerdict,
    /// Why.
    pub reason: AirReason,
    /// The rule, with its source and date.
    pub rule: &'static AirRule,
}

/// Why a rule applies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum AirReason {
    /// Each is in this class.
    Class {
        /// Watt-hours of each.
        wh: f64,
        /// The class.
        class: AirClass,
    },
    /// Each has so much lithium metal.
    Metal {
        /// Grams of lithium in each.
        grams: f64,
        /// The class.
        class: MetalClass,
    },
    /// It does not come out of its bag, and is too large for that.
    StuckInBag,
    /// The watt-hours are not known, and so the class is not.
    NoEnergy,
    /// They travel there.
    Travels(Place),
    /// So many against so many.
    Count {
        /// How many there are.
        count: u64,
        /// How many may fly without more ado, all travellers together.
        allowed: u64,
    },
    /// Something to keep to on board or in the bag.
    Keep,
}

impl fmt::Display for AirReason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Class { wh, class } => {
                let wh = (wh * 100.0).round() / 100.0;
                match class {
                    AirClass::UpTo100Wh => write!(f, "{wh} Wh, not above 100 Wh"),
                    AirClass::UpTo160Wh => write!(f, "{wh} Wh, above 100 and not above 160 Wh"),
                    AirClass::Over160Wh => write!(f, "{wh} Wh, above 160 Wh"),
                }
            }
            Self::Metal { grams, class } => {
                let grams = (grams * 1000.0).round() / 1000.0;
                let limit = match class {
                    MetalClass::UpTo2G => "not above 2 g",
                    MetalClass::UpTo8G => "above 2 and not above 8 g",
                    MetalClass::Over8G => "above 8 g",
                };
                write!(f, "{grams} g of lithium, {limit}")
            }
            Self::StuckInBag => f.write_str("it does not come out, and is above 2.7 Wh or 0.3 g"),
            Self::NoEnergy => f.write_str("its watt-hours are not known"),
            Self::Travels(Place::CabinOnly) => f.write_str("in the cabin, never in the hold"),
            Self::Travels(Place::CabinPreferred) => {
                f.write_str("best in the cabin; in the hold only switched off")
            }
            Self::Travels(Place::TakenOut) => {
                f.write_str("in the cabin, and out of a bag that goes in the hold")
            }
            Self::Travels(Place::InTheBag) => f.write_str("in its bag, wherever that goes"),
            Self::Count { count, allowed } => write!(f, "{count}, and {allowed} may fly so"),
            Self::Keep => f.write_str("to be kept by every traveller"),
        }
    }
}

/// What the rules say of batteries carried by `travellers` people together, at least one:
/// each battery's class and place first, then the counts, then what is to be kept.
///
/// A power bank is a spare battery (49 CFR 175.10(a)(18)(iv)). Since 27 March 2026 two may
/// be carried per person; whether those of above 100 Wh count among the two larger spares
/// as well is read strictly: they do.
///
/// Watt-hours or grams that are no number from 0 count as not known.
pub fn flight(batteries: &[Battery], travellers: u32) -> Vec<AirFinding> {
    let travellers = u64::from(travellers.max(1));
    let batteries: Vec<Battery> = batteries.iter().map(Battery::as_known).collect();
    let batteries = batteries.as_slice();
    let mut findings = Vec::new();
    for (index, battery) in batteries.iter().enumerate() {
        if battery.count > 0 {
            each(index, *battery, &mut findings);
        }
    }
    for (rule, beyond) in [
        (&rule::LARGE_SPARES, AirVerdict::Forbidden),
        (&rule::SMALL_SPARES, AirVerdict::NeedsApproval),
        (&rule::POWER_BANKS, AirVerdict::Forbidden),
        (&rule::DEVICES, AirVerdict::NeedsApproval),
    ] {
        findings.extend(counted(batteries, travellers, rule, beyond));
    }
    keep(batteries, &mut findings);
    findings
}

/// The batteries that a rule counts, against what it allows; `beyond` is the verdict
/// where there are more.
fn counted(
    batteries: &[Battery],
    travellers: u64,
    rule: &'static AirRule,
    beyond: AirVerdict,
) -> Option<AirFinding> {
    let (per_person, counts) = rule.limit?;
    let batteries_counted = indices(batteries, |battery| counts.counts(*battery));
    if batteries_counted.is_empty() {
        return None;
    }
    let count = batteries_counted
        .iter()
        .map(|&index| u64::from(batteries[index].count))
        .sum();
    let allowed = u64::from(per_person) * travellers;
    Some(AirFinding {
        batteries: batteries_counted,
        verdict: if count > allowed {
            beyond
        } else {
            AirVerdict::Allowed
        },
        reason: AirReason::Count { count, allowed },
        rule,
    })
}

/// A battery's class and place.
fn each(index: usize, battery: Battery, findings: &mut Vec<AirFinding>) {
    let mut find = |verdict, reason, rule| {
        findings.push(AirFinding {
            batteries: vec![index],
            verdict,
            reason,
            rule,
        });
    };
    let (verdict, reason, rule) = size(battery);
    find(verdict, reason, rule);
    if verdict == AirVerdict::Forbidden {
        return;
    }
    let (verdict, place, rule) = place(battery);
    find(verdict, AirReason::Travels(place), rule);
}

/// What the rules say of a battery for its size.
fn size(battery: Battery) -> (AirVerdict, AirReason, &'static AirRule) {
    use AirVerdict::{Allowed, Forbidden, NeedsApproval, Unknown};
    let known = battery.wh.is_some() || battery.lithium_g.is_some();
    if battery.kind == BatteryKind::BagFixed && known && !battery.is_tiny() {
        return (Forbidden, AirReason::StuckInBag, &rule::BAG_FIXED);
    }
    let metal = |grams| Some((grams, MetalClass::of(grams)?));
    if let Some((grams, class)) = battery.lithium_g.and_then(metal) {
        let (verdict, rule) = match class {
            MetalClass::UpTo2G => (Allowed, &rule::UP_TO_2_G),
            MetalClass::UpTo8G if battery.medical => (NeedsApproval, &rule::UP_TO_8_G),
            MetalClass::UpTo8G => (Forbidden, &rule::UP_TO_8_G),
            MetalClass::Over8G => (Forbidden, &rule::OVER_8_G),
        };
        return (verdict, AirReason::Metal { grams, class }, rule);
    }
    let ion = |wh| Some((wh, AirClass::of(wh)?));
    let Some((wh, class)) = battery.wh.and_then(ion) else {
        return (Unknown, AirReason::NoEnergy, &rule::LOOK_AT_THE_LABEL);
    };
    let (verdict, rule) = match class {
        AirClass::UpTo100Wh => (Allowed, &rule::UP_TO_100_WH),
        AirClass::UpTo160Wh => (NeedsApproval, &rule::UP_TO_160_WH),
        AirClass::Over160Wh => (Forbidden, &rule::OVER_160_WH),
    };
    (verdict, AirReason::Class { wh, class }, rule)
}

/// Where a battery travels that may fly.
fn place(battery: Battery) -> (AirVerdict, Place, &'static AirRule) {
    use AirVerdict::{Allowed, Condition, Unknown};
    match battery.kind {
        BatteryKind::BuiltIn => (Condition, Place::CabinPreferred, &rule::INSTALLED),
        BatteryKind::Spare => (Condition, Place::CabinOnly, &rule::SPARES_IN_CABIN),
        BatteryKind::PowerBank => (Condition, Place::CabinOnly, &rule::BANKS_IN_CABIN),
        _ if battery.is_tiny() => (Allowed, Place::InTheBag, &rule::BAG_TINY),
        BatteryKind::Bag => (Condition, Place::TakenOut, &rule::BAG_TAKEN_OUT),
        // Of a size that nobody knows.
        BatteryKind::BagFixed => (Unknown, Place::InTheBag, &rule::BAG_FIXED),
    }
}

/// What is to be kept, each once.
fn keep(batteries: &[Battery], findings: &mut Vec<AirFinding>) {
    let loose = indices(batteries, Battery::is_loose);
    let banks = indices(batteries, |b| b.kind == BatteryKind::PowerBank);
    let all = indices(batteries, |_| true);
    for (batteries, rule) in [
        (&loose, &rule::TERMINALS),
        (&banks, &rule::NO_RECHARGING),
        (&banks, &rule::NO_CHARGING_FROM),
        (&banks, &rule::SOME_AIRLINES),
        (&all, &rule::DAMAGED),
        (&all, &AIRLINES),
    ] {
        if !batteries.is_empty() {
            findings.push(AirFinding {
                batteries: batteries.clone(),
                verdict: AirVerdict::Condition,
                reason: AirReason::Keep,
                rule,
            });
        }
    }
}

fn indices(batteries: &[Battery], applies: impl Fn(&Battery) -> bool) -> Vec<usize> {
    batteries
        .iter()
        .enumerate()
        .filter(|(_, battery)| battery.count > 0 && applies(battery))
        .map(|(index, _)| index)
        .collect()
}

#[cfg(test)]
mod tests;
