//! The program that is solved: one 0/1 column per agent, and rows that limit what the columns
//! take together. Whole numbers throughout.

use std::ops::Range;

/// What the devices sit on: by device of the model the column taken, if any.
pub(crate) type Assignment = Vec<Option<u32>>;

/// Why a row is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum RowOrigin {
    /// A pool's watts in a session.
    Pool {
        charger: usize,
        pool: usize,
        session: usize,
    },
    /// The ports of a group in a session: some are taken since an earlier one.
    Ports { group: usize, session: usize },
    /// The most that any line of a charger's table grants in sum.
    Table { table: usize },
    /// The most ports that any line of a charger's table grants.
    TablePorts { table: usize },
    /// The number of equal cables in a session.
    Cable { group: usize, session: usize },
    /// What the devices on a pool's ports can take from one another in a session. How much
    /// that may come to depends on them: the pool's `max`, and the least slack of any of
    /// its columns beside.
    Load {
        charger: usize,
        pool: usize,
        session: usize,
        max: i64,
    },
}

/// One way in which a device can sit, in whole numbers: a column of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Column {
    /// Where it stands among the ways of its device, as they were listed.
    pub(crate) listed: u32,
    /// The group of equal ports.
    pub(crate) port: usize,
    /// The group of equal cables.
    pub(crate) cable: usize,
    /// When the device is full, in whole 1e-6 h from the start.
    pub(crate) time: i64,
    /// What the level of hours counts for it: its hours at best, by priority.
    pub(crate) hours: i64,
    /// What the plan's order counts of the power: whole 1e-6 W; over sessions the
    /// watt-hours held, in whole 1e-6 Wh.
    pub(crate) watts: i64,
    /// Volts and amperes in whole millionths, as ties compare them.
    pub(crate) contract: (i64, i64),
    /// The tier in whole 1e-6 W.
    pub(crate) tier: i64,
    /// What it takes from the pools, in whole 1e-6 W.
    pub(crate) takes: i64,
    /// What the device can take from the others in its pools, in whole 1e-6 W.
    pub(crate) load: i64,
    /// What must be left to it for what the column says of time, in whole 1e-6 W.
    pub(crate) needs: i64,
    /// Whether its pools surely leave that, whoever else draws.
    pub(crate) assured: bool,
    pub(crate) late: bool,
    /// Whether it is elsewhere than where its device was before.
    pub(crate) moved: bool,
    /// The first and the last session that it lasts; both 0 where there is only one.
    pub(crate) first: usize,
    pub(crate) last: usize,
}

/// Later than any time: a column whose device is never full.
pub(crate) const NO_TIME: i64 = 1 << 52;

/// More than the loads of any pool come to.
pub(crate) const ANY_LOAD: i64 = 1 << 52;

/// Σ coefficient · column ≤ `cap`.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub(crate) origin: RowOrigin,
    pub(crate) cap: i64,
}

/// The combination table of one charger in one session, over groups of equal ports.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    /// By group of the table, the number of its ports.
    pub(crate) seats: Vec<usize>,
    pub(crate) lines: Vec<Line>,
    /// Where what is left to a device counts: of every line of the charger, whether one of
    /// `lines` or covered by another, what it grants.
    pub(crate) promised: Vec<Vec<Option<i64>>>,
    /// The groups of each line of `promised`.
    pub(crate) sets: LineSets,
}

/// One line of a table.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// By group of the table: whole 1e-6 W granted to each of its ports.
    pub(crate) granted: Vec<Option<i64>>,
    /// By group of the table: the least of what the lines of the same groups grant, since they
    /// govern together.
    pub(crate) promised: Vec<Option<i64>>,
    /// Sets of groups of the table of which one must be in use for this line to
    /// govern: where none is, a smaller line that grants less takes over.
    pub(crate) needs: Vec<Vec<usize>>,
}

