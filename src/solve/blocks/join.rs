//! Blocks joined one after the other: who is seated in all of them so far, at what is taken
//! least of what they share. Where everybody must sit, half of the blocks are joined from either
//! end, and what one half leaves is looked for in the other.

use super::best::Best;
use super::block::{Block, NOBODY, TooLarge, Work, index};
use super::kinds::Kinds;
use super::shared::{Amount, Sharing};

/// Seatings of some blocks.
#[derive(Debug, Clone, Copy)]
struct Joined {
    seated: u128,
    shared: Amount,
    /// Those of one block fewer, and what the last block has.
    before: u32,
    column: u32,
}

/// The seatings of no block, of the first, of the first two and so on, each by who sits.
struct Layers(Vec<Vec<Joined>>);

impl Layers {
    fn none() -> Self {
        Self(vec![vec![Joined {
            seated: 0,
            shared: Amount::NONE,
            before: NOBODY,
            column: NOBODY,
        }]])
    }

    fn last(&self) -> &[Joined] {
        self.0.last().map_or(&[], Vec::as_slice)
    }

    /// By block its column, of a seating of the last layer.
    fn columns(&self, mut at: usize) -> Vec<u32> {
        let mut columns = Vec::new();
        for layer in self.0[1..].iter().rev() {
            columns.push(layer[at].column);
            at = layer[at].before as usize;
        }
        columns.reverse();
        columns
    }

    /// Joins one more block.
    fn join(
        &mut self,
        (block, columns): (&Block, &[u32]),
        sharing: &Sharing,
        work: &mut Work,
    ) -> Result<(), TooLarge> {
        let columns = priced(block, columns);
        let no_worse = |a: &Joined, b: &Joined| sharing.within(a.shared, b.shared);
        let mut next: Best<Joined> = Best::new();
        for (before, joined) in self.last().iter().enumerate() {
            let mut looked_at = columns.len() / PAIRS_PER_SEATING + 1;
            for &(seated, shared, column) in &columns {
                let seated = joined.seated + seated;
                if !sharing.kinds.within(seated, sharing.all) {
                    continue;
                }
                let shared = joined.shared.plus(shared);
                if sharing.fits(shared) {
                    let one = Joined {
                        seated,
                        shared,
                        before: index(before),
                        column,
                    };
                    looked_at += next.put(seated, one, no_worse);
                }
            }
            work.one(looked_at)?;
        }
        self.0.push(next.each().copied().collect());
        Ok(())
    }
}

/// Pairs looked at that cost as much as a seating.
const PAIRS_PER_SEATING: usize = 8;

/// A whole seating that keeps all that is shared, of the least cost: by block its column.
pub(super) fn join(
    kinds: &Kinds,
    blocks: &[Block],
    columns: &[Vec<u32>],
    sharing: &Sharing,
    work: &mut Work,
) -> Result<Option<Vec<u32>>, TooLarge> {
    let blocks: Vec<(&Block, &[u32])> = blocks
        .iter()
        .zip(columns)
        .map(|(block, columns)| (block, columns.as_slice()))
        .collect();
    let mut first = Layers::none();
    if kinds.may_stay() {
        for &block in &blocks {
            first.join(block, sharing, work)?;
        }
        let of_all = first.last().iter().enumerate().filter_map(|(at, joined)| {
            let shared = with_staying(kinds, sharing, joined)?;
            sharing.fits(shared).then_some((shared.first_sum(), at))
        });
        return Ok(of_all.min().map(|(_, at)| first.columns(at)));
    }
    let Some((&last, rest)) = blocks.split_last() else {
        return Ok(None);
    };
    let (one, other) = rest.split_at(middle(rest, last));
    for &block in one {
        first.join(block, sharing, work)?;
    }
    let mut second = Layers::none();
    for &block in other {
        second.join(block, sharing, work)?;
    }
    let mut halves: Best<usize> = Best::new();
    for (at, joined) in first.last().iter().enumerate() {
        halves.put(joined.seated, at, |_, _| false);
    }
    let columns = priced(last.0, last.1);
    let mut best: Option<(i64, usize, usize, u32)> = None;
    for (at, joined) in second.last().iter().enumerate() {
        work.one(columns.len() / PAIRS_PER_SEATING + 1)?;
        for &(seated, shared, column) in &columns {
            let seated = joined.seated + seated;
            if !sharing.kinds.within(seated, sharing.all) {
                continue;
            }
            let shared = joined.shared.plus(shared);
            if !sharing.fits(shared) {
                continue;
            }
            for &half in halves.of(sharing.all - seated) {
                let shared = shared.plus(first.last()[half].shared);
                let cost = shared.first_sum();
                if sharing.fits(shared) && best.is_none_or(|(least, ..)| cost < least) {
                    best = Some((cost, half, at, column));
                }
            }
        }
        if best.is_some_and(|(cost, ..)| cost == 0) {
            break;
        }
    }
    Ok(best.map(|(_, half, at, column)| {
        let mut columns = first.columns(half);
        columns.extend(second.columns(at));
        columns.push(column);
        columns
    }))
}

/// Of every column of a block, who sits, what is taken of what is shared, and where it stands.
fn priced(block: &Block, columns: &[u32]) -> Vec<(u128, Amount, u32)> {
    let column = |&at: &u32| {
        let seating = block.seating(at);
        (seating.seated, seating.shared, at)
    };
    columns.iter().map(column).collect()
}

/// Where to part the blocks so that neither half, the `last` block in the second, has many more
/// seatings than the other.
fn middle(blocks: &[(&Block, &[u32])], last: (&Block, &[u32])) -> usize {
    let size = |&(_, columns): &(&Block, &[u32])| columns.len().max(1).ilog2();
    let all: u32 = blocks.iter().map(size).sum::<u32>() + size(&last);
    let larger = |parted: usize| {
        let first: u32 = blocks[..parted].iter().map(size).sum();
        first.max(all - first)
    };
    let places = 0..=blocks.len();
    places.min_by_key(|&parted| larger(parted)).unwrap_or(0)
}

/// What is taken when all others stay; `None` where they may not.
fn with_staying(kinds: &Kinds, sharing: &Sharing, joined: &Joined) -> Option<Amount> {
    let mut shared = joined.shared;
    for (kind, device) in kinds.devices.iter().enumerate() {
        let seated = usize::try_from(sharing.kinds.get(joined.seated, kind)).unwrap_or(0);
        for _ in seated..device.devices.len() {
            let stay = device.stay.as_ref()?;
            shared = shared.plus(sharing.amount(&stay.rows)?);
            if !sharing.fits(shared) {
                return None;
            }
        }
    }
    Some(shared)
}
