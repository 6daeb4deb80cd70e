//! The exact bound: Lagrangian relaxation of every row over the transportation problem
//! of devices and ports, in whole numbers.
//!
//! With a price for every row, the cheapest seating without rows, less what the rows
//! would cost when full, is a bound on every seating that keeps them. Prices come from
//! subgradient steps in floating point and are rounded to whole numbers first, so the
//! bound itself is exact: a plan is never ruled out by rounding.

use super::goal::{Goal, Limits, Open, Rows};
use super::model::{Model, Seating};
use super::transport::{FORBIDDEN, Transport};

/// What one full row costs at price 1: large enough that rounded prices are fine
/// grained, small enough that sums over all devices stay within 64 bits.
const FULL_ROW: f64 = (1u64 << 38) as f64;

/// The highest price of a row, in units of [`FULL_ROW`].
const MAX_PRICE: f64 = 256.0;

/// By how much each step weighs more than the one before it in a choice's share.
const SHARE_GROWTH: f64 = 1.2;

/// By how much a step shrinks from one to the next.
const STEP_DECAY: f64 = 0.85;

/// Prices of the rows, kept from one question to the next as a start.
#[derive(Debug, Clone, Default)]
pub(super) struct Prices {
    fixed: Vec<f64>,
    later: Vec<f64>,
    rest: Vec<f64>,
}

impl Prices {
    fn start(&self, model: &Model, rows: &Rows) -> Vec<f64> {
        let mut prices = vec![0.0; rows.len()];
        let fixed = model.rows.len();
        for (row, price) in prices.iter_mut().enumerate() {
            let (kept, at, fresh) = if row < fixed {
                (&self.fixed, row, 1.0)
            } else if row < rows.late() {
                (&self.later, row - fixed, 0.0)
            } else {
                (&self.rest, row - rows.late(), 0.0)
            };
            *price = kept.get(at).copied().unwrap_or(fresh);
        }
        prices
    }

    fn keep(&mut self, model: &Model, rows: &Rows, prices: &[f64]) {
        let fixed = model.rows.len();
        self.fixed = prices[..fixed].to_vec();
        self.later = prices[fixed..rows.late()].to_vec();
        self.rest = prices[rows.late()..].to_vec();
    }
}

/// One question at one node of the search.
pub(super) struct Question<'a> {
    pub(super) model: &'a Model,
    pub(super) goal: Goal,
    pub(super) limits: &'a Limits,
    pub(super) rows: &'a Rows,
    /// Only seatings of at most this cost are of interest.
    pub(super) cutoff: i64,
}

/// What the bound found out.
#[derive(Debug)]
pub(super) enum Bounded {
    /// No seating keeps the rows at a cost within the cutoff.
    Impossible,
    /// One that does.
    Found(Seating),
    /// Undecided; the seating of the best prices, which breaks some row.
    Undecided(Seating),
}

/// The bound's working memory.
#[derive(Debug, Default)]
pub(super) struct Bound {
    transport: Transport,
    cost: Vec<i64>,
    cheapest: Vec<u32>,
    stay: Vec<i64>,
    row_price: Vec<i64>,
    choice_cost: Vec<i64>,
    /// Bound on the cost at the last call, in whole units of the goal.
    pub(super) lower: i64,
    /// How often each choice was taken in the steps of the last call, the later ones
    /// weighing more: near a fractional optimum of the program without integrality.
    share: Vec<f64>,

}

