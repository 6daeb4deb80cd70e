//! The plan's order, level by level: each is settled and proven before the next is
//! asked, and stays a limit on all that follow.

use super::goal::{Domains, Goal, Limits};
use super::model::{Assignment, Model, small};
use super::progress::Settling;
use super::search::{Query, Search, Verdict};
use crate::setup::document::fields::words;
use crate::solve::local_search::improve;
use crate::solve::lower_bounds::LowerBounds;
use crate::solve::subproblem::{Keep, Subproblem};

words! {
    /// Up to where in the plan's order something is meant.
    #[derive(PartialOrd, Ord)]
    pub enum Level {
        /// Who is without a berth, how many are late, and the longest time.
        Longest = "longest",
        /// The whole sorted list of times, too.
        Times = "times",
        /// The watts and the listed order, too: the whole order.
        Everything = "everything",
    }
}

/// What the search came to.
#[derive(Debug, Clone)]
pub(crate) struct Outcome {
    pub(crate) assignment: Assignment,
    /// Whether every level was settled.
    pub(crate) proven: bool,
    /// The last level that was, of those that can be asked for.
    pub(crate) settled: Option<Level>,
    /// Proven least number without a berth.
    pub(crate) unserved: i64,
    /// Proven least number late.
    pub(crate) late: i64,
    /// Proven bound on the longest time, in whole 1e-6 h, where the levels before it
    /// are settled.
    pub(crate) longest: Option<i64>,
}

impl Outcome {
    /// Nobody on a port, which is always a plan, and nothing known of better ones.
    pub(crate) fn unknown(model: &Model) -> Self {
        Self {
            assignment: vec![None; model.len()],
            proven: false,
            settled: None,
            unserved: 0,
            late: 0,
            longest: None,
        }
    }
}

/// A limit struck before the level was settled.
pub(crate) struct Unsettled;

pub(crate) struct Levels<'a> {
    pub(crate) search: Search<'a>,
    model: &'a Model,
    limits: Limits,
    domains: Domains,
    /// The best assignment so far. Nobody on a port is always a plan.
    incumbent: Assignment,
    unserved: i64,
    late: i64,
    longest: Option<i64>,
    /// The last level to settle.
    until: Level,
    settled: Option<Level>,
}

/// Why the levels end before the last one.
enum Ended {
    /// The level was settled after which the caller wanted no more.
    AsAsked,
    Unsettled,
}

impl From<Unsettled> for Ended {
    fn from(_: Unsettled) -> Self {
        Self::Unsettled
    }
}

impl<'a> Levels<'a> {
    pub(crate) fn new(search: Search<'a>) -> Self {
        let model = search.model;
        let nowhere = model
            .of_device
            .iter()
            .filter(|range| range.is_empty())
            .count();
        Self {
            model,
            search,
            limits: Limits::none(),
            domains: Domains::all(model),
            incumbent: vec![None; model.len()],
            unserved: i64::try_from(nowhere).unwrap_or(i64::MAX),
            late: 0,
            longest: None,
            until: Level::Everything,
            settled: None,
        }
    }

    /// Ends once this level is settled.
    pub(crate) fn until(self, until: Level) -> Self {
        Self { until, ..self }
    }

    /// With all levels but the ties settled, as `limits` say, for the same assignment in a
    /// model of the same setup with other groups; the ties of the devices before
    /// `device` are settled too.
    pub(crate) fn resumed(
        search: Search<'a>,
        limits: &Limits,
        assignment: Assignment,
        device: usize,
    ) -> Self {
        let model = search.model;
        let mut levels = Self {
            limits: limits.clone(),
            incumbent: assignment,
            ..Self::new(search)
        };
        let mut times: Vec<i64> = levels
            .incumbent
            .iter()
            .flatten()
            .map(|&c| model.column(c).time)
            .collect();
        times.sort_unstable();
        levels
            .domains
            .retain(|_, column| times.binary_search(&model.column(column).time).is_ok());
        for before in 0..device {
            levels.fix(before);
        }
        levels
    }

