//! How much of the search is left: steps counted the same on every machine, and, where
//! the caller asks for it, the clock or a flag.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

#[derive(Debug)]
pub(super) struct Budget {
    left: u64,
    deadline: Option<Instant>,
    interrupt: Option<Arc<AtomicBool>>,
}

impl Budget {
    pub(super) fn new(
        steps: u64,
        time_limit: Option<Duration>,
        interrupt: Option<Arc<AtomicBool>>,
    ) -> Self {
        // A limit too long for the clock to hold is none.
        let deadline = time_limit.and_then(|limit| Instant::now().checked_add(limit));
        Self {
            left: steps,
            deadline,
            interrupt,
        }
    }

    pub(super) fn spend(&mut self, steps: u64) {
        self.left = self.left.saturating_sub(steps);
    }

    pub(super) fn left(&self) -> u64 {
        self.left
    }

    /// The time left by the clock, where there is such a limit.
    pub(super) fn time_left(&self) -> Option<Duration> {
        self.deadline
            .map(|deadline| deadline.saturating_duration_since(Instant::now()))
    }

    pub(super) fn is_spent(&self) -> bool {
        self.left == 0
            || self.time_left().is_some_and(|left| left.is_zero())
            || self
                .interrupt
                .as_ref()
                .is_some_and(|flag| flag.load(Ordering::Relaxed))
    }
}
