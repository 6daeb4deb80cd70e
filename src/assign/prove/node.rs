//! One node of a proof: prices that close it, or else that delete what they can; then its
//! parts.
//!
//! Prices are sought in floating point, by subgradient steps, and rounded to whole
//! numbers; everything that is recorded is then worked out from those whole numbers.

use super::quotient::Quotient;
use super::split;
use crate::plan::proof::{Node, Step};
use crate::solve::budget::Budget;
use crate::solve::model::small;
use crate::solve::transport::Transport;

/// Steps of the first node of a tree, and of those below, which start from their
/// parent's prices.
const FIRST_STEPS: u32 = 150;
const STEPS: u32 = 40;

/// Row by row and by prices, again as long as that deletes something, at most so often.
const ROUNDS: u32 = 4;

/// Prices are tried with so many binary digits less, the most first.
const SHORTER: [u32; 9] = [37, 34, 30, 26, 22, 18, 14, 10, 5];

/// What is still open in a node.
#[derive(Debug, Clone)]
pub(super) struct State {
    /// By device, numbers of its ways.
    pub(super) open: Vec<Vec<u32>>,
    /// By table, its lines that may govern.
    pub(super) lines: Vec<Vec<usize>>,
    /// By row, where the prices start.
    pub(super) price: Vec<f64>,
    pub(super) depth: usize,
}

impl State {
    pub(super) fn all(q: &Quotient) -> Self {
        let numbers = |n: usize| (0..u32::try_from(n).unwrap_or(u32::MAX)).collect();
        Self {
            open: q.ways.iter().map(|ways| numbers(ways.len())).collect(),
            lines: q
                .tables
                .iter()
                .map(|t| (0..t.lines.len()).collect())
                .collect(),
            price: vec![1.0; q.caps.len()],
            depth: 0,
        }
    }
}

/// What became of a node.
pub(super) enum Outcome {
    Closed(Node),
    /// With its parts, in order.
    Split(Node, Vec<State>),
    /// All is decided and nothing is broken: it is a plan.
    Plan,
    /// The budget ran out.
    Stopped,
}

/// Whole prices of rows and of classes of ports.
#[derive(Debug, Clone)]
pub(super) struct Prices {
    pub(super) rows: Vec<i64>,
    pub(super) ports: Vec<i64>,
}

/// What prices show in a state.
pub(super) struct Shown {
    pub(super) bound: i64,
    /// By device, the ways that stay open; as they were where the bound is above 0.
    open: Vec<Vec<u32>>,
    deleted: usize,
}

pub(super) struct Prover<'a> {
    pub(super) q: &'a Quotient,
    /// The row whose price is held at 1, since it is the one to be shown broken.
    pub(super) held: Option<usize>,
    pub(super) transport: Transport,
    pub(super) cost: Vec<i64>,
    pub(super) cheapest: Vec<u32>,
    pub(super) stay: Vec<i64>,
    /// By device and way, how often it was taken in the last steps.
    pub(super) share: Vec<Vec<f64>>,
    /// By table, how often no line granted what was taken.
    pub(super) broken: Vec<f64>,
}

impl<'a> Prover<'a> {
    pub(super) fn new(q: &'a Quotient, held: Option<usize>) -> Self {
        Self {
            q,
            held,
            transport: Transport::default(),
            cost: Vec::new(),
            cheapest: Vec::new(),
            stay: Vec::new(),
            share: q.ways.iter().map(|ways| vec![0.0; ways.len()]).collect(),
            broken: vec![0.0; q.tables.len()],
        }
    }

