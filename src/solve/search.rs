//! The search: the bound at every node, branching where it does not decide, and the
//! integer program of what is left where branching alone would take long.

use super::backend::{Answer, Engine, Remainder};
use super::blocks::{Decided, SEATINGS_PER_STEP, decide};
use super::bound::{Bound, Bounded, Effort, Multipliers, Question};
use super::goal::{Domains, Goal, Limits};
use super::model::{Assignment, Model};
use super::node::Node;
use super::propagate::Propagation;
use super::split::Split;
use crate::solve::budget::Budget;
use crate::solve::local_search::repair;
use crate::solve::subproblem::{Buffers, Keep, NodeDomains, Subproblem};

/// At the first node of a question the multipliers are found.
const ROOT: Effort = Effort::USUAL;

/// Where a question is begun anew.
const THOROUGH: Effort = Effort {
    steps: 100,
    decay: 0.98,
    forced: true,
    ..Effort::USUAL
};

/// Where a level is settled: only what it rules out is looked for.
const CLOSING: Effort = Effort {
    seats: false,
    ..Effort::USUAL
};

/// Where lines of tables are still open, what decides is which of them governs.
const UNDER_LINES: Effort = Effort {
    steps: 6,
    first_step: 0.5,
    ..Effort::USUAL
};

/// One look at a node with the multipliers that one below it ended with.
const LOOK_BACK: Effort = Effort {
    steps: 1,
    first_step: 0.5,
    seats: false,
    ..Effort::USUAL
};

/// The nodes below start from the multipliers of the one before.
const BELOW: Effort = Effort {
    steps: 10,
    first_step: 0.5,
    ..Effort::USUAL
};

/// Nodes of a question before it is begun anew, thoroughly; and of one with lines of tables.
const NODES_BEFORE_AGAIN: u64 = 16;
const NODES_BEFORE_AGAIN_WITH_LINES: u64 = 64;

/// Seatings of whole chargers that are looked at in a question begun anew: at first few, or as
/// many as were worth it in the one before; hardly any where they were not.
const FEW_SEATINGS: u64 = 200_000;
const FEWEST_SEATINGS: u64 = 25_000;
const MOST_SEATINGS: u64 = 40_000_000;

/// Of how many parts of the budget that is left one may go to that.
const PARTS_TO_SEATINGS: u64 = 4;

/// Nodes of such a question before many more seatings are looked at: few where that was worth it.
const FEW_NODES: u64 = 256;
const MORE_NODES: u64 = 4_096;

/// In a question begun anew, mending is tried at every so many nodes: what could be mended
/// would have been before.
const NODES_PER_MEND: u64 = 8;

/// Nodes of our own before the engine is asked about what is left; then again whenever
/// there have been so many times more.
const NODES_BEFORE_ENGINE: u64 = 512;
const ENGINE_AGAIN_FACTOR: u64 = 8;

/// Moves tried in repairing an assignment that count as one step of the budget.
const TRIES_PER_STEP: u64 = 256;

/// The answer to a question.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// An assignment within the cutoff; of least cost where that was asked for.
    Found(Assignment),
    /// There is none.
    Impossible,
    /// The budget ran out; for a search of the least cost, with the best found.
    Unknown(Option<Assignment>),
}

/// A question and the columns open to it.
pub(crate) struct Query<'a> {
    pub(crate) goal: Goal,
    pub(crate) limits: &'a Limits,
    pub(crate) cutoff: i64,
    /// Whether the least cost is wanted, or any within the cutoff.
    pub(crate) least: bool,
    /// All costs are multiples of this.
    pub(crate) unit: i64,
}

impl<'a> Query<'a> {
    /// Whether there is any assignment that keeps the limits.
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
    nodes_before_mip: u64,
    /// Nodes before a question is begun anew, where not as usual.
    nodes_before_again: Option<u64>,
    /// Whether a question was begun anew: then what closes something is worth more.
    began_anew: bool,
    /// How many seatings of whole chargers are looked at first.
    seatings: u64,
    bound: Bound,
    propagation: Propagation,
    multipliers: Multipliers,
    pub(crate) memory: Buffers,
}

/// A question in the form that is worked on.
struct NodeProblem<'a> {
    subproblem: &'a Subproblem<'a>,
    query: &'a Query<'a>,
}