impl Bound {
    /// Runs at most `steps` steps from `prices`, which it improves, and deletes from
    /// `open` what no seating within the cutoff uses. `accept` looks at seatings that
    /// keep all rows and the cutoff; `mend` tries to make one of those from another.
    pub(super) fn run(
        &mut self,
        question: &Question<'_>,
        open: &mut Open,
        prices: &mut Prices,
        steps: u64,
        spent: &mut u64,
        mut mend: impl FnMut(&Seating, &Open) -> Option<Seating>,
    ) -> Bounded {
        let Question {
            model,
            rows,
            cutoff,
            ..
        } = *question;
        let mut price = prices.start(model, rows);
        let scale: Vec<f64> = rows.caps.iter().map(|&cap| (cap.max(1)) as f64).collect();
        let goal_scale = goal_scale(question.goal, cutoff);
        let target = cutoff.saturating_mul(goal_scale);
        let mut best: Option<(i64, Vec<f64>, Seating)> = None;
        let mut step = 1.0;
        self.lower = 0;
        self.share.clear();
        self.share.resize(model.choices.len(), 0.0);
        let mut weight = 1.0;
        let mut since_better = 0;
        for round in 0..steps {
            *spent += 1;
            self.round_prices(rows, &price, &scale);
            self.price_choices(question, open, goal_scale);
            let seats = &model.seats;
            let Some(value) = self.transport.solve(&self.cost, &self.stay, seats) else {
                self.lower = i64::MAX;
                return Bounded::Impossible;
            };
            let full: i64 = self
                .row_price
                .iter()
                .zip(&rows.caps)
                .map(|(&p, &cap)| if p == 0 { 0 } else { p * cap })
                .sum();
            let bound = value - full;
            self.lower = self
                .lower
                .max(bound.div_euclid(goal_scale) + i64::from(bound.rem_euclid(goal_scale) != 0));
            if bound > target {
                prices.keep(model, rows, &price);
                return Bounded::Impossible;
            }
            let deleted = self.delete(question, open, bound, target);
            if open.is_stuck() {
                return Bounded::Impossible;
            }
            let seating = self.seating(model);
            for &choice in seating.iter().flatten() {
                self.share[choice as usize] += weight;
            }
            weight *= SHARE_GROWTH;
            let used = rows.used(model, question.limits, &seating);
            let keeps = used.iter().zip(&rows.caps).all(|(used, cap)| used <= cap);
            if keeps && model.tables_hold(&seating) && question.goal.of(model, &seating) <= cutoff {
                prices.keep(model, rows, &price);
                return Bounded::Found(seating);
            }
            if (round % 4 == 0 || round + 1 == steps)
                && let Some(mended) = mend(&seating, open)
            {
                prices.keep(model, rows, &price);
                return Bounded::Found(mended);
            }
            if best.as_ref().is_none_or(|(b, ..)| bound > *b) {
                best = Some((bound, price.clone(), seating));
                since_better = 0;
            } else {
                since_better += 1;
                if since_better >= 4 {
                    step *= 0.6;
                    since_better = 0;
                }
            }
            // The subgradient: by how much each row is over or under, as a share.
            let over: Vec<f64> = used
                .iter()
                .zip(&rows.caps)
                .zip(&scale)
                .zip(&price)
                .map(|(((&used, &cap), scale), &price)| {
                    let share = if cap == i64::MAX {
                        -1.0
                    } else {
                        (used - cap) as f64 / scale
                    };
                    if price <= 0.0 && share < 0.0 {
                        0.0
                    } else {
                        share
                    }
                })
                .collect();
            let length = over.iter().map(|share| share * share).sum::<f64>();
            if length <= 1e-18 {
                if !deleted {
                    break;
                }
                continue;
            }
            let reach = if question.goal == Goal::Any {
                // Only the direction of the prices matters: steps are a share of them.
                let size = price.iter().map(|p| p * p).sum::<f64>().sqrt().max(1.0);
                0.5 * size / length.sqrt()
            } else {
                ((target + goal_scale - bound) as f64 / FULL_ROW / length).max(1e-6)
            };
            for (price, share) in price.iter_mut().zip(&over) {
                *price = (*price + step * reach * share).clamp(0.0, MAX_PRICE);
            }
            step *= STEP_DECAY;
        }
        match best {
            Some((_, price, seating)) => {
                prices.keep(model, rows, &price);
                Bounded::Undecided(seating)
            }
            None => Bounded::Undecided(vec![None; model.len()]),
        }
    }