    pub(crate) fn limits(&self) -> &Limits {
        &self.limits
    }

    pub(crate) fn incumbent(&self) -> &Assignment {
        &self.incumbent
    }

    pub(crate) fn solve(&mut self) -> Outcome {
        let proven = self.solve_all().is_ok();
        self.outcome(proven)
    }

    fn outcome(&self, proven: bool) -> Outcome {
        Outcome {
            assignment: self.incumbent.clone(),
            proven,
            settled: self.settled,
            unserved: self.unserved,
            late: self.late,
            longest: self.longest,
        }
    }

    fn solve_all(&mut self) -> Result<(), Ended> {
        self.improve(&[Goal::Watts, Goal::Any]);
        self.solve_unserved()?;
        self.solve_late()?;
        self.solve_times()?;
        self.reached(Level::Times)?;
        self.solve_after_first()?;
        self.solve_watts()?;
        if self.model.sessions == 1 {
            for device in 0..self.model.len() {
                self.solve_tie(device)?;
            }
            self.settled = Some(Level::Everything);
        }
        Ok(())
    }

    /// Notes a level as settled. Whether the next is wanted.
    fn reached(&mut self, level: Level) -> Result<(), Ended> {
        self.settled = Some(level);
        if level < self.until {
            Ok(())
        } else {
            Err(Ended::AsAsked)
        }
    }

    /// Fewest without a berth by priority, then the fewest watt-hours missing.
    fn solve_unserved(&mut self) -> Result<(), Unsettled> {
        self.tell(Settling::Unserved, self.unserved);
        let model = self.model;
        let nowhere = |goal: Goal| -> i64 {
            (0..model.len())
                .filter(|&d| model.of_device[d].is_empty())
                .map(|d| goal.of_none(model, d))
                .sum()
        };
        // Often all that have a column can sit. Else, over sessions, priority by priority: in
        // one sum those of a low one would be too little beside the others for the bound to
        // see.
        let floor = nowhere(Goal::Unserved);
        let above = Goal::Unserved.of(model, &self.incumbent) > floor;
        if model.sessions == 1 {
            self.least(Goal::Unserved, floor, 1)?;
        } else if above && !self.reaches(Goal::Unserved, floor)? {
            let alike = model.rank.windows(2).all(|two| two[0] == two[1]);
            for rank in 0..3 {
                let goal = Goal::UnservedOf(rank);
                let floor = nowhere(goal);
                // That it cannot be had is known where there is one rank.
                let known = alike && model.rank.first() == Some(&rank);
                self.least(goal, floor + i64::from(known), 1)?;
                self.close_above(goal, floor);
                self.limits.unserved[rank] = self.unserved_of(rank);
            }
        }
        self.unserved = Goal::count_unserved(Goal::Unserved.of(model, &self.incumbent));
        self.tell(Settling::Unserved, self.unserved);
        let counts = [0, 1, 2].map(|rank| self.unserved_of(rank));
        self.limits.unserved = counts;
        // Where only those with no column at all stay, all others must sit.
        for (rank, &count) in counts.iter().enumerate() {
            let of_rank = |&d: &usize| model.rank[d] == rank;
            let nowhere = (0..model.len())
                .filter(of_rank)
                .filter(|&d| self.domains.columns[d].is_empty())
                .count();
            if i64::try_from(nowhere).unwrap_or(0) == count {
                for device in (0..model.len()).filter(of_rank) {
                    self.domains.may_stay[device] = self.domains.columns[device].is_empty();
                }
            }
        }
        let unit = model.missing.iter().copied().fold(0, gcd).max(1);
        let floor = nowhere(Goal::Missing);
        let least = self.least(Goal::Missing, floor, unit)?;
        self.close_above(Goal::Missing, floor);
        self.limits.missing = Some(least);
        Ok(())
    }

