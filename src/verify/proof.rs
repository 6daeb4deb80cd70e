//! Checks a proof that no plan is better, in whole numbers and nothing else: each claim
//! is a tree of nodes, and every node must be shown to hold no plan or be split in parts
//! that together hold all of its plans. The rules stand in `crate::proof`.

use super::program::{Program, Way};
use super::{Findings, rules::Place, time::hours_to_full};
use crate::proof::{
    Branch, Claimed, Lines, MOST_DEPTH, Node, Number, Proof, Split, Step, Ways, plan_digest,
    setup_digest,
};
use crate::{plan::Plan, setup::Setup, units::millionths};

/// What is wrong, and in which part.
type Refused = (String, String);

/// Notes the first reason why `proof` does not show that `plan`, legal and sitting at
/// `places`, is best in the claimed numbers.
pub(super) fn check(
    setup: &Setup,
    plan: &Plan,
    places: &[Place],
    proof: &Proof,
    findings: &mut Findings,
) {
    if let Err((path, message)) = checked(setup, plan, places, proof) {
        findings.add(format!("proof.{path}"), message);
    }
}

fn checked(setup: &Setup, plan: &Plan, places: &[Place], proof: &Proof) -> Result<(), Refused> {
    let refuse = |path: &str, message: &str| Err((path.to_owned(), message.to_owned()));
    let body = &proof.body;
    if body.version != 1 {
        return refuse("body.version", "must be 1");
    }
    if !proof.is_whole() {
        return refuse("sha256", "is not the body's: the proof was changed");
    }
    if body.setup_sha256 != setup_digest(setup) {
        return refuse("body.setup_sha256", "the proof is about another setup");
    }
    if body.plan_sha256 != plan_digest(plan) {
        return refuse("body.plan_sha256", "the proof is about another plan");
    }
    if body.claimed != claimed(setup, places) {
        return refuse("body.claimed", "these are not the numbers of the plan");
    }
    let due = due(&body.claimed);
    if !body.claims.iter().map(|claim| claim.less).eq(due) {
        let message = "there must be one for each claimed number above 0, in their order";
        return refuse("body.claims", message);
    }
    let program = Program::of(setup).map_err(|error| ("body".to_owned(), error.to_string()))?;
    for (at, claim) in body.claims.iter().enumerate() {
        let better = program.better(&body.claimed, claim.less);
        Tree::of(&better)
            .walk(&claim.nodes)
            .map_err(|(path, message)| (format!("body.claims[{at}].{path}"), message))?;
    }
    Ok(())
}

/// What a plan comes to.
pub(crate) fn claimed(setup: &Setup, places: &[Place]) -> Claimed {
    let mut claimed = Claimed {
        unserved: [0; 3],
        missing: 0,
        late: 0,
        longest: 0,
    };
    for (index, device) in setup.devices.iter().enumerate() {
        if let Some(place) = places.iter().find(|place| place.device == index) {
            let time = hours_to_full(device, place.contract.inlet_w).map_or(i64::MAX, millionths);
            let late = device.ready_by_h.is_some_and(|by| time > millionths(by));
            claimed.late += i64::from(late);
            claimed.longest = claimed.longest.max(time);
        } else if device.needs_berth() {
            claimed.unserved[usize::from(device.priority) - 1] += 1;
            claimed.missing += millionths(device.missing_wh());
        }
    }
    claimed
}

/// The numbers that could be lower.
pub(crate) fn due(claimed: &Claimed) -> impl Iterator<Item = Number> {
    let [first, second, third] = claimed.unserved;
    let values = [first, second, third, claimed.missing, claimed.late];
    let values = values.into_iter().chain([claimed.longest]);
    let all = Number::ALL.into_iter().zip(values);
    all.filter(|(_, value)| *value > 0)
        .map(|(number, _)| number)
}

/// Where the walk through a tree of nodes stands.
struct Tree<'a> {
    program: &'a Program,
    /// By device and way, whether a plan of the node may hold it.
    open: Vec<Vec<bool>>,
    /// By table and line, whether it may govern and be respected.
    left: Vec<Vec<bool>>,
    /// What was closed, the last one last.
    closed: Vec<Closed>,
}