/// The whole program.
#[derive(Debug, Default)]
pub(crate) struct Model {
    /// Index into the setup's devices, by device of the model.
    pub(crate) devices: Vec<usize>,
    /// By device of the model, one after the other.
    pub(crate) columns: Vec<Column>,
    pub(crate) of_device: Vec<Range<u32>>,
    /// Whole 1e-6 Wh missing, by device.
    pub(crate) missing: Vec<i64>,
    /// 0, 1 or 2: one less than the priority, by device.
    pub(crate) rank: Vec<usize>,
    /// By device, whether it moves by taking none; absent where moves are not counted.
    pub(crate) moved_away: Option<Vec<bool>>,
    /// How many sessions follow one another.
    pub(crate) sessions: usize,
    /// Number of equal ports, by berth: a group of ports and the session with which it
    /// is taken, all groups of the first session before those of the next.
    pub(crate) seats: Vec<usize>,
    /// Where each port of a group stands among all ports as listed.
    pub(crate) listed_ports: Vec<Vec<usize>>,
    /// The cables of a group as listed, each as often as there are of it.
    pub(crate) listed_cables: Vec<Vec<usize>>,
    /// The table that the group belongs to in the first session, with its place there.
    pub(crate) table_of: Vec<Option<(usize, usize)>>,
    /// Those of the first session, as many for the next, and so on.
    pub(crate) tables: Vec<Table>,
    /// Whether any column depends on what others leave to it.
    pub(crate) has_promises: bool,
    pub(crate) rows: Vec<Row>,
    /// By column, the rows it takes from.
    pub(crate) coefficients: Vec<(u32, i64)>,
    pub(crate) starts: Vec<u32>,
    /// By column, a number for the set of rows that its port takes from.
    pub(crate) row_signatures: Vec<u32>,
    pub(crate) dominance_keys: Vec<DominanceKey>,
}

/// What columns on one port are compared by, as far as it can matter.
#[derive(Debug, Clone, Copy)]
pub(crate) struct DominanceKey {
    pub(crate) time: i64,
    /// From the pools over the port that can bind.
    pub(crate) takes: i64,
    /// Where the port is in a table.
    pub(crate) tier: i64,
    /// What must be left to it, where the port is in a table: one of its lines may grant the
    /// tier, and another that governs as well less than this.
    pub(crate) needs: i64,
    /// In the loads of the pools over the port that can bind.
    pub(crate) load: i64,
    pub(crate) slack: i64,
    /// Where it stands among the berths of [`Model::seats`].
    pub(crate) port: u32,
    /// The last session that it takes.
    pub(crate) last: usize,
    /// Whether its port is in a table of which a line governs only where certain ports are in
    /// use: to stay longer can then be the better.
    pub(crate) in_need: bool,
    /// The cable, where its number can bind.
    pub(crate) cable: Option<u32>,
    pub(crate) late: bool,
}

impl Model {
    pub(crate) fn len(&self) -> usize {
        self.devices.len()
    }

    /// The columns of an agent by its own number; none of one that is not in the program.
    pub(crate) fn of_device(&self, device: usize) -> Range<u32> {
        let at = self.devices.iter().position(|&of| of == device);
        at.map_or(0..0, |at| self.of_device[at].clone())
    }

    pub(crate) fn column(&self, index: u32) -> &Column {
        &self.columns[index as usize]
    }

    pub(crate) fn dominance_key(&self, index: u32) -> &DominanceKey {
        &self.dominance_keys[index as usize]
    }

    /// The pools and the table from which a port takes: ports with equal signatures differ
    /// to no row.
    pub(crate) fn row_signature(&self, column: u32) -> u32 {
        self.row_signatures[column as usize]
    }

