//! The exact bound: Lagrangian relaxation of every row over the transportation problem
//! of devices and ports, in whole numbers.
//!
//! With a multiplier for every row, the cheapest assignment without rows, less what the rows
//! would cost when full, is a bound on every assignment that keeps them. Multipliers come from
//! subgradient steps in floating point and are rounded to whole numbers first, so the
//! bound itself is exact: a plan is never ruled out by rounding.

mod exact;
mod forced;

use super::model::{Model, small};
use super::transport::{FORBIDDEN, Transport};
use crate::solve::budget::{Budget, steps_for};
use crate::solve::subproblem::{NodeDomains, RowKind, Subproblem, Way};
use crate::units::as_float;

/// What one full row costs at multiplier 1: large enough that rounded multipliers are fine
/// grained, small enough that sums over all devices stay within 64 bits.
const FULL_ROW: i64 = 1 << 38;

/// The highest multiplier of a row, in units of [`FULL_ROW`].
const MAX_PRICE: f64 = 256.0;

/// The most that all multipliers are in sum, in the same units. A way that takes no more from
/// a row than its cap then costs at most 2^50, and 256 of them stay below what the
/// transportation problem takes for out of reach.
const MOST_PRICES: f64 = 4096.0;

/// By how much each step weighs more than the one before it in a column's share.
const SHARE_GROWTH: f64 = 1.2;

/// After so many steps without a better bound, steps are cut to this share.
const STEPS_WITHOUT_GAIN: u32 = 4;
const STEP_CUT: f64 = 0.6;

/// A squared subgradient below this is none.
const NOTHING_TO_CLIMB: f64 = 1e-18;

/// The least step towards a cutoff that is all but reached.
const LEAST_REACH: f64 = 1e-6;

/// What pricing a way costs, in steps of the innermost loops.
const WORK_PER_WAY: usize = 8;

/// What it costs to see whether a line governs, and what it leaves to whom.
const WORK_PER_LINE: usize = 128;

/// How far above 0 the excess is aimed where there is no goal, in full rows.
const AIM: f64 = 0.05;

/// The share of the newest subgradient in the direction of a step: the rest is that of
/// the steps before, which keeps multipliers from swinging to and fro.
const FRESH: f64 = 0.3;

/// Forced prices are looked at in every so many steps.
const ROUNDS_PER_FORCED: u64 = 8;

/// Mending is tried at every so many steps.
const ROUNDS_PER_MEND: u64 = 4;

/// Multipliers of the rows, kept from one question to the next as a start.
#[derive(Debug, Clone, Default)]
pub(crate) struct Multipliers {
    fixed: Vec<f64>,
    /// By class.
    later: [Vec<f64>; 2],
    late: [f64; 3],
    after_first: f64,
    moves: f64,
    hours: f64,
    watts: f64,
    unserved: [f64; 3],
    missing: f64,
}

impl Multipliers {
    fn start(&self, subproblem: &Subproblem<'_>) -> Vec<f64> {
        let kept = |lane: &RowKind| match *lane {
            RowKind::Fixed(row) => self.fixed.get(row).copied().unwrap_or(1.0),
            RowKind::Later(class, time) => self.later[class].get(time).copied().unwrap_or(0.0),
            RowKind::Late(rank) => self.late[rank],
            RowKind::Hours => self.hours,
            RowKind::Watts => self.watts,
            RowKind::AfterFirst => self.after_first,
            RowKind::Moves => self.moves,
            RowKind::Unserved(rank) => self.unserved[rank],
            RowKind::Missing => self.missing,
            RowKind::Goal => 0.0,
        };
        subproblem.lanes.iter().map(kept).collect()
    }

