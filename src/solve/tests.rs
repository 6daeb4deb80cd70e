//! The kernel by itself: small random programs, each against trying every assignment.

use std::cmp::Reverse;

use super::backend::ENGINE;
use super::budget::Budget;
use super::levels::Levels;
use super::model::{
    ANY_LOAD, Assignment, Column, DominanceKey, Line, LineSets, Model, Row, RowOrigin, Table,
    index, small,
};
use super::search::Search;

#[allow(dead_code, reason = "the suites use more of it")]
#[expect(
    clippy::duplicate_mod,
    reason = "the tests of a room above use it, too"
)]
#[path = "../../tests/common/random_setup/rng.rs"]
mod rng;
use rng::Rng;

const PROGRAMS: u64 = 3_000;

/// A random program: up to five devices, three groups of places in pools, two kinds of
/// cables, and now and then a table over all groups.
#[expect(clippy::too_many_lines, reason = "part by part of one program")]
fn random_model(rng: &mut Rng) -> (Model, Vec<(Vec<bool>, i64)>) {
    let seats: Vec<usize> = (0..=rng.below(3)).map(|_| 1 + rng.below(2)).collect();
    let counts: Vec<usize> = (0..=rng.below(2)).map(|_| 1 + rng.below(3)).collect();
    let pools: Vec<(Vec<bool>, i64)> = (0..rng.below(3))
        .map(|_| {
            let over = seats.iter().map(|_| rng.below(3) > 0).collect();
            (over, small(4 + rng.below(12)))
        })
        .collect();
    // Every second one promises: pools have rows of loads beside.
    let promises = rng.below(2) == 0;
    let (mut columns, mut of_device) = (Vec::new(), Vec::new());
    let devices = 1 + rng.below(5);
    for _ in 0..devices {
        let from = columns.len();
        for listed in 0..rng.below(5) {
            let tier = small(1 + rng.below(6));
            let load = 1 + rng.below(8);
            columns.push(Column {
                listed: index(listed),
                port: rng.below(seats.len()),
                cable: rng.below(counts.len()),
                time: small(1 + rng.below(5)),
                watts: small(1 + rng.below(4)),
                contract: (tier, small(listed)),
                tier,
                takes: small(rng.below(7)).min(tier),
                hours: small(1 + rng.below(9)),
                load: small(load),
                needs: if promises {
                    small(rng.below(load + 1))
                } else {
                    0
                },
                assured: rng.below(4) == 0,
                late: rng.below(4) == 0,
                moved: false,
                first: 0,
                last: 0,
            });
        }
        columns[from..].sort_by_key(|column| {
            let takes = (column.takes, column.tier, column.watts);
            (column.port, takes, column.time, column.cable)
        });
        of_device.push(index(from)..index(columns.len()));
    }
    let tables = if rng.below(3) == 0 {
        let line = |rng: &mut Rng| {
            let granted: Vec<Option<i64>> = seats
                .iter()
                .map(|_| (rng.below(4) > 0).then(|| small(1 + rng.below(6))))
                .collect();
            Line {
                promised: granted.clone(),
                granted,
                needs: Vec::new(),
            }
        };
        let lines: Vec<Line> = (0..=rng.below(3)).map(|_| line(rng)).collect();
        let granted = |line: &Line| line.granted.clone();
        let promised: Vec<Vec<Option<i64>>> =
            lines.iter().filter(|_| promises).map(granted).collect();
        vec![Table {
            seats: seats.clone(),
            sets: LineSets::of(&promised),
            promised,
            lines,
        }]
    } else {
        Vec::new()
    };
    let mut before = 0;
    let listed_ports = seats.iter().map(|&seats| {
        before += seats;
        (before - seats..before).collect()
    });
    let mut model = Model {
        devices: (0..devices).collect(),
        missing: (0..devices).map(|_| small(1 + rng.below(9))).collect(),
        rank: (0..devices).map(|_| rng.below(3)).collect(),
        moved_away: None,
        sessions: 1,
        listed_ports: listed_ports.collect(),
        listed_cables: counts
            .iter()
            .enumerate()
            .map(|(cable, &count)| vec![cable; count])
            .collect(),
        table_of: (0..seats.len())
            .map(|group| (!tables.is_empty()).then_some((0, group)))
            .collect(),
        has_promises: promises,
        seats,
        tables,
        of_device,
        columns,
        rows: Vec::new(),
        coefficients: Vec::new(),
        starts: vec![0],
        row_signatures: Vec::new(),
        dominance_keys: Vec::new(),
    };
    add_rows(&mut model, &pools, &counts);
    (model, pools)
}

/// As if the devices had been anywhere before.
fn move_some(model: &mut Model, rng: &mut Rng) {
    model.moved_away = Some((0..model.len()).map(|_| rng.below(2) == 0).collect());
    for column in &mut model.columns {
        column.moved = rng.below(3) > 0;
    }
}

