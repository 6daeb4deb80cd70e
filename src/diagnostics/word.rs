//! A word that somebody typed, and that is none of those asked for.

use std::fmt;

use super::error::Error;
use super::{near, shown};

/// Why a text is none of the words that a type has.
///
/// ```
/// use wattberth::Aim;
///
/// let error = "promised".parse::<Aim>().expect_err("no such aim");
/// assert_eq!(error.to_string(), "`promised` is not `promise` or `best` (did you mean `promise`?)");
/// ```
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub struct UnknownWord {
    /// What was typed.
    pub text: String,
    /// What would have been read.
    pub words: Vec<&'static str>,
    /// The near one, where there is one.
    pub suggestion: Option<String>,
}

impl UnknownWord {
    pub(crate) fn new(text: &str, words: Vec<&'static str>) -> Self {
        Self {
            text: text.to_owned(),
            suggestion: near(text, words.iter().copied()),
            words,
        }
    }
}

impl fmt::Display for UnknownWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is not ", shown(&self.text))?;
        for (at, word) in self.words.iter().enumerate() {
            let before = if at == 0 { "" } else { " or " };
            write!(f, "{before}`{word}`")?;
        }
        match &self.suggestion {
            Some(near) => write!(f, " (did you mean `{near}`?)"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for UnknownWord {}

impl From<UnknownWord> for Error {
    /// As an option that is outside its range.
    fn from(unknown: UnknownWord) -> Self {
        Self::Options {
            message: unknown.to_string(),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::fmt::Display;
    use std::str::FromStr;

    use super::*;
    use crate::facts::{Kind, Plug};
    use crate::{Aim, Connector, Level, Objective, SharingRule, Status};

    #[track_caller]
    fn read_back<T>(all: &[T], wrong: &str, near: Option<&str>)
    where
        T: FromStr<Err = UnknownWord> + Display + PartialEq + fmt::Debug,
    {
        for one in all {
            assert_eq!(one.to_string().parse().as_ref(), Ok(one));
        }
        let unknown = wrong.parse::<T>().expect_err("there is no such word");
        assert_eq!(unknown.suggestion.as_deref(), near);
        assert!(matches!(Error::from(unknown), Error::Options { .. }));
    }

    #[test]
    fn words_are_read_as_they_are_written() {
        read_back(
            &[Status::Optimal, Status::Feasible],
            "optimum",
            Some("optimal"),
        );
        read_back(&[Aim::Best, Aim::Promise], "", None);
        read_back(&[Level::Longest, Level::Everything], "time", Some("times"));
        read_back(
            &[Objective::Unserved, Objective::Watts],
            "Watts",
            Some("watts"),
        );
        read_back(
            &[SharingRule::FairShare, SharingRule::ByBattery],
            "fair share",
            Some("fair-share"),
        );
        let barrel = Connector::Other("barrel".to_owned());
        read_back(
            &[Connector::UsbC, Connector::UsbMicroB, barrel],
            "usbc",
            Some("usb-c"),
        );
        read_back(Kind::all(), "labtop", Some("laptop"));
        for plug in Plug::ALL {
            assert_eq!(plug.to_string().parse(), Ok(plug));
        }
    }

    #[test]
    fn a_message_is_never_endless_and_has_no_control_characters() {
        let unknown = format!("\u{1b}[2J{}", "a".repeat(10_000)).parse::<Aim>();
        let message = unknown.expect_err("there is no such word").to_string();
        assert!(
            message.len() < 200 && !message.contains('\u{1b}'),
            "{message}"
        );
    }
}
