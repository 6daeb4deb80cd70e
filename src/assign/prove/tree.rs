//! That a formula cannot be kept: a tree of nodes, each closed by what rows add up to, or split.

use super::log::{How, Log};
use super::no_proof;
use super::relaxed::Relaxed;
use super::split::{Split, split};
use super::sum::Sum;
use super::trail::{Constraint, Rows, Trail};
use crate::diagnostics::{Error, Result};
use crate::solve::bound::{Bound, Bounded, Effort, Multipliers, Prices, Question};
use crate::solve::budget::{Budget, steps_for};
use crate::solve::subproblem::{NodeDomains, Subproblem};
use crate::verify::formula::Formula;
use crate::verify::program::Program;

/// At the first node of a tree.
const ROOT: Effort = Effort {
    steps: 150,
    ..Effort::USUAL
};

/// At those below, which start from the multipliers of the one above.
const BELOW: Effort = Effort { steps: 40, ..ROOT };

/// Row by row and by multipliers, again as long as that deletes something, at most so often.
const ROUNDS: u32 = 4;

/// Prices are tried with so many binary digits less, the most first.
const SHORTER: [u32; 9] = [37, 34, 30, 26, 22, 18, 14, 10, 5];

/// The most splits one below the other, and the most nodes.
const MOST_DEPTH: usize = 500;
const MOST_NODES: usize = 200_000;

/// The proof's text.
pub(super) fn written(program: &Program, formula: &Formula, budget: &mut Budget) -> Result<String> {
    let relaxed = Relaxed::of(formula);
    let subproblem = relaxed.subproblem();
    let rows = formula.rows.iter().map(|row| Constraint {
        terms: row.terms.iter().map(|&(v, n)| (v, i128::from(n))).collect(),
        at_least: i128::from(row.at_least),
    });
    let variables = formula.variables.len();
    let mut prover = Prover {
        program,
        formula,
        relaxed: &relaxed,
        subproblem: &subproblem,
        bound: Bound::recording(),
        rows: Rows::of(rows.collect(), variables),
        log: Log::new(formula.rows.len()),
        nodes: 0,
        work: formula.rows.iter().map(|row| row.terms.len()).sum(),
        budget,
    };
    let root = Open {
        trail: Trail::new(variables),
        multipliers: Multipliers::default(),
        above: Vec::new(),
        depth: 0,
    };
    prover.node(root)?;
    Ok(prover.log.to_text())
}

struct Prover<'a> {
    program: &'a Program,
    formula: &'a Formula,
    relaxed: &'a Relaxed<'a>,
    subproblem: &'a Subproblem<'a>,
    bound: Bound,
    rows: Rows,
    log: Log,
    nodes: usize,
    /// What it takes to look at every row once.
    work: usize,
    budget: &'a mut Budget,
}

/// A node that is neither closed nor split yet.
struct Open {
    trail: Trail,
    /// Those of the node above.
    multipliers: Multipliers,
    /// The sums of the nodes above.
    above: Vec<usize>,
    depth: usize,
}

/// A row: one of these variables, which were decided to be 0, is 1.
struct OneOf {
    row: usize,
    variables: Vec<u32>,
}

