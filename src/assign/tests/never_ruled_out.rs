//! A seating that is there is never ruled out: its own numbers become the limits of a
//! question, and no floor, bound, deletion or symmetry may deny it.

use super::random_setup::crowd::crowded_setup;
use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::night::night_setup;
use super::random_setup::rng::Rng;
use super::random_setup::small_setup;
use super::{Silent, outcome};
use crate::assign::options::{Apart, Choices};
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::solve::backend::{Engine, Microlp};
use crate::solve::budget::Budget;
use crate::solve::goal::{Goal, Limits, Open};
use crate::solve::model::{Model, Seating};
use crate::solve::search::{Search, Task, Verdict};
use crate::solve::stairs::Stairs;

const SEATINGS: u64 = 12;

/// Setups of each kind where `WATTBERTH_CASES` does not say.
const CASES: u64 = 400;

/// Setups too large to look at every plan.
const MID_CASES: u64 = 40;

fn cases(usual: u64) -> u64 {
    let wanted = std::env::var("WATTBERTH_CASES").ok();
    wanted.and_then(|n| n.parse().ok()).unwrap_or(usual)
}

fn for_each_seating(mut check: impl FnMut(&Model, &Seating, &mut Rng, &str)) {
    let cases = cases(CASES);
    let kinds = [small_setup, crowded_setup, night_setup];
    for (kind, setup_of) in kinds.into_iter().enumerate() {
        for seed in 100_000..100_000 + cases {
            let setup = Setup::from_json(&setup_of(seed)).expect("a valid setup");
            let mut budget = Budget::of_steps(1);
            let choices = if setup.sessions.is_empty() {
                Choices::of(&setup, &mut budget)
            } else {
                Choices::over(
                    &setup,
                    &Sessions::of(&setup),
                    &Apart::default(),
                    &mut budget,
                )
            };
            let model = Model::of(&setup, &choices.expect("within the limit"));
            let mut rng = Rng::new(seed);
            for _ in 0..SEATINGS {
                // The best of many has numbers that are hard to keep.
                let draws = rng.pick(&[1, 10, 60]);
                let drawn = (0..draws).map(|_| draw(&model, &mut rng));
                let best = drawn.min_by_key(|seating| {
                    let unserved = Goal::Unserved.of(&model, seating);
                    (unserved, times(&model, seating))
                });
                let what = format!("kind {kind}, seed {seed}");
                check(&model, &best.expect("at least one"), &mut rng, &what);
            }
        }
    }
}

/// Devices in any order take any choice that the ones before leave to them.
fn draw(model: &Model, rng: &mut Rng) -> Seating {
    let mut seating: Seating = vec![None; model.len()];
    let mut order: Vec<usize> = (0..model.len()).collect();
    rng.shuffle(&mut order);
    for device in order {
        let mut choices: Vec<u32> = model.of_device[device].clone().collect();
        rng.shuffle(&mut choices);
        for choice in choices {
            seating[device] = Some(choice);
            if holds(model, &seating) {
                break;
            }
            seating[device] = None;
        }
    }
    seating
}

/// Whether seats, rows and tables hold.
fn holds(model: &Model, seating: &Seating) -> bool {
    let mut seated = vec![0; model.seats.len()];
    let mut used = vec![0; model.rows.len()];
    for &choice in seating.iter().flatten() {
        seated[model.brief(choice).port as usize] += 1;
        for &(row, takes) in model.takes(choice) {
            used[row as usize] += takes;
        }
    }
    seated.iter().zip(&model.seats).all(|(n, seats)| n <= seats)
        && used.iter().zip(&model.rows).all(|(n, row)| *n <= row.cap)
        && model.tables_hold(seating)
}

/// Longest first.
fn times(model: &Model, seating: &Seating) -> Vec<i64> {
    let choices = seating.iter().flatten();
    let mut times: Vec<i64> = choices.map(|&c| model.choice(c).time).collect();
    times.sort_unstable_by_key(|&time| std::cmp::Reverse(time));
    times
}

fn unserved(model: &Model, seating: &Seating) -> [i64; 3] {
    let mut counts = [0; 3];
    for (device, choice) in seating.iter().enumerate() {
        counts[model.rank[device]] += i64::from(choice.is_none());
    }
    counts
}

