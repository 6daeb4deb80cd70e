//! The arguments that limit a search, and Ctrl-C.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use super::Exit;
use crate::SolveOptions;

/// How long a call may go on: everything that is worked out in it draws on the same steps
/// and the same time.
#[derive(Debug, clap::Args)]
pub(super) struct LimitArgs {
    /// Stop after so many seconds, however many plans are made, with the best that was
    /// found.
    #[arg(long, value_name = "SECONDS", value_parser = seconds, allow_negative_numbers = true)]
    time_limit: Option<Duration>,
    /// Stop after so many steps of the search, however many plans are made, with the best
    /// that was found; unlike a time, the same number gives the same answer everywhere.
    /// Where absent 2 000 000, some ten to thirty seconds; for `rank` twenty times as many.
    #[arg(
        long,
        value_name = "STEPS",
        value_parser = steps,
        allow_negative_numbers = true
    )]
    budget: Option<u64>,
}

impl LimitArgs {
    /// As the library takes them; from now on the first Ctrl-C, or SIGTERM, ends the search
    /// with what was found, and a second one the process.
    pub(super) fn interruptible(&self) -> SolveOptions {
        self.of_many(SolveOptions::DEFAULT_BUDGET)
    }

    /// As [`with_reshared`](Self::with_reshared), and with why the plan is no better.
    pub(super) fn with_reasons(&self) -> SolveOptions {
        SolveOptions {
            because: true,
            ..self.with_reshared()
        }
    }

    /// As [`interruptible`](Self::interruptible), with the time if the chargers re-share.
    pub(super) fn with_reshared(&self) -> SolveOptions {
        SolveOptions {
            reshared: true,
            ..self.interruptible()
        }
    }

    /// As [`interruptible`](Self::interruptible), with another budget where none is given.
    pub(super) fn of_many(&self, default_budget: u64) -> SolveOptions {
        SolveOptions {
            interrupt: Some(interrupt_flag(|| ())),
            ..self.options(default_budget)
        }
    }

    /// As [`interruptible`](Self::interruptible), for a call that may wait for its input:
    /// where that lasts, `leave` is called a moment after the first Ctrl-C.
    pub(super) fn waiting(&self, leave: impl Fn() + Send + Sync + 'static) -> SolveOptions {
        let leave = Arc::new(leave);
        let leave_later = move || {
            let leave = Arc::clone(&leave);
            // On a thread of its own, so that a second Ctrl-C is heard.
            std::thread::spawn(move || {
                std::thread::sleep(MOMENT);
                leave();
            });
        };
        SolveOptions {
            interrupt: Some(interrupt_flag(leave_later)),
            ..self.options(SolveOptions::DEFAULT_BUDGET)
        }
    }

    fn options(&self, default_budget: u64) -> SolveOptions {
        SolveOptions {
            budget: self.budget.unwrap_or(default_budget),
            time_limit: self.time_limit,
            ..SolveOptions::default()
        }
    }
}

/// What is in work when a call is interrupted has so long to come to an end.
const MOMENT: Duration = Duration::from_millis(250);

/// The limits of what comes after something that began at `started`, in the same call: the
/// steps again, of the time what is left.
pub(super) fn from_here(options: &SolveOptions, started: Instant) -> SolveOptions {
    let limit = options.time_limit;
    SolveOptions {
        time_limit: limit.map(|limit| limit.saturating_sub(started.elapsed())),
        ..options.clone()
    }
}

/// The flag that the first Ctrl-C or SIGTERM sets, before it calls `then`; a second one
/// ends the process.
fn interrupt_flag(then: impl Fn() + Send + 'static) -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let seen = Arc::clone(&flag);
    // Where no handler can be set, Ctrl-C ends the process as it always does.
    let _ = ctrlc::set_handler(move || {
        if seen.swap(true, Ordering::SeqCst) {
            std::process::exit(Exit::Interrupted.code().into());
        }
        then();
    });
    flag
}

fn steps(text: &str) -> Result<u64, String> {
    match text.parse() {
        Ok(steps) if steps > 0 => Ok(steps),
        _ => Err(format!("a whole number from 1 to {} is needed", u64::MAX)),
    }
}

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text
        .parse()
        .map_err(|_| "a number of seconds is needed".to_owned())?;
    Duration::try_from_secs_f64(seconds)
        .map_err(|_| "a number of seconds from 0 is needed".to_owned())
}

#[cfg(test)]
mod tests {
    use super::{Duration, seconds, steps};

    #[test]
    fn steps_are_whole_and_above_none() {
        assert_eq!(steps("1"), Ok(1));
        for bad in ["0", "-1", "1.5", "many", "", "99999999999999999999"] {
            let refused = steps(bad).expect_err(bad);
            assert!(refused.starts_with("a whole number"), "{refused}");
        }
    }

    #[test]
    fn seconds_are_finite_and_not_negative() {
        assert_eq!(seconds("1.5"), Ok(Duration::from_millis(1500)));
        for bad in ["-1", "NaN", "inf", "soon", "", "1e300"] {
            assert!(seconds(bad).is_err(), "{bad}");
        }
    }
}
