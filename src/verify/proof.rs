//! Checks a proof that no plan is better: what it is about, that its formulas are those that
//! follow from the setup, row by row, and that each proof shows of its formula what is claimed.
//!
//! What a proof rests on, beside itself: the check's negotiation and times, and the order of
//! plans, of which it covers the levels that are claimed.

mod checker;
mod opb;
mod pbp;
#[cfg(test)]
mod tests;

use std::borrow::Cow;

use super::formula::{Asked, Formula, Row};
use super::program::claimed::Berth;
use super::program::{NEVER, Program};
use super::{Findings, Violation};
use crate::diagnostics::{Result, printable};
use crate::plan::proof::{CLAIMS, Claim, Claimed, ClaimsFile, Number, Proof, digest, setup_digest};
use crate::setup::Setup;
use crate::units::millionths;

/// A plan or a rota, as a proof speaks of it.
pub(crate) struct Subject {
    pub(crate) program: Program,
    /// By agent, its way.
    pub(crate) chosen: Vec<usize>,
    pub(crate) claimed: Claimed,
    setup_sha256: String,
    plan_sha256: String,
    is_rota: bool,
}

/// What one claim is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum About {
    /// The plan keeps all rows.
    Plan,
    /// Nothing has less of it.
    Less(Number, i64),
}

impl About {
    pub(crate) fn name(self) -> Cow<'static, str> {
        match self {
            Self::Plan => "plan".into(),
            Self::Less(number, _) => number.name(),
        }
    }

    /// Whether it may be left out where no proof is found.
    pub(crate) fn is_later(self) -> bool {
        matches!(self, Self::Less(number, _) if number > Number::Longest)
    }

    fn says(self) -> String {
        match self {
            Self::Plan => "the plan itself keeps every row".to_owned(),
            Self::Less(number, value) => number.says(value),
        }
    }
}

/// What a claim comes with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Texts<'t> {
    /// The formula, and its proof.
    Both(&'t str, &'t str),
    TooManySets,
    NotFound,
}

/// The most terms of the formula of a claim of what comes after the longest time.
const MOST_LATER: usize = 200_000;

impl Subject {
    /// Of berths that keep every rule, with the bound that is said of their longest time.
    /// `None` where one of them is none of the ways that there are. With the whole order, what
    /// comes after the longest time is claimed, too.
    ///
    /// # Errors
    /// As [`Program::of`].
    pub(crate) fn of(
        setup: &Setup,
        plan_sha256: String,
        berths: &[Berth],
        bound: Option<i64>,
        whole_order: bool,
    ) -> Result<Option<Self>> {
        let program = Program::of(setup)?;
        let Some(chosen) = program.chosen(setup, berths) else {
            return Ok(None);
        };
        let mut claimed = program.claimed(&chosen, bound);
        claimed.later = whole_order.then(|| program.later(&chosen));
        Ok(Some(Self {
            program,
            chosen,
            claimed,
            setup_sha256: setup_digest(setup),
            plan_sha256,
            is_rota: !setup.sessions.is_empty(),
        }))
    }

    /// What is to be claimed, in order.
    pub(crate) fn about(&self) -> Vec<About> {
        let due = self.claimed.due();
        let less = due.map(|(number, value)| About::Less(number, value));
        // Of nothing there is nothing to keep.
        let plan = (!self.program.agents.is_empty()).then_some(About::Plan);
        let later = self.claimed.due_later(self.program.tolerance, NEVER);
        let later = later
            .into_iter()
            .map(|(number, value)| About::Less(number, value));
        plan.into_iter().chain(less).chain(later).collect()
    }

    /// The formula of a claim; `None` where a table has too many sets of ports for one.
    pub(crate) fn formula(&self, about: About) -> Option<Formula> {
        let asked = match about {
            About::Plan => Asked::as_good(&self.claimed),
            About::Less(number, value) => Asked::better(&self.claimed, number, value),
        };
        Formula::of(&self.program, &asked)
    }

    /// Whether a claim that may be left out is, for the size of its formula.
    pub(crate) fn is_too_large(about: About, formula: &Formula) -> bool {
        let terms = formula.rows.iter().map(|row| row.terms.len());
        about.is_later() && terms.sum::<usize>() > MOST_LATER
    }