/// The limits that the seating just keeps: all of them, or some.
fn limits(model: &Model, seating: &Seating, rng: &mut Rng) -> Limits {
    let mut later: Vec<(i64, i64)> = Vec::new();
    for (place, time) in (0..).zip(times(model, seating)) {
        if later.last().is_none_or(|&(last, _)| time < last) {
            later.push((time, place));
        }
    }
    if rng.chance(40) {
        later.truncate(rng.below(later.len() + 1));
    }
    Limits {
        later,
        late: rng.chance(70).then(|| Goal::Late.of(model, seating)),
        after_first: None,
        unserved: if rng.chance(80) {
            unserved(model, seating)
        } else {
            [i64::MAX; 3]
        },
        missing: rng.chance(70).then(|| Goal::Missing.of(model, seating)),
    }
}

fn keeps(model: &Model, seating: &Seating, limits: &Limits) -> bool {
    let times = times(model, seating);
    let slower = |t: i64| times.iter().filter(|&&time| time > t).count();
    let counts = unserved(model, seating);
    holds(model, seating)
        && (limits.later.iter()).all(|&(t, n)| i64::try_from(slower(t)).is_ok_and(|s| s <= n))
        && limits
            .late
            .is_none_or(|n| Goal::Late.of(model, seating) <= n)
        && counts
            .iter()
            .zip(&limits.unserved)
            .all(|(n, most)| n <= most)
        && (limits.missing).is_none_or(|n| Goal::Missing.of(model, seating) <= n)
}

/// All choices, or part of them with those of the seating; the lines that the seating
/// keeps, and any others.
fn open(model: &Model, seating: &Seating, rng: &mut Rng) -> Open {
    let mut open = Open::all(model);
    let share = rng.pick(&[100, 100, 80, 40]);
    open.retain(|device, choice| seating[device] == Some(choice) || rng.chance(share));
    for (may_stay, choice) in open.may_stay.iter_mut().zip(seating) {
        *may_stay = choice.is_none() || rng.chance(share);
    }
    open
}

#[test]
fn by_no_floor_under_the_times() {
    let mut above_the_lowest = 0;
    for_each_seating(|model, seating, rng, what| {
        let times = times(model, seating);
        let open = open(model, seating, rng);
        let stairs = Stairs::of(model, &open, seating);
        for (place, &time) in (0..).zip(&times) {
            let longest = (place > 0).then(|| times[0]);
            let floor = stairs.first_possible(place, longest);
            assert!(floor <= time, "{what}, place {place}: {floor}, not {time}");
            above_the_lowest += u64::from(floor > stairs.first_possible(256, None));
        }
    });
    assert!(above_the_lowest > 1_000, "only {above_the_lowest} floors");
}

#[test]
fn by_no_question_that_it_answers() {
    let engines: [(&dyn Engine, u64); 3] = [(&Silent, 1), (&Microlp, 1), (&Microlp, 512)];
    for_each_seating(|model, seating, rng, what| {
        let (engine, patience) = rng.pick(&engines);
        let budget = Budget::new(1_000_000, None, None);
        let mut search = Search::new(model, engine, budget).with_patience(patience);
        // Prices are kept from one question to the next.
        for _ in 0..3 {
            let goals = [
                Goal::Any,
                Goal::Unserved,
                Goal::UnservedOf(rng.below(3)),
                Goal::Missing,
                Goal::Late,
                Goal::AfterFirst,
                Goal::Watts,
            ];
            let goal = rng.pick(&goals);
            let limits = limits(model, seating, rng);
            let cost = goal.of(model, seating);
            let task = Task {
                goal,
                limits: &limits,
                cutoff: cost,
                least: rng.chance(50),
                unit: 1,
            };
            let verdict = search.ask(&task, &open(model, seating, rng));
            let Verdict::Found(found) = verdict else {
                panic!("{what}, {goal:?}: {verdict:?}, but there is {seating:?}");
            };
            assert!(keeps(model, &found, &limits), "{what}, {goal:?}: {found:?}");
            assert!(goal.of(model, &found) <= cost, "{what}, {goal:?}");
        }
    });
}