/// What one question has come to so far.
struct Progress {
    cutoff: i64,
    /// By device, the ways of the best assignment.
    best: Option<Vec<u32>>,
    nodes: u64,
    /// The number of nodes at which the engine is asked next.
    engine_at: u64,
    /// After so many nodes the question is begun anew, thoroughly.
    again_at: Option<u64>,
    /// Whether it was: many lines of tables may fail for one reason, which the root shows
    /// at better multipliers.
    thorough: bool,
    /// The root, where the bound left it undecided.
    root: Option<Node>,
}

impl Progress {
    fn of(query: &Query<'_>, engine_at: u64) -> Self {
        Self {
            cutoff: query.cutoff,
            best: None,
            nodes: 0,
            engine_at,
            again_at: None,
            thorough: false,
            root: None,
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
            nodes_before_mip: NODES_BEFORE_ENGINE,
            nodes_before_again: None,
            began_anew: false,
            seatings: FEW_SEATINGS,
            bound: Bound::default(),
            propagation: Propagation::default(),
            multipliers: Multipliers::default(),
            memory: Buffers::default(),
        }
    }

    /// Asks the engine after so many nodes.
    #[cfg(test)]
    pub(crate) fn asking_engine_after(self, nodes_before_mip: u64) -> Self {
        Self {
            nodes_before_mip,
            ..self
        }
    }

    /// Begins questions anew after so many nodes, and closes as after that.
    #[cfg(test)]
    pub(crate) fn beginning_anew_after(self, nodes: u64) -> Self {
        Self {
            nodes_before_again: Some(nodes),
            began_anew: true,
            ..self
        }
    }

    /// Answers a question about the assignments that `domains` allow.
    pub(crate) fn ask(&mut self, query: &Query<'_>, domains: &Domains) -> Verdict {
        let subproblem = Subproblem::of(
            self.model,
            query.goal,
            query.limits,
            query.cutoff,
            domains,
            Keep::Undominated,
            std::mem::take(&mut self.memory),
        );
        let mut node = Node::root(&subproblem, domains);
        let mut progress = Progress::of(query, self.nodes_before_mip);
        let problem = NodeProblem {
            subproblem: &subproblem,
            query,
        };
        let open_lines = node.lines.iter().any(|lines| lines.len() > 1);
        let usual = if open_lines {
            NODES_BEFORE_AGAIN_WITH_LINES
        } else {
            NODES_BEFORE_AGAIN
        };
        progress.again_at = Some(self.nodes_before_again.unwrap_or(usual));
        let mut outcome = self.visit(&problem, &mut node, &mut progress, 0);
        if outcome.is_err()
            && progress
                .again_at
                .take_if(|at| progress.nodes > *at)
                .is_some()
        {
            outcome = self.begin_anew(&problem, &mut progress);
        }
        let best = progress.best.map(|taken| subproblem.assignment(&taken));
        self.memory = subproblem.into_memory();
        match (outcome, best) {
            (Ok(()), None) => Verdict::Impossible,
            (Ok(()), Some(best)) => Verdict::Found(best),
            (Err(Stopped), Some(best)) if !query.least => Verdict::Found(best),
            (Err(Stopped), best) => Verdict::Unknown(best),
        }
    }

    /// Answers a question that the first nodes left open: by whole chargers, or from its root at
    /// the best multipliers; first either with little effort.
    fn begin_anew(
        &mut self,
        problem: &NodeProblem<'_>,
        progress: &mut Progress,
    ) -> Result<(), Stopped> {
        let Some(root) = progress.root.take() else {
            return Err(Stopped);
        };
        progress.thorough = true;
        self.began_anew = true;
        let worth_it = self.seatings >= FEW_SEATINGS;
        let nodes = if worth_it { FEW_NODES } else { MORE_NODES };
        let part = (self.budget.left() / PARTS_TO_SEATINGS).saturating_mul(SEATINGS_PER_STEP);
        let most = MOST_SEATINGS.min(part);
        for (seatings, nodes) in [(self.seatings.min(part), Some(nodes)), (most, None)] {
            let mut node = root.clone();
            if let Some(row) = problem.subproblem.goal_row {
                node.caps[row] = progress.cutoff;
            }
            if self.decide(problem, &node, seatings, progress) {
                self.seatings = FEW_SEATINGS.max(seatings);
                return Ok(());
            }
            self.seatings = FEWEST_SEATINGS;
            progress.again_at = nodes.map(|nodes| progress.nodes + nodes);
            let outcome = self.visit(problem, &mut node, progress, 0);
            let over = progress.again_at.take_if(|at| progress.nodes > *at);
            if outcome.is_ok() || over.is_none() {
                return outcome;
            }
        }
        Err(Stopped)
    }

