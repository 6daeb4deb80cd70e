//! Redoes a proof step by step in whole numbers of 128 bits: sums of rows, and what follows by
//! propagation. Larger numbers are refused.

use super::At;
use super::opb::Opb;
use super::pbp::{HEADER, Part, Step, step};

/// What the check of one proof may take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Most {
    pub(super) lines: usize,
    /// Of all rows that are known at a time.
    pub(super) terms: usize,
    /// How often a term may be looked at, all in all.
    pub(super) work: u64,
}

const MOST: Most = Most {
    lines: 2_000_000,
    terms: 16_000_000,
    work: 20_000_000_000,
};

/// What a proof must show of its formula.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Must {
    BeKept,
    NotBeKept,
}

/// Σ coefficient · variable ≥ `at_least`.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Row {
    terms: Vec<(u32, i128)>,
    at_least: i128,
}

struct Checker {
    /// By number less one; `None` where it was forgotten.
    rows: Vec<Option<Row>>,
    /// How many the formula has: these stay.
    of_formula: usize,
    variables: usize,
    /// By variable, whether it is 1.
    values: Vec<Option<bool>>,
    set: Vec<u32>,
    terms: usize,
    work: u64,
    most: Most,
}

/// Whether `text` shows what it must of these rows.
pub(super) fn check(variables: usize, rows: Opb, text: &str, must: Must) -> Result<(), At> {
    check_within(MOST, variables, rows, text, must)
}

pub(super) fn check_within(
    most: Most,
    variables: usize,
    rows: Opb,
    text: &str,
    must: Must,
) -> Result<(), At> {
    let mut checker = Checker {
        rows: rows.rows.into_iter().map(of_formula).map(Some).collect(),
        of_formula: 0,
        variables,
        values: vec![None; variables],
        set: Vec::new(),
        terms: 0,
        work: 0,
        most,
    };
    checker.of_formula = checker.rows.len();
    let mut lines = (1..).zip(text.lines());
    if lines.next().map(|(_, line)| line) != Some(HEADER) {
        return Err(At::line(1, format!("it must begin with `{HEADER}`")));
    }
    let mut said = Said::Nothing;
    for (line, content) in lines {
        if line > most.lines {
            return Err(At::line(line, format!("more than {} lines", most.lines)));
        }
        let done = step(content).and_then(|step| checker.step(step, &mut said, must));
        done.map_err(|message| At::line(line, message))?;
    }
    if said == Said::End {
        Ok(())
    } else {
        Err(At::whole(
            "it does not end with `end pseudo-Boolean proof;`",
        ))
    }
}

/// What a proof has said last that has its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Said {
    Nothing,
    Formula,
    Output,
    Conclusion,
    End,
}

fn of_formula(row: crate::verify::formula::Row) -> Row {
    Row {
        terms: row
            .terms
            .into_iter()
            .map(|(v, n)| (v, i128::from(n)))
            .collect(),
        at_least: i128::from(row.at_least),
    }
}

const TOO_LARGE: &str = "a number is larger than 127 bits";

impl Checker {
    fn step(&mut self, step: Step, said: &mut Said, must: Must) -> Result<(), String> {
        let now = match step {
            Step::Formula(_) => Said::Formula,
            Step::Output => Said::Output,
            Step::Contradiction(_) | Step::Solution(_) => Said::Conclusion,
            Step::End => Said::End,
            Step::Sum(_) | Step::Follows(..) | Step::Forget(_) => *said,
        };
        let is_first = matches!(step, Step::Formula(_));
        let out_of_place = match (*said, now) {
            (Said::Nothing, Said::Formula)
            | (Said::Formula, Said::Output)
            | (Said::Output, Said::Conclusion)
            | (Said::Conclusion, Said::End) => None,
            (Said::Formula, Said::Formula) if !is_first => None,
            (Said::Nothing, _) | (Said::Formula, Said::Formula) => {
                Some("the number of rows comes first, and once")
            }
            (Said::Formula, _) => Some("`output NONE;` stands before the conclusion"),
            (Said::Output, _) => Some("behind `output NONE;` stands the conclusion"),
            (Said::Conclusion, _) => Some("behind the conclusion stands the end"),
            (Said::End, _) => Some("the proof has ended before"),
        };
        if let Some(message) = out_of_place {
            return Err(message.to_owned());
        }
        *said = now;
        match step {
            Step::Formula(rows) => {
                if rows != self.of_formula {
                    return Err(format!("the formula has {} rows", self.of_formula));
                }
            }
            Step::Sum(parts) => {
                let row = self.sum(&parts)?;
                self.add(row)?;
            }
            Step::Follows(terms, at_least, from) => {
                let row = Row { terms, at_least };
                self.follows(&row, &from)?;
                self.add(row)?;
            }
            Step::Forget(rows) => self.forget(&rows)?,
            Step::Output | Step::End => {}
            Step::Contradiction(row) => {
                if must != Must::NotBeKept {
                    return Err("the plan is to be shown to keep all rows".to_owned());
                }
                if !self.row(row)?.cannot_be_kept()? {
                    return Err(format!("row {row} can be kept"));
                }
            }
            Step::Solution(literals) => {
                if must != Must::BeKept {
                    return Err("that there is no plan is to be shown, not one".to_owned());
                }
                self.solved_by(&literals)?;
            }
        }
        Ok(())
    }

