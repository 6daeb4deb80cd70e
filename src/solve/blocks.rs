//! A question decided by whole chargers. Ports that draw on one limit form a block, and
//! blocks share little: which devices there are, cables, times. Of every block all that it can
//! seat is listed, each with the least that it takes from what is shared; then block after
//! block is joined, by how many of each kind of device are seated.
//!
//! It sees what binds where several chargers meet at once, which prices of single rows do not.
//! Exact: it leaves out only what another seating of the same kinds is no worse than. What it
//! finds is checked by whoever asks, and where it would take too much work it says so.

mod best;
mod block;
mod join;
mod kinds;
mod packed;
mod prices;
mod shared;

use block::{Block, Governing, TooLarge, Work};
use join::join;
use kinds::Kinds;
use prices::{Priced, narrow, narrow_at};
use shared::{Rows, Sharing};

use crate::solve::budget::Budget;
use crate::solve::node::Node;
use crate::solve::subproblem::Subproblem;

/// Ports of a block.
const MOST_SEATS: usize = 8;

/// How many seatings looked at cost one step of the budget.
pub(crate) const SEATINGS_PER_STEP: u64 = 256;

/// How often the least cost that prices allow is halved between, and how much faster each time
/// more is allowed than that.
const HALVINGS: u32 = 10;
const GROWTH: i64 = 4;

/// What whole chargers say about a question.
#[derive(Debug)]
pub(crate) enum Decided {
    /// By device, the way of an assignment; of the least cost.
    Found(Vec<u32>),
    Impossible,
    TooLarge,
}

/// Decides what is open at a node, looking at no more than `most` seatings. `least` says whether
/// the least cost is wanted, or any within the cutoff.
pub(crate) fn decide(
    subproblem: &Subproblem<'_>,
    node: &Node,
    least: bool,
    most: u64,
    budget: &mut Budget,
) -> Decided {
    let mut work = Work { left: most };
    let decided = decided(subproblem, node, least, &mut work);
    budget.spend(1 + (most - work.left) / SEATINGS_PER_STEP);
    decided.unwrap_or(Decided::TooLarge)
}

fn decided(
    subproblem: &Subproblem<'_>,
    node: &Node,
    least: bool,
    work: &mut Work,
) -> Result<Decided, TooLarge> {
    let model = subproblem.model;
    if model.sessions > 1 {
        return Err(TooLarge);
    }
    let kinds = Kinds::of(subproblem, &node.live);
    let rows = Rows::of(subproblem, &node.caps);
    let sharing = Sharing::of(subproblem, &rows, &kinds).ok_or(TooLarge)?;
    let tables = kinds
        .ports
        .iter()
        .map(|kind| model.table_of[kind.groups[0]]);
    let tables: Vec<Option<(usize, usize)>> = tables.collect();
    let places: Vec<Option<usize>> = tables.iter().map(|of| of.map(|(_, place)| place)).collect();
    let seats =
        |block: &Vec<usize>| -> usize { block.iter().map(|&kind| kinds.ports[kind].seats).sum() };
    let mut blocks = kinds.blocks(rows.own(), |kind| tables[kind].map(|(table, _)| table));
    if blocks.len() < 2 || blocks.iter().any(|block| seats(block) > MOST_SEATS) {
        return Err(TooLarge);
    }
    // Small ones first: they leave the fewest to be told apart.
    blocks.sort_by_key(|block| (seats(block), block[0]));
    let mut listed: Vec<Block> = Vec::new();
    for block in &blocks {
        let table = block.iter().find_map(|&kind| tables[kind]);
        let lines: Vec<Governing<'_>> = table
            .into_iter()
            .flat_map(|(table, _)| node.lines[table].iter().map(move |&line| (table, line)))
            .map(|(table, line)| Governing {
                line: &model.tables[table].lines[line],
                places: &places,
            })
            .collect();
        if table.is_some() && lines.is_empty() {
            return Err(TooLarge);
        }
        listed.push(Block::of(&kinds, block, &lines, &sharing, &rows, work)?);
    }
    let columns = if kinds.may_stay() {
        let all: Vec<Vec<u32>> = listed.iter().map(|block| block.whole.clone()).collect();
        join(&kinds, &listed, &all, &sharing, work)?
    } else if least {
        cheapest(&kinds, &listed, &sharing, work)?
    } else {
        within(&kinds, &listed, &sharing, work)?
    };
    let Some(columns) = columns else {
        return Ok(Decided::Impossible);
    };
    let taken = seat(subproblem, node, &kinds, &listed, &columns);
    Ok(Decided::Found(taken.ok_or(TooLarge)?))
}

