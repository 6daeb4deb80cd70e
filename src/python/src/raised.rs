//! The library's errors as exceptions of the package.

use pyo3::prelude::*;
use pyo3::types::PyList;
use wattberth::{Error, Fault};

use crate::given::Given;

/// A fault as it is told: where no text was given, there are no lines.
#[derive(Debug, Default)]
pub(crate) struct Told {
    pub(crate) file: String,
    pub(crate) place: Option<(usize, usize)>,
    pub(crate) path: String,
    pub(crate) message: String,
    pub(crate) suggestion: Option<String>,
}

impl Told {
    /// A fault of one of the `texts`.
    fn of(fault: Fault, texts: &[Given]) -> Self {
        let of_text = |given: &Given| given.file == fault.file && !given.is_tree;
        let has_lines = fault.line > 0 && texts.iter().any(of_text);
        Self {
            place: has_lines.then_some((fault.line, fault.column)),
            file: fault.file,
            path: fault.path,
            message: fault.message,
            suggestion: fault.suggestion,
        }
    }

    fn as_python<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        let class = py.import("wattberth.errors")?.getattr("Fault")?;
        let (line, column) = self.place.unzip();
        let Self {
            file,
            path,
            message,
            suggestion,
            ..
        } = self;
        class.call1((file, line, column, path, message, suggestion))
    }
}

/// The exception of input with these faults.
pub(crate) fn input(py: Python<'_>, faults: &[Told]) -> PyErr {
    let made = || {
        let faults: PyResult<Vec<_>> = faults.iter().map(|fault| fault.as_python(py)).collect();
        let faults = PyList::new(py, faults?)?;
        let class = py.import("wattberth.errors")?.getattr("InputError")?;
        class.call_method1("of", (faults,))
    };
    raised(made())
}

/// The exception of an option that is outside its range.
pub(crate) fn option(py: Python<'_>, message: impl Into<String>) -> PyErr {
    named(py, "OptionsError", message.into())
}

/// What the library refused, as an exception; `texts` are those that it may speak of.
pub(crate) fn error(py: Python<'_>, error: Error, texts: &[Given]) -> PyErr {
    match error {
        Error::Input(faults) => {
            let told = faults.into_iter().map(|fault| Told::of(fault, texts));
            input(py, &told.collect::<Vec<_>>())
        }
        Error::Options { message } => option(py, message),
        Error::NoPlanInTime => named(py, "NoPlanInTimeError", error.to_string()),
        Error::NoProof { .. } => named(py, "NoProofError", error.to_string()),
        other => named(py, "InternalError", other.to_string()),
    }
}

fn named(py: Python<'_>, class: &str, message: String) -> PyErr {
    let module = py.import("wattberth.errors");
    raised(module.and_then(|module| module.getattr(class)?.call1((message,))))
}

/// What is raised, or what kept it from being made.
fn raised(made: PyResult<Bound<'_, PyAny>>) -> PyErr {
    made.map_or_else(|error| error, PyErr::from_value)
}
