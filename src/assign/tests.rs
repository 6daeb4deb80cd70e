//! The search with and without its engine, on random setups: the same assignment.

use crate::assign::assign;
use crate::assign::counts::first_model;
use crate::assign::options::Choices;
use crate::plan::Status;
use crate::setup::Setup;
use crate::solve::backend::{Answer, Engine, Microlp, Remainder};
use crate::solve::budget::Budget;
use crate::solve::levels::{Level, Levels, Outcome};
use crate::solve::search::Search;
use crate::units::millionths;

#[allow(dead_code, reason = "the suites use more of it")]
#[path = "../../tests/common/random_setup.rs"]
mod random_setup;

mod anytime;
mod certain;
mod few_cables;
mod never_ruled_out;

/// An engine that never answers: everything is decided by our own branching.
struct Silent;

impl Engine for Silent {
    fn solve(&self, _: &Remainder<'_>, _: &mut Budget) -> Answer {
        Answer::Unknown
    }
}

fn outcome(setup: &Setup, engine: &dyn Engine, nodes_before_mip: u64, budget: u64) -> Outcome {
    let choices = Choices::of(setup, &mut Budget::of_steps(1)).expect("within the limit");
    let model = first_model(setup, &choices);
    let budget = Budget::new(budget, None, None);
    let search = Search::new(&model, engine, budget).asking_engine_after(nodes_before_mip);
    Levels::new(search)
        .within(millionths(setup.tolerance_h))
        .solve()
}

#[test]
fn the_engine_changes_no_answer() {
    let mut asked = 0;
    for seed in 50_000..51_500 {
        let setup = Setup::from_json(&random_setup::small_setup(seed)).expect("a valid setup");
        let alone = outcome(&setup, &Silent, 1, 1_000_000);
        let counted = Counted::<Microlp>::default();
        let with_engine = outcome(&setup, &counted, 1, 1_000_000);
        asked += counted.answers.get();
        assert!(alone.proven && with_engine.proven, "seed {seed}");
        assert_eq!(alone.assignment, with_engine.assignment, "seed {seed}");
        assert_eq!(alone.longest, with_engine.longest, "seed {seed}");
    }
    assert!(asked > 20, "the engine was asked {asked} times only");
}

/// A question begun anew at once, by whole chargers and at the best multipliers, has the answer
/// that it had.
#[test]
fn beginning_anew_changes_no_answer() {
    use random_setup::measured::Measured;
    use random_setup::mid::{Family, mid_setup};
    let small = (80_000..81_000).map(random_setup::small_setup);
    let mid = (0..40).map(|seed| mid_setup(seed, 6, 7, Family::ALL[small_index(seed) % 4]));
    let several = (0..40).flat_map(|seed| {
        let families = [Measured::Chargers, Measured::Tables, Measured::Crowded];
        families.map(|family| family.setup(seed, 6))
    });
    for (number, text) in small.chain(mid).chain(several).enumerate() {
        let mut document: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        for (aim, until) in [("best", Level::Everything), ("promise", Level::Times)] {
            document["aim"] = aim.into();
            let setup = Setup::from_json(&document.to_string()).expect("a valid setup");
            let choices = Choices::of(&setup, &mut Budget::of_steps(1)).expect("within the limit");
            let model = first_model(&setup, &choices);
            let solved = |nodes: Option<u64>| {
                let search = Search::new(&model, &Silent, Budget::of_steps(2_000_000));
                let search = match nodes {
                    Some(nodes) => search.beginning_anew_after(nodes),
                    None => search,
                };
                // By promise this is the model of the times; nothing tells its columns apart
                // that have the same.
                Levels::new(search)
                    .within(millionths(setup.tolerance_h))
                    .until(until)
                    .solve()
            };
            let (usual, anew) = (solved(None), solved(Some(1)));
            let what = |outcome: &Outcome| {
                let assignment = outcome.assignment.clone();
                let whole = (until == Level::Everything).then_some(assignment);
                (outcome.unserved, outcome.late, outcome.least.clone(), whole)
            };
            for outcome in [&usual, &anew] {
                assert_eq!(outcome.settled, Some(until), "setup {number}, {aim}");
            }
            assert_eq!(what(&usual), what(&anew), "setup {number}, {aim}");
        }
    }
}

fn small_index(seed: u64) -> usize {
    usize::try_from(seed).expect("a small number")
}

/// An engine, with the number of answers that it gave.
#[derive(Default)]
struct Counted<E> {
    answers: std::cell::Cell<u32>,
    engine: E,
}

impl<E: Engine> Engine for Counted<E> {
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
                !early.proven || early.assignment == best.assignment,
                "seed {seed}"
            );
        }
    }
    assert!(unproven > 300, "only {unproven} searches were cut short");
}

