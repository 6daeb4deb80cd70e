//! What `serde` reads of a setup document, from whatever form it is in: handed to the reader
//! of texts, which names the same faults, all at once.

use std::fmt;

use jsonc_parser::ast::Value;
use serde::de::{Deserialize, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};

use super::fields::{Element, Field, Part};
use super::reader::Reader;
use super::{By, alone, setup};
use crate::diagnostics::{Error, Path, Result, Source};
use crate::limits::START_PCT;
use crate::setup::document::{
    Adapter, Appliance, Battery, Cable, Charger, Combination, Converter, Device, Label, Lead, Pool,
    PoolPorts, Port, Session, SetupDocument, Shop, Span, Stop, TripDocument,
};

/// A value written down as JSON, its fields in their order and each as often as it is given.
pub(super) struct Written(pub(super) String);

impl Written {
    /// A value as it is: JSON has it.
    pub(super) fn of(value: &serde_json::Value) -> Self {
        Self(value.to_string())
    }
}

impl<'de> Deserialize<'de> for Written {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Writing).map(Self)
    }
}

struct Writing;

impl<'de> Visitor<'de> for Writing {
    type Value = String;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a part of a document")
    }

    fn visit_bool<E>(self, value: bool) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_i64<E>(self, value: i64) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_u64<E>(self, value: u64) -> Result<String, E> {
        Ok(value.to_string())
    }

    fn visit_f64<E>(self, value: f64) -> Result<String, E> {
        // JSON has no number for what is not finite: the reader refuses it as a text.
        Ok(if value.is_finite() {
            format!("{value:e}")
        } else {
            format!("\"{value}\"")
        })
    }

    fn visit_str<E>(self, value: &str) -> Result<String, E> {
        Ok(quoted(value))
    }

    fn visit_unit<E>(self) -> Result<String, E> {
        Ok("null".to_owned())
    }

    fn visit_none<E>(self) -> Result<String, E> {
        Ok("null".to_owned())
    }

    fn visit_some<D: Deserializer<'de>>(self, from: D) -> Result<String, D::Error> {
        from.deserialize_any(self)
    }

    fn visit_newtype_struct<D: Deserializer<'de>>(self, from: D) -> Result<String, D::Error> {
        from.deserialize_any(self)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<String, A::Error> {
        let mut all = Vec::new();
        while let Some(Written(text)) = list.next_element()? {
            all.push(text);
        }
        Ok(format!("[{}]", all.join(",")))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut fields: A) -> Result<String, A::Error> {
        let mut all = Vec::new();
        while let Some((name, Written(text))) = fields.next_entry::<String, Written>()? {
            all.push(format!("{}:{text}", quoted(&name)));
        }
        Ok(format!("{{{}}}", all.join(",")))
    }
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// What `serde` hands over, as the reader reads its text. Places in that mean nothing.
pub(crate) fn by_reader<'de, D: Deserializer<'de>, T>(
    from: D,
    of: impl FnOnce(&mut Reader, &Value<'_>) -> T,
) -> Result<T, D::Error> {
    let Written(text) = Written::deserialize(from)?;
    of_text(&text, of).map_err(D::Error::custom)
}

/// What a text without places holds.
pub(super) fn of_text<T>(text: &str, of: impl FnOnce(&mut Reader, &Value<'_>) -> T) -> Result<T> {
    let source = Source { file: "", text };
    let found = alone(By::Program, source, |reader, tree| Some(of(reader, tree)));
    found.map_err(without_places)
}

/// The same faults, where their text is none that anybody wrote.
pub(super) fn without_places(mut error: Error) -> Error {
    if let Error::Input(faults) = &mut error {
        for fault in faults {
            (fault.line, fault.column, fault.span) = (0, 0, 0..0);
        }
    }
    error
}

impl<'de> Deserialize<'de> for SetupDocument {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        by_reader(from, |reader, tree| setup::setup(reader, tree, false))
    }
}

macro_rules! parts {
    ($($name:ident),+) => {$(
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                by_reader(from, |reader, tree| {
                    Self::object(reader, tree, &Path::default()).unwrap_or_default()
                })
            }
        }
    )+};
}

parts!(
    Adapter,
    Appliance,
    Battery,
    Cable,
    Charger,
    Converter,
    Device,
    Lead,
    Pool,
    Port,
    Session,
    Shop,
    Stop,
    TripDocument
);

impl<'de> Deserialize<'de> for Combination {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        by_reader(from, |reader, tree| {
            Self::element(reader, tree, &Path::default()).unwrap_or_default()
        })
    }
}

/// What is the value of a field, and no object.
macro_rules! values {
    ($($name:ident by $fact:expr),+) => {$(
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                let Written(text) = Written::deserialize(from)?;
                let text = format!("{{\"value\":{text}}}");
                let found = of_text(&text, |reader, tree| {
                    let fields = reader.object(tree, &Path::default(), "", None)?;
                    Self::field(reader, &fields, "value", $fact)
                });
                let found = found.map_err(D::Error::custom)?;
                found.ok_or_else(|| D::Error::custom("no value"))
            }
        }
    )+};
}

values!(Label by (), PoolPorts by (), Span by START_PCT);
