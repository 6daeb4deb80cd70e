//! How a node of a proof is split: on the line of a table that governs, where the multipliers
//! found none that would do; else as the kernel splits it, by what a proof has words for.

use super::quotient::Quotient;
use crate::plan::proof::{Branch, Lines, Split as Halves, Ways};
use crate::solve::bound::Bound;
use crate::solve::goal::Goal;
use crate::solve::model::{RowOrigin, index};
use crate::solve::node::Node;
use crate::solve::split::{Key, Split};
use crate::solve::subproblem::{RowKind, Subproblem};

/// The split of a node, as the proof has it, and its parts; `None` where all is decided.
pub(super) fn split(
    q: &Quotient,
    subproblem: &Subproblem<'_>,
    node: &Node,
    bound: &Bound,
) -> Option<(Branch, Vec<Node>)> {
    let undecided = (0..node.lines.len()).filter(|&table| node.lines[table].len() > 1);
    let broken = undecided.map(|table| (broken(q, subproblem, node, bound, table), table));
    let most = broken.max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
    if let Some((_, table)) = most.filter(|(broken, _)| *broken > 0.0) {
        return Some(by_line(q, node, table));
    }
    match in_words(q, subproblem, node, bound) {
        Some((split, ways)) => Some(by_device(q, subproblem, node, &split, ways)),
        None => most.map(|(_, table)| by_line(q, node, table)),
    }
}

/// Of what the multipliers had devices take, how much no line of a table grants: by the line
/// that is short of the least.
fn broken(
    q: &Quotient,
    subproblem: &Subproblem<'_>,
    node: &Node,
    bound: &Bound,
    table: usize,
) -> f64 {
    let grants = |line: usize, way: u32| {
        let column = subproblem.way(way).column.map(|c| q.model.column(c));
        column.is_none_or(|column| match q.model.table_of[column.port] {
            Some((of, place)) if of == table => {
                let granted = q.model.tables[table].lines[line].granted[place];
                Some(column.tier) <= granted
            }
            _ => true,
        })
    };
    let short = |&line: &usize| -> f64 {
        let of_device = |(_, ways): (usize, &[u32])| {
            let share = |way: &u32| bound.share(*way);
            let all: f64 = ways.iter().map(share).sum();
            let over = ways.iter().filter(|&&way| !grants(line, way));
            over.map(share).sum::<f64>() / all.max(f64::MIN_POSITIVE)
        };
        node.live.each().map(of_device).sum()
    };
    let lines = node.lines[table].iter();
    lines.map(short).fold(f64::INFINITY, f64::min)
}

/// One part for each line that is left, the most generous first.
fn by_line(q: &Quotient, node: &Node, table: usize) -> (Branch, Vec<Node>) {
    let lines = node.generous_first(&q.model, table);
    let children = lines.iter().map(|&line| node.with_line(table, line));
    let branch = Branch::Lines(Lines {
        charger: q.charger(table),
        sets: lines.iter().map(|&line| vec![index(line)]).collect(),
    });
    (branch, children.collect())
}

/// In the first part the device sits so; in the second neither it does nor any with the
/// same ways open.
fn by_device(
    q: &Quotient,
    subproblem: &Subproblem<'_>,
    node: &Node,
    split: &Split,
    ways: Ways,
) -> (Branch, Vec<Node>) {
    let own = |device: usize| (device, node.live.of(device));
    let mut alike = split.alike(subproblem, &node.live);
    alike.retain(|&other| q.same_ways(subproblem, own(split.device), own(other)));
    let (mut first, mut second) = (node.clone(), node.clone());
    split.take(&mut first.live);
    split.deny(&mut second.live, &alike);
    let number = |device: usize| index(q.model.devices[device]);
    let twins = alike.into_iter().filter(|&other| other != split.device);
    let branch = Branch::Device(Halves {
        device: number(split.device),
        ways,
        twins: twins.map(number).collect(),
    });
    (branch, vec![first, second])
}

/// What the number depends on that is to be shown not to fall; then the device whose places
/// were shared out most evenly, by the rows that a port takes from, how much, cable, port.
fn in_words(
    q: &Quotient,
    subproblem: &Subproblem<'_>,
    node: &Node,
    bound: &Bound,
) -> Option<(Split, Ways)> {
    let model = &q.model;
    let live = &node.live;
    if let Some(split) = Split::by_goal(subproblem, live) {
        let ways = match subproblem.goal {
            Goal::LateOf(_) => Ways::Takes(q.rows(RowKind::Goal)[0], 0),
            _ => Ways::Stays,
        };
        return Some((split, ways));
    }
    let of_column = |way: u32, f: &dyn Fn(u32) -> i64| subproblem.way(way).column.map_or(-1, f);
    // Of all rows that a port shares with others the first tells as much as any.
    let shared = |column: u32| {
        let of_cable =
            |row: u32| matches!(model.rows[row as usize].origin, RowOrigin::Cable { .. });
        model
            .takes(column)
            .iter()
            .find(|(row, _)| !of_cable(*row))
            .copied()
    };
    let keys = [
        Key::EqualIn(&|w| of_column(w, &|c| i64::from(model.row_signature(c)))),
        Key::UpToIn(&|w| of_column(w, &|c| shared(c).map_or(0, |(_, takes)| takes))),
        Key::UpToIn(&|w| of_column(w, &|c| model.column(c).tier)),
        Key::EqualIn(&|w| of_column(w, &|c| i64::from(index(model.column(c).cable)))),
        Key::EqualIn(&|w| of_column(w, &|c| i64::from(index(model.column(c).port)))),
    ];
    let (place, split) = Split::by_keys(live, &|way| bound.share(way), &keys)?;
    let ways = live.of(split.device);
    let part: Vec<u32> = split
        .part
        .iter()
        .filter_map(|&at| subproblem.way(ways[at]).column)
        .collect();
    let Some(&first) = part.first() else {
        return Some((split, Ways::Stays));
    };
    let columns = || part.iter().map(|&c| model.column(c));
    let ways = match place {
        1 => {
            let (row, _) = shared(first)?;
            let most = part
                .iter()
                .filter_map(|&c| shared(c))
                .map(|(_, takes)| takes)
                .max()?;
            Ways::Takes(q.rows(RowKind::Fixed(row as usize))[0], most)
        }
        2 => Ways::Takes(
            q.table_row(model.column(first).port)?,
            columns().map(|c| c.tier).max()?,
        ),
        3 => Ways::Cables(q.cables[model.column(first).cable].clone()),
        _ => {
            let mut classes: Vec<usize> = columns().map(|c| c.port).collect();
            classes.dedup();
            let mut ports: Vec<u32> = classes.iter().flat_map(|&c| &q.ports[c]).copied().collect();
            ports.sort_unstable();
            ports.dedup();
            Ways::Ports(ports)
        }
    };
    Some((split, ways))
}
