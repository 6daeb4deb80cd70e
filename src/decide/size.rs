//! What to buy: the least charger with which the devices of a bag are full in time.
//!
//! Every device gets a USB-C port of its own that could give 240 W, and one of the
//! bag's cables; one that only cables for USB-A ports reach gets such a port. What is left to decide is a level for each, so that the watts of the
//! contracts add up to the least: an assignment of devices to cables with a price for
//! each pair, for every time that could be the longest (`frontier.rs`). Where several
//! have the least watts at the chosen time, the plan's order decides (`ties.rs`). The
//! charger that this calls for is built and planned with before anything is returned
//! (`built.rs`).

mod built;
mod frontier;
mod ties;

use crate::json::document;
use serde::{Deserialize, Serialize};

use crate::assign::options::{Choice, Choices, PortGroup};
use crate::assign::reasons::reason;
use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Result};
use crate::limits::BY_H;
use crate::plan::origin::Program;
use crate::plan::promise::{Asking, NEVER};
use crate::plan::{Berth, Plan, Reason, Status, WithoutBerth};
use crate::setup::contract::{Lift, Negotiation, carries, reaches};
use crate::setup::curve::hours_to_full;
use crate::setup::document::{Aim, Cable, Charger, Port, Reserve, Voltages};
use crate::setup::{DeviceSpec, PortSpec, Setup};
use crate::solve::options::SolveOptions;
use crate::units::{from_millionths, millionths, rounded};
use crate::usb::Connector;
use crate::usb::power_rules::source_offers;
use frontier::{Frontier, Point};

/// The PD power of the ports from which the least are found: the most there is
/// (USB PD R3.2, EPR).
const LARGEST_PD_W: f64 = 240.0;

/// The least charger for the devices of a bag, as data. Serialises to the size document.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Sizing {
    /// Version of the document's form.
    pub version: u32,
    /// The program that wrote it.
    pub program: Program,
    /// SHA-256 of the bag's document, the setup's without chargers, defaults as they were
    /// read, white space aside.
    pub setup_sha256: String,
    /// Whether, of several choices with the least watts, this is proven to be the one that
    /// the plan's order prefers; that the watts are the least always is.
    pub status: Status,
    /// When all are to be full, in hours; absent where no time was given: then it is the
    /// shortest that any charger can reach.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by_h: Option<f64>,
    /// When the last device is full, in hours; 0 where there is none.
    pub longest_h: f64,
    /// A port for each device that can be full in time, in the order of the devices.
    pub ports: Vec<SizedPort>,
    /// The watts of all contracts together (volts × amperes): proven the least.
    pub total_w: f64,
    /// The ports' tiers together, in watts: what a charger needs that keeps the whole
    /// tier for a port in use (`reserve` by offer).
    pub tiers_sum_w: f64,
    /// The `max_w` of the same devices together, in watts: the most that their labels
    /// ask for (where `max_w` is not given, `pd_w` or the largest of the printed
    /// entries).
    pub labels_sum_w: f64,
    /// How many times `total_w` that is; absent where there is no port.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub labels_factor: Option<f64>,
    /// Every pair of a longest time and the least watts for it that no other pair beats
    /// in both, the shortest time first. For the devices that have a port; their own
    /// deadlines are kept, `by_h` is not.
    pub frontier: Vec<Tradeoff>,
    /// Whether these are all such pairs: a limit may have ended the search for them.
    pub frontier_complete: bool,
    /// Devices that no cable of the bag joins to a USB-C port with what they accept, or
    /// for which none is left.
    pub unreached: Vec<WithoutBerth>,
    /// Devices that are too late with the best cable and the largest port.
    pub too_late: Vec<TooLate>,
    /// What to keep in mind, each once.
    pub cautions: Vec<String>,
}

impl Sizing {
    /// Whether every device that needs one has a port, in time.
    pub(crate) fn all_served(&self) -> bool {
        self.unreached.is_empty() && self.too_late.is_empty()
    }
}

document!(Sizing, "document that `size` gives", size_schema);

