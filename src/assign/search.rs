//! The search: the bound at every node, branching where it does not decide, and the
//! integer program of what is left where branching alone would take long.

use super::backend::{Answer, Engine, Remainder};
use super::bound::{Bound, Bounded, Prices, Question};
use super::budget::Budget;
use super::dominance::drop_dominated;
use super::goal::{Goal, Limits, Open, Rows};
use super::mend::mend;
use super::model::{Model, Reason, Seating};
use super::propagate::propagate;
use super::split::Split;

/// Steps of the bound at the first node of a question, where the prices are found.
const ROOT_STEPS: u64 = 40;

/// Steps at the nodes below, which start from their parent's prices.
const NODE_STEPS: u64 = 10;

/// Nodes of our own before the engine is asked about what is left; then again whenever
/// there have been so many times more.
const NODES_BEFORE_ENGINE: u64 = 512;
const ENGINE_AGAIN_FACTOR: u64 = 8;

/// Moves tried in mending a seating that count as one step of the budget.
const TRIES_PER_STEP: u64 = 256;

/// The answer to a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Verdict {
    /// A seating within the cutoff; of least cost where that was asked for.
    Found(Seating),
    /// There is none.
    Impossible,
    /// The budget ran out; for a search of the least cost, with the best found.
    Unknown(Option<Seating>),
}

/// A question and the choices open to it.
pub(super) struct Task<'a> {
    pub(super) goal: Goal,
    pub(super) limits: &'a Limits,
    pub(super) cutoff: i64,
    /// Whether the least cost is wanted, or any within the cutoff.
    pub(super) least: bool,
    /// All costs are multiples of this.
    pub(super) unit: i64,
}

pub(super) struct Search<'a> {
    pub(super) model: &'a Model,
    pub(super) budget: Budget,
    engine: &'a dyn Engine,
    /// Nodes of our own before the engine is asked.
    patience: u64,
    bound: Bound,
    prices: Prices,
}

/// A node: what is still open, and by table the lines that are left.
#[derive(Clone)]
struct Node {
    open: Open,
    lines: Vec<Vec<usize>>,
}

/// What one question has come to so far.
struct Progress {
    rows: Rows,
    cutoff: i64,
    best: Option<Seating>,
    nodes: u64,
    /// The number of nodes at which the engine is asked next.
    engine_at: u64,
}

/// The budget ran out.
struct Stopped;

impl<'a> Search<'a> {
    pub(super) fn new(model: &'a Model, engine: &'a dyn Engine, budget: Budget) -> Self {
        Self {
            model,
            budget,
            engine,
            patience: NODES_BEFORE_ENGINE,
            bound: Bound::default(),
            prices: Prices::default(),
        }
    }

    /// Asks the engine after so many nodes.
    #[cfg(test)]
    pub(super) fn with_patience(self, patience: u64) -> Self {
        Self { patience, ..self }
    }

    /// Answers a question about the seatings that `open` allows.
    pub(super) fn ask(&mut self, task: &Task<'_>, open: &Open) -> Verdict {
        let mut open = open.clone();
        drop_dominated(self.model, task.goal, task.limits, &mut open);
        let rows = Rows::of(self.model, task.limits);
        let lines = self
            .model
            .tables
            .iter()
            .map(|table| (0..table.lines.len()).collect());
        let mut node = Node {
            open,
            lines: lines.collect(),
        };
        let mut progress = Progress {
            rows,
            cutoff: task.cutoff,
            best: None,
            nodes: 0,
            engine_at: self.patience,
        };
        let outcome = self.visit(task, &mut node, &mut progress, 0);
        match (outcome, progress.best) {
            (Ok(()), None) => Verdict::Impossible,
            (Ok(()), Some(best)) => Verdict::Found(best),
            (Err(Stopped), Some(best)) if !task.least => Verdict::Found(best),
            (Err(Stopped), best) => Verdict::Unknown(best),
        }
    }

    fn visit(
        &mut self,
        task: &Task<'_>,
        node: &mut Node,
        progress: &mut Progress,
        depth: usize,
    ) -> Result<(), Stopped> {
        progress.nodes += 1;
        loop {
            if !self.reduce(task, node, progress) {
                return Ok(());
            }
            if self.budget.is_spent() {
                return Err(Stopped);
            }
            let steps = if depth == 0 { ROOT_STEPS } else { NODE_STEPS };
            match self.bounded(task, node, progress, steps) {
                Bounded::Impossible => return Ok(()),
                Bounded::Found(seating) => {
                    if self.record(task, seating, progress) {
                        return Ok(());
                    }
                }
                Bounded::Undecided => {
                    if self.budget.is_spent() {
                        return Err(Stopped);
                    }
                    if !self.reduce(task, node, progress) {
                        return Ok(());
                    }
                    return self.branch(task, node, progress, depth);
                }
            }
        }
    }

    /// Notes a seating within the cutoff. Whether the question is answered.
    fn record(&self, task: &Task<'_>, seating: Seating, progress: &mut Progress) -> bool {
        progress.cutoff = task.goal.of(self.model, &seating) - task.unit.max(1);
        progress.best = Some(seating);
        !task.least || progress.cutoff < 0
    }

    fn answered(task: &Task<'_>, progress: &Progress) -> bool {
        progress.best.is_some() && (!task.least || progress.cutoff < 0)
    }

