//! A claim as a pseudo-Boolean formula: variables of 0 or 1, and rows of whole numbers. The
//! page of the guide on formulas has the definition, row by row; another program can write
//! the same from it.

mod loads;
mod tables;
mod text;

use std::ops::Range;

use super::program::{Agent, NEVER, Program, Way};
use crate::plan::proof::{Claimed, Later, Number};

/// Σ coefficient · variable ≥ `at_least`; variables from 0, rising, no coefficient 0.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Row {
    pub(crate) terms: Vec<(u32, i64)>,
    pub(crate) at_least: i64,
}

/// What a variable stands for.
#[derive(Debug, Clone)]
pub(crate) enum Variable {
    /// An agent takes a way.
    Way { agent: usize, way: Way },
    /// A line of a charger's table is respected.
    Line,
    /// The ports in use of a charger with a table are within these, and within no fewer.
    Ports,
    /// The loads of a pool come to no more than this level.
    Level,
}

/// The formula of a claim.
#[derive(Debug, Clone, Default)]
pub(crate) struct Formula {
    pub(crate) variables: Vec<Variable>,
    /// Of each exactly one variable is 1; they follow one another, and their rows come first,
    /// two for each.
    pub(crate) groups: Vec<Range<u32>>,
    pub(crate) rows: Vec<Row>,
    /// The rows of ports, behind those of groups: by port and session.
    pub(crate) ports: Vec<(usize, usize)>,
}

/// What is counted over all ways.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Count {
    Unserved(usize),
    Missing,
    Late(usize),
    /// Devices that take longer than a time: of priority 3, or of the others.
    Later(bool, i64),
    /// Berths that start after the first session.
    Swaps,
    Hours,
    Watts,
}

impl Count {
    fn of(self, agent: &Agent, way: &Way) -> i64 {
        let stays = way.seat.is_none();
        match self {
            Self::Unserved(rank) => i64::from(stays && agent.rank == rank),
            Self::Missing if stays => agent.missing,
            _ if stays => 0,
            Self::Missing => 0,
            Self::Late(rank) => i64::from(way.late && agent.rank == rank),
            Self::Later(spare, time) => i64::from((agent.rank == 2) == spare && way.time > time),
            Self::Swaps => i64::from(way.seat.is_some_and(|seat| seat.first > 0)),
            Self::Hours => way.hours,
            Self::Watts => way.watts,
        }
    }
}

/// What a formula asks for.
#[derive(Debug, Clone)]
pub(crate) struct Asked {
    /// What is counted, and the most that it may come to.
    pub(crate) most: Vec<(Count, i64)>,
    /// No time is above this.
    pub(crate) time: i64,
    /// Whether ways that others make superfluous are there, too.
    pub(crate) whole: bool,
}

impl Asked {
    /// For a plan that keeps the claimed numbers before `less`, and has less of it than `value`.
    pub(crate) fn better(claimed: &Claimed, less: Number, value: i64) -> Self {
        let mut most = Vec::new();
        for (number, value) in claimed.counted() {
            if number < less {
                most.push((count(number), value));
            } else if number == less {
                most.push((count(number), value - 1));
            }
        }
        if let Some(later) = &claimed.later
            && less > Number::Longest
        {
            most.extend(later_of(later, less, value));
        }
        let time = match less {
            Number::Longest => claimed.least_longest - 1,
            _ => NEVER,
        };
        Self {
            most,
            time,
            whole: false,
        }
    }

    /// For a plan that keeps all claimed numbers.
    pub(crate) fn as_good(claimed: &Claimed) -> Self {
        let counted = claimed.counted().into_iter();
        Self {
            most: counted
                .map(|(number, value)| (count(number), value))
                .collect(),
            time: claimed.longest,
            whole: true,
        }
    }
}

fn count(number: Number) -> Count {
    match number {
        Number::UnservedFirst => Count::Unserved(0),
        Number::UnservedSecond => Count::Unserved(1),
        Number::UnservedThird => Count::Unserved(2),
        Number::Missing => Count::Missing,
        Number::LateFirst => Count::Late(0),
        Number::LateSecond => Count::Late(1),
        Number::LateThird => Count::Late(2),
        Number::Swaps => Count::Swaps,
        Number::Hours => Count::Hours,
        Number::Watts => Count::Watts,
        // Times are counted one by one; nothing is later than never.
        Number::Longest | Number::Urgent(_) | Number::Spare(_) => Count::Later(false, NEVER),
    }
}

