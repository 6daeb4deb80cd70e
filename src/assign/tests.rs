//! The search with and without its engine, on random setups: the same seating.

use super::backend::{Answer, Engine, Microlp, Remainder};
use super::budget::Budget;
use super::levels::{Levels, Outcome};
use super::model::Model;
use super::search::Search;
use crate::options::Choices;
use crate::setup::Setup;

#[path = "../../tests/common/random_setup.rs"]
mod random_setup;

mod never_ruled_out;

/// An engine that never answers: everything is decided by our own branching.
struct Silent;

impl Engine for Silent {
    fn solve(&self, _: &Remainder<'_>, _: &mut Budget) -> Answer {
        Answer::Unknown
    }
}

fn outcome(setup: &Setup, engine: &dyn Engine, patience: u64, budget: u64) -> Outcome {
    let choices = Choices::of(setup).expect("within the limit");
    let model = Model::of(setup, &choices);
    let budget = Budget::new(budget, None, None);
    let search = Search::new(&model, engine, budget).with_patience(patience);
    Levels::new(search).settle()
}

#[test]
fn the_engine_changes_no_answer() {
    let mut asked = 0;
    for seed in 50_000..51_500 {
        let setup = Setup::from_json(&random_setup::small_setup(seed)).expect("a valid setup");
        let alone = outcome(&setup, &Silent, 1, 1_000_000);
        let counted = Counted::default();
        let with_engine = outcome(&setup, &counted, 1, 1_000_000);
        asked += counted.answers.get();
        assert!(alone.proven && with_engine.proven, "seed {seed}");
        assert_eq!(alone.seating, with_engine.seating, "seed {seed}");
        assert_eq!(alone.longest, with_engine.longest, "seed {seed}");
    }
    assert!(asked > 20, "the engine was asked {asked} times only");
}

/// The engine, with the number of answers that it gave.
#[derive(Default)]
struct Counted {
    answers: std::cell::Cell<u32>,
    engine: Microlp,
}

impl Engine for Counted {
    fn solve(&self, remainder: &Remainder<'_>, budget: &mut Budget) -> Answer {
        let answer = self.engine.solve(remainder, budget);
        if answer != Answer::Unknown {
            self.answers.set(self.answers.get() + 1);
        }
        answer
    }
}

/// However early a limit strikes, what is said to be proven is true of the best plan.
#[test]
fn bounds_hold_under_any_budget() {
    let mut unproven = 0;
    for seed in 60_000..60_300 {
        let setup = Setup::from_json(&random_setup::small_setup(seed)).expect("a valid setup");
        let best = outcome(&setup, &Silent, 1, 1_000_000);
        for budget in [1, 2, 3, 5, 8, 13, 21, 34, 55] {
            let early = outcome(&setup, &Silent, 1, budget);
            unproven += u32::from(!early.proven);
            assert!(
                early.unserved <= best.unserved,
                "seed {seed}, budget {budget}"
            );
            assert!(early.late <= best.late, "seed {seed}, budget {budget}");
            let settled = early.unserved == best.unserved && early.late == best.late;
            assert!(
                !settled || early.longest <= best.longest,
                "seed {seed}, budget {budget}"
            );
            assert!(
                !early.proven || early.seating == best.seating,
                "seed {seed}"
            );
        }
    }
    assert!(unproven > 300, "only {unproven} searches were cut short");
}
