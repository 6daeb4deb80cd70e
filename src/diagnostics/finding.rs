//! A place in a document, and what was found there.

use std::fmt;
use std::ops::Range;

use super::printable;
use crate::limits::FAULTS;

/// The steps from the top of a document to a value: `chargers[0].pools[1].ports[2]`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub(crate) struct Path(pub(crate) Vec<Step>);

/// One step of a [`Path`].
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(crate) enum Step {
    Field(String),
    Index(usize),
}

impl Path {
    /// The path of a field of the object at this one.
    pub(crate) fn field(&self, name: &str) -> Self {
        self.then(Step::Field(name.to_owned()))
    }

    /// The path of an element of the list at this one.
    pub(crate) fn index(&self, index: usize) -> Self {
        self.then(Step::Index(index))
    }

    fn then(&self, step: Step) -> Self {
        let mut steps = Vec::with_capacity(self.0.len() + 1);
        steps.extend_from_slice(&self.0);
        steps.push(step);
        Self(steps)
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.0.iter().enumerate() {
            match step {
                Step::Index(index) => write!(f, "[{index}]")?,
                Step::Field(name) if is_plain(name) => {
                    write!(f, "{}{name}", if i > 0 { "." } else { "" })?;
                }
                Step::Field(name) => write!(f, "[{name:?}]")?,
            }
        }
        Ok(())
    }
}

/// Whether a field's name can stand in a path without quotes.
fn is_plain(name: &str) -> bool {
    !name.is_empty()
        && name
            .chars()
            .all(|c| c.is_alphanumeric() || c == '_' || c == '-')
}

/// Where in the text a finding points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Spot {
    /// At the value at its path, or as far as its path goes.
    Value,
    /// At these bytes of the text.
    Text(Range<usize>),
    /// At these bytes inside the string at its path, escapes undone.
    Part(Range<usize>),
}

/// One fault, before it is known where in which text it stands.
#[derive(Debug, Clone)]
pub(crate) struct Finding {
    pub(crate) path: Path,
    pub(crate) spot: Spot,
    pub(crate) message: String,
    pub(crate) suggestion: Option<String>,
    /// Fields of the object at `path` that it is about: where the reader refused one
    /// of them, this is only its consequence.
    pub(crate) about: &'static [&'static str],
    /// Whether it says that a name is unknown, which is only a consequence where the
    /// reader refused a name.
    pub(crate) reference: bool,
}

impl Finding {
    fn new(path: Path, message: String) -> Self {
        Self {
            path,
            spot: Spot::Value,
            message: printable(message),
            suggestion: None,
            about: &[],
            reference: false,
        }
    }

    pub(crate) fn at(&mut self, spot: Spot) -> &mut Self {
        self.spot = spot;
        self
    }

    pub(crate) fn near(&mut self, suggestion: Option<String>) -> &mut Self {
        self.suggestion = suggestion;
        self
    }

    pub(crate) fn about(&mut self, fields: &'static [&'static str]) -> &mut Self {
        self.about = fields;
        self
    }

    pub(crate) fn reference(&mut self) -> &mut Self {
        self.reference = true;
        self
    }
}

/// What was found so far. Beyond [`FAULTS`] findings it only counts, so that a hostile
/// text cannot fill the memory with complaints.
#[derive(Debug)]
pub(crate) struct Findings {
    pub(crate) all: Vec<Finding>,
    pub(crate) more: usize,
    spare: Finding,
}

impl Findings {
    pub(crate) fn new() -> Self {
        let spare = Finding::new(Path::default(), String::new());
        Self {
            all: Vec::new(),
            more: 0,
            spare,
        }
    }

    pub(crate) fn add(&mut self, path: Path, message: impl Into<String>) -> &mut Finding {
        let finding = Finding::new(path, message.into());
        if self.is_full() {
            self.more += 1;
            self.spare = finding;
            &mut self.spare
        } else {
            self.all.push(finding);
            self.all
                .last_mut()
                .expect("it was pushed in the line above")
        }
    }

    /// Whether what else is found is only counted.
    pub(crate) fn is_full(&self) -> bool {
        self.all.len() >= FAULTS
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.all.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_written_as_people_read_them() {
        let top = Path::default();
        let line = top
            .field("chargers")
            .index(0)
            .field("combinations")
            .index(1);
        for (path, expected) in [
            (top.clone(), ""),
            (line.field("C1"), "chargers[0].combinations[1].C1"),
            (
                line.field("front left"),
                "chargers[0].combinations[1][\"front left\"]",
            ),
            (line.field(""), "chargers[0].combinations[1][\"\"]"),
        ] {
            assert_eq!(path.to_string(), expected);
        }
    }

    #[test]
    fn findings_beyond_the_limit_are_counted() {
        let mut findings = Findings::new();
        for i in 0..FAULTS + 7 {
            findings.add(Path::default().index(i), "wrong");
        }
        assert_eq!((findings.all.len(), findings.more), (FAULTS, 7));
    }
}