    /// The rows that a column takes from, with how much.
    pub(crate) fn takes(&self, column: u32) -> &[(u32, i64)] {
        let at = column as usize;
        &self.coefficients[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    /// The port of a group that is taken after `taken` others of it, as listed.
    pub(crate) fn listed_port(&self, group: usize, taken: usize) -> usize {
        self.listed_ports[group]
            .get(taken)
            .copied()
            .unwrap_or(usize::MAX)
    }

    /// The cable of a group that is taken after `taken` others of it, as listed.
    pub(crate) fn listed_cable(&self, group: usize, taken: usize) -> usize {
        self.listed_cables[group]
            .get(taken)
            .copied()
            .unwrap_or(usize::MAX)
    }

    /// The tables that a column takes from, one for each session, with the place of its
    /// port there.
    pub(crate) fn in_tables(&self, column: u32) -> impl Iterator<Item = (usize, usize)> {
        let column = self.column(column);
        let of_session = self.tables.len() / self.sessions;
        self.table_of[column.port]
            .into_iter()
            .flat_map(move |(table, place)| {
                (column.first..=column.last)
                    .map(move |session| (session * of_session + table, place))
            })
    }

    /// Numbers the sets of rows that ports take from, once all rows stand.
    pub(crate) fn number_signatures(&mut self) {
        let mut known: Vec<Vec<u32>> = Vec::new();
        let mut rows = Vec::new();
        for column in 0..self.columns.len() {
            let shared =
                |row: &u32| !matches!(self.rows[*row as usize].origin, RowOrigin::Cable { .. });
            let takes = self.takes(index(column)).iter();
            rows.clear();
            rows.extend(takes.map(|(row, _)| *row).filter(shared));
            let number = known
                .iter()
                .position(|other| *other == rows)
                .unwrap_or_else(|| {
                    known.push(rows.clone());
                    known.len() - 1
                });
            self.row_signatures.push(index(number));
        }
    }

    /// The most that the ports of a table are granted in sum by one of `lines`.
    pub(crate) fn table_cap(&self, table: usize, lines: &[usize]) -> i64 {
        self.most_of_lines(table, lines, |granted| granted)
    }

    /// The most ports that one of `lines` grants.
    pub(crate) fn table_ports(&self, table: usize, lines: &[usize]) -> i64 {
        self.most_of_lines(table, lines, |granted| i64::from(granted > 0))
    }

    fn most_of_lines(&self, table: usize, lines: &[usize], each: impl Fn(i64) -> i64) -> i64 {
        let table = &self.tables[table];
        let sum = |line: &Line| -> i64 {
            line.granted
                .iter()
                .zip(&table.seats)
                .map(|(granted, &seats)| granted.map_or(0, &each) * small(seats))
                .sum()
        };
        let sums = lines.iter().map(|&line| sum(&table.lines[line]));
        sums.max().unwrap_or(0)
    }

    /// Whether rows, tables and promises hold; seats are not looked at.
    pub(crate) fn holds(&self, assignment: &Assignment) -> bool {
        let mut used = vec![0; self.rows.len()];
        for &column in assignment.iter().flatten() {
            for &(row, takes) in self.takes(column) {
                used[row as usize] += takes;
            }
        }
        used.iter()
            .zip(&self.rows)
            .all(|(used, row)| *used <= row.cap)
            && self.tables_hold(assignment)
            && self.promises_hold(assignment)
    }

    /// Whether the assignment respects, on every charger with a table, a line that governs.
    pub(crate) fn tables_hold(&self, assignment: &Assignment) -> bool {
        (0..self.tables.len()).all(|t| self.table_holds(t, assignment))
    }

    pub(crate) fn table_holds(&self, t: usize, assignment: &Assignment) -> bool {
        self.table_holds_by(t, assignment, 0..self.tables[t].lines.len())
    }

    /// Whether every device is left what its column needs, whatever rule the chargers follow.
    pub(crate) fn promises_hold(&self, assignment: &Assignment) -> bool {
        if !self.has_promises {
            return true;
        }
        // Where no table has a line, nothing else is given.
        let most = if self.tables.is_empty() {
            Vec::new()
        } else {
            match self.most_given(assignment) {
                Some(most) => most,
                None => return false,
            }
        };
        let mut loads = vec![0; self.rows.len()];
        let mut tightest = vec![i64::MAX; self.rows.len()];
        for &taken in assignment.iter().flatten() {
            let column = self.column(taken);
            for &(row, _) in self.takes(taken) {
                let RowOrigin::Load { session, .. } = self.rows[row as usize].origin else {
                    continue;
                };
                let load = match self.table_of[column.port] {
                    Some((table, place)) => {
                        column.load.min(most[self.table_in(table, session)][place])
                    }
                    None => column.load,
                };
                loads[row as usize] += load;
                if !column.assured {
                    let slack = load - column.needs;
                    tightest[row as usize] = tightest[row as usize].min(slack);
                }
            }
        }
        (0..self.rows.len()).all(|row| match self.rows[row].origin {
            RowOrigin::Load { max, .. } => loads[row] <= tightest[row].saturating_add(max),
            _ => true,
        })
    }

    /// By table and group, the most that a line gives that governs the groups in use; none
    /// where one of these lines gives some column less than it needs.
    fn most_given(&self, assignment: &Assignment) -> Option<Vec<Vec<i64>>> {
        let mut given = Vec::with_capacity(self.tables.len());
        for (t, table) in self.tables.iter().enumerate() {
            let mut needs: Vec<Option<i64>> = vec![None; table.seats.len()];
            for &taken in assignment.iter().flatten() {
                for (_, place) in self.in_tables(taken).filter(|&(of, _)| of == t) {
                    let own = self.column(taken).needs;
                    needs[place] = Some(needs[place].map_or(own, |before| before.max(own)));
                }
            }
            let mut most = vec![0; table.seats.len()];
            let in_use = needs.iter().enumerate();
            let in_use = set_of(in_use.filter_map(|(place, needs)| needs.map(|_| place)));
            for line in table.sets.governing(&in_use) {
                let line = &table.promised[line];
                for (place, granted) in line.iter().enumerate() {
                    let granted = granted.unwrap_or(0);
                    most[place] = most[place].max(granted);
                    if needs[place].is_some_and(|needs| needs > granted) {
                        return None;
                    }
                }
            }
            given.push(most);
        }
        Some(given)
    }

    /// The table of a session that is `table` in the first.
    fn table_in(&self, table: usize, session: usize) -> usize {
        session * (self.tables.len() / self.sessions) + table
    }

    /// Whether nothing is on the table's ports, or one of `lines` governs.
    pub(crate) fn table_holds_by(
        &self,
        t: usize,
        assignment: &Assignment,
        mut lines: impl Iterator<Item = usize>,
    ) -> bool {
        let table = &self.tables[t];
        let of_session = self.tables.len() / self.sessions;
        let (session, in_session) = (t / of_session, t % of_session);
        // The highest tier in use by group: all ports of a group are granted the same.
        let mut highest: Vec<i64> = vec![0; table.seats.len()];
        for &column in assignment.iter().flatten() {
            let column = self.column(column);
            if let Some((of, place)) = self.table_of[column.port]
                && of == in_session
                && (column.first..=column.last).contains(&session)
            {
                highest[place] = highest[place].max(column.tier);
            }
        }
        if highest.iter().all(|&tier| tier == 0) {
            return true;
        }
        lines.any(|line| {
            let line = &table.lines[line];
            line.granted
                .iter()
                .zip(&highest)
                .all(|(granted, &tier)| tier == 0 || granted.is_some_and(|watts| tier <= watts))
                && line
                    .needs
                    .iter()
                    .all(|set| set.iter().any(|&place| highest[place] > 0))
        })
    }
}

/// A set of groups of a table: of at most [`MOST_GROUPS`].
type GroupSet = [u64; 4];

/// As many as a charger may have ports.
const MOST_GROUPS: usize = 256;

/// The groups that each line of a table grants something, the smallest sets first.
#[derive(Debug, Clone, Default)]
pub(crate) struct LineSets(Vec<(GroupSet, usize)>);

impl LineSets {
    pub(crate) fn of(lines: &[Vec<Option<i64>>]) -> Self {
        let sets = lines.iter().enumerate().map(|(line, granted)| {
            let groups = granted.iter().enumerate();
            let granted = groups.filter_map(|(group, granted)| granted.map(|_| group));
            (set_of(granted), line)
        });
        let mut sets: Vec<(GroupSet, usize)> = sets.collect();
        sets.sort_by_key(|(set, line)| (size(set), *line));
        Self(sets)
    }

    /// The lines that hold all groups in use, and within which no other such line is smaller.
    fn governing(&self, in_use: &GroupSet) -> Vec<usize> {
        let mut least: Vec<(&GroupSet, usize)> = Vec::new();
        for (set, line) in self.0.iter().filter(|(set, _)| within(in_use, set)) {
            // Smaller ones stand before it, so what is within one that was left out is within one
            // that was kept.
            let smaller = |(other, _): &(&GroupSet, usize)| *other != set && within(other, set);
            if !least.iter().any(smaller) {
                least.push((set, *line));
            }
        }
        least.into_iter().map(|(_, line)| line).collect()
    }
}

fn set_of(groups: impl Iterator<Item = usize>) -> GroupSet {
    let mut set = GroupSet::default();
    for group in groups {
        debug_assert!(group < MOST_GROUPS);
        set[group / 64] |= 1 << (group % 64);
    }
    set
}

fn within(small: &GroupSet, large: &GroupSet) -> bool {
    small.iter().zip(large).all(|(s, l)| s & !l == 0)
}

fn size(set: &GroupSet) -> u32 {
    set.iter().map(|part| part.count_ones()).sum()
}

pub(crate) fn index(value: usize) -> u32 {
    u32::try_from(value).expect("the stated limits keep every index within 32 bits")
}

/// A number of ports, devices or the like among the whole numbers of the rows.
pub(crate) fn small(number: usize) -> i64 {
    i64::try_from(number).expect("at most a few hundred")
}
