//! The rota as a whole: who has no berth, what pools give in each session, the totals and
//! the bounds.

use super::super::totals::{Counted, check_headline, check_pools, compare_count, whole};
use super::super::{Findings, reshared};
use super::berths::{Known, Taken, during};
use crate::plan::rota::Rota;
use crate::setup::Setup;
use crate::units::millionths;

/// Checks everything that is said of the rota as a whole.
pub(super) fn check(setup: &Setup, rota: &Rota, known: &Known, findings: &mut Findings) {
    let plan = rota.without_sessions();
    let pools: usize = setup.chargers.iter().map(|c| c.pools.len()).sum();
    let expected = pools * setup.sessions.len();
    if plan.pools.len() != expected {
        let listed = plan.pools.len();
        let message = format!("lists {listed}, but the setup has {expected}, session by session");
        findings.add("pools", message);
    }
    let taken = known.all();
    for (index, session) in setup.sessions.iter().enumerate() {
        let from = (index * pools).min(rota.pools.len());
        let to = (from + pools).min(rota.pools.len());
        let places = taken.as_ref().map(|taken| during(taken, index));
        check_pools(
            setup,
            &plan.pools[from..to],
            from,
            places.as_deref(),
            findings,
        );
        for (at, listed) in rota.pools.iter().enumerate().take(to).skip(from) {
            if listed.session != session.name {
                let message = format!("is `{}`, must be `{}`", listed.session, session.name);
                findings.add(format!("pools[{at}].session"), message);
            }
        }
    }
    let counted = Counted {
        berths_of: &known.berths_of,
        longest_h: known.finish_h.iter().copied().fold(0.0, f64::max),
        late: known.late,
        promised: known.promised.as_ref(),
    };
    check_headline(setup, &plan, &counted, findings);
    let with_start = |taken: &Vec<Taken>| taken.iter().map(Taken::with_start).collect();
    reshared::check(
        setup,
        rota.reshared_h,
        rota.longest_h,
        taken.as_ref().map(with_start),
        findings,
    );
    if let Some(taken) = taken {
        let swaps = taken.iter().filter(|taken| !taken.is_during(0)).count();
        compare_count("swaps", rota.swaps, swaps, findings);
        let held = taken.iter().map(|taken| {
            let sessions = setup.sessions.iter().enumerate();
            let hours: f64 = sessions
                .filter(|(session, _)| taken.is_during(*session))
                .map(|(_, session)| session.hours)
                .sum();
            millionths(taken.place.contract.port_w() * hours)
        });
        let held = held.fold(0, i64::saturating_add);
        findings.compare("held_wh", rota.held_wh, whole(held));
    }
}