    fn keep(&mut self, subproblem: &Subproblem<'_>, multipliers: &[f64]) {
        self.fixed.resize(subproblem.model.rows.len(), 1.0);
        for (lane, &multiplier) in subproblem.lanes.iter().zip(multipliers) {
            match *lane {
                RowKind::Fixed(row) => self.fixed[row] = multiplier,
                RowKind::Later(class, time) => {
                    let later = &mut self.later[class];
                    if later.len() <= time {
                        later.resize(time + 1, 0.0);
                    }
                    later[time] = multiplier;
                }
                RowKind::Late(rank) => self.late[rank] = multiplier,
                RowKind::Hours => self.hours = multiplier,
                RowKind::Watts => self.watts = multiplier,
                RowKind::AfterFirst => self.after_first = multiplier,
                RowKind::Moves => self.moves = multiplier,
                RowKind::Unserved(rank) => self.unserved[rank] = multiplier,
                RowKind::Missing => self.missing = multiplier,
                RowKind::Goal => {}
            }
        }
    }
}

/// A question at one node of the search.
pub(crate) struct Question<'a> {
    pub(crate) subproblem: &'a Subproblem<'a>,
    /// By row; those of tables fall with the lines that are left.
    pub(crate) caps: &'a [i64],
}

/// How far the multipliers are to be improved.
pub(crate) struct Effort {
    /// At most so many steps.
    pub(crate) steps: u64,
    /// The first step, as a share of the longest that makes sense.
    pub(crate) first_step: f64,
    /// Whether an assignment is wanted: else one that is met on the way ends nothing.
    pub(crate) seats: bool,
    /// By how much a step shrinks from one to the next.
    pub(crate) decay: f64,
    /// Whether forced prices are looked at, too, now and then.
    pub(crate) forced: bool,
}

impl Effort {
    /// What all efforts have in common, where nothing else is said.
    pub(crate) const USUAL: Self = Self {
        steps: 40,
        first_step: 1.0,
        seats: true,
        decay: 0.96,
        forced: false,
    };
}

/// What the bound found out.
#[derive(Debug)]
pub(crate) enum Bounded {
    /// No assignment keeps the rows.
    Impossible,
    /// By device, the way of an assignment that does.
    Found(Vec<u32>),
    Undecided,
}

/// The bound's working memory.
#[derive(Debug, Default)]
pub(crate) struct Bound {
    transport: Transport,
    /// By device and port group, the least multiplier of an open way, and which it is.
    cost: Vec<i64>,
    cheapest: Vec<u32>,
    /// By device, the multiplier of staying, and the way.
    stay: Vec<i64>,
    stays: Vec<u32>,
    row_price: Vec<i64>,
    way_price: Vec<i64>,
    taken: Vec<u32>,
    used: Vec<i64>,
    /// How often each way was taken in the steps of the last call, the later ones
    /// weighing more: near a fractional optimum of the program without integrality.
    share: Vec<f64>,
    /// Where a record is kept: what ruled out a node or deleted something.
    recorded: Option<Vec<Prices>>,
}

/// Whole multipliers of rows and prices of groups: anybody can work out a bound from them.
#[derive(Debug, Clone)]
pub(crate) struct Prices {
    pub(crate) rows: Vec<i64>,
    /// At most 0.
    pub(crate) groups: Vec<i64>,
}

impl Bound {
    /// One that keeps a record of what it rules out by which prices.
    pub(crate) fn recording() -> Self {
        Self {
            recorded: Some(Vec::new()),
            ..Self::default()
        }
    }

    /// The record since this was last asked.
    pub(crate) fn take_recorded(&mut self) -> Vec<Prices> {
        self.recorded
            .as_mut()
            .map(std::mem::take)
            .unwrap_or_default()
    }

