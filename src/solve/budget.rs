//! What is left of the limits of one call: steps, counted the same on every machine, and,
//! where the caller asks for it, the clock or a flag. All that is worked out within the
//! call draws on it, so that a question that plans a hundred times has no more than one
//! that plans once.
//!
//! A call of many parts shares by one rule, of the steps as of the time ([`Budget::share`]):
//!
//! - What all others are held against, the plan as it is, has at most a quarter of what is left
//!   ([`Budget::share_first`]).
//! - Of the questions that are still to come, each has an equal part of what is left
//!   ([`Budget::share_among`]). Where that is too little to get anywhere ([`Least`]), the first
//!   of them have that much: few that are looked at tell more than all hardly begun.
//! - Where it is not known how many there will be, each has a stated part of what is left, so
//!   that no one has it all.
//! - What a part leaves goes to those after it; what it takes beyond is counted, too.
//!
//! What is measured by the clock plays a part only where the caller set one.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

// In a browser the clock of the standard library is none: it panics.
use web_time::Instant;

use super::progress::{OnProgress, Told};

/// What work costs that takes so many steps of innermost loops: at least one step, and
/// more where a setup is large.
pub(crate) fn steps_for(work: usize) -> u64 {
    const WORK_PER_STEP: usize = 8192;
    1 + u64::try_from(work / WORK_PER_STEP).unwrap_or(u64::MAX)
}

/// What the last levels may take at least, of how many parts one, and how many times what
/// came before.
const LEAST_FOR_THE_REST: u64 = 20_000;
const PARTS_TO_THE_REST: u64 = 4;
const TIMES_FOR_THE_REST: u64 = 4;

/// What may be spent beyond the budget on the bounds of what it left open: at most so much, and
/// of how many parts one.
const MOST_FOR_LAST_WORDS: u64 = 2_000;
const PARTS_TO_LAST_WORDS: u64 = 32;

/// The plan that all others are held against has one of so many parts of what is left.
const PARTS_TO_THE_FIRST: usize = 4;

/// What a question is worth at least, in what it costs to list the ways to sit.
const LEAST_WORTH: u32 = 4;

/// What something took: steps, and the time where there is a limit by the clock.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Took {
    pub(crate) steps: u64,
    pub(crate) time: Duration,
}

impl Took {
    /// So many of its first steps.
    pub(crate) fn first(self, steps: u64) -> Self {
        let share = u32::try_from(self.steps / steps.max(1)).unwrap_or(u32::MAX);
        Self {
            steps: steps.min(self.steps),
            time: self.time / share.max(1),
        }
    }
}

/// With less than this one of many questions gets nowhere.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Least {
    /// It is not begun with less.
    begun: Took,
    /// It gets so much as long as there is as much.
    worth: Took,
}

impl Least {
    /// By what it takes to list the ways to sit.
    pub(crate) fn listing(took: Took) -> Self {
        Self {
            begun: took,
            worth: Took {
                steps: u64::from(LEAST_WORTH) * took.steps + 1,
                time: LEAST_WORTH * took.time,
            },
        }
    }

    /// By what it took to answer one that is like it, too.
    pub(crate) fn answering(self, took: Took) -> Self {
        Self {
            worth: Took {
                steps: self.worth.steps.max(took.steps),
                time: self.worth.time.max(took.time),
            },
            ..self
        }
    }
}

#[derive(Debug, Clone)]
pub(crate) struct Budget {
    steps: u64,
    /// May be more than there were: what is begun is ended, and then counted.
    spent: u64,
    deadline: Option<Instant>,
    interrupt: Option<Arc<AtomicBool>>,
    /// Where somebody wants to know how far the searches are that draw on it.
    pub(crate) told: Option<Box<Told>>,
}

impl Budget {
    pub(crate) fn new(
        steps: u64,
        time_limit: Option<Duration>,
        interrupt: Option<Arc<AtomicBool>>,
    ) -> Self {
        // A limit too long for the clock to hold is none.
        let deadline = time_limit.and_then(|limit| Instant::now().checked_add(limit));
        Self {
            steps,
            spent: 0,
            deadline,
            interrupt,
            told: None,
        }
    }

    /// With somebody who is told how far the searches are that draw on it.
    pub(crate) fn telling(self, progress: Option<OnProgress>) -> Self {
        let told = progress.map(|to| Box::new(Told::new(to)));
        Self { told, ..self }
    }

    /// A node of a search is looked at.
    pub(crate) fn note_node(&mut self) {
        if let Some(told) = &mut self.told {
            told.node(self.spent);
        }
    }

    /// Without a clock and a flag.
    pub(crate) fn of_steps(steps: u64) -> Self {
        Self::new(steps, None, None)
    }

    pub(crate) fn spend(&mut self, steps: u64) {
        self.spent = self.spent.saturating_add(steps);
    }

    /// Spends so many, where they are left: one who needs all of them at once would
    /// otherwise begin what cannot be ended.
    pub(crate) fn affords(&mut self, steps: usize) -> bool {
        let steps = u64::try_from(steps).unwrap_or(u64::MAX);
        let enough = steps <= self.left() && !self.is_stopped();
        self.spend(if enough { steps } else { self.left() });
        enough
    }

