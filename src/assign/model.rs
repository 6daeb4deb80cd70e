//! The integer program of a setup: its choices as columns, its pools, tables and cables as
//! rows.

mod seat_rows;

use crate::assign::options::{Asks, CableGroup, Choice, Choices, PortGroup};
use crate::plan::promise::NEVER;
use crate::plan::sessions::Sessions;
use crate::setup::Setup;
use crate::setup::document::Aim;
use crate::solve::goal::{HOURS_COUNT, Limits, class};
use crate::solve::model::{
    ANY_LOAD, Assignment, Column, DominanceKey, Line, LineSets, Model, Row, RowOrigin, Table,
    index, small,
};
use crate::units::millionths;
use seat_rows::SeatRows;

/// Which columns a model has.
#[derive(Debug, Clone, Copy)]
pub(super) enum Part<'a> {
    /// For the levels that depend on what is promised: of equal promises only the contracts
    /// that take the least.
    Promises,
    /// The same without whatever is late.
    InTime,
    /// For the levels that follow: every contract, and of the promises those that the limits
    /// tell apart.
    Within(&'a Limits),
    /// As [`Self::Within`], of each device only the berths where it sits.
    Seated(&'a Limits, &'a [Option<Berth>]),
}

/// A group of ports, a kind of cable, and the session that it begins with.
pub(super) type Berth = (usize, usize, usize);

impl<'a> Part<'a> {
    fn limits(self) -> Option<&'a Limits> {
        match self {
            Self::Promises | Self::InTime => None,
            Self::Within(limits) | Self::Seated(limits, _) => Some(limits),
        }
    }

    fn has(self, device: usize, choice: &Choice) -> bool {
        match self {
            Self::Promises | Self::InTime | Self::Within(_) => true,
            Self::Seated(_, berths) => {
                berths[device] == Some((choice.port, choice.cable, choice.first))
            }
        }
    }
}

/// The choices of a device as columns.
struct Listing<'a> {
    setup: &'a Setup,
    sessions: &'a Sessions,
    options: &'a Choices,
    part: Part<'a>,
}

impl Listing<'_> {
    /// `at` is the device's place in the model.
    fn columns(&self, device: usize, at: usize, columns: &mut Vec<Column>) {
        let choices = (0..).zip(&self.options.by_device[device]);
        let choices = choices.filter(|(_, choice)| self.part.has(at, choice));
        let choices: Vec<(u32, &Choice)> = choices.collect();
        let same = |a: &(u32, &Choice), b: &(u32, &Choice)| {
            (a.1.port, a.1.cable, a.1.first) == (b.1.port, b.1.cable, b.1.first)
        };
        for of_seat in choices.chunk_by(same) {
            let asks = &self.options.asks[of_seat[0].1.asks];
            for &(listed, choice) in of_seat {
                if self.setup.aim == Aim::Best {
                    if !(choice.late && self.is_in_time()) {
                        columns.push(self.column(listed, choice));
                    }
                    continue;
                }
                let takes_more = |other: &Choice| {
                    let takes = |choice: &Choice| (choice.takes, choice.tier);
                    let (own, less) = (takes(choice), takes(other));
                    // Whose plug stays longer may be full in time where others are not.
                    other.last == choice.last && own != less && less.0 <= own.0 && less.1 <= own.1
                };
                if matches!(self.part, Part::Promises | Part::InTime)
                    && of_seat.iter().any(|(_, other)| takes_more(other))
                {
                    continue;
                }
                self.promised(listed, choice, asks, columns);
            }
        }
    }

    fn is_in_time(&self) -> bool {
        matches!(self.part, Part::InTime)
    }

    /// As it is at best, with nothing asked of others.
    fn column(&self, listed: u32, choice: &Choice) -> Column {
        let rank = usize::from(self.setup.devices[choice.device].priority) - 1;
        Column {
            listed,
            port: choice.port,
            cable: choice.cable,
            time: choice.time,
            hours: HOURS_COUNT[rank].saturating_mul(choice.time),
            watts: choice.watts,
            contract: choice.key(),
            tier: choice.tier,
            takes: choice.takes,
            load: 0,
            needs: 0,
            assured: true,
            late: choice.late,
            moved: self.options.is_move(choice),
            first: choice.first,
            last: choice.last,
        }
    }

    /// One column for each step of what can be promised that the limits tell from the one
    /// before.
    fn promised(&self, listed: u32, choice: &Choice, asks: &Asks, columns: &mut Vec<Column>) {
        let device = &self.setup.devices[choice.device];
        let rank = usize::from(device.priority) - 1;
        let mut before = None;
        for step in &asks.steps {
            let (time, late) = self.promised_time(choice, step.time);
            if late && self.is_in_time() {
                continue;
            }
            if let Some(limits) = self.part.limits() {
                let later = &limits.later[class(rank)];
                let slow = later.partition_point(|(most, _)| time <= *most);
                let out = later
                    .first()
                    .is_some_and(|&(most, n)| n == 0 && time > most);
                if out || (late && limits.late[rank] == 0) || before == Some((slow, late)) {
                    continue;
                }
                before = Some((slow, late));
            }
            columns.push(Column {
                time,
                late,
                load: asks.load,
                needs: step.needs,
                assured: step.needs <= asks.floor,
                ..self.column(listed, choice)
            });
        }
    }

    /// When a choice comes to full where it takes so long, and whether that is late.
    fn promised_time(&self, choice: &Choice, time: i64) -> (i64, bool) {
        let device = &self.setup.devices[choice.device];
        if self.sessions.is_one() {
            let ready_by = device.ready_by_h.map(millionths);
            return (time, ready_by.is_some_and(|ready_by| time > ready_by));
        }
        // Never is no later for beginning later.
        let time = (self.sessions.start(choice.first) + time).min(NEVER);
        (
            time,
            self.sessions.is_late(choice.device, choice.last, time),
        )
    }
}

