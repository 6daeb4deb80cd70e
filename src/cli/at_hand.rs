//! A setup, and the plan at hand that is asked about beside it.

use std::path::PathBuf;

use super::Exit;
use super::answer::Answer;
use super::input::{self, SetupArgs, Text};
use super::output::{Ended, Output};
use crate::{Error, Plan, Result, Rota, Setup};

/// The plan or the rota at hand, with its text.
pub(super) struct AtHand<T = Plan> {
    text: Text,
    pub(super) plan: T,
}

/// What can be at hand.
pub(super) trait Kind: Sized {
    fn of(answer: Answer) -> Result<Self>;
}

impl Kind for Plan {
    fn of(answer: Answer) -> Result<Self> {
        match answer {
            Answer::Plan(plan) => Ok(plan),
            Answer::Rota(_) => Err(Error::Options {
                message: "a plan at hand is needed, and this document is a rota".to_owned(),
            }),
        }
    }
}

impl Kind for Rota {
    fn of(answer: Answer) -> Result<Self> {
        match answer {
            Answer::Rota(rota) => Ok(rota),
            Answer::Plan(_) => Err(Error::Options {
                message: "a rota at hand is needed, and this document is a plan".to_owned(),
            }),
        }
    }
}

impl<T: Kind> AtHand<T> {
    fn of(text: Text) -> std::result::Result<Self, (Text, Error)> {
        match Answer::read(&text).and_then(T::of) {
            Ok(plan) => Ok(Self { text, plan }),
            Err(error) => Err((text, error)),
        }
    }

    /// What is refused of its berths, with its place in the text.
    pub(super) fn refused(&self, error: Error) -> Error {
        let is_own = |path: &str| path.starts_with("berths");
        match error {
            Error::Input(faults) if faults.iter().all(|fault| is_own(&fault.path)) => {
                Error::Input(self.text.source().place(faults))
            }
            other => other,
        }
    }

    /// The texts that faults may be about.
    pub(super) fn texts(self, mut others: Vec<Text>) -> Vec<Text> {
        others.push(self.text);
        others
    }
}

/// The setup of `args` with its texts, and the plan or the rota of a document.
pub(super) fn read<T: Kind>(
    args: &SetupArgs,
    path: &PathBuf,
    out: &Output,
    json: bool,
) -> std::result::Result<(Vec<Text>, Setup, AtHand<T>), Ended> {
    let refused = |error: &Error, texts: &[Text]| out.refuse(error, texts, json);
    let texts = input::read_all(args.paths().chain([path]));
    let mut texts = texts.map_err(|error| refused(&error, &[]))?;
    // Every text was read, or there would have been a fault: the plan was named last.
    let Some(plan) = texts.pop() else {
        return Err(Ended::Said(Exit::BadInput));
    };
    let setup: Result<Setup> = args.setup_of(&texts);
    let setup = setup.map_err(|error| refused(&error, &texts))?;
    let at_hand = AtHand::of(plan).map_err(|(text, error)| refused(&error, &[text]))?;
    Ok((texts, setup, at_hand))
}
