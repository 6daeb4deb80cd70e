//! One node of a proof: prices that close it, or else that delete what they can; then its
//! parts.
//!
//! The kernel's bound looks for them and keeps a record; everything that is written down is
//! then worked out from the recorded whole numbers, as the check does.

use super::quotient::Quotient;
use super::split::split;
use crate::plan::proof::{self, Step};
use crate::solve::bound::{Bound, Bounded, Effort, Multipliers, Prices, Question};
use crate::solve::budget::Budget;
use crate::solve::goal::Domains;
use crate::solve::model::small;
use crate::solve::node::Node;
use crate::solve::subproblem::{NodeDomains, Subproblem};

/// At the first node of a tree.
const ROOT: Effort = Effort {
    steps: 150,
    first_step: 1.0,
    seats: true,
};

/// At those below, which start from the multipliers of the one above.
const BELOW: Effort = Effort { steps: 40, ..ROOT };

/// Row by row and by multipliers, again as long as that deletes something, at most so often.
const ROUNDS: u32 = 4;

/// Prices are tried with so many binary digits less, the most first.
const SHORTER: [u32; 9] = [37, 34, 30, 26, 22, 18, 14, 10, 5];

/// Where ways cost more, prices are left as they are: the transportation problem would take
/// them for out of reach.
const MOST_COST: i128 = 1 << 50;

/// A node that is neither closed nor split yet.
pub(super) struct Open {
    pub(super) node: Node,
    /// Those of the node above.
    multipliers: Multipliers,
    pub(super) depth: usize,
}

/// What became of a node.
pub(super) enum Outcome {
    Closed(proof::Node),
    /// With its parts, in order.
    Split(proof::Node, Vec<Open>),
    /// There is a better plan in it.
    Plan,
    /// The budget ran out.
    Stopped,
}

/// What prices show in a node.
struct Shown {
    bound: i64,
    /// The ways that stay open; as they were where the bound is above 0.
    live: NodeDomains,
    deleted: bool,
    /// What the dearest way costs.
    most: i128,
}

pub(super) struct Prover<'a> {
    q: &'a Quotient,
    subproblem: &'a Subproblem<'a>,
    bound: Bound,
}

impl<'a> Prover<'a> {
    pub(super) fn new(q: &'a Quotient, subproblem: &'a Subproblem<'a>) -> Self {
        Self {
            q,
            subproblem,
            bound: Bound::recording(),
        }
    }

    pub(super) fn root(&self) -> Open {
        Open {
            node: Node::root(self.subproblem, &Domains::all(&self.q.model)),
            multipliers: Multipliers::default(),
            depth: 0,
        }
    }

    /// Closes a node or splits it.
    pub(super) fn node(&mut self, open: Open, budget: &mut Budget) -> Outcome {
        let Open {
            mut node,
            mut multipliers,
            depth,
        } = open;
        if !self.settle(&mut node) {
            return Outcome::Closed(proof::Node::default());
        }
        let entry = node.clone();
        let mut steps: Vec<Prices> = Vec::new();
        for round in 0..ROUNDS {
            if budget.is_spent() {
                return Outcome::Stopped;
            }
            let before = steps.len();
            if self.row_by_row(&mut node, &mut steps) {
                return Outcome::Closed(self.closed(&entry, steps));
            }
            let question = Question {
                subproblem: self.subproblem,
                caps: &node.caps,
            };
            let effort = if depth == 0 && round == 0 {
                &ROOT
            } else {
                &BELOW
            };
            // As the bound has it; what it recorded is then done as the check does it, which
            // leaves no more.
            let mut live = node.live.clone();
            let nothing = |_: &[u32], _: &NodeDomains, _: &mut Budget| None;
            let bounded = self.bound.run(
                &question,
                &mut live,
                &mut multipliers,
                effort,
                budget,
                nothing,
            );
            let recorded = self.bound.take_recorded();
            if matches!(bounded, Bounded::Found(_)) {
                return Outcome::Plan;
            }
            for prices in recorded {
                if self.take(&mut node, prices, &mut steps) {
                    return Outcome::Closed(self.closed(&entry, steps));
                }
            }
            if steps.len() == before {
                break;
            }
        }
        let Some((branch, children)) = split(self.q, self.subproblem, &node, &self.bound) else {
            return Outcome::Plan;
        };
        let child = |node| Open {
            node,
            multipliers: multipliers.clone(),
            depth: depth + 1,
        };
        let children = children.into_iter().map(child).collect();
        let steps = self.written(entry, &steps);
        let branch = Some(branch);
        Outcome::Split(proof::Node { steps, branch }, children)
    }

    /// Drops lines that cannot govern and ways that no line left grants, until nothing
    /// changes. Whether every device has a way left.
    fn settle(&self, node: &mut Node) -> bool {
        while node.reduce_lines(self.subproblem) {}
        !node.live.is_stuck()
    }

