//! Findings to faults: the path of each looked up in its text's syntax tree, and the
//! lines and columns counted.

use std::ops::Range;

use jsonc_parser::ast::{StringLit, Value};
use jsonc_parser::common::Ranged;

use super::syntax::{self, By};
use crate::diagnostics::{Fault, Finding, Path, Source, Spot, Step};
use crate::list::Places;

/// One text with its syntax tree.
#[derive(Debug)]
pub(crate) struct Text<'a> {
    source: Source<'a>,
    /// Bytes of a byte order mark.
    skipped: usize,
    /// Without the mark.
    json: &'a str,
    /// `None` where the text is no JSON.
    pub(crate) tree: Option<Value<'a>>,
    /// Where it is a list, which of its words are what.
    pub(crate) places: Option<Places>,
}

/// A finding and the index of the text it is in.
pub(crate) type Placed = (usize, Finding);

impl<'a> Text<'a> {
    /// Parses a text; where that fails, the one finding that says why.
    pub(crate) fn parse(source: Source<'a>, by: By) -> (Self, Option<Finding>) {
        let (json, skipped) = syntax::without_mark(source.text);
        let (tree, finding) = match syntax::parse(json, by) {
            Ok(tree) => (Some(tree), None),
            Err((span, message)) => {
                let mut findings = crate::diagnostics::Findings::new();
                findings.add(Path::default(), message).at(Spot::Text(span));
                (None, findings.all.pop())
            }
        };
        (
            Self {
                source,
                skipped,
                json,
                tree,
                places: None,
            },
            finding,
        )
    }

    /// A text that is a list.
    pub(crate) fn of_list(source: Source<'a>, places: Places) -> Self {
        Self {
            source,
            skipped: syntax::without_mark(source.text).1,
            json: source.text,
            tree: None,
            places: Some(places),
        }
    }

