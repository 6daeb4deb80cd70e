//! How many of a bag are without a berth, and how many late: all that is asked where many
//! bags are tried, and settled long before the times are.

use super::model::Part;
use super::options::{Choices, Listing};
use crate::diagnostics::Result;
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::solve::backend::ENGINE;
use crate::solve::budget::Budget;
use crate::solve::levels::Levels;
use crate::solve::model::Model;
use crate::solve::search::Search;

/// Devices without a berth and devices that are late, by the setup's aim, each by priority:
/// the first two levels of the plan's order without the watt-hours missing. The better is
/// the lesser.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct Counts {
    pub(crate) unserved: [u32; 3],
    pub(crate) late: [u32; 3],
}

impl Counts {
    /// So many times over.
    pub(crate) fn add(&mut self, other: &Self, times: u32) {
        let all = self.unserved.iter_mut().chain(&mut self.late);
        for (sum, count) in all.zip(other.unserved.iter().chain(&other.late)) {
            *sum = sum.saturating_add(count.saturating_mul(times));
        }
    }
}

/// The least counts of a setup, with what is known of its devices and cables on other
/// chargers; whether they are proven least.
pub(crate) fn counts_within(
    setup: &Setup,
    listing: Listing<'_>,
    budget: &mut Budget,
) -> Result<(Counts, bool)> {
    let choices = Choices::known(setup, listing, budget)?;
    let model = first_model(setup, &choices);
    if !choices.are_complete() {
        let nowhere = vec![None; model.len()];
        return Ok((counted(&model, &nowhere), false));
    }
    let search = Search::new(&model, &ENGINE, budget.clone());
    let mut levels = Levels::new(search);
    let proven = levels.solve_counts();
    let counts = counted(&model, levels.incumbent());
    budget.go_on_after(levels.search.budget);
    Ok((counts, proven))
}

/// How many of a setup's devices can be ready in time together at most, whatever their
/// priority; as many as there are where that is not known.
pub(crate) fn most_in_time(setup: &Setup, budget: &mut Budget) -> Result<usize> {
    let choices = Choices::of(setup, budget)?;
    let mut model = Model::of(setup, &Sessions::one(), &choices, Part::InTime);
    if !choices.are_complete() {
        return Ok(model.len());
    }
    model.rank.fill(0);
    let mut levels = Levels::new(Search::new(&model, &ENGINE, budget.clone()));
    let proven = levels.solve_unserved_alone();
    let served = levels.incumbent().iter().flatten().count();
    budget.go_on_after(levels.search.budget);
    Ok(if proven { served } else { model.len() })
}

/// The model on which promises are settled.
pub(crate) fn first_model(setup: &Setup, choices: &Choices) -> Model {
    Model::of(setup, &Sessions::one(), choices, Part::Promises)
}

/// Those of an assignment.
pub(crate) fn counted(model: &Model, assignment: &[Option<u32>]) -> Counts {
    let mut counts = Counts::default();
    for (column, &rank) in assignment.iter().zip(&model.rank) {
        match column {
            None => counts.unserved[rank] += 1,
            Some(column) => counts.late[rank] += u32::from(model.column(*column).late),
        }
    }
    counts
}
