//! The search: the bound at every node, branching where it does not decide, and the
//! integer program of what is left where branching alone would take long.

use super::backend::{Answer, Engine, Remainder};
use super::bound::{Bound, Bounded, Effort, Prices, Question};
use super::goal::{Goal, Limits, Open};
use super::mend::mend;
use super::model::{Model, Seating, Table};
use super::program::{Keep, Live, Memory, Program};
use super::propagate::Propagation;
use super::split::Split;
use crate::solve::budget::Budget;

/// At the first node of a question the prices are found.
const ROOT: Effort = Effort {
    steps: 40,
    first_step: 1.0,
    seats: true,
};

/// Where a level is settled: only what it rules out is looked for.
const CLOSING: Effort = Effort {
    seats: false,
    ..ROOT
};

/// Where lines of tables are still open, what decides is which of them governs.
const UNDER_LINES: Effort = Effort {
    steps: 6,
    first_step: 0.5,
    seats: true,
};

/// One look at a node with the prices that one below it ended with.
const LOOK_BACK: Effort = Effort {
    steps: 1,
    first_step: 0.5,
    seats: false,
};

/// The nodes below start from the prices of the one before.
const BELOW: Effort = Effort {
    steps: 10,
    first_step: 0.5,
    seats: true,
};

/// Nodes of a question with lines of tables before it is begun anew, thoroughly.
const NODES_BEFORE_AGAIN: u64 = 64;

/// Nodes of our own before the engine is asked about what is left; then again whenever
/// there have been so many times more.
const NODES_BEFORE_ENGINE: u64 = 512;
const ENGINE_AGAIN_FACTOR: u64 = 8;

/// Moves tried in mending a seating that count as one step of the budget.
const TRIES_PER_STEP: u64 = 256;

/// The answer to a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// A seating within the cutoff; of least cost where that was asked for.
    Found(Seating),
    /// There is none.
    Impossible,
    /// The budget ran out; for a search of the least cost, with the best found.
    Unknown(Option<Seating>),
}

/// A question and the choices open to it.
pub(crate) struct Task<'a> {
    pub(crate) goal: Goal,
    pub(crate) limits: &'a Limits,
    pub(crate) cutoff: i64,
    /// Whether the least cost is wanted, or any within the cutoff.
    pub(crate) least: bool,
    /// All costs are multiples of this.
    pub(crate) unit: i64,
}

impl<'a> Task<'a> {
    /// Whether there is any seating that keeps the limits.
    pub(crate) fn any(limits: &'a Limits) -> Self {
        Self::within(Goal::Any, limits, 0)
    }

    /// Whether there is one at a cost of at most `cutoff`.
    pub(crate) fn within(goal: Goal, limits: &'a Limits, cutoff: i64) -> Self {
        Self {
            goal,
            limits,
            cutoff,
            least: false,
            unit: 1,
        }
    }
}

pub(crate) struct Search<'a> {
    pub(crate) model: &'a Model,
    pub(crate) budget: Budget,
    engine: &'a dyn Engine,
    /// Nodes of our own before the engine is asked.
    patience: u64,
    bound: Bound,
    propagation: Propagation,
    prices: Prices,
    pub(crate) memory: Memory,
}

/// A node: what is still open, and by table the lines that are left.
#[derive(Clone)]
struct Node {
    live: Live,
    lines: Vec<Vec<usize>>,
    /// By row; those of tables fall with the lines that are left.
    caps: Vec<i64>,
}

/// A question in the form that is worked on.
struct Quest<'a> {
    program: &'a Program<'a>,
    task: &'a Task<'a>,
}

/// What one question has come to so far.
struct Progress {
    cutoff: i64,
    /// By device, the ways of the best seating.
    best: Option<Vec<u32>>,
    nodes: u64,
    /// The number of nodes at which the engine is asked next.
    engine_at: u64,
    /// After so many nodes the question is begun anew, thoroughly.
    again_at: Option<u64>,
    /// Whether it was: many lines of tables may fail for one reason, which the root shows
    /// at better prices.
    thorough: bool,
}

