//! The berths of a plan: each by itself, then the rules that they share.

use super::limiting::limiting;
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
    /// Per berth, its exact time; as printed where it could not be recomputed.
    pub(super) hours: Vec<f64>,
    /// Berths that are late.
    pub(super) late: usize,
    /// Per device, how many berths name it.
    pub(super) berths_of: Vec<usize>,
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
        hours: Vec::with_capacity(plan.berths.len()),
        late: 0,
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
        let exact = place.and_then(|place| numbers(setup, berth, &place, &path, findings));
        known.late += usize::from(exact.map_or(berth.late, |exact| exact.late));
        known
            .hours
            .push(exact.map_or(berth.hours, |exact| exact.hours));
        known.settled.push(place);
    }
    if let Some(places) = known.all() {
        let shared_rules_hold = check_combinations(setup, &places, "", findings)
            & (0..setup.chargers.len())
                .all(|charger| pools_suffice(&setup.chargers[charger], &places, charger));
        // Best times beside the others mean something only where the plan is legal so
        // far; wrong numbers alone do not make it illegal.
        if shared_rules_hold && uses.legal {
            check_limits(setup, plan, &places, findings);
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

fn check_limits(setup: &Setup, plan: &Plan, places: &[Place], findings: &mut Findings) {
    for (index, berth) in plan.berths.iter().enumerate() {
        compare_limit(index, berth, limiting(setup, places, index), findings);
    }
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