    /// The claims with the texts of each.
    pub(crate) fn claims<'t>(&self, texts: impl Iterator<Item = (About, Texts<'t>)>) -> ClaimsFile {
        let mut claims = Vec::new();
        let mut not_covered = Vec::new();
        for (about, texts) in texts {
            match texts {
                Texts::Both(formula, proof) => claims.push(Claim {
                    name: about.name().into_owned(),
                    says: about.says(),
                    formula_sha256: digest(formula),
                    proof_sha256: digest(proof),
                }),
                Texts::TooManySets => not_covered.push(format!(
                    "{}: a table has too many sets of ports",
                    about.name()
                )),
                Texts::NotFound => not_covered.push(format!(
                    "{}: no proof was found within the limits",
                    about.name()
                )),
            }
        }
        let later: &[&str] = if self.claimed.later.is_some() {
            &[]
        } else if self.is_rota {
            &[
                "the times after the longest",
                "the berths that start later",
                "the sum of the hours",
                "the watt-hours held",
            ]
        } else {
            &[
                "the times after the longest",
                "the sum of the hours",
                "the watts",
            ]
        };
        not_covered.extend(later.iter().map(|&what| what.to_owned()));
        not_covered.push("which of equal plans it is".to_owned());
        ClaimsFile {
            version: 3,
            setup_sha256: self.setup_sha256.clone(),
            plan_sha256: self.plan_sha256.clone(),
            claimed: self.claimed.clone(),
            claims,
            not_covered,
        }
    }
}

/// What is wrong, and in which file.
type Refused = (String, String);

/// The numbers that a plan or a rota shows, by its aim.
pub(super) struct Shown {
    pub(super) unserved: usize,
    pub(super) missing_wh: f64,
    pub(super) late: usize,
    /// Absent where that is never.
    pub(super) longest_h: Option<f64>,
    /// Where it is said to be best.
    pub(super) bound_h: Option<f64>,
}

impl Shown {
    fn is(&self, claimed: &Claimed) -> bool {
        let count = |number: usize| i64::try_from(number).unwrap_or(i64::MAX);
        let bound = self.bound_h.map(millionths);
        count(self.unserved) == claimed.unserved.iter().sum::<i64>()
            && millionths(self.missing_wh) == claimed.missing
            && count(self.late) == claimed.late.iter().sum::<i64>()
            && self.longest_h.map_or(NEVER, millionths) == claimed.longest
            && bound.is_none_or(|bound| bound == claimed.least_longest)
    }
}

/// The first reason why `proof` does not show what it must of a plan or a rota, if there is
/// one.
pub(super) fn violations(
    subject: Option<Result<Option<Subject>>>,
    shown: &Shown,
    proof: &Proof,
) -> Vec<Violation> {
    let mut findings = Findings::default();
    let refused = match subject {
        Some(Ok(Some(subject))) => checked(&subject, shown, proof).err(),
        Some(Err(error)) => Some((CLAIMS.to_owned(), error.to_string())),
        _ => {
            let message = "a berth of the plan is none that there is, if only by 1e-6";
            Some((CLAIMS.to_owned(), message.to_owned()))
        }
    };
    if let Some((path, message)) = refused {
        findings.add(format!("proof.{path}"), printable(message));
    }
    findings.violations
}