    fn row(&self, number: usize) -> Result<&Row, String> {
        let row = self.rows.get(number - 1).and_then(Option::as_ref);
        row.ok_or_else(|| format!("there is no row {number}"))
    }

    fn works(&mut self, terms: usize) -> Result<(), String> {
        self.work += 1 + u64::try_from(terms).unwrap_or(u64::MAX);
        if self.work > self.most.work {
            return Err("the proof takes more work than is done for one".to_owned());
        }
        Ok(())
    }

    fn add(&mut self, row: Row) -> Result<(), String> {
        self.terms += row.terms.len();
        if self.terms > self.most.terms {
            return Err(format!("more than {} terms at a time", self.most.terms));
        }
        self.rows.push(Some(row));
        Ok(())
    }

    fn forget(&mut self, numbers: &[usize]) -> Result<(), String> {
        for &number in numbers {
            if number <= self.of_formula {
                return Err("a row of the formula is not forgotten".to_owned());
            }
            self.terms -= self.row(number)?.terms.len();
            self.rows[number - 1] = None;
        }
        Ok(())
    }

    fn sum(&mut self, parts: &[Part]) -> Result<Row, String> {
        let mut stack: Vec<Row> = Vec::new();
        let short = "a sum has too few rows";
        for part in parts {
            match part {
                Part::Row(number) => {
                    let row = self.row(*number)?.clone();
                    self.works(row.terms.len())?;
                    stack.push(row);
                }
                Part::Times(factor) => {
                    let top = stack.last_mut().ok_or(short)?;
                    top.times(*factor)?;
                }
                Part::Plus => {
                    let (one, other) = (stack.pop().ok_or(short)?, stack.pop().ok_or(short)?);
                    self.works(one.terms.len() + other.terms.len())?;
                    stack.push(other.plus(&one)?);
                }
            }
            // Opb that wait to be added are known at a time, too.
            if stack.len() > 2 {
                return Err("a sum adds one row after the other".to_owned());
            }
        }
        let row = stack.pop().ok_or(short)?;
        if stack.is_empty() {
            Ok(row)
        } else {
            Err("rows of a sum are not added".to_owned())
        }
    }

    /// Whether a row follows from others: were it broken, propagation finds one of them broken.
    fn follows(&mut self, row: &Row, from: &[usize]) -> Result<(), String> {
        let in_formula = |&(variable, _): &(u32, i128)| (variable as usize) < self.variables;
        if !row.terms.iter().all(in_formula) {
            return Err("a variable is none of the formula".to_owned());
        }
        let broken = row.broken()?;
        let outcome = self.propagate(&broken, from);
        for variable in self.set.drain(..) {
            self.values[variable as usize] = None;
        }
        if outcome? {
            Ok(())
        } else {
            Err("this does not follow by propagation from the rows named".to_owned())
        }
    }

    /// Whether propagation ends with a row that cannot be kept.
    fn propagate(&mut self, broken: &Row, from: &[usize]) -> Result<bool, String> {
        loop {
            let before = self.set.len();
            if implied(broken, &mut self.values, &mut self.set)? {
                return Ok(true);
            }
            for &number in from {
                let terms = self.row(number)?.terms.len();
                self.works(terms)?;
                let row = self.rows[number - 1].as_ref();
                let row = row.ok_or("a row is gone")?;
                if implied(row, &mut self.values, &mut self.set)? {
                    return Ok(true);
                }
            }
            if self.set.len() == before {
                return Ok(false);
            }
        }
    }

