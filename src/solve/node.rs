//! A node of the tree: what is open in it, and what follows from that for the lines of tables.

use super::compiled::CapOf;
use super::goal::Domains;
use super::model::{Line, Model};
use super::subproblem::{NodeDomains, RowKind, Subproblem};

/// What is still open, and by table the lines that are left.
#[derive(Debug, Clone)]
pub(crate) struct Node {
    pub(crate) live: NodeDomains,
    pub(crate) lines: Vec<Vec<usize>>,
    /// By row; those of tables fall with the lines that are left.
    pub(crate) caps: Vec<i64>,
}

impl Node {
    /// Where everything is open that a question leaves open.
    pub(crate) fn root(subproblem: &Subproblem<'_>, domains: &Domains) -> Self {
        Self {
            live: subproblem.all().clone(),
            lines: domains.lines.clone(),
            caps: subproblem.caps.clone(),
        }
    }

    /// Drops lines that cannot govern, since no place is in use that they need, and ways
    /// that no line left grants. Whether anything went.
    pub(crate) fn reduce_lines(&mut self, subproblem: &Subproblem<'_>) -> bool {
        let model = subproblem.model;
        if model.tables.is_empty() {
            return false;
        }
        let compiled = subproblem.compiled();
        let mut in_use = vec![false; compiled.table_places(model)];
        for (_, ways) in self.live.each() {
            for column in ways.iter().filter_map(|&way| subproblem.way(way).column) {
                for place in compiled.in_tables(model.column(column)) {
                    in_use[place] = true;
                }
            }
        }
        let mut dropped = false;
        // By place, the most that a line grants, and that it promises.
        let mut most = vec![(0, 0); in_use.len()];
        let mut from = 0;
        for (table, lines) in model.tables.iter().zip(&mut self.lines) {
            let places = from..from + table.seats.len();
            from = places.end;
            let in_use = &in_use[places.clone()];
            let before = lines.len();
            lines.retain(|&line| {
                let needs = &table.lines[line].needs;
                needs
                    .iter()
                    .all(|set| set.iter().any(|&place| in_use[place]))
            });
            dropped |= lines.len() < before;
            for &line in &*lines {
                let Line {
                    granted, promised, ..
                } = &table.lines[line];
                let of_line = granted.iter().zip(promised);
                for (most, (granted, promised)) in most[places.clone()].iter_mut().zip(of_line) {
                    most.0 = granted.unwrap_or(0).max(most.0);
                    most.1 = promised.unwrap_or(0).max(most.1);
                }
            }
        }
        let deleted = self.live.retain(|_, way| {
            let column = subproblem.way(way).column;
            column.is_none_or(|column| {
                let column = model.column(column);
                compiled.in_tables(column).all(|place| {
                    let (granted, promised) = most[place];
                    column.tier <= granted && column.needs <= promised
                })
            })
        });
        self.cap_tables(subproblem);
        dropped || deleted
    }

    /// The lines that are left, the most generous first.
    pub(crate) fn generous_first(&self, model: &Model, table: usize) -> Vec<usize> {
        let mut lines = self.lines[table].clone();
        lines.sort_by_key(|&line| (std::cmp::Reverse(model.table_cap(table, &[line])), line));
        lines
    }

    /// The part in which this line governs.
    pub(crate) fn with_line(&self, table: usize, line: usize) -> Self {
        let mut child = self.clone();
        child.lines[table] = vec![line];
        child
    }

    /// Sets the caps of the tables' rows to what the lines left allow.
    fn cap_tables(&mut self, subproblem: &Subproblem<'_>) {
        let compiled = subproblem.compiled();
        for (lane, cap) in subproblem.lanes.iter().zip(&mut self.caps) {
            let RowKind::Fixed(row) = *lane else { break };
            match compiled.caps[row] {
                CapOf::Table(table) => *cap = compiled.table_cap(table, &self.lines[table]),
                CapOf::TablePorts(table) => {
                    *cap = compiled.table_ports(table, &self.lines[table]);
                }
                CapOf::Model | CapOf::Loads(_) => {}
            }
        }
    }
}