    fn round_prices(&mut self, rows: &Rows, price: &[f64], scale: &[f64]) {
        self.row_price.clear();
        self.row_price
            .extend(
                price
                    .iter()
                    .zip(scale)
                    .zip(&rows.caps)
                    .map(|((price, scale), &cap)| {
                        if cap == i64::MAX {
                            0
                        } else {
                            (price * FULL_ROW / scale) as i64
                        }
                    }),
            );
    }

    /// The cost of every open choice at the prices, and the cheapest by port group.
    fn price_choices(&mut self, question: &Question<'_>, open: &Open, goal_scale: i64) {
        let Question {
            model,
            goal,
            limits,
            rows,
            ..
        } = *question;
        let groups = model.seats.len();
        self.cost.clear();
        self.cost.resize(model.len() * groups, FORBIDDEN);
        self.cheapest.clear();
        self.cheapest.resize(model.len() * groups, u32::MAX);
        self.choice_cost.resize(model.choices.len(), 0);
        self.stay.clear();
        let later = &self.row_price[rows.later()];
        let late = self.row_price[rows.late()];
        for device in 0..model.len() {
            for &index in &open.choices[device] {
                let choice = model.choice(index);
                let mut cost = goal.of_choice(model, index) * goal_scale;
                for &(row, takes) in model.takes(index) {
                    cost += self.row_price[row as usize] * takes;
                }
                for (price, (time, _)) in later.iter().zip(&limits.later) {
                    if choice.time > *time {
                        cost += price;
                    }
                }
                if choice.late {
                    cost += late;
                }
                self.choice_cost[index as usize] = cost;
                let cell = device * groups + choice.port;
                if cost < self.cost[cell] {
                    self.cost[cell] = cost;
                    self.cheapest[cell] = index;
                }
            }
            // Where staying is ruled out its price is not worked out: it may be beyond
            // any number.
            self.stay.push(if open.may_stay[device] {
                goal.of_none(model, device) * goal_scale
                    + self.row_price[rows.unserved(model.rank[device])]
                    + self.row_price[rows.missing()] * model.missing[device]
            } else {
                FORBIDDEN
            });
        }
    }

    /// Deletes every choice that alone would lift the bound above the target. Exact:
    /// the bound with that choice taken is at least the bound plus its reduced cost.
    fn delete(&self, question: &Question<'_>, open: &mut Open, bound: i64, target: i64) -> bool {
        let model = question.model;
        let mut deleted = false;
        let (u, v) = (&self.transport.u, &self.transport.v);
        let slack = target - bound;
        open.retain(|device, index| {
            let choice = model.choice(index);
            let reduced = self.choice_cost[index as usize] - u[device] - v[choice.port];
            let keep = reduced <= slack;
            deleted |= !keep;
            keep
        });
        for device in 0..model.len() {
            if open.may_stay[device] && self.stay[device] - u[device] > slack {
                open.may_stay[device] = false;
                deleted = true;
            }
        }
        deleted
    }

    /// How often a choice was taken, in no particular unit.
    pub(super) fn share(&self, choice: u32) -> f64 {
        self.share[choice as usize]
    }

    fn seating(&self, model: &Model) -> Seating {
        let groups = model.seats.len();
        self.transport
            .group
            .iter()
            .enumerate()
            .map(|(device, group)| group.map(|g| self.cheapest[device * groups + g]))
            .collect()
    }
}

/// Whole units of the bound per unit of the goal, so that the cutoff weighs about as
/// much as a full row.
fn goal_scale(goal: Goal, cutoff: i64) -> i64 {
    match goal {
        Goal::Any => 1,
        _ => ((FULL_ROW as i64) / cutoff.max(1)).max(1),
    }
}