    /// Decides a node by whole chargers, looking at no more than so many seatings. Whether it
    /// could.
    fn decide(
        &mut self,
        problem: &NodeProblem<'_>,
        node: &Node,
        seatings: u64,
        progress: &mut Progress,
    ) -> bool {
        let decided = decide(
            problem.subproblem,
            node,
            problem.query.least,
            seatings,
            &mut self.budget,
        );
        match decided {
            Decided::Impossible => true,
            Decided::Found(taken) if Self::keeps(problem, &taken, progress) => {
                self.record(problem, taken, progress);
                true
            }
            Decided::Found(_) | Decided::TooLarge => false,
        }
    }

    /// As [`Self::ask`], within so many steps.
    pub(crate) fn ask_within(
        &mut self,
        steps: u64,
        query: &Query<'_>,
        domains: &Domains,
    ) -> Verdict {
        let mut part = self.budget.with_steps(steps.min(self.budget.left()));
        part.told = None;
        let whole = std::mem::replace(&mut self.budget, part);
        let verdict = self.ask(query, domains);
        let part = std::mem::replace(&mut self.budget, whole);
        self.budget.spend(part.spent());
        verdict
    }

    /// Closes for good what no assignment within the query's cutoff takes, as far as the bound
    /// shows it without a search. Such an assignment is known.
    pub(crate) fn close(&mut self, query: &Query<'_>, domains: &mut Domains) {
        if self.budget.is_spent() {
            return;
        }
        let subproblem = Subproblem::of(
            self.model,
            query.goal,
            query.limits,
            query.cutoff,
            domains,
            Keep::All,
            std::mem::take(&mut self.memory),
        );
        let mut node = Node::root(&subproblem, domains);
        let progress = Progress::of(query, self.nodes_before_mip);
        // The questions that follow go on from the multipliers of those before.
        let multipliers = self.multipliers.clone();
        let possible = self.reduce(&subproblem, &mut node, &progress) && {
            let mut bounded = self.bounded(&subproblem, &mut node, &CLOSING, false);
            if self.began_anew && !matches!(bounded, Bounded::Impossible) {
                bounded = self.bounded_exactly(&subproblem, &mut node, false);
            }
            !matches!(bounded, Bounded::Impossible)
                && self.reduce(&subproblem, &mut node, &progress)
        };
        self.multipliers = multipliers;
        debug_assert!(possible, "an assignment within the cutoff is known");
        if possible {
            for (device, ways) in node.live.each() {
                let columns = ways.iter().filter_map(|&way| subproblem.way(way).column);
                domains.columns[device] = columns.collect();
                domains.may_stay[device] =
                    ways.iter().any(|&way| subproblem.way(way).column.is_none());
            }
            domains.lines = node.lines;
        }
        self.memory = subproblem.into_memory();
    }

    fn visit(
        &mut self,
        problem: &NodeProblem<'_>,
        node: &mut Node,
        progress: &mut Progress,
        depth: usize,
    ) -> Result<(), Stopped> {
        progress.nodes += 1;
        self.budget.note_node();
        if progress.again_at.is_some_and(|at| progress.nodes > at) {
            return Err(Stopped);
        }
        loop {
            if !self.reduce(problem.subproblem, node, progress) {
                return Ok(());
            }
            if self.budget.is_spent() {
                return Err(Stopped);
            }
            let open_lines = node.lines.iter().any(|lines| lines.len() > 1);
            let thorough = progress.thorough && depth == 0;
            let effort = match (open_lines, depth) {
                _ if thorough => &THOROUGH,
                (true, _) => &UNDER_LINES,
                (false, 0) => &ROOT,
                (false, _) => &BELOW,
            };
            let mends =
                depth == 0 || !progress.thorough || progress.nodes.is_multiple_of(NODES_PER_MEND);
            let mut bounded = self.bounded(problem.subproblem, node, effort, mends);
            if thorough && matches!(bounded, Bounded::Undecided) {
                if !self.reduce(problem.subproblem, node, progress) {
                    return Ok(());
                }
                bounded = self.bounded_exactly(problem.subproblem, node, true);
            }
            match bounded {
                Bounded::Impossible => return Ok(()),
                Bounded::Found(taken) => {
                    if self.record(problem, taken, progress) {
                        return Ok(());
                    }
                }
                Bounded::Undecided => {
                    if self.budget.is_spent() {
                        return Err(Stopped);
                    }
                    if !self.reduce(problem.subproblem, node, progress) {
                        return Ok(());
                    }
                    return self.branch(problem, node, progress, depth);
                }
            }
        }
    }

