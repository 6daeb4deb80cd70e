//! The pieces of a label's mains side.

use std::ops::Range;

use super::MainsLabelFault;
use crate::diagnostics::shown;

/// A piece of the text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    /// Byte range in the text.
    pub(super) span: Range<usize>,
    /// Whether a dash is written as a tilde, which is also the mark of alternating
    /// current.
    pub(super) is_wave: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Number(f64),
    /// What makes a range of two numbers.
    Dash,
    /// What stands between values.
    Separator,
    /// So many percent up and down.
    Tolerance(f64),
    Unit(Unit),
    /// A mark of direct current.
    Direct,
    /// A word that says nothing of the numbers.
    Word,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unit {
    Volts,
    Hertz,
    Amps,
    /// Watts and volt-amps, which are passed over.
    Watts,
}

/// Words that a label prints around its numbers.
const WORDS: [&str; 25] = [
    "ac",
    "input",
    "in",
    "rated",
    "mains",
    "supply",
    "voltage",
    "frequency",
    "power",
    "max",
    "nominal",
    "single",
    "phase",
    "ph",
    "entrada",
    "entrée",
    "eingang",
    "ingresso",
    "netz",
    "line",
    "current",
    "cycle",
    "at",
    "i",
    "p",
];

/// Splits a text into its pieces; what is none is a fault.
pub(super) fn split(text: &str, faults: &mut Vec<MainsLabelFault>) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut at = 0;
    while let Some(first) = text.get(at..).and_then(|rest| rest.chars().next()) {
        let rest = &text[at..];
        let (length, kind) = if first.is_whitespace() {
            (first.len_utf8(), Ok(None))
        } else if let Some(length) = tolerance_length(rest) {
            (length, tolerance(&rest[..length]).map(Some))
        } else if first.is_ascii_digit() {
            let length = number_length(rest);
            (length, number(&rest[..length]))
        } else if first.is_alphabetic() {
            let length = length_while(rest, char::is_alphabetic);
            (length, word(&rest[..length]).map(Some))
        } else {
            (first.len_utf8(), sign(first).map(Some))
        };
        let span = at..at + length;
        match kind {
            Ok(Some(kind)) => tokens.push(Token {
                kind,
                span,
                is_wave: matches!(first, '~' | '∼' | '～' | '〜'),
            }),
            Ok(None) => {}
            Err(message) => faults.push(MainsLabelFault { span, message }),
        }
        at += length;
    }
    milliamps(&mut tokens, text);
    tokens
}

fn length_while(text: &str, matches: impl Fn(char) -> bool) -> usize {
    text.find(|c| !matches(c)).unwrap_or(text.len())
}

/// The length of a number: digits with dots, and commas between digits.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut at = 0;
    while digit(at) || (matches!(bytes.get(at), Some(b'.' | b',')) && digit(at + 1)) {
        at += 1;
    }
    at
}

fn number(part: &str) -> Result<Option<Kind>, String> {
    // Nobody prints thousandths of a volt, but `110,220 V` for two voltages.
    if part
        .rsplit_once(',')
        .is_some_and(|(_, after)| after.len() > 2)
    {
        return Err(format!(
            "`{part}`: a comma between digits is a decimal comma: write two values as 110/220 V"
        ));
    }
    part.replace(',', ".")
        .parse()
        .map(|value| Some(Kind::Number(value)))
        .map_err(|_| {
            format!("`{part}` is not a number: it has more than one decimal point or comma")
        })
}

/// The length of `±10 %`, `+/-10%` or `+-10 %` at the start of a text.
fn tolerance_length(text: &str) -> Option<usize> {
    let sign = ["±", "+/-", "+-", "+/−"]
        .into_iter()
        .find(|sign| text.starts_with(sign))?;
    let mut at = sign.len();
    at += length_while(&text[at..], char::is_whitespace);
    let digits = number_length(&text[at..]);
    if digits == 0 {
        return None;
    }
    at += digits;
    at += length_while(&text[at..], char::is_whitespace);
    text[at..].starts_with('%').then_some(at + 1)
}

fn tolerance(part: &str) -> Result<Kind, String> {
    let digits: String = part
        .chars()
        .filter(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        .collect();
    digits
        .replace(',', ".")
        .parse()
        .map(Kind::Tolerance)
        .map_err(|_| format!("`{part}` is not a tolerance, as in ±10 %"))
}

fn word(part: &str) -> Result<Kind, String> {
    let lower = part.to_lowercase();
    Ok(match lower.as_str() {
        "v" | "vac" | "volt" | "volts" => Kind::Unit(Unit::Volts),
        "hz" | "hertz" | "cps" => Kind::Unit(Unit::Hertz),
        "a" | "ma" | "amp" | "amps" | "ampere" | "amperes" | "arms" => Kind::Unit(Unit::Amps),
        "w" | "kw" | "va" | "kva" | "watt" | "watts" => Kind::Unit(Unit::Watts),
        "to" => Kind::Dash,
        "or" | "and" => Kind::Separator,
        "dc" | "vdc" => Kind::Direct,
        _ if WORDS.contains(&lower.as_str()) => Kind::Word,
        _ => {
            return Err(format!(
                "`{}` is not understood: write it as printed, as in 100-240 V 50/60 Hz",
                shown(part)
            ));
        }
    })
}

fn sign(sign: char) -> Result<Kind, String> {
    Ok(match sign {
        '-' | '‐' | '‑' | '–' | '—' | '−' | '~' | '∼' | '～' | '〜' | '…' => {
            Kind::Dash
        }
        '/' | ',' | ';' | '|' => Kind::Separator,
        ':' | '(' | ')' | '.' => Kind::Word,
        '⎓' | '⏛' | '=' => Kind::Direct,
        _ => {
            return Err(format!(
                "`{}` is not understood: write it as printed, as in 100-240 V 50/60 Hz",
                shown(sign.encode_utf8(&mut [0; 4]))
            ));
        }
    })
}

/// Numbers before `mA` are thousandths of amps.
fn milliamps(tokens: &mut [Token], text: &str) {
    for unit in 0..tokens.len() {
        let written = text.get(tokens[unit].span.clone());
        if !written.is_some_and(|written| written.eq_ignore_ascii_case("ma")) {
            continue;
        }
        for before in tokens[..unit].iter_mut().rev() {
            match &mut before.kind {
                Kind::Number(value) => *value /= 1000.0,
                Kind::Dash | Kind::Separator => {}
                _ => break,
            }
        }
    }
}
