//! Setups from whatever holds their JSON: a text, bytes, a reader, a value.

use std::borrow::Cow;
use std::io::Read;

use serde_json::Value;

use super::setup::setup;
use super::syntax::plain_json;
use super::values::{Written, of_text, without_places};
use super::{By, alone};
use crate::diagnostics::{Error, Fault, Result, Source};
use crate::limits::TEXT_BYTES;
use crate::setup::Setup;
use crate::setup::document::SetupDocument;

impl<'a> Source<'a> {
    /// The text as any reader of JSON takes it: with blanks, byte by byte, for the comments and
    /// the commas after a last entry that people may write.
    ///
    /// ```
    /// use wattberth::Source;
    ///
    /// let text = "{\"session_h\": 8, // until half past six\n}";
    /// let plain = Source { file: "", text }.plain_json();
    /// assert_eq!(plain, format!("{{\"session_h\": 8 {}\n}}", " ".repeat(23)));
    /// ```
    pub fn plain_json(self) -> Cow<'a, str> {
        plain_json(self.text)
    }
}

impl SetupDocument {
    /// Reads a setup document of which only the form is looked at, as a draft may be: what
    /// its values mean says [`SetupDocument::check`], and [`Setup::from_json`] says both at
    /// once, by line.
    ///
    /// ```
    /// use wattberth::SetupDocument;
    ///
    /// let draft = SetupDocument::from_json(r#"{"chargers": [], "devices": [{"name": "lamp"}]}"#)?;
    /// assert_eq!(SetupDocument::from_json(&draft.to_json())?, draft);
    /// assert!(draft.check().is_err());
    /// # Ok::<(), wattberth::Error>(())
    /// ```
    ///
    /// # Errors
    /// [`Error::Input`] with every fault found.
    pub fn from_json(text: &str) -> Result<Self> {
        Self::from_source(Source { file: "", text })
    }

    /// As [`SetupDocument::from_json`], with a name under which faults speak of the text.
    ///
    /// # Errors
    /// As [`SetupDocument::from_json`].
    pub fn from_source(source: Source<'_>) -> Result<Self> {
        alone(By::Hand, source, |reader, tree| {
            Some(setup(reader, tree, false))
        })
    }

    /// As [`SetupDocument::from_json`], of the bytes of the text.
    ///
    /// # Errors
    /// As [`SetupDocument::from_json`]; also where they are no UTF-8.
    pub fn from_slice(bytes: &[u8]) -> Result<Self> {
        Self::from_json(text_of(bytes)?)
    }

    /// As [`SetupDocument::from_json`], of all that a reader gives.
    ///
    /// # Errors
    /// As [`SetupDocument::from_slice`]; also where reading fails.
    pub fn from_reader(from: impl Read) -> Result<Self> {
        Self::from_slice(&bytes_of(from)?)
    }

    /// As [`SetupDocument::from_json`], of a value; faults have its paths and no lines.
    ///
    /// # Errors
    /// As [`SetupDocument::from_json`].
    pub fn from_value(value: &Value) -> Result<Self> {
        let Written(text) = Written::of(value);
        of_text(&text, |reader, tree| setup(reader, tree, false))
    }
}

impl Setup {
    /// As [`Setup::from_json`], of the bytes of the text.
    ///
    /// # Errors
    /// As [`Setup::from_json`]; also where they are no UTF-8.
    pub fn from_slice(bytes: &[u8]) -> Result<Self> {
        Self::from_json(text_of(bytes)?)
    }

    /// As [`Setup::from_json`], of all that a reader gives.
    ///
    /// # Errors
    /// As [`Setup::from_slice`]; also where reading fails.
    pub fn from_reader(from: impl Read) -> Result<Self> {
        Self::from_slice(&bytes_of(from)?)
    }

    /// As [`Setup::from_json`], of a value; faults have its paths and no lines.
    ///
    /// ```
    /// use serde_json::json;
    /// use wattberth::{Error, Setup};
    ///
    /// let ports = [json!({"name": "C1", "pd_w": 300}), json!({"name": "C2", "pw_d": 20})];
    /// let setup = json!({"chargers": [{"name": "cube", "ports": ports}], "devices": []});
    /// let Err(Error::Input(faults)) = Setup::from_value(&setup) else { panic!() };
    /// let paths: Vec<_> = faults.iter().map(|fault| fault.path.as_str()).collect();
    /// assert!(paths.contains(&"chargers[0].ports[0].pd_w"));
    /// assert!(paths.contains(&"chargers[0].ports[1].pw_d"));
    /// ```
    ///
    /// # Errors
    /// As [`Setup::from_json`].
    pub fn from_value(value: &Value) -> Result<Self> {
        let Written(text) = Written::of(value);
        Self::from_json(&text).map_err(without_places)
    }
}

fn refused(message: String) -> Error {
    Error::Input(vec![Fault {
        message,
        ..Fault::default()
    }])
}

/// What a reader gives, up to one byte more than a text may have.
fn bytes_of(from: impl Read) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let most = u64::try_from(TEXT_BYTES).unwrap_or(u64::MAX);
    match from.take(most.saturating_add(1)).read_to_end(&mut bytes) {
        Ok(_) => Ok(bytes),
        Err(error) => Err(refused(format!("this cannot be read: {error}"))),
    }
}

/// The text that bytes are.
pub(crate) fn text_of(bytes: &[u8]) -> Result<&str> {
    std::str::from_utf8(bytes).map_err(|error| {
        refused(format!(
            "this is not UTF-8 text: byte {} is wrong",
            error.valid_up_to() + 1
        ))
    })
}
