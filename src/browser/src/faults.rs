//! Faults with the words that they are about, as a text field counts: in UTF-16 units.

use std::ops::Range;

use serde::Serialize;
use wattberth::Fault;
use wattberth::report::printable;

/// A fault, and where its words stand.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Marked {
    line: usize,
    column: usize,
    /// Where the words begin and end; both 0 where the fault is about the whole text.
    from: usize,
    to: usize,
    path: String,
    message: String,
    suggestion: Option<String>,
}

impl Marked {
    /// Of every fault of one text, in the order of its words.
    pub(crate) fn all(faults: &[Fault], text: &str) -> Vec<Self> {
        let mut counted = Counted::new(text);
        let mut order: Vec<&Fault> = faults.iter().collect();
        order.sort_by_key(|fault| (fault.line == 0, fault.span.start));
        let mark = |fault: &Fault| {
            let Range { start, end } = if fault.line > 0 {
                fault.span.clone()
            } else {
                0..0
            };
            let from = counted.units(start);
            Self {
                line: fault.line,
                column: fault.column,
                from,
                to: from + units(text.get(start..end).unwrap_or_default()),
                path: printable(&fault.path),
                message: printable(&fault.message),
                suggestion: fault.suggestion.clone(),
            }
        };
        order.into_iter().map(mark).collect()
    }
}

/// Counts on from where it was, so that many faults of a long text cost one walk.
struct Counted<'t> {
    text: &'t str,
    bytes: usize,
    units: usize,
}

impl<'t> Counted<'t> {
    fn new(text: &'t str) -> Self {
        Self {
            text,
            bytes: 0,
            units: 0,
        }
    }

    /// How many units stand before a byte; faults come in the order of theirs, those
    /// without a place last.
    fn units(&mut self, byte: usize) -> usize {
        if byte < self.bytes {
            return 0;
        }
        self.units += units(self.text.get(self.bytes..byte).unwrap_or_default());
        self.bytes = byte;
        self.units
    }
}

fn units(text: &str) -> usize {
    text.encode_utf16().count()
}

#[cfg(test)]
mod tests {
    use super::Marked;
    use wattberth::{Error, Setup};

    fn marked(text: &str) -> Vec<(String, Option<String>)> {
        let Err(Error::Input(faults)) = Setup::from_text(text) else {
            panic!("{text} is refused")
        };
        let wide: Vec<u16> = text.encode_utf16().collect();
        let words = |fault: &Marked| String::from_utf16(&wide[fault.from..fault.to]);
        let mark = |fault: &Marked| (words(fault).expect("text"), fault.suggestion.clone());
        Marked::all(&faults, text).iter().map(mark).collect()
    }

    #[test]
    fn words_are_found_behind_letters_of_every_width() {
        let list = "name: 🎻 é\ncharger: C1 65 W\nlabtop\nphone 25\n";
        let near = ("labtop".to_owned(), Some("laptop".to_owned()));
        assert_eq!(marked(list), [near, ("25".to_owned(), None)]);
    }

    #[test]
    fn what_is_missing_as_a_whole_has_no_words_or_all() {
        for text in ["", "{}", "charger: C1 65 W"] {
            assert!(!marked(text).is_empty(), "{text}");
        }
    }

    #[test]
    fn fields_of_documents_are_marked_too() {
        let document = r#"{"name": "é🎻", "chargr": [], "devices": []}"#;
        let words = marked(document);
        let near = (r#""chargr""#.to_owned(), Some("chargers".to_owned()));
        assert!(words.contains(&near), "{words:?}");
    }
}
