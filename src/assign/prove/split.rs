//! How a node of a proof is split: on the line of a table that governs, where the prices
//! found none that would do; else on a device, by what they were most undecided about.

use super::node::State;
use super::quotient::{ClassWay, Quotient};
use crate::plan::proof::{Branch, Lines, Split, Ways};

/// The split of a node, as the proof has it, and its parts; `None` where all is decided.
pub(super) fn split(
    q: &Quotient,
    state: &State,
    share: &[Vec<f64>],
    broken: &[f64],
    held: Option<usize>,
) -> Option<(Branch, Vec<State>)> {
    let table = |t: &usize| state.lines[*t].len() > 1;
    let tables = || (0..state.lines.len()).filter(table);
    let most = tables().max_by(|&a, &b| broken[a].total_cmp(&broken[b]).then(b.cmp(&a)));
    if let Some(t) = most.filter(|&t| broken[t] > 0.0) {
        return Some(by_line(q, state, t));
    }
    let found = by_row(q, state, held)
        .or_else(|| by_staying(q, state))
        .or_else(|| by_place(q, state, share));
    match found {
        Some((device, part)) => Some(by_device(q, state, device, &part)),
        None => most.map(|t| by_line(q, state, t)),
    }
}

/// One part for each line that is left, the most generous first.
fn by_line(q: &Quotient, state: &State, t: usize) -> (Branch, Vec<State>) {
    let table = &q.tables[t];
    let grants = |line: usize| table.lines[line].iter().flatten().sum::<i64>();
    let mut lines = state.lines[t].clone();
    lines.sort_by_key(|&line| (std::cmp::Reverse(grants(line)), line));
    let children = lines.iter().map(|&line| {
        let mut child = state.clone();
        child.lines[t] = vec![line];
        child.depth += 1;
        child
    });
    let children = children.collect();
    let branch = Branch::Lines(Lines {
        charger: index(table.charger),
        sets: lines.iter().map(|&line| vec![index(line)]).collect(),
    });
    (branch, children)
}

/// What a way is taken for.
type Kind<'a> = &'a dyn Fn(&ClassWay) -> Option<Part>;

/// Some ways of a device, in terms of the classes.
#[derive(Debug, Clone)]
enum Part {
    Ports(Vec<usize>),
    Cable(usize),
    Takes(usize, i64),
    Stays,
}

impl Part {
    fn holds(&self, way: &ClassWay) -> bool {
        match self {
            Self::Ports(ports) => way.port.is_some_and(|port| ports.contains(&port)),
            Self::Cable(cable) => way.cable == Some(*cable),
            Self::Takes(row, most) => way.taken(*row) <= *most,
            Self::Stays => way.port.is_none(),
        }
    }

    /// As the proof names them, one by one.
    fn ways(&self, q: &Quotient) -> Ways {
        match self {
            Self::Ports(classes) => {
                let mut ports: Vec<u32> =
                    classes.iter().flat_map(|&c| &q.ports[c]).copied().collect();
                ports.sort_unstable();
                Ways::Ports(ports)
            }
            Self::Cable(class) => Ways::Cables(q.cables[*class].clone()),
            Self::Takes(row, most) => Ways::Takes(index(*row), *most),
            Self::Stays => Ways::Stays,
        }
    }
}

/// In the first part the device sits so; in the second neither it does nor any with the
/// same ways open.
fn by_device(q: &Quotient, state: &State, device: usize, part: &Part) -> (Branch, Vec<State>) {
    let ways = |device: usize| {
        let open = state.open[device].iter();
        open.map(move |&way| &q.ways[device][way as usize])
    };
    let twin = |&other: &usize| other != device && ways(other).eq(ways(device));
    let twins: Vec<usize> = (0..state.open.len()).filter(twin).collect();
    let mut first = state.clone();
    first.open[device].retain(|&way| part.holds(&q.ways[device][way as usize]));
    first.depth += 1;
    let mut second = state.clone();
    for &device in twins.iter().chain([&device]) {
        second.open[device].retain(|&way| !part.holds(&q.ways[device][way as usize]));
    }
    second.depth += 1;
    let branch = Branch::Device(Split {
        device: index(device),
        ways: part.ways(q),
        twins: twins.into_iter().map(index).collect(),
    });
    (branch, vec![first, second])
}

