//! From berths over sessions to the schedule, and the rota document of it.

use super::super::answer::{Parts, assembled, pools};
use super::Found;
use crate::assign::options::Choice;
use crate::assign::reasons::rota_reason;
use crate::plan::cautions::rota_cautions;
use crate::plan::limiting::Lasting;
use crate::plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession};
use crate::plan::schedule::{Schedule, Slot};
use crate::plan::sessions::Sessions;
use crate::plan::{LimitedBy, Reason};
use crate::setup::Setup;
use crate::units::from_millionths;

pub(super) fn rota(setup: &Setup, sessions: &Sessions, found: &Found) -> (Rota, Schedule) {
    let taken: Vec<(Slot, &Choice)> = found
        .seats
        .iter()
        .flatten()
        .map(|seat| {
            let slot = seat.choice.on(seat.port, seat.cable);
            (slot, &seat.choice)
        })
        .collect();
    let by_session: Vec<Vec<Slot>> = (0..sessions.len())
        .map(|session| {
            let lasts =
                |(_, choice): &&(Slot, &Choice)| (choice.first..=choice.last).contains(&session);
            let there = taken.iter().filter(lasts);
            there.map(|(slot, _)| slot.clone()).collect()
        })
        .collect();
    let berths: Vec<Lasting<'_>> = taken
        .iter()
        .map(|(slot, choice)| Lasting {
            slot,
            sessions,
            first: choice.first,
            slots: by_session[choice.first..=choice.last].to_vec(),
        })
        .collect();
    let limits: Vec<LimitedBy> = berths.iter().map(|berth| berth.limiting(setup)).collect();
    let without: Vec<usize> = found
        .devices
        .iter()
        .zip(&found.seats)
        .filter(|(_, seat)| seat.is_none())
        .map(|(&device, _)| device)
        .collect();
    let reasons: Vec<Reason> = without
        .iter()
        .map(|&device| rota_reason(setup, &found.choices, sessions, &by_session, device))
        .collect();
    let cautions = rota_cautions(setup, &berths, &limits, &reasons);
    let longest = taken.iter().map(|(_, choice)| choice.time).max();
    let slots: Vec<Slot> = taken.iter().map(|(slot, _)| slot.clone()).collect();
    let parts = Parts {
        longest_h: from_millionths(longest.unwrap_or(0)),
        slots: &slots,
        limits,
        without,
        reasons,
        pools: Vec::new(),
        cautions,
    };
    let plan = assembled(setup, &found.outcome, parts);
    let name = |session: usize| setup.sessions[session].name.clone();
    let berth = |(berth, (_, choice)): (crate::plan::Berth, &(Slot, &Choice))| RotaBerth {
        berth,
        session: name(choice.first),
        until_session: name(choice.last),
        finish_h: from_millionths(choice.time),
    };
    let rota = Rota {
        version: plan.version,
        status: plan.status,
        settled: plan.settled,
        longest_h: plan.longest_h,
        reshared_h: plan.reshared_h,
        bound_h: plan.bound_h,
        unserved: plan.unserved,
        bound_unserved: plan.bound_unserved,
        missing_wh: plan.missing_wh,
        late: plan.late,
        bound_late: plan.bound_late,
        berths: plan.berths.into_iter().zip(&taken).map(berth).collect(),
        without_berth: plan.without_berth,
        pools: pools_of(setup, &by_session),
        cautions: plan.cautions,
        start: setup.start.map(|start| start.to_string()),
        sessions: (0..sessions.len())
            .map(|session| RotaSession {
                name: name(session),
                start_h: from_millionths(sessions.start(session)),
                end_h: from_millionths(sessions.end(session)),
            })
            .collect(),
        swaps: taken.iter().filter(|(_, choice)| choice.first > 0).count(),
        held_wh: from_millionths(taken.iter().map(|(_, choice)| choice.watts).sum()),
    };
    (rota, Schedule::over_sessions(setup, slots))
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
