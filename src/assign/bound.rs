//! The exact bound: Lagrangian relaxation of every row over the transportation problem
//! of devices and ports, in whole numbers.
//!
//! With a price for every row, the cheapest seating without rows, less what the rows
//! would cost when full, is a bound on every seating that keeps them. Prices come from
//! subgradient steps in floating point and are rounded to whole numbers first, so the
//! bound itself is exact: a plan is never ruled out by rounding.

use super::budget::Budget;
use super::goal::{Goal, Limits, Open, Rows};
use super::model::{Model, Seating};
use super::transport::{FORBIDDEN, Transport};
use crate::units::as_float;

/// What one full row costs at price 1: large enough that rounded prices are fine
/// grained, small enough that sums over all devices stay within 64 bits.
const FULL_ROW: i64 = 1 << 38;

/// The highest price of a row, in units of [`FULL_ROW`].
const MAX_PRICE: f64 = 256.0;

/// By how much each step weighs more than the one before it in a choice's share.
const SHARE_GROWTH: f64 = 1.2;

/// By how much a step shrinks from one to the next.
const STEP_DECAY: f64 = 0.85;

/// After so many steps without a better bound, steps are cut to this share.
const STEPS_WITHOUT_GAIN: u32 = 4;
const STEP_CUT: f64 = 0.6;

/// A squared subgradient below this is none.
const NOTHING_TO_CLIMB: f64 = 1e-18;

/// The least step towards a cutoff that is all but reached.
const LEAST_REACH: f64 = 1e-6;

/// The work that one step of the budget stands for, in steps of the innermost loops.
const WORK_PER_STEP: usize = 8192;
const WORK_PER_CHOICE: usize = 8;

/// Mending is tried at every so many steps.
const ROUNDS_PER_MEND: u64 = 4;

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
    Undecided,
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
    /// How often each choice was taken in the steps of the last call, the later ones
    /// weighing more: near a fractional optimum of the program without integrality.
    share: Vec<f64>,
}

impl Bound {
    /// Runs at most `steps` steps from `prices`, which it improves, and deletes from
    /// `open` what no seating within the cutoff uses. `mend` tries to make a seating that
    /// keeps everything from one that does not. Ends early where the budget does.
    pub(super) fn run(
        &mut self,
        question: &Question<'_>,
        open: &mut Open,
        prices: &mut Prices,
        steps: u64,
        budget: &mut Budget,
        mut mend: impl FnMut(&Seating, &Open, &mut Budget) -> Option<Seating>,
    ) -> Bounded {
        let Question {
            model,
            goal,
            limits,
            rows,
            cutoff,
        } = *question;
        let mut ascent = Ascent::start(question, prices);
        self.share.clear();
        self.share.resize(model.choices.len(), 0.0);
        let mut weight = 1.0;
        for round in 0..steps {
            budget.spend(step_cost(model, open));
            if round > 0 && budget.is_spent() {
                break;
            }
            self.row_price.clear();
            self.row_price.extend(ascent.whole_prices(rows));
            self.price_choices(question, open, ascent.goal_scale);
            let Some(value) = self.transport.solve(&self.cost, &self.stay, &model.seats) else {
                return Bounded::Impossible;
            };
            let bound = value - self.price_of_full_rows(rows);
            if bound > ascent.target {
                prices.keep(model, rows, &ascent.price);
                return Bounded::Impossible;
            }
            let deleted = self.delete(model, open, ascent.target - bound);
            if open.is_stuck() {
                return Bounded::Impossible;
            }
            let seating = self.seating(model);
            for &choice in seating.iter().flatten() {
                self.share[choice as usize] += weight;
            }
            weight *= SHARE_GROWTH;
            let used = rows.used(model, limits, &seating);
            let keeps = used.iter().zip(&rows.caps).all(|(used, cap)| used <= cap)
                && model.tables_hold(&seating)
                && goal.of(model, &seating) <= cutoff;
            let tried = round % ROUNDS_PER_MEND == 0 || round + 1 == steps;
            let found = if keeps {
                Some(seating)
            } else if tried {
                mend(&seating, open, budget)
            } else {
                None
            };
            if let Some(found) = found {
                prices.keep(model, rows, &ascent.price);
                return Bounded::Found(found);
            }
            ascent.note(bound);
            if !ascent.climb(rows, &used, bound) && !deleted {
                break;
            }
        }
        prices.keep(model, rows, &ascent.best_price);
        Bounded::Undecided
    }