fn checked(subject: &Subject, shown: &Shown, proof: &Proof) -> Result<(), Refused> {
    let in_claims =
        |path: &str, message: &str| Err((format!("{CLAIMS}.{path}"), message.to_owned()));
    let text = proof.text(CLAIMS).unwrap_or_default();
    let said = ClaimsFile::read(text).map_err(|error| (CLAIMS.to_owned(), error.to_string()))?;
    if said.version != 3 {
        return in_claims("version", "must be 3");
    }
    if said.setup_sha256 != subject.setup_sha256 {
        return in_claims("setup_sha256", "the proof is about another setup");
    }
    if said.plan_sha256 != subject.plan_sha256 {
        return in_claims("plan_sha256", "the proof is about another plan");
    }
    if said.claimed != subject.claimed {
        return in_claims("claimed", "these are not the numbers of the plan");
    }
    if !shown.is(&subject.claimed) {
        return in_claims("claimed", "the plan shows other numbers, if only by 1e-6");
    }
    let mut texts = Vec::new();
    let mut formulas = Vec::new();
    for about in subject.about() {
        let formula = subject.formula(about);
        let names = ["opb", "pbp"].map(|form| format!("{}.{form}", about.name()));
        let is_said = said.claims.iter().any(|claim| claim.name == about.name());
        let Some(formula) = formula else {
            texts.push((about, Texts::TooManySets));
            continue;
        };
        if about.is_later() && !is_said {
            texts.push((about, Texts::NotFound));
            continue;
        }
        let [of_formula, of_proof] = names.each_ref().map(|name| {
            let missing = || (name.clone(), "there is no such file".to_owned());
            proof.text(name).ok_or_else(missing)
        });
        texts.push((about, Texts::Both(of_formula?, of_proof?)));
        formulas.push((about, formula, names));
    }
    let due = subject.claims(texts.iter().copied());
    let is_of_claim = |name: &str| {
        let of = |claim: &Claim| [".opb", ".pbp"].map(|form| format!("{}{form}", claim.name));
        name == CLAIMS
            || due
                .claims
                .iter()
                .any(|claim| of(claim).iter().any(|n| n == name))
    };
    if let Some(other) = proof.files().iter().find(|file| !is_of_claim(&file.name)) {
        return Err((other.name.clone(), "no claim has this file".to_owned()));
    }
    if said.not_covered != due.not_covered {
        return in_claims("not_covered", "this is not what the claims leave open");
    }
    if said.claims.len() != due.claims.len() {
        let message = "there must be the plan and one for each claimed number above 0";
        return in_claims("claims", message);
    }
    for (at, (said, due)) in said.claims.iter().zip(&due.claims).enumerate() {
        if (&said.name, &said.says) != (&due.name, &due.says) {
            return in_claims(
                &format!("claims[{at}]"),
                &format!("must be `{}`: {}", due.name, due.says),
            );
        }
        let name = &due.name;
        for (of, said, due) in [
            ("opb", &said.formula_sha256, &due.formula_sha256),
            ("pbp", &said.proof_sha256, &due.proof_sha256),
        ] {
            if said != due {
                let name = format!("{name}.{of}");
                return Err((
                    name,
                    format!("it is not the file that `{CLAIMS}` speaks of"),
                ));
            }
        }
    }
    let files = texts.into_iter().filter_map(|(_, texts)| match texts {
        Texts::Both(formula, proof) => Some((formula, proof)),
        _ => None,
    });
    for ((about, formula, [opb, pbp]), (formula_text, proof_text)) in
        formulas.into_iter().zip(files)
    {
        let rows = opb::read(formula_text).map_err(|at| at.in_file(&opb))?;
        same_rows(&formula, &rows).map_err(|at| at.in_file(&opb))?;
        let variables = formula.variables.len();
        let must = match about {
            About::Plan => checker::Must::BeKept,
            About::Less(..) => checker::Must::NotBeKept,
        };
        checker::check(variables, rows, proof_text, must).map_err(|at| at.in_file(&pbp))?;
    }
    Ok(())
}

/// What is wrong with a text, and in which line of it.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct At {
    /// From 1; 0 stands for the whole.
    line: usize,
    message: String,
}

impl At {
    fn line(line: usize, message: impl Into<String>) -> Self {
        Self {
            line,
            message: message.into(),
        }
    }

    fn whole(message: impl Into<String>) -> Self {
        Self::line(0, message)
    }

    fn in_file(self, name: &str) -> Refused {
        match self.line {
            0 => (name.to_owned(), self.message),
            line => (format!("{name}:{line}"), self.message),
        }
    }
}

/// That a file has the rows of a formula, in whatever order.
fn same_rows(formula: &Formula, file: &opb::Opb) -> Result<(), At> {
    if file.variables != formula.variables.len() {
        return Err(At::line(
            1,
            format!("the formula has {} variables", formula.variables.len()),
        ));
    }
    let mut due: Vec<&Row> = formula.rows.iter().collect();
    let mut there: Vec<(&Row, usize)> = file.rows.iter().zip(file.lines.iter().copied()).collect();
    due.sort_unstable();
    there.sort_unstable();
    let mut due = due.into_iter().peekable();
    for (row, line) in there {
        match due.next() {
            Some(next) if next == row => {}
            _ => {
                return Err(At::line(
                    line,
                    "this is no row of the formula, or not so often",
                ));
            }
        }
    }
    match due.next() {
        None => Ok(()),
        Some(_) => Err(At::whole("a row of the formula is missing")),
    }
}
