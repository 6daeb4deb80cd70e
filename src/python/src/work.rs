//! A search on a thread of its own, while the caller's thread hears signals and answers the
//! search's calls.
//!
//! Python runs what a signal means on its main thread, and a callback belongs to the thread of
//! the caller; so the caller waits, and the search is done beside it without the GIL.

use std::ops::ControlFlow;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{
    Receiver, RecvTimeoutError, SendError, Sender, SyncSender, TryRecvError, channel, sync_channel,
};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::Builder;
use std::time::Duration;

use pyo3::prelude::*;
use wattberth::{Error, OnProgress, SolveOptions};

use crate::ask::{Ask, Texts};
use crate::raised;
use crate::told::Progressed;

/// How often signals are heard while nothing else happens.
pub(crate) const HEARD: Duration = Duration::from_millis(50);

/// As much as a main thread has.
pub(crate) const STACK: usize = 8 << 20;

/// A call of the search to its caller, who answers whether it may go on.
struct Call {
    told: Progressed,
    answer: SyncSender<ControlFlow<()>>,
}

/// How a search calls its caller.
#[derive(Clone)]
pub(crate) struct Caller {
    calls: Sender<Call>,
    wanted: bool,
}

impl Caller {
    /// Tells the caller, who may end the search.
    pub(crate) fn tell(&self, told: Progressed) -> ControlFlow<()> {
        if !self.wanted {
            return ControlFlow::Continue(());
        }
        let (answer, heard) = sync_channel(1);
        if self.calls.send(Call { told, answer }).is_err() {
            return ControlFlow::Break(());
        }
        heard.recv().unwrap_or(ControlFlow::Break(()))
    }
}

/// Answers a question about `texts` on a thread of its own.
pub(crate) fn answered<T: Send + 'static>(
    ask: &Ask<'_>,
    texts: Texts,
    default_budget: u64,
    question: impl FnOnce(&Texts, &SolveOptions, &Caller) -> Result<T, Error> + Send + 'static,
) -> PyResult<T> {
    let py = ask.py();
    let flag = Arc::new(AtomicBool::new(false));
    let (calls, heard) = channel();
    let caller = Caller {
        calls,
        wanted: ask.progress.is_some(),
    };
    let mut options = ask.options(default_budget)?;
    options.interrupt = Some(Arc::clone(&flag));
    if caller.wanted {
        let caller = caller.clone();
        let tell = move |told: &_| caller.tell(Progressed::Search(Box::new(Clone::clone(told))));
        options.progress = Some(OnProgress::deciding(tell));
    }
    let (answer, answered) = sync_channel(1);
    begin(move || {
        let asked = || question(&texts, &options, &caller);
        let found = catch_unwind(AssertUnwindSafe(asked)).unwrap_or_else(|_| Err(broken()));
        Box::new(move || {
            // The caller hears that there are no more calls, and then waits for this.
            drop((options, caller));
            let _ = answer.send((found, texts));
        })
    })?;
    let raised = hear(py, &flag, heard, ask.progress.as_ref());
    let ended = py.detach(move || answered.recv());
    raised?;
    match ended {
        Ok((Ok(answer), _)) => Ok(answer),
        Ok((Err(error), texts)) => Err(raised::error(py, error, &texts.all)),
        Err(_) => Err(raised::error(py, broken(), &[])),
    }
}

/// What is to be done, which gives what hands its answer over.
type Job = Box<dyn FnOnce() -> Box<dyn FnOnce()> + Send>;

/// Threads that wait for the next question, with the process that has them: after a fork
/// there are none. A new thread for each would take as long as a small plan.
static WAITING: Mutex<(u32, Vec<Sender<Job>>)> = Mutex::new((0, Vec::new()));

/// The most that wait.
const MOST_WAITING: usize = 8;

/// Those that wait in this process; `None` where another thread is looking, as for ever where
/// one was while the process was forked.
fn waiting() -> Option<MutexGuard<'static, (u32, Vec<Sender<Job>>)>> {
    let mut waiting = WAITING.try_lock().ok()?;
    let process = std::process::id();
    if waiting.0 != process {
        *waiting = (process, Vec::new());
    }
    Some(waiting)
}

