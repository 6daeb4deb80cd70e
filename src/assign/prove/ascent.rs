//! Prices for a node: subgradient steps over the transportation problem of devices and
//! classes of ports.

use super::node::{Prices, Prover, State};
use crate::solve::budget::{Budget, steps_for};
use crate::solve::transport::FORBIDDEN;
use crate::units::as_float;

/// What a full row costs at price 1: rounded prices are fine grained, and sums over all
/// devices stay far below [`UNSEATED`].
const FULL_ROW: f64 = (1_u32 << 19) as f64 * (1_u32 << 19) as f64;

/// The highest price of a row, in units of [`FULL_ROW`].
const MAX_PRICE: f64 = 16.0;

/// What it costs in the transportation problem to leave out a device that may not stay:
/// more than any seating costs. Where it is paid there are too few ports.
const UNSEATED: i64 = 1 << 50;

/// Where ways cost more, they are taken to cost this: nothing that is asked of the
/// transportation problem depends on by how much they are too dear.
const MOST_COST: i64 = UNSEATED / 4;

/// The share to which a subgradient step has shrunk at the last one.
const LAST_STEP: f64 = 2e-3;

/// After so many steps without a better bound, steps are cut to this share.
const STEPS_WITHOUT_GAIN: u32 = 4;
const STEP_CUT: f64 = 0.6;

/// How far above 0 a bound is aimed, in units of [`FULL_ROW`], where a row's price is held.
const AIM: f64 = 0.02;
const LEAST_REACH: f64 = 1e-6;

/// By how much each step weighs more than the one before it in a way's share.
const SHARE_GROWTH: f64 = 1.1;

/// What pricing a way costs, in steps of the innermost loops.
const WORK_PER_WAY: usize = 8;