    /// Runs from `multipliers`, which it improves, and deletes from `live` what no assignment that
    /// keeps the rows uses. `repair` tries to make an assignment that keeps everything from one
    /// that does not. Ends early where the budget does.
    pub(crate) fn run(
        &mut self,
        question: &Question<'_>,
        live: &mut NodeDomains,
        multipliers: &mut Multipliers,
        effort: &Effort,
        budget: &mut Budget,
        mut repair: impl FnMut(&[u32], &NodeDomains, &mut Budget) -> Option<Vec<u32>>,
    ) -> Bounded {
        let Question { subproblem, caps } = *question;
        let model = subproblem.model;
        let mut ascent = Ascent::start(subproblem, caps, multipliers, effort);
        self.share.clear();
        self.share.resize(subproblem.number_of_ways(), 0.0);
        let mut weight = 1.0;
        for round in 0..effort.steps {
            budget.spend(step_cost(model, live));
            if round > 0 && budget.is_spent() {
                break;
            }
            // By how much the rows are surely broken, at these multipliers.
            let Some(excess) = self.excess(question, live, ascent.whole_prices()) else {
                self.record();
                return Bounded::Impossible;
            };
            if excess > 0 {
                self.record();
                multipliers.keep(subproblem, &ascent.multiplier);
                return Bounded::Impossible;
            }
            let mut deleted = self.delete(subproblem, live, -excess);
            if deleted {
                self.record();
            }
            let last = round + 1 == effort.steps;
            if effort.forced && (round % ROUNDS_PER_FORCED + 1 == ROUNDS_PER_FORCED || last) {
                deleted |= self.delete_forced(subproblem, live, -excess, budget);
            }
            if live.is_stuck() {
                return Bounded::Impossible;
            }
            self.read_taken(model);
            for &way in &self.taken {
                self.share[way as usize] += weight;
            }
            weight *= SHARE_GROWTH;
            subproblem.sum_used(&self.taken, &mut self.used);
            let keeps = self.keeps(question);
            let tried = round % ROUNDS_PER_MEND == 0 || last;
            let found = if !effort.seats {
                None
            } else if keeps {
                Some(self.taken.clone())
            } else if tried {
                repair(&self.taken, live, budget)
            } else {
                None
            };
            if let Some(found) = found {
                multipliers.keep(subproblem, &ascent.multiplier);
                return Bounded::Found(found);
            }
            ascent.note(excess);
            if !ascent.climb(caps, &self.used, excess) && !deleted {
                break;
            }
        }
        multipliers.keep(subproblem, &ascent.best_price);
        Bounded::Undecided
    }

    /// Whether the assignment at hand keeps every row, table and promise.
    fn keeps(&self, question: &Question<'_>) -> bool {
        let Question { subproblem, caps } = *question;
        let model = subproblem.model;
        self.used.iter().zip(caps).all(|(used, cap)| used <= cap) && {
            let assignment = subproblem.assignment(&self.taken);
            model.tables_hold(&assignment) && model.promises_hold(&assignment)
        }
    }

    /// The bound at whole multipliers, with the best prices of groups beside them; `None` where
    /// there are too few seats whatever they cost.
    fn excess(
        &mut self,
        question: &Question<'_>,
        live: &NodeDomains,
        multipliers: impl Iterator<Item = i64>,
    ) -> Option<i64> {
        let Question { subproblem, caps } = *question;
        self.row_price.clear();
        self.row_price.extend(multipliers);
        self.price_ways(subproblem, live);
        let seats = &subproblem.model.seats;
        let value = self.transport.solve(&self.cost, &self.stay, seats);
        if value.is_none() {
            // No row is to blame.
            self.row_price.fill(0);
        }
        Some(value? - self.price_of_full_rows(caps))
    }

    /// Multipliers with the best prices of groups beside them.
    pub(crate) fn priced(
        &mut self,
        question: &Question<'_>,
        live: &NodeDomains,
        multipliers: impl Iterator<Item = i64>,
    ) -> Prices {
        self.excess(question, live, multipliers);
        self.prices()
    }

    /// What the last bound was worked out from; where it was none, the prices that show it.
    fn prices(&self) -> Prices {
        Prices {
            rows: self.row_price.clone(),
            groups: self.transport.v.clone(),
        }
    }

    /// Keeps the prices where a record is kept.
    fn record(&mut self) {
        if self.recorded.is_some() {
            let prices = self.prices();
            self.recorded.get_or_insert_default().push(prices);
        }
    }

    /// What the rows cost when they are full: the bound gives that much back.
    fn price_of_full_rows(&self, caps: &[i64]) -> i64 {
        self.row_price
            .iter()
            .zip(caps)
            .map(|(multiplier, cap)| multiplier * cap)
            .sum()
    }