    /// Closes a node or splits it.
    pub(super) fn node(&mut self, mut state: State, budget: &mut Budget) -> Outcome {
        if !self.settle(&mut state) {
            return Outcome::Closed(Node::default());
        }
        let entry = state.clone();
        let mut steps: Vec<Prices> = Vec::new();
        for round in 0..ROUNDS {
            if budget.is_spent() {
                return Outcome::Stopped;
            }
            let before = steps.len();
            let count = match (state.depth, round) {
                (0, 0) => FIRST_STEPS,
                _ => STEPS,
            };
            if self.row_by_row(&mut state, &mut steps)
                || self.ascend(&mut state, &mut steps, count, budget)
            {
                return Outcome::Closed(self.closed(&entry, steps));
            }
            if steps.len() == before {
                break;
            }
        }
        let Some((branch, children)) =
            split::split(self.q, &state, &self.share, &self.broken, self.held)
        else {
            return Outcome::Plan;
        };
        let steps = self.written(entry, &steps);
        let branch = Some(branch);
        Outcome::Split(Node { steps, branch }, children)
    }

    /// Drops lines that cannot govern and ways that no line left grants. Whether every
    /// device has a way left.
    fn settle(&self, state: &mut State) -> bool {
        let q = self.q;
        loop {
            let mut changed = false;
            for (t, table) in q.tables.iter().enumerate() {
                let mut in_use = vec![false; q.ports.len()];
                for (device, open) in state.open.iter().enumerate() {
                    for &way in open {
                        if let Some(port) = q.ways[device][way as usize].port {
                            in_use[port] = true;
                        }
                    }
                }
                let before = state.lines[t].len();
                state.lines[t].retain(|&line| {
                    let line = &table.lines[line];
                    !table.lines.iter().any(|other| {
                        let mut pairs = other.iter().zip(line);
                        let size = |line: &[Option<i64>]| line.iter().flatten().count();
                        size(other) < size(line)
                            && pairs.all(|(other, line)| other.is_none() || line.is_some())
                            && (0..in_use.len())
                                .all(|p| !in_use[p] || line[p].is_none() || other[p].is_some())
                    })
                });
                changed |= state.lines[t].len() < before;
                let lines = &state.lines[t];
                let most: Vec<Option<i64>> = (0..q.ports.len())
                    .map(|p| lines.iter().filter_map(|&l| table.lines[l][p]).max())
                    .collect();
                for (device, open) in state.open.iter_mut().enumerate() {
                    let before = open.len();
                    open.retain(|&way| {
                        let way = &q.ways[device][way as usize];
                        let tier = way.taken(table.row);
                        way.port
                            .is_none_or(|port| tier == 0 || Some(tier) <= most[port])
                    });
                    changed |= open.len() < before;
                }
            }
            if !changed {
                return state.open.iter().all(|open| !open.is_empty());
            }
        }
    }

    pub(super) fn caps(&self, state: &State) -> Vec<Option<i64>> {
        let mut caps = self.q.caps.clone();
        for (table, left) in self.q.tables.iter().zip(&state.lines) {
            let ports = || self.q.ports.iter().map(|class| small(class.len()));
            let sum = |&line: &usize| -> i64 {
                let granted = table.lines[line].iter().zip(ports());
                granted.map(|(watts, n)| watts.unwrap_or(0) * n).sum()
            };
            caps[table.row] = Some(left.iter().map(sum).max().unwrap_or(0));
        }
        caps
    }

    pub(super) fn cost(&self, device: usize, way: u32, prices: &[i64]) -> i128 {
        let takes = &self.q.ways[device][way as usize].takes;
        let cost = |&(row, taken): &(usize, i64)| i128::from(prices[row]) * i128::from(taken);
        takes.iter().map(cost).sum()
    }