enum Closed {
    Way { device: usize, way: usize },
    Line { table: usize, line: usize },
}

/// A split node on the way down, and how many of its parts were looked at.
struct Above {
    node: usize,
    seen: usize,
    closed: usize,
}

impl<'a> Tree<'a> {
    fn of(program: &'a Program) -> Self {
        let all = |lines: usize| vec![true; lines];
        Self {
            program,
            open: program.ways.iter().map(|ways| all(ways.len())).collect(),
            left: program.tables.iter().map(|t| all(t.lines.len())).collect(),
            closed: Vec::new(),
        }
    }

    /// Whether the nodes are one whole tree that shows that there is no plan.
    fn walk(mut self, nodes: &[Node]) -> Result<(), Refused> {
        let mut above: Vec<Above> = Vec::new();
        for (at, node) in nodes.iter().enumerate() {
            let here = |path: &str, message: &str| {
                let dot = if path.is_empty() { "" } else { "." };
                (format!("nodes[{at}]{dot}{path}"), message.to_owned())
            };
            if at > 0 {
                let Some(parent) = above.last_mut() else {
                    return Err(here("", "belongs to no tree: that ended before it"));
                };
                parent.seen += 1;
                let (part, closed, split) = (parent.seen - 1, parent.closed, parent.node);
                self.reopen(closed);
                self.enter(nodes[split].branch.as_ref(), part);
            }
            let mut empty = self.settle();
            for (s, step) in node.steps.iter().enumerate() {
                if empty {
                    return Err(here(&format!("steps[{s}]"), "the node is closed already"));
                }
                empty = self
                    .step(step)
                    .map_err(|message| here(&format!("steps[{s}]"), &message))?;
            }
            match &node.branch {
                Some(_) if empty => return Err(here("branch", "the node is closed already")),
                Some(branch) => {
                    self.may_split(branch)
                        .map_err(|message| here("branch", &message))?;
                    above.push(Above {
                        node: at,
                        seen: 0,
                        closed: self.closed.len(),
                    });
                }
                None if empty => {}
                None => return Err(here("", "is neither closed nor split")),
            }
            if above.len() > MOST_DEPTH {
                return Err(here("", &format!("lies below {MOST_DEPTH} others")));
            }
            while above
                .last()
                .is_some_and(|last| last.seen == parts(nodes[last.node].branch.as_ref()))
            {
                above.pop();
            }
        }
        if nodes.is_empty() || !above.is_empty() {
            return Err(("nodes".to_owned(), "the tree is not complete".to_owned()));
        }
        Ok(())
    }

    /// The way is part of no plan of the node.
    fn close(&mut self, device: usize, way: usize) {
        if std::mem::replace(&mut self.open[device][way], false) {
            self.closed.push(Closed::Way { device, way });
        }
    }

    /// Takes back all that was closed but the first so many.
    fn reopen(&mut self, kept: usize) {
        for closed in self.closed.drain(kept..) {
            match closed {
                Closed::Way { device, way } => self.open[device][way] = true,
                Closed::Line { table, line } => self.left[table][line] = true,
            }
        }
    }

    /// The device's open ways, with their numbers.
    fn ways(&self, device: usize) -> impl Iterator<Item = (usize, &'a Way)> {
        let ways = self.program.ways[device].iter().enumerate();
        ways.filter(move |(way, _)| self.open[device][*way])
    }

