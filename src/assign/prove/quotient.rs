//! The rows and ways of a proof, with equal ports and equal cables taken together: as
//! long as all of a class have one price, they stay equal in every node.

use std::collections::BTreeMap;

use crate::plan::proof::Step;
use crate::verify::program::{Program, Table, Way};

/// A way on any port and through any cable of its classes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ClassWay {
    pub(super) port: Option<usize>,
    pub(super) cable: Option<usize>,
    /// Rows with what is taken from them, each above 0.
    pub(super) takes: Vec<(usize, i64)>,
}

impl ClassWay {
    pub(super) fn taken(&self, row: usize) -> i64 {
        let of_row = self.takes.iter().find(|(r, _)| *r == row);
        of_row.map_or(0, |(_, taken)| *taken)
    }
}

/// Rows are numbered as in the program; of a class of cables the first one's row stands
/// for all.
#[derive(Debug)]
pub(super) struct Quotient {
    /// Numbers of the ports of each class.
    pub(super) ports: Vec<Vec<u32>>,
    /// Numbers of the cables of each class.
    pub(super) cables: Vec<Vec<u32>>,
    /// The row of the first cable of all.
    cable_rows: usize,
    pub(super) ways: Vec<Vec<ClassWay>>,
    pub(super) caps: Vec<Option<i64>>,
    /// The tables, their lines by class of ports.
    pub(super) tables: Vec<Table>,
}

impl Quotient {
    pub(super) fn of(program: &Program) -> Self {
        let ports = port_classes(program);
        let cables = cable_classes(program);
        let first = |classes: &[Vec<u32>], number: usize| {
            let member = |class: &Vec<u32>| class[0] as usize == number;
            classes.iter().position(member)
        };
        let ways = program.ways.iter().map(|ways| {
            let class_way = |way: &Way| {
                let (port, cable) = match way.seat {
                    None => (None, None),
                    Some((port, cable)) => {
                        (Some(first(&ports, port)?), Some(first(&cables, cable)?))
                    }
                };
                Some(ClassWay {
                    port,
                    cable,
                    takes: way.takes.clone(),
                })
            };
            ways.iter().filter_map(class_way).collect()
        });
        let ways = ways.collect();
        let mut caps = program.caps.clone();
        for class in &cables {
            let rows = || class.iter().map(|&k| program.cables + k as usize);
            let sum = rows().map(|row| program.caps[row].unwrap_or(0)).sum();
            for (at, row) in rows().enumerate() {
                caps[row] = (at == 0).then_some(sum);
            }
        }
        let by_class =
            |line: &Vec<Option<i64>>| ports.iter().map(|p| line[p[0] as usize]).collect();
        let table = |table: &Table| Table {
            lines: table.lines.iter().map(by_class).collect(),
            ..*table
        };
        Self {
            tables: program.tables.iter().map(table).collect(),
            cable_rows: program.cables,
            ways,
            caps,
            ports,
            cables,
        }
    }

    /// The row of a class of cables.
    pub(super) fn cable_row(&self, class: usize) -> usize {
        self.cable_rows + self.cables[class][0] as usize
    }

    /// The step of the proof: every member has the price of its class.
    pub(super) fn step(&self, rows: &[i64], ports: &[i64], bound: i64) -> Step {
        let mut step = Step {
            bound,
            ..Step::default()
        };
        let index = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
        for (row, &price) in rows.iter().enumerate().filter(|(_, price)| **price != 0) {
            let class = self
                .cables
                .iter()
                .find(|c| self.cable_rows + c[0] as usize == row);
            match class {
                None => step.rows.push((index(row), price)),
                Some(class) => {
                    let members = class.iter().map(|k| (index(self.cable_rows) + k, price));
                    step.rows.extend(members);
                }
            }
        }
        for (class, &price) in self
            .ports
            .iter()
            .zip(ports)
            .filter(|(_, price)| **price != 0)
        {
            step.ports.extend(class.iter().map(|&port| (port, price)));
        }
        step.rows.sort_unstable();
        step.ports.sort_unstable();
        step
    }
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