/// Ending after a level takes nothing back from what is proven by then.
#[test]
fn a_level_is_settled_as_in_the_whole_order() {
    let times = |setup: &Setup, outcome: &Outcome| {
        let choices = Choices::of(setup, &mut Budget::of_steps(1)).expect("within the limit");
        let model = first_model(setup, &choices);
        let mut times: Vec<i64> = outcome
            .assignment
            .iter()
            .flatten()
            .map(|&c| model.column(c).time)
            .collect();
        times.sort_unstable_by_key(|&t| std::cmp::Reverse(t));
        times
    };
    let mut differ = 0;
    for seed in 70_000..70_300 {
        let mut setup = Setup::from_json(&random_setup::small_setup(seed)).expect("a valid setup");
        // So that each place in the list of times is its own least.
        setup.tolerance_h = 0.0;
        let until = |level| {
            let choices = Choices::of(&setup, &mut Budget::of_steps(1)).expect("within the limit");
            let model = first_model(&setup, &choices);
            let budget = Budget::new(1_000_000, None, None);
            Levels::new(Search::new(&model, &Silent, budget))
                .within(millionths(setup.tolerance_h))
                .until(level)
                .solve()
        };
        let whole = until(Level::Everything);
        assert!(whole.proven, "seed {seed}");
        assert_eq!(whole.settled, Some(Level::Everything), "seed {seed}");
        for level in [Level::Longest, Level::Times] {
            let early = until(level);
            assert!(!early.proven, "seed {seed}");
            assert_eq!(early.settled, Some(level), "seed {seed}");
            assert_eq!(
                (early.unserved, early.late, early.longest),
                (whole.unserved, whole.late, whole.longest),
                "seed {seed}"
            );
            if level == Level::Times {
                assert_eq!(times(&setup, &early), times(&setup, &whole), "seed {seed}");
            }
            differ += u32::from(early.assignment != whole.assignment);
        }
    }
    assert!(differ > 50, "only {differ} ended on another assignment");
}

/// Both engines, asked at once: the same plan, byte for byte.
#[cfg(feature = "highs")]
#[test]
fn highs_answers_as_microlp_does() {
    use super::answer::plan;
    use crate::solve::backend::Highs;
    use random_setup::mid::{Family, mid_setup};

    let cases: u64 = std::env::var("WATTBERTH_CASES").map_or(2_000, |n| {
        n.parse().expect("WATTBERTH_CASES is a number of cases")
    });
    let small = (0..cases).map(random_setup::small_setup);
    let mid = (0..cases / 20).map(|seed| {
        let family = Family::ALL[usize::try_from(seed).expect("a small number") % 4];
        mid_setup(seed, 6, 7, family)
    });
    let (microlp, highs) = (Counted::<Microlp>::default(), Counted::<Highs>::default());
    let mut open = 0;
    for text in small.chain(mid) {
        let setup = Setup::from_json(&text).expect("a valid setup");
        let choices = Choices::of(&setup, &mut Budget::of_steps(1)).expect("within the limit");
        let model = first_model(&setup, &choices);
        let document = |engine: &dyn Engine| {
            let outcome = outcome(&setup, engine, 1, 1_000_000);
            let document = plan(&setup, &choices, &model, &outcome).0.to_json();
            outcome.proven.then_some(document)
        };
        match (document(&microlp), document(&highs)) {
            (Some(one), Some(other)) => assert_eq!(one, other, "{text}"),
            _ => open += 1,
        }
    }
    assert!(100 * open <= cases, "{open} of {cases} are not proven");
    let asked = (microlp.answers.get(), highs.answers.get());
    assert!(
        u64::from(asked.0.min(asked.1)) > cases / 100,
        "microlp and HiGHS answered {asked:?} times only"
    );
}

/// Two tablets that ask for as much are not one as good as the other where one needs more left to
/// it: the plan that ends after 3.105214 h was once ruled out with its mirror image.
#[test]
fn who_takes_as_much_may_need_more() {
    let setup = Setup::from_json(include_str!("tests/tablets.json")).expect("a valid setup");
    let plan = assign(&setup).expect("a plan");
    assert_eq!(plan.status, Status::Optimal);
    let bound = plan.bound_h.expect("there is a bound");
    assert!(bound <= 3.105_214, "{bound} is above a plan that there is");
}

/// A plug that stays longer lets a line of the table govern on which what another device is granted
/// hangs: a rota with 93.25 Wh missing was once taken for impossible.
#[test]
fn a_longer_stay_can_be_the_better_one() {
    let setup = Setup::from_json(include_str!("tests/long_stay.json")).expect("a valid setup");
    let rota = crate::assign::rota(&setup).expect("a rota");
    assert_eq!((rota.status, rota.unserved), (Status::Optimal, 4));
    assert_eq!(rota.missing_wh, 93.25);
}