impl Progress {
    fn of(task: &Task<'_>, engine_at: u64) -> Self {
        Self {
            cutoff: task.cutoff,
            best: None,
            nodes: 0,
            engine_at,
            again_at: None,
            thorough: false,
        }
    }
}

/// The budget ran out, or the question is to be begun anew.
struct Stopped;

impl<'a> Search<'a> {
    pub(crate) fn new(model: &'a Model, engine: &'a dyn Engine, budget: Budget) -> Self {
        Self {
            model,
            budget,
            engine,
            patience: NODES_BEFORE_ENGINE,
            bound: Bound::default(),
            propagation: Propagation::default(),
            prices: Prices::default(),
            memory: Memory::default(),
        }
    }

    /// Asks the engine after so many nodes.
    #[cfg(test)]
    pub(crate) fn with_patience(self, patience: u64) -> Self {
        Self { patience, ..self }
    }

    /// Answers a question about the seatings that `open` allows.
    pub(crate) fn ask(&mut self, task: &Task<'_>, open: &Open) -> Verdict {
        let program = Program::of(
            self.model,
            task.goal,
            task.limits,
            task.cutoff,
            open,
            Keep::Undominated,
            std::mem::take(&mut self.memory),
        );
        let mut node = Node {
            live: program.all().clone(),
            lines: open.lines.clone(),
            caps: program.caps.clone(),
        };
        let mut root = node.clone();
        let mut progress = Progress::of(task, self.patience);
        let quest = Quest {
            program: &program,
            task,
        };
        let open_lines = node.lines.iter().any(|lines| lines.len() > 1);
        progress.again_at = open_lines.then_some(NODES_BEFORE_AGAIN);
        let mut outcome = self.visit(&quest, &mut node, &mut progress, 0);
        if outcome.is_err() && progress.again_at.is_some_and(|at| progress.nodes > at) {
            progress.again_at = None;
            progress.thorough = true;
            outcome = self.visit(&quest, &mut root, &mut progress, 0);
        }
        let best = progress.best.map(|taken| program.seating(&taken));
        self.memory = program.into_memory();
        match (outcome, best) {
            (Ok(()), None) => Verdict::Impossible,
            (Ok(()), Some(best)) => Verdict::Found(best),
            (Err(Stopped), Some(best)) if !task.least => Verdict::Found(best),
            (Err(Stopped), best) => Verdict::Unknown(best),
        }
    }

    /// Closes for good what no seating within the task's cutoff takes, as far as the bound
    /// shows it without a search. Such a seating is known.
    pub(crate) fn close(&mut self, task: &Task<'_>, open: &mut Open) {
        if self.budget.is_spent() {
            return;
        }
        let program = Program::of(
            self.model,
            task.goal,
            task.limits,
            task.cutoff,
            open,
            Keep::All,
            std::mem::take(&mut self.memory),
        );
        let mut node = Node {
            live: program.all().clone(),
            lines: open.lines.clone(),
            caps: program.caps.clone(),
        };
        let progress = Progress::of(task, self.patience);
        // The questions that follow go on from the prices of those before.
        let prices = self.prices.clone();
        let possible = self.reduce(&program, &mut node, &progress) && {
            let bounded = self.bounded(&program, &mut node, &CLOSING);
            !matches!(bounded, Bounded::Impossible) && self.reduce(&program, &mut node, &progress)
        };
        self.prices = prices;
        debug_assert!(possible, "a seating within the cutoff is known");
        if possible {
            for (device, ways) in node.live.each() {
                let choices = ways.iter().filter_map(|&way| program.way(way).choice);
                open.choices[device] = choices.collect();
                open.may_stay[device] = ways.iter().any(|&way| program.way(way).choice.is_none());
            }
            open.lines = node.lines;
        }
        self.memory = program.into_memory();
    }

