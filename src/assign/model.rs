//! The integer program of a setup: one 0/1 choice per device, and rows that limit what
//! the choices take together. Whole numbers throughout.

mod seat_rows;

use std::ops::Range;

use crate::options::{CableGroup, Choice, Choices, PortGroup};
use crate::setup::Setup;
use crate::units::millionths;
use seat_rows::SeatRows;

/// What the devices sit on: by device of the model the choice taken, if any.
pub(super) type Seating = Vec<Option<u32>>;

/// Why a row is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Reason {
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
}

/// Σ coefficient · choice ≤ `cap`.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) reason: Reason,
    pub(super) cap: i64,
}

/// The combination table of one charger in one session, over groups of equal ports.
#[derive(Debug, Clone)]
pub(super) struct Table {
    /// By group of the table, the number of its ports.
    pub(super) seats: Vec<usize>,
    pub(super) lines: Vec<Line>,
}

/// One line of a table.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// By group of the table: whole 1e-6 W granted to each of its ports.
    pub(super) granted: Vec<Option<i64>>,
    /// Sets of groups of the table of which one must be in use for this line to
    /// govern: where none is, a smaller line that grants less takes over.
    pub(super) needs: Vec<Vec<usize>>,
}

#[derive(Debug)]
pub(super) struct Model {
    /// Index into the setup's devices, by device of the model.
    pub(super) devices: Vec<usize>,
    /// By device of the model, one after the other.
    pub(super) choices: Vec<Choice>,
    pub(super) of_device: Vec<Range<u32>>,
    /// Whole 1e-6 Wh missing, by device.
    pub(super) missing: Vec<i64>,
    /// 0, 1 or 2: one less than the priority, by device.
    pub(super) rank: Vec<usize>,
    /// How many sessions follow one another.
    pub(super) sessions: usize,
    /// Number of equal ports, by berth: a group of ports and the session with which it
    /// is taken, all groups of the first session before those of the next.
    pub(super) seats: Vec<usize>,
    /// Where each port of a group stands among all ports as listed.
    listed_ports: Vec<Vec<usize>>,
    /// The cables of a group as listed, each as often as there are of it.
    listed_cables: Vec<Vec<usize>>,
    /// The table that the group belongs to in the first session, with its place there.
    table_of: Vec<Option<(usize, usize)>>,
    /// Those of the first session, as many for the next, and so on.
    pub(super) tables: Vec<Table>,
    pub(super) rows: Vec<Row>,
    /// By choice, the rows it takes from.
    coefficients: Vec<(u32, i64)>,
    starts: Vec<u32>,
    /// By choice, a number for the set of rows that its port takes from.
    banks: Vec<u32>,
    briefs: Vec<Brief>,
}

/// What choices on one port are compared by, as far as it can matter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Brief {
    pub(super) time: i64,
    /// From the pools over the port that can bind.
    pub(super) takes: i64,
    /// Where the port is in a table.
    pub(super) tier: i64,
    /// Where it stands among the berths of [`Model::seats`].
    pub(super) port: u32,
    /// The last session that it takes.
    pub(super) last: usize,
    /// The cable, where its number can bind.
    pub(super) cable: Option<u32>,
    pub(super) late: bool,
}