    fn solved_by(&mut self, literals: &[(u32, bool)]) -> Result<(), String> {
        for &(variable, is_one) in literals {
            let value = self.values.get_mut(variable as usize);
            let value = value.ok_or("a variable is none of the formula")?;
            if value.replace(is_one).is_some() {
                return Err("a variable is named twice".to_owned());
            }
        }
        if self.values.contains(&None) {
            return Err("a variable is not named".to_owned());
        }
        for (at, row) in self.rows.iter().enumerate() {
            let mut sum: i128 = 0;
            for &(variable, n) in row.iter().flat_map(|row| &row.terms) {
                if self.values[variable as usize] == Some(true) {
                    sum = sum.checked_add(n).ok_or(TOO_LARGE)?;
                }
            }
            if row.as_ref().is_some_and(|row| sum < row.at_least) {
                return Err(format!("row {} is not kept", at + 1));
            }
        }
        Ok(())
    }
}

/// Sets what a row implies. Whether it cannot be kept.
fn implied(row: &Row, values: &mut [Option<bool>], set: &mut Vec<u32>) -> Result<bool, String> {
    let mut slack = row.at_least.checked_neg().ok_or(TOO_LARGE)?;
    let mut largest = 0;
    for &(variable, n) in &row.terms {
        let value = values[variable as usize];
        if value.unwrap_or(n > 0) {
            slack = slack.checked_add(n).ok_or(TOO_LARGE)?;
        }
        if value.is_none() {
            largest = largest.max(n.checked_abs().ok_or(TOO_LARGE)?);
        }
    }
    if slack < 0 || largest <= slack {
        return Ok(slack < 0);
    }
    for &(variable, n) in &row.terms {
        if values[variable as usize].is_none() && n.abs() > slack {
            values[variable as usize] = Some(n > 0);
            set.push(variable);
        }
    }
    Ok(false)
}

impl Row {
    fn times(&mut self, factor: i128) -> Result<(), String> {
        for (_, n) in &mut self.terms {
            *n = n.checked_mul(factor).ok_or(TOO_LARGE)?;
        }
        self.at_least = self.at_least.checked_mul(factor).ok_or(TOO_LARGE)?;
        Ok(())
    }

    fn plus(&self, other: &Self) -> Result<Self, String> {
        let mut terms = Vec::with_capacity(self.terms.len().max(other.terms.len()));
        let (mut one, mut two) = (self.terms.iter().peekable(), other.terms.iter().peekable());
        loop {
            let next = match (one.peek(), two.peek()) {
                (None, None) => break,
                (Some((a, _)), Some((b, _))) if a == b => {
                    let (a, n) = one.next().copied().unwrap_or_default();
                    let (_, m) = two.next().copied().unwrap_or_default();
                    (a, n.checked_add(m).ok_or(TOO_LARGE)?)
                }
                (Some((a, _)), Some((b, _))) if a > b => two.next().copied().unwrap_or_default(),
                (Some(_), _) => one.next().copied().unwrap_or_default(),
                (None, Some(_)) => two.next().copied().unwrap_or_default(),
            };
            if next.1 != 0 {
                terms.push(next);
            }
        }
        let at_least = self.at_least.checked_add(other.at_least).ok_or(TOO_LARGE)?;
        Ok(Self { terms, at_least })
    }

    /// The row that is kept where this one is not.
    fn broken(&self) -> Result<Self, String> {
        let mut terms = self.terms.clone();
        for (_, n) in &mut terms {
            *n = n.checked_neg().ok_or(TOO_LARGE)?;
        }
        let at_least = self.at_least.checked_neg().and_then(|n| n.checked_add(1));
        Ok(Self {
            terms,
            at_least: at_least.ok_or(TOO_LARGE)?,
        })
    }

    fn cannot_be_kept(&self) -> Result<bool, String> {
        let mut most: i128 = 0;
        for &(_, n) in &self.terms {
            most = most.checked_add(n.max(0)).ok_or(TOO_LARGE)?;
        }
        Ok(most < self.at_least)
    }
}