    /// Notes an assignment within the cutoff. Whether the question is answered.
    fn record(
        &mut self,
        problem: &NodeProblem<'_>,
        taken: Vec<u32>,
        progress: &mut Progress,
    ) -> bool {
        let assignment = problem.subproblem.assignment(&taken);
        let cost = problem.query.goal.of(problem.subproblem.model, &assignment);
        progress.cutoff = cost - problem.query.unit.max(1);
        progress.best = Some(taken);
        let steps = self.budget.spent();
        if let Some(told) = self.budget.told.as_mut().filter(|_| problem.query.least) {
            told.better(self.model, &assignment, steps);
        }
        Self::answered(problem, progress)
    }

    fn answered(problem: &NodeProblem<'_>, progress: &Progress) -> bool {
        progress.best.is_some() && (!problem.query.least || progress.cutoff < 0)
    }

    fn bounded(
        &mut self,
        subproblem: &Subproblem<'_>,
        node: &mut Node,
        effort: &Effort,
        mends: bool,
    ) -> Bounded {
        let caps = &node.caps;
        let question = Question { subproblem, caps };
        self.bound.run(
            &question,
            &mut node.live,
            &mut self.multipliers,
            effort,
            &mut self.budget,
            |taken, live, budget| {
                if mends {
                    mended(&question, live, taken, budget)
                } else {
                    None
                }
            },
        )
    }

    /// As [`Self::bounded`], at the best multipliers that there are.
    /// `seats` says whether an assignment is wanted.
    fn bounded_exactly(
        &mut self,
        subproblem: &Subproblem<'_>,
        node: &mut Node,
        seats: bool,
    ) -> Bounded {
        let caps = &node.caps;
        let question = Question { subproblem, caps };
        self.bound.run_exact(
            &question,
            &mut node.live,
            &mut self.multipliers,
            &mut self.budget,
            seats,
            |taken, live, budget| mended(&question, live, taken, budget),
        )
    }

    /// Deletes what the lines left and the rows, one by one, rule out. Whether anything is possible still.
    fn reduce(
        &mut self,
        subproblem: &Subproblem<'_>,
        node: &mut Node,
        progress: &Progress,
    ) -> bool {
        if let Some(row) = subproblem.goal_row {
            node.caps[row] = progress.cutoff;
        }
        node.reduce_lines(subproblem);
        subproblem.cap_loads(&node.live, &mut node.caps);
        self.propagation.run(subproblem, &node.caps, &mut node.live)
            && (!subproblem.reduce_loads(&mut node.live)
                || self.propagation.run(subproblem, &node.caps, &mut node.live))
    }

    fn branch(
        &mut self,
        problem: &NodeProblem<'_>,
        node: &mut Node,
        progress: &mut Progress,
        depth: usize,
    ) -> Result<(), Stopped> {
        if depth == 0 && !progress.thorough {
            progress.root = Some(node.clone());
        }
        // For a sum over all devices who sits where says more than lines that nothing breaks.
        let by_line = |t: usize| {
            !matches!(problem.subproblem.goal, Goal::Hours | Goal::Watts)
                || self.bound.breaks(problem.subproblem, t)
        };
        if let Some(t) = (0..node.lines.len())
            .filter(|&t| node.lines[t].len() > 1 && by_line(t))
            .min_by_key(|&t| {
                (
                    !self.bound.breaks(problem.subproblem, t),
                    node.lines[t].len(),
                )
            })
        {
            // The most generous lines first: an assignment found early cuts the rest short.
            for line in node.generous_first(self.model, t) {
                let mut child = node.with_line(t, line);
                self.visit(problem, &mut child, progress, depth + 1)?;
                if Self::answered(problem, progress) {
                    return Ok(());
                }
                // The multipliers that ruled out this line may do so for all.
                if progress.thorough {
                    let bounded = self.bounded(problem.subproblem, node, &LOOK_BACK, false);
                    if matches!(bounded, Bounded::Impossible) {
                        return Ok(());
                    }
                }
            }
            return Ok(());
        }
        let broken = self
            .bound
            .broken_load(problem.subproblem, &node.live, &node.caps);
        if let Some((row, slack)) = broken {
            return self.branch_on_slack(problem, node, progress, (row, slack, depth));
        }
        let settled = node.lines.iter().all(|lines| lines.len() < 2);
        if settled && progress.nodes >= progress.engine_at {
            progress.engine_at *= ENGINE_AGAIN_FACTOR;
            match self.ask_engine(problem, node, progress) {
                Answer::Infeasible => return Ok(()),
                Answer::Taken(taken) => {
                    if self.record(problem, taken, progress) {
                        return Ok(());
                    }
                    // What is better still, if anything: the same node, a lower cutoff.
                    return self.visit(problem, node, progress, depth + 1);
                }
                Answer::Unknown => {}
            }
        }
        let share = |way: u32| self.bound.share(way);
        let Some(split) = Split::of(problem.subproblem, &node.live, &share) else {
            self.last_one(problem, node, progress);
            return Ok(());
        };
        let mut first = node.clone();
        split.take(&mut first.live);
        self.visit(problem, &mut first, progress, depth + 1)?;
        if Self::answered(problem, progress) {
            return Ok(());
        }
        split.leave(problem.subproblem, &mut node.live);
        self.visit(problem, node, progress, depth + 1)
    }

