//! The exact bound: Lagrangian relaxation of every row over the transportation problem
//! of devices and ports, in whole numbers.
//!
//! With a price for every row, the cheapest seating without rows, less what the rows
//! would cost when full, is a bound on every seating that keeps them. Prices come from
//! subgradient steps in floating point and are rounded to whole numbers first, so the
//! bound itself is exact: a plan is never ruled out by rounding.

use super::model::{Model, small};
use super::program::{Lane, Live, Program, Way};
use super::transport::{FORBIDDEN, Transport};
use crate::solve::budget::{Budget, steps_for};
use crate::units::as_float;

/// What one full row costs at price 1: large enough that rounded prices are fine
/// grained, small enough that sums over all devices stay within 64 bits.
const FULL_ROW: i64 = 1 << 38;

/// The highest price of a row, in units of [`FULL_ROW`].
const MAX_PRICE: f64 = 256.0;

/// The most that all prices are in sum, in the same units. A way that takes no more from
/// a row than its cap then costs at most 2^50, and 256 of them stay below what the
/// transportation problem takes for out of reach.
const MOST_PRICES: f64 = 4096.0;

/// By how much each step weighs more than the one before it in a choice's share.
const SHARE_GROWTH: f64 = 1.2;

/// By how much a step shrinks from one to the next.
const STEP_DECAY: f64 = 0.96;

/// After so many steps without a better bound, steps are cut to this share.
const STEPS_WITHOUT_GAIN: u32 = 4;
const STEP_CUT: f64 = 0.6;

/// A squared subgradient below this is none.
const NOTHING_TO_CLIMB: f64 = 1e-18;

/// The least step towards a cutoff that is all but reached.
const LEAST_REACH: f64 = 1e-6;

/// What pricing a way costs, in steps of the innermost loops.
const WORK_PER_WAY: usize = 8;

/// How far above 0 the excess is aimed where there is no goal, in full rows.
const AIM: f64 = 0.05;

/// The share of the newest subgradient in the direction of a step: the rest is that of
/// the steps before, which keeps prices from swinging to and fro.
const FRESH: f64 = 0.3;

/// Mending is tried at every so many steps.
const ROUNDS_PER_MEND: u64 = 4;

/// Prices of the rows, kept from one question to the next as a start.
#[derive(Debug, Clone, Default)]
pub(crate) struct Prices {
    fixed: Vec<f64>,
    later: Vec<f64>,
    late: f64,
    after_first: f64,
    unserved: [f64; 3],
    missing: f64,
}

impl Prices {
    fn start(&self, program: &Program<'_>) -> Vec<f64> {
        let kept = |lane: &Lane| match *lane {
            Lane::Fixed(row) => self.fixed.get(row).copied().unwrap_or(1.0),
            Lane::Later(time) => self.later.get(time).copied().unwrap_or(0.0),
            Lane::Late => self.late,
            Lane::AfterFirst => self.after_first,
            Lane::Unserved(rank) => self.unserved[rank],
            Lane::Missing => self.missing,
            Lane::Goal => 0.0,
        };
        program.lanes.iter().map(kept).collect()
    }

    fn keep(&mut self, program: &Program<'_>, prices: &[f64]) {
        self.fixed.resize(program.model.rows.len(), 1.0);
        for (lane, &price) in program.lanes.iter().zip(prices) {
            match *lane {
                Lane::Fixed(row) => self.fixed[row] = price,
                Lane::Later(time) => {
                    if self.later.len() <= time {
                        self.later.resize(time + 1, 0.0);
                    }
                    self.later[time] = price;
                }
                Lane::Late => self.late = price,
                Lane::AfterFirst => self.after_first = price,
                Lane::Unserved(rank) => self.unserved[rank] = price,
                Lane::Missing => self.missing = price,
                Lane::Goal => {}
            }
        }
    }
}

/// A question at one node of the search.
pub(crate) struct Question<'a> {
    pub(crate) program: &'a Program<'a>,
    /// By row; those of tables fall with the lines that are left.
    pub(crate) caps: &'a [i64],
}

/// How far the prices are to be improved.
pub(crate) struct Effort {
    /// At most so many steps.
    pub(crate) steps: u64,
    /// The first step, as a share of the longest that makes sense.
    pub(crate) first_step: f64,
    /// Whether a seating is wanted: else one that is met on the way ends nothing.
    pub(crate) seats: bool,
}

/// What the bound found out.
#[derive(Debug)]
pub(crate) enum Bounded {
    /// No seating keeps the rows.
    Impossible,
    /// By device, the way of a seating that does.
    Found(Vec<u32>),
    Undecided,
}

/// The bound's working memory.
#[derive(Debug, Default)]
pub(crate) struct Bound {
    transport: Transport,
    /// By device and port group, the least price of an open way, and which it is.
    cost: Vec<i64>,
    cheapest: Vec<u32>,
    /// By device, the price of staying, and the way.
    stay: Vec<i64>,
    stays: Vec<u32>,
    row_price: Vec<i64>,
    way_price: Vec<i64>,
    taken: Vec<u32>,
    used: Vec<i64>,
    /// How often each way was taken in the steps of the last call, the later ones
    /// weighing more: near a fractional optimum of the program without integrality.
    share: Vec<f64>,
}

