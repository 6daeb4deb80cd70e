//! From berths over sessions to the schedule, and the rota document of it.

use super::super::answer::{Parts, Promised, assembled, bounds, pools, without};
use super::{Found, Seat};
use crate::assign::reasons::rota_reason;
use crate::plan::bounds::Has;
use crate::plan::cautions::rota_cautions;
use crate::plan::limiting::Lasting;
use crate::plan::objective::ObjectiveValue;
use crate::plan::promise::lasting_promises;
use crate::plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession};
use crate::plan::schedule::{Schedule, Slot};
use crate::plan::sessions::Sessions;
use crate::plan::{Berth, LimitedBy, Reason};
use crate::setup::Setup;
use crate::units::from_millionths;

pub(super) fn rota(setup: &Setup, sessions: &Sessions, found: &Found) -> (Rota, Schedule) {
    let seats: Vec<&Seat> = found.seats.iter().flatten().collect();
    let slots: Vec<Slot> = seats
        .iter()
        .map(|seat| seat.choice.on(seat.port, seat.cable))
        .collect();
    let by_session: Vec<Vec<Slot>> = (0..sessions.len())
        .map(|session| {
            let lasts = |slot: &&Slot| (slot.first..=slot.last).contains(&session);
            slots.iter().filter(lasts).cloned().collect()
        })
        .collect();
    let berths: Vec<Lasting<'_>> = slots
        .iter()
        .map(|slot| Lasting {
            slot,
            sessions,
            slots: by_session[slot.first..=slot.last].to_vec(),
        })
        .collect();
    let limits: Vec<LimitedBy> = berths.iter().map(|berth| berth.limiting(setup)).collect();
    let without = without(&found.devices, &found.seats);
    let reasons: Vec<Reason> = without
        .iter()
        .map(|&device| rota_reason(setup, &found.choices, sessions, &by_session, device))
        .collect();
    let cautions = rota_cautions(setup, &berths, &limits, &reasons);
    let lasting: Vec<&[Slot]> = by_session.iter().map(Vec::as_slice).collect();
    let each = slots.iter().zip(lasting_promises(setup, &slots, &lasting));
    let promised: Vec<Promised> = each
        .map(|(slot, promise)| {
            let time = sessions.start(slot.first).saturating_add(promise.time());
            Promised {
                finish_h: promise.hours.map(|_| from_millionths(time)),
                late: sessions.is_late(slot.device.0, slot.last, time),
                promise,
            }
        })
        .collect();
    let finishes: Vec<Option<f64>> = promised.iter().map(|promised| promised.finish_h).collect();
    let longest = seats.iter().map(|seat| seat.choice.time).max();
    let parts = Parts {
        longest_h: from_millionths(longest.unwrap_or(0)),
        promised,
        slots: &slots,
        limits,
        without,
        reasons,
        pools: Vec::new(),
        cautions,
    };
    let plan = assembled(setup, &found.outcome, parts);
    let name = |session: usize| setup.sessions[session].name.clone();
    let berth = |((berth, seat), promised_finish_h): ((Berth, &&Seat), Option<f64>)| RotaBerth {
        berth,
        promised_finish_h,
        session: name(seat.choice.first),
        until_session: name(seat.choice.last),
        finish_h: from_millionths(seat.choice.time),
    };
    let rota = Rota {
        version: plan.version,
        program: None,
        setup_sha256: None,
        status: plan.status,
        settled: plan.settled,
        aim: plan.aim,
        longest_h: plan.longest_h,
        promised_longest_h: plan.promised_longest_h,
        reshared_h: plan.reshared_h,
        bound_h: plan.bound_h,
        unserved: plan.unserved,
        bound_unserved: plan.bound_unserved,
        missing_wh: plan.missing_wh,
        late: plan.late,
        promised_late: plan.promised_late,
        assumed: plan.assumed,
        bound_late: plan.bound_late,
        bounds: plan.bounds,
        berths: plan
            .berths
            .into_iter()
            .zip(&seats)
            .zip(finishes)
            .map(berth)
            .collect(),
        without_berth: plan.without_berth,
        pools: pools_of(setup, &by_session),
        cautions: plan.cautions,
        because: plan.because,
        start: setup.start.map(|start| start.to_string()),
        sessions: sessions_of(setup, sessions),
        swaps: slots.iter().filter(|slot| slot.first > 0).count(),
        held_wh: from_millionths(seats.iter().map(|seat| seat.choice.watts).sum()),
    };
    let rota = with_bounds(setup, found, rota);
    (rota, Schedule::over_sessions(setup, slots))
}

/// The rota with what is proven of the levels that are open.
fn with_bounds(setup: &Setup, found: &Found, rota: Rota) -> Rota {
    if found.outcome.open.is_empty() {
        return rota;
    }
    let of = ObjectiveValue::of_rota(setup, &rota);
    let has = Has {
        of: &of,
        moves: 0,
        swaps: rota.swaps,
        watts: rota.held_wh,
    };
    Rota {
        bounds: bounds(&found.outcome, &has),
        ..rota
    }
}

fn sessions_of(setup: &Setup, sessions: &Sessions) -> Vec<RotaSession> {
    let each = setup.sessions.iter().enumerate();
    each.map(|(session, named)| RotaSession {
        name: named.name.clone(),
        start_h: from_millionths(sessions.start(session)),
        end_h: from_millionths(sessions.end(session)),
    })
    .collect()
}

fn pools_of(setup: &Setup, by_session: &[Vec<Slot>]) -> Vec<RotaPoolUse> {
    let each = by_session.iter().zip(&setup.sessions);
    each.flat_map(|(slots, session)| {
        let named = |of| RotaPoolUse {
            of,
            session: session.name.clone(),
        };
        pools(setup, slots).into_iter().map(named)
    })
    .collect()
}