    fn solve_late(&mut self) -> Result<(), Unsettled> {
        let model = self.model;
        // A device all of whose columns are late is late wherever it sits.
        let always = (0..model.len())
            .filter(|&d| {
                let domains = &self.domains.columns[d];
                !self.domains.may_stay[d] && domains.iter().all(|&c| model.column(c).late)
            })
            .count();
        self.late = i64::try_from(always).unwrap_or(0);
        let floor = self.late;
        self.late = self.least(Goal::Late, floor, 1)?;
        self.close_above(Goal::Late, floor);
        self.limits.late = Some(self.late);
        Ok(())
    }

    /// Brings a cost to its least, at least `floor`, which is proven already.
    fn least(&mut self, goal: Goal, floor: i64, unit: i64) -> Result<i64, Unsettled> {
        self.tell_of(goal, floor);
        let least = self.least_from(goal, floor, unit)?;
        self.tell_of(goal, least);
        Ok(least)
    }

    fn least_from(&mut self, goal: Goal, floor: i64, unit: i64) -> Result<i64, Unsettled> {
        let now = goal.of(self.model, &self.incumbent);
        if now <= floor {
            return Ok(now);
        }
        // Often the floor itself can be had.
        if self.reaches(goal, floor)? {
            return Ok(floor);
        }
        self.tell_of(goal, floor + unit);
        let below = Query {
            least: true,
            unit,
            ..Query::within(goal, &self.limits, now - unit)
        };
        match self.search.ask(&below, &self.domains) {
            Verdict::Found(assignment) => self.incumbent = assignment,
            Verdict::Impossible => {}
            Verdict::Unknown(assignment) => {
                if let Some(assignment) = assignment {
                    self.incumbent = assignment;
                }
                return Err(Unsettled);
            }
        }
        Ok(goal.of(self.model, &self.incumbent))
    }

    /// Where a cost settled is above the floor known without a search, closes what no
    /// assignment at that cost takes. Over sessions only: there the same cause is otherwise
    /// found again under every line of every session, and in one it costs more than it gains.
    fn close_above(&mut self, goal: Goal, floor: i64) {
        let settled = goal.of(self.model, &self.incumbent);
        if settled > floor && self.model.sessions > 1 {
            let query = Query::within(goal, &self.limits, settled);
            self.search.close(&query, &mut self.domains);
        }
    }

    /// Whether a cost can be brought to its proven floor; then it is.
    fn reaches(&mut self, goal: Goal, floor: i64) -> Result<bool, Unsettled> {
        let at_floor = Query::within(goal, &self.limits, floor);
        match self.search.ask(&at_floor, &self.domains) {
            Verdict::Found(assignment) => {
                self.incumbent = assignment;
                Ok(true)
            }
            Verdict::Impossible => Ok(false),
            Verdict::Unknown(_) => Err(Unsettled),
        }
    }

    /// Tells what is proven of a cost, if somebody wants to know.
    fn tell_of(&mut self, goal: Goal, bound: i64) {
        let settling = match goal {
            Goal::Missing => Settling::Missing,
            Goal::Late => Settling::Late,
            Goal::AfterFirst => Settling::AfterFirst,
            Goal::Watts => Settling::Watts,
            // A sum over ranks, or of one rank, is no bound on the number of all.
            Goal::Any | Goal::Unserved | Goal::UnservedOf(_) => return,
        };
        self.tell(settling, bound);
    }

    fn tell(&mut self, settling: Settling, bound: i64) {
        let budget = &mut self.search.budget;
        let steps = budget.spent();
        if let Some(told) = &mut budget.told {
            told.level(self.model, &self.incumbent, (settling, bound), steps);
        }
    }

    fn unserved_of(&self, rank: usize) -> i64 {
        Goal::UnservedOf(rank).of(self.model, &self.incumbent)
    }

