//! The threads of a ranking, started once.

use crate::diagnostics::Result;

pub(super) struct Threads {
    #[cfg(feature = "parallel")]
    pool: rayon::ThreadPool,
}

impl Threads {
    #[cfg(feature = "parallel")]
    pub(super) fn new(number: usize) -> Result<Self> {
        let pool = crate::decide::threads::pool(number)?;
        Ok(Self { pool })
    }

    #[cfg(not(feature = "parallel"))]
    #[expect(clippy::unnecessary_wraps, reason = "with threads it may fail")]
    pub(super) fn new(_number: usize) -> Result<Self> {
        Ok(Self {})
    }

    /// What `work` gives for each, in their order.
    #[cfg(feature = "parallel")]
    pub(super) fn map<I: Sync, T: Send>(
        &self,
        items: &[I],
        work: impl Fn(&I) -> T + Sync,
    ) -> Vec<T> {
        use rayon::iter::{IntoParallelRefIterator, ParallelIterator};

        self.pool.install(|| items.par_iter().map(&work).collect())
    }

    #[cfg(not(feature = "parallel"))]
    #[expect(clippy::unused_self, reason = "there are no threads to ask")]
    pub(super) fn map<I, T>(&self, items: &[I], work: impl Fn(&I) -> T) -> Vec<T> {
        items.iter().map(work).collect()
    }
}