    /// The multiplier of every open way, and the cheapest by port group.
    fn price_ways(&mut self, subproblem: &Subproblem<'_>, live: &NodeDomains) {
        let groups = subproblem.model.seats.len();
        let cells = live.devices() * groups;
        self.cost.clear();
        self.cost.resize(cells, FORBIDDEN);
        self.cheapest.resize(cells, u32::MAX);
        self.way_price.resize(subproblem.number_of_ways(), 0);
        self.stay.clear();
        self.stay.resize(live.devices(), FORBIDDEN);
        self.stays.resize(live.devices(), u32::MAX);
        for (device, ways) in live.each() {
            let costs = &mut self.cost[device * groups..(device + 1) * groups];
            let cheapest = &mut self.cheapest[device * groups..(device + 1) * groups];
            for &way in ways {
                let multiplier = subproblem
                    .takes(way)
                    .iter()
                    .map(|&(row, takes)| self.row_price[row as usize] * takes)
                    .sum();
                self.way_price[way as usize] = multiplier;
                let Way { column, port, .. } = *subproblem.way(way);
                if column.is_none() {
                    self.stay[device] = multiplier;
                    self.stays[device] = way;
                } else if multiplier < costs[port] {
                    costs[port] = multiplier;
                    cheapest[port] = way;
                }
            }
        }
    }

    /// Deletes every way that alone would lift the bound by more than `slack`. Exact:
    /// the bound with that way taken is at least the bound plus its reduced cost.
    fn delete(&self, subproblem: &Subproblem<'_>, live: &mut NodeDomains, slack: i64) -> bool {
        let (u, v) = (&self.transport.u, &self.transport.v);
        live.retain(|device, way| {
            let Way { column, port, .. } = *subproblem.way(way);
            let seat = if column.is_some() { v[port] } else { 0 };
            self.way_price[way as usize] - u[device] - seat <= slack
        })
    }

    /// How often a way was taken, in no particular unit.
    pub(crate) fn share(&self, way: u32) -> f64 {
        self.share[way as usize]
    }

    /// Where the last assignment that the bound came to breaks what a pool's loads may come to,
    /// as [`Subproblem::broken_load`].
    pub(crate) fn broken_load(
        &self,
        subproblem: &Subproblem<'_>,
        live: &NodeDomains,
        caps: &[i64],
    ) -> Option<(usize, i64)> {
        subproblem.broken_load(&self.taken, live, caps)
    }

    /// Whether the last assignment that the bound came to breaks a table.
    pub(crate) fn breaks(&self, subproblem: &Subproblem<'_>, table: usize) -> bool {
        let assignment = subproblem.assignment(&self.taken);
        !subproblem.model.table_holds(table, &assignment)
    }

    /// The way that each device takes in the cheapest assignment.
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
fn step_cost(model: &Model, live: &NodeDomains) -> u64 {
    let lines: usize = model.tables.iter().map(|table| table.promised.len()).sum();
    let work = model.len() * model.len() * model.seats.len()
        + WORK_PER_WAY * live.len()
        + WORK_PER_LINE * lines;
    steps_for(work)
}

/// Subgradient ascent over the rows' multipliers.
struct Ascent {
    multiplier: Vec<f64>,
    best_price: Vec<f64>,
    best: Option<i64>,
    /// What each row's multiplier is measured by: its cap.
    scale: Vec<f64>,
    goal_row: Option<usize>,
    /// The multiplier of the goal's row, so that the cutoff weighs about as much as a full
    /// row. Without a goal only the direction of the multipliers matters.
    goal_price: i64,
    step: f64,
    decay: f64,
    since_better: u32,
    /// The direction of the last step.
    heading: Vec<f64>,
    /// The length that multipliers without a goal are kept at.
    length: f64,
}

impl Ascent {
    fn start(
        subproblem: &Subproblem<'_>,
        caps: &[i64],
        multipliers: &Multipliers,
        effort: &Effort,
    ) -> Self {
        let mut multiplier = multipliers.start(subproblem);
        hold_sum(&mut multiplier);
        let goal_row = subproblem.goal_row;
        Self {
            best_price: multiplier.clone(),
            multiplier,
            best: None,
            scale: caps.iter().map(|&cap| as_float(cap.max(1))).collect(),
            goal_row,
            goal_price: goal_row.map_or(1, |row| (FULL_ROW / caps[row].max(1)).max(1)),
            step: effort.first_step,
            decay: effort.decay,
            since_better: 0,
            heading: Vec::new(),
            length: as_float(small(caps.len())).sqrt(),
        }
    }