impl Model {
    /// The choice that a device of the model takes with a column.
    pub(super) fn taken<'c>(&self, choices: &'c Choices, device: usize, column: u32) -> &'c Choice {
        &choices.by_device[self.devices[device]][self.column(column).listed as usize]
    }

    /// An assignment of a model with other columns of the same choices, in those of this one
    /// that promise as much.
    pub(super) fn as_here(&self, other: &Self, assignment: &Assignment) -> Option<Assignment> {
        let each = assignment.iter().enumerate();
        each.map(|(device, column)| {
            let Some(column) = column else {
                return Some(None);
            };
            let there = other.column(*column);
            self.promising(device, there.listed, there.needs).map(Some)
        })
        .collect()
    }

    /// Of the columns of a choice, the one that promises the most for no more than `needs`.
    pub(super) fn promising(&self, device: usize, listed: u32, needs: i64) -> Option<u32> {
        let columns = self.of_device[device].clone();
        let of_choice = columns.filter(|&column| {
            let column = self.column(column);
            column.listed == listed && column.needs <= needs
        });
        of_choice.max_by_key(|&column| self.column(column).needs)
    }

    /// The program of a setup whose choices are known, as far as `part` says.
    pub(super) fn of(
        setup: &Setup,
        sessions: &Sessions,
        options: &Choices,
        part: Part<'_>,
    ) -> Self {
        let devices: Vec<usize> = (0..setup.devices.len())
            .filter(|&d| setup.devices[d].needs_berth())
            .collect();
        let listing = Listing {
            setup,
            sessions,
            options,
            part,
        };
        let mut columns = Vec::new();
        let mut of_device = Vec::new();
        for (at, &device) in devices.iter().enumerate() {
            let from = index(columns.len());
            listing.columns(device, at, &mut columns);
            // Port by port, what takes the least first.
            columns[from as usize..].sort_by_key(|column| {
                let takes = (column.takes, column.tier, column.watts);
                (column.first, column.port, takes, column.time, column.cable)
            });
            of_device.push(from..index(columns.len()));
        }
        let (tables, table_of) = tables(setup, options);
        let moved_away = options.near.as_ref().map(|near| {
            let had_berth = |&device: &usize| near.former(device).is_some();
            devices.iter().map(had_berth).collect()
        });
        let mut model = Self {
            missing: devices
                .iter()
                .map(|&d| millionths(setup.devices[d].missing_wh()))
                .collect(),
            rank: devices
                .iter()
                .map(|&d| usize::from(setup.devices[d].priority) - 1)
                .collect(),
            moved_away,
            devices,
            columns,
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
            has_promises: setup.aim == Aim::Promise,
            rows: Vec::new(),
            coefficients: Vec::new(),
            starts: vec![0],
            row_signatures: Vec::new(),
            dominance_keys: Vec::new(),
        };
        model.add_rows(setup, options);
        model.number_signatures();
        model
    }

    /// All rows, whether they can bind or not.
    fn all_rows(&self, setup: &Setup, options: &Choices) -> Vec<Row> {
        let mut rows: Vec<Row> = Vec::new();
        let mut each_pool = |row: &dyn Fn(usize, usize, usize, i64) -> Row| {
            for (charger, of) in setup.chargers.iter().enumerate() {
                for (pool, of) in of.pools.iter().enumerate() {
                    let max = millionths(of.max_w);
                    rows.extend((0..self.sessions).map(|session| row(charger, pool, session, max)));
                }
            }
        };
        each_pool(&|charger, pool, session, cap| Row {
            origin: RowOrigin::Pool {
                charger,
                pool,
                session,
            },
            cap,
        });
        if self.has_promises {
            each_pool(&|charger, pool, session, max| Row {
                origin: RowOrigin::Load {
                    charger,
                    pool,
                    session,
                    max,
                },
                // Depends on who takes from it; the search works it out.
                cap: ANY_LOAD,
            });
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
            rows.extend(options.cables.iter().enumerate().map(|(group, of)| Row {
                origin: RowOrigin::Cable { group, session },
                cap: i64::from(of.count),
            }));
        }
        for session in 1..self.sessions {
            rows.extend(options.ports.iter().enumerate().map(|(group, of)| Row {
                origin: RowOrigin::Ports { group, session },
                cap: small(of.ports.len()),
            }));
        }
        rows
    }

    fn add_rows(&mut self, setup: &Setup, options: &Choices) {
        let mut rows = self.all_rows(setup, options);
        self.list_coefficients(&rows, options);
        let binding = self.binding(&rows, options);
        self.drop_rows(&mut rows, &binding);
        let mut pooled = vec![false; options.ports.len()];
        let mut loaded = vec![false; options.ports.len()];
        let mut scarce = vec![false; options.cables.len()];
        let mark = |groups: &mut [bool], (charger, pool): (usize, usize)| {
            for (marked, group) in groups.iter_mut().zip(&options.ports) {
                *marked |= group.is_in(charger, pool);
            }
        };
        for row in &rows {
            match row.origin {
                RowOrigin::Pool { charger, pool, .. } => {
                    mark(&mut pooled, (charger, pool));
                }
                RowOrigin::Load { charger, pool, .. } => {
                    mark(&mut loaded, (charger, pool));
                }
                RowOrigin::Cable { group, .. } => scarce[group] = true,
                RowOrigin::Table { .. }
                | RowOrigin::TablePorts { .. }
                | RowOrigin::Ports { .. } => {}
            }
        }
        let dominance_key = |column: &Column| DominanceKey {
            time: column.time,
            takes: if pooled[column.port] { column.takes } else { 0 },
            tier: match self.table_of[column.port] {
                Some(_) => column.tier.max(column.needs),
                None => 0,
            },
            needs: match self.table_of[column.port] {
                Some(_) => column.needs,
                None => 0,
            },
            load: if loaded[column.port] { column.load } else { 0 },
            slack: if loaded[column.port] && !column.assured {
                column.load - column.needs
            } else {
                ANY_LOAD
            },
            port: index(column.first * options.ports.len() + column.port),
            last: column.last,
            in_need: self.table_of[column.port].is_some_and(|(table, _)| {
                let mut lines = self.tables[table].lines.iter();
                lines.any(|line| !line.needs.is_empty())
            }),
            cable: scarce[column.cable].then(|| index(column.cable)),
            late: column.late,
        };
        self.dominance_keys = self.columns.iter().map(dominance_key).collect();
        self.rows = rows;
    }

    /// What a column takes from a row.
    fn taken_by(&self, index: u32, origin: RowOrigin, options: &Choices) -> i64 {
        let column = self.column(index);
        let group = &options.ports[column.port];
        let lasts = |session: usize| (column.first..=column.last).contains(&session);
        let uses = |table: usize| self.in_tables(index).any(|(of, _)| of == table);
        let (takes, amount) = match origin {
            RowOrigin::Pool {
                charger,
                pool,
                session,
            } => (group.is_in(charger, pool) && lasts(session), column.takes),
            RowOrigin::Load {
                charger,
                pool,
                session,
                ..
            } => (group.is_in(charger, pool) && lasts(session), column.load),
            RowOrigin::Table { table } => (uses(table), column.tier.max(column.needs)),
            RowOrigin::TablePorts { table } => (uses(table), 1),
            RowOrigin::Cable { group, session } => (column.cable == group && lasts(session), 1),
            RowOrigin::Ports { group, session } => (column.port == group && lasts(session), 1),
        };
        if takes { amount } else { 0 }
    }

    /// What each column takes from which row.
    fn list_coefficients(&mut self, rows: &[Row], options: &Choices) {
        /// Rows that a column of a usual setup takes from.
        const USUAL: usize = 6;
        let seats = SeatRows::of(self, rows, options);
        let mut concerned = Vec::new();
        self.coefficients.reserve(USUAL * self.columns.len());
        self.starts.reserve(self.columns.len());
        for column in 0..index(self.columns.len()) {
            seats.of_column(self.column(column), &mut concerned);
            for &r in &concerned {
                let takes = self.taken_by(column, rows[r].origin, options);
                if takes != 0 {
                    self.coefficients.push((index(r), takes));
                }
            }
            self.starts.push(index(self.coefficients.len()));
        }
    }

    /// Leaves only the rows that can bind, and what is taken from them.
    fn drop_rows(&mut self, rows: &mut Vec<Row>, binding: &[bool]) {
        let mut left = 0;
        let number = |&binds: &bool| {
            left += u32::from(binds);
            binds.then(|| left - 1)
        };
        let numbers: Vec<Option<u32>> = binding.iter().map(number).collect();
        let mut keep = binding.iter();
        rows.retain(|_| keep.next().is_some_and(|&binds| binds));
        let (mut from, mut to) = (0, 0);
        for start in &mut self.starts[1..] {
            while from < *start as usize {
                let (row, takes) = self.coefficients[from];
                from += 1;
                if let Some(row) = numbers[row as usize] {
                    self.coefficients[to] = (row, takes);
                    to += 1;
                }
            }
            *start = index(to);
        }
        self.coefficients.truncate(to);
    }

    /// By row, whether the devices could together take more than it allows. A table's row
    /// always can: its cap falls with the lines that are left.
    fn binding(&self, rows: &[Row], options: &Choices) -> Vec<bool> {
        let mut sums = vec![0_i64; rows.len()];
        // Of the device at hand, the most that it takes from each row.
        let mut most = vec![0_i64; rows.len()];
        let mut touched = Vec::new();
        for range in &self.of_device {
            for column in range.clone() {
                for &(row, takes) in self.takes(column) {
                    let most = &mut most[row as usize];
                    if *most == 0 && takes > 0 {
                        touched.push(row as usize);
                    }
                    *most = takes.max(*most);
                }
            }
            for r in touched.drain(..) {
                sums[r] += std::mem::take(&mut most[r]);
            }
        }
        let each = rows.iter().zip(sums);
        each.map(|(row, sum)| match row.origin {
            RowOrigin::Table { .. } | RowOrigin::TablePorts { .. } => true,
            // What its loads come to depends on the lines that govern.
            RowOrigin::Load { charger, max, .. } => {
                let mut groups = options.ports.iter().zip(&self.table_of);
                sum > max || groups.any(|(group, of)| group.charger == charger && of.is_some())
            }
            _ => sum > row.cap,
        })
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
                promised: together(line, &granted),
                needs: needs(line, &granted),
            })
            .collect();
        let promised = if setup.aim == Aim::Promise {
            drop_repeated(&mut lines);
            granted
        } else {
            drop_covered(&mut lines);
            Vec::new()
        };
        let seats = groups.iter().map(|&group| options.ports[group].ports.len());
        tables.push(Table {
            seats: seats.collect(),
            lines,
            sets: LineSets::of(&promised),
            promised,
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

/// Port by port the least of what the lines of the same ports grant.
fn together(line: &[Option<i64>], all: &[Vec<Option<i64>>]) -> Vec<Option<i64>> {
    let same = || {
        all.iter()
            .filter(|other| within(other, line) && within(line, other))
    };
    (0..line.len())
        .map(|place| same().filter_map(|other| other[place]).min())
        .collect()
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

/// Drops lines that say what another one says.
fn drop_repeated(lines: &mut Vec<Line>) {
    let mut kept: Vec<Line> = Vec::new();
    for line in lines.drain(..) {
        if !kept.contains(&line) {
            kept.push(line);
        }
    }
    *lines = kept;
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