/// Begins a job on a thread that waits, or on a new one.
fn begin(job: impl FnOnce() -> Box<dyn FnOnce()> + Send + 'static) -> PyResult<()> {
    let mut job: Job = Box::new(job);
    let idle = || waiting().and_then(|mut waiting| waiting.1.pop());
    while let Some(thread) = idle() {
        match thread.send(job) {
            Ok(()) => return Ok(()),
            Err(SendError(back)) => job = back,
        }
    }
    let (own, jobs) = channel::<Job>();
    let work = move || {
        let mut next = Some(job);
        while let Some(job) = next {
            let hand_over = job();
            // It waits before the answer is there, so that the next question finds it.
            let waits = waiting().filter(|waiting| waiting.1.len() < MOST_WAITING);
            let stays = waits.map(|mut waiting| waiting.1.push(own.clone()));
            hand_over();
            next = stays.and_then(|()| jobs.recv().ok());
        }
    };
    Builder::new().stack_size(STACK).spawn(work)?;
    Ok(())
}

pub(crate) fn broken() -> Error {
    Error::Internal {
        message: "the question could not be worked out".to_owned(),
    }
}

/// Answers calls and hears signals until the search has ended; what was raised meanwhile has
/// ended it.
fn hear(
    py: Python<'_>,
    flag: &AtomicBool,
    mut called: Receiver<Call>,
    progress: Option<&Py<PyAny>>,
) -> PyResult<()> {
    let mut raised = Ok(());
    loop {
        let heard;
        (heard, called) = py.detach(move || (called.recv_timeout(HEARD), called));
        let now = match heard {
            Ok(call) => {
                let (flow, now) = match (&raised, progress) {
                    (Ok(()), Some(progress)) => told(py, progress, &call.told),
                    _ => (ControlFlow::Break(()), Ok(())),
                };
                if flow.is_break() {
                    flag.store(true, Ordering::Relaxed);
                }
                // Where nobody waits for it any more, it is not missed.
                let _ = call.answer.send(flow);
                now
            }
            Err(RecvTimeoutError::Timeout) => py.check_signals(),
            Err(RecvTimeoutError::Disconnected) => return raised,
        };
        if let (Ok(()), Err(error)) = (&raised, now) {
            flag.store(true, Ordering::Relaxed);
            raised = Err(error);
        }
    }
}

/// Calls back; `False`, and whatever is raised, ends the search.
fn told(
    py: Python<'_>,
    progress: &Py<PyAny>,
    told: &Progressed,
) -> (ControlFlow<()>, PyResult<()>) {
    let said = told
        .as_dict(py)
        .and_then(|dict| progress.call1(py, (dict,)));
    // Calls may come so quickly that nothing else is ever heard.
    let said = said.and_then(|said| py.check_signals().map(|()| said));
    match said {
        Ok(said) if said.bind(py).is(&*pyo3::types::PyBool::new(py, false)) => {
            (ControlFlow::Break(()), Ok(()))
        }
        Ok(_) => (ControlFlow::Continue(()), Ok(())),
        Err(error) => (ControlFlow::Break(()), Err(error)),
    }
}

/// What comes next of what other threads send: where nothing is there it is waited for, while
/// signals are heard, or there is nothing.
pub(crate) fn next<T: Send>(
    py: Python<'_>,
    from: &Mutex<Receiver<T>>,
    wait: bool,
) -> PyResult<Option<T>> {
    let there = || from.lock().unwrap_or_else(PoisonError::into_inner);
    let gone = || raised::error(py, broken(), &[]);
    match there().try_recv() {
        Ok(found) => return Ok(Some(found)),
        Err(TryRecvError::Empty) if !wait => return Ok(None),
        Err(TryRecvError::Empty) => {}
        Err(TryRecvError::Disconnected) => return Err(gone()),
    }
    loop {
        match py.detach(|| there().recv_timeout(HEARD)) {
            Ok(found) => return Ok(Some(found)),
            Err(RecvTimeoutError::Timeout) => py.check_signals()?,
            Err(RecvTimeoutError::Disconnected) => return Err(gone()),
        }
    }
}