    /// First only what allows the loads of a row more than `slack` above its limit, then as
    /// many loads as `slack` allows.
    fn branch_on_slack(
        &mut self,
        problem: &NodeProblem<'_>,
        node: &mut Node,
        progress: &mut Progress,
        (row, slack, depth): (usize, i64, usize),
    ) -> Result<(), Stopped> {
        let subproblem = problem.subproblem;
        let mut more = node.clone();
        more.live.retain(|_, way| {
            let of_row = |&(r, _): &(u32, i64)| r as usize == row;
            subproblem.way(way).slack > slack || !subproblem.takes(way).iter().any(of_row)
        });
        self.visit(problem, &mut more, progress, depth + 1)?;
        if Self::answered(problem, progress) {
            return Ok(());
        }
        node.caps[row] = node.caps[row].min(subproblem.limits[row].saturating_add(slack));
        self.visit(problem, node, progress, depth + 1)
    }

    /// Every device has one way left: that assignment keeps everything, or none does.
    fn last_one(&mut self, problem: &NodeProblem<'_>, node: &Node, progress: &mut Progress) {
        let firsts = node.live.each().filter_map(|(_, ways)| ways.first());
        let taken: Vec<u32> = firsts.copied().collect();
        if Self::keeps(problem, &taken, progress) {
            self.record(problem, taken, progress);
        }
    }

    /// Whether an assignment keeps every rule at a cost within the cutoff.
    fn keeps(problem: &NodeProblem<'_>, taken: &[u32], progress: &Progress) -> bool {
        let subproblem = problem.subproblem;
        let model = subproblem.model;
        let assignment = subproblem.assignment(taken);
        let mut seated = vec![0usize; model.seats.len()];
        for &column in assignment.iter().flatten() {
            seated[model.dominance_key(column).port as usize] += 1;
        }
        let used = subproblem.used(taken);
        let within = |(row, used): (usize, &i64)| {
            Some(row) == subproblem.goal_row || *used <= subproblem.caps[row]
        };
        taken.len() == model.len()
            && seated.iter().zip(&model.seats).all(|(n, seats)| n <= seats)
            && used.iter().enumerate().all(within)
            && model.tables_hold(&assignment)
            && model.promises_hold(&assignment)
            && problem.query.goal.of(model, &assignment) <= progress.cutoff
    }

    /// Asks the integer program about a node whose lines are settled. An answer that
    /// does not hold counts as none.
    fn ask_engine(
        &mut self,
        problem: &NodeProblem<'_>,
        node: &Node,
        progress: &Progress,
    ) -> Answer {
        let remainder = Remainder {
            subproblem: problem.subproblem,
            live: &node.live,
            caps: &node.caps,
            lines: &node.lines,
            least: problem.query.least,
        };
        match self.engine.solve(&remainder, &mut self.budget) {
            Answer::Taken(taken) if !Self::keeps(problem, &taken, progress) => Answer::Unknown,
            answer => answer,
        }
    }
}

/// The assignment mended, where that can be had, at the cost of the moves tried.
fn mended(
    question: &Question<'_>,
    live: &NodeDomains,
    taken: &[u32],
    budget: &mut Budget,
) -> Option<Vec<u32>> {
    let mut tried = 0;
    let mended = repair(question.subproblem, question.caps, live, taken, &mut tried);
    budget.spend(tried / TRIES_PER_STEP);
    mended
}
