//! Checks a rota against its setup: as a plan, session by session, and where berths may
//! start, how long they last, and when devices are full.

mod berths;
mod night;
mod totals;

use super::{Findings, NotChecked, Verification, causes, of_this_setup};
use crate::plan::Status;
use crate::plan::rota::Rota;
use crate::setup::Setup;
use night::Night;

/// Checks every rule and recomputes every number of `rota`, as [`verify`](super::verify())
/// does of a plan, and with the same slack for numbers that were printed. Optimality is
/// not checked, nor what devices without a berth lack beside the others.
pub fn verify_rota(setup: &Setup, rota: &Rota) -> Verification {
    let mut findings = found(setup, rota);
    of_this_setup(setup, rota.setup_sha256.as_deref(), &mut findings);
    if findings.violations.is_empty() {
        causes::check(setup, &rota.without_berth, None, &mut findings);
    }
    checked(rota, findings)
}

/// As [`verify_rota`], the reasons left aside.
pub(crate) fn verify_rota_berths(setup: &Setup, rota: &Rota) -> Verification {
    checked(rota, found(setup, rota))
}

fn checked(rota: &Rota, findings: Findings) -> Verification {
    let mut without = rota.without_berth.iter();
    let beside_others = without.any(|without| causes::is_about_others(&without.cause));
    let applies = [
        (NotChecked::Optimality, true),
        (NotChecked::Bounds, rota.status == Status::Feasible),
        (NotChecked::Reshared, rota.reshared_h.is_some()),
        (NotChecked::Causes, beside_others),
        (NotChecked::Cautions, true),
        (NotChecked::Because, !rota.because.is_empty()),
    ];
    let applies = applies.into_iter().filter(|(_, applies)| *applies);
    Verification {
        violations: findings.violations,
        not_checked: applies.map(|(what, _)| what).collect(),
    }
}

fn found(setup: &Setup, rota: &Rota) -> Findings {
    let mut findings = Findings::default();
    if rota.version != 1 {
        findings.add("version", format!("is {}, must be 1", rota.version));
    }
    if setup.sessions.is_empty() {
        findings.add("sessions", "the setup has no sessions, and this is a rota");
    } else {
        let night = Night::of(setup);
        night.check(setup, rota, &mut findings);
        let known = berths::check(setup, &night, rota, &mut findings);
        totals::check(setup, rota, &known, &mut findings);
    }
    findings
}
