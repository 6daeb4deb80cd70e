//! The berths of a plan: each by itself, then the rules that they share.

use super::limiting::limiting;
use super::negotiation::Contract;
use super::promise::{Sure, demands, sure};
use super::rules::{Place, lines_grant, pools_suffice};
use super::seat::{Seat, Uses, hours, settle};
use super::{Findings, shown};
use crate::plan::{Berth, LimitedBy, Plan};
use crate::setup::Setup;
use crate::units::millionths;

/// What is known of the places of a plan once each berth has been looked at.
pub(super) struct Places {
    /// Per berth, its place; `None` where it could not be recomputed.
    settled: Vec<Option<Place>>,
    /// Per berth, every contract of its device there; none where it could not be recomputed.
    possible: Vec<Vec<Contract>>,
    /// Per berth, its exact time; as printed where it could not be recomputed.
    pub(super) hours: Vec<f64>,
    /// Berths that are late.
    pub(super) late: usize,
    /// When each berth is surely full, and how many are not promised in time; absent where
    /// not every place could be recomputed.
    pub(super) promised: Option<Promised>,
    /// Per device, how many berths name it.
    pub(super) berths_of: Vec<usize>,
}

/// What is certain of the berths together.
pub(super) struct Promised {
    /// The longest time; none where that of any berth is never.
    pub(super) longest_h: Option<f64>,
    pub(super) late: usize,
}

impl Promised {
    /// Of berths with the time at which each is surely full, and whether that is late.
    pub(super) fn of(berths: &[(Option<f64>, bool)]) -> Self {
        let longest = |longest: f64, time: Option<f64>| Some(longest.max(time?));
        Self {
            longest_h: berths
                .iter()
                .try_fold(0.0, |most, &(time, _)| longest(most, time)),
            late: berths.iter().filter(|(_, late)| *late).count(),
        }
    }
}

impl Places {
    /// Every place, where all of them could be recomputed.
    pub(super) fn all(&self) -> Option<Vec<Place>> {
        self.settled.iter().copied().collect()
    }
}

/// Checks the berths one by one and against each other.
pub(super) fn check(setup: &Setup, plan: &Plan, findings: &mut Findings) -> Places {
    let mut known = Places {
        settled: Vec::with_capacity(plan.berths.len()),
        possible: Vec::with_capacity(plan.berths.len()),
        hours: Vec::with_capacity(plan.berths.len()),
        late: 0,
        promised: None,
        berths_of: vec![0; setup.devices.len()],
    };
    let mut uses = Uses::none(setup, [String::new()]);
    for (index, berth) in plan.berths.iter().enumerate() {
        let path = format!("berths[{index}]");
        let seat = Seat::named(setup, berth, &path, findings);
        uses.count(setup, &seat, 0..1, &path, findings);
        if let Some(device) = seat.device {
            known.berths_of[device] += 1;
        }
        let place = seat
            .whole()
            .and_then(|seat| settle(setup, berth, seat, &path, findings));
        let (place, possible) = place.unzip();
        let exact = place.and_then(|place| numbers(setup, berth, &place, &path, findings));
        known.late += usize::from(exact.map_or(berth.late, |exact| exact.late));
        known
            .hours
            .push(exact.map_or(berth.hours, |exact| exact.hours));
        known.settled.push(place);
        known.possible.push(possible.unwrap_or_default());
    }
    if let Some(places) = known.all() {
        let shared_rules_hold = check_combinations(setup, &places, "", findings)
            & (0..setup.chargers.len())
                .all(|charger| pools_suffice(&setup.chargers[charger], &places, charger));
        // Best times beside the others mean something only where the plan is legal so
        // far; wrong numbers alone do not make it illegal.
        if shared_rules_hold && uses.legal {
            check_limits(setup, plan, (&places, &known.possible), findings);
            known.promised = Some(check_promises(setup, plan, &places, findings));
        }
    }
    known
}

/// What follows from a place by itself.
#[derive(Clone, Copy)]
struct Exact {
    hours: f64,
    late: bool,
}