impl Bound {
    /// Runs from `prices`, which it improves, and deletes from `live` what no seating that
    /// keeps the rows uses. `mend` tries to make a seating that keeps everything from one
    /// that does not. Ends early where the budget does.
    pub(crate) fn run(
        &mut self,
        question: &Question<'_>,
        live: &mut Live,
        prices: &mut Prices,
        effort: &Effort,
        budget: &mut Budget,
        mut mend: impl FnMut(&[u32], &Live, &mut Budget) -> Option<Vec<u32>>,
    ) -> Bounded {
        let Question { program, caps } = *question;
        let model = program.model;
        let mut ascent = Ascent::start(program, caps, prices, effort.first_step);
        self.share.clear();
        self.share.resize(program.number_of_ways(), 0.0);
        let mut weight = 1.0;
        for round in 0..effort.steps {
            budget.spend(step_cost(model, live));
            if round > 0 && budget.is_spent() {
                break;
            }
            self.row_price.clear();
            self.row_price.extend(ascent.whole_prices());
            self.price_ways(program, live);
            let Some(value) = self.transport.solve(&self.cost, &self.stay, &model.seats) else {
                return Bounded::Impossible;
            };
            // By how much the rows are surely broken, at these prices.
            let excess = value - self.price_of_full_rows(caps);
            if excess > 0 {
                prices.keep(program, &ascent.price);
                return Bounded::Impossible;
            }
            let deleted = self.delete(program, live, -excess);
            if live.is_stuck() {
                return Bounded::Impossible;
            }
            self.read_taken(model);
            for &way in &self.taken {
                self.share[way as usize] += weight;
            }
            weight *= SHARE_GROWTH;
            program.sum_used(&self.taken, &mut self.used);
            let keeps = self.used.iter().zip(caps).all(|(used, cap)| used <= cap)
                && model.tables_hold(&program.seating(&self.taken));
            let tried = round % ROUNDS_PER_MEND == 0 || round + 1 == effort.steps;
            let found = if !effort.seats {
                None
            } else if keeps {
                Some(self.taken.clone())
            } else if tried {
                mend(&self.taken, live, budget)
            } else {
                None
            };
            if let Some(found) = found {
                prices.keep(program, &ascent.price);
                return Bounded::Found(found);
            }
            ascent.note(excess);
            if !ascent.climb(caps, &self.used, excess) && !deleted {
                break;
            }
        }
        prices.keep(program, &ascent.best_price);
        Bounded::Undecided
    }

    /// What the rows cost when they are full: the bound gives that much back.
    fn price_of_full_rows(&self, caps: &[i64]) -> i64 {
        self.row_price
            .iter()
            .zip(caps)
            .map(|(price, cap)| price * cap)
            .sum()
    }

    /// The price of every open way, and the cheapest by port group.
    fn price_ways(&mut self, program: &Program<'_>, live: &Live) {
        let groups = program.model.seats.len();
        let cells = live.devices() * groups;
        self.cost.clear();
        self.cost.resize(cells, FORBIDDEN);
        self.cheapest.resize(cells, u32::MAX);
        self.way_price.resize(program.number_of_ways(), 0);
        self.stay.clear();
        self.stay.resize(live.devices(), FORBIDDEN);
        self.stays.resize(live.devices(), u32::MAX);
        for (device, ways) in live.each() {
            let costs = &mut self.cost[device * groups..(device + 1) * groups];
            let cheapest = &mut self.cheapest[device * groups..(device + 1) * groups];
            for &way in ways {
                let price = program
                    .takes(way)
                    .iter()
                    .map(|&(row, takes)| self.row_price[row as usize] * takes)
                    .sum();
                self.way_price[way as usize] = price;
                let Way { choice, port, .. } = *program.way(way);
                if choice.is_none() {
                    self.stay[device] = price;
                    self.stays[device] = way;
                } else if price < costs[port] {
                    costs[port] = price;
                    cheapest[port] = way;
                }
            }
        }
    }

    /// Deletes every way that alone would lift the bound by more than `slack`. Exact:
    /// the bound with that way taken is at least the bound plus its reduced cost.
    fn delete(&self, program: &Program<'_>, live: &mut Live, slack: i64) -> bool {
        let (u, v) = (&self.transport.u, &self.transport.v);
        live.retain(|device, way| {
            let Way { choice, port, .. } = *program.way(way);
            let seat = if choice.is_some() { v[port] } else { 0 };
            self.way_price[way as usize] - u[device] - seat <= slack
        })
    }

    /// How often a way was taken, in no particular unit.
    pub(crate) fn share(&self, way: u32) -> f64 {
        self.share[way as usize]
    }

