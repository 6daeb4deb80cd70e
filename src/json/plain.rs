//! What a reader of JSON for programmers says, in words for people, and where it was said.

use crate::diagnostics::{Path, Step, printable, shown};

/// The sentence, without the place that stands beside it.
pub(crate) fn plain(error: &serde_json::Error) -> String {
    let said = error.to_string();
    let place = format!(" at line {} column {}", error.line(), error.column());
    printable(sentence(said.strip_suffix(&place).unwrap_or(&said)))
}

pub(super) fn sentence(said: &str) -> String {
    // A name may have the word, too.
    let (what, expected) = said.rsplit_once(", expected ").unwrap_or((said, ""));
    if let Some(field) = what.strip_prefix("missing field ") {
        return format!("the field {field} is missing");
    }
    if let Some(field) = what.strip_prefix("duplicate field ") {
        return format!("the field {field} is given twice");
    }
    if let Some(field) = what.strip_prefix("unknown field ").map(quoted) {
        return match expected {
            "" => format!("{field} is no field here"),
            known => format!("{field} is no field here, but {known}"),
        };
    }
    if let Some(word) = what.strip_prefix("unknown variant ").map(quoted) {
        return format!("{word} is not known here, but {expected}");
    }
    if let Some(count) = what.strip_prefix("invalid length ") {
        return match wanted(expected) {
            "" => format!("a list of {count} is too long or too short here"),
            of => format!("a list of {count} stands here, where {of} is expected"),
        }
        .replace("{n}", &size(expected));
    }
    let wrong = what.strip_prefix("invalid type: ");
    if let Some(found) = wrong.or_else(|| what.strip_prefix("invalid value: ")) {
        let wanted = match wanted(expected) {
            "" => return format!("{} cannot stand here", given(found)),
            wanted => wanted.replace("{n}", &size(expected)),
        };
        return format!("this must be {wanted}, not {}", given(found));
    }
    if said.starts_with("EOF") {
        return "the text ends too soon".to_owned();
    }
    let text = match said {
        "expected value" | "expected ident" => "a value is expected here",
        "trailing characters" => "something stands after the end of the document",
        "recursion limit exceeded" => "lists and objects lie in one another too deep",
        "key must be a string" => "the name of a field must stand in double quotes",
        other => other,
    };
    text.to_owned()
}

/// A name in backquotes, as far as a sentence can carry it.
fn quoted(name: &str) -> String {
    let inner = name.strip_prefix('`').unwrap_or(name);
    format!("`{}`", shown(inner.strip_suffix('`').unwrap_or(inner)))
}

/// What was found.
fn given(found: &str) -> String {
    let (kind, value) = found.split_once(' ').unwrap_or((found, ""));
    let value = value.trim_start_matches("point ");
    match kind {
        "integer" | "floating" => format!("the number {}", value.trim_matches('`')),
        "number" => "such a number".to_owned(),
        "boolean" => value.trim_matches('`').to_owned(),
        "string" | "character" => {
            let text = value.trim_matches(['"', '`']);
            format!("the text \"{}\"", shown(text))
        }
        "map" => "an object".to_owned(),
        "sequence" => "a list".to_owned(),
        "unit" if value == "variant" => "a text alone".to_owned(),
        "null" | "Option" | "unit" => "null".to_owned(),
        _ => "this".to_owned(),
    }
}

/// What was expected; `{n}` stands for a count. Empty where nothing can be said.
fn wanted(expected: &str) -> &'static str {
    let first = expected.trim_start_matches("a ").split(' ').next();
    match first.unwrap_or_default() {
        "u8" | "u16" | "u32" | "u64" | "u128" | "usize" => "a whole number from 0",
        "i8" | "i16" | "i32" | "i64" | "i128" | "isize" => "a whole number",
        "f32" | "f64" => "a number",
        "bool" | "boolean" => "`true` or `false`",
        "string" if expected.contains(" or ") => "a text or an object",
        "string" | "str" | "borrowed" | "character" | "identifier" => "a text",
        "tuple" if size(expected).is_empty() => "a list",
        "tuple" => "a list of {n}",
        "sequence" => "a list",
        "struct" | "map" | "internally" | "adjacently" | "newtype" => "an object",
        "variant" | "unit" | "enum" => "a text or an object",
        _ => "",
    }
}

/// The count in `a tuple of size 2` and `tuple variant X with 2 elements`.
fn size(expected: &str) -> String {
    let word = expected.split(' ').find(|word| word.parse::<u32>().is_ok());
    word.unwrap_or_default().to_owned()
}

/// The path of the value that a reader was at, or had just read, when it had taken `taken`
/// bytes of a text that is JSON so far.
pub(crate) fn path_after(text: &str, taken: usize) -> Path {
    let mut open: Vec<Option<Step>> = Vec::new();
    let mut last = b' ';
    let bytes = text.as_bytes();
    let (mut at, end) = (0, taken.min(bytes.len()));
    while at < end {
        let byte = bytes[at];
        match byte {
            b'{' => open.push(None),
            b'[' => open.push(Some(Step::Index(0))),
            b'}' | b']' => {
                open.pop();
            }
            b',' => match open.last_mut() {
                Some(Some(Step::Index(index))) => *index += 1,
                Some(field) => *field = None,
                None => {}
            },
            b'"' => {
                let close = end_of_text(bytes, at);
                if let Some(field @ None) = open.last_mut() {
                    let name = serde_json::from_str(&text[at..close.min(text.len())]);
                    *field = name.ok().map(Step::Field);
                }
                at = close - 1;
            }
            _ => {}
        }
        if !byte.is_ascii_whitespace() {
            last = byte;
        }
        at += 1;
    }
    if last == b'[' {
        // The list itself, of which nothing was read.
        open.pop();
    }
    Path(open.into_iter().flatten().collect())
}