fn add_rows(model: &mut Model, pools: &[(Vec<bool>, i64)], counts: &[usize]) {
    let in_table = !model.tables.is_empty();
    let mut row = |origin: RowOrigin, cap: i64| model.rows.push(Row { origin, cap });
    for (pool, &(_, max)) in pools.iter().enumerate() {
        let (charger, session) = (0, 0);
        row(
            RowOrigin::Pool {
                charger,
                pool,
                session,
            },
            max,
        );
        if model.has_promises {
            let origin = RowOrigin::Load {
                charger,
                pool,
                session,
                max,
            };
            row(origin, ANY_LOAD);
        }
    }
    for (group, &count) in counts.iter().enumerate() {
        row(RowOrigin::Cable { group, session: 0 }, small(count));
    }
    if in_table {
        let all: Vec<usize> = (0..model.tables[0].lines.len()).collect();
        let (watts, ports) = (model.table_cap(0, &all), model.table_ports(0, &all));
        for (origin, cap) in [
            (RowOrigin::Table { table: 0 }, watts),
            (RowOrigin::TablePorts { table: 0 }, ports),
        ] {
            model.rows.push(Row { origin, cap });
        }
    }
    for column in model.columns.clone() {
        let mut loaded = false;
        for (r, row) in model.rows.iter().enumerate() {
            let takes = match row.origin {
                RowOrigin::Pool { pool, .. } if pools[pool].0[column.port] => column.takes,
                RowOrigin::Load { pool, .. } if pools[pool].0[column.port] => {
                    loaded = true;
                    column.load
                }
                RowOrigin::Cable { group, .. } if group == column.cable => 1,
                RowOrigin::Table { .. } => column.tier.max(column.needs),
                RowOrigin::TablePorts { .. } => 1,
                _ => 0,
            };
            if takes != 0 {
                model.coefficients.push((index(r), takes));
            }
        }
        model.starts.push(index(model.coefficients.len()));
        let bound = loaded && !column.assured;
        model.dominance_keys.push(DominanceKey {
            time: column.time,
            takes: column.takes,
            tier: if in_table {
                column.tier.max(column.needs)
            } else {
                0
            },
            needs: if in_table { column.needs } else { 0 },
            load: if loaded { column.load } else { 0 },
            slack: if bound {
                column.load - column.needs
            } else {
                ANY_LOAD
            },
            port: index(column.port),
            last: 0,
            in_need: false,
            cable: Some(index(column.cable)),
            late: column.late,
        });
    }
    model.number_signatures();
}

/// What assignments are compared by, the less the better, before and after their times: who
/// takes none by rank, what is missing, the late ones by rank; moves, hours, watts, and the
/// places as listed.
type Standing = (
    ([usize; 3], i64, [usize; 3]),
    [Vec<i64>; 2],
    (usize, i64, i64, Vec<(bool, usize, usize, (i64, i64))>),
);

fn standing(model: &Model, assignment: &Assignment) -> Standing {
    let mut unserved = [0; 3];
    let mut late = [0; 3];
    let mut missing = 0;
    let mut taken: Vec<&Column> = Vec::new();
    let mut listed = Vec::new();
    let mut moves = 0;
    let counted = model.moved_away.as_ref();
    let mut times = [Vec::new(), Vec::new()];
    for (device, column) in assignment.iter().enumerate() {
        let rank = model.rank[device];
        let Some(column) = column else {
            unserved[rank] += 1;
            missing += model.missing[device];
            moves += usize::from(counted.is_some_and(|away| away[device]));
            listed.push((true, 0, 0, (0, 0)));
            continue;
        };
        let column = model.column(*column);
        moves += usize::from(counted.is_some() && column.moved);
        let on_port = taken.iter().filter(|c| c.port == column.port).count();
        let on_cable = taken.iter().filter(|c| c.cable == column.cable).count();
        listed.push((
            false,
            model.listed_port(column.port, on_port),
            model.listed_cable(column.cable, on_cable),
            column.contract,
        ));
        late[rank] += usize::from(column.late);
        times[usize::from(rank == 2)].push(column.time);
        taken.push(column);
    }
    for times in &mut times {
        times.sort_by_key(|&time| Reverse(time));
    }
    let hours = taken.iter().map(|column| column.hours).sum();
    let watts = taken.iter().map(|column| column.watts).sum();
    (
        (unserved, missing, late),
        times,
        (moves, hours, watts, listed),
    )
}

