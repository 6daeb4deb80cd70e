//! The candidates of a ranking, checked, and the kits that they form.

use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Fault, Findings, Path, Result, shown};
use crate::limits::{FAULTS, PRICE};
use crate::setup::candidate::Candidate;
use crate::setup::document::Charger;
use crate::setup::{ChargerSpec, Setup, check_chargers};
use crate::units::millionths;

use super::LeftOutKit;

/// A candidate with its chargers resolved.
pub(super) struct Member<'a> {
    candidate: &'a Candidate,
    pub(super) title: String,
    specs: Vec<ChargerSpec>,
}

/// All candidates, or the faults of all of them.
pub(super) fn checked(candidates: &[Candidate]) -> Result<Vec<Member<'_>>> {
    let mut faults: Vec<Fault> = Vec::new();
    let mut members = Vec::with_capacity(candidates.len());
    for (index, candidate) in candidates.iter().enumerate() {
        let mut findings = Findings::new();
        let specs = check_chargers(&candidate.chargers, &mut findings);
        if let Some(price) = candidate.price.filter(|price| !PRICE.holds(*price)) {
            findings.add(Path::default().field("price"), PRICE.refusal(price));
        }
        faults.extend(findings.all.into_iter().map(|finding| Fault {
            path: format!("candidates[{index}].{}", finding.path),
            message: finding.message,
            suggestion: finding.suggestion,
            ..Fault::default()
        }));
        if faults.len() > FAULTS {
            break;
        }
        members.push(Member {
            candidate,
            title: candidate.title(),
            specs: specs.unwrap_or_default(),
        });
    }
    if candidates.is_empty() {
        return Err(Error::Options {
            message: "there is no candidate to rank".to_owned(),
        });
    }
    if faults.is_empty() {
        Ok(members)
    } else {
        faults.truncate(FAULTS);
        Err(Error::Input(faults))
    }
}

/// The candidates of one kit.
#[derive(Clone, Copy)]
pub(super) struct Kit<'a> {
    pub(super) all: &'a [Member<'a>],
    /// Indices of its own.
    pub(super) own: &'a [usize],
}

impl<'a> Kit<'a> {
    fn members(self) -> impl Iterator<Item = &'a Member<'a>> {
        self.own.iter().map(move |&index| &self.all[index])
    }

    pub(super) fn titles(self) -> Vec<String> {
        self.members().map(|member| member.title.clone()).collect()
    }

    /// Grams, where every charger's weight is known.
    pub(super) fn weight_g(self) -> Option<f64> {
        self.members()
            .map(|member| member.candidate.weight_g())
            .sum()
    }

    /// The price, where every candidate's is known.
    pub(super) fn price(self) -> Option<f64> {
        self.members().map(|member| member.candidate.price()).sum()
    }

    /// The setup of a bag with its chargers.
    pub(super) fn setup(self, bag: &Bag) -> Result<Setup> {
        let (chargers, specs) = self.chargers();
        bag.with(chargers, specs)
    }

    /// The same as far as the chargers go: without pins onto ports.
    pub(super) fn setup_unpinned(self, bag: &Bag) -> Setup {
        let (chargers, specs) = self.chargers();
        bag.unpinned(chargers, specs)
    }

    /// Its chargers, those that share a name numbered.
    fn chargers(self) -> (Vec<Charger>, Vec<ChargerSpec>) {
        let mut chargers: Vec<Charger> = Vec::new();
        let mut specs: Vec<ChargerSpec> = Vec::new();
        for member in self.members() {
            for (charger, spec) in member.candidate.chargers.iter().zip(&member.specs) {
                let (mut charger, mut spec) = (charger.clone(), spec.clone());
                let name = free_name(&charger.name, &chargers);
                charger.name.clone_from(&name);
                spec.name = name;
                chargers.push(charger);
                specs.push(spec);
            }
        }
        (chargers, specs)
    }
}

impl Bag {
    /// The setup with the chargers of candidates that are used together, those that share a
    /// name told apart by a number after it: what a kit of a [`Ranking`](super::Ranking) is
    /// planned on.
    ///
    /// # Errors
    /// As [`Bag::with_chargers`].
    pub fn with_kit(&self, kit: &[&Candidate]) -> Result<Setup> {
        let mut chargers: Vec<Charger> = Vec::new();
        for charger in kit.iter().flat_map(|candidate| &candidate.chargers) {
            let name = free_name(&charger.name, &chargers);
            chargers.push(Charger {
                name,
                ..charger.clone()
            });
        }
        self.with_chargers(chargers)
    }
}

/// A name, with a number behind it where it is taken.
fn free_name(name: &str, taken: &[Charger]) -> String {
    let is_taken = |name: &str| taken.iter().any(|charger| charger.name == name);
    let mut free = name.to_owned();
    let mut number = 1;
    while is_taken(&free) {
        number += 1;
        free = format!("{name} ({number})");
    }
    free
}

/// A weight or a price as kits are compared by it.
pub(super) fn compared(value: Option<f64>) -> i64 {
    value.map_or(i64::MAX, millionths)
}

/// The kits that make no setup.
#[derive(Default)]
pub(super) struct LeftOut {
    pub(super) count: usize,
    /// The first of them as listed, each with its place and what is wrong with it.
    first: Vec<(usize, LeftOutKit, Fault)>,
}

impl LeftOut {
    /// Notes the kit at a place with the first of its faults.
    pub(super) fn note(&mut self, place: usize, candidate: Vec<String>, mut faults: Vec<Fault>) {
        self.count += 1;
        if faults.is_empty() {
            return;
        }
        let mut fault = faults.swap_remove(0);
        let reason = fault.message.clone();
        let names = candidate
            .iter()
            .map(|title| format!("\"{}\"", shown(title)));
        let names: Vec<String> = names.collect();
        fault.message = format!("with {}: {reason}", names.join(" and "));
        self.first
            .push((place, LeftOutKit { candidate, reason }, fault));
        if self.first.len() > 2 * FAULTS {
            self.sort();
        }
    }

    fn sort(&mut self) {
        self.first.sort_by_key(|(place, ..)| *place);
        self.first.truncate(FAULTS);
    }

    /// The first of them as listed, and what is wrong with these.
    pub(super) fn into_first(mut self) -> (Vec<LeftOutKit>, Vec<Fault>) {
        self.sort();
        let each = self.first.into_iter();
        each.map(|(_, kit, fault)| (kit, fault)).unzip()
    }
}
