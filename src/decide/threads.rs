//! How many threads a question is worked out on.

use crate::diagnostics::{Error, Result};

/// More than any machine has use for.
const MOST: usize = 1_024;

/// The number asked for, else that of the cores at hand; one without `parallel`.
pub(crate) fn number(asked: Option<usize>) -> Result<usize> {
    if let Some(asked) = asked
        && !(1..=MOST).contains(&asked)
    {
        return Err(Error::Options {
            message: format!("the number of threads must be from 1 to {MOST}, not {asked}"),
        });
    }
    if !cfg!(feature = "parallel") {
        return Ok(1);
    }
    let cores = || std::thread::available_parallelism().map_or(1, usize::from);
    Ok(asked.unwrap_or_else(cores))
}

/// So many threads at work together.
#[cfg(feature = "parallel")]
pub(crate) fn pool(number: usize) -> Result<rayon::ThreadPool> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(number)
        .build()
        .map_err(|error| not_started(number, &error))
}

/// What is said where threads cannot be had.
#[cfg(feature = "parallel")]
pub(crate) fn not_started(number: usize, why: &dyn std::fmt::Display) -> Error {
    Error::Options {
        message: format!("{number} threads cannot be started: {why}"),
    }
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn no_thread_and_too_many_are_refused() {
        assert_eq!(number(Some(1)).ok(), Some(1));
        assert!(number(None).is_ok_and(|threads| threads >= 1));
        assert!(number(Some(0)).is_err());
        assert!(number(Some(1_025)).is_err());
    }
}
