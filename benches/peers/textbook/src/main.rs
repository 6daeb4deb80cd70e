//! The least longest time as somebody would write it in an afternoon: good_lp on HiGHS, a 0/1 variable for every
//! choice, and one variable that is no less than any device's time. Reads programs, one JSON document a line, and
//! writes for each a line with the longest time and the milliseconds from the document to the answer.

use std::io::{BufRead, Write};
use std::time::Instant;

use good_lp::solvers::SolutionStatus;
use good_lp::{Expression, ProblemVariables, Solution, SolverModel, constraint, variable};
use serde::Deserialize;

/// What is to be decided.
#[derive(Deserialize)]
struct Program {
    /// By choice, whose it is and its hours.
    choices: Vec<Choice>,
    /// 0/1 variables beside the choices.
    others: usize,
    rows: Vec<Row>,
    limit_s: f64,
}

#[derive(Deserialize)]
struct Choice {
    device: usize,
    hours: f64,
}

/// `least` ≤ Σ factor · variable ≤ `most`; the choices are the first variables.
#[derive(Deserialize)]
struct Row {
    least: Option<f64>,
    most: Option<f64>,
    terms: Vec<(usize, f64)>,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    for line in std::io::stdin().lock().lines() {
        let program: Program = serde_json::from_str(&line?)?;
        let begun = Instant::now();
        let taken = solve(&program);
        let ms = begun.elapsed().as_secs_f64() * 1e3;
        let mut out = std::io::stdout().lock();
        writeln!(out, "{}", serde_json::to_string(&(ms, taken))?)?;
        out.flush()?;
    }
    Ok(())
}

/// The variables that are 1 in the best answer; none where the time ran out.
fn solve(program: &Program) -> Option<Vec<usize>> {
    let mut variables = ProblemVariables::new();
    let number = program.choices.len() + program.others;
    let x: Vec<_> = (0..number)
        .map(|_| variables.add(variable().binary()))
        .collect();
    let longest = variables.add(variable().min(0.0));
    let mut model = variables.minimise(longest).using(good_lp::highs);
    model = model
        .set_threads(1)
        .set_time_limit(program.limit_s)
        .set_mip_rel_gap(0.0)
        .ok()?;
    for row in &program.rows {
        let sum: Expression = row.terms.iter().map(|&(at, factor)| factor * x[at]).sum();
        if let Some(most) = row.most {
            model = model.with(constraint!(sum.clone() <= most));
        }
        if let Some(least) = row.least {
            model = model.with(constraint!(sum >= least));
        }
    }
    let devices = program
        .choices
        .iter()
        .map(|choice| choice.device + 1)
        .max()?;
    for device in 0..devices {
        let own = program
            .choices
            .iter()
            .zip(&x)
            .filter(|(choice, _)| choice.device == device);
        let hours: Expression = own.map(|(choice, &x)| choice.hours * x).sum();
        model = model.with(constraint!(hours <= longest));
    }
    let solution = model.solve().ok()?;
    let is_taken = |&at: &usize| solution.value(x[at]) > 0.5;
    matches!(solution.status(), SolutionStatus::Optimal)
        .then(|| (0..program.choices.len()).filter(is_taken).collect())
}