/// What comes after the longest time: the numbers before one of them, and less of that.
fn later_of(later: &Later, less: Number, value: i64) -> Vec<(Count, i64)> {
    let mut most = Vec::new();
    let mut places = |spare: bool, times: &[i64]| {
        for (at, time) in times.iter().enumerate() {
            // Of equal times the first place says it of all.
            if *time < NEVER && (at == 0 || times[at - 1] > *time) {
                most.push((Count::Later(spare, *time), number_of(at)));
            }
        }
    };
    let before = |times: &'_ [i64], at: usize| times[..at.min(times.len())].to_vec();
    match less {
        Number::Urgent(at) => places(false, &before(&later.urgent, at)),
        Number::Spare(at) => {
            places(false, &later.urgent);
            places(true, &before(&later.spare, at));
        }
        _ => {
            places(false, &later.urgent);
            places(true, &later.spare);
        }
    }
    let sums = [(Number::Swaps, later.swaps), (Number::Hours, later.hours)];
    let before = sums.into_iter().filter(|(number, _)| *number < less);
    most.extend(before.map(|(number, value)| (count(number), value)));
    most.push(match less {
        Number::Urgent(at) => (Count::Later(false, value - 1), number_of(at)),
        Number::Spare(at) => (Count::Later(true, value - 1), number_of(at)),
        less => (count(less), value - 1),
    });
    most
}

fn number_of(place: usize) -> i64 {
    i64::try_from(place).expect("at most a few hundred devices")
}

/// A formula in the making.
struct Builder<'a> {
    program: &'a Program,
    formula: Formula,
    /// The variables of ways, by agent.
    ways: Vec<(u32, usize, Way)>,
}

impl Formula {
    /// `None` where a table has more sets of ports than are told apart.
    pub(crate) fn of(program: &Program, asked: &Asked) -> Option<Self> {
        let mut builder = Builder {
            program,
            formula: Self::default(),
            ways: Vec::new(),
        };
        for (at, agent) in program.agents.iter().enumerate() {
            builder.add_agent(at, agent, asked);
        }
        let lines = builder.add_lines();
        let sets = builder.add_sets()?;
        let levels = builder.add_levels();
        builder.rows_of_groups();
        builder.rows_of_ports();
        builder.rows_of_pools();
        builder.rows_of_cables();
        builder.rows_of_counts(asked);
        builder.rows_of_lines(&lines);
        builder.rows_of_sets(&sets);
        builder.rows_of_levels(&levels);
        Some(builder.formula)
    }

    /// Whether the variables that are 1 keep every row.
    pub(crate) fn holds(&self, is_one: impl Fn(u32) -> bool) -> bool {
        self.rows.iter().all(|row| row.holds(&is_one))
    }
}

impl Row {
    /// Whether the variables that are 1 keep it.
    pub(crate) fn holds(&self, is_one: impl Fn(u32) -> bool) -> bool {
        let ones = self.terms.iter().filter(|(variable, _)| is_one(*variable));
        ones.map(|(_, n)| i128::from(*n)).sum::<i128>() >= i128::from(self.at_least)
    }
}