/// Compares the numbers of a berth; `None` where the device never gets full there.
fn numbers(
    setup: &Setup,
    berth: &Berth,
    place: &Place,
    path: &str,
    findings: &mut Findings,
) -> Option<Exact> {
    let device = &setup.devices[place.device];
    let hours = hours(setup, berth, place, path, findings)?;
    let is_late = |hours: f64| {
        device
            .ready_by_h
            .is_some_and(|ready_h| millionths(hours) > millionths(ready_h))
    };
    // Exactly between two millionths the last bit of the time would decide; there,
    // either answer stands.
    let (surely, perhaps) = (
        is_late(hours * (1.0 - 1e-12)),
        is_late(hours * (1.0 + 1e-12)),
    );
    let late = if surely == perhaps {
        surely
    } else {
        berth.late
    };
    if berth.late != late {
        let ready = device
            .ready_by_h
            .map_or("at any time".to_owned(), |h| format!("by {h} h"));
        findings.add(
            format!("{path}.late"),
            format!(
                "is {}, but the device is full after {} h and must be so {ready}",
                berth.late,
                shown(hours)
            ),
        );
    }
    Some(Exact { hours, late })
}

/// Checks every charger's combination table; whether all hold. `when` follows in messages.
pub(super) fn check_combinations(
    setup: &Setup,
    places: &[Place],
    when: &str,
    findings: &mut Findings,
) -> bool {
    let mut hold = true;
    for (charger, spec) in setup.chargers.iter().enumerate() {
        if !lines_grant(&setup.chargers[charger], places, charger) {
            hold = false;
            let in_use: Vec<String> = places
                .iter()
                .filter(|place| place.charger == charger)
                .map(|p| {
                    format!(
                        "{} at {} W",
                        spec.ports[p.port].name,
                        shown(p.contract.tier_w)
                    )
                })
                .collect();
            findings.add(
                "berths",
                format!(
                    "no combination of `{}` that governs grants {}{when}",
                    spec.name,
                    in_use.join(", ")
                ),
            );
        }
    }
    hold
}

/// Compares what is certain of each berth beside the others.
fn check_promises(
    setup: &Setup,
    plan: &Plan,
    places: &[Place],
    findings: &mut Findings,
) -> Promised {
    let each = plan.berths.iter().zip(places).enumerate();
    let session = [places.to_vec()];
    let demands = demands(setup, places.iter());
    let promised = each.map(|(index, (berth, place))| {
        let sure = sure(setup, place, &session, &demands);
        compare_sure(&format!("berths[{index}]"), berth, &sure, findings);
        let ready_by = setup.devices[place.device].ready_by_h.map(millionths);
        let time = sure.hours.map(millionths);
        let late = ready_by.is_some_and(|by| time.is_none_or(|time| time > by));
        (sure.hours, late)
    });
    Promised::of(&promised.collect::<Vec<_>>())
}

fn check_limits(
    setup: &Setup,
    plan: &Plan,
    (places, possible): (&[Place], &[Vec<Contract>]),
    findings: &mut Findings,
) {
    for ((index, berth), possible) in plan.berths.iter().enumerate().zip(possible) {
        let limit = limiting(setup, places, index, possible);
        compare_limit(index, berth, limit, findings);
    }
}

/// Compares what is printed as certain.
pub(super) fn compare_sure(path: &str, berth: &Berth, sure: &Sure, findings: &mut Findings) {
    let watts = sure.contract.map(|contract| contract.port_w());
    findings.compare_some(format_args!("{path}.promised_w"), berth.promised_w, watts);
    findings.compare_some(
        format_args!("{path}.promised_h"),
        berth.promised_h,
        sure.hours,
    );
}

pub(super) fn compare_limit(
    index: usize,
    berth: &Berth,
    limit: LimitedBy,
    findings: &mut Findings,
) {
    if berth.limited_by != limit {
        findings.add(
            format!("berths[{index}].limited_by"),
            format!("is {}, must be {}", berth.limited_by.word(), limit.word()),
        );
    }
}
