//! The integer program of a setup: its columns, its pools, tables and cables as
//! rows.

mod seat_rows;

use crate::assign::options::{self, CableGroup, Columns, PortGroup};
use crate::setup::Setup;
use crate::solve::model::{Column, DominanceKey, Line, Model, Row, RowOrigin, Table, index, small};
use crate::units::millionths;
use seat_rows::SeatRows;

impl Model {
    /// What a device of the model takes with a column.
    pub(super) fn taken<'c>(
        &self,
        columns: &'c Columns,
        device: usize,
        column: u32,
    ) -> &'c options::Column {
        &columns.by_device[self.devices[device]][self.column(column).listed as usize]
    }

    /// The program of a setup whose columns are known.
    pub(super) fn of(setup: &Setup, columns: &Columns) -> Self {
        let devices: Vec<usize> = (0..setup.devices.len())
            .filter(|&d| setup.devices[d].needs_berth())
            .collect();
        let mut all = Vec::new();
        let mut of_device = Vec::new();
        for &device in &devices {
            let from = index(all.len());
            all.extend(columns.by_device[device].iter().map(|column| column.whole));
            // Port by port, what takes the least first.
            all[from as usize..].sort_by_key(|column| {
                let takes = (column.takes, column.tier, column.watts);
                (column.first, column.port, takes, column.time, column.cable)
            });
            of_device.push(from..index(all.len()));
        }
        let (tables, table_of) = tables(setup, columns);
        let mut model = Self {
            missing: devices
                .iter()
                .map(|&d| millionths(setup.devices[d].missing_wh()))
                .collect(),
            rank: devices
                .iter()
                .map(|&d| usize::from(setup.devices[d].priority) - 1)
                .collect(),
            devices,
            columns: all,
            of_device,
            sessions: columns.sessions,
            seats: (0..columns.sessions)
                .flat_map(|_| columns.ports.iter().map(|group| group.ports.len()))
                .collect(),
            listed_ports: columns
                .ports
                .iter()
                .map(|group| listed(setup, group))
                .collect(),
            listed_cables: columns
                .cables
                .iter()
                .map(|group| each_cable(setup, group))
                .collect(),
            table_of,
            tables,
            rows: Vec::new(),
            coefficients: Vec::new(),
            starts: vec![0],
            row_signatures: Vec::new(),
            dominance_keys: Vec::new(),
        };
        model.add_rows(setup, columns);
        model.number_signatures();
        model
    }

    /// All rows, whether they can bind or not.
    fn all_rows(&self, setup: &Setup, columns: &Columns) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        for (c, charger) in setup.chargers.iter().enumerate() {
            for (p, pool) in charger.pools.iter().enumerate() {
                rows.extend((0..self.sessions).map(|session| Row {
                    origin: RowOrigin::Pool {
                        charger: c,
                        pool: p,
                        session,
                    },
                    cap: millionths(pool.max_w),
                }));
            }
        }
        for (t, table) in self.tables.iter().enumerate() {
            let all: Vec<usize> = (0..table.lines.len()).collect();
            rows.push(Row {
                origin: RowOrigin::Table { table: t },
                cap: self.table_cap(t, &all),
            });
            rows.push(Row {
                origin: RowOrigin::TablePorts { table: t },
                cap: self.table_ports(t, &all),
            });
        }
        for session in 0..self.sessions {
            rows.extend(columns.cables.iter().enumerate().map(|(group, of)| Row {
                origin: RowOrigin::Cable { group, session },
                cap: i64::from(of.count),
            }));
        }
        for session in 1..self.sessions {
            rows.extend(columns.ports.iter().enumerate().map(|(group, of)| Row {
                origin: RowOrigin::Ports { group, session },
                cap: small(of.ports.len()),
            }));
        }
        rows
    }

    fn add_rows(&mut self, setup: &Setup, columns: &Columns) {
        let all = self.all_rows(setup, columns);
        let binding = self.binding(&all, columns);
        let mut rows = all;
        let mut keep = binding.into_iter();
        rows.retain(|_| keep.next().unwrap_or(false));
        let mut pooled = vec![false; columns.ports.len()];
        let mut scarce = vec![false; columns.cables.len()];
        for row in &rows {
            match row.origin {
                RowOrigin::Pool { charger, pool, .. } => {
                    for (pooled, group) in pooled.iter_mut().zip(&columns.ports) {
                        *pooled |=
                            group.charger == charger && group.pools.binary_search(&pool).is_ok();
                    }
                }
                RowOrigin::Cable { group, .. } => scarce[group] = true,
                RowOrigin::Table { .. }
                | RowOrigin::TablePorts { .. }
                | RowOrigin::Ports { .. } => {}
            }
        }
        let seats = SeatRows::of(self, &rows, columns);
        let mut concerned = Vec::new();
        for column in 0..index(self.columns.len()) {
            seats.of_column(self.column(column), &mut concerned);
            for &r in &concerned {
                let takes = self.taken_by(column, rows[r].origin, columns);
                if takes != 0 {
                    self.coefficients.push((index(r), takes));
                }
            }
            self.starts.push(index(self.coefficients.len()));
        }
        let dominance_key = |column: &Column| DominanceKey {
            time: column.time,
            takes: if pooled[column.port] { column.takes } else { 0 },
            tier: match self.table_of[column.port] {
                Some(_) => column.tier,
                None => 0,
            },
            port: index(column.first * columns.ports.len() + column.port),
            last: column.last,
            cable: scarce[column.cable].then(|| index(column.cable)),
            late: column.late,
        };
        self.dominance_keys = self.columns.iter().map(dominance_key).collect();
        self.rows = rows;
    }

    /// What a column takes from a row.
    fn taken_by(&self, index: u32, origin: RowOrigin, columns: &Columns) -> i64 {
        let column = self.column(index);
        let group = &columns.ports[column.port];
        let lasts = |session: usize| (column.first..=column.last).contains(&session);
        let uses = |table: usize| self.in_tables(index).any(|(of, _)| of == table);
        let (takes, amount) = match origin {
            RowOrigin::Pool {
                charger,
                pool,
                session,
            } => {
                let of_pool = group.charger == charger && group.pools.binary_search(&pool).is_ok();
                (of_pool && lasts(session), column.takes)
            }
            RowOrigin::Table { table } => (uses(table), column.tier),
            RowOrigin::TablePorts { table } => (uses(table), 1),
            RowOrigin::Cable { group, session } => (column.cable == group && lasts(session), 1),
            RowOrigin::Ports { group, session } => (column.port == group && lasts(session), 1),
        };
        if takes { amount } else { 0 }
    }

    /// By row, whether the devices could together take more than it allows. A table's row
    /// always can: its cap falls with the lines that are left.
    fn binding(&self, rows: &[Row], columns: &Columns) -> Vec<bool> {
        let seats = SeatRows::of(self, rows, columns);
        let mut sums = vec![0_i64; rows.len()];
        // Of the device at hand, the most that it takes from each row.
        let mut most = vec![0_i64; rows.len()];
        let (mut touched, mut concerned) = (Vec::new(), Vec::new());
        for range in &self.of_device {
            for column in range.clone() {
                seats.of_column(self.column(column), &mut concerned);
                for &r in &concerned {
                    let takes = self.taken_by(column, rows[r].origin, columns);
                    if most[r] == 0 && takes > 0 {
                        touched.push(r);
                    }
                    most[r] = most[r].max(takes);
                }
            }
            for r in touched.drain(..) {
                sums[r] += std::mem::take(&mut most[r]);
            }
        }
        let of_table = |row: &Row| {
            matches!(
                row.origin,
                RowOrigin::Table { .. } | RowOrigin::TablePorts { .. }
            )
        };
        let each = rows.iter().zip(sums);
        each.map(|(row, sum)| of_table(row) || sum > row.cap)
            .collect()
    }
}