impl Builder<'_> {
    fn next(&self) -> u32 {
        u32::try_from(self.formula.variables.len()).expect("ways are counted before")
    }

    fn add_group(&mut self, variables: impl Iterator<Item = Variable>) -> Range<u32> {
        let from = self.next();
        self.formula.variables.extend(variables);
        let group = from..self.next();
        self.formula.groups.push(group.clone());
        group
    }

    fn add_agent(&mut self, at: usize, agent: &Agent, asked: &Asked) {
        let mut ways: Vec<Way> = agent.ways.clone();
        ways.retain(|way| way.time <= asked.time);
        if !asked.whole {
            ways = undominated(self.program, agent, &ways, asked);
        }
        let from = self.next();
        let with_number = (from..).zip(&ways);
        self.ways
            .extend(with_number.map(|(number, way)| (number, at, way.clone())));
        let variables = ways.into_iter().map(|way| Variable::Way { agent: at, way });
        self.add_group(variables);
    }

    /// The ways that last through a session on one of the ports.
    fn during<'b>(
        &'b self,
        session: usize,
        on: impl Fn(usize) -> bool + 'b,
    ) -> impl Iterator<Item = &'b (u32, usize, Way)> {
        self.ways.iter().filter(move |(_, _, way)| {
            way.is_during(session) && way.seat.is_some_and(|seat| on(seat.port))
        })
    }

    /// A row that the terms come to at least so much; none without terms.
    fn at_least(&mut self, terms: impl IntoIterator<Item = (u32, i64)>, at_least: i64) -> bool {
        let mut terms: Vec<(u32, i64)> = terms.into_iter().filter(|(_, n)| *n != 0).collect();
        terms.sort_unstable();
        if terms.is_empty() && at_least <= 0 {
            return false;
        }
        self.formula.rows.push(Row { terms, at_least });
        true
    }

    /// The same that they come to at most so much.
    fn at_most(&mut self, terms: impl IntoIterator<Item = (u32, i64)>, at_most: i64) -> bool {
        let terms: Vec<(u32, i64)> = terms.into_iter().map(|(v, n)| (v, -n)).collect();
        self.at_least(terms, -at_most)
    }

    fn rows_of_groups(&mut self) {
        for group in self.formula.groups.clone() {
            self.at_least(group.clone().map(|variable| (variable, 1)), 1);
            self.at_most(group.map(|variable| (variable, 1)), 1);
        }
    }

    fn rows_of_ports(&mut self) {
        for session in 0..self.program.sessions {
            for port in 0..self.program.ports.len() {
                let there = self.during(session, |on| on == port);
                let terms: Vec<_> = there.map(|(number, ..)| (*number, 1)).collect();
                if self.at_most(terms, 1) {
                    self.formula.ports.push((port, session));
                }
            }
        }
    }

    fn rows_of_pools(&mut self) {
        for session in 0..self.program.sessions {
            for pool in &self.program.pools {
                let there = self.during(session, |on| pool.ports.contains(&on));
                let terms: Vec<_> = there.map(|(number, _, way)| (*number, way.takes)).collect();
                self.at_most(terms, pool.max);
            }
        }
    }

    fn rows_of_cables(&mut self) {
        for session in 0..self.program.sessions {
            for (cable, &count) in self.program.cables.iter().enumerate() {
                let there = self.during(session, |_| true);
                let through =
                    there.filter(|(_, _, way)| way.seat.is_some_and(|seat| seat.cable == cable));
                let terms: Vec<_> = through.map(|(number, ..)| (*number, 1)).collect();
                self.at_most(terms, count);
            }
        }
    }

    fn rows_of_counts(&mut self, asked: &Asked) {
        for &(count, most) in &asked.most {
            let agents = &self.program.agents;
            let of = |(number, agent, way): &(u32, usize, Way)| {
                (*number, count.of(&agents[*agent], way))
            };
            let terms: Vec<_> = self.ways.iter().map(of).collect();
            self.at_most(terms, most);
        }
    }
}

/// The ways but those that another of the same device at the same port, cable and first
/// session makes superfluous; of equal ones the first stays.
fn undominated(program: &Program, agent: &Agent, ways: &[Way], asked: &Asked) -> Vec<Way> {
    let key = |way: &Way| way.seat.map(|seat| (seat.port, seat.cable, seat.first));
    let mut kept = Vec::with_capacity(ways.len());
    // They stand side by side.
    for same in ways.chunk_by(|a, b| key(a) == key(b)) {
        let no_more = |a: &Way, b: &Way| takes_no_more(program, agent, a, b, asked);
        for (at, way) in same.iter().enumerate() {
            let beaten = same.iter().enumerate().any(|(other_at, other)| {
                other_at != at && no_more(other, way) && (other_at < at || !no_more(way, other))
            });
            if !beaten {
                kept.push(way.clone());
            }
        }
    }
    kept
}

