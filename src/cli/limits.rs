//! The arguments that limit a search, and Ctrl-C.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use super::Exit;
use crate::Options;

/// How long a search may go on.
#[derive(Debug, clap::Args)]
pub(super) struct LimitArgs {
    /// Stop the search after so many seconds, with the best that was found.
    #[arg(long, value_name = "SECONDS", value_parser = seconds, allow_negative_numbers = true)]
    time_limit: Option<Duration>,
    /// Stop the search for each plan after so many steps, with the best that was found;
    /// unlike a time, the same number gives the same answer everywhere.
    #[arg(
        long,
        value_name = "STEPS",
        default_value_t = Options::DEFAULT_BUDGET,
        value_parser = clap::value_parser!(u64).range(1..),
        allow_negative_numbers = true
    )]
    budget: u64,
}

impl LimitArgs {
    /// As [`interruptible`](Self::interruptible), with the time if the chargers re-share.
    pub(super) fn with_reshared(&self) -> Options {
        Options {
            reshared: true,
            ..self.interruptible()
        }
    }

    /// As the library takes them; from now on the first Ctrl-C ends the search with what
    /// was found, and a second one the process.
    pub(super) fn interruptible(&self) -> Options {
        Options {
            interrupt: Some(interrupt_flag()),
            ..self.options()
        }
    }

    /// As the library takes them. Ctrl-C ends the process.
    pub(super) fn options(&self) -> Options {
        Options {
            budget: self.budget,
            time_limit: self.time_limit,
            ..Options::default()
        }
    }
}

/// The flag that the first Ctrl-C sets; a second one ends the process.
fn interrupt_flag() -> Arc<AtomicBool> {
    let flag = Arc::new(AtomicBool::new(false));
    let seen = Arc::clone(&flag);
    // Where no handler can be set, Ctrl-C ends the process as it always does.
    let _ = ctrlc::set_handler(move || {
        if seen.swap(true, Ordering::SeqCst) {
            std::process::exit(Exit::Interrupted.code().into());
        }
    });
    flag
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
    use super::{Duration, seconds};

    #[test]
    fn seconds_are_finite_and_not_negative() {
        assert_eq!(seconds("1.5"), Ok(Duration::from_millis(1500)));
        for bad in ["-1", "NaN", "inf", "soon", "", "1e300"] {
            assert!(seconds(bad).is_err(), "{bad}");
        }
    }
}
