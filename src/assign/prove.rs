//! A proof that a plan is best, as far as the longest time: found here, written down for
//! anybody to check.
//!
//! Each claim is a formula of the check (`verify::formula`), from its own negotiation, so
//! whatever is proven is proven of that and not of the model that plans come from. The formula
//! becomes a problem of the kernel (`relaxed.rs`): what is chosen one of several, a line of a
//! table and a level of a pool among it, is an agent, ports are its seats, and every other row
//! with a cap is a row. The kernel's bound looks for prices and keeps a record of those that
//! close a node or rule something out. With whole prices the rows of the formula add up to one
//! row more (`sum.rs`), in shorter numbers where these show as much; what that rules out, and
//! what follows in the end, is found by propagation (`trail.rs`), as a checker does it.
//!
//! A node that is not closed is split in two by what one agent takes (`split.rs`). A closed
//! one gives a row: one of the choices that were ruled out on the way must be taken. The rows
//! of two parts add up to one of the node above. What the last row does not rest on is left
//! out (`log.rs`). A finished proof is checked before it is returned.
//!
//! The trees know no devices that are alike: each is proven about by itself.

mod log;
mod relaxed;
mod solution;
mod split;
mod sum;
mod trail;
mod tree;

use crate::diagnostics::{Error, Result};
use crate::plan::Plan;
use crate::plan::proof::{Proof, ProofFile};
use crate::plan::rota::Rota;
use crate::setup::Setup;
use crate::solve::budget::Budget;
use crate::solve::options::SolveOptions;
use crate::verify::proof::{About, Subject, Texts};
use crate::verify::{
    Verification, rota_subject, subject, verify_rota_with_proof, verify_with_proof,
};

/// A proof that no plan is better than this one as far as a [`Proof`] goes, with the default
/// [`SolveOptions`].
///
/// # Errors
/// As [`prove_with`].
pub fn prove(setup: &Setup, plan: &Plan) -> Result<Proof> {
    prove_with(setup, plan, &SolveOptions::default())
}

/// A proof that no plan is better than this one in devices without a berth (by priority,
/// then watt-hours missing), in late ones and in the longest time, by the setup's aim, within
/// limits. How far the search for the plan came, its status, does not matter: a plan whose
/// status is `feasible` may be best all the same.
///
/// # Errors
/// [`Error::NoProof`] where the plan is refused by [`verify`](crate::verify()), where a
/// better one exists, or where a limit struck; [`Error::Input`] where the devices have
/// more than 1 000 000 ways to sit, counted port by port and cable by cable;
/// [`Error::Options`] where an option is outside its range; [`Error::Internal`] where a
/// proof did not survive its check.
pub fn prove_with(setup: &Setup, plan: &Plan, options: &SolveOptions) -> Result<Proof> {
    proven_plan(setup, plan, options, false)
}

/// As [`prove_with`], and claims what comes after the longest time in the order of plans, too,
/// level by level, where a proof is found: the other places of the list of times, the hours
/// and the watts. What is left out is said in it. It takes as many formulas more as there are
/// devices, and may take many times as long.
///
/// # Errors
/// As [`prove_with`].
pub fn prove_whole_with(setup: &Setup, plan: &Plan, options: &SolveOptions) -> Result<Proof> {
    proven_plan(setup, plan, options, true)
}

fn proven_plan(
    setup: &Setup,
    plan: &Plan,
    options: &SolveOptions,
    whole_order: bool,
) -> Result<Proof> {
    options.check()?;
    setup.check_plannable()?;
    proven(subject(setup, plan, whole_order)?, options, |proof| {
        verify_with_proof(setup, plan, proof)
    })
}

/// As [`prove_with`], that no rota is better than this one, in finishing times.
///
/// # Errors
/// As [`prove_with`].
pub fn prove_rota_with(setup: &Setup, rota: &Rota, options: &SolveOptions) -> Result<Proof> {
    proven_rota(setup, rota, options, false)
}

/// As [`prove_rota_with`], the whole order claimed, as [`prove_whole_with`] does.
///
/// # Errors
/// As [`prove_with`].
pub fn prove_whole_rota_with(setup: &Setup, rota: &Rota, options: &SolveOptions) -> Result<Proof> {
    proven_rota(setup, rota, options, true)
}

