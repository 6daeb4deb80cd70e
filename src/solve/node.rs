//! A node of the tree: what is open in it, and what follows from that for the lines of tables.

use super::goal::Domains;
use super::model::{Line, Model, RowOrigin, Table};
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
        let mut in_use = blank(model, false);
        for (_, ways) in self.live.each() {
            for column in ways.iter().filter_map(|&way| subproblem.way(way).column) {
                for (table, place) in model.in_tables(column) {
                    in_use[table][place] = true;
                }
            }
        }
        let mut dropped = false;
        let mut most = blank(model, (0, 0));
        for (t, (table, lines)) in model.tables.iter().zip(&mut self.lines).enumerate() {
            let before = lines.len();
            lines.retain(|&line| {
                let needs = &table.lines[line].needs;
                needs
                    .iter()
                    .all(|set| set.iter().any(|&place| in_use[t][place]))
            });
            dropped |= lines.len() < before;
            for (place, most) in most[t].iter_mut().enumerate() {
                let most_of = |of: &dyn Fn(&Line) -> Option<i64>| {
                    let lines = lines.iter().filter_map(|&line| of(&table.lines[line]));
                    lines.max().unwrap_or(0)
                };
                *most = (
                    most_of(&|line| line.granted[place]),
                    most_of(&|line| line.promised[place]),
                );
            }
        }
        let deleted = self.live.retain(|_, way| {
            let column = subproblem.way(way).column;
            column.is_none_or(|column| {
                let of_column = model.column(column);
                let mut tables = model.in_tables(column);
                tables.all(|(table, place)| {
                    let (granted, promised) = most[table][place];
                    of_column.tier <= granted && of_column.needs <= promised
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
        let model = subproblem.model;
        for (lane, cap) in subproblem.lanes.iter().zip(&mut self.caps) {
            let RowKind::Fixed(row) = *lane else { continue };
            match model.rows[row].origin {
                RowOrigin::Table { table } => *cap = model.table_cap(table, &self.lines[table]),
                RowOrigin::TablePorts { table } => {
                    *cap = model.table_ports(table, &self.lines[table]);
                }
                _ => {}
            }
        }
    }
}

/// A value for every group of every table.
fn blank<T: Clone>(model: &Model, value: T) -> Vec<Vec<T>> {
    let of_table = |table: &Table| vec![value.clone(); table.seats.len()];
    model.tables.iter().map(of_table).collect()
}
