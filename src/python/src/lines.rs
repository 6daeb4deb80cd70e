//! Lines in, answers out, in order, on several threads: the library's `batch`, fed and emptied
//! by its caller.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Mutex};
use std::thread::{Builder, JoinHandle};

use pyo3::exceptions::PyTypeError;
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyString};
use wattberth::{BatchOptions, Error, SolveOptions};

use crate::ask::Ask;
use crate::raised;
use crate::work::{STACK, next};

/// The most lines, and bytes of them, between what was given last and what was taken last.
const MOST: (usize, usize) = (1_024, 16 << 20);

/// A stream of lines.
#[pyclass(module = "wattberth._wattberth")]
pub(crate) struct Lines {
    /// `None` once there are no more.
    input: Option<Sender<Vec<u8>>>,
    answers: Mutex<Receiver<String>>,
    stop: Arc<AtomicBool>,
    /// The sizes of the lines in work.
    sizes: VecDeque<usize>,
    bytes: usize,
    most: usize,
}

#[pymethods]
impl Lines {
    #[new]
    fn new(py: Python<'_>, ask: Ask<'_>, threads: Option<usize>) -> PyResult<Self> {
        let stop = Arc::new(AtomicBool::new(false));
        let mut options = BatchOptions::default();
        options.search = ask.options(SolveOptions::DEFAULT_BUDGET)?;
        options.search.interrupt = Some(Arc::clone(&stop));
        options.threads = threads;
        let (lines, answers) = started(options).map_err(|error| raised::error(py, error, &[]))?;
        Ok(Self {
            input: Some(lines),
            answers: Mutex::new(answers),
            stop,
            sizes: VecDeque::new(),
            bytes: 0,
            // A single thread takes up a line when the one before is answered and taken.
            most: if threads == Some(1) { 1 } else { MOST.0 },
        })
    }

    /// Gives a line; blank ones are passed over.
    fn give(&mut self, line: &Bound<'_, PyAny>) -> PyResult<()> {
        let line = bytes_of(line)?;
        if line.trim_ascii().is_empty() {
            return Ok(());
        }
        let size = line.len();
        let sent = self.input.as_ref().map(|lines| lines.send(line));
        if sent.is_some_and(|sent| sent.is_ok()) {
            self.sizes.push_back(size);
            self.bytes += size;
        }
        Ok(())
    }

    /// Whether answers are to be taken before more is given.
    #[getter]
    fn is_full(&self) -> bool {
        self.sizes.len() >= self.most || self.bytes >= MOST.1
    }

    /// No more lines come.
    fn end(&mut self) {
        self.input = None;
    }

    /// The next answer: where none is ready it is waited for, or there is none yet. `None`,
    /// too, where every line is answered.
    fn take(&mut self, py: Python<'_>, wait: bool) -> PyResult<Option<String>> {
        if self.sizes.is_empty() {
            return Ok(None);
        }
        let answer = next(py, &self.answers, wait)?;
        if answer.is_some() {
            self.bytes -= self.sizes.pop_front().unwrap_or_default();
        }
        Ok(answer)
    }

    /// Ends it, the lines in work as they are.
    fn close(&mut self) {
        self.input = None;
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl Drop for Lines {
    fn drop(&mut self) {
        self.close();
    }
}

/// The library's stream, on a thread of its own.
fn started(options: BatchOptions) -> Result<(Sender<Vec<u8>>, Receiver<String>), Error> {
    let (lines, to_answer) = channel::<Vec<u8>>();
    let (answered, answers) = channel();
    let (ready, begun) = channel();
    let work = move || match wattberth::batch(to_answer.into_iter(), &options) {
        Err(error) => drop(ready.send(Err(error))),
        Ok(all) => {
            let _ = ready.send(Ok(()));
            for answer in all {
                if answered.send(answer).is_err() {
                    break;
                }
            }
        }
    };
    let thread: Result<JoinHandle<()>, _> = Builder::new().stack_size(STACK).spawn(work);
    let broken = |message: String| Error::Internal { message };
    thread.map_err(|error| broken(error.to_string()))?;
    let begun = begun.recv();
    begun.map_err(|_| broken("the stream did not begin".to_owned()))??;
    Ok((lines, answers))
}

/// A line's bytes; half a character of a text is answered as what is no text.
fn bytes_of(line: &Bound<'_, PyAny>) -> PyResult<Vec<u8>> {
    if let Ok(bytes) = line.cast::<PyBytes>() {
        return Ok(bytes.as_bytes().to_vec());
    }
    if !line.is_instance_of::<PyString>() {
        let found = line.get_type().name()?;
        return Err(PyTypeError::new_err(format!(
            "a line is text or bytes, not a value of the type `{found}`; `plan_many` takes dicts"
        )));
    }
    let encode = intern!(line.py(), "encode");
    let bytes = line.call_method1(encode, ("utf-8", "surrogatepass"))?;
    Ok(bytes.cast::<PyBytes>()?.as_bytes().to_vec())
}
