//! The kernel by itself: small random programs, each against trying every assignment.

use std::cmp::Reverse;

use super::backend::ENGINE;
use super::budget::Budget;
use super::levels::Levels;
use super::model::{
    Assignment, Column, DominanceKey, Line, Model, Row, RowOrigin, Table, index, small,
};
use super::search::Search;

#[allow(dead_code, reason = "the suites use more of it")]
#[path = "../../tests/common/random_setup/rng.rs"]
mod rng;
use rng::Rng;

const PROGRAMS: u64 = 3_000;

/// A random program: up to five devices, three groups of places in pools, two kinds of
/// cables, and now and then a table over all groups.
fn random_model(rng: &mut Rng) -> Model {
    let seats: Vec<usize> = (0..=rng.below(3)).map(|_| 1 + rng.below(2)).collect();
    let counts: Vec<usize> = (0..=rng.below(2)).map(|_| 1 + rng.below(3)).collect();
    let pools: Vec<(Vec<bool>, i64)> = (0..rng.below(3))
        .map(|_| {
            let over = seats.iter().map(|_| rng.below(3) > 0).collect();
            (over, small(4 + rng.below(12)))
        })
        .collect();
    let (mut columns, mut of_device) = (Vec::new(), Vec::new());
    let devices = 1 + rng.below(5);
    for _ in 0..devices {
        let from = columns.len();
        for listed in 0..rng.below(5) {
            let tier = small(1 + rng.below(6));
            columns.push(Column {
                listed: index(listed),
                port: rng.below(seats.len()),
                cable: rng.below(counts.len()),
                time: small(1 + rng.below(5)),
                watts: small(1 + rng.below(4)),
                contract: (tier, small(listed)),
                tier,
                takes: small(rng.below(7)).min(tier),
                late: rng.below(4) == 0,
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
        let line = |rng: &mut Rng| Line {
            granted: seats
                .iter()
                .map(|_| (rng.below(4) > 0).then(|| small(1 + rng.below(6))))
                .collect(),
            needs: Vec::new(),
        };
        vec![Table {
            seats: seats.clone(),
            lines: (0..=rng.below(3)).map(|_| line(rng)).collect(),
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
    model
}

fn add_rows(model: &mut Model, pools: &[(Vec<bool>, i64)], counts: &[usize]) {
    let in_table = !model.tables.is_empty();
    for (pool, (_, cap)) in pools.iter().enumerate() {
        let origin = RowOrigin::Pool {
            charger: 0,
            pool,
            session: 0,
        };
        model.rows.push(Row { origin, cap: *cap });
    }
    for (group, &count) in counts.iter().enumerate() {
        let origin = RowOrigin::Cable { group, session: 0 };
        let cap = small(count);
        model.rows.push(Row { origin, cap });
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
        for (r, row) in model.rows.iter().enumerate() {
            let takes = match row.origin {
                RowOrigin::Pool { pool, .. } if pools[pool].0[column.port] => column.takes,
                RowOrigin::Cable { group, .. } if group == column.cable => 1,
                RowOrigin::Table { .. } => column.tier,
                RowOrigin::TablePorts { .. } => 1,
                _ => 0,
            };
            if takes != 0 {
                model.coefficients.push((index(r), takes));
            }
        }
        model.starts.push(index(model.coefficients.len()));
        model.dominance_keys.push(DominanceKey {
            time: column.time,
            takes: column.takes,
            tier: if in_table { column.tier } else { 0 },
            port: index(column.port),
            last: 0,
            cable: Some(index(column.cable)),
            late: column.late,
        });
    }
    model.number_signatures();
}

/// What assignments are compared by, the less the better: who takes none by rank, what is
/// missing, the late ones, the times from the longest, watts, and the places as listed.
type Standing = (
    [usize; 3],
    i64,
    usize,
    Vec<i64>,
    i64,
    Vec<(bool, usize, usize, (i64, i64))>,
);

fn standing(model: &Model, assignment: &Assignment) -> Standing {
    let mut unserved = [0; 3];
    let mut missing = 0;
    let mut taken: Vec<&Column> = Vec::new();
    let mut listed = Vec::new();
    for (device, column) in assignment.iter().enumerate() {
        let Some(column) = column else {
            unserved[model.rank[device]] += 1;
            missing += model.missing[device];
            listed.push((true, 0, 0, (0, 0)));
            continue;
        };
        let column = model.column(*column);
        let on_port = taken.iter().filter(|c| c.port == column.port).count();
        let on_cable = taken.iter().filter(|c| c.cable == column.cable).count();
        listed.push((
            false,
            model.listed_port(column.port, on_port),
            model.listed_cable(column.cable, on_cable),
            column.contract,
        ));
        taken.push(column);
    }
    let mut times: Vec<i64> = taken.iter().map(|column| column.time).collect();
    times.sort_by_key(|&time| Reverse(time));
    let late = taken.iter().filter(|column| column.late).count();
    let watts = taken.iter().map(|column| column.watts).sum();
    (unserved, missing, late, times, watts, listed)
}

/// Whether an assignment keeps every group, row and table, by the definitions.
fn keeps(model: &Model, assignment: &Assignment) -> bool {
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
    groups_hold && rows_hold && tables_hold
}

/// The best of all assignments.
fn brute_force(model: &Model) -> Standing {
    fn go(model: &Model, at: &mut Assignment, best: &mut Option<Standing>) {
        if at.len() == model.len() {
            if keeps(model, at) {
                let found = standing(model, at);
                if best.as_ref().is_none_or(|best| found < *best) {
                    *best = Some(found);
                }
            }
            return;
        }
        let columns = model.of_device[at.len()].clone();
        for column in columns.map(Some).chain([None]) {
            at.push(column);
            go(model, at, best);
            at.pop();
        }
    }
    let mut best = None;
    go(model, &mut Vec::new(), &mut best);
    best.expect("taking none keeps everything")
}

#[test]
fn the_best_assignment_is_that_of_brute_force() {
    let (mut crowded, mut with_table) = (0, 0);
    for seed in 0..PROGRAMS {
        let model = random_model(&mut Rng::new(seed));
        let search = Search::new(&model, &ENGINE, Budget::of_steps(1_000_000));
        let outcome = Levels::new(search).solve();
        assert!(outcome.proven, "program {seed}");
        assert!(keeps(&model, &outcome.assignment), "program {seed}");
        let found = standing(&model, &outcome.assignment);
        assert_eq!(found, brute_force(&model), "program {seed}");
        crowded += u64::from(found.0 != [0; 3]);
        with_table += u64::from(!model.tables.is_empty());
    }
    // So that the programs are worth their name.
    assert!(crowded > PROGRAMS / 4, "{crowded} with somebody left out");
    assert!(with_table > PROGRAMS / 5, "{with_table} with a table");
}
