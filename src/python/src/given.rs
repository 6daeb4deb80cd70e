//! What a caller gives as a document: a dict, text, lines of a list, or a file.

use pyo3::exceptions::PyTypeError;
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{PyByteArray, PyBytes, PyList, PyMapping, PyString, PyTuple};
use wattberth::Source;

use crate::raised::{self, Told};
use crate::tree::{self, unfit};

/// Larger than any document within the library's limits; a device file has no end.
const MAX_BYTES: usize = 64 << 20;

/// A text with its name, under which faults speak of it.
#[derive(Debug)]
pub(crate) struct Given {
    pub(crate) file: String,
    pub(crate) text: String,
    /// Whether it was a dict, so that nobody ever saw the text.
    pub(crate) is_tree: bool,
}

impl Given {
    pub(crate) fn source(&self) -> Source<'_> {
        Source {
            file: &self.file,
            text: &self.text,
        }
    }
}

/// The texts of a call, read one after the other; their faults are raised together.
#[derive(Default)]
pub(crate) struct Reading {
    faults: Vec<Told>,
}

impl Reading {
    /// The text of a document; `None` where it has faults, which are noted.
    pub(crate) fn read(
        &mut self,
        value: &Bound<'_, PyAny>,
        what: &str,
        file: &str,
    ) -> PyResult<Option<Given>> {
        let py = value.py();
        if let Ok(text) = value.cast::<PyString>() {
            let bytes = text.call_method1(intern!(py, "encode"), ("utf-8", "surrogatepass"))?;
            return Ok(self.utf8(bytes.cast::<PyBytes>()?.as_bytes(), file));
        }
        if let Ok(bytes) = value.cast::<PyBytes>() {
            return Ok(self.utf8(bytes.as_bytes(), file));
        }
        if let Ok(bytes) = value.cast::<PyByteArray>() {
            return Ok(self.utf8(&bytes.to_vec(), file));
        }
        if let Some(lines) = lines_of_list(value)? {
            return Ok(self.utf8(lines.as_bytes(), file));
        }
        if value.hasattr(intern!(py, "__fspath__"))? {
            return self.file(value);
        }
        if !value.is_instance_of::<PyMapping>() {
            let forms = "a dict, text, a list of lines, or a path";
            return Err(unfit(what, forms, value));
        }
        match tree::json(value)? {
            Ok(text) => Ok(Some(Given {
                file: file.to_owned(),
                text,
                is_tree: true,
            })),
            Err(found) => {
                let named = found.into_iter().map(|fault| Told {
                    file: file.to_owned(),
                    ..fault
                });
                self.faults.extend(named);
                Ok(None)
            }
        }
    }

    /// The texts of one document or of several.
    pub(crate) fn several(
        &mut self,
        value: Option<&Bound<'_, PyAny>>,
        what: &str,
    ) -> PyResult<Vec<Given>> {
        let Some(value) = value else {
            return Ok(Vec::new());
        };
        let is_list = value.is_instance_of::<PyList>() || value.is_instance_of::<PyTuple>();
        if !is_list {
            let one = self.read(value, &format!("a {what}"), what)?;
            return Ok(one.into_iter().collect());
        }
        let mut all = Vec::new();
        for (index, one) in value.try_iter()?.enumerate() {
            all.extend(self.read(&one?, &format!("a {what}"), &format!("{what}[{index}]"))?);
        }
        Ok(all)
    }

    /// Raises what was found, if anything.
    pub(crate) fn end(self, py: Python<'_>) -> PyResult<()> {
        if self.faults.is_empty() {
            return Ok(());
        }
        Err(raised::input(py, &self.faults))
    }

    fn utf8(&mut self, bytes: &[u8], file: &str) -> Option<Given> {
        let refusal = match std::str::from_utf8(bytes) {
            Ok(_) if bytes.len() > MAX_BYTES => {
                format!("this is larger than {} MiB", MAX_BYTES >> 20)
            }
            Ok(text) => {
                return Some(Given {
                    file: file.to_owned(),
                    text: text.to_owned(),
                    is_tree: false,
                });
            }
            Err(error) => format!(
                "this is not UTF-8 text: byte {} is wrong",
                error.valid_up_to() + 1
            ),
        };
        self.faults.push(Told {
            file: file.to_owned(),
            message: refusal,
            ..Told::default()
        });
        None
    }

    /// A file; one that cannot be opened raises what Python raises of it.
    fn file(&mut self, path: &Bound<'_, PyAny>) -> PyResult<Option<Given>> {
        let py = path.py();
        let open = py.import("io")?.call_method1("open", (path, "rb"))?;
        let bytes = open.call_method1("read", (MAX_BYTES + 1,));
        open.call_method0("close")?;
        let name = py.import("os")?.call_method1("fspath", (path,))?;
        Ok(self.utf8(
            bytes?.cast::<PyBytes>()?.as_bytes(),
            &name.str()?.to_string_lossy(),
        ))
    }
}

/// A list of lines as text, one thing on a line; other lists are no document.
fn lines_of_list(value: &Bound<'_, PyAny>) -> PyResult<Option<String>> {
    if !value.is_instance_of::<PyList>() && !value.is_instance_of::<PyTuple>() {
        return Ok(None);
    }
    let mut text = String::new();
    for line in value.try_iter()? {
        let line = line?;
        let Ok(line) = line.cast::<PyString>() else {
            return Err(PyTypeError::new_err(
                "a list here has lines of text, one thing on each; `plan_many` takes a list of \
                 setups",
            ));
        };
        // A line break in a thing would move every fault below it to another line.
        text.push_str(&line.to_string_lossy().replace(['\n', '\r'], " "));
        text.push('\n');
    }
    Ok(Some(text))
}
