//! What is left of the limits of one call: steps, counted the same on every machine, and,
//! where the caller asks for it, the clock or a flag. All that is worked out within the
//! call draws on it, so that a question that plans a hundred times has no more than one
//! that plans once.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

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
const PARTS_TO_THE_REST: u64 = 32;
const TIMES_FOR_THE_REST: u64 = 4;

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
    }

    /// One of `parts` equal parts of what is left, of the steps as of the time; what the
    /// work leaves of it goes back.
    pub(crate) fn share<T>(&mut self, parts: usize, work: impl FnOnce(&mut Self) -> T) -> T {
        let parts = u32::try_from(parts.max(1)).unwrap_or(u32::MAX);
        let mut part = self.with_steps(self.left().div_ceil(parts.into()));
        part.deadline = self.time_left().and_then(|left| {
            let own = Instant::now().checked_add(left / parts);
            own.min(self.deadline)
        });
        let done = work(&mut part);
        self.spend(part.spent);
        done
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
    fn the_rest_has_a_share_or_some_times_what_came_before() {
        for (steps, spent, left) in [
            (2_000_000, 100, 62_500),
            (2_000_000, 100_000, 400_000),
            (200_000, 0, 20_000),
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