    /// The bytes of a value's own text.
    pub(crate) fn raw(&self, value: &Value<'_>) -> &'a str {
        let range = value.range();
        self.json.get(range.start..range.end).unwrap_or_default()
    }

    /// The bytes of the byte order mark before the JSON.
    pub(crate) fn skipped(&self) -> usize {
        self.skipped
    }

    /// The bytes to which a finding points, in the text as it was given.
    fn span(&self, finding: &Finding) -> Range<usize> {
        if let Some(places) = &self.places {
            return places.span(&finding.path, &finding.spot);
        }
        let range = match (&finding.spot, &self.tree) {
            (Spot::Text(range), _) => range.clone(),
            (_, None) => 0..0,
            (Spot::Value, Some(tree)) => narrowed(find(tree, &finding.path)),
            (Spot::Part(part), Some(tree)) => match find(tree, &finding.path) {
                Value::StringLit(literal) => part_of(literal, part, self.json),
                // A label may be a list of a single line.
                Value::Array(list) => match list.elements.as_slice() {
                    [Value::StringLit(literal)] => part_of(literal, part, self.json),
                    _ => list.range.start..list.range.start + 1,
                },
                other => narrowed(other),
            },
        };
        range.start + self.skipped..range.end + self.skipped
    }
}

/// The value at `path`, or the last one on the way to it.
fn find<'t, 'a>(tree: &'t Value<'a>, path: &Path) -> &'t Value<'a> {
    let mut at = tree;
    for step in &path.0 {
        let next = match (step, at) {
            (Step::Field(name), Value::Object(object)) => object.get(name).map(|p| &p.value),
            (Step::Index(index), Value::Array(list)) => list.elements.get(*index),
            _ => None,
        };
        let Some(next) = next else { break };
        at = next;
    }
    at
}

/// The bytes of a value, of a list or object only its opening: the rest may be pages.
fn narrowed(value: &Value<'_>) -> Range<usize> {
    let range = value.range();
    match value {
        Value::Object(_) | Value::Array(_) => range.start..range.start + 1,
        _ => range.start..range.end,
    }
}

/// The bytes of the text that stand for a part of a string, escapes undone.
fn part_of(literal: &StringLit<'_>, part: &Range<usize>, text: &str) -> Range<usize> {
    let inner = literal.range.start + 1..literal.range.end.saturating_sub(1);
    let Some(raw) = text.get(inner.clone()) else {
        return literal.range.start..literal.range.end;
    };
    let start = inner.start + raw_offset(raw, &literal.value, part.start);
    let end = inner.start + raw_offset(raw, &literal.value, part.end);
    start..end.max(start)
}

/// The byte in `raw`, the text between the quotes, at which byte `at` of `value`, the
/// same with escapes undone, is written.
fn raw_offset(raw: &str, value: &str, at: usize) -> usize {
    let mut written = 0;
    for (decoded, c) in value.char_indices() {
        if decoded >= at {
            return written;
        }
        let rest = &raw.as_bytes()[written.min(raw.len())..];
        written += match rest {
            [b'\\', b'u', ..] if c.len_utf16() == 2 => 12,
            [b'\\', b'u', ..] => 6,
            [b'\\', ..] => 2,
            _ => c.len_utf8(),
        };
    }
    written.min(raw.len())
}

/// The faults, sorted by text and place, with lines and columns.
pub(crate) fn faults(texts: &[Text<'_>], findings: Vec<Placed>) -> Vec<Fault> {
    let mut placed: Vec<(usize, Range<usize>, Finding)> = findings
        .into_iter()
        .map(|(text, finding)| (text, texts[text].span(&finding), finding))
        .collect();
    placed.sort_by_key(|(text, span, _)| (*text, span.start));
    let mut faults = Vec::with_capacity(placed.len());
    let mut cursor = Cursor::default();
    for (text, span, finding) in placed {
        let Text {
            source, skipped, ..
        } = &texts[text];
        if cursor.text != text {
            cursor = Cursor {
                text,
                ..Cursor::default()
            };
        }
        cursor.advance(source.text, (*skipped).max(span.start), *skipped);
        faults.push(Fault {
            file: source.file.to_owned(),
            line: cursor.line + 1,
            column: cursor.column + 1,
            span,
            // A list has no paths.
            path: match texts[text].places {
                Some(_) => String::new(),
                None => finding.path.to_string(),
            },
            message: finding.message,
            suggestion: finding.suggestion,
        });
    }
    faults
}

/// The line and the column of a byte of a text, from 1; a byte order mark is no column.
pub(crate) fn place(text: &str, byte: usize) -> (usize, usize) {
    let mut cursor = Cursor::default();
    cursor.advance(text, byte, syntax::without_mark(text).1);
    (cursor.line + 1, cursor.column + 1)
}

/// Counts lines and columns forward, once over each text.
#[derive(Debug, Default)]
struct Cursor {
    text: usize,
    byte: usize,
    line: usize,
    column: usize,
}

impl Cursor {
    fn advance(&mut self, text: &str, to: usize, skipped: usize) {
        let from = self.byte.max(skipped);
        for c in text.get(from..to).unwrap_or_default().chars() {
            if c == '\n' {
                self.line += 1;
                self.column = 0;
            } else {
                self.column += 1;
            }
        }
        self.byte = to.max(from);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(text: &str, path: &Path, spot: Spot) -> Fault {
        let source = Source {
            file: "bag.json",
            text,
        };
        let (text, finding) = Text::parse(source, By::Hand);
        assert!(finding.is_none());
        let mut findings = crate::diagnostics::Findings::new();
        findings.add(path.clone(), "wrong").at(spot);
        faults(&[text], vec![(0, findings.all.remove(0))]).remove(0)
    }

    #[test]
    fn values_are_found_by_path_and_missing_ones_at_what_holds_them() {
        let text = "{\n  \"ä\": [1, {\"b\": 22}],\n  \"c\": 3}";
        let top = Path::default();
        let list = top.field("ä");
        for (path, line, column, expected) in [
            (list.index(1).field("b"), 2, 18, "22"),
            (list.index(1).field("x"), 2, 12, "{"),
            (list.index(7), 2, 8, "["),
            (top.field("c"), 3, 8, "3"),
            (top, 1, 1, "{"),
        ] {
            let fault = placed(text, &path, Spot::Value);
            assert_eq!((fault.line, fault.column), (line, column), "{path}");
            assert_eq!(&text[fault.span], expected, "{path}");
        }
    }

    #[test]
    fn parts_of_strings_are_found_through_escapes() {
        let path = Path::default().field("a");
        for (json, part, expected) in [
            (r#"{"a": "5V 3A, 9V"}"#, 7..9, "9V"),
            (r#"{"a": ["5V 3A, 9V"]}"#, 7..9, "9V"),
            (r#"{"a": "5V\n9V"}"#, 3..5, "9V"),
            (r#"{"a": "5V\u23933A, 9V"}"#, 9..11, "9V"),
            (r#"{"a": "5V⎓3A, 9V"}"#, 9..11, "9V"),
            (r#"{"a": "\ud83d\ude00 9V"}"#, 5..7, "9V"),
            (r#"{"a": "5V"}"#, 1..99, "V"),
            (r#"{"a": 5}"#, 1..2, "5"),
        ] {
            let fault = placed(json, &path, Spot::Part(part));
            assert_eq!(&json[fault.span], expected, "{json}");
        }
    }

    #[test]
    fn a_byte_order_mark_is_no_column_of_a_list() {
        let columns = |text: &str| -> Vec<(usize, usize)> {
            let Err(crate::Error::Input(faults)) = crate::Setup::from_text(text) else {
                panic!("something is wrong")
            };
            faults
                .iter()
                .map(|fault| (fault.line, fault.column))
                .collect()
        };
        let text = "lamp 5 lm\nphone 3 xyz\n";
        assert_eq!(columns(&format!("\u{feff}{text}")), columns(text));
    }

    #[test]
    fn a_byte_order_mark_is_no_column() {
        let text = "\u{feff}{\"a\": 5}";
        let fault = placed(text, &Path::default().field("a"), Spot::Value);
        assert_eq!((fault.line, fault.column, &text[fault.span]), (1, 7, "5"));
    }
}
