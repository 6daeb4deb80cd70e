//! Choices that a question can do without: another of the same device on the same port
//! takes no more from any row and costs no more.

use super::goal::{Goal, Limits, Open};
use super::model::Model;

/// Deletes dominated choices; of equal ones the first stays. Exact for the question
/// whether there is a seating within a cutoff, and for the least cost.
pub(super) fn drop_dominated(model: &Model, goal: Goal, limits: &Limits, open: &mut Open) {
    for choices in &mut open.choices {
        let mut kept: Vec<u32> = Vec::with_capacity(choices.len());
        // Choices of one port stand side by side: they were enumerated port by port.
        for of_port in choices.chunk_by(|&a, &b| model.choice(a).port == model.choice(b).port) {
            let from = kept.len();
            for (at, &choice) in of_port.iter().enumerate() {
                let beaten = of_port.iter().enumerate().any(|(other_at, &other)| {
                    other_at != at
                        && no_worse(model, goal, limits, other, choice)
                        && (other_at < at || !no_worse(model, goal, limits, choice, other))
                });
                if !beaten {
                    kept.push(choice);
                }
            }
            debug_assert!(kept.len() > from, "one of equals stays");
        }
        *choices = kept;
    }
}

/// Whether `a` takes no more than `b` from every row, and costs no more.
fn no_worse(model: &Model, goal: Goal, limits: &Limits, a: u32, b: u32) -> bool {
    let (one, other) = (model.choice(a), model.choice(b));
    let rows_of_b = model.takes(b);
    one.late <= other.late
        && rows_broken(limits, one.time) <= rows_broken(limits, other.time)
        && goal.of_choice(model, a) <= goal.of_choice(model, b)
        && model.takes(a).iter().all(|(row, takes)| {
            rows_of_b
                .iter()
                .any(|(other, most)| other == row && takes <= most)
        })
}

/// How many of the rows "at most n take longer than t" count a device of this time. The
/// times of the rows fall, so it is always the last of them.
fn rows_broken(limits: &Limits, time: i64) -> usize {
    limits
        .later
        .iter()
        .rev()
        .take_while(|(t, _)| time > *t)
        .count()
}
