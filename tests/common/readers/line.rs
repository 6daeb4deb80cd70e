//! Lines of `batch`.

use serde_json::Value;
use wattberth::{BatchAnswer, BatchLine, answer_line};

use super::answers::few;
use super::{Outcome, faults};

/// One line and its answer.
pub(super) fn check(text: &str) -> Outcome {
    let answered = |text: &str| answer_line(text.as_bytes(), &few()).expect("the options are fine");
    let answer = answered(text);
    assert!(!answer.contains('\n'), "{answer}");
    assert!(!answer.contains("could not be worked out"), "{answer}");
    assert_eq!(answered(text), answer, "another answer the second time");
    let read: BatchAnswer =
        serde_json::from_str(&answer).unwrap_or_else(|e| panic!("{e}\n{answer}"));
    assert_ne!(read.plan.is_some(), !read.errors.is_empty(), "{answer}");
    for fault in &read.errors {
        assert!(!fault.message.trim().is_empty(), "{answer}");
        assert!(fault.span.start <= fault.span.end, "{answer}");
        assert!(text.get(fault.span.clone()).is_some(), "{answer}");
        if fault.column > 0 {
            // A byte order mark is no column; a line has no line breaks.
            let before = &text[..fault.span.start];
            let before = before.strip_prefix('\u{feff}').unwrap_or(before);
            let column = before.chars().count() + 1;
            assert!(fault.column == column || text.contains('\n'), "{answer}");
        }
    }
    let line: Result<BatchLine, _> = serde_json::from_str(text);
    if let Ok(line) = line {
        let written = line.to_line();
        let again: BatchLine = serde_json::from_str(&written).expect("it is read back");
        assert_eq!(again, line, "{written}");
        let again: BatchAnswer = serde_json::from_str(&answered(&written)).expect("an answer");
        // What is refused as a line may do as data, as both of `charger` and `chargers`.
        if read.plan.is_some() {
            assert_eq!(again.plan, read.plan, "{written}");
        }
    } else {
        assert!(read.plan.is_none(), "a plan of what is no line: {text}");
    }
    if let Ok(Value::Object(fields)) = serde_json::from_str::<Value>(text)
        && read.plan.is_some()
    {
        assert_eq!(fields.get("id").unwrap_or(&Value::Null), &read.id);
    }
    if read.plan.is_some() {
        Outcome::Read
    } else {
        let error = wattberth::Error::Input(read.errors);
        assert!(!faults(error).is_empty());
        Outcome::Refused
    }
}
