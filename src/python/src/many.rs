//! Many setups on several threads: each answered as `assign` answers it, in their order.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::Builder;

use pyo3::prelude::*;
use wattberth::{Error, SolveOptions, assign_with};

use crate::ask::{Ask, Texts};
use crate::raised;
use crate::work::{STACK, broken, next};

/// The most setups between what was given last and what was taken last.
const MOST: usize = 1_024;

/// More threads than any machine has use for.
const MOST_THREADS: usize = 1_024;

struct Job {
    number: usize,
    texts: Texts,
    options: SolveOptions,
}

struct Done {
    number: usize,
    texts: Texts,
    plan: Result<String, Error>,
}

/// Plans in work.
#[pyclass(module = "wattberth._wattberth")]
pub(crate) struct Plans {
    jobs: Option<Sender<Job>>,
    done: Mutex<Receiver<Done>>,
    /// What was done before what comes before it.
    early: BTreeMap<usize, Done>,
    stop: Arc<AtomicBool>,
    given: usize,
    taken: usize,
}

#[pymethods]
impl Plans {
    #[new]
    fn new(py: Python<'_>, threads: Option<usize>) -> PyResult<Self> {
        let cores = || std::thread::available_parallelism().map_or(1, usize::from);
        let threads = threads.unwrap_or_else(cores);
        if !(1..=MOST_THREADS).contains(&threads) {
            let message =
                format!("the number of threads must be from 1 to {MOST_THREADS}, not {threads}");
            return Err(raised::option(py, message));
        }
        let (jobs, to_do) = channel();
        let (finished, done) = channel();
        let to_do = Arc::new(Mutex::new(to_do));
        for _ in 0..threads {
            let (to_do, finished) = (Arc::clone(&to_do), finished.clone());
            let worker = move || work(&to_do, &finished);
            Builder::new().stack_size(STACK).spawn(worker)?;
        }
        Ok(Self {
            jobs: Some(jobs),
            done: Mutex::new(done),
            early: BTreeMap::new(),
            stop: Arc::new(AtomicBool::new(false)),
            given: 0,
            taken: 0,
        })
    }

    /// Gives a setup. Where it is none, that is raised here and nothing was given.
    fn give(&mut self, ask: Ask<'_>) -> PyResult<()> {
        let mut options = ask.options(SolveOptions::DEFAULT_BUDGET)?;
        options.interrupt = Some(Arc::clone(&self.stop));
        let job = Job {
            number: self.given,
            texts: ask.texts()?,
            options,
        };
        let sent = self.jobs.as_ref().map(|jobs| jobs.send(job));
        if sent.is_some_and(|sent| sent.is_ok()) {
            self.given += 1;
        }
        Ok(())
    }

    /// Whether plans are to be taken before more is given.
    #[getter]
    fn is_full(&self) -> bool {
        self.given - self.taken >= MOST
    }

    /// The next plan, or raises what is wrong with its setup: where it is not ready it is
    /// waited for, or there is none yet. `None`, too, where every setup is planned.
    fn take(&mut self, py: Python<'_>, wait: bool) -> PyResult<Option<String>> {
        while self.taken < self.given {
            if let Some(done) = self.early.remove(&self.taken) {
                self.taken += 1;
                let plan = done.plan;
                return plan
                    .map(Some)
                    .map_err(|error| raised::error(py, error, &done.texts.all));
            }
            let Some(done) = next(py, &self.done, wait)? else {
                return Ok(None);
            };
            self.early.insert(done.number, done);
        }
        Ok(None)
    }

    /// Ends it, the setups in work as they are.
    fn close(&mut self) {
        self.jobs = None;
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl Drop for Plans {
    fn drop(&mut self) {
        self.close();
    }
}

/// Plans what is to be done until nothing is, or nobody wants it.
fn work(to_do: &Mutex<Receiver<Job>>, finished: &Sender<Done>) {
    loop {
        let job = to_do.lock().unwrap_or_else(PoisonError::into_inner).recv();
        let Ok(Job {
            number,
            texts,
            options,
        }) = job
        else {
            return;
        };
        let is_stopped = |flag: &Arc<AtomicBool>| flag.load(Ordering::Relaxed);
        if options.interrupt.as_ref().is_some_and(is_stopped) {
            return;
        }
        let plan = || Ok(assign_with(&texts.setup()?, &options)?.to_json());
        // A bug that one setup brings to light costs that setup's plan, not the others.
        let plan = catch_unwind(AssertUnwindSafe(plan)).unwrap_or_else(|_| Err(broken()));
        let done = Done {
            number,
            texts,
            plan,
        };
        if finished.send(done).is_err() {
            return;
        }
    }
}