    fn visit(
        &mut self,
        quest: &Quest<'_>,
        node: &mut Node,
        progress: &mut Progress,
        depth: usize,
    ) -> Result<(), Stopped> {
        progress.nodes += 1;
        if progress.again_at.is_some_and(|at| progress.nodes > at) {
            return Err(Stopped);
        }
        loop {
            if !self.reduce(quest.program, node, progress) {
                return Ok(());
            }
            if self.budget.is_spent() {
                return Err(Stopped);
            }
            let open_lines = node.lines.iter().any(|lines| lines.len() > 1);
            let effort = match (open_lines && !(progress.thorough && depth == 0), depth) {
                (true, _) => &UNDER_LINES,
                (false, 0) => &ROOT,
                (false, _) => &BELOW,
            };
            match self.bounded(quest.program, node, effort) {
                Bounded::Impossible => return Ok(()),
                Bounded::Found(taken) => {
                    if Self::record(quest, taken, progress) {
                        return Ok(());
                    }
                }
                Bounded::Undecided => {
                    if self.budget.is_spent() {
                        return Err(Stopped);
                    }
                    if !self.reduce(quest.program, node, progress) {
                        return Ok(());
                    }
                    return self.branch(quest, node, progress, depth);
                }
            }
        }
    }

    /// Notes a seating within the cutoff. Whether the question is answered.
    fn record(quest: &Quest<'_>, taken: Vec<u32>, progress: &mut Progress) -> bool {
        let seating = quest.program.seating(&taken);
        let cost = quest.task.goal.of(quest.program.model, &seating);
        progress.cutoff = cost - quest.task.unit.max(1);
        progress.best = Some(taken);
        Self::answered(quest, progress)
    }

    fn answered(quest: &Quest<'_>, progress: &Progress) -> bool {
        progress.best.is_some() && (!quest.task.least || progress.cutoff < 0)
    }

    fn bounded(&mut self, program: &Program<'_>, node: &mut Node, effort: &Effort) -> Bounded {
        let caps = &node.caps;
        let question = Question { program, caps };
        self.bound.run(
            &question,
            &mut node.live,
            &mut self.prices,
            effort,
            &mut self.budget,
            |taken, live, budget| {
                let mut tried = 0;
                let mended = mend(program, caps, live, taken, &mut tried);
                budget.spend(tried / TRIES_PER_STEP);
                mended
            },
        )
    }

    /// Deletes what the lines left and the rows, one by one, rule out. Whether anything is possible still.
    fn reduce(&mut self, program: &Program<'_>, node: &mut Node, progress: &Progress) -> bool {
        let model = self.model;
        if let Some(row) = program.goal_row {
            node.caps[row] = progress.cutoff;
        }
        if !model.tables.is_empty() {
            self.reduce_lines(program, node);
        }
        self.propagation.run(program, &node.caps, &mut node.live)
    }

    fn reduce_lines(&self, program: &Program<'_>, node: &mut Node) {
        let model = self.model;
        let mut in_use = blank(model, false);
        for (_, ways) in node.live.each() {
            for choice in ways.iter().filter_map(|&way| program.way(way).choice) {
                for (table, place) in model.in_tables(choice) {
                    in_use[table][place] = true;
                }
            }
        }
        let mut most = blank(model, 0);
        for (t, (table, lines)) in model.tables.iter().zip(&mut node.lines).enumerate() {
            lines.retain(|&line| {
                let needs = &table.lines[line].needs;
                needs
                    .iter()
                    .all(|set| set.iter().any(|&place| in_use[t][place]))
            });
            for (place, most) in most[t].iter_mut().enumerate() {
                let granted = lines
                    .iter()
                    .filter_map(|&line| table.lines[line].granted[place]);
                *most = granted.max().unwrap_or(0);
            }
        }
        node.live.retain(|_, way| {
            let choice = program.way(way).choice;
            choice.is_none_or(|choice| {
                let tier = model.choice(choice).tier;
                let mut tables = model.in_tables(choice);
                tables.all(|(table, place)| tier <= most[table][place])
            })
        });
        program.cap_tables(&node.lines, &mut node.caps);
    }

