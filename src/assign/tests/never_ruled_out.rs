//! An assignment that is there is never ruled out: its own numbers become the limits of a
//! question, and no floor, bound, deletion or symmetry may deny it.

use super::random_setup::crowd::crowded_setup;
use super::random_setup::mid::{Family, mid_setup};
use super::random_setup::night::night_setup;
use super::random_setup::rng::Rng;
use super::random_setup::small_setup;
use super::{Silent, first_model, outcome};
use crate::assign::model::Part;
use crate::assign::options::{Choices, Ungrouped};
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::solve::backend::{Engine, Microlp};
use crate::solve::budget::Budget;
use crate::solve::goal::{Domains, Goal, Limits, class};
use crate::solve::lower_bounds::LowerBounds;
use crate::solve::model::{Assignment, Model};
use crate::solve::search::{Query, Search, Verdict};

const SEATINGS: u64 = 12;

/// Late devices by priority.
const LATE: [Goal; 3] = [Goal::LateOf(0), Goal::LateOf(1), Goal::LateOf(2)];

/// Setups of each kind where `WATTBERTH_CASES` does not say.
const CASES: u64 = 400;

/// Setups too large to look at every plan.
const MID_CASES: u64 = 40;

fn cases(usual: u64) -> u64 {
    let wanted = std::env::var("WATTBERTH_CASES").ok();
    wanted.and_then(|n| n.parse().ok()).unwrap_or(usual)
}

fn for_each_seating(mut check: impl FnMut(&Model, &Assignment, &mut Rng, &str)) {
    let cases = cases(CASES);
    let kinds = [small_setup, crowded_setup, night_setup];
    for (kind, setup_of) in kinds.into_iter().enumerate() {
        for seed in 100_000..100_000 + cases {
            let setup = Setup::from_json(&setup_of(seed)).expect("a valid setup");
            let mut budget = Budget::of_steps(1);
            let (sessions, choices) = if setup.sessions.is_empty() {
                (Sessions::one(), Choices::of(&setup, &mut budget))
            } else {
                let sessions = Sessions::of(&setup);
                let choices = Choices::over(&setup, &sessions, &Ungrouped::default(), &mut budget);
                (sessions, choices)
            };
            let choices = choices.expect("within the limit");
            let mut rng = Rng::new(seed);
            // Of the whole order's columns, or of those that its first levels need.
            let none = Limits::none();
            let part = rng.pick(&[Part::Promises, Part::Within(&none)]);
            let mut model = Model::of(&setup, &sessions, &choices, part);
            move_some(&mut model, &mut rng);
            for _ in 0..SEATINGS {
                // The best of many has numbers that are hard to keep.
                let draws = rng.pick(&[1, 10, 60]);
                let drawn = (0..draws).map(|_| draw(&model, &mut rng));
                let best = drawn.min_by_key(|assignment| {
                    let unserved = Goal::Unserved.of(&model, assignment);
                    (unserved, times(&model, assignment))
                });
                let what = format!("kind {kind}, seed {seed}");
                check(&model, &best.expect("at least one"), &mut rng, &what);
            }
        }
    }
}

/// Counts moves, as if the devices had been anywhere before.
fn move_some(model: &mut Model, rng: &mut Rng) {
    model.moved_away = Some((0..model.len()).map(|_| rng.chance(50)).collect());
    for column in &mut model.columns {
        column.moved = rng.chance(60);
    }
}

/// Devices in any order take any choice that the ones before leave to them.
fn draw(model: &Model, rng: &mut Rng) -> Assignment {
    let mut assignment: Assignment = vec![None; model.len()];
    let mut order: Vec<usize> = (0..model.len()).collect();
    rng.shuffle(&mut order);
    for device in order {
        let mut choices: Vec<u32> = model.of_device[device].clone().collect();
        rng.shuffle(&mut choices);
        for choice in choices {
            assignment[device] = Some(choice);
            if holds(model, &assignment) {
                break;
            }
            assignment[device] = None;
        }
    }
    assignment
}

