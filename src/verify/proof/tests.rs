//! The rules of the check never lose a plan: small programs, all of their plans by
//! enumeration, and random steps and splits down to wherever the plan must then be.

use super::super::program::{Program, Table, Way};
use super::node::Plans;
use crate::plan::proof::{Branch, Lines, Split, Step, Ways};

const PORTS: usize = 4;
const CABLES: usize = 2;
/// Two pools, the cables, one table, three priorities, missing watt-hours, late devices.
const FIRST_CABLE: usize = 2;
const TABLE: usize = 4;
const UNSERVED: usize = 5;
const ROWS: usize = 10;

/// A small generator of its own: a seed is the same program everywhere.
struct Rng(u64);

impl Rng {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % n
    }

    fn from(&mut self, low: i64, high: i64) -> i64 {
        let span = usize::try_from(high - low + 1).expect("a range");
        low + i64::try_from(self.below(span)).expect("small")
    }
}

fn program(rng: &mut Rng) -> Program {
    let devices = 2 + rng.below(3);
    let mut caps = vec![Some(rng.from(2, 9)), Some(rng.from(2, 9))];
    caps.extend((0..CABLES).map(|_| Some(rng.from(1, 3))));
    caps.push(None);
    caps.extend((UNSERVED..ROWS).map(|_| (rng.below(2) == 0).then(|| rng.from(0, 3))));
    let lines = (0..=rng.below(4)).map(|_| {
        let mut line: Vec<Option<i64>> = (0..PORTS)
            .map(|port| (port < 3 && rng.below(3) > 0).then(|| rng.from(1, 5)))
            .collect();
        line[rng.below(3)].get_or_insert(2);
        line
    });
    let tables = vec![Table {
        charger: 0,
        row: TABLE,
        lines: lines.collect(),
    }];
    let mut ways: Vec<Vec<Way>> = Vec::new();
    for device in 0..devices {
        if device > 0 && rng.below(2) == 0 {
            let twin = ways[device - 1].clone();
            ways.push(twin);
            continue;
        }
        let stays = Way {
            seat: None,
            takes: vec![(UNSERVED + 1, 1), (UNSERVED + 3, 2)],
            time: 0,
        };
        let mut of_device = vec![stays];
        for _ in 0..=rng.below(6) {
            let (port, cable) = (rng.below(PORTS), rng.below(CABLES));
            let watts = rng.from(1, 5);
            let mut takes = Vec::new();
            if port < 2 {
                takes.push((0, watts));
            }
            takes.push((1, watts));
            takes.push((FIRST_CABLE + cable, 1));
            if port < 3 {
                takes.push((TABLE, watts));
            }
            if rng.below(4) == 0 {
                takes.push((ROWS - 1, 1));
            }
            of_device.push(Way {
                seat: Some((port, cable)),
                takes,
                time: 1,
            });
        }
        ways.push(of_device);
    }
    Program {
        ways,
        caps,
        tables,
        ports: PORTS,
        cables: FIRST_CABLE,
        unserved: UNSERVED,
    }
}

/// The lines of the table that govern the ports in use and grant what is taken.
fn respected(program: &Program, plan: &[usize]) -> Option<Vec<usize>> {
    let seated = plan.iter().zip(&program.ways).map(|(&at, ways)| &ways[at]);
    let used = seated.filter_map(|way| way.seat.map(|(port, _)| (port, way.taken(TABLE))));
    let used: Vec<(usize, i64)> = used.filter(|(_, tier)| *tier > 0).collect();
    if used.is_empty() {
        return None;
    }
    let lines = &program.tables[0].lines;
    let holds = |line: &Vec<Option<i64>>| used.iter().all(|(port, _)| line[*port].is_some());
    let ports = |line: &Vec<Option<i64>>| -> Vec<usize> {
        (0..PORTS).filter(|&port| line[port].is_some()).collect()
    };
    let governs = |line: &Vec<Option<i64>>| {
        let of = ports(line);
        let less = |other: &Vec<Option<i64>>| {
            let fewer = ports(other);
            fewer.len() < of.len() && fewer.iter().all(|port| of.contains(port)) && holds(other)
        };
        holds(line) && !lines.iter().any(less)
    };
    let grants = |line: &Vec<Option<i64>>| used.iter().all(|(p, tier)| Some(*tier) <= line[*p]);
    let good = |&at: &usize| governs(&lines[at]) && grants(&lines[at]);
    Some((0..lines.len()).filter(good).collect())
}

fn is_plan(program: &Program, plan: &[usize]) -> bool {
    let ways = || plan.iter().zip(&program.ways).map(|(&at, ways)| &ways[at]);
    let rows_hold = (0..ROWS).all(|row| {
        let taken: i64 = ways().map(|way| way.taken(row)).sum();
        program.caps[row].is_none_or(|cap| taken <= cap)
    });
    let on = |port: usize| {
        ways()
            .filter(|way| way.seat.is_some_and(|(p, _)| p == port))
            .count()
    };
    rows_hold
        && (0..PORTS).all(|port| on(port) <= 1)
        && respected(program, plan).is_none_or(|lines| !lines.is_empty())
}

fn all_plans(program: &Program) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for ways in &program.ways {
        let longer = |plan: &Vec<usize>| {
            let plan = plan.clone();
            (0..ways.len()).map(move |way| [&plan[..], &[way]].concat())
        };
        all = all.iter().flat_map(longer).collect();
    }
    all.retain(|plan| is_plan(program, plan));
    all
}

fn index(number: usize) -> u32 {
    u32::try_from(number).expect("small")
}