    /// The bound of prices in a node, and what they leave open.
    fn shown(&self, node: &Node, prices: &Prices) -> Shown {
        let product = |a: i64, b: i64| i128::from(a) * i128::from(b);
        let full = prices.rows.iter().zip(&node.caps);
        let seats = prices.groups.iter().zip(&self.q.model.seats);
        let mut bound = seats
            .map(|(&price, &n)| product(price, small(n)))
            .sum::<i128>()
            - full.map(|(&price, &cap)| product(price, cap)).sum::<i128>();
        let cost = |way: u32| {
            let takes = self.subproblem.takes(way).iter();
            takes
                .map(|&(row, taken)| product(prices.rows[row as usize], taken))
                .sum::<i128>()
        };
        let price = |way: u32| {
            let way = self.subproblem.way(way);
            way.column
                .map_or(0, |_| i128::from(prices.groups[way.port]))
        };
        let mut most = 0;
        let mut above: Vec<i128> = Vec::with_capacity(node.live.len());
        for (_, ways) in node.live.each() {
            let from = above.len();
            for &way in ways {
                let cost = cost(way);
                most = most.max(cost);
                above.push(cost - price(way));
            }
            let least = above[from..].iter().copied().min().unwrap_or(0);
            above[from..].iter_mut().for_each(|cost| *cost -= least);
            bound += least;
        }
        let mut live = node.live.clone();
        let Ok(exact) = i64::try_from(bound) else {
            // Found for other ways than these: too large to be written down.
            return Shown {
                bound: 0,
                live,
                deleted: false,
                most,
            };
        };
        let mut above = above.into_iter();
        let deleted =
            bound <= 0 && live.retain(|_, _| above.next().is_none_or(|cost| cost <= -bound));
        Shown {
            bound: exact,
            live,
            deleted,
            most,
        }
    }

    /// What prices close or delete is noted. Whether the node is closed.
    fn take(&self, node: &mut Node, prices: Prices, steps: &mut Vec<Prices>) -> bool {
        let shown = self.shown(node, &prices);
        if shown.bound > 0 {
            steps.push(prices);
            return true;
        }
        if !shown.deleted {
            return false;
        }
        node.live = shown.live;
        steps.push(prices);
        !self.settle(node)
    }

    /// What each row rules out by itself. Whether the node is closed.
    fn row_by_row(&self, node: &mut Node, steps: &mut Vec<Prices>) -> bool {
        (0..node.caps.len()).any(|row| {
            let mut prices = Prices {
                rows: vec![0; node.caps.len()],
                groups: vec![0; self.q.ports.len()],
            };
            prices.rows[row] = 1;
            self.take(node, prices, steps)
        })
    }

    /// The closed node, with no more steps than it needs.
    fn closed(&mut self, entry: &Node, mut steps: Vec<Prices>) -> proof::Node {
        if let Some(last) = steps.last().cloned()
            && self.shown(entry, &last).bound > 0
        {
            steps = vec![last];
        }
        for at in (0..steps.len().saturating_sub(1)).rev() {
            let mut fewer = steps.clone();
            fewer.remove(at);
            if let Some(enough) = self.closes_after(entry, &fewer) {
                fewer.truncate(enough);
                steps = fewer;
            }
        }
        proof::Node {
            steps: self.written(entry.clone(), &steps),
            branch: None,
        }
    }

    /// After how many of the steps the node is closed, if it is.
    fn closes_after(&self, entry: &Node, steps: &[Prices]) -> Option<usize> {
        let mut node = entry.clone();
        let closes = |prices: &Prices| self.take(&mut node, prices.clone(), &mut Vec::new());
        Some(steps.iter().position(closes)? + 1)
    }

    /// The steps as the proof has them: with their bounds, and in shorter numbers where
    /// these show as much.
    fn written(&mut self, mut node: Node, steps: &[Prices]) -> Vec<Step> {
        let mut written = Vec::with_capacity(steps.len());
        for prices in steps {
            let prices = self.shorter(&node, prices);
            let shown = self.shown(&node, &prices);
            written.push(self.q.step(&self.subproblem.lanes, &prices, shown.bound));
            node.live = shown.live;
            if !self.settle(&mut node) {
                break;
            }
        }
        written
    }

    fn shorter(&mut self, node: &Node, prices: &Prices) -> Prices {
        let shown = self.shown(node, prices);
        if prices.rows.iter().all(|&price| price <= 1) || shown.most > MOST_COST {
            return prices.clone();
        }
        let question = Question {
            subproblem: self.subproblem,
            caps: &node.caps,
        };
        for digits in SHORTER {
            let half = 1_i64 << (digits - 1);
            let rows = prices.rows.iter().map(|price| (price + half) >> digits);
            let fewer = self.bound.priced(&question, &node.live, rows);
            let now = self.shown(node, &fewer);
            // Just as much, not more: the parts of a split are worked out already.
            let shows_as_much = if shown.bound > 0 {
                now.bound > 0
            } else {
                now.bound <= 0 && now.live == shown.live
            };
            if shows_as_much {
                return fewer;
            }
        }
        prices.clone()
    }
}