/// Whether seats, rows and tables hold.
fn holds(model: &Model, assignment: &Assignment) -> bool {
    let mut seated = vec![0; model.seats.len()];
    let mut used = vec![0; model.rows.len()];
    for &choice in assignment.iter().flatten() {
        seated[model.dominance_key(choice).port as usize] += 1;
        for &(row, takes) in model.takes(choice) {
            used[row as usize] += takes;
        }
    }
    seated.iter().zip(&model.seats).all(|(n, seats)| n <= seats)
        && used.iter().zip(&model.rows).all(|(n, row)| *n <= row.cap)
        && model.tables_hold(assignment)
        && model.promises_hold(assignment)
}

/// Of each class, longest first.
fn times(model: &Model, assignment: &Assignment) -> [Vec<i64>; 2] {
    [0, 1].map(|of| times_of(model, assignment, of))
}

fn times_of(model: &Model, assignment: &Assignment, of: usize) -> Vec<i64> {
    let choices = assignment.iter().enumerate();
    let choices = choices.filter(|&(device, _)| class(model.rank[device]) == of);
    let mut times: Vec<i64> = choices
        .filter_map(|(_, choice)| choice.map(|choice| model.column(choice).time))
        .collect();
    times.sort_unstable_by_key(|&time| std::cmp::Reverse(time));
    times
}

fn unserved(model: &Model, assignment: &Assignment) -> [i64; 3] {
    let mut counts = [0; 3];
    for (device, choice) in assignment.iter().enumerate() {
        counts[model.rank[device]] += i64::from(choice.is_none());
    }
    counts
}

/// The limits that the assignment just keeps: all of them, or some.
fn limits(model: &Model, assignment: &Assignment, rng: &mut Rng) -> Limits {
    let later = times(model, assignment).map(|times| {
        let mut later: Vec<(i64, i64)> = Vec::new();
        for (place, time) in (0..).zip(times) {
            if later.last().is_none_or(|&(last, _)| time < last) {
                later.push((time, place));
            }
        }
        if rng.chance(40) {
            later.truncate(rng.below(later.len() + 1));
        }
        later
    });
    Limits {
        later,
        late: if rng.chance(70) {
            LATE.map(|goal| goal.of(model, assignment))
        } else {
            [i64::MAX; 3]
        },
        moves: rng.chance(30).then(|| Goal::Moves.of(model, assignment)),
        after_first: None,
        hours: rng.chance(30).then(|| Goal::Hours.of(model, assignment)),
        watts: rng.chance(30).then(|| Goal::Watts.of(model, assignment)),
        unserved: if rng.chance(80) {
            unserved(model, assignment)
        } else {
            [i64::MAX; 3]
        },
        missing: rng.chance(70).then(|| Goal::Missing.of(model, assignment)),
    }
}

fn keeps(model: &Model, assignment: &Assignment, limits: &Limits) -> bool {
    let times = times(model, assignment);
    let counts = unserved(model, assignment);
    let late = LATE.map(|goal| goal.of(model, assignment));
    holds(model, assignment)
        && limits.later.iter().zip(&times).all(|(later, times)| {
            let slower = |t: i64| times.iter().filter(|&&time| time > t).count();
            (later.iter()).all(|&(t, n)| i64::try_from(slower(t)).is_ok_and(|s| s <= n))
        })
        && late.iter().zip(&limits.late).all(|(n, most)| n <= most)
        && (limits.moves).is_none_or(|n| Goal::Moves.of(model, assignment) <= n)
        && (limits.hours).is_none_or(|n| Goal::Hours.of(model, assignment) <= n)
        && (limits.watts).is_none_or(|n| Goal::Watts.of(model, assignment) <= n)
        && counts
            .iter()
            .zip(&limits.unserved)
            .all(|(n, most)| n <= most)
        && (limits.missing).is_none_or(|n| Goal::Missing.of(model, assignment) <= n)
}