    /// The multipliers in whole units of the bound.
    fn whole_prices(&self) -> impl Iterator<Item = i64> {
        let of_rows = self.multiplier.iter().zip(&self.scale).enumerate();
        of_rows.map(|(row, (multiplier, scale))| {
            if Some(row) == self.goal_row {
                self.goal_price
            } else {
                whole(multiplier * as_float(FULL_ROW) / scale)
            }
        })
    }

    /// Notes the bound at the multipliers of this step.
    fn note(&mut self, bound: i64) {
        if self.best.is_none_or(|best| bound > best) {
            self.best = Some(bound);
            self.best_price.clone_from(&self.multiplier);
            self.since_better = 0;
            return;
        }
        self.since_better += 1;
        if self.since_better >= STEPS_WITHOUT_GAIN {
            self.step *= STEP_CUT;
            self.since_better = 0;
        }
    }

    /// Raises the multiplier of what is over its cap and lowers that of what is under.
    /// Whether there was anything to change.
    fn climb(&mut self, caps: &[i64], used: &[i64], excess: i64) -> bool {
        let fresh = if self.heading.is_empty() { 1.0 } else { FRESH };
        self.heading.resize(caps.len(), 0.0);
        for row in 0..caps.len() {
            let over = self.over(row, caps, used);
            let heading = fresh * over + (1.0 - fresh) * self.heading[row];
            let stuck = self.multiplier[row] <= 0.0 && heading < 0.0;
            self.heading[row] = if stuck { 0.0 } else { heading };
        }
        let length = square(&self.heading);
        if length <= NOTHING_TO_CLIMB {
            return false;
        }
        let reach = if self.goal_row.is_none() {
            let most = square(&self.multiplier).sqrt().max(1.0) / length.sqrt() / 2.0;
            let missing = AIM - as_float(excess) / as_float(FULL_ROW);
            (missing / length).min(most)
        } else {
            let missing = as_float(self.goal_price - excess) / as_float(FULL_ROW);
            (missing / length).max(LEAST_REACH)
        };
        for (multiplier, heading) in self.multiplier.iter_mut().zip(&self.heading) {
            *multiplier = (*multiplier + self.step * reach * heading).clamp(0.0, MAX_PRICE);
        }
        if self.goal_row.is_none() {
            // Only the direction counts: kept at one length, it meets no bound.
            let even = self.length / square(&self.multiplier).sqrt().max(NOTHING_TO_CLIMB);
            for multiplier in &mut self.multiplier {
                *multiplier *= even;
            }
        }
        hold_sum(&mut self.multiplier);
        self.step *= self.decay;
        true
    }

    /// By how much a row is over its cap, as a share of it; a row under its cap whose
    /// multiplier cannot fall is as if full.
    fn over(&self, row: usize, caps: &[i64], used: &[i64]) -> f64 {
        if Some(row) == self.goal_row {
            return 0.0;
        }
        let share = as_float(used[row] - caps[row]) / self.scale[row];
        if self.multiplier[row] <= 0.0 && share < 0.0 {
            0.0
        } else {
            share
        }
    }
}

/// Lowers all multipliers alike where their sum is too high.
fn hold_sum(multipliers: &mut [f64]) {
    let sum: f64 = multipliers.iter().sum();
    if sum > MOST_PRICES {
        for multiplier in multipliers {
            *multiplier *= MOST_PRICES / sum;
        }
    }
}

fn square(vector: &[f64]) -> f64 {
    vector.iter().map(|part| part * part).sum()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "multipliers are clamped far inside 64 bits"
)]
fn whole(multiplier: f64) -> i64 {
    multiplier as i64
}
