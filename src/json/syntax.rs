//! Text to a syntax tree with places, or the one fault that stops the reading: JSON (RFC
//! 8259), and in what people write by hand comments and commas after the last entry.

use std::borrow::Cow;
use std::ops::Range;

use jsonc_parser::ast::Value;
use jsonc_parser::errors::{ParseError, ParseErrorKind};
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};
use serde::de::IgnoredAny;

use super::plain;
use crate::limits::{TEXT_BYTES, TREE_BYTES};

/// A text without its byte order mark, and the bytes that were passed over.
pub(crate) fn without_mark(text: &str) -> (&str, usize) {
    match text.strip_prefix('\u{feff}') {
        Some(rest) => (rest, text.len() - rest.len()),
        None => (text, 0),
    }
}

/// Who wrote a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum By {
    /// A person: comments and trailing commas are passed over.
    Hand,
    /// A program: nothing but JSON.
    Program,
}

/// Parses `text`, which has no byte order mark.
///
/// The tree comes from a parser that keeps places but lets some things pass, as raw
/// line breaks in strings; a second, strict parser decides what is JSON at all.
pub(crate) fn parse(text: &str, by: By) -> Result<Value<'_>, (Range<usize>, String)> {
    if text.len() > TEXT_BYTES {
        let message = format!(
            "the text has {} bytes; at most {TEXT_BYTES} bytes (16 MiB) are accepted",
            text.len()
        );
        return Err((0..0, message));
    }
    if text.trim_matches([' ', '\t', '\n', '\r']).is_empty() {
        return Err((
            0..0,
            "the text is empty; a JSON object is expected".to_owned(),
        ));
    }
    let tree = tree_of(text);
    if tree.bytes > TREE_BYTES {
        let message = format!(
            "the text holds {} values in lists and objects; nothing that is accepted has so many",
            tree.values
        );
        return Err((0..0, message));
    }
    let plain = match by {
        By::Hand => plain_json(text),
        By::Program => Cow::Borrowed(text),
    };
    let strict = serde_json::from_str::<IgnoredAny>(&plain);
    let tree = parse_to_ast(text, &CollectOptions::default(), &options(by));
    match (tree, strict) {
        (Err(error), _) => {
            let range = error.range();
            Err((
                range.start..range.end,
                sentence(&error, &text[range.start..]),
            ))
        }
        (Ok(_), Err(error)) => {
            let at = byte_of(text, error.line(), error.column());
            Err(strict_fault(text, at, &error.to_string()))
        }
        (Ok(result), Ok(_)) => result
            .value
            .ok_or_else(|| (0..0, "the text holds no JSON value".to_owned())),
    }
}

/// What the tree of a text would be.
#[derive(Debug, Default, PartialEq, Eq)]
struct Tree {
    values: usize,
    /// In memory, roughly, on a machine of 64 bits.
    bytes: usize,
}

/// Counts, before a tree is made, what stands in lists and objects of a text: a short text
/// may hold very many very small ones.
fn tree_of(text: &str) -> Tree {
    /// A value; and what the fields, lists and objects that hold it take beside that.
    const VALUE: usize = 48;
    const FIELD: usize = 40;
    const LIST: usize = 150;
    const OBJECT: usize = 330;
    let mut tree = Tree::default();
    let mut bytes = text.bytes();
    let mut last = b' ';
    while let Some(byte) = bytes.next() {
        // A list or an object is counted once something stands in it.
        let (values, more) = match (last, byte) {
            (_, b' ' | b'\t' | b'\r' | b'\n') => continue,
            (b'[', b']') | (b'{', b'}') => (0, 0),
            (b'[', _) => (1, VALUE + LIST),
            (b'{', _) => (1, VALUE + OBJECT),
            (_, b',') => (1, VALUE),
            (_, b':') => (0, FIELD),
            _ => (0, 0),
        };
        tree.values += values;
        tree.bytes += more;
        last = byte;
        if byte == b'"' {
            while let Some(byte) = bytes.next() {
                match byte {
                    b'"' => break,
                    b'\\' => drop(bytes.next()),
                    _ => {}
                }
            }
        }
    }
    tree
}