    pub(crate) fn left(&self) -> u64 {
        self.steps.saturating_sub(self.spent)
    }

    /// Goes on after one who had a copy of it: with what that has spent.
    pub(crate) fn go_on_after(&mut self, other: Self) {
        self.spent = other.spent;
        self.told = other.told;
    }

    /// Leaves at most what is worth spending on the last levels of an order, which nobody
    /// notices: a share of the whole, or as much as a few times what came before took.
    pub(crate) fn leave_for_the_rest(&mut self) {
        let most = LEAST_FOR_THE_REST
            .max(self.steps / PARTS_TO_THE_REST)
            .max(self.spent.saturating_mul(TIMES_FOR_THE_REST));
        self.steps = self.steps.min(self.spent.saturating_add(most));
    }

    pub(crate) fn spent(&self) -> u64 {
        self.spent
    }

    /// The time left by the clock, where there is such a limit.
    pub(crate) fn time_left(&self) -> Option<Duration> {
        self.deadline
            .map(|deadline| deadline.saturating_duration_since(Instant::now()))
    }

    pub(crate) fn is_spent(&self) -> bool {
        self.left() == 0 || self.is_stopped()
    }

    /// Whether the clock or the flag has ended the call, however many steps are left.
    pub(crate) fn is_stopped(&self) -> bool {
        self.is_interrupted() || self.time_left().is_some_and(|left| left.is_zero())
    }

    pub(crate) fn is_interrupted(&self) -> bool {
        let flag = self.interrupt.as_ref();
        flag.is_some_and(|flag| flag.load(Ordering::Relaxed))
            || self.told.as_ref().is_some_and(|told| told.has_ended())
    }

    /// A few steps beyond what there was, to say better what is known where the steps ran out;
    /// none where the clock or the flag ended the call.
    pub(crate) fn for_last_words(&self) -> Option<Self> {
        let steps = MOST_FOR_LAST_WORDS.min(self.steps / PARTS_TO_LAST_WORDS);
        let mut part = self.with_steps(steps);
        part.told = None;
        (steps > 0 && !self.is_stopped()).then_some(part)
    }

    /// One of `parts` equal parts of what is left, of the steps as of the time; what the
    /// work leaves of it goes back.
    pub(crate) fn share<T>(&mut self, parts: usize, work: impl FnOnce(&mut Self) -> T) -> T {
        self.share_some((1, parts), work)
    }

    /// All but one of `parts` equal parts of what is left.
    pub(crate) fn leave<T>(&mut self, parts: usize, work: impl FnOnce(&mut Self) -> T) -> T {
        self.share_some((parts.saturating_sub(1), parts), work)
    }

    /// So many of so many parts.
    fn share_some<T>(
        &mut self,
        (some, parts): (usize, usize),
        work: impl FnOnce(&mut Self) -> T,
    ) -> T {
        let parts = u32::try_from(parts.max(1)).unwrap_or(u32::MAX);
        let some = u32::try_from(some).unwrap_or(u32::MAX).clamp(1, parts);
        let steps = self.left().div_ceil(parts.into());
        let mut part = self.with_steps(steps.saturating_mul(some.into()).min(self.left()));
        part.deadline = self.time_left().and_then(|left| {
            let own = Instant::now().checked_add(left / parts * some);
            own.min(self.deadline)
        });
        let done = work(&mut part);
        self.spend(part.spent);
        done
    }

    /// What work takes.
    pub(crate) fn measured<T>(&mut self, work: impl FnOnce(&mut Self) -> T) -> (T, Took) {
        let (spent, begun) = (self.spent, self.deadline.map(|_| Instant::now()));
        let done = work(self);
        let took = Took {
            steps: self.spent - spent,
            time: begun.map_or(Duration::ZERO, |begun| begun.elapsed()),
        };
        (done, took)
    }

    /// What all others are held against.
    pub(crate) fn share_first<T>(&mut self, work: impl FnOnce(&mut Self) -> T) -> T {
        self.share(PARTS_TO_THE_FIRST, work)
    }

    /// One of so many questions that are still to come; nothing where it is not worth beginning.
    pub(crate) fn share_among<T>(
        &mut self,
        to_come: usize,
        least: &Least,
        work: impl FnOnce(&mut Self) -> T,
    ) -> Option<T> {
        let time = self.time_left();
        let in_time = time.is_none_or(|left| left >= least.begun.time);
        if self.is_spent() || self.left() < least.begun.steps || !in_time {
            return None;
        }
        let by_steps = self.left() / least.worth.steps.max(1);
        let by_time = time.map_or(u128::MAX, |left| {
            left.as_nanos() / least.worth.time.as_nanos().max(1)
        });
        let most = usize::try_from(by_time.min(by_steps.into())).unwrap_or(usize::MAX);
        Some(self.share(to_come.min(most), work))
    }