    /// Whether the last seating that the bound came to breaks a table.
    pub(crate) fn breaks(&self, program: &Program<'_>, table: usize) -> bool {
        let seating = program.seating(&self.taken);
        !program.model.table_holds(table, &seating)
    }

    /// The way that each device takes in the cheapest seating.
    fn read_taken(&mut self, model: &Model) {
        let groups = model.seats.len();
        self.taken.clear();
        for (device, group) in self.transport.group.iter().enumerate() {
            self.taken.push(match group {
                Some(group) => self.cheapest[device * groups + group],
                None => self.stays[device],
            });
        }
    }
}

/// What a step costs of the budget: one, and more for large setups, in proportion to the
/// work: about the square of the devices times the port groups, and the ways priced.
fn step_cost(model: &Model, live: &Live) -> u64 {
    let work = model.len() * model.len() * model.seats.len() + WORK_PER_WAY * live.len();
    steps_for(work)
}

/// Subgradient ascent over the rows' prices.
struct Ascent {
    price: Vec<f64>,
    best_price: Vec<f64>,
    best: Option<i64>,
    /// What each row's price is measured by: its cap.
    scale: Vec<f64>,
    goal_row: Option<usize>,
    /// The price of the goal's row, so that the cutoff weighs about as much as a full
    /// row. Without a goal only the direction of the prices matters.
    goal_price: i64,
    step: f64,
    since_better: u32,
    /// The direction of the last step.
    heading: Vec<f64>,
    /// The length that prices without a goal are kept at.
    length: f64,
}

impl Ascent {
    fn start(program: &Program<'_>, caps: &[i64], prices: &Prices, first_step: f64) -> Self {
        let mut price = prices.start(program);
        hold_sum(&mut price);
        let goal_row = program.goal_row;
        Self {
            best_price: price.clone(),
            price,
            best: None,
            scale: caps.iter().map(|&cap| as_float(cap.max(1))).collect(),
            goal_row,
            goal_price: goal_row.map_or(1, |row| (FULL_ROW / caps[row].max(1)).max(1)),
            step: first_step,
            since_better: 0,
            heading: Vec::new(),
            length: as_float(small(caps.len())).sqrt(),
        }
    }

    /// The prices in whole units of the bound.
    fn whole_prices(&self) -> impl Iterator<Item = i64> {
        let of_rows = self.price.iter().zip(&self.scale).enumerate();
        of_rows.map(|(row, (price, scale))| {
            if Some(row) == self.goal_row {
                self.goal_price
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
    fn climb(&mut self, caps: &[i64], used: &[i64], excess: i64) -> bool {
        let fresh = if self.heading.is_empty() { 1.0 } else { FRESH };
        self.heading.resize(caps.len(), 0.0);
        for row in 0..caps.len() {
            let over = self.over(row, caps, used);
            let heading = fresh * over + (1.0 - fresh) * self.heading[row];
            let stuck = self.price[row] <= 0.0 && heading < 0.0;
            self.heading[row] = if stuck { 0.0 } else { heading };
        }
        let length = square(&self.heading);
        if length <= NOTHING_TO_CLIMB {
            return false;
        }
        let reach = if self.goal_row.is_none() {
            let most = square(&self.price).sqrt().max(1.0) / length.sqrt() / 2.0;
            let missing = AIM - as_float(excess) / as_float(FULL_ROW);
            (missing / length).min(most)
        } else {
            let missing = as_float(self.goal_price - excess) / as_float(FULL_ROW);
            (missing / length).max(LEAST_REACH)
        };
        for (price, heading) in self.price.iter_mut().zip(&self.heading) {
            *price = (*price + self.step * reach * heading).clamp(0.0, MAX_PRICE);
        }
        if self.goal_row.is_none() {
            // Only the direction counts: kept at one length, it meets no bound.
            let even = self.length / square(&self.price).sqrt().max(NOTHING_TO_CLIMB);
            for price in &mut self.price {
                *price *= even;
            }
        }
        hold_sum(&mut self.price);
        self.step *= STEP_DECAY;
        true
    }

    /// By how much a row is over its cap, as a share of it; a row under its cap whose
    /// price cannot fall is as if full.
    fn over(&self, row: usize, caps: &[i64], used: &[i64]) -> f64 {
        if Some(row) == self.goal_row {
            return 0.0;
        }
        let share = as_float(used[row] - caps[row]) / self.scale[row];
        if self.price[row] <= 0.0 && share < 0.0 {
            0.0
        } else {
            share
        }
    }
}

/// Lowers all prices alike where their sum is too high.
fn hold_sum(prices: &mut [f64]) {
    let sum: f64 = prices.iter().sum();
    if sum > MOST_PRICES {
        for price in prices {
            *price *= MOST_PRICES / sum;
        }
    }
}

fn square(vector: &[f64]) -> f64 {
    vector.iter().map(|part| part * part).sum()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "prices are clamped far inside 64 bits"
)]
fn whole(price: f64) -> i64 {
    price as i64
}
