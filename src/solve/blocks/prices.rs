//! Prices of who sits and of what is shared: what every block costs at least at these shows that
//! nothing is possible, or rules out most of what a block can seat. It is the bound over whole
//! chargers, by generating columns; what it rules out is worked out in whole numbers.

use super::block::{Block, TooLarge, Work};
use super::kinds::Kinds;
use super::shared::{Sharing, number};
use crate::solve::backend::{Game, between, sum_to_one};
use crate::units::as_float;

/// At most so many answers of each block.
const ROUNDS: usize = 80;

/// The weights are optimal when no others gain more than this.
const NO_GAIN: f64 = 1e-9;

/// What all prices come to, so that whole ones are fine grained.
const SCALE: f64 = 1.75e13;

/// Columns priced that cost as much as a seating.
const COLUMNS_PER_SEATING: usize = 2;

/// What a round of the linear program costs, in seatings, for each row.
const SEATINGS_PER_ROW: usize = 64;

/// What the rows of the game are: what is shared, then by kind of device who is not seated, and
/// who is once too often.
struct Rows {
    caps: Vec<i64>,
    kinds: Vec<i64>,
}

impl Rows {
    fn of(kinds: &Kinds, sharing: &Sharing) -> Self {
        let kinds = kinds.devices.iter();
        Self {
            caps: sharing.caps(),
            kinds: kinds.map(|kind| number(kind.devices.len())).collect(),
        }
    }

    /// What there is of all.
    fn there(&self) -> Vec<i64> {
        self.caps.iter().chain(&self.kinds).copied().collect()
    }

    fn len(&self) -> usize {
        self.caps.len() + 2 * self.kinds.len()
    }

    /// By what is shared and by kind of device, its whole price.
    fn prices(&self, weights: &[f64]) -> Vec<i64> {
        let shared = self.caps.iter().zip(weights);
        let shared = shared.map(|(&cap, weight)| whole(weight * SCALE / as_float(cap.max(1))));
        let missing = &weights[self.caps.len()..];
        let kinds = self.kinds.iter().enumerate().map(|(kind, &number)| {
            let weight = missing[kind + self.kinds.len()] - missing[kind];
            whole(weight * SCALE / as_float(number.max(1)))
        });
        shared.chain(kinds).collect()
    }

    /// What an answer gains, by row: of a block what it has, or of all what there is.
    fn gains(&self, has: &[i64], sign: f64) -> Vec<f64> {
        let share = |(&has, &most): (&i64, &i64)| sign * as_float(has) / as_float(most.max(1));
        let shared = has.iter().zip(&self.caps).map(share);
        let kinds = || has[self.caps.len()..].iter().zip(&self.kinds).map(share);
        shared
            .chain(kinds().map(|gain| -gain))
            .chain(kinds())
            .collect()
    }
}

/// What prices say.
pub(super) enum Priced {
    /// That nothing is possible; the whole prices that show it, of what is shared and of each kind
    /// of device.
    Impossible(Vec<i64>),
    /// By block the columns that can be part of an assignment of all.
    Left(Vec<Vec<u32>>),
}

/// Looks for prices at which nothing is possible.
pub(super) fn narrow(
    kinds: &Kinds,
    blocks: &[Block],
    sharing: &Sharing,
    work: &mut Work,
) -> Result<Priced, TooLarge> {
    let rows = Rows::of(kinds, sharing);
    let there = rows.there();
    let mut has: Vec<Columns> = blocks
        .iter()
        .map(|block| Columns::of(block, &rows, sharing))
        .collect();
    if has.iter().any(|block| block.at.is_empty()) {
        return Ok(Priced::Impossible(vec![0; there.len()]));
    }
    let columns: usize = has.iter().map(|block| block.at.len()).sum();
    let mut game = Game::of(rows.len(), blocks.len() + 1);
    let mut weights = vec![1.0; rows.len()];
    sum_to_one(&mut weights);
    let mut best: Option<(i64, Vec<f64>)> = None;
    if game
        .answer(blocks.len(), &rows.gains(&there, -1.0))
        .is_none()
    {
        return Ok(Priced::Left(left(has)));
    }
    for round in 0..ROUNDS {
        work.one(columns / COLUMNS_PER_SEATING + SEATINGS_PER_ROW * rows.len())?;
        let prices = rows.prices(&weights);
        let cheapest: Vec<(i64, usize)> = has.iter().map(|block| block.cheapest(&prices)).collect();
        let bound = cheapest.iter().map(|(cost, _)| cost).sum::<i64>() - cost(&there, &prices);
        if bound > 0 {
            return Ok(Priced::Impossible(prices));
        }
        if best.as_ref().is_none_or(|(least, _)| bound > *least) {
            best = Some((bound, weights.clone()));
        }
        let answers = cheapest
            .iter()
            .enumerate()
            .map(|(block, &(_, at))| (block, has[block].column(at)));
        let answered = answers.map(|(block, has)| game.answer(block, &rows.gains(has, 1.0)));
        if answered.collect::<Option<Vec<()>>>().is_none() {
            break;
        }
        let (Some(next), Some((bound, so_far))) = (game.weights(), &best) else {
            break;
        };
        if next.value - as_float(*bound) / SCALE < NO_GAIN {
            break;
        }
        weights = between(so_far, &next.weights, round);
    }
    if let Some((_, weights)) = best {
        keep(&mut has, &there, &rows.prices(&weights));
    }
    Ok(Priced::Left(left(has)))
}

