//! What is proven of the levels that a limit left open: of the one in work what the search came
//! to, of those after it what can be said without one, and of sums a little more.

use super::{Levels, gcd};
use crate::solve::budget::Budget;
use crate::solve::goal::{Domains, Goal, Limits};
use crate::solve::levels::Level;
use crate::solve::lower_bounds::LowerBounds;
use crate::solve::model::{Assignment, Model, small};
use crate::solve::progress::Settling;
use crate::solve::search::{Query, Verdict};

/// A level that is open: no assignment that is as good in all that comes before it has less of
/// it than `bound`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Open {
    pub(crate) level: OpenLevel,
    /// What the assignment at hand has.
    pub(crate) value: i64,
    pub(crate) bound: i64,
}

/// A level, or a part of one that is settled by itself. In the plan's order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum OpenLevel {
    /// Of a rank.
    Unserved(usize),
    Missing,
    /// Of a rank.
    Late(usize),
    Longest,
    /// A place in the list of a class.
    Time {
        of: usize,
        place: usize,
    },
    Moves,
    AfterFirst,
    Hours,
    Watts,
}

impl OpenLevel {
    /// What an assignment has of it.
    pub(crate) fn of(self, model: &Model, assignment: &Assignment) -> i64 {
        let times = |of: usize| crate::solve::goal::times(model, assignment, of);
        match self {
            Self::Longest => (0..2)
                .filter_map(|of| times(of).first().copied())
                .max()
                .unwrap_or(0),
            Self::Time { of, place } => times(of).get(place).copied().unwrap_or(0),
            other => other.goal().of(model, assignment),
        }
    }

    /// The sum that it is; times are none.
    fn goal(self) -> Goal {
        match self {
            Self::Unserved(rank) => Goal::UnservedOf(rank),
            Self::Missing => Goal::Missing,
            Self::Late(rank) => Goal::LateOf(rank),
            Self::Longest | Self::Time { .. } => Goal::Any,
            Self::Moves => Goal::Moves,
            Self::AfterFirst => Goal::AfterFirst,
            Self::Hours => Goal::Hours,
            Self::Watts => Goal::Watts,
        }
    }
}

/// The levels as they follow one another, their parts aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Stage {
    Unserved,
    Missing,
    Late,
    Longest,
    Times,
    Moves,
    AfterFirst,
    Hours,
    Watts,
}

impl From<Settling> for Stage {
    fn from(settling: Settling) -> Self {
        match settling {
            Settling::Unserved => Self::Unserved,
            Settling::Missing => Self::Missing,
            Settling::Late { .. } => Self::Late,
            Settling::Longest => Self::Longest,
            Settling::Time { .. } => Self::Times,
            Settling::Moves => Self::Moves,
            Settling::AfterFirst => Self::AfterFirst,
            Settling::Hours => Self::Hours,
            Settling::Watts => Self::Watts,
        }
    }
}

/// Questions that a bound is raised by at most, and what each may take of the last words.
const MOST_QUESTIONS: u32 = 12;
const STEPS_PER_QUESTION: u64 = 64;

/// What is given to the levels that follow: they are as good as the assignment at hand in all
/// before them.
struct Given {
    limits: Limits,
    domains: Domains,
    open: Vec<(OpenLevel, i64)>,
    /// What may still be spent.
    words: Option<Budget>,
}

/// What the best assignment has at least over all ranks, of which each comes before the next:
/// after one that is open, nothing is known of those that follow but their floors.
#[derive(Default)]
struct OfBest {
    least: i64,
    is_open: bool,
}

impl OfBest {
    fn add(&mut self, value: i64, bound: i64, floor: i64) {
        self.least += if self.is_open { floor } else { bound };
        self.is_open |= bound < value;
    }
}

