//! Lines to answers on several threads: in order, and never far ahead of whoever takes
//! the answers.

use std::sync::mpsc::{Receiver, channel, sync_channel};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread::JoinHandle;

use crate::decide::threads::{not_started, pool};
use crate::diagnostics::Result;

/// The most lines read ahead of the answer taken last.
pub(super) const MOST_LINES: usize = 1_024;
/// The most bytes of them; a single line may have more.
pub(super) const MOST_BYTES: usize = 16 << 20;

/// Answers in the order of their lines.
pub(super) struct Ordered {
    /// By line, its size and its answer to come.
    queue: Option<Receiver<(usize, Receiver<String>)>>,
    window: Arc<Window>,
    feeder: Option<JoinHandle<()>>,
}

impl Ordered {
    /// Answers `lines` on `threads` threads.
    pub(super) fn new<L: AsRef<[u8]> + Send + 'static>(
        lines: impl Iterator<Item = L> + Send + 'static,
        threads: usize,
        answer: impl Fn(&[u8]) -> String + Send + Sync + 'static,
    ) -> Result<Self> {
        let pool = pool(threads)?;
        let window = Arc::new(Window::default());
        let (ahead, queue) = channel();
        let answer = Arc::new(answer);
        let entered = Arc::clone(&window);
        // Reading may wait for a line while answers wait to be taken, so it has a thread
        // of its own.
        let feed = move || {
            for line in lines {
                let size = line.as_ref().len();
                let (done, to_come) = sync_channel(1);
                if !entered.enter(size) || ahead.send((size, to_come)).is_err() {
                    break;
                }
                let answer = Arc::clone(&answer);
                pool.spawn(move || {
                    // Where nobody takes answers any more, this one is not missed.
                    let _ = done.send(answer(line.as_ref()));
                });
            }
        };
        let feeder = std::thread::Builder::new()
            .spawn(feed)
            .map_err(|error| not_started(threads, &error))?;
        Ok(Self {
            queue: Some(queue),
            window,
            feeder: Some(feeder),
        })
    }
}

impl Iterator for Ordered {
    type Item = String;

    fn next(&mut self) -> Option<String> {
        if let Ok((size, to_come)) = self.queue.as_ref()?.recv() {
            let answer = to_come.recv().ok();
            self.window.leave(size);
            return answer;
        }
        self.queue = None;
        // A panic of the lines' own iterator is the caller's to know.
        if let Some(Err(panic)) = self.feeder.take().map(JoinHandle::join) {
            std::panic::resume_unwind(panic);
        }
        None
    }
}

impl Drop for Ordered {
    fn drop(&mut self) {
        self.window.close();
    }
}

/// How many lines, and how many bytes of them, are on their way.
#[derive(Debug, Default)]
struct Window {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct State {
    lines: usize,
    bytes: usize,
    closed: bool,
}

impl Window {
    /// Waits until there is room for a line; `false` where none is wanted any more.
    fn enter(&self, size: usize) -> bool {
        let state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        let full = |state: &mut State| {
            let too_many = state.lines >= MOST_LINES || state.bytes + size > MOST_BYTES;
            !state.closed && state.lines > 0 && too_many
        };
        let mut state = self
            .changed
            .wait_while(state, full)
            .unwrap_or_else(PoisonError::into_inner);
        state.lines += 1;
        state.bytes += size;
        !state.closed
    }

    fn leave(&self, size: usize) {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.lines -= 1;
        state.bytes -= size;
        self.changed.notify_one();
    }

    fn close(&self) {
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        state.closed = true;
        self.changed.notify_one();
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::Duration;

    use super::*;

    #[test]
    fn answers_come_in_order_and_reading_stays_near() {
        let read = Arc::new(AtomicUsize::new(0));
        let counted = Arc::clone(&read);
        let lines = (0..20_000_usize).map(move |i| {
            counted.store(i + 1, Ordering::SeqCst);
            i.to_string()
        });
        let slow_at_times = |line: &[u8]| {
            if line.ends_with(b"77") {
                std::thread::sleep(Duration::from_micros(200));
            }
            String::from_utf8_lossy(line).into_owned()
        };
        let answers = Ordered::new(lines, 4, slow_at_times).expect("4 threads");
        for (i, answer) in answers.enumerate() {
            assert_eq!(answer, i.to_string());
            assert!(read.load(Ordering::SeqCst) <= i + MOST_LINES + 2);
        }
        assert_eq!(read.load(Ordering::SeqCst), 20_000);
    }

    #[test]
    fn large_lines_are_not_read_far_ahead() {
        let read = Arc::new(AtomicUsize::new(0));
        let counted = Arc::clone(&read);
        let lines = (0..40).map(move |_| {
            counted.fetch_add(1, Ordering::SeqCst);
            vec![b' '; MOST_BYTES / 4]
        });
        let mut answers = Ordered::new(lines, 2, |line| line.len().to_string()).expect("2 threads");
        for taken in 1..=40 {
            assert_eq!(answers.next(), Some((MOST_BYTES / 4).to_string()));
            assert!(read.load(Ordering::SeqCst) <= taken + 5);
        }
        assert_eq!(answers.next(), None);
    }

    #[test]
    fn whoever_stops_taking_is_not_waited_for() {
        let endless = std::iter::repeat("line");
        let mut answers = Ordered::new(endless, 2, |_| String::new()).expect("2 threads");
        assert!(answers.next().is_some());
        drop(answers);
    }
}
