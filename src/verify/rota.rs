//! Checks a rota against its setup: as a plan, session by session, and where berths may
//! start, how long they last, and when devices are full.

mod berths;
mod night;
mod totals;

use super::{Findings, Verification};
use crate::rota::Rota;
use crate::setup::Setup;
use night::Night;

/// Checks every rule and recomputes every number of `rota`, as [`verify`](super::verify())
/// does of a plan, and with the same slack for numbers that were printed. Optimality is
/// not checked.
pub fn verify_rota(setup: &Setup, rota: &Rota) -> Verification {
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
    Verification {
        violations: findings.violations,
    }
}
