//! The plan's order, level by level: each is settled and proven before the next is
//! asked, and stays a limit on all that follow.

use schemars::JsonSchema;
use serde::Serialize;

use super::goal::{Goal, Limits, Open};
use super::mend::polish;
use super::model::{Model, Seating, small};
use super::program::{Keep, Program};
use super::search::{Search, Task, Verdict};
use super::stairs::Stairs;

/// Up to where in the plan's order something is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Until {
    /// Who is without a berth, how many are late, and the longest time.
    Longest,
    /// The whole sorted list of times, too.
    Times,
    /// The watts and the listed order, too: the whole order.
    Everything,
}

/// What the search came to.
#[derive(Debug, Clone)]
pub(crate) struct Outcome {
    pub(crate) seating: Seating,
    /// Whether every level was settled.
    pub(crate) proven: bool,
    /// The last level that was, of those that can be asked for.
    pub(crate) settled: Option<Until>,
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
            seating: vec![None; model.len()],
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
    open: Open,
    /// The best seating so far. Nobody on a port is always a plan.
    best: Seating,
    unserved: i64,
    late: i64,
    longest: Option<i64>,
    /// The last level to settle.
    until: Until,
    settled: Option<Until>,
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
            open: Open::all(model),
            best: vec![None; model.len()],
            unserved: i64::try_from(nowhere).unwrap_or(i64::MAX),
            late: 0,
            longest: None,
            until: Until::Everything,
            settled: None,
        }
    }

    /// Ends once this level is settled.
    pub(crate) fn until(self, until: Until) -> Self {
        Self { until, ..self }
    }

    /// With all levels but the ties settled, as `limits` say, for the same seating in a
    /// model of the same setup with other groups; the ties of the devices before
    /// `device` are settled too.
    pub(crate) fn resumed(
        search: Search<'a>,
        limits: &Limits,
        seating: Seating,
        device: usize,
    ) -> Self {
        let model = search.model;
        let mut levels = Self {
            limits: limits.clone(),
            best: seating,
            ..Self::new(search)
        };
        let mut times: Vec<i64> = levels
            .best
            .iter()
            .flatten()
            .map(|&c| model.choice(c).time)
            .collect();
        times.sort_unstable();
        levels
            .open
            .retain(|_, choice| times.binary_search(&model.choice(choice).time).is_ok());
        for before in 0..device {
            levels.fix(before);
        }
        levels
    }

    pub(crate) fn limits(&self) -> &Limits {
        &self.limits
    }

    pub(crate) fn best(&self) -> &Seating {
        &self.best
    }

    pub(crate) fn settle(&mut self) -> Outcome {
        let proven = self.settle_all().is_ok();
        self.outcome(proven)
    }

    fn outcome(&self, proven: bool) -> Outcome {
        Outcome {
            seating: self.best.clone(),
            proven,
            settled: self.settled,
            unserved: self.unserved,
            late: self.late,
            longest: self.longest,
        }
    }

    fn settle_all(&mut self) -> Result<(), Ended> {
        self.polish(&[Goal::Watts, Goal::Any]);
        self.settle_unserved()?;
        self.settle_late()?;
        self.settle_times()?;
        self.reached(Until::Times)?;
        self.settle_after_first()?;
        self.settle_watts()?;
        if self.model.sessions == 1 {
            for device in 0..self.model.len() {
                self.settle_tie(device)?;
            }
            self.settled = Some(Until::Everything);
        }
        Ok(())
    }

    /// Notes a level as settled. Whether the next is wanted.
    fn reached(&mut self, level: Until) -> Result<(), Ended> {
        self.settled = Some(level);
        if level < self.until {
            Ok(())
        } else {
            Err(Ended::AsAsked)
        }
    }

    /// Fewest without a berth by priority, then the fewest watt-hours missing.
    fn settle_unserved(&mut self) -> Result<(), Unsettled> {
        let model = self.model;
        let nowhere = |goal: Goal| -> i64 {
            (0..model.len())
                .filter(|&d| model.of_device[d].is_empty())
                .map(|d| goal.of_none(model, d))
                .sum()
        };
        // Often all that have a choice can sit. Else, over sessions, priority by priority: in
        // one sum those of a low one would be too little beside the others for the bound to
        // see.
        let floor = nowhere(Goal::Unserved);
        let above = Goal::Unserved.of(model, &self.best) > floor;
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
        self.unserved = Goal::count_unserved(Goal::Unserved.of(model, &self.best));
        let counts = [0, 1, 2].map(|rank| self.unserved_of(rank));
        self.limits.unserved = counts;
        // Where only those with no choice at all stay, all others must sit.
        for (rank, &count) in counts.iter().enumerate() {
            let of_rank = |&d: &usize| model.rank[d] == rank;
            let nowhere = (0..model.len())
                .filter(of_rank)
                .filter(|&d| self.open.choices[d].is_empty())
                .count();
            if i64::try_from(nowhere).unwrap_or(0) == count {
                for device in (0..model.len()).filter(of_rank) {
                    self.open.may_stay[device] = self.open.choices[device].is_empty();
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

    fn settle_late(&mut self) -> Result<(), Unsettled> {
        let model = self.model;
        // A device all of whose choices are late is late wherever it sits.
        let always = (0..model.len())
            .filter(|&d| {
                let open = &self.open.choices[d];
                !self.open.may_stay[d] && open.iter().all(|&c| model.choice(c).late)
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
        let now = goal.of(self.model, &self.best);
        if now <= floor {
            return Ok(now);
        }
        // Often the floor itself can be had.
        if self.reaches(goal, floor)? {
            return Ok(floor);
        }
        let below = Task {
            least: true,
            unit,
            ..Task::within(goal, &self.limits, now - unit)
        };
        match self.search.ask(&below, &self.open) {
            Verdict::Found(seating) => self.best = seating,
            Verdict::Impossible => {}
            Verdict::Unknown(seating) => {
                if let Some(seating) = seating {
                    self.best = seating;
                }
                return Err(Unsettled);
            }
        }
        Ok(goal.of(self.model, &self.best))
    }

    /// Where a cost settled is above the floor known without a search, closes what no
    /// seating at that cost takes. Over sessions only: there the same cause is otherwise
    /// found again under every line of every session, and in one it costs more than it gains.
    fn close_above(&mut self, goal: Goal, floor: i64) {
        let settled = goal.of(self.model, &self.best);
        if settled > floor && self.model.sessions > 1 {
            let task = Task::within(goal, &self.limits, settled);
            self.search.close(&task, &mut self.open);
        }
    }

    /// Whether a cost can be brought to its proven floor; then it is.
    fn reaches(&mut self, goal: Goal, floor: i64) -> Result<bool, Unsettled> {
        let at_floor = Task::within(goal, &self.limits, floor);
        match self.search.ask(&at_floor, &self.open) {
            Verdict::Found(seating) => {
                self.best = seating;
                Ok(true)
            }
            Verdict::Impossible => Ok(false),
            Verdict::Unknown(_) => Err(Unsettled),
        }
    }

    fn unserved_of(&self, rank: usize) -> i64 {
        Goal::UnservedOf(rank).of(self.model, &self.best)
    }

    /// The sorted times, longest first: for each place in that list the least time that
    /// so many devices need exceed, found by halving the list of distinct times.
    fn settle_times(&mut self) -> Result<(), Ended> {
        self.polish(&[Goal::Any]);
        let served = self.best.iter().flatten().count();
        let mut settled: Vec<i64> = Vec::new();
        let stairs = Stairs::of(self.model, &self.open, &self.best);
        if served == 0 {
            self.longest = Some(0);
            self.reached(Until::Longest)?;
        }
        for place in 0..served {
            let most_later = i64::try_from(place).unwrap_or(i64::MAX);
            let mut high = self.time_at(place);
            let from = stairs.first_possible(most_later, settled.first().copied());
            let mut candidates: Vec<i64> = stairs.times_from(from, high).to_vec();
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
                let mut limits = self.limits.clone();
                limits.later.push((time, most_later));
                match self.search.ask(&Task::any(&limits), &self.open) {
                    Verdict::Found(seating) => {
                        self.best = seating;
                        self.polish(&[Goal::Any]);
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
            if place == 0 {
                self.reached(Until::Longest)?;
            }
            if settled.last() != Some(&high) {
                self.limits.later.push((high, most_later));
            }
            settled.push(high);
            let (model, settled) = (self.model, &settled);
            self.open.retain(|_, choice| {
                let time = model.choice(choice).time;
                time < high || settled.binary_search_by(|t| time.cmp(t)).is_ok()
            });
            if (place + 1).is_power_of_two() {
                self.drop_lines()?;
            }
        }
        // From here on only the settled times exist.
        let model = self.model;
        self.open.retain(|_, choice| {
            settled
                .binary_search_by(|t| model.choice(choice).time.cmp(t))
                .is_ok()
        });
        Ok(())
    }

    /// Drops the lines of tables by which what is settled so far cannot be had.
    fn drop_lines(&mut self) -> Result<(), Unsettled> {
        for table in 0..self.open.lines.len() {
            let mut kept = self.open.lines[table].clone();
            if kept.len() < 2 {
                continue;
            }
            for line in kept.clone() {
                let mut open = self.open.clone();
                open.lines[table] = vec![line];
                match self.search.ask(&Task::any(&self.limits), &open) {
                    Verdict::Found(_) => {}
                    Verdict::Impossible => kept.retain(|&other| other != line),
                    Verdict::Unknown(_) => return Err(Unsettled),
                }
            }
            self.open.lines[table] = kept;
        }
        Ok(())
    }

    /// The time at a place of the sorted list, longest first.
    fn time_at(&self, place: usize) -> i64 {
        let mut times: Vec<i64> = self
            .best
            .iter()
            .flatten()
            .map(|&c| self.model.choice(c).time)
            .collect();
        times.sort_unstable_by_key(|&t| std::cmp::Reverse(t));
        times[place]
    }

    /// Betters the seating at hand by small moves within what is settled.
    /// One goal after the other.
    fn polish(&mut self, goals: &[Goal]) {
        let model = self.model;
        let program = Program::of(
            model,
            Goal::Any,
            &self.limits,
            0,
            &self.open,
            Keep::All,
            std::mem::take(&mut self.search.memory),
        );
        if let Some(mut taken) = program.taken(&self.best) {
            for &goal in goals {
                let rank = |device: usize, way: u32| match program.way(way).choice {
                    Some(c) if goal == Goal::Watts => {
                        (0, model.choice(c).watts, model.choice(c).time)
                    }
                    Some(c) => (0, model.choice(c).time, model.choice(c).watts),
                    None => (3 - model.rank[device], model.missing[device], 0),
                };
                taken = polish(&program, &taken, rank);
            }
            self.best = program.seating(&taken);
        }
        self.search.memory = program.into_memory();
    }

    /// Fewest berths that start after the first session.
    fn settle_after_first(&mut self) -> Result<(), Unsettled> {
        let model = self.model;
        let must = |device: usize| {
            let open = &self.open.choices[device];
            !self.open.may_stay[device] && open.iter().all(|&c| model.choice(c).first > 0)
        };
        let floor = (0..model.len()).filter(|&device| must(device)).count();
        let least = self.least(Goal::AfterFirst, small(floor), 1)?;
        self.close_above(Goal::AfterFirst, small(floor));
        self.limits.after_first = Some(least);
        Ok(())
    }

    fn settle_watts(&mut self) -> Result<(), Unsettled> {
        self.polish(&[Goal::Watts]);
        let model = self.model;
        let watts = |d: usize| self.open.choices[d].iter().map(|&c| model.choice(c).watts);
        let unit = (0..model.len()).flat_map(watts).fold(0, gcd);
        let floor = (0..model.len())
            .filter(|&d| !self.open.may_stay[d])
            .map(|d| watts(d).min().unwrap_or(0))
            .sum();
        self.least(Goal::Watts, floor, unit.max(1))?;
        Ok(())
    }

    /// Those before it settled, the earliest port, cable and contract that a best plan
    /// has for the device.
    pub(crate) fn settle_tie(&mut self, device: usize) -> Result<(), Unsettled> {
        let total = Goal::Watts.of(self.model, &self.best);
        loop {
            let now = self.best[device].map(|c| self.place_key(device, c));
            let mut open = self.open.clone();
            open.may_stay[device] = false;
            let earlier: Vec<u32> = self.open.choices[device]
                .iter()
                .copied()
                .filter(|&c| now.is_none_or(|now| self.place_key(device, c) < now))
                .collect();
            if earlier.is_empty() {
                break;
            }
            open.choices[device] = earlier;
            let task = Task::within(Goal::Watts, &self.limits, total);
            match self.search.ask(&task, &open) {
                Verdict::Found(seating) => self.best = seating,
                Verdict::Impossible => break,
                Verdict::Unknown(_) => return Err(Unsettled),
            }
        }
        self.fix(device);
        Ok(())
    }

    /// Leaves a device only the choice it has.
    fn fix(&mut self, device: usize) {
        self.open.choices[device] = self.best[device].into_iter().collect();
        self.open.may_stay[device] = self.best[device].is_none();
    }

    /// Where a choice would stand in the listed order, the devices before it seated: the
    /// first port of its group and the first cable of its kind that they leave.
    fn place_key(&self, device: usize, choice: u32) -> (usize, usize, (i64, i64), usize) {
        let choice = self.model.choice(choice);
        let before = || {
            self.best[..device]
                .iter()
                .flatten()
                .map(|&c| self.model.choice(c))
        };
        let (ports_taken, cables_taken) = if self.model.sessions == 1 {
            (
                before().filter(|c| c.port == choice.port).count(),
                before().filter(|c| c.cable == choice.cable).count(),
            )
        } else {
            // What the devices before it have is in no group with others.
            (0, 0)
        };
        (
            self.model.listed_port(choice.port, ports_taken),
            self.model.listed_cable(choice.cable, cables_taken),
            choice.contract,
            choice.first,
        )
    }
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