/// Whether `a` takes at most as much as `b` of everything that can matter.
fn takes_no_more(program: &Program, agent: &Agent, a: &Way, b: &Way, asked: &Asked) -> bool {
    let (Some(seat), Some(other)) = (a.seat, b.seat) else {
        return a.seat == b.seat;
    };
    let in_pool = program.pools.iter().any(|p| p.ports.contains(&seat.port));
    let in_table = program.tables.iter().any(|t| t.ports.contains(&seat.port));
    let mut counts = asked.most.iter();
    seat.last <= other.last
        && a.need <= b.need
        && (!in_pool || a.takes <= b.takes)
        && (!in_table || a.tier <= b.tier)
        && counts.all(|(count, _)| count.of(agent, a) <= count.of(agent, b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verify::program::Seat;
    use crate::verify::sample;

    fn way(place: (usize, usize), takes: i64, late: bool) -> Way {
        Way {
            seat: Some(Seat {
                port: place.0,
                cable: place.1,
                first: 0,
                last: 0,
            }),
            contract: (takes, takes),
            takes,
            tier: 0,
            load: 0,
            need: 0,
            time: 0,
            late,
            hours: 0,
            watts: 0,
        }
    }

    #[test]
    fn of_ways_on_one_port_through_one_cable_the_frugal_stay() {
        let mut program = Program::of(&sample::setup()).expect("few ways");
        let port = program.pools[0].ports[0];
        let other = (port + 1) % program.ports.len();
        program.tables.clear();
        let agent = Agent {
            device: 0,
            rank: 1,
            missing: 0,
            ways: Vec::new(),
        };
        let ways = [
            way((port, 0), 9, true),
            // Less of one, more of another.
            way((port, 0), 10, false),
            // More of both than the first, and as much as the second.
            way((port, 0), 10, true),
            // As much as the first: the first stays.
            way((port, 0), 9, true),
            // More, but elsewhere.
            way((other, 0), 15, true),
            way((other, 1), 11, true),
        ];
        let asked = |most: &[(Count, i64)]| Asked {
            most: most.to_vec(),
            time: NEVER,
            whole: false,
        };
        let kept = undominated(&program, &agent, &ways, &asked(&[(Count::Late(1), 0)]));
        assert_eq!(kept, [0, 1, 4, 5].map(|at| ways[at].clone()));
        // Where nobody counts who is late.
        let kept = undominated(&program, &agent, &ways, &asked(&[]));
        assert_eq!(kept, [0, 4, 5].map(|at| ways[at].clone()));
    }

    #[test]
    fn a_claim_caps_what_comes_before_and_what_it_is_about() {
        let claimed = Claimed {
            unserved: [1, 2, 3],
            missing: 40,
            late: [5, 6, 7],
            longest: 1_300_000,
            least_longest: 1_250_000,
            later: None,
        };
        let most = |less| -> Vec<i64> {
            let asked = Asked::better(&claimed, less, 0);
            asked.most.iter().map(|(_, most)| *most).collect()
        };
        for (less, expected) in [
            (Number::UnservedFirst, &[0][..]),
            (Number::UnservedThird, &[1, 2, 2]),
            (Number::Missing, &[1, 2, 3, 39]),
            (Number::LateFirst, &[1, 2, 3, 40, 4]),
            (Number::LateThird, &[1, 2, 3, 40, 5, 6, 6]),
            (Number::Longest, &[1, 2, 3, 40, 5, 6, 7]),
        ] {
            assert_eq!(most(less), expected, "{less:?}");
        }
        let setup = sample::setup();
        let program = Program::of(&setup).expect("few ways");
        let longest = |asked: &Asked| {
            let formula = Formula::of(&program, asked).expect("few sets");
            let time = |variable: &Variable| match variable {
                Variable::Way { way, .. } => Some(way.time),
                _ => None,
            };
            formula.variables.iter().filter_map(time).max()
        };
        assert!(longest(&Asked::better(&claimed, Number::Longest, 0)) < Some(1_250_000));
        let as_good = longest(&Asked::as_good(&claimed));
        assert!(Some(1_250_000) <= as_good && as_good <= Some(1_300_000));
    }

    #[test]
    fn a_formula_is_written_a_row_on_a_line() {
        let row = Row {
            terms: vec![(0, 2), (3, -7)],
            at_least: -5,
        };
        let formula = Formula {
            variables: vec![Variable::Line; 4],
            rows: vec![row],
            ..Formula::default()
        };
        assert_eq!(
            formula.to_opb(),
            "* #variable= 4 #constraint= 1\n+2 x1 -7 x4 >= -5 ;\n"
        );
        assert!(formula.holds(|variable| variable == 0));
        assert!(!formula.holds(|variable| variable == 3));
    }
}
