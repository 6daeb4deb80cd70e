//! What one candidate can do for each device that has it to itself.

use super::members::Kit;
use super::order::{NOBODY, never_last};
use crate::assign::options::{Choice, Choices};
use crate::decide::bag::Bag;
use crate::plan::promise::NEVER;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::solve::budget::Budget;

/// A device on a port has the same ways to sit whatever else is in the kit, and is promised no
/// more beside others than alone: no kit does better than this on this candidate.
pub(super) struct Alone {
    /// By device of the setup, its least time by the aim; [`NOBODY`] where it cannot sit.
    pub(super) least: Vec<i64>,
    /// By device, the ports that it can sit on, numbered through the candidate.
    pub(super) ports: Vec<Vec<usize>>,
    /// How many of its ports are numbered.
    pub(super) numbered: usize,
    /// The devices without a berth where there is nothing else, by priority, where that is
    /// known: no kit with it has more.
    pub(super) unserved: Option<[u32; 3]>,
}

impl Alone {
    /// Of a candidate that is a kit by itself. Nothing where a limit struck, or where it is too
    /// large for a plan.
    pub(super) fn of(kit: Kit<'_>, bag: &Bag, budget: &mut Budget) -> Option<Self> {
        let setup = kit.setup_unpinned(bag);
        let choices = bag.choices(&setup, budget).ok()?;
        choices.are_complete().then(|| Self {
            unserved: counted(bag, &setup, budget),
            ..Self::listed(&setup, &choices)
        })
    }

    fn listed(setup: &Setup, choices: &Choices) -> Self {
        let (mut first, mut numbered) = (Vec::new(), 0);
        for group in &choices.ports {
            first.push(numbered);
            numbered += group.ports.len();
        }
        let time = |choice: &Choice| match setup.aim {
            Aim::Best => choice.time,
            Aim::Promise => {
                let last = choices.asks[choice.asks].steps.last();
                never_last(last.map_or(NEVER, |step| step.time))
            }
        };
        let ports_of = |own: &Vec<Choice>| {
            let on_each = own.chunk_by(|a, b| a.port == b.port);
            let ports = on_each.flat_map(|on_one| {
                let group = on_one[0].port;
                (first[group]..).take(choices.ports[group].ports.len())
            });
            ports.collect()
        };
        let least = |own: &Vec<Choice>| own.iter().map(time).min().unwrap_or(NOBODY);
        Self {
            least: choices.by_device.iter().map(least).collect(),
            ports: choices.by_device.iter().map(ports_of).collect(),
            numbered,
            unserved: None,
        }
    }
}

/// The devices without a berth, by priority, where that is proven. Pins onto ports could leave
/// more of them.
fn counted(bag: &Bag, setup: &Setup, budget: &mut Budget) -> Option<[u32; 3]> {
    if bag.is_pinned() {
        return None;
    }
    let (counts, proven) = bag.counts(setup, budget).ok()?;
    proven.then_some(counts.unserved)
}