impl Prover<'_> {
    /// Shows that there is nothing in a node.
    fn node(&mut self, mut open: Open) -> Result<OneOf> {
        self.nodes += 1;
        if self.nodes > MOST_NODES || open.depth > MOST_DEPTH {
            return Err(no_proof(format!(
                "it would be larger than {MOST_NODES} nodes, or {MOST_DEPTH} splits one below \
                 the other"
            )));
        }
        let own = open.above.len();
        let closed = self.close(&mut open)?;
        let shown = match closed {
            Some(broken) => self.one_of(&open.trail, broken),
            None => self.parts(&open)?,
        };
        // Nobody below needs them any more.
        for &sum in &open.above[own..] {
            self.rows.put(sum, Constraint::default());
        }
        Ok(shown)
    }

    fn one_of(&mut self, trail: &Trail, broken: usize) -> OneOf {
        let (variables, from) = trail.why(&self.rows, broken);
        self.one_of_these(variables, from)
    }

    fn one_of_these(&mut self, variables: Vec<u32>, from: Vec<usize>) -> OneOf {
        let row = self.log.add(How::OneOf(variables.clone(), from));
        OneOf { row, variables }
    }

    /// Tries to close a node. The row that cannot be kept in it, if there is one.
    fn close(&mut self, open: &mut Open) -> Result<Option<usize>> {
        if let Some(broken) = open.trail.follow(&self.rows, &open.above) {
            return Ok(Some(broken));
        }
        for round in 0..ROUNDS {
            if self.budget.is_spent() {
                return Err(stopped());
            }
            let before = open.above.len();
            self.budget.spend(steps_for(self.work));
            if let Some(broken) = self.row_by_row(open) {
                return Ok(Some(broken));
            }
            let effort = if open.depth == 0 && round == 0 {
                &ROOT
            } else {
                &BELOW
            };
            let caps = self.subproblem.caps.clone();
            let question = Question {
                subproblem: self.subproblem,
                caps: &caps,
            };
            let mut live = self.live(&open.trail);
            let nothing = |_: &[u32], _: &NodeDomains, _: &mut Budget| None;
            let bounded = self.bound.run(
                &question,
                &mut live,
                &mut open.multipliers,
                effort,
                self.budget,
                nothing,
            );
            let recorded = self.bound.take_recorded();
            if let Bounded::Found(taken) = bounded
                && self.formula.holds(|variable| taken.contains(&variable))
            {
                return Err(no_proof("there is a better plan"));
            }
            for prices in recorded {
                if let Some(broken) = self.take(open, &question, &prices) {
                    return Ok(Some(broken));
                }
            }
            if open.above.len() == before {
                break;
            }
        }
        Ok(None)
    }

    /// What is open, as the kernel has it: its ways are the variables.
    fn live(&self, trail: &Trail) -> NodeDomains {
        let mut live = self.subproblem.all().clone();
        live.retain(|_, variable| trail.may_be_one(variable));
        live
    }

    /// What each row rules out by itself, beside what the others take at least of it. The row
    /// that cannot be kept then.
    fn row_by_row(&mut self, open: &mut Open) -> Option<usize> {
        for row in 2 * self.formula.groups.len()..self.formula.rows.len() {
            let has_cap = self.formula.rows[row].terms.iter().all(|(_, n)| *n < 0);
            if !has_cap {
                continue;
            }
            if let Some(sum) = Sum::of_row(self.relaxed, &open.trail, row)
                && let Some(broken) = self.add(open, sum)
            {
                return Some(broken);
            }
        }
        None
    }

    /// What prices show is written down. The row that cannot be kept then.
    fn take(&mut self, open: &mut Open, question: &Question<'_>, prices: &Prices) -> Option<usize> {
        let by_row = self.relaxed.by_row(&self.subproblem.lanes, prices);
        let sum = Sum::of(self.relaxed, &open.trail, &by_row)?;
        if !sum.shows() {
            return None;
        }
        let sum = self.shorter(open, question, prices, sum);
        self.add(open, sum)
    }

    fn add(&mut self, open: &mut Open, sum: Sum) -> Option<usize> {
        let constraint = sum.constraint(self.relaxed);
        let number = self.log.add(How::Sum(sum.rows));
        self.rows.put(number, constraint);
        open.above.push(number);
        open.trail.follow(&self.rows, &open.above)
    }

    /// The sum in shorter numbers, where these show as much.
    fn shorter(&mut self, open: &Open, question: &Question<'_>, prices: &Prices, sum: Sum) -> Sum {
        let live = self.live(&open.trail);
        for digits in SHORTER {
            let half = 1_i64 << (digits - 1);
            let rows = prices.rows.iter().map(|price| (price + half) >> digits);
            let fewer = self.bound.priced(question, &live, rows);
            let by_row = self.relaxed.by_row(&self.subproblem.lanes, &fewer);
            let shorter = Sum::of(self.relaxed, &open.trail, &by_row);
            if let Some(shorter) = shorter.filter(|shorter| shorter.shows_as_much_as(&sum)) {
                return shorter;
            }
        }
        sum
    }

    /// Shows it of the parts of a node, and so of the node.
    fn parts(&mut self, open: &Open) -> Result<OneOf> {
        let split = split(self.program, self.formula, &open.trail, &self.bound);
        let Some(Split { group, parts }) = split else {
            return Err(no_proof("there is a better plan"));
        };
        let [first, second] = &parts;
        let mut shown: Vec<OneOf> = Vec::new();
        for without in [second, first] {
            let mut part = Open {
                trail: open.trail.clone(),
                multipliers: open.multipliers.clone(),
                above: open.above.clone(),
                depth: open.depth + 1,
            };
            for &variable in without {
                part.trail.decide(variable);
            }
            let of_part = self.node(part)?;
            let rests_on_it = of_part.variables.iter().any(|v| without.contains(v));
            if !rests_on_it {
                return Ok(of_part);
            }
            shown.push(of_part);
        }
        // Of the group not more than one is 1, so that what is left is on one of the others.
        let mut rows: Vec<(usize, i128)> = shown.iter().map(|part| (part.row, 1)).collect();
        rows.push((2 * group + 1, 1));
        let sum = self.log.add(How::Sum(rows));
        let decided = |v: &u32| !first.contains(v) && !second.contains(v);
        let all = shown.iter().flat_map(|part| &part.variables);
        let mut variables: Vec<u32> = all.copied().filter(decided).collect();
        variables.sort_unstable();
        variables.dedup();
        Ok(self.one_of_these(variables, vec![sum]))
    }
}

fn stopped() -> Error {
    no_proof("a limit struck before it was complete: there may be one within a larger budget")
}
