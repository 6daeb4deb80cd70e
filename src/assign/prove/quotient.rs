//! The rows and ways of a claim as the kernel's problem, with equal ports and equal cables
//! taken together: as long as all of a class have one price, they stay equal in every node.

use std::collections::BTreeMap;
use std::ops::Range;

use crate::plan::proof::{Claimed, Number, Step};
use crate::solve::bound::Prices;
use crate::solve::goal::{Domains, Goal, Limits};
use crate::solve::model::{
    ANY_LOAD, Column, DominanceKey, Line, LineSets, Model, Row, RowOrigin, Table, index,
};
use crate::solve::subproblem::{Buffers, Keep, RowKind, Subproblem};
use crate::verify::program::{Program, Way};

/// What no plan keeps that is better in one claimed number.
pub(super) struct Quotient {
    /// Numbers of the ports of each class: the kernel's groups of places.
    pub(super) ports: Vec<Vec<u32>>,
    /// Numbers of the cables of each class.
    pub(super) cables: Vec<Vec<u32>>,
    /// The devices that need a berth, and their ways.
    pub(super) model: Model,
    /// By table.
    chargers: Vec<usize>,
    /// By device of the model, what staying takes, in rows of the program.
    stays: Vec<Vec<(usize, i64)>>,
    /// By row of the model, those of the program: each cable of a class has one.
    rows: Vec<Vec<u32>>,
    /// By row of the program, that of the model, where it has one.
    numbers: Vec<Option<usize>>,
    /// The program's row of devices of priority 1 without a berth, those of the other counted
    /// numbers behind it.
    counted: usize,
    less: Number,
    /// The numbers before `less`.
    limits: Limits,
    /// The most that a better plan has of `less`.
    most: i64,
}

impl Quotient {
    pub(super) fn of(program: &Program, claimed: &Claimed, less: Number) -> Self {
        let better = program.better(claimed, less);
        let own = program.row_of(less);
        let cap = |at: usize| better.caps[better.unserved + at];
        let before = |at: usize| cap(at).filter(|_| own != Some(better.unserved + at));
        let mut quotient = Self {
            ports: port_classes(&better),
            cables: cable_classes(&better),
            model: Model {
                sessions: 1,
                starts: vec![0],
                ..Model::default()
            },
            chargers: better.tables.iter().map(|table| table.charger).collect(),
            stays: Vec::new(),
            rows: Vec::new(),
            numbers: vec![None; better.caps.len()],
            counted: better.unserved,
            less,
            limits: Limits {
                unserved: [0, 1, 2].map(|rank| before(rank).unwrap_or(i64::MAX)),
                missing: before(3),
                late: [0, 1, 2].map(|rank| before(4 + rank).unwrap_or(i64::MAX)),
                ..Limits::none()
            },
            most: own.and_then(|row| better.caps[row]).unwrap_or(0),
        };
        quotient.model.seats = quotient.ports.iter().map(Vec::len).collect();
        quotient.add_tables(&better);
        quotient.add_rows(&better);
        for (device, ways) in better.ways.iter().enumerate() {
            // One that needs no berth takes nothing, wherever it stays.
            let stay = program.ways[device].iter().find(|way| way.seat.is_none());
            if let Some(stay) = stay.filter(|stay| !stay.takes.is_empty()) {
                quotient.add_device(device, stay, ways);
            }
        }
        quotient.model.number_signatures();
        quotient
    }