/// All choices, or part of them with those of the assignment; the lines that the assignment
/// keeps, and any others.
fn domains(model: &Model, assignment: &Assignment, rng: &mut Rng) -> Domains {
    let mut domains = Domains::all(model);
    let share = rng.pick(&[100, 100, 80, 40]);
    domains.retain(|device, choice| assignment[device] == Some(choice) || rng.chance(share));
    for (may_stay, choice) in domains.may_stay.iter_mut().zip(assignment) {
        *may_stay = choice.is_none() || rng.chance(share);
    }
    domains
}

#[test]
fn by_no_floor_under_the_times() {
    let mut above_the_lowest = 0;
    for_each_seating(|model, assignment, rng, what| {
        let domains = domains(model, assignment, rng);
        for (of, times) in times(model, assignment).into_iter().enumerate() {
            let lower_bounds = LowerBounds::of(model, &domains, assignment, of);
            for (place, &time) in (0..).zip(&times) {
                let longest = (place > 0).then(|| times[0]);
                let floor = lower_bounds.first_possible(place, longest);
                assert!(floor <= time, "{what}, place {place}: {floor}, not {time}");
                above_the_lowest += u64::from(floor > lower_bounds.first_possible(256, None));
            }
        }
    });
    assert!(above_the_lowest > 1_000, "only {above_the_lowest} floors");
}

#[test]
fn by_no_question_that_it_answers() {
    let engines: [(&dyn Engine, u64); 3] = [(&Silent, 1), (&Microlp, 1), (&Microlp, 512)];
    for_each_seating(|model, assignment, rng, what| {
        let (engine, nodes_before_mip) = rng.pick(&engines);
        let budget = Budget::new(1_000_000, None, None);
        let mut search = Search::new(model, engine, budget).asking_engine_after(nodes_before_mip);
        if rng.chance(50) {
            search = search.beginning_anew_after(rng.pick(&[1, 3]));
        }
        // Multipliers are kept from one question to the next.
        for _ in 0..3 {
            let goals = [
                Goal::Any,
                Goal::Unserved,
                Goal::UnservedOf(rng.below(3)),
                Goal::Missing,
                Goal::LateOf(rng.below(3)),
                Goal::AfterFirst,
                Goal::Moves,
                Goal::Hours,
                Goal::Watts,
            ];
            let goal = rng.pick(&goals);
            let limits = limits(model, assignment, rng);
            let cost = goal.of(model, assignment);
            let query = Query {
                goal,
                limits: &limits,
                cutoff: cost,
                least: rng.chance(50),
                unit: 1,
            };
            let verdict = search.ask(&query, &domains(model, assignment, rng));
            let Verdict::Found(found) = verdict else {
                panic!("{what}, {goal:?}: {verdict:?}, but there is {assignment:?}");
            };
            assert!(keeps(model, &found, &limits), "{what}, {goal:?}: {found:?}");
            assert!(goal.of(model, &found) <= cost, "{what}, {goal:?}");
        }
    });
}

/// What a settled level closes for good is in no assignment that keeps it; that it closes
/// anything is shown by how often it does.
#[test]
fn by_no_level_that_closes() {
    let mut closed = 0;
    for_each_seating(|model, assignment, rng, what| {
        let budget = Budget::new(1_000_000, None, None);
        let mut search = Search::new(model, &Silent, budget);
        let mut domains = domains(model, assignment, rng);
        // One level after the other closes more.
        for goal in [
            Goal::UnservedOf(0),
            Goal::UnservedOf(1),
            Goal::UnservedOf(2),
            Goal::Missing,
            Goal::LateOf(0),
            Goal::LateOf(1),
            Goal::LateOf(2),
            Goal::AfterFirst,
            Goal::Moves,
            Goal::Hours,
        ] {
            let limits = limits(model, assignment, rng);
            let cost = goal.of(model, assignment);
            let before: usize = domains.columns.iter().map(Vec::len).sum();
            search.close(&Query::within(goal, &limits, cost), &mut domains);
            let after: usize = domains.columns.iter().map(Vec::len).sum();
            closed += before - after;
            for (device, choice) in assignment.iter().enumerate() {
                let there = match choice {
                    Some(choice) => domains.columns[device].contains(choice),
                    None => domains.may_stay[device],
                };
                assert!(there, "{what}, {goal:?}, device {device}");
            }
            for (t, lines) in domains.lines.iter().enumerate() {
                let governed = model.table_holds_by(t, assignment, lines.iter().copied());
                assert!(governed, "{what}, {goal:?}, table {t}");
            }
        }
    });
    assert!(closed > 10_000, "only {closed} choices were closed");
}

