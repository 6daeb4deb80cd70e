//! Checks a rota against its setup: as a plan, session by session, and where berths may
//! start, how long they last, and when devices are full.

mod berths;
pub(super) mod night;
mod totals;

use super::program::claimed::Berth;
use super::proof::{self, Shown, Subject};
use super::{Findings, NotChecked, Verification, bounds, causes, of_this_setup};
use crate::diagnostics::Result;
use crate::plan::Status;
use crate::plan::objective::ObjectiveValue;
use crate::plan::proof::{Proof, rota_digest};
use crate::plan::rota::Rota;
use crate::setup::Setup;
use crate::units::millionths;
use berths::Taken;
use night::Night;

/// Checks every rule and recomputes every number of `rota`, as [`verify`](super::verify())
/// does of a plan, and with the same slack for numbers that were printed. Optimality is
/// not checked, nor what devices without a berth lack beside the others.
pub fn verify_rota(setup: &Setup, rota: &Rota) -> Verification {
    let (mut findings, _) = found(setup, rota);
    of_this_setup(setup, rota.setup_sha256.as_deref(), &mut findings);
    if findings.violations.is_empty() {
        causes::check(setup, &rota.without_berth, None, &mut findings);
    }
    checked(rota, findings)
}

/// As [`verify_rota`], the reasons left aside.
pub(crate) fn verify_rota_berths(setup: &Setup, rota: &Rota) -> Verification {
    checked(rota, found(setup, rota).0)
}

/// As [`verify_rota`], and checks that `proof` shows that no rota is better in devices without
/// a berth (by priority, then watt-hours missing), in late ones and in the longest finishing
/// time, as [`verify_with_proof`](super::verify_with_proof) does of a plan.
pub fn verify_rota_with_proof(setup: &Setup, rota: &Rota, proof: &Proof) -> Verification {
    let mut verification = verify_rota(setup, rota);
    if verification.is_ok() {
        let shown = Shown {
            unserved: rota.unserved,
            missing_wh: rota.missing_wh,
            late: rota.late_by_aim(),
            longest_h: rota.longest_by_aim(),
            bound_h: rota.bound_h.filter(|_| rota.status == Status::Optimal),
        };
        let (_, taken) = found(setup, rota);
        let whole = proof.is_of_whole_order();
        let subject = taken.map(|taken| subject_of(setup, rota, &taken, whole));
        verification.violations = proof::violations(subject, &shown, proof);
    }
    verification
}

/// A rota as a proof speaks of it; `None` where [`verify_rota`] refuses it.
///
/// # Errors
/// As [`Subject::of`].
pub(crate) fn rota_subject(
    setup: &Setup,
    rota: &Rota,
    whole_order: bool,
) -> Result<Option<Subject>> {
    match found(setup, rota) {
        (_, Some(taken)) => subject_of(setup, rota, &taken, whole_order),
        (_, None) => Ok(None),
    }
}

fn subject_of(
    setup: &Setup,
    rota: &Rota,
    taken: &[Taken],
    whole_order: bool,
) -> Result<Option<Subject>> {
    let berths: Vec<Berth> = taken.iter().map(Taken::berth).collect();
    let bound = rota.bound_h.map(millionths);
    Subject::of(setup, rota_digest(rota), &berths, bound, whole_order)
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

/// What is wrong with a rota; its places, where nothing is.
fn found(setup: &Setup, rota: &Rota) -> (Findings, Option<Vec<Taken>>) {
    let mut findings = Findings::default();
    let mut taken = None;
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
        if !rota.bounds.is_empty() && findings.violations.is_empty() {
            let values = bounds::Values {
                of: &ObjectiveValue::of_rota(setup, rota),
                moves: None,
                swaps: Some(rota.swaps),
                watts: rota.held_wh,
            };
            bounds::check(&rota.bounds, rota.status, &values, &mut findings);
        }
        taken = known.all();
    }
    let taken = taken.filter(|_| findings.violations.is_empty());
    (findings, taken)
}