/// As [`narrow`] at certain prices, such as those that showed that nothing is possible at a lower
/// cost.
pub(super) fn narrow_at(
    prices: &[i64],
    kinds: &Kinds,
    blocks: &[Block],
    sharing: &Sharing,
) -> Vec<Vec<u32>> {
    let rows = Rows::of(kinds, sharing);
    let of_block = |block| Columns::of(block, &rows, sharing);
    let mut has: Vec<Columns> = blocks.iter().map(of_block).collect();
    keep(&mut has, &rows.there(), prices);
    left(has)
}

fn left(has: Vec<Columns>) -> Vec<Vec<u32>> {
    has.into_iter().map(|block| block.at).collect()
}

/// Keeps the columns that do not alone cost more than there is, when every other block has its
/// cheapest.
fn keep(has: &mut [Columns], there: &[i64], prices: &[i64]) {
    let least: Vec<i64> = has.iter().map(|block| block.cheapest(prices).0).collect();
    let slack = cost(there, prices) - least.iter().sum::<i64>();
    for (block, least) in has.iter_mut().zip(least) {
        block.keep(|has| cost(has, prices) - least <= slack);
    }
}

/// What the columns of a block have of what is shared and of each kind of device, one after the
/// other.
struct Columns {
    at: Vec<u32>,
    width: usize,
    has: Vec<i64>,
}

impl Columns {
    /// Of those that what there is has room for.
    fn of(block: &Block, rows: &Rows, sharing: &Sharing) -> Self {
        let width = rows.caps.len() + rows.kinds.len();
        let fits = |&at: &u32| sharing.fits(block.seating(at).shared);
        let columns: Vec<u32> = block.whole.iter().copied().filter(fits).collect();
        let mut has = Vec::with_capacity(width * columns.len());
        for &at in &columns {
            let seating = block.seating(at);
            has.extend(sharing.amounts(seating.shared));
            let kinds = 0..rows.kinds.len();
            has.extend(kinds.map(|kind| sharing.kinds.get(seating.seated, kind)));
        }
        Self {
            at: columns,
            width,
            has,
        }
    }

    /// Leaves the columns out that do not have what is wanted; what they have is not looked at
    /// again.
    fn keep(&mut self, wanted: impl Fn(&[i64]) -> bool) {
        let mut each = self.has.chunks_exact(self.width);
        self.at.retain(|_| each.next().is_some_and(&wanted));
    }

    fn column(&self, at: usize) -> &[i64] {
        &self.has[at * self.width..(at + 1) * self.width]
    }

    fn each(&self) -> impl Iterator<Item = &[i64]> {
        self.has.chunks_exact(self.width)
    }

    /// What costs the least, and where it stands.
    fn cheapest(&self, prices: &[i64]) -> (i64, usize) {
        let costs = self
            .each()
            .enumerate()
            .map(|(at, has)| (cost(has, prices), at));
        costs.min().unwrap_or((0, 0))
    }
}

/// No part of it is above [`SCALE`]: nothing has more than there is.
fn cost(has: &[i64], prices: &[i64]) -> i64 {
    has.iter().zip(prices).map(|(has, price)| has * price).sum()
}

#[expect(clippy::cast_possible_truncation, reason = "weights are at most 1")]
fn whole(price: f64) -> i64 {
    price as i64
}