/// By block its column, where everybody can sit at no more than what there is.
fn within(
    kinds: &Kinds,
    blocks: &[Block],
    sharing: &Sharing,
    work: &mut Work,
) -> Result<Option<Vec<u32>>, TooLarge> {
    match narrow(kinds, blocks, sharing, work)? {
        Priced::Left(columns) => join(kinds, blocks, &columns, sharing, work),
        Priced::Impossible(_) => Ok(None),
    }
}

/// As [`within`], at the least cost. The highest cost at which prices show that nothing is possible
/// is looked for by halves; a little above it the same prices leave few columns, and more the
/// further above, as long as nobody finds a seat.
fn cheapest(
    kinds: &Kinds,
    blocks: &[Block],
    sharing: &Sharing,
    work: &mut Work,
) -> Result<Option<Vec<u32>>, TooLarge> {
    let most = sharing.cost();
    if let Priced::Impossible(_) = narrow(kinds, blocks, sharing, work)? {
        return Ok(None);
    }
    let (mut below, mut above) = (0, most);
    let mut shown = None;
    for _ in 0..HALVINGS {
        let middle = i64::midpoint(below, above);
        match narrow(kinds, blocks, &sharing.at_cost(middle), work)? {
            Priced::Left(_) => above = middle,
            Priced::Impossible(prices) => {
                below = middle;
                shown = Some(prices);
            }
        }
    }
    let Some(prices) = shown else {
        return within(kinds, blocks, sharing, work);
    };
    let mut more = (above - below).max(1);
    loop {
        let cost = below.saturating_add(more).min(most);
        let sharing = sharing.at_cost(cost);
        let columns = narrow_at(&prices, kinds, blocks, &sharing);
        let found = join(kinds, blocks, &columns, &sharing, work)?;
        if found.is_some() || cost == most {
            return Ok(found);
        }
        more = more.saturating_mul(GROWTH);
    }
}

/// By device, its way, where each block has a certain column.
fn seat(
    subproblem: &Subproblem<'_>,
    node: &Node,
    kinds: &Kinds,
    blocks: &[Block],
    columns: &[u32],
) -> Option<Vec<u32>> {
    let live = &node.live;
    let mut left: Vec<Vec<usize>> = kinds
        .devices
        .iter()
        .map(|kind| kind.devices.clone())
        .collect();
    let mut free: Vec<Vec<usize>> = kinds
        .ports
        .iter()
        .map(|kind| {
            let groups = kind.groups.iter();
            groups
                .flat_map(|&group| std::iter::repeat_n(group, subproblem.model.seats[group]))
                .collect()
        })
        .collect();
    let mut taken = vec![None; live.devices()];
    for (block, &column) in blocks.iter().zip(columns) {
        for (port, kind, way) in block.seated(column) {
            let device = left[kind].pop()?;
            let group = free[port].pop()?;
            let takes = &kinds.devices[kind].at[port][way];
            taken[device] = live.of(device).iter().copied().find(|&way| {
                subproblem.way(way).column.is_some()
                    && subproblem.way(way).port == group
                    && kinds::Takes::of(subproblem, way) == *takes
            });
            taken[device]?;
        }
    }
    for device in left.into_iter().flatten() {
        let mut ways = live.of(device).iter().copied();
        taken[device] = ways.find(|&way| subproblem.way(way).column.is_none());
        taken[device]?;
    }
    taken.into_iter().collect()
}