fn proven_rota(
    setup: &Setup,
    rota: &Rota,
    options: &SolveOptions,
    whole_order: bool,
) -> Result<Proof> {
    options.check()?;
    setup.check_plannable()?;
    proven(rota_subject(setup, rota, whole_order)?, options, |proof| {
        verify_rota_with_proof(setup, rota, proof)
    })
}

impl Plan {
    /// A proof that no plan is better than this one in devices without a berth, late ones
    /// and longest time; see [`prove`].
    ///
    /// ```
    /// use wattberth::{Cable, Charger, Device, Port, SetupDocument, assign, verify_with_proof};
    ///
    /// let cube = Charger::new("cube").port(Port::pd("C1", 45.0)).port(Port::pd("C2", 30.0));
    /// let setup = SetupDocument::new()
    ///     .charger(cube.max_w(60.0))
    ///     .cable(Cable::c_to_c("braided").count(2))
    ///     .device(Device::new("laptop", 56.0).pd_w(65.0))
    ///     .device(Device::new("score tablet", 28.6).pd_w(30.0))
    ///     .check()?;
    /// let plan = assign(&setup)?;
    /// let proof = plan.proof(&setup)?;
    /// assert!(verify_with_proof(&setup, &plan, &proof).is_ok());
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    ///
    /// # Errors
    /// As [`prove_with`].
    pub fn proof(&self, setup: &Setup) -> Result<Proof> {
        prove(setup, self)
    }
}

impl Rota {
    /// A proof that no rota is better than this one in devices without a berth, late ones
    /// and longest finishing time; see [`prove_rota_with`].
    ///
    /// # Errors
    /// As [`prove_rota_with`].
    pub fn proof(&self, setup: &Setup) -> Result<Proof> {
        prove_rota_with(setup, self, &SolveOptions::default())
    }
}

fn no_proof(message: impl Into<String>) -> Error {
    Error::NoProof {
        message: message.into(),
    }
}

fn proven(
    subject: Option<Subject>,
    options: &SolveOptions,
    check: impl FnOnce(&Proof) -> Verification,
) -> Result<Proof> {
    let Some(subject) = subject else {
        return Err(no_proof("the plan breaks a rule or has a wrong number"));
    };
    let (mut budget, _) = options.begin();
    let mut made = Vec::new();
    let all: Vec<About> = subject.about().into_iter().collect();
    for (done, &about) in all.iter().enumerate() {
        // The first are needed, each of the others can be left out.
        let parts = if about.is_later() {
            all.len() - done
        } else {
            1
        };
        let own = budget.share(parts, |part| Made::of(&subject, about, part))?;
        made.push((about, own));
    }
    let claims = subject.claims(made.iter().map(|(about, made)| (*about, made.texts())));
    let mut files = Vec::new();
    for (about, made) in made {
        if let Made::Both(formula, proof) = made {
            let name = about.name();
            files.push(ProofFile::new(format!("{name}.opb"), formula));
            files.push(ProofFile::new(format!("{name}.pbp"), proof));
        }
    }
    let proof = Proof::with(&claims, files);
    match check(&proof).violations.first() {
        None => Ok(proof),
        Some(first) => Err(Error::Internal {
            message: first.to_string(),
        }),
    }
}

/// What became of a claim.
enum Made {
    /// The formula, and its proof.
    Both(String, String),
    TooManySets,
    NotFound,
}

impl Made {
    fn of(subject: &Subject, about: About, budget: &mut Budget) -> Result<Self> {
        let Some(formula) = subject.formula(about) else {
            return Ok(Self::TooManySets);
        };
        if Subject::is_too_large(about, &formula) {
            return Ok(Self::NotFound);
        }
        let proof = match about {
            About::Plan => solution::written(subject, &formula),
            About::Less(..) => tree::written(&subject.program, &formula, budget),
        };
        match proof {
            Ok(proof) => Ok(Self::Both(formula.to_opb(), proof)),
            Err(Error::NoProof { .. }) if about.is_later() => Ok(Self::NotFound),
            Err(error) => Err(error),
        }
    }

    fn texts(&self) -> Texts<'_> {
        match self {
            Self::Both(formula, proof) => Texts::Both(formula, proof),
            Self::TooManySets => Texts::TooManySets,
            Self::NotFound => Texts::NotFound,
        }
    }
}