/// The levels drop choices, lines and times for good, each level counting on those
/// before. Asked anew with everything open, no question finds better. A sum over all devices
/// is then so open a question that not each has an answer within reason; most have.
#[test]
fn by_no_level_before() {
    let (mut sums, mut open) = (0, 0);
    for seed in 0..cases(MID_CASES) {
        for (devices, ports) in [(8, 5), (8, 8), (11, 7)] {
            for family in Family::ALL {
                let what = format!("{family:?}, {devices} on {ports}, seed {seed}");
                let setup = mid_setup(200_000 + seed, devices, ports, family);
                let mut setup = Setup::from_json(&setup).expect("a valid setup");
                // So that each place in the list of times is its own least.
                setup.tolerance_h = 0.0;
                let best = outcome(&setup, &Microlp, 512, 20_000_000);
                assert!(best.proven, "{what}");
                let choices =
                    Choices::of(&setup, &mut Budget::of_steps(1)).expect("within the limit");
                let model = first_model(&setup, &choices);
                match better(&model, &best.assignment) {
                    Ok(unanswered) => {
                        sums += 2;
                        open += unanswered;
                    }
                    Err(better) => panic!("{what}: {better}"),
                }
            }
        }
    }
    assert!(5 * open <= sums, "{open} of {sums} sums have no answer");
}

/// In what a plan can be bettered, everything before it in the order kept; else how many of its
/// two sums have no answer.
fn better(model: &Model, best: &Assignment) -> Result<usize, String> {
    const STEPS: u64 = 10_000_000;
    const STEPS_OF_A_SUM: u64 = 100_000;
    let ask = |goal: Goal, limits: &Limits, cutoff: i64| {
        let is_sum = matches!(goal, Goal::Hours | Goal::Watts);
        let budget = Budget::of_steps(if is_sum { STEPS_OF_A_SUM } else { STEPS });
        let query = Query {
            goal,
            limits,
            cutoff,
            least: false,
            unit: 1,
        };
        let mut search = Search::new(model, &Silent, budget);
        match search.ask(&query, &Domains::all(model)) {
            Verdict::Impossible => Ok(0),
            Verdict::Unknown(None) if is_sum => Ok(1),
            verdict => Err(format!("{goal:?} {cutoff}: {verdict:?}")),
        }
    };
    let mut limits = Limits::none();
    let cost = |goal: Goal| goal.of(model, best);
    for goal in [Goal::Unserved, Goal::Missing].into_iter().chain(LATE) {
        if cost(goal) > 0 {
            ask(goal, &limits, cost(goal) - 1)?;
        }
        match goal {
            Goal::Unserved => limits.unserved = unserved(model, best),
            Goal::Missing => limits.missing = Some(cost(goal)),
            Goal::LateOf(rank) => limits.late[rank] = cost(goal),
            _ => {}
        }
    }
    for (of, times) in times(model, best).into_iter().enumerate() {
        for (place, time) in (0..).zip(times) {
            let mut sooner = limits.clone();
            sooner.later[of].push((time - 1, place));
            ask(Goal::Any, &sooner, 0)?;
            let later = &mut limits.later[of];
            if later.last().is_none_or(|&(last, _)| time < last) {
                later.push((time, place));
            }
        }
    }
    let mut unanswered = 0;
    for goal in [Goal::Hours, Goal::Watts] {
        if cost(goal) > 0 {
            unanswered += ask(goal, &limits, cost(goal) - 1)?;
        }
        limits.hours = Some(cost(Goal::Hours));
    }
    Ok(unanswered)
}