    /// The question whether there is a better plan.
    pub(super) fn subproblem(&self) -> Subproblem<'_> {
        let goal = match self.less {
            Number::UnservedFirst => Goal::UnservedOf(0),
            Number::UnservedSecond => Goal::UnservedOf(1),
            Number::UnservedThird => Goal::UnservedOf(2),
            Number::Missing => Goal::Missing,
            Number::LateFirst => Goal::LateOf(0),
            Number::LateSecond => Goal::LateOf(1),
            Number::LateThird => Goal::LateOf(2),
            Number::Longest => Goal::Any,
        };
        Subproblem::of(
            &self.model,
            goal,
            &self.limits,
            self.most,
            &Domains::all(&self.model),
            Keep::All,
            Buffers::default(),
        )
    }

    fn add_tables(&mut self, better: &Program) {
        let model = &mut self.model;
        model.table_of = vec![None; self.ports.len()];
        for (t, table) in better.tables.iter().enumerate() {
            let mut in_table: Vec<bool> = vec![false; better.ports];
            for way in better.ways.iter().flatten() {
                if let Some((port, _)) = way.seat {
                    in_table[port] |= way.taken(table.row) > 0;
                }
            }
            let granted = |port: usize| table.lines.iter().any(|line| line[port].is_some());
            let (mut seats, mut firsts) = (Vec::new(), Vec::new());
            for (class, ports) in self.ports.iter().enumerate() {
                let first = ports[0] as usize;
                if in_table[first] || granted(first) {
                    model.table_of[class] = Some((t, firsts.len()));
                    seats.push(ports.len());
                    firsts.push(first);
                }
            }
            let by_class = |line: &Vec<Option<i64>>| -> Vec<Option<i64>> {
                firsts.iter().map(|&port| line[port]).collect()
            };
            let lines: Vec<Vec<Option<i64>>> = table.lines.iter().map(by_class).collect();
            let line = |granted: &Vec<Option<i64>>| Line {
                granted: granted.clone(),
                promised: granted.clone(),
                needs: lines
                    .iter()
                    .filter_map(|other| outside(granted, other))
                    .collect(),
            };
            model.tables.push(Table {
                seats,
                lines: lines.iter().map(line).collect(),
                promised: Vec::new(),
                sets: LineSets::default(),
            });
        }
    }

    fn add_rows(&mut self, better: &Program) {
        let mut add = |origin, cap, rows: Vec<u32>| {
            self.numbers[rows[0] as usize] = Some(self.rows.len());
            self.model.rows.push(Row { origin, cap });
            self.rows.push(rows);
        };
        for pool in 0..better.cables {
            let origin = RowOrigin::Pool {
                charger: 0,
                pool,
                session: 0,
            };
            add(
                origin,
                better.caps[pool].unwrap_or(i64::MAX),
                vec![index(pool)],
            );
        }
        for (group, class) in self.cables.iter().enumerate() {
            let rows: Vec<u32> = class.iter().map(|k| index(better.cables) + k).collect();
            let caps = rows.iter().map(|&row| better.caps[row as usize]);
            let cap = caps.map(|cap| cap.unwrap_or(0)).sum();
            add(RowOrigin::Cable { group, session: 0 }, cap, rows);
        }
        for (table, of) in better.tables.iter().enumerate() {
            // The lines that are left say how much.
            add(RowOrigin::Table { table }, 0, vec![index(of.row)]);
        }
    }

    /// A device, with the way in which it stays and those that a better plan may have.
    fn add_device(&mut self, device: usize, stay: &Way, ways: &[Way]) {
        let (mut rank, mut missing) = (0, 0);
        for &(row, taken) in &stay.takes {
            match row - self.counted {
                of_rank @ 0..=2 => rank = of_rank,
                _ => missing = taken,
            }
        }
        self.model.devices.push(device);
        self.model.rank.push(rank);
        self.model.missing.push(missing);
        let stays = ways.iter().find(|way| way.seat.is_none());
        self.stays
            .push(stays.map_or(Vec::new(), |way| way.takes.clone()));
        let from = index(self.model.columns.len());
        for way in ways {
            self.add_way(way);
        }
        let columns: Range<u32> = from..index(self.model.columns.len());
        self.model.of_device.push(columns);
    }

    /// A way on the first port and through the first cable of a class stands for all.
    fn add_way(&mut self, way: &Way) {
        let first = |classes: &[Vec<u32>], number: usize| {
            classes.iter().position(|class| class[0] as usize == number)
        };
        let Some((port, cable)) = way.seat else {
            return;
        };
        let (Some(port), Some(cable)) = (first(&self.ports, port), first(&self.cables, cable))
        else {
            return;
        };
        let model = &mut self.model;
        let (mut takes, mut tier, mut late) = (0, 0, false);
        for &(row, taken) in &way.takes {
            let Some(known) = self.numbers[row] else {
                late |= (4..7).contains(&(row - self.counted));
                continue;
            };
            model.coefficients.push((index(known), taken));
            match model.rows[known].origin {
                RowOrigin::Pool { .. } => takes = taken,
                RowOrigin::Table { .. } => tier = taken,
                _ => {}
            }
        }
        model.starts.push(index(model.coefficients.len()));
        model.columns.push(Column {
            listed: 0,
            port,
            cable,
            time: 0,
            watts: 0,
            contract: (0, 0),
            tier,
            takes,
            hours: 0,
            load: 0,
            needs: 0,
            assured: true,
            late,
            moved: false,
            first: 0,
            last: 0,
        });
        model.dominance_keys.push(DominanceKey {
            time: 0,
            takes,
            tier,
            needs: 0,
            load: 0,
            slack: ANY_LOAD,
            port: index(port),
            last: 0,
            cable: Some(index(cable)),
            late,
        });
    }

    /// The program's rows that a row of the subproblem stands for.
    pub(super) fn rows(&self, kind: RowKind) -> Vec<u32> {
        let counted = |at: usize| vec![index(self.counted + at)];
        match kind {
            RowKind::Fixed(row) => self.rows[row].clone(),
            RowKind::Unserved(rank) => counted(rank),
            RowKind::Missing => counted(3),
            RowKind::Late(rank) => counted(4 + rank),
            RowKind::Goal => {
                let place = Number::ALL.iter().position(|one| *one == self.less);
                place.map_or(Vec::new(), counted)
            }
            RowKind::Later(..)
            | RowKind::Moves
            | RowKind::AfterFirst
            | RowKind::Hours
            | RowKind::Watts => Vec::new(),
        }
    }

    /// The charger of a table.
    pub(super) fn charger(&self, table: usize) -> u32 {
        index(self.chargers[table])
    }

    /// The row of the table that a class of ports is in.
    pub(super) fn table_row(&self, class: usize) -> Option<u32> {
        let (table, _) = self.model.table_of[class]?;
        let of_table = |row: &Row| row.origin == RowOrigin::Table { table };
        let row = self.model.rows.iter().position(of_table)?;
        Some(self.rows[row][0])
    }

    /// Whether two devices have just the same ways open, port by port and in what they take.
    pub(super) fn same_ways(
        &self,
        subproblem: &Subproblem<'_>,
        (one, own): (usize, &[u32]),
        (other, ways): (usize, &[u32]),
    ) -> bool {
        let same = |(&a, &b): (&u32, &u32)| {
            let columns = (subproblem.way(a).column, subproblem.way(b).column);
            let (Some(a), Some(b)) = columns else {
                return columns == (None, None) && self.stays[one] == self.stays[other];
            };
            let model = &self.model;
            model.takes(a) == model.takes(b)
                && model.column(a).port == model.column(b).port
                && model.column(a).late == model.column(b).late
        };
        own.len() == ways.len() && own.iter().zip(ways).all(same)
    }

    /// The step of the proof: every member has the price of its class.
    pub(super) fn step(&self, kinds: &[RowKind], prices: &Prices, bound: i64) -> Step {
        let (mut rows, mut ports) = (Vec::new(), Vec::new());
        for (&kind, &price) in kinds.iter().zip(&prices.rows) {
            if price != 0 {
                rows.extend(self.rows(kind).into_iter().map(|row| (row, price)));
            }
        }
        for (class, &price) in self.ports.iter().zip(&prices.groups) {
            if price != 0 {
                ports.extend(class.iter().map(|&port| (port, price)));
            }
        }
        rows.sort_unstable();
        ports.sort_unstable();
        Step { rows, ports, bound }
    }
}

