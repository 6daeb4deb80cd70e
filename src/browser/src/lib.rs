//! What the page asks of the library: a text goes in, JSON comes out.
//!
//! The page's worker calls these two functions and nothing else. Neither panics on any
//! text; what is wrong with it is part of the answer, with the words it is about.

mod faults;
mod question;

use serde::Serialize;
use wasm_bindgen::prelude::wasm_bindgen;
use wattberth::{Error, Setup};

use faults::Marked;
use question::{Answer, Limits, Question};

/// Reads a setup, a list or a document: `{"read": {…}}` with what can be asked of it, or
/// `{"faults": […]}`.
#[wasm_bindgen]
pub fn read(text: &str) -> String {
    let said = match Setup::from_text(text) {
        Ok(setup) => Said::Read(Read::of(&setup)),
        Err(error) => Said::refusal(&error, text),
    };
    said.to_json()
}

/// Answers a question about a setup: `{"answer": {…}}`, `{"faults": […]}`, or
/// `{"refused": "…"}` where there is no answer through no fault of the text.
///
/// It goes on for at most `seconds`, where they are given, and begins with the answer
/// `from`, a document that this function gave, perhaps of another text. Where it is to be
/// `quick`, a plan comes without its reasons.
#[wasm_bindgen]
pub fn ask(
    question: &str,
    text: &str,
    seconds: Option<f64>,
    from: Option<String>,
    quick: bool,
) -> String {
    let limits = Limits::new(seconds, from, quick);
    let said = match limits.and_then(|limits| answer(question, text, &limits)) {
        Ok(answer) => Said::Answer(answer),
        Err(error) => Said::refusal(&error, text),
    };
    said.to_json()
}

fn answer(question: &str, text: &str, limits: &Limits) -> Result<Answer, Error> {
    Question::named(question)?.answer(&Setup::from_text(text)?, limits)
}

/// What is said to the page.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
enum Said {
    Read(Read),
    Answer(Answer),
    Faults(Vec<Marked>),
    Refused(String),
}

impl Said {
    fn refusal(error: &Error, text: &str) -> Self {
        match error {
            Error::Input(faults) => Self::Faults(Marked::all(faults, text)),
            other => Self::Refused(other.to_string()),
        }
    }

    fn to_json(&self) -> String {
        serde_json::to_string(self).expect("strings, numbers and lists are always JSON")
    }
}

/// What is known of a setup before anything is asked.
#[derive(Serialize)]
struct Read {
    name: Option<String>,
    /// The first is the one to begin with.
    questions: Vec<&'static str>,
}

impl Read {
    fn of(setup: &Setup) -> Self {
        let questions = Question::of(setup).into_iter().map(Question::name);
        Self {
            name: setup.name().map(str::to_owned),
            questions: questions.collect(),
        }
    }
}
