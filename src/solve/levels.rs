//! The plan's order, level by level: each is settled and proven before the next is
//! asked, and stays a limit on all that follow.

mod cutoff;
mod open;

use std::cmp::Ordering;

use super::goal::{Domains, Goal, Limits, class, times};
use super::model::{Assignment, Model, small};
use super::progress::Settling;
use super::search::{Query, Search, Verdict};
use crate::setup::document::fields::words;
use crate::solve::lower_bounds::LowerBounds;
use crate::solve::polish::Polish;
pub(crate) use cutoff::Cutoff;
pub(crate) use open::{Open, OpenLevel};

words! {
    /// Up to where in the plan's order something is meant.
    #[derive(PartialOrd, Ord)]
    #[non_exhaustive]
    pub enum Level {
        /// Who is without a berth, how many are late, and the longest time.
        Longest = "longest",
        /// The whole sorted list of times, too.
        Times = "times",
        /// How many devices move, too, where a plan is to stay near another; else as `times`.
        Moves = "moves",
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
    /// Where it ended because no assignment is better than what was to be bettered, whether the
    /// best is as good or worse.
    pub(crate) no_better: Option<Ordering>,
    /// The last level that was, of those that can be asked for.
    pub(crate) settled: Option<Level>,
    /// Steps that were spent when the times were settled.
    pub(crate) times_at: Option<u64>,
    /// Proven least number without a berth.
    pub(crate) unserved: i64,
    /// Proven least number late.
    pub(crate) late: i64,
    /// Proven bound on the longest time, in whole 1e-6 h, where the levels before it
    /// are settled.
    pub(crate) longest: Option<i64>,
    /// By class, the least time of each place in the list, as far as they are settled.
    pub(crate) least: [Vec<i64>; 2],
    /// What a limit left open, in the plan's order.
    pub(crate) open: Vec<Open>,
}

impl Outcome {
    /// Nobody on a port, which is always a plan, and nothing known of better ones.
    pub(crate) fn unknown(model: &Model) -> Self {
        let assignment = vec![None; model.len()];
        let levels = [0, 1, 2].map(OpenLevel::Unserved).into_iter();
        let open = levels.chain([OpenLevel::Missing]).map(|level| Open {
            level,
            value: level.of(model, &assignment),
            bound: 0,
        });
        Self {
            open: open.filter(|open| open.value > 0).collect(),
            assignment,
            proven: false,
            no_better: None,
            settled: None,
            times_at: None,
            unserved: 0,
            late: 0,
            longest: None,
            least: [Vec::new(), Vec::new()],
        }
    }
}

/// Of how many parts of the budget that is left one may go to a line of a table.
const PARTS_TO_A_LINE: u64 = 256;

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
    /// By class, the least time of each place that is settled.
    least: [Vec<i64>; 2],
    /// By how much each place in the list of times may exceed its own least, in whole 1e-6 h.
    tolerance: i64,
    /// The last level to settle.
    until: Level,
    settled: Option<Level>,
    times_at: Option<u64>,
    /// The level in work, and what is proven of it.
    working: (Settling, i64),
    /// An assignment from before, to begin with where nothing better is at hand.
    start: Option<Assignment>,
    /// What is to be bettered, as long as it is as good as what is settled.
    cutoff: Option<Cutoff>,
}