    fn branch(
        &mut self,
        quest: &Quest<'_>,
        node: &mut Node,
        progress: &mut Progress,
        depth: usize,
    ) -> Result<(), Stopped> {
        let model = self.model;
        if let Some(t) = (0..node.lines.len())
            .filter(|&t| node.lines[t].len() > 1)
            .min_by_key(|&t| (!self.bound.breaks(quest.program, t), node.lines[t].len()))
        {
            // The most generous lines first: a seating found early cuts the rest short.
            let mut lines = node.lines[t].clone();
            lines.sort_by_key(|&line| (std::cmp::Reverse(model.table_cap(t, &[line])), line));
            for line in lines {
                let mut child = node.clone();
                child.lines[t] = vec![line];
                self.visit(quest, &mut child, progress, depth + 1)?;
                if Self::answered(quest, progress) {
                    return Ok(());
                }
                // The prices that ruled out this line may do so for all.
                if progress.thorough {
                    let bounded = self.bounded(quest.program, node, &LOOK_BACK);
                    if matches!(bounded, Bounded::Impossible) {
                        return Ok(());
                    }
                }
            }
            return Ok(());
        }
        if progress.nodes >= progress.engine_at {
            progress.engine_at *= ENGINE_AGAIN_FACTOR;
            match self.ask_engine(quest, node, progress) {
                Answer::Infeasible => return Ok(()),
                Answer::Taken(taken) => {
                    if Self::record(quest, taken, progress) {
                        return Ok(());
                    }
                    // What is better still, if anything: the same node, a lower cutoff.
                    return self.visit(quest, node, progress, depth + 1);
                }
                Answer::Unknown => {}
            }
        }
        let share = |way: u32| self.bound.share(way);
        let Some(split) = Split::of(quest.program, &node.live, &share) else {
            Self::last_one(quest, node, progress);
            return Ok(());
        };
        let mut first = node.clone();
        split.take(&mut first.live);
        self.visit(quest, &mut first, progress, depth + 1)?;
        if Self::answered(quest, progress) {
            return Ok(());
        }
        split.leave(quest.program, &mut node.live);
        self.visit(quest, node, progress, depth + 1)
    }

    /// Every device has one way left: that seating keeps everything, or none does.
    fn last_one(quest: &Quest<'_>, node: &Node, progress: &mut Progress) {
        let firsts = node.live.each().filter_map(|(_, ways)| ways.first());
        let taken: Vec<u32> = firsts.copied().collect();
        if Self::keeps(quest, &taken, progress) {
            Self::record(quest, taken, progress);
        }
    }

    /// Whether a seating keeps every rule at a cost within the cutoff.
    fn keeps(quest: &Quest<'_>, taken: &[u32], progress: &Progress) -> bool {
        let program = quest.program;
        let model = program.model;
        let seating = program.seating(taken);
        let mut seated = vec![0usize; model.seats.len()];
        for &choice in seating.iter().flatten() {
            seated[model.brief(choice).port as usize] += 1;
        }
        let used = program.used(taken);
        let within = |(row, used): (usize, &i64)| {
            Some(row) == program.goal_row || *used <= program.caps[row]
        };
        taken.len() == model.len()
            && seated.iter().zip(&model.seats).all(|(n, seats)| n <= seats)
            && used.iter().enumerate().all(within)
            && model.tables_hold(&seating)
            && quest.task.goal.of(model, &seating) <= progress.cutoff
    }

    /// Asks the integer program about a node whose lines are settled. An answer that
    /// does not hold counts as none.
    fn ask_engine(&mut self, quest: &Quest<'_>, node: &Node, progress: &Progress) -> Answer {
        let remainder = Remainder {
            program: quest.program,
            live: &node.live,
            caps: &node.caps,
            lines: &node.lines,
            least: quest.task.least,
        };
        match self.engine.solve(&remainder, &mut self.budget) {
            Answer::Taken(taken) if !Self::keeps(quest, &taken, progress) => Answer::Unknown,
            answer => answer,
        }
    }
}

/// A value for every group of every table.
fn blank<T: Clone>(model: &Model, value: T) -> Vec<Vec<T>> {
    let of_table = |table: &Table| vec![value.clone(); table.seats.len()];
    model.tables.iter().map(of_table).collect()
}
