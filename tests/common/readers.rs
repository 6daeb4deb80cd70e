//! Every reader of the library, and what must hold whatever text it is given.
//!
//! A text is read or refused, never a crash. What is read and written again reads equal. What
//! is refused has a fault at least, each at a place inside the text, and the same ones each
//! time. Neither takes long. The fuzzer of `tests/fuzz/` looks for texts of which this does not
//! hold, and `tests/corpus.rs` puts those in `fixtures/fuzz/` to the same checks.

#[path = "readers/answers.rs"]
mod answers;
#[path = "readers/bag.rs"]
mod bag;
#[path = "readers/label.rs"]
mod label;
#[path = "readers/line.rs"]
mod line;
#[path = "readers/proof.rs"]
mod proof;
#[path = "readers/setup.rs"]
mod setup;
#[path = "readers/words.rs"]
mod words;

use std::time::Duration;

use cpu_time::ThreadTime;
use wattberth::{Error, Fault};

/// What became of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    Read,
    Refused,
}

impl Outcome {
    fn of<T, E>(result: &Result<T, E>) -> Self {
        if result.is_ok() {
            Self::Read
        } else {
            Self::Refused
        }
    }
}

/// One reader, or several that read the same kind of text.
#[derive(Clone, Copy)]
pub(crate) struct Target {
    /// As its folder in `fixtures/fuzz/` is called.
    pub(crate) name: &'static str,
    /// The longest text that is looked at, in bytes.
    pub(crate) most_bytes: usize,
    check: fn(&str) -> Outcome,
}

/// All of them.
pub(crate) const TARGETS: [Target; 12] = [
    target("setup", 16 << 10, setup::document),
    target("list", 8 << 10, setup::list),
    target("label", 1 << 10, label::check),
    target("plan", 16 << 10, answers::plan),
    target("rota", 16 << 10, answers::rota),
    target("answers", 16 << 10, answers::others),
    target("berths", 4 << 10, answers::berths),
    target("claims", 8 << 10, proof::claims),
    target("proof", 8 << 10, proof::check),
    target("candidates", 8 << 10, bag::check),
    target("line", 4 << 10, line::check),
    target("words", 256, words::check),
];

const fn target(name: &'static str, most_bytes: usize, check: fn(&str) -> Outcome) -> Target {
    Target {
        name,
        most_bytes,
        check,
    }
}

/// The CPU time that a text may take, beside what its size warrants: thousands of times what
/// any takes, and so little that a fuzzer finds what grows faster than the text.
const SLOW: Duration = Duration::from_secs(1);
const SLOW_PER_KIB: Duration = Duration::from_millis(250);

impl Target {
    /// Puts bytes to the reader; what is no UTF-8 in them is replaced.
    ///
    /// # Panics
    /// Where anything does not hold.
    pub(crate) fn run(self, bytes: &[u8]) -> Outcome {
        let text = String::from_utf8_lossy(bytes);
        let began = ThreadTime::now();
        let outcome = (self.check)(&text);
        let took = began.elapsed();
        let kib = u32::try_from(bytes.len() >> 10).unwrap_or(u32::MAX);
        let most = SLOW + SLOW_PER_KIB.saturating_mul(kib);
        assert!(took <= most, "{} bytes took {took:?}", bytes.len());
        outcome
    }
}

/// The faults of a text that is refused.
fn faults(error: Error) -> Vec<Fault> {
    match error {
        Error::Input(faults) => faults,
        other => panic!("no fault of the text: {other}"),
    }
}

/// That what is refused has faults, each a sentence.
fn sentences(error: Error) -> Vec<Fault> {
    let faults = faults(error);
    assert!(!faults.is_empty(), "it is refused without a fault");
    for fault in &faults {
        let sentence = &fault.message;
        assert!(!sentence.trim().is_empty(), "{fault:?}");
        assert!(!sentence.contains(char::is_control), "{fault:?}");
        assert!(sentence.len() <= 2_000, "{fault:?}");
    }
    faults
}

/// That a text is refused with faults, each of them at its place in the text, and that it
/// has the same ones when it is read again.
fn refused<T>(text: &str, error: Error, again: impl FnOnce() -> Result<T, Error>) {
    let faults = sentences(error);
    for (at, fault) in faults.iter().enumerate() {
        // One that says how many more there are has no place; nor has what is not there at all.
        let of_all = at + 1 == faults.len() && fault.message.ends_with("are shown");
        if !of_all && fault.message != "the text holds no candidate" {
            placed(text, fault);
        }
    }
    let Err(again) = again() else {
        panic!("it is refused, and then it is read");
    };
    assert_eq!(self::faults(again), faults, "other faults the second time");
}

/// That a fault is at a place in the text: its bytes are there, and its line and its column
/// are those of the first of them.
fn placed(text: &str, fault: &Fault) {
    let span = fault.span.clone();
    assert!(
        span.start <= span.end && span.end <= text.len(),
        "{fault:?}"
    );
    assert!(text.is_char_boundary(span.start), "{fault:?}");
    assert!(text.is_char_boundary(span.end), "{fault:?}");
    let mark = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let before = &text[mark..span.start.max(mark)];
    let line = before.matches('\n').count() + 1;
    let column = before
        .rsplit('\n')
        .next()
        .unwrap_or_default()
        .chars()
        .count()
        + 1;
    assert_eq!((fault.line, fault.column), (line, column), "{fault:?}");
}

fn fixture(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    // The fuzzer's package lies in a folder of the repository.
    let found = path.ancestors().map(|folder| folder.join("fixtures"));
    let folder = found.into_iter().find(|folder| folder.is_dir());
    let path = folder.expect("the fixtures are there").join(name);
    std::fs::read_to_string(path).expect("it is there")
}
