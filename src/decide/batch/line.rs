//! One line of `batch` to a setup, or every fault it has.

use jsonc_parser::ast::Value;
use jsonc_parser::common::Ranged;
use serde::de::IgnoredAny;
use serde::{Deserialize, Deserializer};
use serde_json::value::RawValue;

use crate::decide::bag::Bag;
use crate::diagnostics::{Error, Fault, Path, Result, Source, close};
use crate::json::By;
use crate::json::locate::{Text, faults, place};
use crate::json::reader::Reader;
use crate::limits::CHARGERS;
use crate::setup::candidate::Candidate;
use crate::setup::document::Charger;
use crate::setup::{ChargerSpec, Setup};

const LINE_FIELDS: [&str; 4] = ["id", "setup", "charger", "chargers"];

/// A line whose outer form is right, its parts as text.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Line<'a> {
    #[serde(rename = "$schema", default)]
    _schema: Option<IgnoredAny>,
    #[serde(borrow)]
    id: Option<&'a RawValue>,
    #[serde(borrow)]
    setup: &'a RawValue,
    #[serde(borrow, default, deserialize_with = "present")]
    charger: Option<&'a RawValue>,
    #[serde(borrow, default, deserialize_with = "present")]
    chargers: Option<&'a RawValue>,
}

/// A field that is there, `null` included.
fn present<'de, D: Deserializer<'de>>(field: D) -> Result<Option<&'de RawValue>, D::Error> {
    <&RawValue>::deserialize(field).map(Some)
}

impl<'a> Line<'a> {
    /// The parts of a line that is a JSON object of the right fields, each once.
    pub(crate) fn parts(text: &'a str) -> Option<Self> {
        // A list of the right length would pass for the fields in order.
        if !text.trim_start().starts_with('{') {
            return None;
        }
        serde_json::from_str(text).ok()
    }

    pub(crate) fn id(&self) -> &'a str {
        self.id.map_or("null", RawValue::get)
    }

    pub(crate) fn setup(&self) -> &'a str {
        self.setup.get()
    }

    /// The chargers that replace the setup's, where there are some and all are right.
    pub(crate) fn chargers(&self) -> Option<(Vec<Charger>, Vec<ChargerSpec>)> {
        let texts = match (self.charger, self.chargers) {
            (Some(one), None) => vec![one],
            (None, Some(list)) => serde_json::from_str::<Vec<&RawValue>>(list.get()).ok()?,
            _ => return None,
        };
        let (mut chargers, mut resolved) = (Vec::new(), Vec::new());
        for text in texts {
            let text = text.get();
            let (candidate, specs) =
                Candidate::document(Source { file: "", text }, By::Program).ok()?;
            chargers.extend(candidate.chargers);
            resolved.extend(specs);
        }
        Some((chargers, resolved))
    }
}

/// The id of a line and its setup, or its faults.
///
/// Slower than by [`Line`], and says what is wrong, where.
pub(crate) fn read_line(text: &str) -> (String, Result<Setup, Vec<Fault>>) {
    let (line, fault) = Text::parse(Source { file: "", text }, By::Program);
    let mut reader = Reader::new();
    reader.findings.all.extend(fault);
    let outer = line
        .tree
        .as_ref()
        .map(|tree| Outer::of(&mut reader, &line, tree))
        .unwrap_or_default();
    let more = reader.findings.more;
    let own = reader.findings.all.into_iter().map(|finding| (0, finding));
    let mut found = faults(std::slice::from_ref(&line), own.collect());
    let mut setup = None;
    match outer.read() {
        Some(Ok(whole)) => setup = Some(whole),
        Some(Err(Error::Input(inner))) => {
            found.extend(inner.into_iter().map(|fault| outer.in_line(fault, text)));
            found.sort_by_key(|fault| fault.span.start);
        }
        Some(Err(other)) => found.push(Fault {
            message: other.to_string(),
            ..Fault::default()
        }),
        None => {}
    }
    close(&mut found, more);
    let read = match setup {
        Some(setup) if found.is_empty() => Ok(setup),
        _ => Err(found),
    };
    (outer.id.unwrap_or("null").to_owned(), read)
}

