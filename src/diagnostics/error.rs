//! The one error type, its variants by whose fault it is.

use std::fmt;
use std::ops::Range;

use serde::{Deserialize, Serialize};

/// The library's result.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Why no answer was given.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Error {
    /// The input has faults: all that were found, by their place.
    Input(Vec<Fault>),
    /// An option of the call is outside its range.
    Options {
        /// What is wrong, and what would be right.
        message: String,
    },
    /// A limit of the call struck before any plan was found. Nobody on a port is a plan,
    /// so `assign` does not return this; it is for questions that start from less.
    NoPlanInTime,
    /// There is no proof of a plan: it is not legal or not best, or a limit struck first.
    NoProof {
        /// Which of these.
        message: String,
    },
    /// Our own fault: an answer did not survive its check and was withheld.
    Internal {
        /// What the check found.
        message: String,
    },
}

/// One fault in the input. As data, what it does not have is left out.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[non_exhaustive]
pub struct Fault {
    /// Where the text came from: a file's name, `<stdin>`; empty where there is none.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub file: String,
    /// Line, from 1; 0 where there is no text.
    #[serde(default, skip_serializing_if = "is_none")]
    pub line: usize,
    /// Column in characters, from 1; 0 where there is no text.
    #[serde(default, skip_serializing_if = "is_none")]
    pub column: usize,
    /// Where in the document: `chargers[0].pools[1].ports[2]`; empty of the whole, and of a
    /// list.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub path: String,
    /// One sentence.
    pub message: String,
    /// The near name, where there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub suggestion: Option<String>,
    /// Byte range in the text, empty where there is none.
    #[serde(default, skip_serializing_if = "is_nowhere")]
    pub span: Range<usize>,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "the signature is serde's"
)]
fn is_none(number: &usize) -> bool {
    *number == 0
}

fn is_nowhere(span: &Range<usize>) -> bool {
    *span == (0..0)
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.file.is_empty() {
            write!(f, "{}:", self.file)?;
        }
        if self.line > 0 {
            write!(f, "{}:{}: ", self.line, self.column)?;
        } else if !self.file.is_empty() {
            f.write_str(" ")?;
        }
        if !self.path.is_empty() {
            write!(f, "{}: ", self.path)?;
        }
        f.write_str(&self.message)?;
        if let Some(near) = &self.suggestion {
            write!(f, " (did you mean `{near}`?)")?;
        }
        Ok(())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Input(faults) => {
                for (i, fault) in faults.iter().enumerate() {
                    if i > 0 {
                        writeln!(f)?;
                    }
                    write!(f, "{fault}")?;
                }
                Ok(())
            }
            Self::Options { message } => f.write_str(message),
            Self::NoPlanInTime => f.write_str("the limit struck before any plan was found"),
            Self::NoProof { message } => write!(f, "no proof: {message}"),
            Self::Internal { message } => {
                write!(f, "internal fault, no answer is given: {message}")
            }
        }
    }
}

impl std::error::Error for Error {}