/// The byte behind the text that begins at `at`.
pub(super) fn end_of_text(bytes: &[u8], at: usize) -> usize {
    let mut at = at + 1;
    while at < bytes.len() {
        match bytes[at] {
            b'\\' => at += 2,
            b'"' => return at + 1,
            _ => at += 1,
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use serde::Deserialize;

    use super::*;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only read")]
    struct Outer {
        number: u32,
        pairs: Vec<(u32, i64)>,
        word: Word,
        #[serde(default)]
        cause: Option<Cause>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "lowercase")]
    #[expect(dead_code, reason = "only read")]
    enum Word {
        Plain,
        Both(u32, i64),
        One(Vec<u32>),
    }

    #[derive(Debug, Deserialize)]
    #[serde(tag = "kind", rename_all = "lowercase")]
    #[expect(dead_code, reason = "only read")]
    enum Cause {
        Small { left_w: f64 },
    }

    #[test]
    fn what_is_wrong_is_said_without_the_words_of_a_program() {
        for (text, path, message) in [
            (
                r#"{"number": "x"}"#,
                "number",
                "this must be a whole number from 0, not the text \"x\"",
            ),
            (
                r#"{"number": -1}"#,
                "number",
                "this must be a whole number from 0, not the number -1",
            ),
            (
                r#"{"number": 1.5}"#,
                "number",
                "this must be a whole number from 0, not the number 1.5",
            ),
            (
                r#"{"number": null}"#,
                "number",
                "this must be a whole number from 0, not null",
            ),
            (
                r#"{"number": {"a": 1}}"#,
                "number",
                "this must be a whole number from 0, not an object",
            ),
            (
                r#"{"number": [7]}"#,
                "number",
                "this must be a whole number from 0, not a list",
            ),
            (
                r#"{"number": 1, "number": 2}"#,
                "number",
                "the field `number` is given twice",
            ),
            (
                r#"{"number": 1, "pairs": [], "word": "plain", "other": 2}"#,
                "other",
                "`other` is no field here, but one of `number`, `pairs`, `word`, `cause`",
            ),
            (
                r#"{"number": 1, "pairs": [[1, 2]]}"#,
                "",
                "the field `word` is missing",
            ),
            (
                r#"{"number": 1, "pairs": [[1, 2], [3]]}"#,
                "pairs[1]",
                "a list of 1 stands here, where a list of 2 is expected",
            ),
            (
                r#"{"number": 1, "pairs": 4}"#,
                "pairs",
                "this must be a list, not the number 4",
            ),
            (
                r#"{"number": 1, "pairs": [], "word": "wrong"}"#,
                "word",
                "`wrong` is not known here, but one of `plain`, `both`, `one`",
            ),
            (
                r#"{"number": 1, "pairs": [], "word": "one"}"#,
                "",
                "this must be an object, not a text alone",
            ),
            (
                r#"{"number": 1, "pairs": [], "word": {"both": 3}}"#,
                "word.both",
                "this must be a list, not the number 3",
            ),
            (r#"{"number": 1"#, "", "the text ends too soon"),
            (r"3", "", "this must be an object, not the number 3"),
            (
                r#"{"number": 1, "pairs": [], "word": "plain", "cause": 3}"#,
                "",
                "this must be an object, not the number 3",
            ),
            (
                r#"{"number": 1, "pairs": [], "word": "plain", "cause": {"kind": "big"}}"#,
                "",
                "`big` is not known here, but `small`",
            ),
            // What is said of a whole object comes once that is read: then it is known no closer.
        ] {
            let error = serde_json::from_str::<Outer>(text).expect_err("it is wrong");
            assert_eq!(plain(&error), message, "{text}: {error}");
            assert!(
                path_after(text, error.column())
                    .to_string()
                    .starts_with(path),
                "{text}"
            );
        }
    }

    #[test]
    fn a_long_name_is_told_by_its_beginning() {
        let name = "very, expected ".repeat(200);
        let error = serde_json::from_str::<Outer>(&format!(r#"{{"{name}": 1}}"#));
        let message = plain(&error.expect_err("there is no such field"));
        let begin: String = name.chars().take(60).collect();
        let known = "one of `number`, `pairs`, `word`, `cause`";
        assert_eq!(message, format!("`{begin}…` is no field here, but {known}"));
    }

    #[test]
    fn the_path_is_that_of_the_value_last_begun() {
        let text = r#"{"a, \"[": [10, {"b": "x]", "c": [3]}]}"#;
        for (behind, path) in [
            ("10", r#"["a, \"["][0]"#),
            (r#""x]""#, r#"["a, \"["][1].b"#),
            ("[3", r#"["a, \"["][1].c[0]"#),
            ("[3]", r#"["a, \"["][1].c"#),
            ("[3]}", r#"["a, \"["][1]"#),
        ] {
            let at = text.find(behind).expect("it is there") + behind.len();
            assert_eq!(path_after(text, at).to_string(), path, "{behind}");
        }
    }
}