    /// What the rows cost when they are full: the bound gives that much back.
    fn price_of_full_rows(&self, rows: &Rows) -> i64 {
        let priced = self
            .row_price
            .iter()
            .zip(&rows.caps)
            .filter(|(price, _)| **price != 0);
        priced.map(|(price, cap)| price * cap).sum()
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
        for (device, choices) in open.choices.iter().enumerate() {
            for &index in choices {
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

    /// Deletes every choice that alone would lift the bound by more than `slack`. Exact:
    /// the bound with that choice taken is at least the bound plus its reduced cost.
    fn delete(&self, model: &Model, open: &mut Open, slack: i64) -> bool {
        let mut deleted = false;
        let (u, v) = (&self.transport.u, &self.transport.v);
        open.retain(|device, index| {
            let choice = model.choice(index);
            let reduced = self.choice_cost[index as usize] - u[device] - v[choice.port];
            let keep = reduced <= slack;
            deleted |= !keep;
            keep
        });
        for ((may_stay, stay), price) in open.may_stay.iter_mut().zip(&self.stay).zip(u) {
            if *may_stay && stay - price > slack {
                *may_stay = false;
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

/// What a step costs of the budget: one, and more for large setups, in proportion to the
/// work: about the square of the devices times the port groups, and the choices priced.
fn step_cost(model: &Model, open: &Open) -> u64 {
    let choices: usize = open.choices.iter().map(Vec::len).sum();
    let work = model.len() * model.len() * model.seats.len() + WORK_PER_CHOICE * choices;
    1 + u64::try_from(work / WORK_PER_STEP).unwrap_or(u64::MAX)
}

/// Subgradient ascent over the rows' prices.
struct Ascent {
    price: Vec<f64>,
    best_price: Vec<f64>,
    best: Option<i64>,
    /// What each row's price is measured by: its cap.
    scale: Vec<f64>,
    /// Whole units of the bound per unit of the goal, so that the cutoff weighs about
    /// as much as a full row.
    goal_scale: i64,
    /// A bound above this rules everything out.
    target: i64,
    /// Without a goal only the direction of the prices matters.
    by_direction: bool,
    step: f64,
    since_better: u32,
}

impl Ascent {
    fn start(question: &Question<'_>, prices: &Prices) -> Self {
        let Question {
            model,
            goal,
            rows,
            cutoff,
            ..
        } = *question;
        let price = prices.start(model, rows);
        let goal_scale = match goal {
            Goal::Any => 1,
            _ => (FULL_ROW / cutoff.max(1)).max(1),
        };
        Self {
            best_price: price.clone(),
            price,
            best: None,
            scale: rows.caps.iter().map(|&cap| as_float(cap.max(1))).collect(),
            goal_scale,
            target: cutoff.saturating_mul(goal_scale),
            by_direction: goal == Goal::Any,
            step: 1.0,
            since_better: 0,
        }
    }

    /// The prices in whole units of the bound.
    fn whole_prices(&self, rows: &Rows) -> impl Iterator<Item = i64> {
        self.price
            .iter()
            .zip(&self.scale)
            .zip(&rows.caps)
            .map(|((price, scale), &cap)| {
                if cap == i64::MAX {
                    0
                } else {
                    whole(price * as_float(FULL_ROW) / scale)
                }
            })
    }

    /// Notes the bound at the prices of this step.
    fn note(&mut self, bound: i64) {
        if self.best.is_none_or(|best| bound > best) {
            self.best = Some(bound);
            self.best_price.clone_from(&self.price);
            self.since_better = 0;
            return;
        }
        self.since_better += 1;
        if self.since_better >= STEPS_WITHOUT_GAIN {
            self.step *= STEP_CUT;
            self.since_better = 0;
        }
    }

    /// Raises the price of what is over its cap and lowers that of what is under.
    /// Whether there was anything to change.
    fn climb(&mut self, rows: &Rows, used: &[i64], bound: i64) -> bool {
        let over: Vec<f64> = used
            .iter()
            .zip(&rows.caps)
            .zip(self.scale.iter().zip(&self.price))
            .map(|((&used, &cap), (scale, &price))| {
                let share = if cap == i64::MAX {
                    -1.0
                } else {
                    as_float(used - cap) / scale
                };
                if price <= 0.0 && share < 0.0 {
                    0.0
                } else {
                    share
                }
            })
            .collect();
        let length: f64 = over.iter().map(|share| share * share).sum();
        if length <= NOTHING_TO_CLIMB {
            return false;
        }
        let reach = if self.by_direction {
            let size = self
                .price
                .iter()
                .map(|price| price * price)
                .sum::<f64>()
                .sqrt()
                .max(1.0);
            size / length.sqrt() / 2.0
        } else {
            let missing = as_float(self.target + self.goal_scale - bound) / as_float(FULL_ROW);
            (missing / length).max(LEAST_REACH)
        };
        for (price, share) in self.price.iter_mut().zip(&over) {
            *price = (*price + self.step * reach * share).clamp(0.0, MAX_PRICE);
        }
        self.step *= STEP_DECAY;
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
