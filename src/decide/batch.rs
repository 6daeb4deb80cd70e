//! Many setups, one on each line: JSON in, JSON out, in the same order.
//!
//! A line is `{"id": any, "setup": {…}, "charger": {…} or "chargers": […]}`; where there
//! are chargers beside the setup they replace its own. Its answer is `{"id": …, "plan":
//! {…}}` or `{"id": …, "errors": [{"column": …, "path": "…", "message": "…"}]}`,
//! as [`BatchLine`] and [`BatchAnswer`] have them.
//!
//! What lines have in common is worked out once: the devices and cables of the last 8
//! setups (of at most 64 KiB of text), and what these can negotiate on the ports they
//! have met. No answer depends on that, nor on the number of threads.

mod answer;
mod cache;
mod documents;
mod line;
mod lines;
#[cfg(feature = "parallel")]
mod stream;

use crate::diagnostics::Result;
use crate::solve::options::{SolveOptions, setters};
use cache::Bags;
pub use documents::{BatchAnswer, BatchLine};
#[cfg(feature = "schema")]
pub use documents::{batch_answer_schema, batch_line_schema};
pub use lines::{LINE_BYTES, lines};

/// How [`batch`] goes about its lines.
#[derive(Debug, Clone, Default)]
#[non_exhaustive]
pub struct BatchOptions {
    /// The limits of each line's search.
    pub search: SolveOptions,
    /// The number of threads; `None` for as many as the machine has cores. Without the
    /// feature `parallel` it is always one.
    pub threads: Option<usize>,
}

setters!(BatchOptions:
    set search: SolveOptions,
    some threads: usize,
);

/// Answers lines, in their order.
///
/// Blank lines are passed over. A line that is no JSON, has faults, is no UTF-8 or is
/// longer than [`LINE_BYTES`] is answered in its place, with `errors`. At most 1 024
/// lines, and about 16 MiB of them, are read ahead of the answer taken last, so memory
/// does not grow with the number of lines.
///
/// ```
/// use wattberth::{BatchOptions, batch};
///
/// let setup = r#"{"cables": [{"name": "braided"}],
///   "devices": [{"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#.replace('\n', "");
/// let lines = [20, 300].map(|pd_w| {
///     let charger = format!(r#"{{"name": "cube", "ports": [{{"name": "C1", "pd_w": {pd_w}}}]}}"#);
///     format!(r#"{{"id": {pd_w}, "setup": {setup}, "charger": {charger}}}"#)
/// });
/// let answers: Vec<String> = batch(lines.into_iter(), &BatchOptions::default())?.collect();
/// assert!(answers[0].starts_with(r#"{"id":20,"plan":{"version":1,"status":"optimal""#));
/// assert!(answers[1].starts_with(r#"{"id":300,"errors":[{"column":"#));
/// assert!(answers[1].contains(r#""path":"charger.ports[0].pd_w""#));
/// # Ok::<(), wattberth::Error>(())
/// ```
///
/// # Errors
/// [`Error::Options`](crate::Error::Options) where an option is outside its range, or so
/// many threads cannot be started.
pub fn batch<L: AsRef<[u8]> + Send + 'static>(
    lines: impl Iterator<Item = L> + Send + 'static,
    options: &BatchOptions,
) -> Result<Box<dyn Iterator<Item = String> + Send>> {
    let BatchOptions { search, threads } = options.clone();
    search.check()?;
    let threads = crate::decide::threads::number(threads)?;
    let lines = lines.filter(|line| !line.as_ref().trim_ascii().is_empty());
    let bags = Bags::default();
    let answer = move |line: &[u8]| answer::answer(line, &search, &bags);
    #[cfg(feature = "parallel")]
    if threads > 1 {
        return Ok(Box::new(stream::Ordered::new(lines, threads, answer)?));
    }
    #[cfg(not(feature = "parallel"))]
    let _ = threads;
    Ok(Box::new(lines.map(move |line| answer(line.as_ref()))))
}

/// The answer to one line, without a line break.
///
/// # Errors
/// [`Error::Options`](crate::Error::Options) where an option is outside its range; what
/// is wrong with the line is in the answer.
pub fn answer_line(line: &[u8], search: &SolveOptions) -> Result<String> {
    search.check()?;
    Ok(answer::answer(line, search, &Bags::default()))
}