impl Model {
    pub(super) fn of(setup: &Setup, options: &Choices) -> Self {
        let devices: Vec<usize> = (0..setup.devices.len())
            .filter(|&d| setup.devices[d].needs_berth())
            .collect();
        let mut choices = Vec::new();
        let mut of_device = Vec::new();
        for &device in &devices {
            let from = index(choices.len());
            choices.extend_from_slice(&options.by_device[device]);
            // Port by port, what takes the least first.
            choices[from as usize..].sort_by_key(|choice| {
                let takes = (choice.takes, choice.tier, choice.watts);
                (choice.first, choice.port, takes, choice.time, choice.cable)
            });
            of_device.push(from..index(choices.len()));
        }
        let (tables, table_of) = tables(setup, options);
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
            choices,
            of_device,
            sessions: options.sessions,
            seats: (0..options.sessions)
                .flat_map(|_| options.ports.iter().map(|group| group.ports.len()))
                .collect(),
            listed_ports: options
                .ports
                .iter()
                .map(|group| listed(setup, group))
                .collect(),
            listed_cables: options
                .cables
                .iter()
                .map(|group| each_cable(setup, group))
                .collect(),
            table_of,
            tables,
            rows: Vec::new(),
            coefficients: Vec::new(),
            starts: vec![0],
            banks: Vec::new(),
            briefs: Vec::new(),
        };
        model.add_rows(setup, options);
        model.number_banks();
        model
    }

    pub(super) fn len(&self) -> usize {
        self.devices.len()
    }

    pub(super) fn choice(&self, index: u32) -> &Choice {
        &self.choices[index as usize]
    }

    pub(super) fn brief(&self, index: u32) -> &Brief {
        &self.briefs[index as usize]
    }

    /// The pools and the table from which a port takes: ports with equal banks differ
    /// to no row.
    pub(super) fn bank(&self, choice: u32) -> u32 {
        self.banks[choice as usize]
    }

    /// The rows that a choice takes from, with how much.
    pub(super) fn takes(&self, choice: u32) -> &[(u32, i64)] {
        let at = choice as usize;
        &self.coefficients[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    /// The port of a group that is taken after `taken` others of it, as listed.
    pub(super) fn listed_port(&self, group: usize, taken: usize) -> usize {
        self.listed_ports[group]
            .get(taken)
            .copied()
            .unwrap_or(usize::MAX)
    }

    /// The cable of a group that is taken after `taken` others of it, as listed.
    pub(super) fn listed_cable(&self, group: usize, taken: usize) -> usize {
        self.listed_cables[group]
            .get(taken)
            .copied()
            .unwrap_or(usize::MAX)
    }

    /// The tables that a choice takes from, one for each session, with the place of its
    /// port there.
    pub(super) fn in_tables(&self, choice: u32) -> impl Iterator<Item = (usize, usize)> {
        let choice = self.choice(choice);
        let of_session = self.tables.len() / self.sessions;
        self.table_of[choice.port]
            .into_iter()
            .flat_map(move |(table, place)| {
                (choice.first..=choice.last)
                    .map(move |session| (session * of_session + table, place))
            })
    }

    /// All rows, whether they can bind or not.
    fn all_rows(&self, setup: &Setup, options: &Choices) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        for (c, charger) in setup.chargers.iter().enumerate() {
            for (p, pool) in charger.pools.iter().enumerate() {
                rows.extend((0..self.sessions).map(|session| Row {
                    reason: Reason::Pool {
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
                reason: Reason::Table { table: t },
                cap: self.table_cap(t, &all),
            });
            rows.push(Row {
                reason: Reason::TablePorts { table: t },
                cap: self.table_ports(t, &all),
            });
        }
        for session in 0..self.sessions {
            rows.extend(options.cables.iter().enumerate().map(|(group, of)| Row {
                reason: Reason::Cable { group, session },
                cap: i64::from(of.count),
            }));
        }
        for session in 1..self.sessions {
            rows.extend(options.ports.iter().enumerate().map(|(group, of)| Row {
                reason: Reason::Ports { group, session },
                cap: small(of.ports.len()),
            }));
        }
        rows
    }

    fn add_rows(&mut self, setup: &Setup, options: &Choices) {
        let all = self.all_rows(setup, options);
        let binding = self.binding(&all, options);
        let mut rows = all;
        let mut keep = binding.into_iter();
        rows.retain(|_| keep.next().unwrap_or(false));
        let mut pooled = vec![false; options.ports.len()];
        let mut scarce = vec![false; options.cables.len()];
        for row in &rows {
            match row.reason {
                Reason::Pool { charger, pool, .. } => {
                    for (pooled, group) in pooled.iter_mut().zip(&options.ports) {
                        *pooled |=
                            group.charger == charger && group.pools.binary_search(&pool).is_ok();
                    }
                }
                Reason::Cable { group, .. } => scarce[group] = true,
                Reason::Table { .. } | Reason::TablePorts { .. } | Reason::Ports { .. } => {}
            }
        }
        let seats = SeatRows::of(self, &rows, options);
        let mut concerned = Vec::new();
        for choice in 0..index(self.choices.len()) {
            seats.of_choice(self.choice(choice), &mut concerned);
            for &r in &concerned {
                let takes = self.taken_by(choice, rows[r].reason, options);
                if takes != 0 {
                    self.coefficients.push((index(r), takes));
                }
            }
            self.starts.push(index(self.coefficients.len()));
        }
        let brief = |choice: &Choice| Brief {
            time: choice.time,
            takes: if pooled[choice.port] { choice.takes } else { 0 },
            tier: match self.table_of[choice.port] {
                Some(_) => choice.tier,
                None => 0,
            },
            port: index(choice.first * options.ports.len() + choice.port),
            last: choice.last,
            cable: scarce[choice.cable].then(|| index(choice.cable)),
            late: choice.late,
        };
        self.briefs = self.choices.iter().map(brief).collect();
        self.rows = rows;
    }

    /// What a choice takes from a row.
    fn taken_by(&self, index: u32, reason: Reason, options: &Choices) -> i64 {
        let choice = self.choice(index);
        let group = &options.ports[choice.port];
        let lasts = |session: usize| (choice.first..=choice.last).contains(&session);
        let uses = |table: usize| self.in_tables(index).any(|(of, _)| of == table);
        let (takes, amount) = match reason {
            Reason::Pool {
                charger,
                pool,
                session,
            } => {
                let of_pool = group.charger == charger && group.pools.binary_search(&pool).is_ok();
                (of_pool && lasts(session), choice.takes)
            }
            Reason::Table { table } => (uses(table), choice.tier),
            Reason::TablePorts { table } => (uses(table), 1),
            Reason::Cable { group, session } => (choice.cable == group && lasts(session), 1),
            Reason::Ports { group, session } => (choice.port == group && lasts(session), 1),
        };
        if takes { amount } else { 0 }
    }

    fn number_banks(&mut self) {
        let mut known: Vec<Vec<u32>> = Vec::new();
        for choice in 0..self.choices.len() {
            let shared =
                |row: &u32| !matches!(self.rows[*row as usize].reason, Reason::Cable { .. });
            let rows: Vec<u32> = self
                .takes(index(choice))
                .iter()
                .map(|(row, _)| *row)
                .filter(shared)
                .collect();
            let number = known
                .iter()
                .position(|other| *other == rows)
                .unwrap_or_else(|| {
                    known.push(rows);
                    known.len() - 1
                });
            self.banks.push(index(number));
        }
    }

    /// By row, whether the devices could together take more than it allows. A table's row
    /// always can: its cap falls with the lines that are left.
    fn binding(&self, rows: &[Row], options: &Choices) -> Vec<bool> {
        let seats = SeatRows::of(self, rows, options);
        let mut sums = vec![0_i64; rows.len()];
        // Of the device at hand, the most that it takes from each row.
        let mut most = vec![0_i64; rows.len()];
        let (mut touched, mut concerned) = (Vec::new(), Vec::new());
        for range in &self.of_device {
            for choice in range.clone() {
                seats.of_choice(self.choice(choice), &mut concerned);
                for &r in &concerned {
                    let takes = self.taken_by(choice, rows[r].reason, options);
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
        let of_table =
            |row: &Row| matches!(row.reason, Reason::Table { .. } | Reason::TablePorts { .. });
        let each = rows.iter().zip(sums);
        each.map(|(row, sum)| of_table(row) || sum > row.cap)
            .collect()
    }

    /// The most that the ports of a table are granted in sum by one of `lines`.
    pub(super) fn table_cap(&self, table: usize, lines: &[usize]) -> i64 {
        self.most_of_lines(table, lines, |granted| granted)
    }

    /// The most ports that one of `lines` grants.
    pub(super) fn table_ports(&self, table: usize, lines: &[usize]) -> i64 {
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

    /// Whether the seating respects, on every charger with a table, a line that governs.
    pub(super) fn tables_hold(&self, seating: &Seating) -> bool {
        (0..self.tables.len()).all(|t| self.table_holds(t, seating))
    }

    pub(super) fn table_holds(&self, t: usize, seating: &Seating) -> bool {
        self.table_holds_by(t, seating, 0..self.tables[t].lines.len())
    }

    /// Whether nothing is on the table's ports, or one of `lines` governs.
    pub(super) fn table_holds_by(
        &self,
        t: usize,
        seating: &Seating,
        mut lines: impl Iterator<Item = usize>,
    ) -> bool {
        let table = &self.tables[t];
        // The highest tier in use by group: all ports of a group are granted the same.
        let mut highest: Vec<i64> = vec![0; table.seats.len()];
        for &choice in seating.iter().flatten() {
            for (_, place) in self.in_tables(choice).filter(|&(of, _)| of == t) {
                highest[place] = highest[place].max(self.choice(choice).tier);
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

fn index(value: usize) -> u32 {
    u32::try_from(value).expect("the stated limits keep every index within 32 bits")
}

/// A number of ports, devices or the like among the whole numbers of the rows.
pub(super) fn small(number: usize) -> i64 {
    i64::try_from(number).expect("at most a few hundred")
}

/// The tables of the chargers that have combinations, once for each session, and each
/// group's place in those of the first.
fn tables(setup: &Setup, options: &Choices) -> (Vec<Table>, Vec<Option<(usize, usize)>>) {
    let mut tables: Vec<Table> = Vec::new();
    let mut table_of = vec![None; options.ports.len()];
    for (c, charger) in setup.chargers.iter().enumerate() {
        if charger.lines.is_empty() {
            continue;
        }
        let groups: Vec<usize> = (0..options.ports.len())
            .filter(|&g| options.ports[g].charger == c)
            .collect();
        for (place, &group) in groups.iter().enumerate() {
            table_of[group] = Some((tables.len(), place));
        }
        let granted: Vec<Vec<Option<i64>>> = (0..charger.lines.len())
            .map(|line| {
                groups
                    .iter()
                    .map(|&group| options.ports[group].lines[line])
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
        let seats = groups.iter().map(|&group| options.ports[group].ports.len());
        tables.push(Table {
            seats: seats.collect(),
            lines,
        });
    }
    let of_session = tables.clone();
    for _ in 1..options.sessions {
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