    fn bounded(
        &mut self,
        task: &Task<'_>,
        node: &mut Node,
        progress: &Progress,
        steps: u64,
    ) -> Bounded {
        let model = self.model;
        let rows = self.rows_at(node, progress);
        let question = Question {
            model,
            goal: task.goal,
            limits: task.limits,
            rows: &rows,
            cutoff: progress.cutoff,
        };
        let (goal, cutoff, limits) = (task.goal, progress.cutoff, task.limits);
        self.bound.run(
            &question,
            &mut node.open,
            &mut self.prices,
            steps,
            &mut self.budget,
            |seating, open, budget| {
                let mut tried = 0;
                let mended = mend(model, limits, &rows, open, seating, &mut tried);
                budget.spend(tried / TRIES_PER_STEP);
                mended.filter(|mended| goal.of(model, mended) <= cutoff)
            },
        )
    }

    /// Deletes what the lines left and the rows, one by one, rule out. Whether anything is possible still.
    fn reduce(&self, task: &Task<'_>, node: &mut Node, progress: &Progress) -> bool {
        let model = self.model;
        for (t, table) in model.tables.iter().enumerate() {
            let in_use = |group: usize| {
                node.open
                    .choices
                    .iter()
                    .flatten()
                    .any(|&c| model.choice(c).port == group)
            };
            node.lines[t].retain(|&line| {
                table.lines[line]
                    .needs
                    .iter()
                    .all(|set| set.iter().any(|&group| in_use(group)))
            });
            let most: Vec<i64> = (0..table.groups.len())
                .map(|place| {
                    node.lines[t]
                        .iter()
                        .filter_map(|&line| table.lines[line].granted[place])
                        .max()
                        .unwrap_or(0)
                })
                .collect();
            node.open.retain(|_, choice| {
                let choice = model.choice(choice);
                match model.table_of[choice.port] {
                    Some((of, place)) if of == t => choice.tier <= most[place],
                    _ => true,
                }
            });
        }
        let rows = self.rows_at(node, progress);
        propagate(
            model,
            task.goal,
            task.limits,
            &rows,
            progress.cutoff,
            &mut node.open,
        )
    }

    /// The rows with the caps of the lines left at a node.
    fn rows_at(&self, node: &Node, progress: &Progress) -> Rows {
        let mut rows = progress.rows.clone();
        for (row, fixed) in self.model.rows.iter().enumerate() {
            if let Reason::Table { table } = fixed.reason {
                rows.caps[row] = self.model.table_cap(table, &node.lines[table]);
            }
        }
        rows
    }

    fn branch(
        &mut self,
        task: &Task<'_>,
        node: &mut Node,
        progress: &mut Progress,
        depth: usize,
    ) -> Result<(), Stopped> {
        let model = self.model;
        if let Some(t) = (0..node.lines.len())
            .filter(|&t| node.lines[t].len() > 1)
            .min_by_key(|&t| node.lines[t].len())
        {
            // The most generous lines first: a seating found early cuts the rest short.
            let mut lines = node.lines[t].clone();
            lines.sort_by_key(|&line| (std::cmp::Reverse(model.table_cap(t, &[line])), line));
            for line in lines {
                let mut child = node.clone();
                child.lines[t] = vec![line];
                self.visit(task, &mut child, progress, depth + 1)?;
                if Self::answered(task, progress) {
                    return Ok(());
                }
            }
            return Ok(());
        }
        if progress.nodes >= progress.engine_at {
            progress.engine_at *= ENGINE_AGAIN_FACTOR;
            match self.ask_engine(task, node, progress) {
                Answer::Infeasible => return Ok(()),
                Answer::Seating(seating) => {
                    if self.record(task, seating, progress) {
                        return Ok(());
                    }
                    // What is better still, if anything: the same node, a lower cutoff.
                    return self.visit(task, node, progress, depth + 1);
                }
                Answer::Unknown => {}
            }
        }
        let share = |choice: u32| self.bound.share(choice);
        let split = Split::of(model, task.goal, task.limits, &node.open, &share);
        let Some(split) = split else {
            self.last_one(task, node, progress);
            return Ok(());
        };
        let mut first = node.clone();
        split.take(model, &mut first.open);
        self.visit(task, &mut first, progress, depth + 1)?;
        if Self::answered(task, progress) {
            return Ok(());
        }
        split.leave(model, &mut node.open);
        self.visit(task, node, progress, depth + 1)
    }

    /// Every device has one choice left: that seating keeps everything, or none does.
    fn last_one(&self, task: &Task<'_>, node: &Node, progress: &mut Progress) {
        let seating: Seating = node
            .open
            .choices
            .iter()
            .map(|choices| choices.first().copied())
            .collect();
        if self.keeps(task, &seating, progress) {
            self.record(task, seating, progress);
        }
    }

    /// Whether a seating keeps every rule at a cost within the cutoff.
    fn keeps(&self, task: &Task<'_>, seating: &Seating, progress: &Progress) -> bool {
        let model = self.model;
        let mut seated = vec![0usize; model.seats.len()];
        for &choice in seating.iter().flatten() {
            seated[model.choice(choice).port] += 1;
        }
        let used = progress.rows.used(model, task.limits, seating);
        seated.iter().zip(&model.seats).all(|(n, seats)| n <= seats)
            && used
                .iter()
                .zip(&progress.rows.caps)
                .all(|(used, cap)| used <= cap)
            && model.tables_hold(seating)
            && task.goal.of(model, seating) <= progress.cutoff
    }

    /// Asks the integer program about a node whose lines are settled. An answer that
    /// does not hold counts as none.
    fn ask_engine(&mut self, task: &Task<'_>, node: &Node, progress: &Progress) -> Answer {
        let remainder = Remainder {
            model: self.model,
            task,
            open: &node.open,
            lines: &node.lines,
            rows: &progress.rows,
            cutoff: progress.cutoff,
        };
        match self.engine.solve(&remainder, &mut self.budget) {
            Answer::Seating(seating) if !self.keeps(task, &seating, progress) => Answer::Unknown,
            answer => answer,
        }
    }
}