/// What a settled level closes for good is in no seating that keeps it; that it closes
/// anything is shown by how often it does.
#[test]
fn by_no_level_that_closes() {
    let mut closed = 0;
    for_each_seating(|model, seating, rng, what| {
        let budget = Budget::new(1_000_000, None, None);
        let mut search = Search::new(model, &Silent, budget);
        let mut open = open(model, seating, rng);
        // One level after the other closes more.
        for goal in [
            Goal::UnservedOf(0),
            Goal::UnservedOf(1),
            Goal::UnservedOf(2),
            Goal::Missing,
            Goal::Late,
            Goal::AfterFirst,
        ] {
            let limits = limits(model, seating, rng);
            let cost = goal.of(model, seating);
            let before: usize = open.choices.iter().map(Vec::len).sum();
            search.close(&Task::within(goal, &limits, cost), &mut open);
            let after: usize = open.choices.iter().map(Vec::len).sum();
            closed += before - after;
            for (device, choice) in seating.iter().enumerate() {
                let there = match choice {
                    Some(choice) => open.choices[device].contains(choice),
                    None => open.may_stay[device],
                };
                assert!(there, "{what}, {goal:?}, device {device}");
            }
            for (t, lines) in open.lines.iter().enumerate() {
                let governed = model.table_holds_by(t, seating, lines.iter().copied());
                assert!(governed, "{what}, {goal:?}, table {t}");
            }
        }
    });
    assert!(closed > 10_000, "only {closed} choices were closed");
}

/// The levels drop choices, lines and times for good, each level counting on those
/// before. Asked anew with everything open, no question finds better.
#[test]
fn by_no_level_before() {
    for seed in 0..cases(MID_CASES) {
        for (devices, ports) in [(8, 5), (8, 8), (11, 7)] {
            for family in Family::ALL {
                let what = format!("{family:?}, {devices} on {ports}, seed {seed}");
                let setup = mid_setup(200_000 + seed, devices, ports, family);
                let setup = Setup::from_json(&setup).expect("a valid setup");
                let best = outcome(&setup, &Microlp, 512, 1_000_000);
                assert!(best.proven, "{what}");
                let choices =
                    Choices::of(&setup, &mut Budget::of_steps(1)).expect("within the limit");
                let model = Model::of(&setup, &choices);
                if let Some(better) = better(&model, &best.seating) {
                    panic!("{what}: {better}");
                }
            }
        }
    }
}

/// In what a plan can be bettered, everything before it in the order kept.
fn better(model: &Model, best: &Seating) -> Option<String> {
    let budget = Budget::new(10_000_000, None, None);
    let mut search = Search::new(model, &Silent, budget);
    let mut ask = |goal: Goal, limits: &Limits, cutoff: i64| {
        let task = Task {
            goal,
            limits,
            cutoff,
            least: false,
            unit: 1,
        };
        let verdict = search.ask(&task, &Open::all(model));
        (verdict != Verdict::Impossible).then(|| format!("{goal:?} {cutoff}: {verdict:?}"))
    };
    let mut limits = Limits::none();
    let cost = |goal: Goal| goal.of(model, best);
    for goal in [Goal::Unserved, Goal::Missing, Goal::Late] {
        if cost(goal) > 0
            && let Some(found) = ask(goal, &limits, cost(goal) - 1)
        {
            return Some(found);
        }
        match goal {
            Goal::Unserved => limits.unserved = unserved(model, best),
            Goal::Missing => limits.missing = Some(cost(goal)),
            _ => limits.late = Some(cost(goal)),
        }
    }
    for (place, time) in (0..).zip(times(model, best)) {
        let mut sooner = limits.clone();
        sooner.later.push((time - 1, place));
        let found = ask(Goal::Any, &sooner, 0);
        if found.is_some() {
            return found;
        }
        if limits.later.last().is_none_or(|&(last, _)| time < last) {
            limits.later.push((time, place));
        }
    }
    let watts = cost(Goal::Watts);
    ask(Goal::Watts, &limits, watts - 1).filter(|_| watts > 0)
}
