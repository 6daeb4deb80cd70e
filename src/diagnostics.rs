//! What is wrong with an input, and where: findings by path, faults as they are handed out,
//! and the near name.

mod error;
mod finding;
mod near;
mod word;

pub use error::{Error, Fault, Result};
pub(crate) use finding::{Finding, Findings, Path, Spot, Step};
pub(crate) use near::near;
pub use word::UnknownWord;

use crate::limits::FAULTS;

/// One text of the input, with the name under which faults speak of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Source<'a> {
    /// A file's name, or `<stdin>`.
    pub file: &'a str,
    /// Its text.
    pub text: &'a str,
}

/// The faults of something that has no text.
pub(crate) fn faults_of(findings: Findings) -> Vec<Fault> {
    let more = findings.more;
    let fault = |finding: Finding| Fault {
        path: finding.path.to_string(),
        message: finding.message,
        suggestion: finding.suggestion,
        ..Fault::default()
    };
    let mut faults = findings.all.into_iter().map(fault).collect();
    close(&mut faults, more);
    faults
}

/// Cuts the list at its limit and says how many faults are not shown.
pub(crate) fn close(faults: &mut Vec<Fault>, mut more: usize) {
    more += faults.len().saturating_sub(FAULTS);
    faults.truncate(FAULTS);
    if more > 0 {
        let message = format!("{more} more faults were found; the first {FAULTS} are shown");
        let file = faults
            .last()
            .map(|last| last.file.clone())
            .unwrap_or_default();
        faults.push(Fault {
            file,
            message,
            ..Fault::default()
        });
    }
}

/// A sentence whose control characters, of what it quotes, are escaped.
pub(crate) fn printable(sentence: String) -> String {
    if !sentence.contains(char::is_control) {
        return sentence;
    }
    let mut out = String::with_capacity(sentence.len());
    sentence.chars().for_each(|c| push_escaped(&mut out, c));
    out
}

fn push_escaped(out: &mut String, c: char) {
    if c.is_control() {
        out.extend(c.escape_default());
    } else {
        out.push(c);
    }
}

/// A text as a sentence can carry it: control characters escaped, and not endless.
pub(crate) fn shown(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut out = String::new();
    for (i, c) in text.chars().enumerate() {
        if i == LONGEST {
            out.push('…');
            break;
        }
        push_escaped(&mut out, c);
    }
    out
}