/// One port to look for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct SizedPort {
    /// The device, with its number where there are several of it.
    pub device: String,
    /// The cable.
    pub cable: String,
    /// The port's connector; absent where it is `usb-c`. One of `usb-a` gives 5 V 2.4 A.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub connector: Option<String>,
    /// The least power that ports are sold with and that gives the contract, in watts: the
    /// PD power (PDP) to look for on the label.
    pub tier_w: f64,
    /// Volts × amperes.
    pub port_w: f64,
    /// Volts of the contract.
    pub volts: f64,
    /// Amperes of the contract.
    pub amps: f64,
    /// Time to full at best, in hours.
    pub hours: f64,
    /// Time to full that is certain, in hours; absent where the least is not sought by what
    /// is certain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub promised_h: Option<f64>,
}

/// A longest time, and the least watts for it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Tradeoff {
    /// When the last device is full, in hours.
    pub longest_h: f64,
    /// The least watts of all contracts together with which that can be.
    pub total_w: f64,
}

/// A device that no port makes full in time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct TooLate {
    /// The device.
    pub device: String,
    /// When it is full at the earliest, with the best cable and the largest port, in hours.
    pub earliest_h: f64,
    /// When it must be full, in hours.
    pub needed_h: f64,
}

/// The least charger for the devices of a bag, with its cables: all full after `by_h`
/// hours, and each by its own `ready_by_h`.
///
/// Pins onto ports are not looked at. Where `by_h` is absent, it is the bag's
/// `session_h`; where that is absent too, the time is the shortest that any charger can
/// reach with these cables.
///
/// Of equally few watts the shortest longest time decides, then the plan's order: the shortest
/// times, longest first, those of priority 3 after the others; the fewest hours at best; the
/// cables as listed. Where cables are short, those devices stay without one
/// that matter less: by priority, then the fewer watt-hours missing, then the later
/// listed. Who cannot be full in time with any cable is named, and the rest is sized.
///
/// ```
/// use wattberth::{Cable, Device, SetupDocument, size};
///
/// let bag = SetupDocument::new()
///     .cable(Cable::c_to_c("braided").count(3))
///     .device(Device::new("laptop", 56.0).accepts("15V 3A, 20V 3.25A"))
///     .device(Device::new("score tablet", 28.6).accepts("5V 3A, 9V 3A").count(2))
///     .check_bag()?;
/// let least = size(&bag, Some(3.0))?;
/// assert_eq!(least.ports.len(), 3);
/// assert!(least.longest_h <= 3.0);
/// // The labels ask for more: 65 W and twice 27 W.
/// assert_eq!(least.labels_sum_w, 119.0);
/// assert!(least.total_w < 80.0);
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Options`] where `by_h` is not from 0 to 10 000; [`Error::NoPlanInTime`]
/// where the budget of [`assign`](crate::assign()) was spent before the charger was
/// planned with; [`Error::Internal`] where an answer did not survive its check.
pub fn size(bag: &Bag, by_h: Option<f64>) -> Result<Sizing> {
    size_with(bag, by_h, &SolveOptions::default())
}

/// As [`size`], within limits.
///
/// Where the budget strikes, the ports shown still have the least watts, but of several
/// choices that have them not always the one that the plan's order prefers
/// ([`Sizing::status`]), and the frontier may lack its fast end
/// ([`Sizing::frontier_complete`]).
///
/// # Errors
/// As [`size`]; [`Error::Options`] where an option is outside its range;
/// [`Error::NoPlanInTime`] where the clock or the flag strikes before there is an answer.
pub fn size_with(bag: &Bag, by_h: Option<f64>, options: &SolveOptions) -> Result<Sizing> {
    options.check()?;
    let (mut budget, wanted) = options.begin();
    let setup = bag.setup();
    if let Some(by_h) = by_h
        && !BY_H.holds(by_h)
    {
        return Err(Error::Options {
            message: BY_H.refusal(by_h),
        });
    }
    let by_h = by_h.or(setup.document.session_h);
    let by = by_h.map_or(i64::MAX, millionths);
    let ideal = ideal(setup)?;
    let mut choices = Choices::of(&ideal, &mut budget)?;
    keep_to_usb_c(&ideal, &mut choices);
    if ideal.aim == Aim::Promise {
        promise(&ideal, &mut choices);
    }
    if !choices.are_complete() {
        return Err(Error::NoPlanInTime);
    }
    let latest = deadlines(&ideal);
    let in_time: Vec<i64> = latest.iter().map(|&own| own.min(by)).collect();
    let served = frontier::served(&ideal, &choices, &in_time, &mut budget);
    // The slowest pair that is in time needs the least watts; without a time, the
    // fastest there is.
    let (chosen, points, frontier_complete) = budget.share(2, |part| -> Result<_> {
        let mut frontier = Frontier::of(&choices, &latest, &served, part);
        let chosen = frontier.chosen(by_h.map(|_| by))?;
        let (mut points, complete) = frontier.points();
        if let Some(point) = chosen
            && !points.contains(&point)
        {
            points.push(point);
        }
        Ok((chosen, points, complete))
    })?;
    let mut status = Status::Optimal;
    let plan = match chosen {
        Some(point) => {
            let found = ties::best(&ideal, &choices, &latest, &served, point, &mut budget);
            let (seats, settled) = found.ok_or_else(|| Error::Internal {
                message: "the least watts were found and could not be had".to_owned(),
            })?;
            if !settled {
                status = Status::Feasible;
            }
            Some(built::plan(
                &ideal,
                &served,
                &seats,
                point,
                (wanted, &budget),
            )?)
        }
        None if served.is_empty() => None,
        None => {
            return Err(Error::Internal {
                message: "devices that have cables in time have no common time".to_owned(),
            });
        }
    };
    let left_out = LeftOut::of(&ideal, &choices, &in_time, &served);
    let mut sizing = Sizing {
        status,
        frontier_complete,
        by_h: by_h.map(rounded),
        setup_sha256: bag.digest(),
        ..sizing(&ideal, &served, &points, plan.as_ref(), left_out)
    };
    sizing.cautions.extend(not_settled(&sizing));
    Ok(sizing)
}

/// What a limit left open.
fn not_settled(sizing: &Sizing) -> Vec<String> {
    let mut open = Vec::new();
    if sizing.status == Status::Feasible {
        open.push(
            "a limit stopped the search: with the same watts in all, other ports may have some \
             devices full sooner"
                .to_owned(),
        );
    }
    if !sizing.frontier_complete {
        open.push(
            "a limit stopped the search: more watts may have all full sooner than is listed"
                .to_owned(),
        );
    }
    open
}

/// The bag with a largest port for each device, every device free to use any of those that
/// its cables fit; where the bag has no cables, with one of 240 W for each.
fn ideal(setup: &Setup) -> Result<Setup> {
    let mut charger = Charger::new("any charger")
        .reserve(Reserve::Contract)
        .voltages(Voltages::Rules)
        .tiers_w(SOLD_W);
    for (number, device) in (1..).zip(&setup.devices) {
        let name = i32::to_string(&number);
        charger = charger.port(if has_usb_a_alone(setup, device) {
            built::usb_a(name)
        } else {
            Port::pd(name, LARGEST_PD_W)
        });
    }
    let mut ideal = setup.on(charger)?;
    if ideal.cables.is_empty() {
        let farthest_m = ideal.devices.iter().map(|device| device.reach_m);
        let cable = Cable::c_to_c(NO_CABLE)
            .epr()
            .length_m(farthest_m.fold(0.0, f64::max))
            .count(u32::try_from(ideal.devices.len()).unwrap_or(u32::MAX));
        ideal.add_cable(cable)?;
    }
    // A session that the setup states is one time among others here.
    for (device, own) in ideal.devices.iter_mut().zip(setup.own_deadlines()) {
        device.ready_by_h = own;
        // A port that surely charges it.
        device.min_w = device.min_w.max(device.promised.min_w);
    }
    ideal.tolerance_h = 0.0;
    Ok(ideal)
}

/// What a cable is called that the bag has not.
const NO_CABLE: &str = "a 240 W cable";

/// Whether a device is reached by cables for USB-A ports, and by none for USB-C ports.
fn has_usb_a_alone(setup: &Setup, device: &DeviceSpec) -> bool {
    let reached_from = |connector: &Connector| {
        let mut cables = setup.bag_cables().iter().enumerate();
        cables.any(|(index, cable)| {
            let pin = device.pinned_cable;
            pin.is_none_or(|pin| pin.0 == index)
                && cable.from == *connector
                && reaches(cable, device)
        })
    };
    reached_from(&Connector::UsbA) && !reached_from(&Connector::UsbC)
}

/// A USB-A port is for those alone whom no cable joins to a USB-C port.
fn keep_to_usb_c(setup: &Setup, choices: &mut Choices) {
    let ports = &choices.ports;
    for (device, ways) in setup.devices.iter().zip(&mut choices.by_device) {
        if !has_usb_a_alone(setup, device) {
            ways.retain(|way| connector_of(setup, &ports[way.port]) == &Connector::UsbC);
        }
    }
}

fn connector_of<'a>(setup: &'a Setup, group: &PortGroup) -> &'a Connector {
    &setup.chargers[group.charger].ports[group.ports[0]].connector
}

/// The ways on ports that are sold with just the power of their tier, each with the time
/// that is certain there.
///
/// They are listed anew: what is no worse at best can be worse where the cable, or the
/// battery, turns out badly.
fn promise(setup: &Setup, choices: &mut Choices) {
    for (device, ways) in setup.devices.iter().zip(&mut choices.by_device) {
        let listed = std::mem::take(ways);
        for known in listed.chunk_by(|a, b| (a.port, a.cable) == (b.port, b.cable)) {
            let cable = &setup.cables[choices.cables[known[0].cable].cables[0]];
            let carried = carries(cable, Lift::Nothing);
            let group = &choices.ports[known[0].port];
            let port = &setup.chargers[group.charger].ports[group.ports[0]];
            let mut lower = None;
            for &tier_w in &port.tiers_w {
                let of_tier = PortSpec {
                    cap_w: tier_w,
                    tiers_w: vec![tier_w],
                    offers: match port.connector {
                        Connector::UsbC => source_offers(tier_w),
                        _ => port.offers.clone(),
                    },
                    ..port.clone()
                };
                let at_best = Negotiation::best(&of_tier, &carried, device).contract_at(tier_w);
                let Some(contract) = at_best else {
                    continue;
                };
                let Some(hours) = hours_to_full(device, contract.inlet_w) else {
                    continue;
                };
                let way = Choice {
                    contract,
                    tier_w,
                    hours,
                    time: Asking::on(&of_tier, &carried, device)
                        .promise_at_cap()
                        .time(),
                    watts: millionths(contract.port_w()),
                    tier: millionths(tier_w),
                    takes: millionths(contract.port_w()),
                    ..known[0].clone()
                };
                if lower != Some(way.key()) && way.time < NEVER {
                    ways.push(way.clone());
                }
                lower = Some(way.key());
            }
        }
    }
}

/// The powers that ports are sold with (model.md's decisions, size).
const SOLD_W: [f64; 9] = [15.0, 20.0, 30.0, 45.0, 65.0, 100.0, 140.0, 180.0, 240.0];

/// By device, when it must be full, in whole 1e-6 h.
fn deadlines(setup: &Setup) -> Vec<i64> {
    let devices = setup.devices.iter();
    devices
        .map(|device| device.ready_by_h.map_or(i64::MAX, millionths))
        .collect()
}

/// The devices without a port, with the reasons.
struct LeftOut {
    unreached: Vec<WithoutBerth>,
    too_late: Vec<TooLate>,
}

impl LeftOut {
    fn of(ideal: &Setup, choices: &Choices, in_time: &[i64], served: &[usize]) -> Self {
        let mut left_out = Self {
            unreached: Vec::new(),
            too_late: Vec::new(),
        };
        for (d, device) in ideal.devices.iter().enumerate() {
            if !device.needs_berth() || served.contains(&d) {
                continue;
            }
            let own = &choices.by_device[d];
            let mut cables: Vec<String> = own
                .iter()
                .filter(|choice| choice.time <= in_time[d])
                .flat_map(|choice| &choices.cables[choice.cable].cables)
                .map(|&cable| ideal.cables[cable].name.clone())
                .collect();
            cables.sort();
            cables.dedup();
            let earliest = own.iter().map(|choice| choice.time).min();
            match earliest {
                Some(earliest) if cables.is_empty() => left_out.too_late.push(TooLate {
                    device: device.name.clone(),
                    earliest_h: from_millionths(earliest),
                    needed_h: from_millionths(in_time[d]),
                }),
                Some(_) => left_out.unreached.push(WithoutBerth {
                    device: device.name.clone(),
                    reason: format!("no cable is left for it ({})", cables.join(", ")),
                    cause: Reason::FewerCables { cables },
                }),
                None => {
                    let cause = reason(ideal, choices, &[], d);
                    left_out.unreached.push(WithoutBerth {
                        device: device.name.clone(),
                        reason: cause.to_string(),
                        cause,
                    });
                }
            }
        }
        left_out
    }
}

fn sizing(
    ideal: &Setup,
    served: &[usize],
    points: &[Point],
    plan: Option<&Plan>,
    left_out: LeftOut,
) -> Sizing {
    let connector = |berth: &Berth| {
        let device = ideal.devices.iter().find(|of| of.name == berth.device);
        let usb_a = device.is_some_and(|device| has_usb_a_alone(ideal, device));
        usb_a.then(|| Connector::UsbA.to_string())
    };
    let ports: Vec<SizedPort> = plan
        .iter()
        .flat_map(|plan| &plan.berths)
        .map(|berth| SizedPort {
            device: berth.device.clone(),
            cable: berth.cable.clone(),
            tier_w: berth.tier_w,
            port_w: berth.port_w,
            volts: berth.volts,
            amps: berth.amps,
            hours: berth.hours,
            promised_h: berth.promised_h.filter(|_| ideal.aim == Aim::Promise),
            connector: connector(berth),
        })
        .collect();
    let sum = |watts: fn(&SizedPort) -> f64| -> f64 {
        from_millionths(ports.iter().map(|port| millionths(watts(port))).sum())
    };
    let labels: i64 = served
        .iter()
        .map(|&d| millionths(ideal.devices[d].max_w))
        .sum();
    let (total_w, labels_sum_w) = (sum(|port| port.port_w), from_millionths(labels));
    Sizing {
        version: 1,
        program: Program::this(),
        setup_sha256: String::new(),
        status: Status::Optimal,
        frontier_complete: true,
        by_h: None,
        longest_h: plan.map_or(0.0, |plan| plan.longest_by_aim().unwrap_or(plan.longest_h)),
        total_w,
        tiers_sum_w: sum(|port| port.tier_w),
        labels_sum_w,
        labels_factor: (total_w > 0.0).then(|| rounded(labels_sum_w / total_w)),
        frontier: points
            .iter()
            .rev()
            .map(|point| Tradeoff {
                longest_h: from_millionths(point.time),
                total_w: from_millionths(point.watts),
            })
            .collect(),
        unreached: left_out.unreached,
        too_late: left_out.too_late,
        cautions: cautions(plan),
        ports,
    }
}

fn cautions(plan: Option<&Plan>) -> Vec<String> {
    let Some(plan) = plan else { return Vec::new() };
    let mut cautions = Vec::new();
    if plan.berths.len() > 1 {
        cautions.push(format!(
            "each port must give its watts while all {} are in use: a label tells what the \
             ports give together beside what each gives alone",
            plan.berths.len()
        ));
    }
    // What holds of the charger to look for is said above.
    let of_it = format!("{}: ", built::NAME);
    let others = plan
        .cautions
        .iter()
        .filter(|text| !text.starts_with(&of_it));
    cautions.extend(others.cloned());
    cautions
}

impl Sizing {
    /// The charger to look for, with a port for each device in order (`1`, `2`, …), as
    /// one that gives the powers of its ports together ([`tiers_sum_w`](Self::tiers_sum_w)):
    /// by whatever rule it shares, no port gets less. `None` where no device has a port.
    ///
    /// What is bought is larger; this one is to be put into a setup and planned with. A
    /// charger that shares as the plan would have it needs only `total_w` together.
    pub fn charger(&self, name: impl Into<String>) -> Option<Charger> {
        if self.ports.is_empty() {
            return None;
        }
        let ports = self.ports.iter();
        let ports = ports.map(|port| (port.connector.is_some(), port.tier_w));
        Some(built::charger(name, ports).max_w(self.tiers_sum_w))
    }
}
