//! Fields of a JSON document; the setups are trusted to be valid.

use serde_json::Value;

pub(crate) fn number(of: &Value, field: &str) -> Option<f64> {
    of.get(field).and_then(Value::as_f64)
}

/// A number, or both ends of a range; a number is both of its ends.
pub(crate) fn range(of: &Value, field: &str) -> Option<(f64, f64)> {
    match of.get(field)? {
        Value::Array(ends) => {
            let end = |i: usize| ends[i].as_f64().expect("a range of numbers");
            Some((end(0), end(1)))
        }
        one => one.as_f64().map(|one| (one, one)),
    }
}

pub(crate) fn text(of: &Value, field: &str) -> String {
    of[field]
        .as_str()
        .unwrap_or_else(|| panic!("{field} is text"))
        .to_owned()
}

pub(crate) fn text_or(of: &Value, field: &str, default: &str) -> String {
    of.get(field)
        .map_or_else(|| default.to_owned(), |_| text(of, field))
}

pub(crate) fn list<'a>(of: &'a Value, field: &str) -> &'a [Value] {
    of.get(field)
        .and_then(Value::as_array)
        .map_or(&[], Vec::as_slice)
}

pub(crate) fn is_true(of: &Value, field: &str) -> bool {
    of.get(field).is_some_and(|value| *value == true)
}