    /// The sorted times, longest first: for each place in that list the least time that
    /// so many devices need exceed, found by halving the list of distinct times.
    fn solve_times(&mut self) -> Result<(), Ended> {
        self.improve(&[Goal::Any]);
        let served = self.incumbent.iter().flatten().count();
        let mut settled: Vec<i64> = Vec::new();
        let lower_bounds = LowerBounds::of(self.model, &self.domains, &self.incumbent);
        if served == 0 {
            self.longest = Some(0);
            self.reached(Level::Longest)?;
        }
        for place in 0..served {
            let most_later = i64::try_from(place).unwrap_or(i64::MAX);
            let mut high = self.time_at(place);
            let from = lower_bounds.first_possible(most_later, settled.first().copied());
            let mut candidates: Vec<i64> = lower_bounds.times_from(from, high).to_vec();
            if place == 0 {
                self.longest = Some(candidates.first().copied().unwrap_or(high));
            }
            // The one below what is at hand first, since often nothing is better, and the
            // lowest, since often it can be had; then by halves.
            let mut tried = 0;
            while !candidates.is_empty() {
                let at = match (tried, place) {
                    (0, 0) | (1, 1..) => 0,
                    (0, 1..) => candidates.len() - 1,
                    _ => candidates.len() / 2,
                };
                tried += 1;
                let time = candidates[at];
                self.tell(Settling::Time { place }, candidates[0]);
                let mut limits = self.limits.clone();
                limits.later.push((time, most_later));
                match self.search.ask(&Query::any(&limits), &self.domains) {
                    Verdict::Found(assignment) => {
                        self.incumbent = assignment;
                        self.improve(&[Goal::Any]);
                        high = self.time_at(place);
                        candidates.retain(|&t| t < high);
                    }
                    Verdict::Impossible => {
                        candidates.drain(..=at);
                        if place == 0 {
                            self.longest = Some(candidates.first().copied().unwrap_or(high));
                        }
                    }
                    Verdict::Unknown(_) => return Err(Ended::Unsettled),
                }
            }
            self.tell(Settling::Time { place }, high);
            if place == 0 {
                self.reached(Level::Longest)?;
            }
            if settled.last() != Some(&high) {
                self.limits.later.push((high, most_later));
            }
            settled.push(high);
            let (model, settled) = (self.model, &settled);
            self.domains.retain(|_, column| {
                let time = model.column(column).time;
                time < high || settled.binary_search_by(|t| time.cmp(t)).is_ok()
            });
            if (place + 1).is_power_of_two() {
                self.drop_lines()?;
            }
        }
        // From here on only the settled times exist.
        let model = self.model;
        self.domains.retain(|_, column| {
            settled
                .binary_search_by(|t| model.column(column).time.cmp(t))
                .is_ok()
        });
        Ok(())
    }

    /// Drops the lines of tables by which what is settled so far cannot be had.
    fn drop_lines(&mut self) -> Result<(), Unsettled> {
        for table in 0..self.domains.lines.len() {
            let mut kept = self.domains.lines[table].clone();
            if kept.len() < 2 {
                continue;
            }
            for line in kept.clone() {
                let mut domains = self.domains.clone();
                domains.lines[table] = vec![line];
                match self.search.ask(&Query::any(&self.limits), &domains) {
                    Verdict::Found(_) => {}
                    Verdict::Impossible => kept.retain(|&other| other != line),
                    Verdict::Unknown(_) => return Err(Unsettled),
                }
            }
            self.domains.lines[table] = kept;
        }
        Ok(())
    }

    /// The time at a place of the sorted list, longest first.
    fn time_at(&self, place: usize) -> i64 {
        let mut times: Vec<i64> = self
            .incumbent
            .iter()
            .flatten()
            .map(|&c| self.model.column(c).time)
            .collect();
        times.sort_unstable_by_key(|&t| std::cmp::Reverse(t));
        times[place]
    }

