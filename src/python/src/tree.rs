//! Python's dicts and lists as JSON text: what no document can hold is a fault at its place.

use std::fmt;

use pyo3::exceptions::PyTypeError;
use pyo3::intern;
use pyo3::prelude::*;
use pyo3::types::{
    PyBool, PyByteArray, PyBytes, PyDict, PyFloat, PyInt, PyList, PyMapping, PyString, PyTuple,
};

use crate::raised::Told;

/// Deeper than any document.
const DEPTH: usize = 64;

/// The library reads no text that is larger; a little tree may stand for a very large one.
const BYTES: usize = 16 << 20;

/// After so many faults nobody reads on.
const FAULTS: usize = 100;

/// The JSON text of a tree, or all that is wrong with it.
pub(crate) fn json(value: &Bound<'_, PyAny>) -> PyResult<Result<String, Vec<Told>>> {
    let mut writer = Writer::default();
    writer.value(value, &Place::Top, 0)?;
    if writer.faults.is_empty() {
        return Ok(Ok(String::from_utf8_lossy(&writer.text).into_owned()));
    }
    Ok(Err(writer.faults))
}

/// Where a value stands.
enum Place<'a> {
    Top,
    Field(&'a Place<'a>, &'a str),
    Item(&'a Place<'a>, usize),
}

impl fmt::Display for Place<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Top => Ok(()),
            Self::Field(Self::Top, name) => f.write_str(name),
            Self::Field(of, name) => write!(f, "{of}.{name}"),
            Self::Item(of, index) => write!(f, "{of}[{index}]"),
        }
    }
}

#[derive(Default)]
struct Writer {
    text: Vec<u8>,
    faults: Vec<Told>,
    /// The dicts and lists that the value in work stands in, by address.
    within: Vec<usize>,
}

impl Writer {
    fn fault(&mut self, at: &Place<'_>, message: impl Into<String>) {
        self.faults.push(Told {
            path: at.to_string(),
            message: message.into(),
            ..Told::default()
        });
    }

    fn is_full(&self) -> bool {
        self.faults.len() >= FAULTS || self.text.len() > BYTES
    }

    /// Writes a value; faults are noted, and only what Python itself raises is an error.
    fn value(&mut self, value: &Bound<'_, PyAny>, at: &Place<'_>, depth: usize) -> PyResult<()> {
        if value.is_none() {
            self.text.extend_from_slice(b"null");
        } else if let Ok(text) = value.cast::<PyString>() {
            self.string(text, at);
        } else if let Ok(truth) = value.cast::<PyBool>() {
            let word: &[u8] = if truth.is_true() { b"true" } else { b"false" };
            self.text.extend_from_slice(word);
        } else if value.is_instance_of::<PyFloat>() {
            self.float(value.extract()?, at);
        } else if value.is_instance_of::<PyInt>() {
            self.integer(value, at);
        } else {
            return self.inside(value, at, depth);
        }
        Ok(())
    }

    /// Writes what may hold other values.
    fn inside(&mut self, value: &Bound<'_, PyAny>, at: &Place<'_>, depth: usize) -> PyResult<()> {
        let address = value.as_ptr() as usize;
        if self.within.contains(&address) {
            self.fault(at, "this holds itself");
            return Ok(());
        }
        if depth >= DEPTH {
            self.fault(at, "lists and dicts lie in one another too deep");
            return Ok(());
        }
        self.within.push(address);
        let written = if let Ok(dict) = value.cast::<PyDict>() {
            self.object(&dict.items(), at, depth)
        } else if let Ok(list) = value.cast::<PyList>() {
            self.array(list.iter(), at, depth)
        } else if let Ok(tuple) = value.cast::<PyTuple>() {
            self.array(tuple.iter(), at, depth)
        } else if let Ok(mapping) = value.cast::<PyMapping>() {
            self.object(&mapping.items()?, at, depth)
        } else {
            self.other(value, at, depth)
        };
        self.within.pop();
        written
    }