/// A text with blanks for its comments and for commas after the last entry of a list or an
/// object: byte by byte, so that all else keeps its place.
pub(crate) fn plain_json(text: &str) -> Cow<'_, str> {
    let bytes = text.as_bytes();
    let mut plain: Option<Vec<u8>> = None;
    let mut blank = |range: Range<usize>| {
        for byte in &mut plain.get_or_insert_with(|| bytes.to_vec())[range] {
            if !matches!(byte, b'\n' | b'\r') {
                *byte = b' ';
            }
        }
    };
    let (mut at, mut comma) = (0, None);
    while at < bytes.len() {
        let end = match bytes[at] {
            b' ' | b'\t' | b'\r' | b'\n' => at + 1,
            b'"' => {
                comma = None;
                plain::end_of_text(bytes, at)
            }
            b'/' if opens_comment(&bytes[at..]) => {
                // Behind one that is never closed nothing is read.
                let Some(end) = comment_end(bytes, at) else {
                    break;
                };
                blank(at..end);
                end
            }
            byte => {
                if let (b']' | b'}', Some(comma)) = (byte, comma) {
                    blank(comma..comma + 1);
                }
                comma = (byte == b',').then_some(at);
                at + 1
            }
        };
        at = end;
    }
    match plain.map(String::from_utf8) {
        Some(Ok(plain)) => Cow::Owned(plain),
        _ => Cow::Borrowed(text),
    }
}

fn opens_comment(rest: &[u8]) -> bool {
    rest.starts_with(b"//") || rest.starts_with(b"/*")
}

/// Where the comment ends that begins at `at`; none where it is never closed.
fn comment_end(bytes: &[u8], at: usize) -> Option<usize> {
    let rest = &bytes[at..];
    if rest.starts_with(b"//") {
        let line = rest.iter().position(|byte| matches!(byte, b'\n' | b'\r'));
        return Some(at + line.unwrap_or(rest.len()));
    }
    let inner = rest.strip_prefix(b"/*")?;
    let end = inner.windows(2).position(|pair| pair == b"*/")?;
    Some(at + 2 + end + 2)
}

fn options(by: By) -> ParseOptions {
    let by_hand = by == By::Hand;
    ParseOptions {
        allow_comments: by_hand,
        allow_loose_object_property_names: false,
        allow_trailing_commas: by_hand,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    }
}

/// What is wrong, in words for people who do not write parsers.
fn sentence(error: &ParseError, rest: &str) -> String {
    use ParseErrorKind as Kind;
    let text = match error.kind() {
        Kind::BareDecimalPointNumbersNotAllowed => {
            "a number needs a digit on both sides of its point"
        }
        Kind::CommentsNotAllowed => "comments are not JSON",
        Kind::UnterminatedCommentBlock => "this comment is never closed",
        Kind::ExpectedColonAfterObjectKey => "a colon is missing after this field's name",
        Kind::ExpectedObjectValue => "a value is missing after the colon",
        Kind::ExpectedDigit
        | Kind::ExpectedDigitFollowingNegativeSign
        | Kind::ExpectedPlusMinusOrDigitInNumberLiteral => "a digit is missing in this number",
        Kind::ExpectedStringObjectProperty => "the name of a field must stand in double quotes",
        Kind::HexadecimalNumbersNotAllowed => "hexadecimal numbers are not JSON",
        Kind::ExpectedComma => "a comma is missing here",
        Kind::MultipleRootJsonValues => "something stands after the end of the document",
        Kind::NonFiniteNumbersNotAllowed => "a number must be finite",
        Kind::SingleQuotedStringsNotAllowed => "text must stand in double quotes",
        Kind::TrailingCommasNotAllowed => "the comma after the last entry must go",
        Kind::UnaryPlusNumbersNotAllowed => "a number has no plus sign before it",
        Kind::UnexpectedCloseBrace => "this closing brace closes nothing",
        Kind::UnexpectedCloseBracket => "this closing bracket closes nothing",
        Kind::UnexpectedColon => "this colon stands after no field's name",
        Kind::UnexpectedComma => "this comma follows no value",
        Kind::UnexpectedTokenInObject => "the name of a field, in double quotes, is expected here",
        Kind::UnexpectedWord | Kind::UnexpectedToken => {
            let word: String = rest
                .chars()
                .take_while(|c| c.is_alphanumeric())
                .take(20)
                .collect();
            return match word.as_str() {
                "NaN" | "Infinity" | "inf" | "nan" => "a number must be finite".to_owned(),
                "" => "a value is expected here".to_owned(),
                _ => format!("`{word}` is no JSON value; text must stand in double quotes"),
            };
        }
        Kind::UnterminatedArray => "this list is never closed",
        Kind::UnterminatedObject => "this object is never closed",
        Kind::NestingDepthExceeded => "lists and objects lie in one another more than 512 deep",
        Kind::String(inner) => {
            return format!(
                "this text cannot be read: {}",
                inner.to_string().to_lowercase()
            );
        }
    };
    text.to_owned()
}

