//! What is the same in every question about a model, worked out once for all of them: which
//! columns make others superfluous, what caps hang on, what the lines of tables come to.

use super::model::{Column, DominanceKey, Model, RowOrigin, Table};

/// What the cap of a row depends on beside the model.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum CapOf {
    Model,
    /// The lines of a table that are left: the most that one of them grants in sum.
    Table(usize),
    /// The same, the most ports that one of them grants.
    TablePorts(usize),
    /// Who takes from the loads of a pool: they may come to so much beside their slack.
    Loads(i64),
}

/// A table, as far as questions ask the same of it again and again.
#[derive(Debug)]
pub(crate) struct TableSums {
    /// Its groups of ports, each with its place in the table.
    pub(crate) ports: Vec<(usize, usize)>,
    /// How many places there are in groups that are in another table, or in none.
    pub(crate) elsewhere: usize,
    /// By line, what it grants to all of its ports in sum, and to how many.
    granted: Vec<(i64, i64)>,
    /// By line of [`Table::promised`], the number of ports that it grants something.
    pub(crate) promised_ports: Vec<usize>,
}

/// So many columns of one device on one port are compared once; more are compared anew.
const MOST_COMPARED: usize = 64;

/// Not among the columns that are compared once.
const ALONE: u8 = u8::MAX;

/// In no table.
const NO_PLACE: usize = usize::MAX;

/// Of one model; worked out when it is first asked for.
#[derive(Debug, Default)]
pub(crate) struct Compiled {
    known: bool,
    /// By row.
    pub(crate) caps: Vec<CapOf>,
    /// By column, its place among those of its device on its port.
    places: Vec<u8>,
    /// By column, as a set of such places, those that it is no worse than, whatever is asked:
    /// times, costs and slack aside.
    beats: Vec<u64>,
    /// Those of one session.
    pub(crate) tables: Vec<TableSums>,
    /// By group of ports, its place among those of all tables of a session.
    place_of: Vec<usize>,
    /// How many places the tables of a session have.
    places_of_session: usize,
}

impl Compiled {
    /// Works it out, where that was not done. Whether it was not.
    pub(crate) fn learn(&mut self, model: &Model) -> bool {
        if std::mem::replace(&mut self.known, true) {
            return false;
        }
        let cap_of = |origin: RowOrigin| match origin {
            RowOrigin::Table { table } => CapOf::Table(table),
            RowOrigin::TablePorts { table } => CapOf::TablePorts(table),
            RowOrigin::Load { max, .. } => CapOf::Loads(max),
            RowOrigin::Pool { .. } | RowOrigin::Ports { .. } | RowOrigin::Cable { .. } => {
                CapOf::Model
            }
        };
        self.caps = model.rows.iter().map(|row| cap_of(row.origin)).collect();
        self.compare_columns(model);
        let of_session = model.tables.len() / model.sessions.max(1);
        self.place_of = vec![NO_PLACE; model.table_of.len()];
        for (t, table) in model.tables[..of_session].iter().enumerate() {
            let sums = TableSums::of(model, t, table);
            for &(port, place) in &sums.ports {
                self.place_of[port] = self.places_of_session + place;
            }
            self.places_of_session += table.seats.len();
            self.tables.push(sums);
        }
        true
    }

    fn compare_columns(&mut self, model: &Model) {
        self.places.resize(model.columns.len(), ALONE);
        self.beats.resize(model.columns.len(), 0);
        for range in &model.of_device {
            let range = range.start as usize..range.end as usize;
            let mut from = range.start;
            for of_port in model.dominance_keys[range].chunk_by(|a, b| a.port == b.port) {
                let columns = from..from + of_port.len();
                from = columns.end;
                if of_port.len() > MOST_COMPARED {
                    continue;
                }
                for ((place, own), column) in (0..).zip(of_port).zip(columns) {
                    self.places[column] = place;
                    let others = of_port.iter().enumerate();
                    let beaten = others.filter(|(_, other)| is_no_worse(own, other));
                    self.beats[column] = beaten.fold(0, |set, (other, _)| set | 1 << other);
                }
            }
        }
    }

    /// Whether a column is no worse than another of its device on its port, times, costs and
    /// slack aside.
    pub(crate) fn no_worse(&self, model: &Model, column: u32, other: u32) -> bool {
        match self.places[other as usize] {
            ALONE => is_no_worse(model.dominance_key(column), model.dominance_key(other)),
            place => self.beats[column as usize] >> place & 1 == 1,
        }
    }

    /// How many places all tables have.
    pub(crate) fn table_places(&self, model: &Model) -> usize {
        self.places_of_session * model.sessions
    }

    /// The places that a column takes in tables, one for each session, numbered over all tables.
    pub(crate) fn in_tables(&self, column: &Column) -> impl Iterator<Item = usize> + use<> {
        let (place, step) = (self.place_of[column.port], self.places_of_session);
        let sessions = if place == NO_PLACE {
            0..0
        } else {
            column.first..column.last + 1
        };
        sessions.map(move |session| session * step + place)
    }

    /// The most that one of `lines` grants in sum.
    pub(crate) fn table_cap(&self, table: usize, lines: &[usize]) -> i64 {
        let granted = &self.tables[table % self.tables.len()].granted;
        lines.iter().map(|&line| granted[line].0).max().unwrap_or(0)
    }

    /// The most ports that one of `lines` grants.
    pub(crate) fn table_ports(&self, table: usize, lines: &[usize]) -> i64 {
        let granted = &self.tables[table % self.tables.len()].granted;
        lines.iter().map(|&line| granted[line].1).max().unwrap_or(0)
    }
}

impl TableSums {
    fn of(model: &Model, t: usize, table: &Table) -> Self {
        let here = |port: usize| model.table_of[port].filter(|&(of, _)| of == t);
        let groups = 0..model.table_of.len();
        let ports = groups.clone();
        let ports = ports.filter_map(|port| here(port).map(|(_, place)| (port, place)));
        let elsewhere = groups.filter(|&port| here(port).is_none());
        let granted = (0..table.lines.len())
            .map(|line| (model.table_cap(t, &[line]), model.table_ports(t, &[line])));
        let ports_of = |line: &Vec<Option<i64>>| {
            let ports = line.iter().zip(&table.seats);
            ports.filter_map(|(grants, &n)| grants.map(|_| n)).sum()
        };
        Self {
            ports: ports.collect(),
            elsewhere: elsewhere.map(|port| model.seats[port]).sum(),
            granted: granted.collect(),
            promised_ports: table.promised.iter().map(ports_of).collect(),
        }
    }
}

fn is_no_worse(own: &DominanceKey, other: &DominanceKey) -> bool {
    own.late <= other.late
        && own.needs <= other.needs
        && own.load <= other.load
        && own.takes <= other.takes
        && own.tier <= other.tier
        && (own.last == other.last || (own.last < other.last && !own.in_need))
        && (own.cable.is_none() || own.cable == other.cable)
}