    /// So many steps for what every answer needs, though the others may be spent and the clock
    /// may have struck: only the flag ends it.
    pub(crate) fn whatever_the_clock(&self, steps: u64) -> Self {
        Self {
            deadline: None,
            ..self.with_steps(steps)
        }
    }

    /// The same for at most so long.
    pub(crate) fn within_time(&self, limit: Option<Duration>) -> Self {
        let own = limit.and_then(|limit| Instant::now().checked_add(limit));
        let sooner = own.into_iter().chain(self.deadline).min();
        Self {
            deadline: sooner,
            ..self.clone()
        }
    }

    /// As many steps as said, whatever is left here; the same clock and flag.
    pub(crate) fn with_steps(&self, steps: u64) -> Self {
        Self {
            steps,
            spent: 0,
            told: self.told.as_ref().map(|told| Box::new(told.anew())),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_takes_no_more_than_its_share_and_gives_the_rest_back() {
        let mut whole = Budget::of_steps(100);
        whole.share(4, |part| {
            assert_eq!(part.left(), 25);
            part.spend(10);
        });
        assert_eq!(whole.left(), 90);
        whole.share(3, |part| part.spend(40));
        assert_eq!(whole.left(), 50, "more than its share is counted, too");
        whole.share(0, |part| assert_eq!(part.left(), 50));
        whole.leave(4, |part| assert_eq!(part.left(), 39));
        whole.leave(1, |part| assert_eq!(part.left(), 50));
        // Somebody who may still try gets a step to try with.
        whole.share(1_000_000, |part| assert_eq!(part.left(), 1));
    }

    #[test]
    fn time_is_shared_as_steps_are() {
        let hour = Duration::from_secs(3_600);
        let mut whole = Budget::new(10, Some(hour), None);
        whole.share(4, |part| {
            let left = part.time_left().expect("there is a limit");
            assert!(left <= hour / 4 && left > hour / 5);
        });
        assert!(whole.time_left().is_some_and(|left| left > hour / 2));
    }

    #[test]
    fn each_of_many_has_an_equal_part_and_no_less_than_it_is_worth() {
        let took = |steps| Took {
            steps,
            time: Duration::ZERO,
        };
        let least = Least::listing(took(3));
        let had = |steps: u64, to_come: usize, least: &Least| {
            let mut whole = Budget::of_steps(steps);
            let had = whole.share_among(to_come, least, |part| {
                part.spend(1);
                part.left() + 1
            });
            assert_eq!(whole.left(), steps - u64::from(had.is_some()));
            had
        };
        for (steps, to_come, expected) in [
            (1_000, 10, Some(100)),
            // At least 4 times 3, and 1.
            (1_000, 500, Some(14)),
            (13, 500, Some(13)),
            (3, 500, Some(3)),
            (2, 1, None),
            (0, 1, None),
        ] {
            assert_eq!(had(steps, to_come, &least), expected, "{steps}, {to_come}");
        }
        let like_it = least.answering(took(90));
        assert_eq!(had(1_000, 500, &like_it), Some(91));
        assert_eq!(had(80, 500, &like_it), Some(80));
    }

    #[test]
    fn time_is_shared_among_many_as_steps_are() {
        let hour = Duration::from_secs(3_600);
        let mut whole = Budget::new(1_000_000, Some(hour), None);
        let ((), took) = whole.measured(|whole| whole.spend(2));
        assert_eq!(took.steps, 2);
        let least = Least::listing(Took {
            steps: 1,
            time: hour / 40,
        });
        let had = whole.share_among(1_000, &least, |part| part.time_left());
        let had = had.flatten().expect("there is time");
        assert!(had >= hour / 11 && had < hour / 8);
        let none = Least::listing(Took {
            steps: 1,
            time: 2 * hour,
        });
        assert_eq!(whole.share_among(1, &none, |_| ()), None);
        assert!(whole.within_time(Some(hour / 2)).time_left() <= Some(hour / 2));
        assert!(whole.within_time(Some(2 * hour)).time_left() <= Some(hour));
        assert_eq!(Budget::of_steps(1).within_time(None).time_left(), None);
    }

    #[test]
    fn the_rest_has_a_share_or_some_times_what_came_before() {
        for (steps, spent, left) in [
            (2_000_000, 100, 500_000),
            (2_000_000, 200_000, 800_000),
            (200_000, 0, 50_000),
            (15_000, 5_000, 10_000),
        ] {
            let mut budget = Budget::of_steps(steps);
            budget.spend(spent);
            budget.leave_for_the_rest();
            assert_eq!(budget.left(), left, "{steps}, {spent}");
        }
    }

    #[test]
    fn the_flag_ends_every_part() {
        let flag = Arc::new(AtomicBool::new(false));
        let mut whole = Budget::new(10, None, Some(Arc::clone(&flag)));
        whole.share(2, |part| {
            assert!(!part.is_spent());
            flag.store(true, Ordering::Relaxed);
            assert!(part.is_spent() && part.is_stopped());
        });
        assert!(whole.is_interrupted());
        assert!(whole.with_steps(1_000).is_spent());
    }
}
