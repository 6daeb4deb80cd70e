//! From all limits to those that matter.
//!
//! Lifting a limit, or leaving a device out, mostly only adds plans; then one pass is
//! enough, since what was needed once is needed to the end. A table can also protect: it
//! keeps a neighbour from drawing more. So where there is one, passes are made until one
//! changes nothing.

use super::{Asked, Core, Question};
use crate::assign::possible::{Demand, Shared};
use crate::solve::budget::Budget;

/// What may matter.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    Shared(Shared),
    Device(usize),
}

/// What is left while parts are taken out.
struct Lessening<'a, 'b> {
    asked: &'a mut Asked<'b>,
    question: &'a Question,
    /// What is still in, in the order in which it is tried.
    kept: Vec<Part>,
    budget: &'a mut Budget,
    /// Whether what is left is known to forbid what is asked.
    known: bool,
    /// Whether every answer was known.
    sure: bool,
}

impl Asked<'_> {
    /// Limits none of which can be missed; none where what is asked can be had, or it is not
    /// known whether it can.
    pub(super) fn lessened(
        &mut self,
        question: &Question,
        known: bool,
        budget: &mut Budget,
    ) -> Option<Core> {
        let shared = self.limits.iter().rev().cloned().map(Part::Shared);
        let devices = question.order.iter().map(|&device| Part::Device(device));
        let may_protect = self.setup.chargers.iter().any(|of| !of.lines.is_empty());
        let mut lessening = Lessening {
            kept: shared.chain(devices).collect(),
            asked: self,
            question,
            budget,
            known,
            sure: true,
        };
        if !known && !lessening.forbids_without(&[]) {
            return None;
        }
        loop {
            let before = lessening.kept.clone();
            let shared = |part: &&Part| matches!(part, Part::Shared(_));
            let (limits, devices): (Vec<&Part>, Vec<&Part>) = before.iter().partition(shared);
            for parts in [limits, devices] {
                let parts: Vec<Part> = parts.into_iter().cloned().collect();
                if !parts.is_empty() {
                    lessening.lessen(&parts);
                }
            }
            if !may_protect || !lessening.sure || lessening.kept == before {
                break;
            }
        }
        // Nothing could be missed: then it is still open whether all of it forbids anything.
        if !lessening.known && !lessening.forbids_without(&[]) {
            return None;
        }
        Some(lessening.core())
    }
}

impl Lessening<'_, '_> {
    /// Takes out of `parts` whatever is not needed. Whether that is all of them.
    fn lessen(&mut self, parts: &[Part]) -> bool {
        if self.forbids_without(parts) {
            self.kept.retain(|part| !parts.contains(part));
            return true;
        }
        self.lessen_halves(parts);
        false
    }

    /// As [`Self::lessen`], of parts that cannot go all at once.
    fn lessen_halves(&mut self, parts: &[Part]) {
        let (one, other) = parts.split_at(parts.len() / 2);
        if one.is_empty() {
            return;
        }
        if self.lessen(one) {
            // Then the other half is what cannot go whole.
            self.lessen_halves(other);
        } else {
            self.lessen(other);
        }
    }

    /// Whether the rest still forbids what is asked without some parts. What is not known
    /// counts as no.
    fn forbids_without(&mut self, parts: &[Part]) -> bool {
        let demands = self.demands(parts);
        let lifted = self.lifted(parts);
        let possible = &mut self.asked.possible;
        let answer = possible.is_possible(&demands, &lifted, self.budget);
        self.sure &= answer.is_some();
        let forbids = answer == Some(false);
        self.known |= forbids;
        forbids
    }

    fn demands(&self, without: &[Part]) -> Vec<Demand> {
        let mut demands = vec![Demand::Nothing; self.question.demands.len()];
        for &device in &self.question.beside {
            demands[device] = self.question.demands[device];
        }
        for part in self.kept.iter().filter(|part| !without.contains(part)) {
            if let Part::Device(device) = part {
                demands[*device] = self.question.demands[*device];
            }
        }
        demands
    }

    /// As listed, so that what is lifted alike is known to be.
    fn lifted(&self, without: &[Part]) -> Vec<Shared> {
        let holds = |shared: &Shared| {
            let part = Part::Shared(shared.clone());
            self.kept.contains(&part) && !without.contains(&part)
        };
        let limits = self.asked.limits.iter();
        limits.filter(|shared| !holds(shared)).cloned().collect()
    }

    fn core(&self) -> Core {
        let lifted = self.lifted(&[]);
        let holds = self.asked.limits.iter().filter(|of| !lifted.contains(of));
        Core {
            demands: self.demands(&[]),
            shared: holds.cloned().collect(),
            least: self.sure,
        }
    }
}