    /// Closes lines that cannot govern, since all ports of theirs that a plan of the node
    /// may use are ports of a line with fewer; and ways that no line left grants. Then
    /// whether a device has no way left.
    fn settle(&mut self) -> bool {
        loop {
            let before = self.closed.len();
            for (t, table) in self.program.tables.iter().enumerate() {
                let mut in_use = vec![false; self.program.ports];
                for device in 0..self.open.len() {
                    for (port, _) in self.ways(device).filter_map(|(_, way)| way.seat) {
                        in_use[port] = true;
                    }
                }
                let fewer = |one: &[Option<i64>], of: &[Option<i64>]| {
                    let mut pairs = one.iter().zip(of);
                    one.iter().flatten().count() < of.iter().flatten().count()
                        && pairs.all(|(one, of)| one.is_none() || of.is_some())
                };
                for (line, granted) in table.lines.iter().enumerate() {
                    let governs_instead = |other: &Vec<Option<i64>>| {
                        fewer(other, granted)
                            && (0..in_use.len())
                                .all(|p| !in_use[p] || granted[p].is_none() || other[p].is_some())
                    };
                    if self.left[t][line] && table.lines.iter().any(governs_instead) {
                        self.left[t][line] = false;
                        self.closed.push(Closed::Line { table: t, line });
                    }
                }
                for device in 0..self.open.len() {
                    let left = table
                        .lines
                        .iter()
                        .zip(&self.left[t])
                        .filter(|(_, left)| **left);
                    let most = |port: usize| left.clone().filter_map(|(l, _)| l[port]).max();
                    let above = |way: &Way| {
                        let tier = way.takes.iter().find(|(row, _)| *row == table.row);
                        tier.zip(way.seat)
                            .is_some_and(|((_, tier), (port, _))| Some(*tier) > most(port))
                    };
                    let gone = self.ways(device).filter(|(_, way)| above(way));
                    let gone: Vec<usize> = gone.map(|(way, _)| way).collect();
                    gone.into_iter().for_each(|way| self.close(device, way));
                }
            }
            if self.closed.len() == before {
                return (0..self.open.len()).any(|device| self.ways(device).next().is_none());
            }
        }
    }

    /// The cap of a row, where it has one.
    fn cap(&self, row: usize) -> Option<i64> {
        let Some(t) = self.program.tables.iter().position(|t| t.row == row) else {
            return *self.program.caps.get(row)?;
        };
        let lines = self.program.tables[t].lines.iter().zip(&self.left[t]);
        let left = lines.filter(|(_, left)| **left);
        let sums = left.map(|(line, _)| line.iter().flatten().sum::<i64>());
        Some(sums.max().unwrap_or(0))
    }

    /// Does a step. Whether it closes the node.
    fn step(&mut self, step: &Step) -> Result<bool, String> {
        let prices = listed(&step.rows, self.program.caps.len(), |price| price > 0)
            .ok_or("rows must rise, each of the setup's, at prices above 0")?;
        let port_prices = listed(&step.ports, self.program.ports, |price| price < 0)
            .ok_or("ports must rise, each of the setup's, at prices below 0")?;
        let cost = |way: &Way| {
            let taken = way.takes.iter();
            let of_rows: i128 = taken.map(|&(row, n)| prices[row] * i128::from(n)).sum();
            of_rows - way.seat.map_or(0, |(port, _)| port_prices[port])
        };
        let mut bound: i128 = port_prices.iter().sum();
        for &(row, price) in &step.rows {
            let cap = self
                .cap(row as usize)
                .ok_or("prices a row that has no cap")?;
            bound -= i128::from(price) * i128::from(cap);
        }
        let mut least = Vec::with_capacity(self.open.len());
        for device in 0..self.open.len() {
            let of_device = self.ways(device).map(|(_, way)| cost(way)).min();
            least.push(of_device.ok_or("a device has no way left")?);
        }
        bound += least.iter().sum::<i128>();
        if bound != i128::from(step.bound) {
            return Err(format!("the bound is {bound}, not {}", step.bound));
        }
        if bound > 0 {
            return Ok(true);
        }
        for (device, least) in least.into_iter().enumerate() {
            let gone = self
                .ways(device)
                .filter(|(_, way)| cost(way) - least > -bound);
            let gone: Vec<usize> = gone.map(|(way, _)| way).collect();
            gone.into_iter().for_each(|way| self.close(device, way));
        }
        Ok(self.settle())
    }