    /// The bound of prices in a state, and what they leave open.
    pub(super) fn shown(&self, state: &State, prices: &Prices) -> Shown {
        let caps = self.caps(state);
        let full = prices.rows.iter().zip(&caps);
        let full = full.map(|(&price, cap)| i128::from(price) * i128::from(cap.unwrap_or(0)));
        let seats = self.q.ports.iter().zip(&prices.ports);
        let seats = seats.map(|(class, price)| i128::from(price * small(class.len())));
        let mut bound = seats.sum::<i128>() - full.sum::<i128>();
        let mut costs: Vec<Vec<i128>> = Vec::with_capacity(state.open.len());
        for (device, open) in state.open.iter().enumerate() {
            let cost = |&way: &u32| {
                let port = self.q.ways[device][way as usize].port;
                let port_price = port.map_or(0, |port| prices.ports[port]);
                self.cost(device, way, &prices.rows) - i128::from(port_price)
            };
            let of_device: Vec<i128> = open.iter().map(cost).collect();
            let least = of_device.iter().copied().min().unwrap_or(0);
            bound += least;
            costs.push(of_device.into_iter().map(|cost| cost - least).collect());
        }
        let Ok(exact) = i64::try_from(bound) else {
            // Found for other ways than these: too large to be written down.
            return Shown {
                bound: 0,
                open: state.open.clone(),
                deleted: 0,
            };
        };
        let (mut open, mut deleted) = (state.open.clone(), 0);
        if bound <= 0 {
            for (open, costs) in open.iter_mut().zip(&costs) {
                let mut costs = costs.iter();
                let before = open.len();
                open.retain(|_| costs.next().is_none_or(|&cost| cost <= -bound));
                deleted += before - open.len();
            }
        }
        Shown {
            bound: exact,
            open,
            deleted,
        }
    }

    /// What prices close or delete is noted. Whether the node is closed.
    pub(super) fn take(&self, state: &mut State, prices: Prices, steps: &mut Vec<Prices>) -> bool {
        let shown = self.shown(state, &prices);
        if shown.bound > 0 {
            steps.push(prices);
            return true;
        }
        if shown.deleted == 0 {
            return false;
        }
        state.open = shown.open;
        steps.push(prices);
        !self.settle(state)
    }

    /// What each row rules out by itself. Whether the node is closed.
    fn row_by_row(&self, state: &mut State, steps: &mut Vec<Prices>) -> bool {
        let rows = state.price.len();
        for row in 0..rows {
            if self.caps(state)[row].is_none() {
                continue;
            }
            let mut prices = Prices {
                rows: vec![0; rows],
                ports: vec![0; self.q.ports.len()],
            };
            prices.rows[row] = 1;
            if self.take(state, prices, steps) {
                return true;
            }
        }
        false
    }

    /// The closed node, with no more steps than it needs.
    fn closed(&mut self, entry: &State, mut steps: Vec<Prices>) -> Node {
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
        Node {
            steps: self.written(entry.clone(), &steps),
            branch: None,
        }
    }

    /// After how many of the steps the node is closed, if it is.
    fn closes_after(&self, entry: &State, steps: &[Prices]) -> Option<usize> {
        let mut state = entry.clone();
        let closes = |prices: &Prices| self.take(&mut state, prices.clone(), &mut Vec::new());
        Some(steps.iter().position(closes)? + 1)
    }

    /// The steps as the proof has them: with their bounds, and in shorter numbers where
    /// these show as much.
    fn written(&mut self, mut state: State, steps: &[Prices]) -> Vec<Step> {
        let mut written = Vec::with_capacity(steps.len());
        for prices in steps {
            let prices = self.shorter(&state, prices);
            let shown = self.shown(&state, &prices);
            written.push(self.q.step(&prices.rows, &prices.ports, shown.bound));
            state.open = shown.open;
            if !self.settle(&mut state) {
                break;
            }
        }
        written
    }

    fn shorter(&mut self, state: &State, prices: &Prices) -> Prices {
        let shown = self.shown(state, prices);
        if prices.rows.iter().all(|&price| price <= 1) {
            return prices.clone();
        }
        for digits in SHORTER {
            let half = 1_i64 << (digits - 1);
            let rows = prices.rows.iter().map(|price| (price + half) >> digits);
            let fewer = self.with_ports(state, rows.collect());
            let now = self.shown(state, &fewer);
            // Just as much, not more: the parts of a split are worked out already.
            let shows_as_much = if shown.bound > 0 {
                now.bound > 0
            } else {
                now.bound <= 0 && now.open == shown.open
            };
            if shows_as_much {
                return fewer;
            }
        }
        prices.clone()
    }
}