fn listed(setup: &Setup, group: &PortGroup) -> Vec<usize> {
    let before: usize = setup.chargers[..group.charger]
        .iter()
        .map(|c| c.ports.len())
        .sum();
    group.ports.iter().map(|port| before + port).collect()
}

fn each_cable(setup: &Setup, group: &CableGroup) -> Vec<usize> {
    let each = |&cable: &usize| vec![cable; setup.cables[cable].count as usize];
    group.cables.iter().flat_map(each).collect()
}

/// The tables of the chargers that have combinations, once for each session, and each
/// group's place in those of the first.
fn tables(setup: &Setup, columns: &Columns) -> (Vec<Table>, Vec<Option<(usize, usize)>>) {
    let mut tables: Vec<Table> = Vec::new();
    let mut table_of = vec![None; columns.ports.len()];
    for (c, charger) in setup.chargers.iter().enumerate() {
        if charger.lines.is_empty() {
            continue;
        }
        let groups: Vec<usize> = (0..columns.ports.len())
            .filter(|&g| columns.ports[g].charger == c)
            .collect();
        for (place, &group) in groups.iter().enumerate() {
            table_of[group] = Some((tables.len(), place));
        }
        let granted: Vec<Vec<Option<i64>>> = (0..charger.lines.len())
            .map(|line| {
                groups
                    .iter()
                    .map(|&group| columns.ports[group].lines[line])
                    .collect()
            })
            .collect();
        let mut lines: Vec<Line> = granted
            .iter()
            .map(|line| Line {
                granted: line.clone(),
                needs: needs(line, &granted),
            })
            .collect();
        drop_covered(&mut lines);
        let seats = groups.iter().map(|&group| columns.ports[group].ports.len());
        tables.push(Table {
            seats: seats.collect(),
            lines,
        });
    }
    let of_session = tables.clone();
    for _ in 1..columns.sessions {
        tables.extend_from_slice(&of_session);
    }
    (tables, table_of)
}

fn within(small: &[Option<i64>], large: &[Option<i64>]) -> bool {
    small
        .iter()
        .zip(large)
        .all(|(s, l)| s.is_none() || l.is_some())
}

/// The sets of ports of which one must be in use, or a smaller line would govern that
/// grants less somewhere.
fn needs(line: &[Option<i64>], all: &[Vec<Option<i64>>]) -> Vec<Vec<usize>> {
    let mut sets: Vec<Vec<usize>> = Vec::new();
    for other in all {
        let strictly_less = within(other, line) && !within(line, other);
        let grants_less = other
            .iter()
            .zip(line)
            .any(|(o, l)| matches!((o, l), (Some(o), Some(l)) if o < l));
        if strictly_less && grants_less {
            let outside: Vec<usize> = (0..line.len())
                .filter(|&place| line[place].is_some() && other[place].is_none())
                .collect();
            if !sets.contains(&outside) {
                sets.push(outside);
            }
        }
    }
    sets
}

/// Drops lines all of whose uses another line allows too.
fn drop_covered(lines: &mut Vec<Line>) {
    let mut kept: Vec<Line> = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let covers = |j: usize, other: &Line| {
            i != j
                && other.needs.is_empty()
                && line
                    .granted
                    .iter()
                    .zip(&other.granted)
                    .all(|(small, large)| {
                        small.is_none_or(|small| large.is_some_and(|large| small <= large))
                    })
                && (line.granted != other.granted || !line.needs.is_empty() || j < i)
        };
        if !lines.iter().enumerate().any(|(j, other)| covers(j, other)) {
            kept.push(line.clone());
        }
    }
    *lines = kept;
}