/// Random prices with the bound that they have.
fn step(rng: &mut Rng, program: &Program, node: &mut Plans<'_>) -> Step {
    let capped = |row: &usize| program.caps[*row].is_some() || *row == TABLE;
    let rows = (0..ROWS).filter(capped).filter(|_| rng.below(2) == 0);
    let rows: Vec<u32> = rows.map(index).collect();
    let mut step = Step {
        rows: rows.into_iter().map(|row| (row, rng.from(1, 4))).collect(),
        ports: Vec::new(),
        bound: i64::MIN,
    };
    for port in 0..PORTS {
        if rng.below(3) == 0 {
            step.ports.push((index(port), rng.from(-6, -1)));
        }
    }
    let said = node.step(&step).expect_err("no bound is so low");
    let bound = said.trim_start_matches("the bound is ").split(',').next();
    step.bound = bound.and_then(|text| text.parse().ok()).expect("a bound");
    step
}

fn split(rng: &mut Rng, program: &Program, node: &Plans<'_>, device: usize) -> Split {
    let ways = match rng.below(4) {
        0 => Ways::Stays,
        1 => Ways::Ports(
            (0..PORTS)
                .filter(|_| rng.below(2) == 0)
                .map(index)
                .collect(),
        ),
        2 => Ways::Cables(vec![index(rng.below(CABLES))]),
        _ => Ways::Takes(index(rng.below(ROWS)), rng.from(0, 4)),
    };
    let alone = |twins: Vec<u32>| Split {
        device: index(device),
        ways: ways.clone(),
        twins,
    };
    let others = (0..program.ways.len())
        .filter(|&other| other != device)
        .map(index);
    let twin = |&other: &u32| node.may_split(&Branch::Device(alone(vec![other]))).is_ok();
    alone(others.filter(twin).collect())
}

fn is_meant(ways: &Ways, way: &Way) -> bool {
    match ways {
        Ways::Ports(ports) => way
            .seat
            .is_some_and(|(port, _)| ports.contains(&index(port))),
        Ways::Cables(cables) => way
            .seat
            .is_some_and(|(_, cable)| cables.contains(&index(cable))),
        Ways::Takes(row, most) => way.taken(*row as usize) <= *most,
        Ways::Stays => way.seat.is_none(),
    }
}

/// Follows a plan through random rules; how many twins changed places on the way.
fn follow(rng: &mut Rng, program: &Program, mut plan: Vec<usize>) -> u32 {
    let mut node = Plans::all(program);
    let mut swapped = 0;
    assert!(!node.settle(), "there is a plan");
    for _ in 0..8 {
        match rng.below(4) {
            0 | 1 => {
                let step = step(rng, program, &mut node);
                assert_eq!(node.step(&step), Ok(false), "{step:?}");
            }
            2 => {
                let device = rng.below(plan.len());
                let split = split(rng, program, &node, device);
                let is_so =
                    |plan: &[usize], d: usize| is_meant(&split.ways, &program.ways[d][plan[d]]);
                let twin = split.twins.iter().map(|&twin| twin as usize);
                if !is_so(&plan, device)
                    && let Some(twin) = twin.into_iter().find(|&twin| is_so(&plan, twin))
                {
                    let like = |of: usize, to: usize| {
                        let way = &program.ways[of][plan[of]];
                        let same = |&at: &usize| {
                            let other = &program.ways[to][at];
                            node.open[to][at]
                                && (other.seat, &other.takes) == (way.seat, &way.takes)
                        };
                        (0..program.ways[to].len())
                            .find(same)
                            .expect("they are twins")
                    };
                    (plan[device], plan[twin]) = (like(twin, device), like(device, twin));
                    assert!(is_plan(program, &plan));
                    swapped += 1;
                }
                let part = usize::from(!is_so(&plan, device));
                let branch = Branch::Device(split);
                assert_eq!(node.may_split(&branch), Ok(()));
                node.enter(Some(&branch), part);
                assert!(
                    !node.settle(),
                    "the plan is lost in part {part}: {branch:?}"
                );
            }
            _ => {
                let parts = 1 + rng.below(3);
                let mut sets = vec![Vec::new(); parts];
                for line in 0..program.tables[0].lines.len() {
                    sets[rng.below(parts)].push(index(line));
                }
                let left = &node.open[program.ways.len()];
                let part = match respected(program, &plan) {
                    None => rng.below(parts),
                    Some(lines) => {
                        let line = lines.into_iter().find(|&line| left[line]);
                        let line = index(line.expect("a line is left that governs and grants"));
                        sets.iter()
                            .position(|set| set.contains(&line))
                            .expect("all are in")
                    }
                };
                let branch = Branch::Lines(Lines { charger: 0, sets });
                assert_eq!(node.may_split(&branch), Ok(()));
                node.enter(Some(&branch), part);
                assert!(
                    !node.settle(),
                    "the plan is lost in part {part}: {branch:?}"
                );
            }
        }
        for (device, &way) in plan.iter().enumerate() {
            assert!(
                node.open[device][way],
                "way {way} of device {device} is closed"
            );
        }
    }
    swapped
}

#[test]
fn no_rule_loses_a_plan() {
    let (mut followed, mut swapped) = (0, 0);
    for seed in 0..400 {
        let mut rng = Rng(seed);
        let program = program(&mut rng);
        for plan in all_plans(&program).into_iter().take(60) {
            followed += 1;
            swapped += follow(&mut rng, &program, plan);
        }
    }
    assert!(
        followed > 2_000 && swapped > 100,
        "{followed} plans, {swapped} swaps"
    );
}