/// What a line holds, as far as it can be told apart.
#[derive(Default)]
struct Outer<'a> {
    id: Option<&'a str>,
    setup: Option<Part<'a>>,
    chargers: Vec<Part<'a>>,
    /// Whether the line's own chargers cannot be told: the setup may then lack some.
    chargers_refused: bool,
}

impl<'a> Outer<'a> {
    fn of(reader: &mut Reader, line: &Text<'a>, tree: &Value<'_>) -> Self {
        let mut outer = Self::default();
        let top = Path::default();
        let Some(f) = reader.object(tree, &top, "a line", Some(&LINE_FIELDS)) else {
            return outer;
        };
        reader.require(&f, "setup", "a line");
        outer.chargers_refused = ["charger", "chargers"]
            .iter()
            .any(|field| reader.refused.contains(&top.field(field)));
        for (field, value) in f.entries() {
            match field {
                "id" => outer.id = outer.id.or(Some(line.raw(value))),
                "setup" if outer.setup.is_none() => {
                    outer.setup = Some(Part::of(line, field.to_owned(), value));
                }
                "charger" if f.has("chargers") => {
                    let message = "a line has `charger` or `chargers`, not both";
                    reader.refuse(top.field(field), message);
                    outer.chargers_refused = true;
                }
                "charger" => {
                    let part = Part::of(line, field.to_owned(), value);
                    outer.chargers.push(part);
                }
                "chargers" => {
                    let path = top.field(field);
                    let listed = reader.list_of(value, &path, "`chargers`", CHARGERS, |_, v, p| {
                        Part::of(line, p.to_string(), v)
                    });
                    if listed.as_ref().is_some_and(Vec::is_empty) {
                        let message = "`chargers` is empty; leave it out, or give at least one";
                        reader.refuse(path, message);
                    }
                    outer.chargers = listed.unwrap_or_default();
                    outer.chargers_refused |= outer.chargers.is_empty();
                }
                _ => {}
            }
        }
        outer
    }

    /// The setup of the parts; `None` where the line has none.
    fn read(&self) -> Option<Result<Setup>> {
        let setup = self.setup.as_ref()?.source();
        if self.chargers_refused {
            return Bag::from_source(setup).err().map(Err);
        }
        let chargers: Vec<Source<'_>> = self.chargers.iter().map(Part::source).collect();
        Some(Setup::from_sources(setup, &chargers))
    }

    /// A fault of a part, as a fault of the line.
    fn in_line(&self, mut fault: Fault, line: &str) -> Fault {
        let mut parts = self.setup.iter().chain(&self.chargers);
        let part = parts.find(|part| part.path == fault.file);
        if let Some(part) = part.filter(|_| fault.line > 0) {
            fault.span = fault.span.start + part.start..fault.span.end + part.start;
            fault.column = place(line, fault.span.start).1;
        }
        let joint = if fault.path.is_empty() || fault.path.starts_with('[') {
            ""
        } else {
            "."
        };
        fault.path = format!("{}{joint}{}", fault.file, fault.path);
        fault.file = String::new();
        fault
    }
}

/// A part of a line that is a document of its own.
struct Part<'a> {
    /// Its path in the line, under which its faults speak of it.
    path: String,
    text: &'a str,
    start: usize,
}

impl<'a> Part<'a> {
    fn of(line: &Text<'a>, path: String, value: &Value<'_>) -> Self {
        Self {
            path,
            text: line.raw(value),
            start: line.skipped() + value.range().start,
        }
    }

    fn source(&self) -> Source<'_> {
        Source {
            file: &self.path,
            text: self.text,
        }
    }
}