/// Why the levels end before the last one.
enum Ended {
    /// The level was settled after which the caller wanted no more.
    AsAsked,
    /// No assignment is better than what was to be bettered: the best is as good, or worse.
    NoBetter(Ordering),
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
            least: [Vec::new(), Vec::new()],
            tolerance: 0,
            until: Level::Everything,
            settled: None,
            times_at: None,
            working: (Settling::Unserved, 0),
            start: None,
            cutoff: None,
        }
    }

    /// Ends as soon as no assignment is better than that.
    pub(crate) fn bettering(self, cutoff: Option<Cutoff>) -> Self {
        Self { cutoff, ..self }
    }

    /// Begins with an assignment that keeps all rows, where it is better than what is found at
    /// once.
    pub(crate) fn beginning(self, start: Option<Assignment>) -> Self {
        Self { start, ..self }
    }

    /// Lets each place in the list of times exceed its own least by so many 1e-6 h.
    pub(crate) fn within(self, tolerance: i64) -> Self {
        Self { tolerance, ..self }
    }

    /// Looks only at what moves at most so many devices, and begins with such an assignment.
    pub(crate) fn moving(mut self, most: i64, begun: Assignment) -> Self {
        self.limits.moves = Some(most);
        self.incumbent = begun;
        self
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
        let mut levels = Self {
            limits: limits.clone(),
            incumbent: assignment,
            ..Self::new(search)
        };
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
        let ended = self.solve_all();
        self.ended(&ended)
    }

    fn ended(&mut self, ended: &Result<(), Ended>) -> Outcome {
        let open = match ended {
            Err(Ended::Unsettled) => self.open(),
            Ok(()) | Err(Ended::AsAsked | Ended::NoBetter(_)) => Vec::new(),
        };
        Outcome {
            open,
            no_better: match ended {
                Err(Ended::NoBetter(beside)) => Some(*beside),
                _ => None,
            },
            ..self.outcome(ended.is_ok())
        }
    }

    /// Settles who is without a berth and how many are late, and no more. Whether it could.
    pub(crate) fn solve_counts(&mut self) -> bool {
        self.improve(&[Goal::Watts, Goal::Any]);
        self.solve_unserved().is_ok() && self.solve_late().is_ok()
    }

    /// Settles who is without a berth, and no more. Whether it could.
    pub(crate) fn solve_unserved_alone(&mut self) -> bool {
        self.improve(&[Goal::Watts, Goal::Any]);
        self.solve_unserved().is_ok()
    }

    /// With [`Levels::solve_counts`] settled, whether it is proven that no assignment as good in
    /// these has every device full by a time.
    pub(crate) fn none_is_full_by(&mut self, time: i64) -> bool {
        let mut limits = self.limits.clone();
        let classes = limits.later.iter_mut();
        classes.for_each(|later| later.push((time, 0)));
        self.search.ask(&Query::any(&limits), &self.domains) == Verdict::Impossible
    }

    fn outcome(&self, proven: bool) -> Outcome {
        Outcome {
            assignment: self.incumbent.clone(),
            proven,
            no_better: None,
            settled: self.settled,
            times_at: self.times_at,
            unserved: self.unserved,
            late: self.late,
            longest: self.longest,
            least: self.least.clone(),
            open: Vec::new(),
        }
    }

    fn solve_all(&mut self) -> Result<(), Ended> {
        self.improve(&[Goal::Watts, Goal::Any]);
        if let Some(start) = self.start.take() {
            let found = std::mem::replace(&mut self.incumbent, start);
            self.improve(&[Goal::Any]);
            if self.standing(&found) < self.standing(&self.incumbent) {
                self.incumbent = found;
            }
        }
        self.solve_unserved()?;
        let missing = self.limits.missing.unwrap_or(0);
        self.beside(|cutoff, limits| cutoff.unserved_beside(limits.unserved, missing))?;
        self.solve_late()?;
        self.beside(|cutoff, limits| limits.late.cmp(&cutoff.late))?;
        self.solve_times()?;
        if self.cutoff.is_some() {
            return Err(Ended::NoBetter(Ordering::Equal));
        }
        self.reached(Level::Times)?;
        self.solve_from_moves()
    }

    /// Ends where what is settled is worse than what is to be bettered; where it is better,
    /// there is nothing to better any more.
    fn beside(&mut self, settled: impl FnOnce(&Cutoff, &Limits) -> Ordering) -> Result<(), Ended> {
        let Some(cutoff) = &self.cutoff else {
            return Ok(());
        };
        match settled(cutoff, &self.limits) {
            Ordering::Less => self.cutoff = None,
            Ordering::Equal => {}
            Ordering::Greater => return Err(Ended::NoBetter(Ordering::Greater)),
        }
        Ok(())
    }

    /// As [`Self::beside`], of a time that no assignment betters at a place, of so many, of a
    /// class. Within the tolerance a plan's own may be longer, never shorter.
    fn beside_time(&mut self, at: (usize, usize, usize), time: (i64, bool)) -> Result<(), Ended> {
        self.beside(|cutoff, _| cutoff.time_beside(at, time))
    }

    /// Where an assignment stands in the plan's order, the tolerance and the last ties aside.
    fn standing(&self, assignment: &Assignment) -> impl Ord + use<> {
        let of = |goal: Goal| goal.of(self.model, assignment);
        let late = [0, 1, 2].map(|rank| of(Goal::LateOf(rank)));
        let times = [0, 1].map(|class| times(self.model, assignment, class));
        let rest = [Goal::Moves, Goal::AfterFirst, Goal::Hours, Goal::Watts].map(of);
        ([Goal::Unserved, Goal::Missing].map(of), late, times, rest)
    }

    /// Takes the assignment from before where it keeps all that is settled and is better in
    /// what follows.
    fn begin_rest(&mut self) {
        let Some(start) = self.start.take() else {
            return;
        };
        let kept = Limits::kept_by(self.model, &start);
        let counts = kept.unserved == self.limits.unserved
            && kept.missing == self.limits.missing
            && kept.late == self.limits.late;
        let in_time = (0..2).all(|of| {
            let times = times(self.model, &start, of);
            let mut later = self.limits.later[of].iter();
            later.all(|&(time, most)| small(times.iter().filter(|&&t| t > time).count()) <= most)
        });
        let rest = |assignment: &Assignment| {
            [Goal::Moves, Goal::AfterFirst, Goal::Hours, Goal::Watts]
                .map(|goal| goal.of(self.model, assignment))
        };
        if counts && in_time && rest(&start) < rest(&self.incumbent) {
            self.incumbent = start;
        }
    }

    fn solve_from_moves(&mut self) -> Result<(), Ended> {
        self.search.budget.leave_for_the_rest();
        if self.model.moved_away.is_some() {
            self.solve_moves()?;
            self.reached(Level::Moves)?;
        } else if self.until == Level::Moves {
            return Err(Ended::AsAsked);
        }
        self.solve_after_first()?;
        self.solve_hours()?;
        self.solve_watts()?;
        if self.model.sessions == 1 {
            for device in 0..self.model.len() {
                self.solve_tie(device)?;
            }
            self.settled = Some(Level::Everything);
        }
        Ok(())
    }

    /// Notes a level as settled. Whether the next is wanted, and not ended from outside.
    fn reached(&mut self, level: Level) -> Result<(), Ended> {
        self.settled = Some(level);
        if level == Level::Times {
            self.times_at = Some(self.search.budget.spent());
        }
        if level >= self.until {
            Err(Ended::AsAsked)
        } else {
            Ok(self.goes_on()?)
        }
    }

    /// That nobody ended the call: many places in a row may be settled without a question.
    fn goes_on(&self) -> Result<(), Unsettled> {
        if self.search.budget.is_stopped() {
            Err(Unsettled)
        } else {
            Ok(())
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
        self.close_staying();
        let unit = model.missing.iter().copied().fold(0, gcd).max(1);
        let floor = nowhere(Goal::Missing);
        let least = self.least(Goal::Missing, floor, unit)?;
        self.close_above(Goal::Missing, floor);
        self.limits.missing = Some(least);
        Ok(())
    }

    /// Where only those with no column at all stay, all others must sit.
    fn close_staying(&mut self) {
        let mut domains = std::mem::take(&mut self.domains);
        self.seat_all_but(&self.limits, &mut domains);
        self.domains = domains;
    }

    /// As [`Self::close_staying`], of what `limits` say.
    fn seat_all_but(&self, limits: &Limits, domains: &mut Domains) {
        let model = self.model;
        for (rank, &count) in limits.unserved.iter().enumerate() {
            let of_rank = |&d: &usize| model.rank[d] == rank;
            let nowhere = |&d: &usize| domains.columns[d].is_empty();
            let nowhere = (0..model.len()).filter(of_rank).filter(nowhere).count();
            if small(nowhere) == count {
                for device in (0..model.len()).filter(of_rank) {
                    domains.may_stay[device] = domains.columns[device].is_empty();
                }
            }
        }
    }

    /// Fewest late, priority by priority.
    fn solve_late(&mut self) -> Result<(), Unsettled> {
        let model = self.model;
        // A device all of whose columns are late is late wherever it sits.
        let always = |rank: usize| {
            let late = (0..model.len()).filter(|&d| {
                let domains = &self.domains.columns[d];
                model.rank[d] == rank
                    && !self.domains.may_stay[d]
                    && domains.iter().all(|&c| model.column(c).late)
            });
            small(late.count())
        };
        let floors = [0, 1, 2].map(always);
        self.late = floors.iter().sum();
        for (rank, floor) in floors.into_iter().enumerate() {
            let goal = Goal::LateOf(rank);
            let least = self.least(goal, floor, 1)?;
            self.late += least - floor;
            self.close_above(goal, floor);
            self.limits.late[rank] = least;
        }
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
            Goal::LateOf(rank) => Settling::Late { priority: rank + 1 },
            Goal::Hours => Settling::Hours,
            Goal::Moves => Settling::Moves,
            Goal::AfterFirst => Settling::AfterFirst,
            Goal::Watts => Settling::Watts,
            // A sum over ranks, or of one rank, is no bound on the number of all.
            Goal::Any | Goal::Unserved | Goal::UnservedOf(_) => return,
        };
        self.tell(settling, bound);
    }

    fn tell(&mut self, settling: Settling, bound: i64) {
        self.working = (settling, bound);
        let budget = &mut self.search.budget;
        let steps = budget.spent();
        if let Some(told) = &mut budget.told {
            told.level(self.model, &self.incumbent, (settling, bound), steps);
        }
    }

    fn unserved_of(&self, rank: usize) -> i64 {
        Goal::UnservedOf(rank).of(self.model, &self.incumbent)
    }

    /// The sorted times, longest first, of the devices of each class.
    fn solve_times(&mut self) -> Result<(), Ended> {
        self.improve(&[Goal::Any]);
        if self.incumbent.iter().all(Option::is_none) {
            self.longest = Some(0);
            self.reached(Level::Longest)?;
        }
        let several = (0..2).all(|of| !self.times(of).is_empty());
        if several {
            self.solve_longest()?;
        }
        for class in 0..2 {
            self.solve_times_of(class)?;
        }
        Ok(())
    }

    /// The least longest time over the devices of both classes. It binds nothing, since those of
    /// the last rank delay nobody, but no longest time of any assignment that is as good
    /// before is below.
    fn solve_longest(&mut self) -> Result<(), Ended> {
        let floors = [0, 1].map(|of| {
            let bounds = LowerBounds::of(self.model, &self.domains, &self.incumbent, of);
            let floor = bounds.first_possible(0, None);
            (floor, bounds)
        });
        let from = floors.iter().map(|(floor, _)| *floor).max().unwrap_or(0);
        let longest = |levels: &Self| (0..2).map(|of| levels.times(of)[0]).max().unwrap_or(0);
        let mut high = longest(self);
        let mut candidates: Vec<i64> = floors
            .iter()
            .flat_map(|(_, bounds)| bounds.times_from(from, high))
            .copied()
            .collect();
        candidates.sort_unstable();
        candidates.dedup();
        self.longest = Some(candidates.first().copied().unwrap_or(high));
        let mut tried = 0;
        while !candidates.is_empty() {
            let at = if tried == 0 { 0 } else { candidates.len() / 2 };
            tried += 1;
            self.tell(Settling::Longest, candidates[0]);
            let mut limits = self.limits.clone();
            limits
                .later
                .iter_mut()
                .for_each(|later| later.push((candidates[at], 0)));
            match self.search.ask(&Query::any(&limits), &self.domains) {
                Verdict::Found(assignment) => {
                    self.incumbent = assignment;
                    high = longest(self);
                    candidates.retain(|&time| time < high);
                }
                Verdict::Impossible => {
                    candidates.drain(..=at);
                    self.longest = Some(candidates.first().copied().unwrap_or(high));
                }
                Verdict::Unknown(_) => return Err(Ended::Unsettled),
            }
        }
        self.reached(Level::Longest)
    }

    /// For each place in the sorted list the least time that so many devices need exceed, found
    /// by halving the list of distinct times; it may then be exceeded by the tolerance.
    fn solve_times_of(&mut self, of: usize) -> Result<(), Ended> {
        let model = self.model;
        let served = self.times(of).len();
        let mut settled: Vec<i64> = Vec::new();
        let lower_bounds = LowerBounds::of(model, &self.domains, &self.incumbent, of);
        for place in 0..served {
            self.goes_on()?;
            let most_later = small(place);
            let mut high = self.times(of)[place];
            let longest = self.limits.later[of].first().map(|(time, _)| *time);
            let from = lower_bounds.first_possible(most_later, longest);
            let mut candidates: Vec<i64> = lower_bounds.times_from(from, high).to_vec();
            if place == 0 {
                self.bound_longest(candidates.first().copied().unwrap_or(high));
            }
            let at = (of, place, served);
            self.beside_time(at, (candidates.first().copied().unwrap_or(high), false))?;
            // The one below what is at hand first, since often nothing is better, and the
            // lowest, since often it can be had; then by halves.
            let mut tried = 0;
            while !candidates.is_empty() {
                let next = match (tried, place) {
                    (0, 0) | (1, 1..) => 0,
                    (0, 1..) => candidates.len() - 1,
                    _ => candidates.len() / 2,
                };
                tried += 1;
                let time = candidates[next];
                self.tell(
                    Settling::Time {
                        spare: of == 1,
                        place,
                    },
                    candidates[0],
                );
                let mut limits = self.limits.clone();
                limits.later[of].push((time, most_later));
                match self.search.ask(&Query::any(&limits), &self.domains) {
                    Verdict::Found(assignment) => {
                        self.incumbent = assignment;
                        self.improve(&[Goal::Any]);
                        high = self.times(of)[place];
                        candidates.retain(|&t| t < high);
                    }
                    Verdict::Impossible => {
                        candidates.drain(..=next);
                        let bound = candidates.first().copied().unwrap_or(high);
                        if place == 0 {
                            self.bound_longest(bound);
                        }
                        self.beside_time(at, (bound, false))?;
                    }
                    Verdict::Unknown(_) => return Err(Ended::Unsettled),
                }
            }
            self.tell(
                Settling::Time {
                    spare: of == 1,
                    place,
                },
                high,
            );
            self.beside_time(at, (high, true))?;
            if self.settled.is_none() {
                self.reached(Level::Longest)?;
            }
            let most = high.saturating_add(self.tolerance);
            if self.limits.later[of]
                .last()
                .is_none_or(|(time, _)| *time > most)
            {
                self.limits.later[of].push((most, most_later));
            }
            settled.push(high);
            self.least[of].push(high);
            self.close_times(of, &settled);
            if (place + 1).is_power_of_two() {
                self.drop_lines();
            }
        }
        Ok(())
    }

    /// Notes what no longest time is below, as long as that is open.
    fn bound_longest(&mut self, time: i64) {
        if self.settled.is_none() {
            self.longest = Some(time);
        }
    }

    /// Closes the columns that are slower than the settled places of a class allow.
    fn close_times(&mut self, of: usize, settled: &[i64]) {
        let model = self.model;
        let longest = self.limits.later[of]
            .first()
            .map_or(i64::MAX, |(time, _)| *time);
        let exact = self.tolerance == 0;
        let all = settled.len() == self.times(of).len();
        let last = settled.last().copied().unwrap_or(i64::MAX);
        self.domains.retain(|device, column| {
            let time = model.column(column).time;
            // Without a tolerance only the settled times are left, and those below the last
            // of them as long as places are open.
            class(model.rank[device]) != of
                || (time <= longest
                    && (!exact
                        || (!all && time < last)
                        || settled.binary_search_by(|t| time.cmp(t)).is_ok()))
        });
    }

    /// Drops the lines of tables by which what is settled so far cannot be had.
    fn drop_lines(&mut self) {
        for table in 0..self.domains.lines.len() {
            let mut kept = self.domains.lines[table].clone();
            if kept.len() < 2 {
                continue;
            }
            for line in kept.clone() {
                self.domains.lines[table] = vec![line];
                // It only spares what follows some work, and is not worth all that is left.
                let part = self.search.budget.left() / PARTS_TO_A_LINE;
                let any = Query::any(&self.limits);
                if self.search.ask_within(part, &any, &self.domains) == Verdict::Impossible {
                    kept.retain(|&other| other != line);
                }
            }
            self.domains.lines[table] = kept;
        }
    }

    /// The times of a class at hand, longest first.
    fn times(&self, of: usize) -> Vec<i64> {
        times(self.model, &self.incumbent, of)
    }

    /// Betters the assignment at hand by small moves within what is settled.
    /// One goal after the other.
    fn improve(&mut self, goals: &[Goal]) {
        let polish = Polish::of(self.model, &self.limits, &self.domains, &self.incumbent);
        if let Some(mut polish) = polish {
            for &goal in goals {
                polish.improve(goal, &mut self.search.memory);
            }
            self.incumbent = polish.assignment();
        }
    }

    /// Fewest devices that are elsewhere than they were before.
    fn solve_moves(&mut self) -> Result<(), Unsettled> {
        self.improve(&[Goal::Moves]);
        let model = self.model;
        let must = |device: usize| {
            let domains = &self.domains.columns[device];
            let stays = self.domains.may_stay[device] && Goal::Moves.of_none(model, device) == 0;
            !stays && domains.iter().all(|&c| model.column(c).moved)
        };
        let floor = (0..model.len()).filter(|&device| must(device)).count();
        let least = self.least(Goal::Moves, small(floor), 1)?;
        self.limits.moves = Some(least);
        Ok(())
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

    /// The least sum of hours at best, weighted by priority.
    fn solve_hours(&mut self) -> Result<(), Unsettled> {
        let least = self.least_sum(Goal::Hours)?;
        self.limits.hours = Some(least);
        Ok(())
    }

    fn solve_watts(&mut self) -> Result<(), Unsettled> {
        let least = self.least_sum(Goal::Watts)?;
        self.limits.watts = Some(least);
        Ok(())
    }

    /// The least of a goal that every column has a share in.
    fn least_sum(&mut self, goal: Goal) -> Result<i64, Unsettled> {
        self.improve(&[goal]);
        let model = self.model;
        let cost = |d: usize| {
            let columns = self.domains.columns[d].iter();
            columns.map(move |&c| goal.of_column(model, d, c))
        };
        let unit = (0..model.len()).flat_map(cost).fold(0, gcd);
        let floor = (0..model.len())
            .filter(|&d| !self.domains.may_stay[d])
            .map(|d| cost(d).min().unwrap_or(0))
            .sum();
        if model.sessions > 1 {
            // What is dearer than the assignment at hand is found again under every line of
            // every session otherwise.
            let now = goal.of(model, &self.incumbent);
            let query = Query::within(goal, &self.limits, now);
            self.search.close(&query, &mut self.domains);
        }
        let least = self.least(goal, floor, unit.max(1))?;
        // The many questions of the ties that follow have less to look through.
        let query = Query::within(goal, &self.limits, least);
        self.search.close(&query, &mut self.domains);
        Ok(least)
    }

    /// Those before it settled, the earliest port, cable and contract that a best plan
    /// has for the device.
    pub(crate) fn solve_tie(&mut self, device: usize) -> Result<(), Unsettled> {
        // Of the two sums the bound sees more in the hours, which the watts hang on.
        let hours = Goal::Hours.of(self.model, &self.incumbent);
        let limits = Limits {
            hours: None,
            ..self.limits.clone()
        };
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
            let query = Query::within(Goal::Hours, &limits, hours);
            match self.search.ask(&query, &domains) {
                Verdict::Found(assignment) => self.incumbent = assignment,
                Verdict::Impossible => break,
                Verdict::Unknown(_) => return Err(Unsettled),
            }
        }
        self.fix(device);
        Ok(())
    }

    /// The levels after the times, for a model of the same setup with the columns that what is
    /// settled, as `limits` say, leaves.
    pub(crate) fn after_times(
        search: Search<'a>,
        limits: &Limits,
        outcome: &Outcome,
        assignment: Assignment,
    ) -> Self {
        let mut levels = Self {
            limits: limits.clone(),
            incumbent: assignment,
            unserved: outcome.unserved,
            late: outcome.late,
            longest: outcome.longest,
            least: outcome.least.clone(),
            settled: outcome.settled,
            times_at: outcome.times_at,
            working: (Settling::Moves, 0),
            ..Self::new(search)
        };
        levels.close_staying();
        levels
    }

    /// Betters, without a proof, what the levels from there on are about.
    pub(crate) fn improve_rest(&mut self) -> Outcome {
        self.improve(&[Goal::Hours]);
        self.outcome(false)
    }

    /// Solves what is left from there on.
    pub(crate) fn solve_rest(&mut self) -> Outcome {
        self.begin_rest();
        let ended = self.solve_from_moves();
        self.ended(&ended)
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