/// Whether what is left to each device is what it needs, by the definitions.
fn promises_hold(model: &Model, assignment: &Assignment, pools: &[(Vec<bool>, i64)]) -> bool {
    if !model.has_promises {
        return true;
    }
    let taken: Vec<&Column> = assignment
        .iter()
        .flatten()
        .map(|&c| model.column(c))
        .collect();
    let lines: Vec<&Vec<Option<i64>>> = model
        .tables
        .iter()
        .flat_map(|table| &table.promised)
        .collect();
    let holding = |line: &&Vec<Option<i64>>| taken.iter().all(|c| line[c.port].is_some());
    let within = |small: &[Option<i64>], large: &[Option<i64>]| {
        (0..small.len()).all(|g| small[g].is_none() || large[g].is_some())
    };
    let governing: Vec<&Vec<Option<i64>>> = lines
        .iter()
        .copied()
        .filter(holding)
        .filter(|line| {
            let mut others = lines.iter().copied().filter(holding);
            !others.any(|other| within(other, line) && !within(line, other))
        })
        .collect();
    let given = |group: usize| governing.iter().filter_map(move |line| line[group]);
    let load = |c: &Column| given(c.port).max().map_or(c.load, |most| most.min(c.load));
    taken.iter().enumerate().all(|(at, own)| {
        let by_table = given(own.port).all(|watts| own.needs <= watts);
        let by_pools = pools.iter().all(|(over, max)| {
            let others = taken
                .iter()
                .enumerate()
                .filter(|(i, c)| *i != at && over[c.port]);
            !over[own.port] || own.needs <= max - others.map(|(_, c)| load(c)).sum::<i64>()
        });
        by_table && (own.assured || by_pools)
    })
}

/// Whether an assignment keeps every group, row and table, by the definitions.
fn keeps(model: &Model, assignment: &Assignment, pools: &[(Vec<bool>, i64)]) -> bool {
    let taken = || assignment.iter().flatten().copied();
    let groups_hold = (0..model.seats.len())
        .all(|g| taken().filter(|&c| model.column(c).port == g).count() <= model.seats[g]);
    let rows_hold = (0..model.rows.len()).all(|r| {
        let of_row = |c: u32| {
            let found = model.takes(c).iter().find(|(row, _)| *row == index(r));
            found.map_or(0, |(_, takes)| *takes)
        };
        taken().map(of_row).sum::<i64>() <= model.rows[r].cap
    });
    let granted = |line: &Line| {
        taken().all(|c| {
            let column = model.column(c);
            line.granted[column.port].is_some_and(|watts| column.tier <= watts)
        })
    };
    let tables_hold = model
        .tables
        .iter()
        .all(|table| taken().next().is_none() || table.lines.iter().any(granted));
    groups_hold && rows_hold && tables_hold && promises_hold(model, assignment, pools)
}

/// The best of all assignments: those left by one level after the other, each place in the
/// list of times within the tolerance of its own least.
fn brute_force(model: &Model, pools: &[(Vec<bool>, i64)], tolerance: i64) -> Standing {
    fn go(model: &Model, pools: &[(Vec<bool>, i64)], at: &mut Assignment, all: &mut Vec<Standing>) {
        if at.len() == model.len() {
            if keeps(model, at, pools) {
                all.push(standing(model, at));
            }
            return;
        }
        let columns = model.of_device[at.len()].clone();
        for column in columns.map(Some).chain([None]) {
            at.push(column);
            go(model, pools, at, all);
            at.pop();
        }
    }
    let mut all = Vec::new();
    go(model, pools, &mut Vec::new(), &mut all);
    let first = all
        .iter()
        .map(|standing| standing.0)
        .min()
        .expect("taking none keeps all");
    all.retain(|standing| standing.0 == first);
    for class in 0..2 {
        for place in 0..all[0].1[class].len() {
            let least = all.iter().map(|standing| standing.1[class][place]).min();
            let most = least.expect("some are left") + tolerance;
            all.retain(|standing| standing.1[class][place] <= most);
        }
    }
    all.into_iter()
        .min_by(|a, b| a.2.cmp(&b.2))
        .expect("some are left")
}

#[test]
fn the_best_assignment_is_that_of_brute_force() {
    let (mut crowded, mut with_table, mut promising, mut moving) = (0, 0, 0, 0);
    for seed in 0..PROGRAMS {
        let (mut model, pools) = random_model(&mut Rng::new(seed));
        if seed % 2 == 0 {
            move_some(&mut model, &mut Rng::new(seed));
        }
        let tolerance = small(usize::try_from(seed % 3).unwrap_or(0));
        let search = Search::new(&model, &ENGINE, Budget::of_steps(1_000_000));
        let outcome = Levels::new(search).within(tolerance).solve();
        assert!(outcome.proven, "program {seed}");
        assert!(keeps(&model, &outcome.assignment, &pools), "program {seed}");
        let found = standing(&model, &outcome.assignment);
        let best = brute_force(&model, &pools, tolerance);
        assert_eq!((&found.0, &found.2), (&best.0, &best.2), "program {seed}");
        crowded += u64::from(found.0.0 != [0; 3]);
        with_table += u64::from(!model.tables.is_empty());
        moving += u64::from(found.2.0 > 0);
        promising += u64::from(model.has_promises && !pools.is_empty());
    }
    // So that the programs are worth their name.
    assert!(crowded > PROGRAMS / 4, "{crowded} with somebody left out");
    assert!(with_table > PROGRAMS / 5, "{with_table} with a table");
    assert!(
        promising > PROGRAMS / 4,
        "{promising} with promises in pools"
    );
    assert!(moving > PROGRAMS / 10, "{moving} with moves");
}