    fn object(&mut self, items: &Bound<'_, PyList>, at: &Place<'_>, depth: usize) -> PyResult<()> {
        self.text.push(b'{');
        for (index, item) in items.iter().enumerate() {
            if self.is_full() {
                break;
            }
            if index > 0 {
                self.text.push(b',');
            }
            let (key, value): (Bound<'_, PyAny>, Bound<'_, PyAny>) = item.extract()?;
            let Ok(text) = key.cast::<PyString>() else {
                let shown = shown(&key);
                self.fault(at, format!("the name of a field is text, not {shown}"));
                continue;
            };
            self.string(text, at);
            self.text.push(b':');
            let name = text.to_string_lossy();
            self.value(&value, &Place::Field(at, &name), depth + 1)?;
        }
        self.text.push(b'}');
        self.hold_size(at);
        Ok(())
    }

    fn array<'py>(
        &mut self,
        items: impl Iterator<Item = Bound<'py, PyAny>>,
        at: &Place<'_>,
        depth: usize,
    ) -> PyResult<()> {
        self.text.push(b'[');
        for (index, item) in items.enumerate() {
            if self.is_full() {
                break;
            }
            if index > 0 {
                self.text.push(b',');
            }
            self.value(&item, &Place::Item(at, index), depth + 1)?;
        }
        self.text.push(b']');
        self.hold_size(at);
        Ok(())
    }

    /// Notes, once, that the whole is too large.
    fn hold_size(&mut self, at: &Place<'_>) {
        if self.text.len() > BYTES && self.faults.is_empty() {
            self.fault(at, "written as JSON this has more than 16 MiB");
        }
    }

    /// Numbers of other libraries, their arrays and columns.
    fn other(&mut self, value: &Bound<'_, PyAny>, at: &Place<'_>, depth: usize) -> PyResult<()> {
        let py = value.py();
        let is_bytes = value.is_instance_of::<PyBytes>() || value.is_instance_of::<PyByteArray>();
        let number = |method| value.hasattr(method).map(|has| has && !is_bytes);
        if number(intern!(py, "tolist"))? {
            let plain = value.call_method0(intern!(py, "tolist"))?;
            self.value(&plain, at, depth + 1)?;
        } else if number(intern!(py, "__index__"))? {
            let whole = value.call_method0(intern!(py, "__index__"))?;
            self.integer(&whole, at);
        } else if number(intern!(py, "__float__"))? {
            let float = value.call_method0(intern!(py, "__float__"))?;
            self.float(float.extract()?, at);
        } else {
            let shown = shown(value);
            self.fault(at, format!("no document holds {shown}"));
        }
        Ok(())
    }

    fn string(&mut self, text: &Bound<'_, PyString>, at: &Place<'_>) {
        let Ok(text) = text.to_cow() else {
            self.fault(at, "this text has half a character, a lone surrogate");
            return;
        };
        if serde_json::to_writer(&mut self.text, &text).is_err() {
            self.fault(at, "this text cannot be written");
        }
    }

    fn float(&mut self, value: f64, at: &Place<'_>) {
        if !value.is_finite() || serde_json::to_writer(&mut self.text, &value).is_err() {
            self.fault(at, format!("a number must be finite, not {value}"));
        }
    }

    fn integer(&mut self, value: &Bound<'_, PyAny>, at: &Place<'_>) {
        if let Ok(whole) = value.extract::<i64>() {
            self.text.extend_from_slice(whole.to_string().as_bytes());
        } else if let Ok(float) = value.extract::<f64>() {
            self.float(float, at);
        } else {
            self.fault(at, "this number is too large");
        }
    }
}

/// A value in a sentence: what it is, never what it says of itself, which may be long.
fn shown(value: &Bound<'_, PyAny>) -> String {
    let name = value.get_type().name();
    let name = name.map_or_else(|_| "this".to_owned(), |name| name.to_string());
    if name == "bytes" || name == "bytearray" {
        return format!("`{name}`: decode them to text");
    }
    format!("a value of the type `{name}`")
}

/// The refusal of an argument that is nothing that can be read.
pub(crate) fn unfit(what: &str, forms: &str, value: &Bound<'_, PyAny>) -> PyErr {
    PyTypeError::new_err(format!("{what} is {forms}, not {}", shown(value)))
}