/// Who takes from the row that is to be shown broken.
fn by_row(q: &Quotient, state: &State, held: Option<usize>) -> Option<(usize, Part)> {
    let part = Part::Takes(held?, 0);
    let most = |device: usize| {
        let open = state.open[device].iter();
        open.map(|&way| q.ways[device][way as usize].taken(held.unwrap_or(0)))
            .max()
    };
    (0..state.open.len())
        .filter(|&device| is_proper(q, state, device, &part))
        .max_by_key(|&device| (most(device), std::cmp::Reverse(device)))
        .map(|device| (device, part))
}

fn by_staying(q: &Quotient, state: &State) -> Option<(usize, Part)> {
    let weight = |device: usize| {
        let stays = q.ways[device].iter().find(|way| way.port.is_none());
        stays.map(|way| way.takes.iter().map(|(_, taken)| *taken).max())
    };
    (0..state.open.len())
        .filter(|&device| is_proper(q, state, device, &Part::Stays))
        .max_by_key(|&device| (weight(device), std::cmp::Reverse(device)))
        .map(|device| (device, Part::Stays))
}

/// The device whose places were shared out most evenly, and the place it had most often:
/// first by the rows a port takes from, then by how much, by cable, by port.
fn by_place(q: &Quotient, state: &State, share: &[Vec<f64>]) -> Option<(usize, Part)> {
    let shared = |way: &ClassWay| -> Vec<usize> {
        let cable = way.cable.map(|cable| q.cable_row(cable));
        let rows = way.takes.iter().map(|take| take.0);
        rows.filter(|&row| Some(row) != cable).collect()
    };
    let banks: Vec<Vec<usize>> = {
        let mut of_port: Vec<Vec<usize>> = vec![Vec::new(); q.ports.len()];
        for way in q.ways.iter().flatten() {
            if let Some(port) = way.port {
                of_port[port].extend(shared(way));
                of_port[port].sort_unstable();
                of_port[port].dedup();
            }
        }
        of_port
    };
    let bank = |way: &ClassWay| {
        way.port.map(|port| {
            let alike = (0..banks.len()).filter(|&other| banks[other] == banks[port]);
            Part::Ports(alike.collect())
        })
    };
    let takes = |way: &ClassWay| {
        let row = *shared(way).first()?;
        Some(Part::Takes(row, way.taken(row)))
    };
    let cable = |way: &ClassWay| way.cable.map(Part::Cable);
    let port = |way: &ClassWay| way.port.map(|port| Part::Ports(vec![port]));
    let kinds: [Kind<'_>; 4] = [&bank, &takes, &cable, &port];
    kinds.into_iter().find_map(|kind| {
        let mut best: Option<(f64, usize, Part)> = None;
        for (device, share) in share.iter().enumerate() {
            let Some((undecided, part)) = most_often(q, state, device, share, kind) else {
                continue;
            };
            if best.as_ref().is_none_or(|(most, ..)| undecided > *most) {
                best = Some((undecided, device, part));
            }
        }
        best.map(|(_, device, part)| (device, part))
    })
}

/// Of a kind of parts, the one that the device was in most often, with how much more often
/// it was elsewhere.
fn most_often(
    q: &Quotient,
    state: &State,
    device: usize,
    share: &[f64],
    kind: Kind<'_>,
) -> Option<(f64, Part)> {
    let ways = &q.ways[device];
    let open = || state.open[device].iter().map(|&way| way as usize);
    let total: f64 = open().map(|way| share[way]).sum();
    let mut tried: Vec<&ClassWay> = Vec::new();
    let mut best: Option<(f64, Part)> = None;
    for way in open() {
        let Some(part) = kind(&ways[way]) else {
            continue;
        };
        if tried
            .iter()
            .any(|other| part.holds(other) && kind(other).is_some_and(|p| p.holds(&ways[way])))
        {
            continue;
        }
        tried.push(&ways[way]);
        if !is_proper(q, state, device, &part) {
            continue;
        }
        let within: f64 = open()
            .filter(|&w| part.holds(&ways[w]))
            .map(|w| share[w])
            .sum();
        // As near to half as there is: either part then has something to say.
        let even = (within - total / 2.0).abs();
        if best.as_ref().is_none_or(|(least, _)| even < *least) {
            best = Some((even, part));
        }
    }
    let undecided = |even: f64| {
        if total <= 0.0 {
            f64::INFINITY
        } else {
            -even / total
        }
    };
    best.map(|(even, part)| (undecided(even), part))
}

/// Whether some but not all of the device's open ways are of the part.
fn is_proper(q: &Quotient, state: &State, device: usize, part: &Part) -> bool {
    let open = || state.open[device].iter();
    let holds = |&way: &u32| part.holds(&q.ways[device][way as usize]);
    open().any(holds) && !open().all(holds)
}

fn index(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