impl Prover<'_> {
    /// Steps towards prices that close the node; those that delete something are taken on
    /// the way. Whether the node is closed.
    pub(super) fn ascend(
        &mut self,
        state: &mut State,
        steps: &mut Vec<Prices>,
        count: u32,
        budget: &mut Budget,
    ) -> bool {
        self.share.iter_mut().for_each(|share| share.fill(0.0));
        self.broken.fill(0.0);
        let scale = self.scale(state);
        let mut price = state.price.clone();
        let (mut best, mut best_price) = (i64::MIN, price.clone());
        let (mut length, mut since_better, mut weight) = (1.0, 0, 1.0);
        let decay = LAST_STEP.powf(1.0 / f64::from(count));
        for _ in 0..count {
            budget.spend(self.work(state));
            if budget.is_spent() {
                break;
            }
            let caps = self.caps(state);
            let rows: Vec<i64> = (0..price.len())
                .map(|row| match caps[row] {
                    Some(_) => whole(price[row] * FULL_ROW / scale[row]),
                    None => 0,
                })
                .collect();
            let prices = self.with_ports(state, rows);
            let taken: Vec<u32> = self.taken();
            let bound = self.shown(state, &prices).bound;
            if self.take(state, prices, steps) {
                return true;
            }
            if bound > best {
                (best, since_better) = (bound, 0);
                best_price.clone_from(&price);
            } else {
                since_better += 1;
                if since_better >= STEPS_WITHOUT_GAIN {
                    (length, since_better) = (length * STEP_CUT, 0);
                }
            }
            self.note(state, &taken, weight);
            weight *= SHARE_GROWTH;
            if !self.climb(&mut price, &scale, &caps, &taken, bound, length) {
                break;
            }
            length *= decay;
        }
        state.price = best_price;
        false
    }

    /// What each row is measured by: its cap, or the most that is taken from it at once.
    fn scale(&self, state: &State) -> Vec<f64> {
        let mut most: Vec<i64> = self
            .caps(state)
            .iter()
            .map(|cap| cap.unwrap_or(1).max(1))
            .collect();
        for (device, open) in state.open.iter().enumerate() {
            for &way in open {
                for &(row, taken) in &self.q.ways[device][way as usize].takes {
                    most[row] = most[row].max(taken);
                }
            }
        }
        most.into_iter().map(as_float).collect()
    }

    fn work(&self, state: &State) -> u64 {
        let ways: usize = state.open.iter().map(Vec::len).sum();
        let devices = state.open.len();
        let work = devices * devices * self.q.ports.len() + WORK_PER_WAY * ways;
        steps_for(work)
    }

    /// The best prices of ports beside these of rows: the transportation problem's.
    pub(super) fn with_ports(&mut self, state: &State, rows: Vec<i64>) -> Prices {
        let classes = self.q.ports.len();
        self.cost.clear();
        self.cost.resize(state.open.len() * classes, FORBIDDEN);
        self.cheapest.clear();
        self.cheapest.resize(state.open.len() * classes, u32::MAX);
        self.stay.clear();
        for (device, open) in state.open.iter().enumerate() {
            let mut stay = UNSEATED;
            for &way in open {
                let cost = self.cost(device, way, &rows);
                let cost = i64::try_from(cost).unwrap_or(MOST_COST).min(MOST_COST);
                match self.q.ways[device][way as usize].port {
                    None => stay = stay.min(cost),
                    Some(port) => {
                        let cell = device * classes + port;
                        if cost < self.cost[cell] {
                            self.cost[cell] = cost;
                            self.cheapest[cell] = way;
                        }
                    }
                }
            }
            self.stay.push(stay);
        }
        let seats: Vec<usize> = self.q.ports.iter().map(Vec::len).collect();
        let solved = self.transport.solve(&self.cost, &self.stay, &seats);
        let ports = self.transport.v.clone();
        if solved.is_some_and(|value| value >= UNSEATED / 2) {
            // Some devices have fewer ports between them than they are.
            let too_few = Prices {
                rows: vec![0; rows.len()],
                ports: ports
                    .iter()
                    .map(|&v| -i64::from(v < -UNSEATED / 2))
                    .collect(),
            };
            if self.shown(state, &too_few).bound > 0 {
                return too_few;
            }
        }
        Prices { rows, ports }
    }

    /// The seating of the transportation problem last solved: by device its way, or
    /// `u32::MAX` where it stays.
    fn taken(&self) -> Vec<u32> {
        let classes = self.q.ports.len();
        let group = self.transport.group.iter().enumerate();
        group
            .map(|(device, port)| port.map_or(u32::MAX, |p| self.cheapest[device * classes + p]))
            .collect()
    }

    /// Notes what was taken, and which tables do not grant it.
    fn note(&mut self, state: &State, taken: &[u32], weight: f64) {
        let q = self.q;
        let mut tier = vec![0; q.ports.len()];
        for (device, &way) in taken.iter().enumerate() {
            let Some(share) = self.share[device].get_mut(way as usize) else {
                continue;
            };
            *share += weight;
            let way = &q.ways[device][way as usize];
            for table in &q.tables {
                if let Some(port) = way.port {
                    tier[port] = way.taken(table.row).max(tier[port]);
                }
            }
        }
        for (t, table) in q.tables.iter().enumerate() {
            let of_table = |port: usize| table.lines.iter().any(|line| line[port].is_some());
            let grants = |&line: &usize| {
                let line = &table.lines[line];
                (0..tier.len()).all(|p| tier[p] == 0 || !of_table(p) || Some(tier[p]) <= line[p])
            };
            if !state.lines[t].iter().any(grants) {
                self.broken[t] += weight;
            }
        }
    }

    /// Raises the price of what is over its cap and lowers that of what is under. Whether
    /// there was anything to change.
    fn climb(
        &self,
        price: &mut [f64],
        scale: &[f64],
        caps: &[Option<i64>],
        taken: &[u32],
        bound: i64,
        length: f64,
    ) -> bool {
        let mut used = vec![0; caps.len()];
        for (device, &way) in taken.iter().enumerate() {
            let ways = &self.q.ways[device];
            let stays = || ways.iter().find(|way| way.port.is_none());
            let way = ways.get(way as usize).or_else(stays);
            for &(row, n) in way.iter().flat_map(|way| &way.takes) {
                used[row] += n;
            }
        }
        let over: Vec<f64> = (0..caps.len())
            .map(|row| match caps[row] {
                None => 0.0,
                Some(_) if self.held == Some(row) => 0.0,
                Some(cap) => {
                    let share = as_float(used[row] - cap) / scale[row];
                    if price[row] <= 0.0 {
                        share.max(0.0)
                    } else {
                        share
                    }
                }
            })
            .collect();
        let square: f64 = over.iter().map(|share| share * share).sum();
        if square <= f64::EPSILON {
            return false;
        }
        let reach = if self.held.is_some() {
            ((AIM - as_float(bound) / FULL_ROW) / square).max(LEAST_REACH)
        } else {
            let size: f64 = price.iter().map(|price| price * price).sum();
            size.sqrt().max(1.0) / square.sqrt() / 2.0
        };
        for (price, share) in price.iter_mut().zip(&over) {
            *price = (*price + length * reach * share).clamp(0.0, MAX_PRICE);
        }
        true
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "prices are clamped far inside 64 bits"
)]
fn whole(price: f64) -> i64 {
    price as i64
}