/// What only the strict parser refuses, with its sentence less its own place.
fn strict_fault(text: &str, at: usize, sentence: &str) -> (Range<usize>, String) {
    if sentence.starts_with("control character") {
        // It stands at the first control character from there on.
        let at = at + text[at..].find(char::is_control).unwrap_or(0);
        return (
            at..at + 1,
            "a line break or tab stands inside a text; write \\n or \\t".to_owned(),
        );
    }
    let here = text[at..].chars().next();
    let blank = |c: &char| c.is_whitespace() || matches!(c, '\u{200b}'..='\u{200f}' | '\u{feff}');
    if let Some(blank) = here.filter(blank) {
        let message = format!(
            "U+{:04X}, which looks blank, is not JSON: a plain space is needed",
            u32::from(blank)
        );
        return (at..at + blank.len_utf8(), message);
    }
    let end = sentence.rfind(" at line ").unwrap_or(sentence.len());
    (
        at..at,
        format!("not JSON: {}", plain::sentence(&sentence[..end])),
    )
}

/// The byte at a line and a column in bytes, both from 1, at most the text's end.
pub(crate) fn byte_of(text: &str, line: usize, column: usize) -> usize {
    let start: usize = text
        .split_inclusive('\n')
        .take(line.saturating_sub(1))
        .map(str::len)
        .sum();
    let mut at = (start + column.saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_counted_where_they_stand_in_something() {
        for (text, values) in [
            ("3", 0),
            ("[]", 0),
            ("[ ]", 0),
            ("{}", 0),
            ("[1, 2]", 2),
            (r#"{"a": [1, {}], "b": {"c": "[,,\",,]"}}"#, 5),
        ] {
            assert_eq!(tree_of(text).values, values, "{text}");
        }
        let text = format!("[{}0]", "[0],".repeat(1_000_000));
        let said = refused(&text).1;
        assert!(said.starts_with("the text holds 2000001 values"), "{said}");
    }

    fn refused(text: &str) -> (Range<usize>, String) {
        parse(text, By::Program).map(|_| ()).expect_err(text)
    }

    #[test]
    fn what_is_not_json_is_refused_where_it_stands() {
        for (text, at, part) in [
            ("", 0, "empty"),
            (" \n\t", 0, "empty"),
            ("{\"a\": 1,}", 7, "comma after the last entry"),
            ("[1, 2,]", 5, "comma after the last entry"),
            ("{\"a\": 1 \"b\": 2}", 7, "comma is missing"),
            ("[1 2]", 2, "comma is missing"),
            ("{a: 1}", 1, "double quotes"),
            ("{'a': 1}", 1, "double quotes"),
            ("{\"a\": 0x41}", 6, "hexadecimal"),
            ("{\"a\": +1}", 6, "plus"),
            ("{\"a\": .5}", 6, "digit on both sides"),
            ("{\"a\": NaN}", 6, "finite"),
            ("{\"a\": 1} // b", 9, "comments"),
            ("{\"a\": /* b */ 1}", 6, "comments"),
            ("{\"a\"}", 4, "colon"),
            ("{\"a\":}", 5, "closes nothing"),
            ("{} {}", 3, "after the end"),
            ("{\"a\": [1, 2}", 11, "closes nothing"),
            ("{\"a\": 1", 0, "never closed"),
            ("{\"a\": \"b", 6, "unterminated"),
            ("{\"a\": yes}", 6, "`yes`"),
            ("{\"a\": \"\\q\"}", 7, "escape"),
            ("{\"a\": \"b\nc\"}", 8, "line break"),
            ("{\"a\":\u{a0}1}", 5, "not JSON"),
            ("{\"a\": 01}", 7, "comma"),
        ] {
            let (range, message) = refused(text);
            assert!(message.contains(part), "{text}: {message}");
            assert_eq!(range.start, at, "{text}: {message}");
        }
    }

    #[test]
    fn what_a_person_writes_may_have_comments_and_trailing_commas() {
        for text in [
            "{\"a\": 1,}",
            "[1, 2, ]",
            "// once\n{\"a\": 1} // b",
            "{\"a\": /* b, */ 1 /* c */, /* d */ }",
            "{\"a // b\": \"/* c */\", // d, e }\n \"f\": [\"g,]\",],}",
            "/* é */ {\"a\": \"é\"}\n//",
        ] {
            assert!(parse(text, By::Hand).is_ok(), "{text}");
            let plain = plain_json(text);
            assert_eq!(plain.len(), text.len());
            assert!(parse(&plain, By::Program).is_ok(), "{plain}");
            assert!(parse(text, By::Program).is_err(), "{text}");
        }
        for (text, part) in [
            ("[,]", "comma"),
            ("[1,,]", "comma"),
            ("{,}", "name of a field"),
            ("{\"a\": 1,,}", "name of a field"),
            ("{\"a\": 1} /* b", "never closed"),
            ("{\"a\": 1 / 2}", ""),
            ("# b\n{\"a\": 1}", ""),
            ("[1] ,", ""),
            ("// nothing", ""),
        ] {
            let (_, message) = parse(text, By::Hand).map(|_| ()).expect_err(text);
            assert!(message.contains(part), "{text}: {message}");
        }
        let plain = "{\"a\": [1, 2]}";
        assert!(matches!(plain_json(plain), Cow::Borrowed(_)));
    }

    /// Looked for once, and not from each of its beginnings.
    #[test]
    fn a_comment_that_is_never_closed_ends_the_reading() {
        let text = format!("{{{}", "/* ".repeat(TEXT_BYTES / 4));
        let (range, message) = parse(&text, By::Hand)
            .map(|_| ())
            .expect_err("it is no JSON");
        assert_eq!(
            (range.start, message.as_str()),
            (1, "this comment is never closed")
        );
        assert!(matches!(plain_json(&text), Cow::Borrowed(_)));
    }

    #[test]
    fn depth_is_refused_without_a_deep_stack() {
        for text in [
            "[".repeat(100_000),
            "{\"a\":".repeat(100_000),
            "[{\"a\":".repeat(50_000),
        ] {
            assert!(refused(&text).1.contains("512 deep"));
        }
        let closed = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
        assert!(refused(&closed).1.contains("512 deep"));
        assert!(parse(&format!("{}{}", "[".repeat(400), "]".repeat(400)), By::Hand).is_ok());
    }

    #[test]
    fn the_largest_text_is_read_and_one_byte_more_is_refused() {
        let mut text = " ".repeat(TEXT_BYTES - 2) + "{}";
        assert!(parse(&text, By::Hand).is_ok());
        text.push(' ');
        assert!(refused(&text).1.contains("16 MiB"));
    }
}