/// The places of a line beside those of another that has only some of its places: where none
/// of them is in use, the other one governs.
fn outside(line: &[Option<i64>], other: &[Option<i64>]) -> Option<Vec<usize>> {
    let pairs = || other.iter().zip(line);
    let within = pairs().all(|(other, line)| other.is_none() || line.is_some());
    let places = pairs().enumerate();
    let outside: Vec<usize> = places
        .filter(|(_, (other, line))| other.is_none() && line.is_some())
        .map(|(place, _)| place)
        .collect();
    (within && !outside.is_empty()).then_some(outside)
}

/// Ports on which every device has the same ways, and to which every line grants the
/// same.
fn port_classes(program: &Program) -> Vec<Vec<u32>> {
    let mut ways = vec![Vec::new(); program.ports];
    for (device, of_device) in program.ways.iter().enumerate() {
        for way in of_device {
            if let Some((port, _)) = way.seat {
                ways[port].push((device, &way.takes));
            }
        }
    }
    let granted = |port: usize| -> Vec<Option<i64>> {
        let lines = program.tables.iter().flat_map(|table| &table.lines);
        lines.map(|line| line[port]).collect()
    };
    classes((0..program.ports).map(|port| (&ways[port], granted(port))))
}

/// Cables through which every device has the same ways.
fn cable_classes(program: &Program) -> Vec<Vec<u32>> {
    let mut ways = Vec::new();
    for (device, of_device) in program.ways.iter().enumerate() {
        for way in of_device {
            if let Some((port, cable)) = way.seat {
                ways.resize_with(ways.len().max(cable + 1), Vec::new);
                let row = program.cables + cable;
                let others = way.takes.iter().filter(|(r, _)| *r != row);
                ways[cable].push((device, port, others.collect::<Vec<_>>()));
            }
        }
    }
    classes(ways.into_iter())
}

/// Numbers of equal things together, by the first of them.
fn classes<K: Ord>(keys: impl Iterator<Item = K>) -> Vec<Vec<u32>> {
    let mut known: BTreeMap<K, usize> = BTreeMap::new();
    let mut classes: Vec<Vec<u32>> = Vec::new();
    for (number, key) in (0..).zip(keys) {
        let class = *known.entry(key).or_insert(classes.len());
        if class == classes.len() {
            classes.push(Vec::new());
        }
        classes[class].push(number);
    }
    classes
}

#[cfg(test)]
mod tests {
    use super::classes;

    #[test]
    fn equal_things_are_together_and_the_first_comes_first() {
        assert_eq!(classes("abacb".chars()), [vec![0, 2], vec![1, 4], vec![3]]);
        assert!(classes("".chars()).is_empty());
    }
}