    /// Betters the assignment at hand by small moves within what is settled.
    /// One goal after the other.
    fn improve(&mut self, goals: &[Goal]) {
        let model = self.model;
        let subproblem = Subproblem::of(
            model,
            Goal::Any,
            &self.limits,
            0,
            &self.domains,
            Keep::All,
            std::mem::take(&mut self.search.memory),
        );
        if let Some(mut taken) = subproblem.taken(&self.incumbent) {
            for &goal in goals {
                let rank = |device: usize, way: u32| match subproblem.way(way).column {
                    Some(c) if goal == Goal::Watts => {
                        (0, model.column(c).watts, model.column(c).time)
                    }
                    Some(c) => (0, model.column(c).time, model.column(c).watts),
                    None => (3 - model.rank[device], model.missing[device], 0),
                };
                taken = improve(&subproblem, &taken, rank);
            }
            self.incumbent = subproblem.assignment(&taken);
        }
        self.search.memory = subproblem.into_memory();
    }

    /// Fewest berths that start after the first session.
    fn solve_after_first(&mut self) -> Result<(), Unsettled> {
        let model = self.model;
        let must = |device: usize| {
            let domains = &self.domains.columns[device];
            !self.domains.may_stay[device] && domains.iter().all(|&c| model.column(c).first > 0)
        };
        let floor = (0..model.len()).filter(|&device| must(device)).count();
        let least = self.least(Goal::AfterFirst, small(floor), 1)?;
        self.close_above(Goal::AfterFirst, small(floor));
        self.limits.after_first = Some(least);
        Ok(())
    }

    fn solve_watts(&mut self) -> Result<(), Unsettled> {
        self.improve(&[Goal::Watts]);
        let model = self.model;
        let watts = |d: usize| {
            self.domains.columns[d]
                .iter()
                .map(|&c| model.column(c).watts)
        };
        let unit = (0..model.len()).flat_map(watts).fold(0, gcd);
        let floor = (0..model.len())
            .filter(|&d| !self.domains.may_stay[d])
            .map(|d| watts(d).min().unwrap_or(0))
            .sum();
        self.least(Goal::Watts, floor, unit.max(1))?;
        Ok(())
    }

    /// Those before it settled, the earliest port, cable and contract that a best plan
    /// has for the device.
    pub(crate) fn solve_tie(&mut self, device: usize) -> Result<(), Unsettled> {
        let total = Goal::Watts.of(self.model, &self.incumbent);
        loop {
            let now = self.incumbent[device].map(|c| self.place_key(device, c));
            let mut domains = self.domains.clone();
            domains.may_stay[device] = false;
            let earlier: Vec<u32> = self.domains.columns[device]
                .iter()
                .copied()
                .filter(|&c| now.is_none_or(|now| self.place_key(device, c) < now))
                .collect();
            if earlier.is_empty() {
                break;
            }
            domains.columns[device] = earlier;
            let query = Query::within(Goal::Watts, &self.limits, total);
            match self.search.ask(&query, &domains) {
                Verdict::Found(assignment) => self.incumbent = assignment,
                Verdict::Impossible => break,
                Verdict::Unknown(_) => return Err(Unsettled),
            }
        }
        self.fix(device);
        Ok(())
    }

    /// Leaves a device only the column it has.
    fn fix(&mut self, device: usize) {
        self.domains.columns[device] = self.incumbent[device].into_iter().collect();
        self.domains.may_stay[device] = self.incumbent[device].is_none();
    }

    /// Where a column would stand in the listed order, the devices before it seated: the
    /// first port of its group and the first cable of its kind that they leave.
    fn place_key(&self, device: usize, column: u32) -> (usize, usize, (i64, i64), usize) {
        let column = self.model.column(column);
        let before = || {
            self.incumbent[..device]
                .iter()
                .flatten()
                .map(|&c| self.model.column(c))
        };
        let (ports_taken, cables_taken) = if self.model.sessions == 1 {
            (
                before().filter(|c| c.port == column.port).count(),
                before().filter(|c| c.cable == column.cable).count(),
            )
        } else {
            // What the devices before it have is in no group with others.
            (0, 0)
        };
        (
            self.model.listed_port(column.port, ports_taken),
            self.model.listed_cable(column.cable, cables_taken),
            column.contract,
            column.first,
        )
    }
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
