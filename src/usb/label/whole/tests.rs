//! Whole labels, invented, as chargers print them and people type them, good and bad, each
//! with what must come of it.

use super::{WholeLabel, whole};
use crate::usb::label::LabelFault;

mod bad;
mod good;
mod properties;

fn lines(text: &[&str]) -> Vec<String> {
    text.iter().map(|&line| line.to_owned()).collect()
}

/// What was understood, without the places of names.
fn understood(lines: &[String]) -> Result<WholeLabel, Vec<LabelFault>> {
    let mut label = whole(lines)?;
    for port in &mut label.ports {
        (port.line, port.span) = (0, 0..0);
    }
    Ok(label)
}

/// The label reads as this, and so does what was understood.
#[track_caller]
fn good(text: &str, expected: &str) {
    let label = match understood(&lines(&[text])) {
        Ok(label) => label,
        Err(faults) => panic!("{text}: {faults:#?}"),
    };
    let said = label.to_string();
    assert_eq!(said, expected, "{text}");
    assert_eq!(understood(&[said]), Ok(label), "{text}");
}

/// The label has these faults, in this order, at the parts between `«` and `»`.
#[track_caller]
fn bad(text: &str, expected: &[&str]) {
    let (mut plain, mut places, mut start) = (String::new(), Vec::new(), 0);
    for c in text.chars() {
        match c {
            '«' => start = plain.len(),
            '»' => places.push(start..plain.len()),
            _ => plain.push(c),
        }
    }
    assert_eq!(places.len(), expected.len(), "the case itself: {text}");
    let faults = match whole(std::slice::from_ref(&plain)) {
        Err(faults) => faults,
        Ok(label) => panic!("{text}: read as {label}"),
    };
    let found: Vec<_> = faults
        .iter()
        .map(|fault| (fault.span.clone(), fault.message.as_str()))
        .collect();
    let expected: Vec<_> = places.into_iter().zip(expected.iter().copied()).collect();
    assert_eq!(found, expected, "{text}");
}
