//! The berths of a rota: each by itself, the sessions that it takes, then the rules that
//! berths share in each session.

use super::super::berths::{Promised, check_combinations, compare_limit, compare_sure};
use super::super::limiting::limiting_beside;
use super::super::program::claimed::Berth;
use super::super::promise::{demands, sure};
use super::super::rules::{Place, pools_suffice};
use super::super::seat::{Seat, Uses, hours, settle};
use super::super::{Findings, shown};
use super::night::{Night, Stay};
use crate::plan::rota::{Rota, RotaBerth};
use crate::setup::Setup;
use crate::units::{from_millionths, millionths};

/// A place, and the sessions that it takes.
#[derive(Clone, Copy)]
pub(super) struct Taken {
    pub(super) place: Place,
    stay: Stay,
    hours: f64,
}

impl Taken {
    /// The place, with the hours from the start of the first session to that of its own.
    pub(super) fn with_start(&self) -> (f64, Place) {
        (from_millionths(self.stay.start), self.place)
    }

    pub(super) fn berth(&self) -> Berth {
        Berth {
            place: self.place,
            first: self.stay.first,
            last: self.stay.last,
        }
    }

    pub(super) fn is_during(&self, session: usize) -> bool {
        (self.stay.first..=self.stay.last).contains(&session)
    }
}

/// What is known of the berths once each has been looked at.
pub(super) struct Known {
    /// Per berth; `None` where it could not be recomputed.
    pub(super) taken: Vec<Option<Taken>>,
    /// Per berth, when its device is full, in hours; as printed where it could not be
    /// recomputed.
    pub(super) finish_h: Vec<f64>,
    /// Berths that are late.
    pub(super) late: usize,
    /// What is certain; absent where not every place could be recomputed.
    pub(super) promised: Option<Promised>,
    /// Per device, how many berths name it.
    pub(super) berths_of: Vec<usize>,
}

impl Known {
    /// Every place with its sessions, where all could be recomputed.
    pub(super) fn all(&self) -> Option<Vec<Taken>> {
        self.taken.iter().copied().collect()
    }
}

/// Checks the berths one by one and against each other.
pub(super) fn check(setup: &Setup, night: &Night, rota: &Rota, findings: &mut Findings) -> Known {
    let mut known = Known {
        taken: Vec::with_capacity(rota.berths.len()),
        finish_h: Vec::with_capacity(rota.berths.len()),
        late: 0,
        promised: None,
        berths_of: vec![0; setup.devices.len()],
    };
    let mut uses = Uses::none(setup, setup.sessions.iter().map(|s| when(&s.name)));
    for (index, berth) in rota.berths.iter().enumerate() {
        let path = format!("berths[{index}]");
        let seat = Seat::named(setup, &berth.berth, &path, findings);
        if let Some(device) = seat.device {
            known.berths_of[device] += 1;
        }
        let first = session_named(setup, &berth.session, &path, "session", findings);
        let last = session_named(
            setup,
            &berth.until_session,
            &path,
            "until_session",
            findings,
        );
        if let (Some(device), Some(first)) = (seat.device, first) {
            uses.legal &= may_start(setup, device, first, &path, findings);
        }
        let place = seat
            .whole()
            .and_then(|seat| settle(setup, &berth.berth, seat, &path, findings));
        let place = place.map(|(place, _)| place);
        let hours = place.and_then(|place| hours(setup, &berth.berth, &place, &path, findings));
        let taken = match (place, first, hours) {
            (Some(place), Some(first), Some(hours)) => Some(sessions(
                setup,
                night,
                berth,
                (place, first, hours),
                &path,
                findings,
            )),
            _ => None,
        };
        let printed = match (first, last) {
            (Some(first), Some(last)) => first..last + 1,
            (Some(only), None) | (None, Some(only)) => only..only + 1,
            (None, None) => 0..0,
        };
        let during = taken.map_or(printed, |taken| taken.stay.first..taken.stay.last + 1);
        uses.count(setup, &seat, during, &path, findings);
        let late = taken.map_or(berth.berth.late, |taken| {
            lateness(setup, night, berth, &taken, &path, findings)
        });
        known.late += usize::from(late);
        let finish_h = taken.map(|taken| from_millionths(taken.stay.finish));
        known.finish_h.push(finish_h.unwrap_or(berth.finish_h));
        known.taken.push(taken);
    }
    if let Some(taken) = known.all() {
        let shared_rules_hold = check_each_session(setup, &taken, findings);
        // As for a plan: best times mean something only beside what is legal.
        if shared_rules_hold && uses.legal {
            check_limits(setup, night, rota, &taken, findings);
            known.promised = Some(check_promises(setup, night, rota, &taken, findings));
        }
    }
    known
}

/// How a message says in which session something is.
fn when(session: &str) -> String {
    format!(" in the session `{session}`")
}

fn session_named(
    setup: &Setup,
    name: &str,
    path: &str,
    field: &str,
    findings: &mut Findings,
) -> Option<usize> {
    let found = setup.sessions.iter().position(|s| s.name == name);
    if found.is_none() {
        findings.add(
            format!("{path}.{field}"),
            format!("the setup has no session `{name}`"),
        );
    }
    found
}

/// Whether a berth of the device may start with a session: there plugs can be swapped,
/// and the device is at hand.
fn may_start(
    setup: &Setup,
    device: usize,
    first: usize,
    path: &str,
    findings: &mut Findings,
) -> bool {
    let (spec, session) = (&setup.devices[device], &setup.sessions[first]);
    if !session.swap {
        findings.add(
            format!("{path}.session"),
            format!("plugs cannot be swapped at the start of `{}`", session.name),
        );
    }
    if !spec.is_at_hand(first) {
        findings.add(
            format!("{path}.session"),
            format!("`{}` is not at hand in `{}`", spec.name, session.name),
        );
    }
    session.swap && spec.is_at_hand(first)
}

