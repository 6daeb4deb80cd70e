//! Documents to JSON text, indented or on one line: whole numbers without a point.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::ser::{CompactFormatter, Formatter, PrettyFormatter, Serializer};

use crate::units::rounded;

/// What an answer has as a document: its JSON text, which is read back, and its JSON Schema.
/// Where docs say how it is read, it is read field by field, so that all faults are found.
macro_rules! document {
    ($document:ident, $what:literal, $schema:ident) => {
        crate::json::document!(
            $document, $what, $schema, crate::json::answer_back,
            /// What later versions added is passed over.
        );
    };
    ($(#[$read:meta])+ $document:ident, $what:literal, $schema:ident) => {
        crate::json::document!(
            $document, $what, $schema, crate::json::answer,
            $(#[$read])+
        );
    };
    (
        $document:ident, $what:literal, $schema:ident, $reader:path,
        $(#[$read:meta])+
    ) => {
        #[doc = concat!("The JSON Schema (2020-12) of the ", $what, ".")]
        #[cfg(feature = "schema")]
        pub fn $schema() -> serde_json::Value {
            crate::json::schema_of::<$document>(stringify!($schema), $what)
        }

        impl $document {
            #[doc = concat!("The ", $what, " as JSON text, indented, with a line break at its end.")]
            ///
            /// Numbers are rounded to 1e-6, without trailing zeros.
            pub fn to_json(&self) -> String {
                crate::json::written(self, crate::units::rounded)
            }

            #[doc = concat!("Reads the ", $what, " back.")]
            $(#[$read])+
            ///
            /// # Errors
            /// [`Error::Input`](crate::Error::Input) with every fault found.
            pub fn from_json(text: &str) -> crate::diagnostics::Result<Self> {
                Self::from_source(crate::diagnostics::Source { file: "", text })
            }

            #[doc = concat!("As [`", stringify!($document), "::from_json`], with a name under which")]
            /// faults speak of the text.
            ///
            /// # Errors
            #[doc = concat!("As [`", stringify!($document), "::from_json`].")]
            pub fn from_source(
                source: crate::diagnostics::Source<'_>,
            ) -> crate::diagnostics::Result<Self> {
                $reader(source)
            }
        }
    };
}
pub(crate) use document;

/// A document on one line, without a line break, its numbers rounded to 1e-6.
pub(crate) fn on_one_line(document: &impl Serialize) -> String {
    laid_out(document, CompactFormatter, rounded)
}

/// The same, its numbers in full.
pub(crate) fn in_full_on_one_line(document: &impl Serialize) -> String {
    laid_out(document, CompactFormatter, |value| value)
}

/// A document as JSON text, indented, with a line break at its end.
pub(crate) fn written(document: &impl Serialize, round: fn(f64) -> f64) -> String {
    let mut text = laid_out(document, PrettyFormatter::with_indent(b"  "), round);
    text.push('\n');
    text
}

fn laid_out(document: &impl Serialize, layout: impl Formatter, round: fn(f64) -> f64) -> String {
    let mut bytes = Vec::with_capacity(1024);
    document
        .serialize(&mut Serializer::with_formatter(
            &mut bytes,
            Numbers { layout, round },
        ))
        .expect("documents hold only text, numbers, lists and objects with text keys");
    String::from_utf8(bytes).expect("the serializer writes UTF-8")
}

/// A usual layout, with its own way of writing numbers.
struct Numbers<F> {
    layout: F,
    round: fn(f64) -> f64,
}

impl<F: Formatter> Formatter for Numbers<F> {
    /// Rust's shortest form that reads back as the same number, which has no point
    /// where the number is whole.
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        // Adding zero turns -0 to 0.
        let value = (self.round)(value) + 0.0;
        if value.abs() < 1e-6 || value.abs() >= 1e15 {
            // The exponent keeps very small and very large numbers short.
            return if value == 0.0 {
                write!(writer, "0")
            } else {
                write!(writer, "{value:e}")
            };
        }
        write!(writer, "{value}")
    }

    fn begin_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.begin_array(writer)
    }

    fn end_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.end_array(writer)
    }

    fn begin_array_value<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        first: bool,
    ) -> io::Result<()> {
        self.layout.begin_array_value(writer, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.end_array_value(writer)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.begin_object(writer)
    }

    fn end_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.end_object(writer)
    }

    fn begin_object_key<W: ?Sized + Write>(
        &mut self,
        writer: &mut W,
        first: bool,
    ) -> io::Result<()> {
        self.layout.begin_object_key(writer, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.begin_object_value(writer)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.layout.end_object_value(writer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_as_short_as_they_can_be() {
        for (value, full, short) in [
            (1.0, "1\n", "1\n"),
            (-0.0, "0\n", "0\n"),
            (1.5, "1.5\n", "1.5\n"),
            (0.1 + 0.2, "0.30000000000000004\n", "0.3\n"),
            (44.2, "44.2\n", "44.2\n"),
            (1e-7, "1e-7\n", "0\n"),
            (1e-6, "0.000001\n", "0.000001\n"),
            (1e22, "1e22\n", ""),
        ] {
            assert_eq!(written(&value, |v| v), full);
            if !short.is_empty() {
                assert_eq!(written(&value, rounded), short);
            }
        }
    }
}