impl Levels<'_> {
    /// What a limit left open, in the plan's order. May better the assignment at hand.
    pub(super) fn open(&mut self) -> Vec<Open> {
        let stage = Stage::from(self.working.0);
        let mut given = Given {
            limits: self.limits.clone(),
            domains: self.domains.clone(),
            open: Vec::new(),
            words: self.search.budget.for_last_words(),
        };
        if stage == Stage::Unserved {
            self.open_unserved(&mut given);
        }
        if stage <= Stage::Missing {
            self.open_missing(&mut given);
        }
        if stage <= Stage::Late {
            self.open_late(&mut given);
        }
        if stage <= Stage::Times {
            self.open_times(&mut given);
        }
        if self.until >= Level::Moves {
            self.open_rest(stage, &mut given);
        }
        if let Some(words) = given.words {
            self.search.budget.spend(words.spent());
        }
        let model = self.model;
        let told = given.open.into_iter().map(|(level, bound)| Open {
            level,
            value: level.of(model, &self.incumbent),
            bound,
        });
        told.filter(|open| open.bound < open.value).collect()
    }

    fn open_unserved(&mut self, given: &mut Given) {
        let mut of_best = OfBest::default();
        for rank in 0..3 {
            let nowhere = |&d: &usize| given.domains.columns[d].is_empty();
            let of_rank = (0..self.model.len()).filter(|&d| self.model.rank[d] == rank);
            let floor = small(of_rank.filter(nowhere).count());
            let bound = self.open_sum(OpenLevel::Unserved(rank), floor, given);
            let value = self.unserved_of(rank);
            of_best.add(value, bound, floor);
            given.limits.unserved[rank] = value;
        }
        self.unserved = self.unserved.max(of_best.least);
    }

    fn open_missing(&mut self, given: &mut Given) {
        let model = self.model;
        self.seat_all_but(&given.limits, &mut given.domains);
        let nowhere = (0..model.len()).filter(|&d| given.domains.columns[d].is_empty());
        let floor = nowhere.map(|d| Goal::Missing.of_none(model, d)).sum();
        self.open_sum(OpenLevel::Missing, floor, given);
        given.limits.missing = Some(Goal::Missing.of(model, &self.incumbent));
    }

    fn open_late(&mut self, given: &mut Given) {
        let model = self.model;
        let in_work = Stage::from(self.working.0) == Stage::Late;
        let mut of_best = OfBest::default();
        for rank in 0..3 {
            let settled = self.limits.late[rank];
            if settled < i64::MAX {
                of_best.add(settled, settled, settled);
            } else {
                let must = |d: usize| {
                    let columns = &given.domains.columns[d];
                    model.rank[d] == rank
                        && !given.domains.may_stay[d]
                        && columns.iter().all(|&c| model.column(c).late)
                };
                let floor = small((0..model.len()).filter(|&d| must(d)).count());
                let bound = self.open_sum(OpenLevel::Late(rank), floor, given);
                let value = Goal::LateOf(rank).of(model, &self.incumbent);
                of_best.add(value, bound, floor);
                given.limits.late[rank] = value;
            }
        }
        if in_work {
            self.late = self.late.max(of_best.least);
        }
        let none_late = given.limits.late.map(|late| late == 0);
        given
            .domains
            .retain(|d, c| !(none_late[model.rank[d]] && model.column(c).late));
    }

    /// The longest time and, of each list, the first place that is open.
    fn open_times(&mut self, given: &mut Given) {
        let model = self.model;
        let several = (0..2).all(|of| !self.times(of).is_empty());
        let (settling, proven) = self.working;
        let floor = |of: usize| {
            let least = &self.least[of];
            let bounds = LowerBounds::of(model, &given.domains, &self.incumbent, of);
            let longest = self.limits.later[of].first().map(|(time, _)| *time);
            let floor = bounds.first_possible(small(least.len()), longest);
            match settling {
                Settling::Time { spare, place }
                    if usize::from(spare) == of && place == least.len() =>
                {
                    floor.max(proven)
                }
                _ => floor,
            }
        };
        let floors = [0, 1].map(|of| {
            let is_open = self.least[of].len() < self.times(of).len();
            is_open.then(|| floor(of))
        });
        if self.settled.is_none() {
            let floor = floors.iter().flatten().copied().max().unwrap_or(0);
            let proven = match settling {
                Settling::Longest => floor.max(proven),
                _ => floor,
            };
            given.open.push((OpenLevel::Longest, proven));
        }
        if self.until >= Level::Times && (several || self.settled.is_some()) {
            for (of, floor) in (0..).zip(floors) {
                let place = self.least[of].len();
                let level = OpenLevel::Time { of, place };
                given.open.extend(floor.map(|floor| (level, floor)));
            }
        }
        self.give_times(given);
    }

    /// What follows has times as good as those at hand.
    fn give_times(&self, given: &mut Given) {
        let model = self.model;
        let at_hand = Limits::kept_by(model, &self.incumbent);
        for of in 0..2 {
            let later = &mut given.limits.later[of];
            let open = self.least[of].len();
            for &(time, place) in &at_hand.later[of] {
                let most = time.saturating_add(self.tolerance);
                let is_new = later.last().is_none_or(|&(last, _)| most < last);
                if place >= small(open) && is_new {
                    later.push((most, place));
                }
            }
            let longest = later.first().map_or(i64::MAX, |(time, _)| *time);
            given.domains.retain(|d, c| {
                crate::solve::goal::class(model.rank[d]) != of || model.column(c).time <= longest
            });
        }
    }

    fn open_rest(&mut self, stage: Stage, given: &mut Given) {
        let model = self.model;
        // What is settled already has its limit.
        if stage <= Stage::Moves && model.moved_away.is_some() {
            let floor = must(model, &given.domains, Goal::Moves);
            self.open_sum(OpenLevel::Moves, floor, given);
            given.limits.moves = Some(Goal::Moves.of(model, &self.incumbent));
        }
        if self.until < Level::Everything {
            return;
        }
        if stage <= Stage::AfterFirst {
            let floor = must(model, &given.domains, Goal::AfterFirst);
            self.open_sum(OpenLevel::AfterFirst, floor, given);
            given.limits.after_first = Some(Goal::AfterFirst.of(model, &self.incumbent));
        }
        if stage <= Stage::Hours {
            let floor = must(model, &given.domains, Goal::Hours);
            self.open_sum(OpenLevel::Hours, floor, given);
            given.limits.hours = Some(Goal::Hours.of(model, &self.incumbent));
        }
        let floor = must(model, &given.domains, Goal::Watts);
        self.open_sum(OpenLevel::Watts, floor, given);
    }

    /// Notes what is proven of a sum, at least `floor`.
    fn open_sum(&mut self, level: OpenLevel, floor: i64, given: &mut Given) -> i64 {
        let (settling, proven) = self.working;
        let in_work = match (settling, level) {
            (Settling::Missing, OpenLevel::Missing)
            | (Settling::Moves, OpenLevel::Moves)
            | (Settling::AfterFirst, OpenLevel::AfterFirst)
            | (Settling::Hours, OpenLevel::Hours)
            | (Settling::Watts, OpenLevel::Watts) => true,
            (Settling::Late { priority }, OpenLevel::Late(rank)) => priority == rank + 1,
            _ => false,
        };
        let floor = if in_work { floor.max(proven) } else { floor };
        let bound = self.raised(level.goal(), floor, given);
        given.open.push((level, bound));
        bound
    }

    /// A bound on a sum, raised from a proven one by a few questions. An assignment found on the
    /// way becomes the one at hand.
    fn raised(&mut self, goal: Goal, proven: i64, given: &mut Given) -> i64 {
        let model = self.model;
        let unit = unit_of(model, &given.domains, goal);
        let mut bound = proven;
        // Whether there is one at this cost nobody knows.
        let mut unknown = goal.of(model, &self.incumbent);
        for _ in 0..MOST_QUESTIONS {
            let value = goal.of(model, &self.incumbent);
            unknown = unknown.min(value);
            let cutoff = if unknown == value {
                value - unit
            } else {
                bound + (unknown - bound) / 2
            };
            if bound > cutoff || unknown <= bound {
                break;
            }
            match self.ask_at_last(goal, cutoff, given) {
                Some(Verdict::Impossible) => bound = cutoff - cutoff.rem_euclid(unit) + unit,
                Some(Verdict::Found(assignment)) => self.incumbent = assignment,
                Some(Verdict::Unknown(_)) => unknown = cutoff,
                None => break,
            }
        }
        bound.min(goal.of(model, &self.incumbent))
    }

    /// One more question, where anything may be spent on it.
    fn ask_at_last(&mut self, goal: Goal, cutoff: i64, given: &mut Given) -> Option<Verdict> {
        let words = given.words.as_mut().filter(|words| !words.is_spent())?;
        let query = Query::within(goal, &given.limits, cutoff);
        std::mem::swap(&mut self.search.budget, words);
        let search = &mut self.search;
        let verdict = search.ask_within(STEPS_PER_QUESTION, &query, &given.domains);
        std::mem::swap(&mut self.search.budget, words);
        Some(verdict)
    }
}

/// What the devices that must sit come to at least, each by itself.
fn must(model: &Model, domains: &Domains, goal: Goal) -> i64 {
    let least = |d: usize| {
        let columns = domains.columns[d].iter();
        let least = columns.map(|&c| goal.of_column(model, d, c)).min();
        let none = domains.may_stay[d].then(|| goal.of_none(model, d));
        least.into_iter().chain(none).min().unwrap_or(0)
    };
    (0..model.len()).map(least).sum()
}

/// What all costs are multiples of.
fn unit_of(model: &Model, domains: &Domains, goal: Goal) -> i64 {
    let costs = |d: usize| {
        let columns = domains.columns[d].iter();
        let columns = columns.map(move |&c| goal.of_column(model, d, c));
        columns.chain([goal.of_none(model, d)])
    };
    (0..model.len()).flat_map(costs).fold(0, gcd).max(1)
}