/// The sessions that a berth takes, compared with those printed.
fn sessions(
    setup: &Setup,
    night: &Night,
    berth: &RotaBerth,
    (place, first, hours): (Place, usize, f64),
    path: &str,
    findings: &mut Findings,
) -> Taken {
    let device = &setup.devices[place.device];
    let stay = |hours| night.stay(device, first, hours);
    // Exactly between two millionths the last bit of the time would decide; there, either
    // answer stands.
    let (early, late) = (stay(hours * (1.0 - 1e-12)), stay(hours * (1.0 + 1e-12)));
    let is_printed = |stay: &Stay| setup.sessions[stay.last].name == berth.until_session;
    let stay = [stay(hours), early, late]
        .into_iter()
        .find(is_printed)
        .unwrap_or_else(|| stay(hours));
    let until = &setup.sessions[stay.last].name;
    if berth.until_session != *until {
        let why = if stay.full {
            "the device is full in it"
        } else {
            "the device is then no longer at hand"
        };
        findings.add(
            format!("{path}.until_session"),
            format!("is `{}`, must be `{until}`: {why}", berth.until_session),
        );
    }
    let finish_h = from_millionths(stay.finish);
    findings.compare(format_args!("{path}.finish_h"), berth.finish_h, finish_h);
    Taken { place, stay, hours }
}

/// Whether a berth is late, compared with what is printed.
fn lateness(
    setup: &Setup,
    night: &Night,
    berth: &RotaBerth,
    taken: &Taken,
    path: &str,
    findings: &mut Findings,
) -> bool {
    let device = &setup.devices[taken.place.device];
    let ready_by = device.ready_by_h.map_or(night.end(), millionths);
    let is_late = |hours: f64| {
        let stay = night.stay(device, taken.stay.first, hours);
        !stay.full || stay.finish > ready_by
    };
    let (surely, perhaps) = (
        is_late(taken.hours * (1.0 - 1e-12)),
        is_late(taken.hours * (1.0 + 1e-12)),
    );
    let late = if surely == perhaps {
        surely
    } else {
        berth.berth.late
    };
    if berth.berth.late != late {
        findings.add(
            format!("{path}.late"),
            format!(
                "is {}, but the device is full after {} h, must be so by {} h, and its berth \
                 ends after {} h",
                berth.berth.late,
                shown(from_millionths(taken.stay.finish)),
                shown(from_millionths(ready_by)),
                shown(from_millionths(night.ends[taken.stay.last])),
            ),
        );
    }
    late
}

/// Checks tables session by session; whether they and the pools hold in all.
fn check_each_session(setup: &Setup, taken: &[Taken], findings: &mut Findings) -> bool {
    let mut hold = true;
    for (index, session) in setup.sessions.iter().enumerate() {
        let places = during(taken, index);
        hold &= check_combinations(setup, &places, &when(&session.name), findings);
        hold &= (0..setup.chargers.len())
            .all(|charger| pools_suffice(&setup.chargers[charger], &places, charger));
    }
    hold
}

/// The places of one session.
pub(super) fn during(taken: &[Taken], session: usize) -> Vec<Place> {
    let there = taken.iter().filter(|taken| taken.is_during(session));
    there.map(|taken| taken.place).collect()
}

/// Compares what is certain of each berth: its grant is the least over its sessions.
fn check_promises(
    setup: &Setup,
    night: &Night,
    rota: &Rota,
    taken: &[Taken],
    findings: &mut Findings,
) -> Promised {
    let demands = demands(setup, taken.iter().map(|taken| &taken.place));
    let each = rota.berths.iter().zip(taken).enumerate();
    let berths = each.map(|(index, (berth, own))| {
        let path = format!("berths[{index}]");
        let Stay { first, last, .. } = own.stay;
        let sessions: Vec<Vec<Place>> = (first..=last).map(|at| during(taken, at)).collect();
        let sure = sure(setup, &own.place, &sessions, &demands);
        compare_sure(&path, &berth.berth, &sure, findings);
        let finish = sure
            .hours
            .map(|hours| own.stay.start.saturating_add(millionths(hours)));
        let finish_h = finish.map(from_millionths);
        findings.compare_some(
            format_args!("{path}.promised_finish_h"),
            berth.promised_finish_h,
            finish_h,
        );
        let device = &setup.devices[own.place.device];
        let ready_by = device.ready_by_h.map_or(night.end(), millionths);
        let late = finish.is_none_or(|finish| finish > ready_by || finish > night.ends[last]);
        (finish_h, late)
    });
    Promised::of(&berths.collect::<Vec<_>>())
}

fn check_limits(
    setup: &Setup,
    night: &Night,
    rota: &Rota,
    taken: &[Taken],
    findings: &mut Findings,
) {
    for (index, (berth, own)) in rota.berths.iter().zip(taken).enumerate() {
        let Stay { first, last, .. } = own.stay;
        let device = &setup.devices[own.place.device];
        let others = |session| {
            let mut others = during(taken, session);
            others.retain(|place| place.device != own.place.device);
            others
        };
        let beside: Vec<Vec<Place>> = (first..=last).map(others).collect();
        let lasts = |hours: f64| night.stay(device, first, hours).last - first + 1;
        let limit = limiting_beside(setup, &own.place, &beside, &lasts);
        compare_limit(index, &berth.berth, limit, findings);
    }
}