    /// Whether the parts of a split hold all plans of the node.
    fn may_split(&self, branch: &Branch) -> Result<(), String> {
        match branch {
            Branch::Device(Split { device, twins, .. }) => {
                let open = |device: usize| {
                    self.ways(device)
                        .map(|(_, way)| (way.seat.map(|(port, _)| port), &way.takes))
                };
                let among = |device: u32| (device as usize) < self.open.len();
                let twin = |&other: &u32| {
                    among(other)
                        && other != *device
                        && open(other as usize).eq(open(*device as usize))
                };
                if !among(*device) {
                    return Err("there is no such device".to_owned());
                }
                if !twins.is_sorted_by(|a, b| a < b) || !twins.iter().all(twin) {
                    return Err("a twin is listed that has not the same ways open".to_owned());
                }
            }
            Branch::Lines(Lines { charger, sets }) => {
                let t = self.table(*charger).ok_or("there is no such table")?;
                let covered = |line: usize| sets.iter().flatten().any(|&l| l as usize == line);
                let lines = 0..self.left[t].len();
                // A charger that is not in use needs no line, but one part to be in.
                if sets.is_empty() || lines.clone().any(|l| self.left[t][l] && !covered(l)) {
                    return Err("a line that is left is in no set".to_owned());
                }
                if sets
                    .iter()
                    .flatten()
                    .any(|&l| !lines.contains(&(l as usize)))
                {
                    return Err("there is no such line".to_owned());
                }
            }
        }
        Ok(())
    }

    /// Narrows the plans to one part of a split.
    fn enter(&mut self, branch: Option<&Branch>, part: usize) {
        match branch {
            Some(Branch::Device(split)) => {
                let Split {
                    device,
                    ways,
                    twins,
                } = split;
                let twins = twins.iter().filter(|_| part == 1);
                for device in twins.chain([device]).map(|&device| device as usize) {
                    let open = self.ways(device);
                    let gone = open.filter(|(_, way)| self.meant(ways, way) == (part == 1));
                    let gone: Vec<usize> = gone.map(|(way, _)| way).collect();
                    gone.into_iter().for_each(|way| self.close(device, way));
                }
            }
            Some(Branch::Lines(Lines { charger, sets })) => {
                let Some(table) = self.table(*charger) else {
                    return;
                };
                for line in 0..self.left[table].len() {
                    let of_part = sets[part].iter().any(|&of_set| of_set as usize == line);
                    if self.left[table][line] && !of_part {
                        self.left[table][line] = false;
                        self.closed.push(Closed::Line { table, line });
                    }
                }
            }
            None => {}
        }
    }

    fn meant(&self, ways: &Ways, way: &Way) -> bool {
        let holds = |list: &[u32], number| list.iter().any(|&listed| listed as usize == number);
        match ways {
            Ways::Ports(ports) => way.seat.is_some_and(|(port, _)| holds(ports, port)),
            Ways::Cables(cables) => way.seat.is_some_and(|(_, cable)| holds(cables, cable)),
            Ways::Takes(row, most) => {
                let of_row = way.takes.iter().find(|(r, _)| *r == *row as usize);
                of_row.map_or(0, |(_, taken)| *taken) <= *most
            }
            Ways::Stays => way.seat.is_none(),
        }
    }

    fn table(&self, charger: u32) -> Option<usize> {
        let tables = &self.program.tables;
        tables.iter().position(|t| t.charger == charger as usize)
    }
}

/// In how many parts a node is split.
fn parts(branch: Option<&Branch>) -> usize {
    match branch {
        None => 0,
        Some(Branch::Device(_)) => 2,
        Some(Branch::Lines(lines)) => lines.sets.len(),
    }
}

/// A list of numbers with values as a whole row of values, if it is in order.
fn listed(list: &[(u32, i64)], len: usize, fits: impl Fn(i64) -> bool) -> Option<Vec<i128>> {
    let mut all = vec![0; len];
    for &(at, value) in list {
        *all.get_mut(at as usize).filter(|_| fits(value))? = i128::from(value);
    }
    list.is_sorted_by(|a, b| a.0 < b.0).then_some(all)
}
